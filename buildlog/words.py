"""Dates in words, for pages and for the terminal."""

from __future__ import annotations

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
