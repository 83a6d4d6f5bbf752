"""Quantities as people write them: `28.30 m`, `7 ft 6 1/2 in`, `310 t`, `11 kn`.

Every quantity is read exactly, as a fraction of the SI unit of its dimension, and remembers how finely it was
written. Nothing is guessed: what could mean two things is refused, with both spelt out.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from functools import cache
from itertools import pairwise

from buildlog.figures.units import BY_SYMBOL, UNITS, Dimension, Unit

__all__ = [
    "Dimension",
    "Quantity",
    "parse_area",
    "parse_force",
    "parse_length",
    "parse_mass",
    "parse_number",
    "parse_power",
    "parse_pressure",
    "parse_quantity",
    "parse_speed",
    "parse_time",
    "parse_volume",
]

NO_BREAK = "\N{NO-BREAK SPACE}"

_LONGEST_TEXT = 64
_MOST_DIGITS = 15

_EXAMPLES = {
    None: "a size such as 12 mm, 310 t or 11 kn",
    Dimension.length: "a length such as 12 mm or 1/2 in",
    Dimension.area: "an area such as 12 m² or 130 sq ft",
    Dimension.volume: "a volume such as 40 l or 9 imp gal",
    Dimension.mass: "a mass such as 310 t or 12 lb",
    Dimension.speed: "a speed such as 11 kn or 20 km/h",
    Dimension.time: "a time such as 8 s or 20 min",
    Dimension.power: "a power such as 400 kW or 540 hp",
    Dimension.force: "a force such as 45 kN or 4500 lbf",
    Dimension.pressure: "a pressure such as 12 bar or 180 psi",
}

_TWO_MEANINGS = {
    "ton": "t (1000 kg), long tons (2240 lb) or short tons (2000 lb)",
    "cwt": "kg, or lb (a hundredweight is 112 lb here and 100 lb there)",
    "gal": "imp gal or US gal",
    "mil": "thou or mm",
}
"""Words people use for more than one unit, and what to write instead."""

_SMALLER = {
    "ft": ("in", 12),
    "lb": ("oz", 16),
    "st": ("lb", 14),
    "long ton": ("cwt", 20),
    "h": ("min", 60),
    "min": ("s", 60),
}
"""Units that may follow one another in one quantity, and how many of the smaller make one of the larger."""


@dataclass(frozen=True)
class Quantity:
    """A size, exactly, and how finely it was written."""

    text: str
    """As written; empty for a quantity that was computed."""
    value: Fraction
    """In the SI unit of its dimension: m, m², m³, kg, m/s, s, W, N or Pa. Always above zero."""
    dimension: Dimension
    unit: str
    """Symbol of the unit it was written in; the larger one of feet and inches."""
    step: Fraction
    """Worth, in the same SI unit, of one more in the last digit written: `28.30 m` is written to 0.01 m,
    `300 mm` to 1 mm, `7 ft 6 1/2 in` to half an inch."""
    tidy: str = ""
    """The same figures in one spelling, with no-break spaces; empty for a quantity that was computed."""

    def __str__(self) -> str:
        if self.tidy:
            return self.tidy
        si = next(unit for unit in UNITS if unit.dimension is self.dimension and unit.factor == 1)
        return f"{float(self.value):g}{NO_BREAK}{si.symbol}"


@dataclass(frozen=True)
class _Number:
    value: Fraction
    step: Fraction
    tidy: str

    @property
    def is_whole(self) -> bool:
        return self.step == 1


_SAME_CHARACTER = str.maketrans(
    {
        **dict.fromkeys("\u2032\u2018\u2019\u02b9\u00b4\u0060", "'"),
        **dict.fromkeys("\u2033\u201c\u201d\u02ba\u201e", '"'),
        **dict.fromkeys("\u2212\u2010\u2011\u2012\u2013\u2014", "-"),
        **dict.fromkeys("\u2044\u2215", "/"),
        "\u2236": ":",
        **dict.fromkeys("\u200b\u2060\ufeff", ""),
    }
)


@cache
def _vulgar(character: str) -> str:
    """`½` as ` 1/2`, with a space so that `7½` stays seven and a half; any other character as it is."""
    name = unicodedata.name(character, "")
    if name.startswith("VULGAR FRACTION"):
        return " " + unicodedata.normalize("NFKC", character).replace("\u2044", "/")
    return character


def plain(text: str) -> str:
    """One plain spelling of typographic characters: primes, minus signs, spaces, ½ and the like."""
    text = "".join(map(_vulgar, text)).translate(_SAME_CHARACTER)
    text = unicodedata.normalize("NFKC", text).translate(_SAME_CHARACTER).replace("''", '"')
    return " ".join(text.split())


def quoted(text: str) -> str:
    """What was found, short enough and safe to stand in a message."""
    shown = "".join(c if c.isprintable() else " " for c in text[:200])
    shown = " ".join(shown.split())
    if len(shown) > 40 or len(text) > 200:
        shown = shown[:30] + "…"
    return f'"{shown}"'


_SPACED = re.compile(r"[0-9]{1,3}(?: [0-9]{3})+(?:[.,][0-9]+)?")
_COMMA_GROUPS = re.compile(r"[0-9]{1,3}(?:(?:,[0-9]{3})+\.[0-9]+|(?:,[0-9]{3}){2,})")
_POINT_GROUPS = re.compile(r"[0-9]{1,3}(?:(?:\.[0-9]{3})+,[0-9]+|(?:\.[0-9]{3}){2,})")
_EITHER = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_PLAIN = re.compile(r"[0-9]*[.,][0-9]+|[0-9]+")
_FRACTION = re.compile(r"(?:([0-9]+)[ -])?([0-9]+) ?/ ?([0-9]+)")


def _decimal(figures: str, text: str) -> _Number:
    if _EITHER.fullmatch(figures):
        whole = figures.replace(",", "")
        raise ValueError(
            f"{quoted(text)} could mean {whole} or {figures.replace(',', '.')}; write the one that is meant"
        )
    if _SPACED.fullmatch(figures):
        figures = figures.replace(" ", "").replace(",", ".")
    elif _COMMA_GROUPS.fullmatch(figures):
        figures = figures.replace(",", "")
    elif _POINT_GROUPS.fullmatch(figures):
        figures = figures.replace(".", "").replace(",", ".")
    elif _PLAIN.fullmatch(figures):
        figures = figures.replace(",", ".")
    else:
        raise ValueError(f"{quoted(text)} has a number that cannot be read; write it as 1179 or 28.30")
    whole, _, decimals = figures.partition(".")
    if len(whole) + len(decimals) > _MOST_DIGITS:
        raise ValueError(f"{quoted(text)} has more digits than a size can have")
    whole = str(int(whole or "0"))
    tidy = f"{whole}.{decimals}" if decimals else whole
    return _Number(Fraction(tidy), Fraction(1, 10 ** len(decimals)), tidy)


def _number(figures: str, text: str) -> _Number:
    written = _FRACTION.fullmatch(figures)
    if written is None:
        return _decimal(figures, text)
    whole, above, below = written.groups()
    if max(map(len, (whole or "", above, below))) > _MOST_DIGITS:
        raise ValueError(f"{quoted(text)} has more digits than a size can have")
    if int(below) == 0:
        raise ValueError(f"{quoted(text)} divides by zero; write a fraction such as 1/2")
    step = Fraction(1, int(below))
    part = int(above) * step
    if whole is None:
        return _Number(part, step, f"{int(above)}/{int(below)}")
    if part >= 1:
        raise ValueError(f"{quoted(text)} has a fraction of one or more after a whole number; write it as 6 1/2")
    return _Number(int(whole) + part, step, f"{int(whole)}{NO_BREAK}{int(above)}/{int(below)}")


def parse_number(text: str) -> Fraction:
    """Read a bare number above zero or zero itself: `0.5`, `0,5`, `1/2`, `1 200`.

    Raises:
        ValueError: What is wrong and what to write instead, in one sentence.
    """
    return _number(_short(text, "a number such as 0.5"), text).value


_NUMBER_PATTERN = r"(?:[0-9]+[ -])?[0-9]+ ?/ ?[0-9]+|[.,]?[0-9](?:[0-9.,]| (?=[0-9]))*"
_UNIT_PATTERN = r"""'|"|[A-Za-z\u03bc][A-Za-z./^ ]*?(?:\^?[23])?"""
_PIECE = rf" ?({_NUMBER_PATTERN}) ?({_UNIT_PATTERN}) ?"
_QUANTITY = re.compile(rf"{_PIECE}(?:-?{_PIECE})?(?:-?{_PIECE})?")
_NO_UNIT = re.compile(rf"(?:{_PIECE}-?)? ?(?:{_NUMBER_PATTERN}) ?")
_EXPONENT = re.compile(r"[0-9.,]+ ?[eE][+-]?[0-9]+(?![0-9]).*")


