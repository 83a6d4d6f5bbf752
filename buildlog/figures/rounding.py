"""The one rule by which figures are rounded and shown.

The last digit shown is no coarser than half the step of what was written, at the size that is shown: `28.30 m` is
written to 10 mm, which at 1:24 is 0.42 mm, so its length on the model is shown to 0.1 mm. Among the digits that
satisfy this the coarsest is used, so nothing looks better known than it is. Because rounding then moves a figure by
at most a quarter of the step, reading it back and rounding it to the step gives what was written.

Halves go to the even digit (ISO 80000-1, annex B, rule A), and always on exact fractions. Imperial lengths are shown
to a half, quarter and so on down to 1/64 inch, and what that changes is known; very small ones, below 1/8 inch on the
model and 1/32 inch at full size, are in thou. Digits left of the point are always shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from buildlog.figures.quantities import NO_BREAK, Quantity
from buildlog.figures.units import BY_SYMBOL, Dimension, System, Unit

MINUS = "\N{MINUS SIGN}"
FINEST_INCH_FRACTION = 64
_INCH = Fraction("0.0254")
_SMALLEST_IN_INCHES_ON_MODEL = _INCH / 8
_SMALLEST_IN_INCHES = _INCH / 32
_FEET_FROM = 24 * _INCH


class _Rung(NamedTuple):
    symbol: str
    starts_at: Fraction
    """Smallest value, in SI, shown in this unit."""


def _rungs(*rows: tuple[str, str]) -> tuple[_Rung, ...]:
    return tuple(_Rung(symbol, Fraction(starts_at)) for symbol, starts_at in rows)


_LADDERS: dict[tuple[Dimension, System], tuple[_Rung, ...]] = {
    (Dimension.length, "metric"): _rungs(("mm", "0"), ("m", "2"), ("km", "5000")),
    (Dimension.length, "imperial"): _rungs(("ft", "0"), ("mile", "5000")),
    (Dimension.area, "metric"): _rungs(("mm²", "0"), ("cm²", "0.001"), ("m²", "0.5"), ("ha", "50000")),
    (Dimension.area, "imperial"): _rungs(("sq in", "0"), ("sq ft", "0.2"), ("acre", "20000")),
    (Dimension.volume, "metric"): _rungs(("ml", "0"), ("l", "0.001"), ("m³", "10")),
    (Dimension.volume, "imperial"): _rungs(("cu in", "0"), ("cu ft", "0.02")),
    (Dimension.mass, "metric"): _rungs(("g", "0"), ("kg", "1"), ("t", "10000")),
    (Dimension.mass, "imperial"): _rungs(("oz", "0"), ("lb", "0.45359237"), ("long ton", "10000")),
    (Dimension.speed, "metric"): _rungs(("m/s", "0"), ("km/h", "2")),
    (Dimension.speed, "imperial"): _rungs(("ft/s", "0"), ("mph", "2")),
    (Dimension.time, "metric"): _rungs(("s", "0"), ("min", "120"), ("h", "7200")),
    (Dimension.time, "imperial"): _rungs(("s", "0"), ("min", "120"), ("h", "7200")),
    (Dimension.power, "metric"): _rungs(("W", "0"), ("kW", "1000"), ("MW", "10000000")),
    (Dimension.power, "imperial"): _rungs(("hp", "0")),
    (Dimension.force, "metric"): _rungs(("N", "0"), ("kN", "1000")),
    (Dimension.force, "imperial"): _rungs(("lbf", "0")),
    (Dimension.pressure, "metric"): _rungs(("kPa", "0"), ("bar", "100000")),
    (Dimension.pressure, "imperial"): _rungs(("psi", "0")),
}
"""Units each kind of figure is shown in, smaller to larger. Imperial lengths in feet are in feet and inches, and in
inches alone or thou where they are small."""

_ON_MODEL: dict[tuple[Dimension, System], str] = {
    (Dimension.length, "metric"): "mm",
    (Dimension.length, "imperial"): "in",
    (Dimension.speed, "metric"): "m/s",
    (Dimension.speed, "imperial"): "ft/s",
}
"""Kinds of figure that keep to one unit on a model, however large it is."""


@dataclass(frozen=True)
class Shown:
    """A figure as it is shown, and what showing it so has changed."""

    text: str
    """Number and unit with a no-break space between, and a true minus sign."""
    value: Fraction
    """What the text says, in the SI unit of its dimension."""
    last: Fraction
    """Worth of one in its last digit, or of its smallest fraction of an inch, in the same unit."""
    error: Fraction
    """What it says less what is exact, in the same unit."""


def round_half_even(value: Fraction, last: Fraction) -> Fraction:
    """The multiple of `last` nearest to a value; of two as near, the even one."""
    return round(value / last) * last


def coarsest_digit(half_step: Fraction) -> int:
    """The power of ten of the coarsest decimal digit that is no coarser than half a step, both in one unit."""
    exponent = len(str(half_step.numerator)) - len(str(half_step.denominator))
    return exponent if Fraction(10) ** exponent <= half_step else exponent - 1


def decimal_text(number: Fraction, exponent: int) -> str:
    """A number rounded, half to even, to a power of ten and written out, with a true minus sign and no sign on 0."""
    count = round(number / Fraction(10) ** exponent)
    digits = tuple(map(int, str(abs(count))))
    text = f"{Decimal((0, digits, exponent)):f}"
    return f"{MINUS}{text}" if count < 0 else text


def _plus(text: str, signed: bool, value: Fraction) -> str:
    return f"+{text}" if signed and value > 0 else text


def _in_decimals(value: Fraction, step: Fraction, unit: Unit, signed: bool) -> Shown:
    factor = unit.factor
    exponent = min(coarsest_digit(step / 2 / factor), 0)
    last = Fraction(10) ** exponent * factor
    rounded = round_half_even(value, last)
    figures = decimal_text(rounded / factor, exponent)
    text = f"{_plus(figures, signed, rounded)}{NO_BREAK}{unit.after(figures)}"
    return Shown(text, rounded, last, rounded - value)


def _inches_text(inches: Fraction) -> str:
    whole, part = divmod(inches, 1)
    if not part:
        return f"{whole}"
    fraction = f"{part.numerator}/{part.denominator}"
    return f"{whole}{NO_BREAK}{fraction}" if whole else fraction


def _in_feet_and_inches(value: Fraction, step: Fraction, signed: bool, *, feet: bool, on_model: bool) -> Shown:
    half = step / 2
    if feet and half >= 12 * _INCH and abs(value) >= _FEET_FROM:
        return _in_decimals(value, step, BY_SYMBOL["ft"], signed)
    parts = 1
    while _INCH / parts > half and parts < FINEST_INCH_FRACTION:
        parts *= 2
    last = _INCH / parts
    rounded = round_half_even(value, last)
    smallest = _SMALLEST_IN_INCHES_ON_MODEL if on_model else _SMALLEST_IN_INCHES
    if abs(value) < smallest and rounded != value:
        return _in_decimals(value, step, BY_SYMBOL["thou"], signed)
    size = abs(rounded)
    words = f"{_inches_text(size / _INCH)}{NO_BREAK}in"
    if feet and size >= _FEET_FROM:
        whole_feet, rest = divmod(size / _INCH, 12)
        words = f"{whole_feet}{NO_BREAK}ft{NO_BREAK}{_inches_text(rest)}{NO_BREAK}in"
    sign = MINUS if rounded < 0 else ""
    return Shown(_plus(sign + words, signed, rounded), rounded, last, rounded - value)


def _own_units(dimension: Dimension, system: System, written: Unit | None) -> tuple[_Rung, ...]:
    """The ladder, bent towards what the builder wrote: gallons meet litres, short tons stay short."""
    rungs = _LADDERS[dimension, system]
    if written is None or written.dimension is not dimension:
        return rungs
    if dimension is Dimension.volume and written.symbol in ("ml", "l", "imp gal", "US gal"):
        gallon = written.symbol if written.system == "imperial" else "imp gal"
        return _rungs(("ml", "0"), ("l", "0.001")) if system == "metric" else _rungs(("cu in", "0"), (gallon, "0.004"))
    if written.symbol == "short ton" and system == "imperial":
        return (*rungs[:-1], _Rung("short ton", rungs[-1].starts_at))
    return rungs


def _pick(rungs: tuple[_Rung, ...], value: Fraction, step: Fraction) -> Unit:
    """The unit for a value, or the next larger where digits left of the point would mean nothing."""
    chosen = max(index for index, rung in enumerate(rungs) if abs(value) >= rung.starts_at)
    unit = BY_SYMBOL[rungs[chosen].symbol]
    if chosen + 1 < len(rungs) and coarsest_digit(step / 2 / unit.factor) > 0:
        larger = BY_SYMBOL[rungs[chosen + 1].symbol]
        if abs(value) >= larger.factor:
            return larger
    return unit


def show_value(
    value: Fraction,
    step: Fraction,
    dimension: Dimension,
    *,
    system: System = "metric",
    unit: str | None = None,
    written_in: str | None = None,
    on_model: bool = False,
    signed: bool = False,
    sized_by: Fraction | None = None,
) -> Shown:
    """Round a figure by the rule of this module and show it.

    Args:
        value: In the SI unit of its dimension; may be below zero for a difference.
        step: How finely it is known, in the same unit; above zero.
        dimension: What it is.
        system: Whose units to show it in.
        unit: Symbol of the unit to use, whatever the system; chosen by size otherwise.
        written_in: Symbol of the unit the builder wrote, where it bears on the choice.
        on_model: Whether it is a size on the model, where lengths keep to mm or inches.
        signed: Whether to put a plus sign before a figure above zero.
        sized_by: The value whose size chooses the unit; for a difference, what it is a difference from. None for the
            value itself.

    Raises:
        ValueError: The step is not above zero.
    """
    if step <= 0:
        raise ValueError("a figure's step must be above zero")
    symbol = unit or (_ON_MODEL.get((dimension, system)) if on_model else None)
    if symbol is None:
        written = BY_SYMBOL.get(written_in or "")
        symbol = _pick(_own_units(dimension, system, written), sized_by or value, step).symbol
    if symbol in ("ft", "in"):
        return _in_feet_and_inches(value, step, signed, feet=symbol == "ft", on_model=on_model)
    return _in_decimals(value, step, BY_SYMBOL[symbol], signed)


def show_quantity(
    quantity: Quantity, *, system: System | None = None, unit: str | None = None, on_model: bool = False
) -> Shown:
    """Show a quantity, rounded by the rule of this module; as it was written where that is what is asked for.

    Args:
        quantity: As written, or as computed from one that was.
        system: Whose units to show it in; None for those it was written in.
        unit: Symbol of the unit to use, whatever the system.
        on_model: Whether it is a size on the model, where lengths keep to mm or inches.
    """
    written = BY_SYMBOL[quantity.unit]
    if unit is None and system in (None, written.system) and quantity.tidy:
        return Shown(quantity.tidy, quantity.value, quantity.step, Fraction(0))
    if system is None and unit is None and written.system is None:
        unit = written.symbol
    return show_value(
        quantity.value,
        quantity.step,
        quantity.dimension,
        system=system or written.system or "metric",
        unit=unit,
        written_in=quantity.unit,
        on_model=on_model,
    )


def show(quantity: Quantity, *, system: System | None = None, unit: str | None = None, on_model: bool = False) -> str:
    """The words of `show_quantity`, such as "1179.2 mm", "92 ft 10 1/8 in" or "22.42 kg"."""
    return show_quantity(quantity, system=system, unit=unit, on_model=on_model).text


def show_percent(share: Fraction, last: Fraction, *, signed: bool = False) -> str:
    """A share of one as a percentage, to the coarsest digit no coarser than `last`, itself a share of one."""
    exponent = min(coarsest_digit(last * 100), 0)
    percent = round_half_even(share * 100, Fraction(10) ** exponent)
    return f"{_plus(decimal_text(percent, exponent), signed, percent)}{NO_BREAK}%"
