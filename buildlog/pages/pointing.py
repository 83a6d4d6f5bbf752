"""
For a preview: where in its record a picture's callouts stand, so that a place pointed at becomes ready lines.

Lines count from 1. Nothing of this is in a published site.
"""

from __future__ import annotations

import re

from buildlog.pages.gallery import Shot
from buildlog.pages.views import CalloutLine, Pointing
from buildlog.records.models import Callout
from buildlog.records.reading import Document

_DEEPER = 2
"""Spaces by which what a key holds is set in, as in the guide."""
_CALLOUTS = re.compile(r"\s*(?:- )?callouts:\s*(?:#.*)?")


def pointing(document: Document, shot: Shot) -> Pointing | None:
    """
    Where the callouts of a picture stand, and where a further one goes; `None` where its entry is not written in lines.

    Args:
        document: The record as read; it holds the entry.
    """
    lines = document.text.split("\n")
    entry = ("photos", shot.entry)
    first, column = document.place(entry)
    if document.begins(entry) in ("{", "") or not lines[first - 1].lstrip().startswith("-"):
        return None
    if not shot.is_named:
        at = " " * _indent(lines[first - 1])
        begin = (f"{at}- file: {shot.path}", f"{at}  callouts:")
        return Pointing(str(document.path), _last_line(lines, first), begin, at + " " * 2 * _DEEPER, ())
    key = " " * (column - 1)
    if shot.callouts:
        list_path = (*entry, "callouts")
        if document.begins(list_path) == "[":
            return None
        newest = document.place((*list_path, len(shot.callouts) - 1)).line
        after, indent = _last_line(lines, newest), " " * _indent(lines[newest - 1])
        found = tuple(
            _callout_line(document, lines, (*list_path, index), callout) for index, callout in enumerate(shot.callouts)
        )
        return Pointing(str(document.path), after, (), indent, found)
    last = _last_line(lines, first)
    for number in range(first, last + 1):
        if _CALLOUTS.fullmatch(lines[number - 1]):
            return Pointing(str(document.path), number, (), key + " " * _DEEPER, ())
    return Pointing(str(document.path), last, (f"{key}callouts:",), key + " " * _DEEPER, ())


def _callout_line(document: Document, lines: list[str], path: tuple[str | int, ...], callout: Callout) -> CalloutLine:
    place = (*path, "at" if callout.at else "box")
    first, column = document.place(place, key=True)
    before = lines[first - 1][: column - 1]
    if document.begins(place) != "[":  # a list in lines
        return CalloutLine(first, document.place((*place, 1 if callout.at else 3)).line, before, "")
    last = document.place(place).line
    while "]" not in lines[last - 1]:
        last += 1
    return CalloutLine(first, last, before, lines[last - 1].partition("]")[2])


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip(" "))


def _last_line(lines: list[str], first: int) -> int:
    """The last line with words of the list item that begins on a line: all that is set in deeper than its dash."""
    dash, last = _indent(lines[first - 1]), first
    for number in range(first + 1, len(lines) + 1):
        line = lines[number - 1]
        if not line.strip():
            continue
        if _indent(line) <= dash:
            break
        last = number
    return last
