"""The one rule by which figures are rounded and shown."""

from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from buildlog.figures.quantities import Dimension, parse_length, parse_quantity
from buildlog.figures.rounding import (
    MINUS,
    coarsest_digit,
    decimal_text,
    round_half_even,
    show,
    show_percent,
    show_quantity,
    show_value,
)
from buildlog.figures.scale import Scale, ScalingLaw, to_full_size, to_model
from buildlog.figures.units import BY_SYMBOL

INCH = Fraction("0.0254")


def _spaced(text):
    return text.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("written", "metric", "imperial"),
    [
        pytest.param("28.30 m", "28.30 m", "92 ft 10 1/8 in", id="length in metres"),
        pytest.param("28 m", "28 m", "92 ft", id="length in whole metres"),
        pytest.param("24 ft 7 in", "7.49 m", "24 ft 7 in", id="length in feet and inches"),
        pytest.param("4 ft 8½ in", "1435 mm", "4 ft 8 1/2 in", id="length to half an inch"),
        pytest.param("1 in", "25 mm", "1 in", id="an inch"),
        pytest.param("23.9 in", "607 mm", "23.9 in", id="decimal inches"),
        pytest.param("610 mm", "610 mm", "2 ft 1/64 in", id="just over two feet"),
        pytest.param("3 miles", "4.8 km", "3 miles", id="miles"),
        pytest.param("10.0 km", "10.0 km", "6.21 miles", id="kilometres"),
        pytest.param("0.5 mm", "0.5 mm", "20 thou", id="small length"),
        pytest.param("3 mm", "3 mm", "1/8 in", id="length under an eighth of an inch at full size"),
        pytest.param("310 t", "310 t", "305.1 long tons", id="tonnes"),
        pytest.param("12 short tons", "10.9 t", "12 short tons", id="short tons"),
        pytest.param("12 lb", "5.4 kg", "12 lb", id="pounds"),
        pytest.param("11 kn", "20.4 km/h", "12.7 mph", id="knots"),
        pytest.param("60 mph", "96.6 km/h", "60 mph", id="miles an hour"),
        pytest.param("8 s", "8.0 s", "8.0 s", id="seconds"),
        pytest.param("45 hp", "33.6 kW", "45 hp", id="horsepower"),
        pytest.param("12 m²", "12 m²", "129 sq ft", id="square metres"),
        pytest.param("9 imp gal", "41 l", "9 imp gal", id="gallons meet litres"),
        pytest.param("40 l", "40 l", "8.8 imp gal", id="litres meet gallons"),
        pytest.param("5 US gal", "19 l", "5 US gal", id="gallons of the United States"),
        pytest.param("300 GRT", "850 m³", "300 register tons", id="register tons"),
        pytest.param("180 psi", "12.41 bar", "180 psi", id="pressure"),
        pytest.param("4500 lbf", "20.017 kN", "4500 lbf", id="force"),
    ],
)
def test_full_size_in_both_systems(written, metric, imperial):
    """A quantity shows as written in its own system and by the rule in the other."""
    quantity = parse_quantity(written)

    assert _spaced(show(quantity, system="metric")) == metric
    assert _spaced(show(quantity, system="imperial")) == imperial


@pytest.mark.parametrize(
    ("written", "law", "own", "metric", "imperial"),
    [
        pytest.param("28.30 m", "length", "1179.2 mm", "1179.2 mm", "46 27/64 in", id="length"),
        pytest.param("24 ft 7 in", "length", "12 19/64 in", "312.2 mm", "12 19/64 in", id="imperial length"),
        pytest.param("60 m", "length", "2500 mm", "2500 mm", "98 1/2 in", id="large model"),
        pytest.param("25 mm", "length", "1.04 mm", "1.04 mm", "41.0 thou", id="small length"),
        pytest.param("2 ft", "length", "1 in", "25 mm", "1 in", id="whole inches"),
        pytest.param("310 t", "mass", "22.42 kg", "22.42 kg", "49.44 lb", id="mass"),
        pytest.param("11 kn", "speed", "2.2 kn", "1.16 m/s", "3.8 ft/s", id="speed"),
        pytest.param("20 km/h", "speed", "1.13 m/s", "1.13 m/s", "3.72 ft/s", id="metric speed"),
        pytest.param("8 s", "time", "1.6 s", "1.6 s", "1.6 s", id="time"),
        pytest.param("12 m²", "area", "208 cm²", "208 cm²", "32 sq in", id="area"),
        pytest.param("40 l", "volume", "2.89 ml", "2.89 ml", "0.177 cu in", id="volume"),
    ],
)
def test_model_size_in_both_systems(written, law, own, metric, imperial):
    """A figure at model size keeps to millimetres or inches, and to what the full size was known to."""
    model = to_model(parse_quantity(written), Scale("1:24", Fraction(24)), ScalingLaw(law))

    assert _spaced(show(model, on_model=True)) == own
    assert _spaced(show(model, system="metric", on_model=True)) == metric
    assert _spaced(show(model, system="imperial", on_model=True)) == imperial


