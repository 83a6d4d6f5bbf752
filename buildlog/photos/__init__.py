"""Photos: originals in, safe web pictures out."""