@cache
def _spellings() -> dict[str, Unit]:
    return {plain(word): unit for unit in UNITS for word in (unit.symbol, *unit.spellings)}


@cache
def _spellings_any_case() -> dict[str, set[Unit]]:
    found: dict[str, set[Unit]] = {}
    for word, unit in _spellings().items():
        found.setdefault(word.casefold(), set()).add(unit)
    return found


def _unit(word: str, dimension: Dimension | None, text: str) -> Unit:
    known = _spellings()
    if word in known:
        return known[word]
    # Capitals alone are forgiven (MM, Knots) where only one unit can be meant; kn and kN are two.
    if word.isupper() or len(word) > 3:
        alike = _spellings_any_case().get(word.casefold(), set())
        if len(alike) == 1:
            return next(iter(alike))
        if alike:
            choice = " or ".join(sorted(unit.symbol for unit in alike))
            raise ValueError(f'{quoted(text)}: "{word}" has more than one meaning; write {choice}')
    singular = word.casefold().rstrip(".s").removesuffix("lon")
    if singular in _TWO_MEANINGS:
        raise ValueError(f'{quoted(text)}: "{word}" has more than one meaning; write {_TWO_MEANINGS[singular]}')
    words = [w for w, unit in known.items() if dimension in (None, unit.dimension)]
    near = get_close_matches(word, words, n=1, cutoff=0.6) or get_close_matches(word.casefold(), words, n=1, cutoff=0.6)
    instead = f"did you mean {known[near[0]].symbol}" if near else f"write {_EXAMPLES[dimension]}"
    raise ValueError(f'{quoted(text)}: "{word[:20]}" is not a unit known here; {instead}'.rstrip())