def test_a_unit_can_be_asked_for():
    """A figure shows in the unit asked for, by the same rule."""
    length = parse_length("28.30 m")

    assert _spaced(show(length, unit="ft")) == "92 ft 10 1/8 in"
    assert _spaced(show(length, unit="in")) == "1114 1/8 in"
    assert _spaced(show(length, unit="mm")) == "28300 mm"


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        pytest.param("0.0012", "+1.2 mm", id="above"),
        pytest.param("-0.0012", "−1.2 mm", id="below"),
        pytest.param("0", "0.0 mm", id="zero"),
        pytest.param("-0.00001", "0.0 mm", id="rounds to zero from below"),
        pytest.param("0.00001", "0.0 mm", id="rounds to zero from above"),
    ],
)
def test_differences_carry_a_true_sign(value, shown):
    """A difference has a plus or a true minus sign, and nothing at all has neither."""
    difference = show_value(Fraction(value), Fraction("0.0004"), Dimension.length, signed=True)

    assert _spaced(difference.text) == shown


def test_imperial_differences_carry_a_true_sign():
    """Inches and thou carry the same signs."""
    shown = [
        show_value(Fraction(value) * INCH, INCH / 2, Dimension.length, system="imperial", signed=True).text
        for value in ("-30.5", "1/4", "0")
    ]

    assert list(map(_spaced, shown)) == [f"{MINUS}2 ft 6 1/2 in", "+1/4 in", "0 in"]


def test_a_difference_keeps_the_unit_of_what_it_differs_from():
    """Half a kilogram off 22 kg is +0.5 kg, not a row of grams."""
    difference = show_value(Fraction(1, 2), Fraction(1), Dimension.mass, signed=True, sized_by=Fraction(22))

    assert _spaced(difference.text) == "+0.5 kg"


def test_what_rounding_changed_is_known():
    """The error of a shown figure is what it says less what is exact."""
    shown = show_quantity(parse_length("1179.2 mm"), system="imperial", on_model=True)

    assert _spaced(shown.text) == "46 27/64 in"
    assert shown.value == (46 + Fraction(27, 64)) * INCH
    assert shown.error == shown.value - Fraction("1.1792")
    assert shown.last == INCH / 64


def test_a_step_of_nothing_is_refused():
    """A figure known to no step at all cannot be rounded, and says so."""
    with pytest.raises(ValueError, match="step must be above zero"):
        show_value(Fraction(1), Fraction(0), Dimension.length)


@pytest.mark.parametrize(
    ("share", "last", "shown"),
    [
        pytest.param("0.005", "0.001", "+0.5 %", id="above"),
        pytest.param("-0.00014", "0.00005", "−0.014 %", id="below"),
        pytest.param("0.00004", "0.001", "0.0 %", id="nothing to speak of"),
        pytest.param("0.152", "0.04", "+15 %", id="whole percent"),
    ],
)
def test_percentages_follow_the_rule(share, last, shown):
    """A percentage shows the coarsest digit no coarser than what is known."""
    assert _spaced(show_percent(Fraction(share), Fraction(last), signed=True)) == shown


@given(st.decimals(min_value=-(10**9), max_value=10**9, places=6), st.integers(-5, 3))
def test_rounding_is_decimal_half_even(number, exponent):
    """Rounding agrees with the decimal module's half-to-even, digit for digit."""
    expected = number.quantize(Decimal(1).scaleb(exponent), rounding=ROUND_HALF_EVEN)

    assert round_half_even(Fraction(number), Fraction(10) ** exponent) == Fraction(expected)
    assert decimal_text(Fraction(number), exponent) == f"{expected + 0:f}".replace("-", MINUS)


@given(st.fractions(min_value=Fraction(1, 10**12), max_value=10**12))
def test_the_coarsest_digit_is_the_coarsest(half_step):
    """The digit chosen is no coarser than half the step, and the next coarser one would be."""
    exponent = coarsest_digit(half_step)

    assert Fraction(10) ** exponent <= half_step < Fraction(10) ** (exponent + 1)


