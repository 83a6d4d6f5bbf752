"""Words that more than one part needs: dates in words, and anchors made from words."""

from __future__ import annotations

import unicodedata
from datetime import date

_MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]


def day_words(day: date) -> str:
    """A date as "15 August 2026"."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def day_month(day: date, beside: date | None = None) -> str:
    """A date as "15 August"; with the year where it is not the year of `beside`."""
    return day_words(day) if beside is not None and beside.year != day.year else day_words(day).rsplit(" ", 1)[0]


def month_year(day: date) -> str:
    """A date as "August 2026"."""
    return day_words(day).split(" ", 1)[1]


def anchor(text: str) -> str:
    """
    Make an anchor out of words: lower case, letters and digits of any script with their marks, hyphens between.

    Empty for words without any.
    """
    text = unicodedata.normalize("NFC", text).lower()
    kept = "".join(
        one if one.isalnum() or one == "_" or unicodedata.category(one).startswith("M") else " " for one in text
    )
    return "-".join(kept.split())


OWN_ANCHORS = (
    "feature-",
    "note-",
    "part-",
    "paint-",
    "decision-",
    "picture-",
    "turntable-",
    "area-",
    "view-",
    "kind-",
)
"""What the anchors begin with that pages give to their own parts; a callout's anchor begins with none of them."""
