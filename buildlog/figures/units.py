"""The units a builder may write, and what each is worth in SI.

The worth of each unit comes from pint and is exact. Importing pint and reading its definitions takes about
0.6 s, more than the rest of a run over a small workshop, so the factors are kept in `unit_factors.json` beside
this file; `python -m buildlog.figures.units` makes that file anew, and a test holds it to pint.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Literal

_FACTORS = Path(__file__).with_name("unit_factors.json")

System = Literal["metric", "imperial"]


class Dimension(StrEnum):
    """What a quantity is a quantity of; every value is kept in the unit named here."""

    length = "length"
    """Metres."""
    area = "area"
    """Square metres."""
    volume = "volume"
    """Cubic metres."""
    mass = "mass"
    """Kilograms."""
    speed = "speed"
    """Metres a second."""
    time = "time"
    """Seconds."""
    power = "power"
    """Watts."""
    force = "force"
    """Newtons."""
    pressure = "pressure"
    """Pascals."""


_SI = {
    Dimension.length: "meter",
    Dimension.area: "meter**2",
    Dimension.volume: "meter**3",
    Dimension.mass: "kilogram",
    Dimension.speed: "meter/second",
    Dimension.time: "second",
    Dimension.power: "watt",
    Dimension.force: "newton",
    Dimension.pressure: "pascal",
}


@dataclass(frozen=True)
class Unit:
    """One unit as it is shown and as it may be written."""

    symbol: str
    """The one spelling used wherever the unit is shown."""
    dimension: Dimension
    system: System | None
    """None for units at home in both, such as the knot and the second."""
    definition: str
    """What pint calls it."""
    spellings: tuple[str, ...] = ()
    """Other spellings accepted, the symbol apart."""
    plural: str = ""
    """Shown after any number but 1; empty where the symbol never changes."""

    @property
    def factor(self) -> Fraction:
        """SI units in one of this unit, exactly."""
        return _factors()[self.definition]

    def after(self, number: str) -> str:
        """The unit as it stands after a number already in figures."""
        return self.plural if self.plural and number != "1" else self.symbol


def _units(
    dimension: Dimension, system: System | None, *rows: tuple[str, str, str] | tuple[str, str, str, str]
) -> Iterable[Unit]:
    """Read rows of symbol, pint's name, other spellings (apart by commas) and plural."""
    for symbol, definition, spellings, *plural in rows:
        also = tuple(filter(None, spellings.split(",")))
        yield Unit(symbol, dimension, system, definition, also, plural[0] if plural else "")