UNITS_BY_SYSTEM = {
    system: [unit for unit in BY_SYMBOL.values() if unit.system == system and unit.symbol not in ("cwt", "µm", "mg")]
    for system in ("metric", "imperial")
}


def _written(draw, system):
    unit = draw(st.sampled_from(UNITS_BY_SYSTEM[system]))
    places = draw(st.integers(0, 4))
    number = draw(st.integers(1, 10**6))
    figures = f"{Decimal((0, tuple(map(int, str(number))), -places)):f}"
    return parse_quantity(f"{figures} {unit.symbol}", unit.dimension)


@st.composite
def _metric_quantities(draw):
    return _written(draw, "metric")


@st.composite
def _imperial_quantities(draw):
    return _written(draw, "imperial")


@st.composite
def _feet_and_inches(draw):
    feet = draw(st.integers(0, 500))
    parts = draw(st.sampled_from([1, 2, 4, 8, 16, 32]))
    inches = Fraction(draw(st.integers(1, 12 * parts - 1)), parts)
    whole, part = divmod(inches, 1)
    fraction = f" {int(part * parts)}/{parts}" if parts > 1 else ""
    return parse_length(f"{feet} ft {whole}{fraction} in" if feet else f"{whole}{fraction} in")


def _assert_within_half_of_the_last_digit(shown, exact):
    """What is shown lies within half a unit of its last digit of what is exact, and reads back as what it says."""
    assert abs(shown.value - exact) <= shown.last / 2
    assert shown.error == shown.value - exact


def _assert_goes_and_comes_back(quantity, other):
    away = show_quantity(quantity, system=other)
    _assert_within_half_of_the_last_digit(away, quantity.value)
    assume(away.value > 0)
    there = parse_quantity(away.text, quantity.dimension)
    back = show_quantity(there, system=BY_SYMBOL[quantity.unit].system)

    assert there.value == away.value
    _assert_within_half_of_the_last_digit(back, there.value)
    assert abs(back.value - quantity.value) <= away.last / 2 + back.last / 2
    if away.last <= quantity.step / 2:
        assert round_half_even(there.value, quantity.step) == quantity.value
    else:
        assert away.last == INCH / 64


@given(_metric_quantities())
def test_metric_to_imperial_and_back(quantity):
    """Metric to imperial and back stays within half of the last digit shown; read to its step it is as written."""
    _assert_goes_and_comes_back(quantity, "imperial")


@given(_imperial_quantities())
def test_imperial_to_metric_and_back(quantity):
    """Imperial to metric and back stays within half of the last digit shown; read to its step it is as written."""
    _assert_goes_and_comes_back(quantity, "metric")


@given(_feet_and_inches())
def test_feet_and_inches_to_metric_and_back(quantity):
    """Feet, inches and fractions come back from metric as they were written."""
    _assert_goes_and_comes_back(quantity, "metric")


@given(
    st.one_of(_metric_quantities(), _imperial_quantities(), _feet_and_inches()),
    st.fractions(min_value=1, max_value=400, max_denominator=100),
    st.sampled_from(["metric", "imperial"]),
)
def test_model_to_full_size_and_back(measured, ratio, system):
    """A measure shown at full size, read there and taken back, is within half of the last digit shown."""
    scale = Scale("", ratio)
    law = ScalingLaw(measured.dimension.value) if measured.dimension.value in ScalingLaw.__members__ else None
    assume(law is not None)
    full = to_full_size(measured, scale, law)
    shown = show_quantity(full, system=system)
    assume(shown.value > 0)

    back = to_model(parse_quantity(shown.text, measured.dimension), scale, law)

    assert abs(back.value - measured.value) <= shown.last / 2 * measured.value / full.value
    if shown.last <= full.step / 2:
        assert round_half_even(back.value, measured.step) == measured.value


@given(st.one_of(_metric_quantities(), _imperial_quantities()), st.sampled_from(["metric", "imperial"]))
def test_the_last_digit_is_no_coarser_than_half_the_step(quantity, system):
    """A figure that was converted shows a last digit no coarser than half the step, or a 64th of an inch."""
    shown = (
        show_quantity(to_model(quantity, Scale("1:1", Fraction(1)), ScalingLaw.length), system=system)
        if (quantity.dimension is Dimension.length)
        else show_value(quantity.value, quantity.step, quantity.dimension, system=system)
    )

    assert shown.last <= max(quantity.step / 2, INCH / 64 if quantity.dimension is Dimension.length else 0)