def _short(text: str, example: str) -> str:
    """The text in plain characters, once it is known to be short enough to be worth reading."""
    if len(text) > _LONGEST_TEXT:
        text = text.strip() if len(text) < 10 * _LONGEST_TEXT else text
    if len(text) > _LONGEST_TEXT:
        raise ValueError(f"{quoted(text)} is too long; write {example}")
    return plain(text)


def _not_understood(found: str, text: str, dimension: Dimension | None) -> ValueError:
    example = _EXAMPLES[dimension]
    if not found:
        return ValueError(f"nothing is written here; write {example}")
    if found.startswith("-"):
        return ValueError(f"{quoted(text)} is below zero; write {example}")
    if _NO_UNIT.fullmatch(found):
        return ValueError(f"{quoted(text)} has no unit; write {example}")
    if _EXPONENT.fullmatch(found):
        return ValueError(f"{quoted(text)} has an exponent; write the number in full, as in 1200 mm")
    return ValueError(f"{quoted(text)} is not understood; write {example}")


def _with_article(dimension: Dimension) -> str:
    return f"an {dimension}" if dimension is Dimension.area else f"a {dimension}"


def _check_chain(units: Sequence[Unit], numbers: Sequence[_Number], text: str) -> None:
    for (larger, count), (smaller, next_count) in pairwise(zip(units, numbers, strict=True)):
        follows = _SMALLER.get(larger.symbol)
        if follows is None or follows[0] != smaller.symbol:
            raise ValueError(
                f"{quoted(text)} puts {smaller.symbol} after {larger.symbol}; write it in one unit, or as 7 ft 6 in"
            )
        if not count.is_whole:
            raise ValueError(
                f"{quoted(text)} has a part of a {larger.symbol} before {smaller.symbol}; "
                f"write whole {larger.symbol}, as in 7 ft 6 in"
            )
        if next_count.value >= follows[1]:
            raise ValueError(
                f"{quoted(text)} has {next_count.tidy} {smaller.symbol}, and {follows[1]} make one {larger.symbol}; "
                f"write fewer than {follows[1]}"
            )


