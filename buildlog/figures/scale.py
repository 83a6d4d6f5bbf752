"""Scales, their trade names, and how each kind of quantity shrinks with them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Context, Decimal
from enum import StrEnum
from fractions import Fraction

from buildlog.figures.quantities import Dimension, Quantity, parse_length, parse_number, plain, quoted

_EXAMPLE = "a scale such as 1:24, 1/24 or 1/2 in = 1 ft"
_LARGEST_RATIO = 1_000_000
_SHOWN_DECIMALS = 4

FRESH_OVER_SEA_WATER = Fraction(1000, 1025)
"""Density of fresh water over that of sea water, as 1000 and 1025 kg/m³ (common practice for ships)."""


class ScalingLaw(StrEnum):
    """How a full-size quantity becomes one on a model at 1:N."""

    length = "length"
    """Divided by N."""
    area = "area"
    """Divided by N²."""
    volume = "volume"
    """Divided by N³."""
    mass = "mass"
    """Divided by N³: a model of the same density throughout."""
    speed = "speed"
    """Divided by √N: Froude's law, for vessels making waves of the right shape."""
    time = "time"
    """Divided by √N: Froude's law, for the period of a roll or a pitch."""
    none = "none"
    """Not scaled: the model has no such figure."""


_POWER = {
    ScalingLaw.length: Fraction(1),
    ScalingLaw.area: Fraction(2),
    ScalingLaw.volume: Fraction(3),
    ScalingLaw.mass: Fraction(3),
    ScalingLaw.speed: Fraction(1, 2),
    ScalingLaw.time: Fraction(1, 2),
}
"""The power of N each law divides by. Geometric similarity, and Froude's law for speed and time."""


_INCHES_TO_THE_FOOT = {
    Fraction(1, 32): "1/32 inch",
    Fraction(1, 16): "sixteenth of an inch",
    Fraction(3, 32): "3/32 inch",
    Fraction(1, 8): "eighth of an inch",
    Fraction(3, 16): "3/16 inch",
    Fraction(1, 4): "quarter inch",
    Fraction(3, 8): "3/8 inch",
    Fraction(1, 2): "half inch",
    Fraction(3, 4): "three-quarter inch",
    Fraction(1): "one inch",
    Fraction(3, 2): "inch and a half",
    Fraction(2): "two inches",
    Fraction(3): "three inches",
}
_MILLIMETRES_TO_THE_FOOT = {
    Fraction(2): "2 mm",
    Fraction(7, 2): "3.5 mm",
    Fraction(4): "4 mm",
    Fraction(7): "7 mm",
    Fraction(10): "10 mm",
}

_TRADE_NAMES = {
    **{12 / inches: f"{words} to the foot" for inches, words in _INCHES_TO_THE_FOOT.items()},
    **{
        round(Fraction("304.8") / mm, _SHOWN_DECIMALS): f"{words} to the foot"
        for mm, words in _MILLIMETRES_TO_THE_FOOT.items()
    },
}
"""By the ratio as it is shown, so that 1:87.0857 and 3.5 mm = 1 ft have one name."""

_RAILWAY_NAMES = {
    Fraction(220): "Z",
    Fraction(160): "N",
    Fraction(120): "TT",
    Fraction(87): "H0",
    Fraction(64): "S",
    Fraction(45): "0",
    Fraction(32): "I",
    Fraction(45, 2): "II",
    Fraction(16): "III",
    Fraction(11): "V",
    Fraction(8): "VII",
    Fraction(11, 2): "X",
    Fraction("87.0857"): "H0",
}
"""Letters and figures of NEM 010 (2011), table 1; its note 3.4 counts 3.5 mm to the foot as 1:87."""


_OF_RAILS = frozenset(
    ["rail", "railway", "railroad", "railcar", "locomotive", "train", "tram", "tramcar", "tramway", "streetcar"]
)
"""Words for kinds of subject that run on rails."""


def runs_on_rails(kind: str) -> bool:
    """Whether a kind of subject runs on rails, so that railway modellers' names of scales mean something for it.

    It does where one of its words is rail, railway, railroad, railcar, locomotive, train, tram, tramcar, tramway or
    streetcar, or where it is rolling stock. A wagon or a crane alone may stand on a road.
    """
    words = kind.casefold().replace("-", " ").split()
    return "rolling stock" in " ".join(words) or any(word.removesuffix("s") in _OF_RAILS for word in words)


@dataclass(frozen=True)
class Scale:
    """One to so many."""

    text: str
    """As written."""
    ratio: Fraction
    """Full size over model size: 24 for 1:24. At least 1."""

    def __str__(self) -> str:
        return f"1:{Decimal(self._shown.numerator) / Decimal(self._shown.denominator):f}"

    @property
    def _shown(self) -> Fraction:
        return round(self.ratio, _SHOWN_DECIMALS)

    @property
    def trade_name(self) -> str | None:
        """What the trade calls it, such as "half inch to the foot"; None where it has no such name."""
        return _TRADE_NAMES.get(self._shown)

    @property
    def railway_name(self) -> str | None:
        """Its name among railway modellers by NEM 010, such as "H0"; None where it has none."""
        return _RAILWAY_NAMES.get(self._shown)

    def called(self, *, on_rails: bool) -> str:
        """Its names in words, such as "3/8 inch to the foot, railway scale I"; empty where it has none.

        Args:
            on_rails: Whether to give the railway name as well, which means nothing for other subjects.
        """
        railway = f"railway scale {self.railway_name}" if on_rails and self.railway_name else None
        return ", ".join(filter(None, [self.trade_name, railway]))


