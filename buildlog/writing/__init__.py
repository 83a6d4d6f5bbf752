"""What is written for the builder: a new workshop, a new build, and photos into a record, new or not."""

from __future__ import annotations


class WritingError(Exception):
    """Nothing could be written for the builder. Its text says why, and what to do."""
