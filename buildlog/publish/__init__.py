"""Publishing: what leaves the workshop."""