def parse_quantity(text: str, dimension: Dimension | None = None) -> Quantity:
    """Read a quantity as a person writes it.

    Decimal points and commas, grouped digits, fractions, feet and inches, typographic primes, minus signs and
    no-break spaces are all understood.

    Args:
        text: Such as `28.30 m`, `7' 6½"`, `3/8 in`, `310 t`, `11 kn`.
        dimension: What it must be a quantity of; None for any.

    Raises:
        ValueError: What is wrong and what to write instead, in one sentence.
    """
    found = _short(text, _EXAMPLES[dimension])
    matched = _QUANTITY.fullmatch(found)
    if matched is None or _EXPONENT.fullmatch(found):
        raise _not_understood(found, text, dimension)
    groups = [group for group in matched.groups() if group is not None]
    numbers = [_number(figures, text) for figures in groups[::2]]
    units = [_unit(word.strip(), dimension, text) for word in groups[1::2]]
    if len(units) == 1 and units[0].symbol == "cwt":
        raise ValueError(f'{quoted(text)}: "cwt" has more than one meaning; write {_TWO_MEANINGS["cwt"]}')
    _check_chain(units, numbers, text)
    if dimension not in (None, units[0].dimension):
        raise ValueError(f"{quoted(text)} is {_with_article(units[0].dimension)}; write {_EXAMPLES[dimension]}")
    value = sum((n.value * unit.factor for n, unit in zip(numbers, units, strict=True)), Fraction(0))
    if value == 0:
        raise ValueError(f"{quoted(text)} is nothing at all; write {_EXAMPLES[dimension]}, or leave it out until known")
    pieces = (f"{n.tidy}{NO_BREAK}{unit.after(n.tidy)}" for n, unit in zip(numbers, units, strict=True))
    return Quantity(
        text=text,
        value=value,
        dimension=units[0].dimension,
        unit=units[0].symbol,
        step=numbers[-1].step * units[-1].factor,
        tidy=NO_BREAK.join(pieces),
    )


def parse_length(text: str) -> Quantity:
    """Read a length; as `parse_quantity`."""
    return parse_quantity(text, Dimension.length)


def parse_area(text: str) -> Quantity:
    """Read an area; as `parse_quantity`."""
    return parse_quantity(text, Dimension.area)


def parse_volume(text: str) -> Quantity:
    """Read a volume; as `parse_quantity`."""
    return parse_quantity(text, Dimension.volume)


def parse_mass(text: str) -> Quantity:
    """Read a mass; as `parse_quantity`."""
    return parse_quantity(text, Dimension.mass)


def parse_speed(text: str) -> Quantity:
    """Read a speed; as `parse_quantity`."""
    return parse_quantity(text, Dimension.speed)


def parse_time(text: str) -> Quantity:
    """Read a time; as `parse_quantity`."""
    return parse_quantity(text, Dimension.time)


def parse_power(text: str) -> Quantity:
    """Read a power; as `parse_quantity`."""
    return parse_quantity(text, Dimension.power)


def parse_force(text: str) -> Quantity:
    """Read a force; as `parse_quantity`."""
    return parse_quantity(text, Dimension.force)


def parse_pressure(text: str) -> Quantity:
    """Read a pressure; as `parse_quantity`."""
    return parse_quantity(text, Dimension.pressure)


def unit_named(symbol: str) -> Unit:
    """The unit with this symbol.

    Raises:
        KeyError: No unit has it.
    """
    return BY_SYMBOL[symbol]
