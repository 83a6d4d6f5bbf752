"""Records: what the workshop writes, and what can be wrong with it."""