# The fathom and the acre are built on the international foot: pint's own are those of the old US survey foot,
# 2 parts in a million longer. The register ton is 100 cubic feet. A hundredweight is 112 lb, and is read only after
# long tons, because 100 lb are a hundredweight in the United States.
UNITS: tuple[Unit, ...] = (
    *_units(
        Dimension.length,
        "metric",
        ("µm", "micrometer", "um,micron,microns"),
        ("mm", "millimeter", "millimetre,millimetres,millimeter,millimeters"),
        ("cm", "centimeter", "centimetre,centimetres,centimeter,centimeters"),
        ("m", "meter", "metre,metres,meter,meters"),
        ("km", "kilometer", "kilometre,kilometres,kilometer,kilometers"),
    ),
    *_units(
        Dimension.length,
        "imperial",
        ("thou", "thou", ""),
        ("in", "inch", '",in.,inch,inches'),
        ("ft", "foot", "',ft.,foot,feet"),
        ("yd", "yard", "yd.,yard,yards,yds"),
        ("fathom", "6*foot", "fathoms,fm", "fathoms"),
        ("mile", "mile", "miles,mi", "miles"),
    ),
    *_units(
        Dimension.length,
        None,
        ("nautical mile", "nautical_mile", "nautical miles,nmi,n mile,n miles", "nautical miles"),
    ),
    *_units(
        Dimension.area,
        "metric",
        ("mm²", "millimeter**2", "mm2,mm^2,sq mm"),
        ("cm²", "centimeter**2", "cm2,cm^2,sq cm"),
        ("m²", "meter**2", "m2,m^2,sq m,square metre,square metres"),
        ("ha", "hectare", "hectare,hectares"),
    ),
    *_units(
        Dimension.area,
        "imperial",
        ("sq in", "inch**2", "in2,in^2,sq. in.,square inch,square inches"),
        ("sq ft", "foot**2", "ft2,ft^2,sq. ft.,square foot,square feet"),
        ("sq yd", "yard**2", "yd2,yd^2,square yard,square yards"),
        ("acre", "43560*foot**2", "acres", "acres"),
    ),
    *_units(
        Dimension.volume,
        "metric",
        ("mm³", "millimeter**3", "mm3,mm^3,cu mm"),
        ("cm³", "centimeter**3", "cm3,cm^3,cc,cu cm"),
        ("ml", "milliliter", "mL,millilitre,millilitres"),
        ("l", "liter", "L,litre,litres,liter,liters"),
        ("m³", "meter**3", "m3,m^3,cu m,cubic metre,cubic metres"),
    ),
    *_units(
        Dimension.volume,
        "imperial",
        ("cu in", "inch**3", "in3,in^3,cu. in.,cubic inch,cubic inches"),
        ("cu ft", "foot**3", "ft3,ft^3,cu. ft.,cubic foot,cubic feet"),
        ("imp gal", "imperial_gallon", "imp gals,imp. gal.,imperial gallon,imperial gallons,UK gal"),
        ("US gal", "gallon", "US gals,US gallon,US gallons"),
        ("register ton", "100*foot**3", "register tons,GRT,grt,gross register tons", "register tons"),
    ),
    *_units(
        Dimension.mass,
        "metric",
        ("mg", "milligram", ""),
        ("g", "gram", "gram,grams,gramme,grammes"),
        ("kg", "kilogram", "kilogram,kilograms,kilo,kilos"),
        ("t", "metric_ton", "tonne,tonnes,metric ton,metric tons"),
    ),
    *_units(
        Dimension.mass,
        "imperial",
        ("oz", "ounce", "oz.,ounce,ounces"),
        ("lb", "pound", "lb.,lbs,lbs.,pound,pounds"),
        ("st", "stone", "stone,stones"),
        ("cwt", "UK_hundredweight", ""),
        ("long ton", "long_ton", "long tons,imperial ton,imperial tons", "long tons"),
        ("short ton", "short_ton", "short tons,US ton,US tons", "short tons"),
    ),
    *_units(
        Dimension.speed,
        "metric",
        ("m/s", "meter/second", "metres a second,metres per second"),
        ("m/min", "meter/minute", ""),
        ("km/h", "kilometer/hour", "kph,kmh,km/hr"),
    ),
    *_units(
        Dimension.speed,
        "imperial",
        ("ft/s", "foot/second", "fps"),
        ("ft/min", "foot/minute", "fpm"),
        ("mph", "mile/hour", "mi/h,miles an hour,miles per hour"),
    ),
    *_units(Dimension.speed, None, ("kn", "knot", "kt,kts,knot,knots")),
    *_units(
        Dimension.time,
        None,
        ("s", "second", "sec,secs,second,seconds"),
        ("min", "minute", "min.,mins,minute,minutes"),
        ("h", "hour", "hr,hrs,hour,hours"),
    ),
    *_units(
        Dimension.power,
        "metric",
        ("W", "watt", "watt,watts"),
        ("kW", "kilowatt", "kilowatt,kilowatts"),
        ("MW", "megawatt", ""),
        ("PS", "metric_horsepower", "ch,metric hp,metric horsepower"),
    ),
    *_units(
        Dimension.power,
        "imperial",
        ("hp", "horsepower", "h.p.,horsepower"),
        ("bhp", "horsepower", "b.h.p.,brake horsepower"),
        ("ihp", "horsepower", "i.h.p.,indicated horsepower"),
        ("shp", "horsepower", "s.h.p.,shaft horsepower"),
    ),
    *_units(
        Dimension.force,
        "metric",
        ("N", "newton", "newton,newtons"),
        ("kN", "kilonewton", "kilonewton,kilonewtons"),
        ("kgf", "kilogram_force", "kp"),
        ("tf", "1000*kilogram_force", ""),
    ),
    *_units(Dimension.force, "imperial", ("lbf", "pound_force", "lb f,pounds force")),
    *_units(
        Dimension.pressure,
        "metric",
        ("Pa", "pascal", ""),
        ("kPa", "kilopascal", ""),
        ("MPa", "megapascal", ""),
        ("bar", "bar", ""),
        ("kgf/cm²", "kilogram_force/centimeter**2", "kgf/cm2,kg/cm2,kp/cm2"),
    ),
    *_units(
        Dimension.pressure,
        "imperial",
        ("psi", "psi", "lb/in2,lbf/in2,lb/sq in,lbf/sq in,lb per sq in,p.s.i."),
    ),
)

BY_SYMBOL = {unit.symbol: unit for unit in UNITS}


@cache
def _factors() -> dict[str, Fraction]:
    kept = json.loads(_FACTORS.read_text(encoding="utf-8"))
    return {definition: Fraction(factor) for definition, factor in kept.items()}


def factors_from_pint() -> dict[str, str]:
    """Work out, with pint, the exact worth of each unit's definition in SI, as fractions in figures."""
    import pint

    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(non_int_type=Fraction)
    return {
        unit.definition: str(Fraction(registry(unit.definition).to(_SI[unit.dimension]).magnitude)) for unit in UNITS
    }


def render_factors() -> str:
    """The text of `unit_factors.json` as pint would have it."""
    return json.dumps(factors_from_pint(), indent=1) + "\n"


if __name__ == "__main__":
    _FACTORS.write_text(render_factors(), encoding="utf-8")
