"""
How wide words are, and how tall they stand when wrapped, by the metrics of the face that ships with the site.

Widths come from `lettering.json`, which `lettering_table` takes from the font. A letter the font does not have counts
1 em where it is a wide East Asian one, nothing where it only marks the letter before it, and otherwise 0.56 em (the
average of a Latin text in this face, to the nearest hundredth, and near that of most alphabets).
Emphasis within a text is measured as if it were plain; the browser settles what little that moves.
"""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from math import inf
from pathlib import Path
from typing import NamedTuple

from buildlog.figures.callouts.plate import Label

TABLE = Path(__file__).with_name("lettering.json")
_WIDE = 1.0
_OTHER = 0.56
_SPACES = " \t\n\r\f"
_SLACK = 1 / 64
"""Browsers lay out in 64ths of a px."""
_SIZE_SLACK = 5e-4
"""A browser sets a fractional size up to so much smaller (measured in Chromium at 13.44, 15.04 and 16.32 px)."""


class Face(NamedTuple):
    """One cut of the shipped face."""

    weight: int
    """As in CSS `font-weight`."""
    width: int
    """Percent, as in CSS `font-stretch`."""


FACES = (
    Face(400, 100),
    Face(640, 100),
    Face(680, 100),
    Face(400, 86),
    Face(640, 86),
    Face(430, 86),
    Face(600, 88),
)
"""The cuts that labels are set in: text and its bold, title, notes and their bold, request, mark."""


@dataclass(frozen=True)
class Lettering:
    """How one kind of words in a label is set."""

    face: Face
    size: float
    """CSS px."""
    leading: float
    """Height of a line, as a share of the size."""
    before: float = 0.0
    """Px above each piece."""
    after: float = 0.0
    """Px below it."""
    lead: float = 0.0
    """Px that stand before the words on their first line: a mark's square."""


@dataclass(frozen=True)
class LabelStyle:
    """How a callout's words are set; the defaults are the style sheet's, at 16 px to the rem."""

    width: float = 240.0
    """Of the margin, in px."""
    title: Lettering = Lettering(Face(680, 100), 16.32, 1.3)
    shelf: float = 3.76
    """Px from the last line of a title to the middle of its underline, which its leader runs into."""
    under_shelf: float = 5.9
    """Px from the underline's top to the text below it; the same above a label that has no title."""
    text: Lettering = Lettering(Face(400, 100), 15.04, 1.4)
    between: float = 4.51
    """Px between two paragraphs."""
    made: Lettering = Lettering(Face(400, 86), 13.44, 1.4)
    above_made: float = 3.36
    measure: Lettering = Lettering(Face(400, 86), 13.44, 1.4)
    above_measures: float = 3.36
    between_measures: float = 1.34
    mark: Lettering = Lettering(Face(600, 88), 13.44, 1.3, lead=13.44)
    ask: Lettering = Lettering(Face(430, 86), 13.44, 1.4, before=2.69, after=2.69)
    above_outcomes: float = 3.76
    between_outcomes: float = 15.04
    """Px between two marks on one line, and before the request."""


@dataclass(frozen=True)
class Words:
    """All that a callout says, as plain text."""

    title: str = ""
    text: tuple[str, ...] = ()
    """Paragraphs."""
    made: str = ""
    measures: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()
    ask: str = ""


def label_room(words: Words, style: LabelStyle | None = None) -> Label:
    """The height a callout's words take in their margin, and where its leader meets them, in px."""
    style = style or LabelStyle()
    port = _height(words.title, style.title, style.width) + style.shelf if words.title else 0.5
    paragraphs = [_height(text, style.text, style.width) for text in words.text if text.strip()]
    pieces = []  # px above, px of words
    if paragraphs:
        pieces.append((0.0, sum(paragraphs) + style.between * (len(paragraphs) - 1)))
    if words.made:
        pieces.append((style.above_made, _height(words.made, style.made, style.width)))
    if words.measures:
        each = [_height(text, style.measure, style.width) for text in words.measures]
        pieces.append((style.above_measures, sum(each) + style.between_measures * (len(each) - 1)))
    if words.marks or words.ask:
        pieces.append((style.above_outcomes, _outcomes(words, style)))
    height = port - 0.5 + style.under_shelf + sum(above + tall for above, tall in pieces)
    if pieces:
        height -= pieces[0][0]  # margins collapse: the first piece stands under the shelf as a text would
    return Label(height=height, port=port)


def _outcomes(words: Words, style: LabelStyle) -> float:
    """Marks and the request stand side by side where they fit, each unbroken."""
    pieces = [(text, style.mark) for text in words.marks]
    if words.ask:
        pieces.append((words.ask, style.ask))
    height, row, used = 0.0, 0.0, inf
    for text, lettering in pieces:
        width = lettering.lead + text_width(text, lettering.face, lettering.size)
        tall = lettering.before + lettering.size * lettering.leading + lettering.after
        if used + style.between_outcomes + width > style.width + _SLACK:
            height, row, used = height + row, tall, width
        else:
            row, used = max(row, tall), used + style.between_outcomes + width
    return height + row


def _height(text: str, lettering: Lettering, width: float) -> float:
    count = len(lines(text, lettering.face, lettering.size, width, lettering.lead))
    return lettering.before + count * lettering.size * lettering.leading + lettering.after


def text_width(text: str, face: Face, size: float) -> float:
    """
    Width of a text on one line, in the unit of `size`.

    Raises:
        ValueError: The face is not among `FACES`.
    """
    return _places(_units(text), face)[-1] * size


