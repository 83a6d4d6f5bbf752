"""Tolerances as people write them, and whether a measure off the model keeps within one."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from buildlog.figures.quantities import NO_BREAK, Dimension, parse_length, parse_number, plain, quoted

_EXAMPLE = "a tolerance such as 1 mm, 1/32 in, 0.5 % or ISO 2768-m"
_LONGEST_TEXT = 64


class ToleranceKind(StrEnum):
    """How a tolerance is stated."""

    length = "length"
    percent = "percent"
    iso_2768 = "ISO 2768-1"


class ToleranceClass(StrEnum):
    """The tolerance classes of ISO 2768-1."""

    fine = "f"
    medium = "m"
    coarse = "c"
    very_coarse = "v"


_UP_TO_MM = tuple(map(Fraction, (3, 6, 30, 120, 400, 1000, 2000, 4000)))
_SMALLEST_MM = Fraction("0.5")
_ALLOWED_MM: dict[ToleranceClass, tuple[str, ...]] = {
    ToleranceClass.fine: ("0.05", "0.05", "0.1", "0.15", "0.2", "0.3", "0.5", ""),
    ToleranceClass.medium: ("0.1", "0.1", "0.2", "0.3", "0.5", "0.8", "1.2", "2"),
    ToleranceClass.coarse: ("0.2", "0.3", "0.5", "0.8", "1.2", "2", "3", "4"),
    ToleranceClass.very_coarse: ("", "0.5", "1", "1.5", "2.5", "4", "6", "8"),
}
"""ISO 2768-1:1989, table 1 (linear dimensions except broken edges), read in a transcription: permissible deviations
in mm for sizes over the row before and up to and including `_UP_TO_MM`; empty where the class has none."""


@dataclass(frozen=True)
class Tolerance:
    """How far a measure may lie from its target, either way."""

    text: str
    """As written."""
    kind: ToleranceKind
    amount: Fraction
    """Metres for a length; a share (0.005 for 0.5 %) for a percentage; 0 for a class."""
    tidy: str
    """The same in one spelling, with no-break spaces."""
    tolerance_class: ToleranceClass | None = None
    """The class of ISO 2768-1, for a tolerance of that kind."""

    def __str__(self) -> str:
        return self.tidy


_PERCENT = re.compile(r"(.+?) ?(?:%|per ?cent)")
_ISO = re.compile(r"iso ?2768(?: ?- ?1)? ?[- ]? ?([a-z ]+)", re.IGNORECASE)
_CLASS_WORDS = {
    **{one.value: one for one in ToleranceClass},
    **{one.name.replace("_", " "): one for one in ToleranceClass},
}


def _percent(figures: str, text: str) -> Tolerance:
    try:
        percent = parse_number(figures)
    except ValueError:
        raise ValueError(f"{quoted(text)} is not understood; write {_EXAMPLE}") from None
    if not 0 < percent < 100:
        raise ValueError(f"{quoted(text)} is no tolerance; write more than 0 % and less than 100 %")
    tidy = f"{figures.replace(',', '.')}{NO_BREAK}%"
    return Tolerance(text, ToleranceKind.percent, percent / 100, tidy)


def _iso_class(word: str, text: str) -> Tolerance:
    found = _CLASS_WORDS.get(word.strip()) or _CLASS_WORDS.get(word.strip().lower())
    if found is None:
        raise ValueError(f"{quoted(text)} names no class of ISO 2768-1; write ISO 2768- and then f, m, c or v")
    tidy = f"ISO{NO_BREAK}2768-{found}"
    return Tolerance(text, ToleranceKind.iso_2768, Fraction(0), tidy, found)


def parse_tolerance(text: str) -> Tolerance:
    """Read a tolerance as a person writes it: `0.5 %`, `1 mm`, `± 1/32 in`, `ISO 2768-m`.

    Raises:
        ValueError: What is wrong and what to write instead, in one sentence.
    """
    if len(text) > _LONGEST_TEXT:
        raise ValueError(f"{quoted(text)} is too long; write {_EXAMPLE}")
    found = plain(text).removeprefix("±").removeprefix("+/-").strip()
    if not found:
        raise ValueError(f"nothing is written here; write {_EXAMPLE}")
    if percent := _PERCENT.fullmatch(found):
        return _percent(percent[1], text)
    if iso := _ISO.fullmatch(found):
        return _iso_class(iso[1], text)
    if found[:3].lower() == "iso":
        raise ValueError(f"{quoted(text)} names no class of ISO 2768-1; write ISO 2768- and then f, m, c or v")
    try:
        length = parse_length(found)
    except ValueError as error:
        wrong = str(error).partition(";")[0]
        raise ValueError(f"{wrong}; write {_EXAMPLE}") from None
    return Tolerance(text, ToleranceKind.length, length.value, length.tidy)


def _allowed_by_class(tolerance_class: ToleranceClass, nominal: Fraction) -> Fraction:
    nominal_mm = nominal * 1000
    name = f"class {tolerance_class} of ISO 2768-1"
    if nominal_mm < _SMALLEST_MM:
        raise ValueError(f"{name} begins at 0.5 mm on the model; write a tolerance such as 0.05 mm or 10 %")
    if nominal_mm > _UP_TO_MM[-1]:
        raise ValueError(f"{name} ends at 4000 mm on the model; write a tolerance such as 5 mm or 0.1 %")
    row = next(index for index, up_to in enumerate(_UP_TO_MM) if nominal_mm <= up_to)
    allowed = _ALLOWED_MM[tolerance_class][row]
    if not allowed:
        bound = "above 2000 mm" if row else "up to 3 mm"
        raise ValueError(f"{name} has no value {bound} on the model; write a tolerance such as 1 mm or 0.5 %")
    return Fraction(allowed) / 1000


def allowed(tolerance: Tolerance, nominal: Fraction, dimension: Dimension = Dimension.length) -> Fraction:
    """How far a measure may lie from its target, either way.

    Args:
        tolerance: As the record states it.
        nominal: The target at model size, in the SI unit of its dimension. ISO 2768-1 is about the part that
            is made, so its class is looked up by this size and never by the full size.
        dimension: What the target is; only lengths can have a tolerance other than a percentage.

    Returns:
        The deviation allowed, in the same unit as the target.

    Raises:
        ValueError: The tolerance does not fit the dimension, or its class has no value for this size.
    """
    if tolerance.kind is ToleranceKind.percent:
        return tolerance.amount * abs(nominal)
    if dimension is not Dimension.length:
        raise ValueError(f"{quoted(tolerance.text)} is a tolerance for lengths; for a {dimension} write it in %")
    if tolerance.tolerance_class is not None:
        return _allowed_by_class(tolerance.tolerance_class, nominal)
    return tolerance.amount


def is_within(
    tolerance: Tolerance, nominal: Fraction, measured: Fraction, dimension: Dimension = Dimension.length
) -> bool:
    """Whether a measure keeps within a tolerance of its target; the edge itself is within.

    Both are exact, at model size and in the SI unit of their dimension; nothing is rounded before comparing.

    Raises:
        ValueError: As `allowed`.
    """
    return abs(measured - nominal) <= allowed(tolerance, nominal, dimension)
