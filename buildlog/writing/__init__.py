"""What is written for the builder: a new workshop, and a new record out of photos."""

from __future__ import annotations


class WritingError(Exception):
    """Nothing could be written for the builder. Its text says why, and what to do."""