def lines(text: str, face: Face, size: float, width: float, lead: float = 0.0) -> list[str]:
    """
    A text broken into lines as a browser breaks it: at spaces, after hyphens and dashes, anywhere in a word too long.

    Args:
        size: Font size in px.
        width: Px a line may take.
        lead: Px that the first line has less.

    Raises:
        ValueError: The face is not among `FACES`.
    """
    units = _units(text.strip(_SPACES))
    places = _places(units, face)
    room = (width * (1 + _SIZE_SLACK) + _SLACK) / size
    found: list[str] = []
    start, end, stop = 0, 0, 0
    left = room - lead / size
    for stop in _stops(units):
        if _right(units, places, start, stop) - places[start] > left and end > start:
            found.append("".join(units[start:end]).strip(_SPACES))
            start, left = _past_spaces(units, end), room
        while _right(units, places, start, stop) - places[start] > left:
            cut = start + 1
            while cut < stop and places[cut + 1] - places[start] <= left:
                cut += 1
            if cut >= stop:
                break
            found.append("".join(units[start:cut]))
            start, left = cut, room
        end = stop
    rest = "".join(units[start:]).strip(_SPACES)
    return [*found, rest] if rest else found


def _past_spaces(units: Sequence[str], at: int) -> int:
    while at < len(units) and units[at] in _SPACES:
        at += 1
    return at


def _right(units: Sequence[str], places: Sequence[float], start: int, stop: int) -> float:
    """Where the last letter before a break ends: spaces at a line's end hang over."""
    while stop > start and units[stop - 1] in _SPACES:
        stop -= 1
    return places[stop]


def _stops(units: Sequence[str]) -> Iterable[int]:
    """Where a line may end, as counts of units from the beginning; the end of the text is one."""
    count = len(units)
    for index in range(1, count):
        before, after = units[index - 1], units[index]
        if after in _SPACES or (before.isalpha() and before < "\u1100" and after.isalpha() and after < "\u1100"):
            continue
        if (
            before in _SPACES
            or before == "\u200b"
            or (before in "-\u2013" and index > 1 and units[index - 2][-1].isalnum() and after[0].isalnum())
            or before == "\u2014"
            or after == "\u2014"
            or (before in "?\u2026" and after[0].isalnum())
            or (before == ")" and after == "(")
            or ((_is_wide(before) or _is_wide(after)) and before != "\u00a0" and not _joins(after))
        ):
            yield index
    if count:
        yield count


def _is_wide(unit: str) -> bool:
    return unit[0] >= "\u1100" and unicodedata.east_asian_width(unit[0]) in "WF"


def _joins(unit: str) -> bool:
    """Whether a letter may not begin a line."""
    return unit == "\u00a0" or unicodedata.category(unit[0]) in ("Mn", "Mc", "Me", "Pe", "Pf", "Po")


@dataclass(frozen=True)
class _Metrics:
    widths: Mapping[str, float]
    left: Mapping[str, int]
    right: Mapping[str, int]
    kerning: Sequence[Sequence[float]]
    letters: Mapping[str, float] = field(default_factory=dict)


@lru_cache(maxsize=1)
def _faces() -> dict[Face, _Metrics]:
    table = json.loads(TABLE.read_text(encoding="utf-8"))
    letters = table["letters"]
    left = dict(zip(letters, table["left"], strict=True))
    right = dict(zip(letters, table["right"], strict=True))
    faces = {}
    for name, face in table["faces"].items():
        weight, _, width = name.partition("/")
        faces[Face(int(weight), int(width))] = _Metrics(
            widths={letter: wide / 1000 for letter, wide in zip(letters, face["widths"], strict=True)},
            left=left,
            right=right,
            kerning=[[value / 1000 for value in row] for row in face["kerning"]],
        )
    return faces


@lru_cache(maxsize=1)
def _together() -> tuple[str, ...]:
    """Letters drawn as one, longest first."""
    letters = next(iter(_faces().values())).widths
    return tuple(sorted((unit for unit in letters if len(unit) > 1), key=len, reverse=True))


def _units(text: str) -> list[str]:
    """A text's letters, those drawn as one kept together and runs of spaces folded into one."""
    units: list[str] = []
    at = 0
    while at < len(text):
        unit = text[at]
        if unit == "f":
            unit = next((each for each in _together() if text.startswith(each, at)), unit)
        at += len(unit)
        if unit in _SPACES:
            unit = " "
            if units and units[-1] == " ":
                continue
        units.append(unit)
    return units


def _places(units: Sequence[str], face: Face) -> list[float]:
    """Where each letter begins, and the last one ends, in em."""
    metrics = _faces().get(face)
    if metrics is None:
        known = ", ".join(f"{each.weight} at {each.width} %" for each in _faces())
        raise ValueError(f"no widths of weight {face.weight} at {face.width} %; known are {known}")
    widths, left, right, kerning = metrics.widths, metrics.left, metrics.right, metrics.kerning
    place, places = 0.0, [0.0]
    row: Sequence[float] | None = None
    for unit in units:
        width = widths.get(unit)
        if width is None:
            width, row = _unknown(unit), None
        else:
            if row is not None:
                place += row[right[unit]]
                places[-1] = place
            row = kerning[left[unit]]
        place += width
        places.append(place)
    return places


def _unknown(unit: str) -> float:
    if unicodedata.combining(unit) or unicodedata.category(unit) in ("Mn", "Me", "Cf"):
        return 0.0
    return _WIDE if unicodedata.east_asian_width(unit) in "WF" else _OTHER