_ONE_TO = re.compile(r"(\S+?) ?[:/] ?(.+)")
_EQUATION = re.compile(r"(.+?) ?= ?(.+)")


def _scale_number(text: str, whole: str) -> Fraction:
    try:
        return parse_number(text)
    except ValueError:
        raise ValueError(f"{quoted(whole)} is not a scale; write {_EXAMPLE}") from None


def _ratio(found: str, text: str) -> Fraction:
    if equation := _EQUATION.fullmatch(found):
        try:
            model, full = map(parse_length, equation.groups())
        except ValueError as error:
            raise ValueError(f"{quoted(text)} is not a scale: {error}") from None
        return full.value / model.value
    one_to = _ONE_TO.fullmatch(found)
    if one_to is None:
        raise ValueError(f"{quoted(text)} is not a scale; write {_EXAMPLE}")
    one, ratio = (_scale_number(part, text) for part in one_to.groups())
    if ratio == 0:
        raise ValueError(f"{quoted(text)} divides by zero; write {_EXAMPLE}")
    if one != 1:
        raise ValueError(f"{quoted(text)} does not begin with 1; write {_EXAMPLE}")
    return ratio


def parse_scale(text: str) -> Scale:
    """Read a scale as a person writes it: `1:24`, `1/24`, `1 : 87.1`, `1/2 in = 1 ft`, `3.5 mm = 1 ft`.

    Raises:
        ValueError: What is wrong and what to write instead, in one sentence.
    """
    if len(text) > 100:
        raise ValueError(f"{quoted(text)} is too long; write {_EXAMPLE}")
    found = plain(text)
    if not found:
        raise ValueError(f"nothing is written here; write {_EXAMPLE}")
    ratio = _ratio(found, text)
    if ratio < 1:
        raise ValueError(f"{quoted(text)} makes the model larger than its subject; write {_EXAMPLE}")
    if ratio > _LARGEST_RATIO:
        raise ValueError(f"{quoted(text)} is smaller than any model can be; write {_EXAMPLE}")
    return Scale(text, ratio)


def default_law(dimension: Dimension) -> ScalingLaw:
    """The law for a quantity that names none: lengths, areas and volumes scale by themselves, the rest do not.

    A model is seldom made to scale mass, and speed by Froude's law holds for vessels alone, so those are asked for.
    """
    if dimension in (Dimension.length, Dimension.area, Dimension.volume):
        return ScalingLaw(dimension.value)
    return ScalingLaw.none


def check_law(dimension: Dimension, law: ScalingLaw) -> None:
    """See that a law can be asked of a quantity.

    Raises:
        ValueError: The law is for another dimension; says which to write.
    """
    if law is not ScalingLaw.none and law.value != dimension.value:
        known = [one.value for one in ScalingLaw if one.value in (dimension.value, "none")]
        raise ValueError(f"a {dimension} cannot scale as {law}; write {' or '.join(known)}")


_CONTEXT = Context(prec=60)


def root(number: Fraction) -> Fraction:
    """The square root: exact for the square of a fraction, otherwise good to 50 figures."""
    above, below = (_CONTEXT.sqrt(Decimal(part)) for part in (number.numerator, number.denominator))
    return Fraction(above) / Fraction(below)


def divisor(scale: Scale, law: ScalingLaw) -> Fraction:
    """What a full-size figure is divided by to become the model's.

    Raises:
        ValueError: The law is none: the model has no such figure.
    """
    if law is ScalingLaw.none:
        raise ValueError("this figure does not scale, so the model has none")
    power = _POWER[law]
    if power.denominator == 2:
        return root(scale.ratio)
    return Fraction(scale.ratio**power.numerator)


def _times(quantity: Quantity, factor: Fraction) -> Quantity:
    return Quantity(
        text="",
        value=quantity.value * factor,
        dimension=quantity.dimension,
        unit=quantity.unit,
        step=quantity.step * factor,
    )


def to_model(quantity: Quantity, scale: Scale, law: ScalingLaw) -> Quantity:
    """A full-size quantity at model size, its step shrunk alike.

    Raises:
        ValueError: The law is none, or is for another dimension.
    """
    check_law(quantity.dimension, law)
    return _times(quantity, 1 / divisor(scale, law))


def to_full_size(quantity: Quantity, scale: Scale, law: ScalingLaw) -> Quantity:
    """A quantity on the model at full size, its step grown alike.

    Raises:
        ValueError: The law is none, or is for another dimension.
    """
    check_law(quantity.dimension, law)
    return _times(quantity, divisor(scale, law))


def in_fresh_water(displacement: Quantity) -> Quantity:
    """A displacement in sea water as the mass that floats at the same waterline in fresh water.

    Raises:
        ValueError: It is not a mass.
    """
    check_law(displacement.dimension, ScalingLaw.mass)
    return _times(displacement, FRESH_OVER_SEA_WATER)
