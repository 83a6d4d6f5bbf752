"""Quantities as people write them."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.figures.quantities import (
    Dimension,
    parse_area,
    parse_force,
    parse_length,
    parse_mass,
    parse_number,
    parse_power,
    parse_pressure,
    parse_quantity,
    parse_speed,
    parse_time,
    parse_volume,
)
from buildlog.figures.units import UNITS


def _spaced(text):
    return text.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("written", "millimetres", "step_millimetres", "tidy"),
    [
        pytest.param("28.30 m", "28300", "10", "28.30 m", id="decimal point"),
        pytest.param("28,30 m", "28300", "10", "28.30 m", id="decimal comma"),
        pytest.param("28,3045 m", "28304.5", "0.1", "28.3045 m", id="comma before four digits"),
        pytest.param("0,125 m", "125", "1", "0.125 m", id="comma after nought"),
        pytest.param("1234,567 m", "1234567", "1", "1234.567 m", id="comma after four digits"),
        pytest.param("1.200 m", "1200", "1", "1.200 m", id="point before three digits"),
        pytest.param("1179 mm", "1179", "1", "1179 mm", id="whole"),
        pytest.param("1179mm", "1179", "1", "1179 mm", id="no space"),
        pytest.param("300 mm", "300", "1", "300 mm", id="noughts count as written"),
        pytest.param(".5 in", "12.7", "2.54", "0.5 in", id="nothing before the point"),
        pytest.param("1 200 mm", "1200", "1", "1200 mm", id="digits in groups"),
        pytest.param("1\N{NO-BREAK SPACE}200\N{NARROW NO-BREAK SPACE}mm", "1200", "1", "1200 mm", id="no-break spaces"),
        pytest.param("1,200.5 mm", "1200.5", "0.1", "1200.5 mm", id="comma groups and point"),
        pytest.param("1.200,5 mm", "1200.5", "0.1", "1200.5 mm", id="point groups and comma"),
        pytest.param("1,200,000 mm", "1200000", "1", "1200000 mm", id="two comma groups"),
        pytest.param("7 ft 6 in", "2286", "25.4", "7 ft 6 in", id="feet and inches"),
        pytest.param("7ft6in", "2286", "25.4", "7 ft 6 in", id="feet and inches without spaces"),
        pytest.param("7ft2in", "2184.4", "25.4", "7 ft 2 in", id="two inches are not square feet"),
        pytest.param("7' 6 1/2\"", "2298.7", "12.7", "7 ft 6 1/2 in", id="typewriter primes"),
        pytest.param("7'-6½\"", "2298.7", "12.7", "7 ft 6 1/2 in", id="hyphen and one half"),
        pytest.param("7′ 6½″", "2298.7", "12.7", "7 ft 6 1/2 in", id="true primes"),
        pytest.param("7’-6”", "2286", "25.4", "7 ft 6 in", id="curly quotes"),
        pytest.param("7'6''", "2286", "25.4", "7 ft 6 in", id="two single primes"),
        pytest.param("4 ft 8½ in", "1435.1", "12.7", "4 ft 8 1/2 in", id="gauge"),
        pytest.param("7 ft 6.25 in", "2292.35", "0.254", "7 ft 6.25 in", id="decimal inches after feet"),
        pytest.param("3/8 in", "9.525", "3.175", "3/8 in", id="fraction"),
        pytest.param("3⁄8 in.", "9.525", "3.175", "3/8 in", id="fraction slash"),
        pytest.param("6-1/2 in", "165.1", "12.7", "6 1/2 in", id="hyphen before fraction"),
        pytest.param("12 thou", "0.3048", "0.0254", "12 thou", id="thou"),
        pytest.param("500 µm", "0.5", "0.001", "500 µm", id="micro sign"),
        pytest.param("6 fathoms", "10972.8", "1828.8", "6 fathoms", id="plural"),
        pytest.param("1 fathom", "1828.8", "1828.8", "1 fathom", id="singular"),
        pytest.param("28 M", "28000", "1000", "28 m", id="capitals"),
        pytest.param("５ ft", "1524", "304.8", "5 ft", id="wide digits"),
    ],
)
def test_lengths_are_read_exactly(written, millimetres, step_millimetres, tidy):
    """A length is read exactly, keeps how finely it was written, and has one spelling."""
    length = parse_length(written)

    assert length.value == Fraction(millimetres) / 1000
    assert length.step == Fraction(step_millimetres) / 1000
    assert _spaced(length.tidy) == tidy
    assert length.text == written
    assert length.dimension is Dimension.length


@pytest.mark.parametrize(
    ("parse", "written", "value", "unit"),
    [
        pytest.param(parse_area, "12 m²", "12", "m²", id="square metres"),
        pytest.param(parse_area, "12 m2", "12", "m²", id="square metres by a plain two"),
        pytest.param(parse_area, "100 sq ft", "9.290304", "sq ft", id="square feet"),
        pytest.param(parse_volume, "40 l", "0.04", "l", id="litres"),
        pytest.param(parse_volume, "100 imp gal", "0.454609", "imp gal", id="imperial gallons"),
        pytest.param(parse_volume, "300 GRT", "849.50539776", "register ton", id="register tons"),
        pytest.param(parse_mass, "310 t", "310000", "t", id="tonnes"),
        pytest.param(parse_mass, "1 long ton", "1016.0469088", "long ton", id="long ton"),
        pytest.param(parse_mass, "2 long tons 10 cwt", "2540.117272", "long ton", id="long tons and hundredweights"),
        pytest.param(parse_mass, "5 lb 8 oz", "2.494758035", "lb", id="pounds and ounces"),
        pytest.param(parse_speed, "3600 kn", "1852", "kn", id="knots"),
        pytest.param(parse_speed, "36 km/h", "10", "km/h", id="kilometres an hour"),
        pytest.param(parse_time, "1 h 30 min", "5400", "h", id="hours and minutes"),
        pytest.param(parse_time, "8 s", "8", "s", id="seconds"),
        pytest.param(parse_power, "400 kW", "400000", "kW", id="kilowatts"),
        pytest.param(parse_power, "100 bhp", "74569.987158227022", "bhp", id="brake horsepower"),
        pytest.param(parse_force, "45 kN", "45000", "kN", id="kilonewtons"),
        pytest.param(parse_pressure, "12 bar", "1200000", "bar", id="bar"),
    ],
)
def test_other_quantities_are_read_exactly(parse, written, value, unit):
    """Areas, volumes, masses, speeds, times, powers, forces and pressures are read exactly."""
    quantity = parse(written)

    assert quantity.value == Fraction(value)
    assert quantity.unit == unit


def test_pounds_on_a_square_inch_are_one_unit():
    """`lb/sq in`, `lb/in²` and `psi` are the same pressure."""
    values = {parse_pressure(written).value for written in ("180 psi", "180 lb/sq in", "180 lb/in²")}

    assert len(values) == 1


@pytest.mark.parametrize("unit", [pytest.param(unit, id=unit.symbol) for unit in UNITS if unit.symbol != "cwt"])
def test_every_spelling_of_a_unit_is_read(unit):
    """Each unit is read by its symbol, its plural and every spelling listed."""
    for word in filter(None, (unit.symbol, unit.plural, *unit.spellings)):
        quantity = parse_quantity(f"3 {word}", unit.dimension)

        assert quantity.value == 3 * unit.factor, word
        assert quantity.unit == unit.symbol, word


@pytest.mark.parametrize(
    ("written", "message"),
    [
        pytest.param("12", '"12" has no unit; write a length such as 12 mm or 1/2 in', id="no unit"),
        pytest.param("7' 6", '"7\' 6" has no unit; write a length such as 12 mm or 1/2 in', id="no unit at the end"),
        pytest.param("", "nothing is written here; write a length such as 12 mm or 1/2 in", id="empty"),
        pytest.param("   ", "nothing is written here; write a length such as 12 mm or 1/2 in", id="blank"),
        pytest.param("−5 mm", '"−5 mm" is below zero; write a length such as 12 mm or 1/2 in', id="below zero"),
        pytest.param(
            "0.0 mm",
            '"0.0 mm" is nothing at all; write a length such as 12 mm or 1/2 in, or leave it out until known',
            id="zero",
        ),
        pytest.param(
            "1,200 mm", '"1,200 mm" could mean 1200 or 1.200; write the one that is meant', id="comma of two meanings"
        ),
        pytest.param("1e3 mm", '"1e3 mm" has an exponent; write the number in full, as in 1200 mm', id="exponent"),
        pytest.param(
            "1e999999999 mm",
            '"1e999999999 mm" has an exponent; write the number in full, as in 1200 mm',
            id="huge exponent",
        ),
        pytest.param("310 t", '"310 t" is a mass; write a length such as 12 mm or 1/2 in', id="another kind"),
        pytest.param("3 m2", '"3 m2" is an area; write a length such as 12 mm or 1/2 in', id="an area"),
        pytest.param(
            "12 milimetres", '"12 milimetres": "milimetres" is not a unit known here; did you mean mm', id="misspelt"
        ),
        pytest.param(
            "12 zog",
            '"12 zog": "zog" is not a unit known here; write a length such as 12 mm or 1/2 in',
            id="unknown unit",
        ),
        pytest.param("12 mils", '"12 mils": "mils" has more than one meaning; write thou or mm', id="mils"),
        pytest.param("1/0 in", '"1/0 in" divides by zero; write a fraction such as 1/2', id="division by zero"),
        pytest.param(
            "6 9/8 in",
            '"6 9/8 in" has a fraction of one or more after a whole number; write it as 6 1/2',
            id="improper fraction",
        ),
        pytest.param(
            "7 ft 14 in", '"7 ft 14 in" has 14 in, and 12 make one ft; write fewer than 12', id="too many inches"
        ),
        pytest.param(
            "7 ft 12 in", '"7 ft 12 in" has 12 in, and 12 make one ft; write fewer than 12', id="twelve inches"
        ),
        pytest.param(
            "7.5 ft 6 in",
            '"7.5 ft 6 in" has a part of a ft before in; write whole ft, as in 7 ft 6 in',
            id="part of a foot before inches",
        ),
        pytest.param(
            "6 in 7 ft", '"6 in 7 ft" puts ft after in; write it in one unit, or as 7 ft 6 in', id="wrong way round"
        ),
        pytest.param(
            "12 mm 13 mm", '"12 mm 13 mm" puts mm after mm; write it in one unit, or as 7 ft 6 in', id="twice"
        ),
        pytest.param(
            "1 1 mm", '"1 1 mm" has a number that cannot be read; write it as 1179 or 28.30', id="broken number"
        ),
        pytest.param(
            "12-14 mm", '"12-14 mm" is not understood; write a length such as 12 mm or 1/2 in', id="range of sizes"
        ),
        pytest.param("nan mm", '"nan mm" is not understood; write a length such as 12 mm or 1/2 in', id="not a number"),
        pytest.param("٣ mm", '"٣ mm" is not understood; write a length such as 12 mm or 1/2 in', id="other digits"),
        pytest.param("9999999999999999 mm", '"9999999999999999 mm" has more digits than a size can have', id="digits"),
    ],
)
def test_what_is_no_length_is_refused_in_one_sentence(written, message):
    """What cannot be read as a length is refused with what was found and what to write instead."""
    with pytest.raises(ValueError) as refused:  # noqa: PT011 - the whole message is compared below
        parse_length(written)

    assert str(refused.value) == message


@pytest.mark.parametrize(
    ("written", "choice"),
    [
        pytest.param("78 tons", "t (1000 kg), long tons (2240 lb) or short tons (2000 lb)", id="tons"),
        pytest.param("10 cwt", "kg, or lb (a hundredweight is 112 lb here and 100 lb there)", id="hundredweight"),
        pytest.param("3 gallons", "imp gal or US gal", id="gallons"),
        pytest.param("3 gal.", "imp gal or US gal", id="gal"),
        pytest.param("11 KN", "kN or kn", id="knots or kilonewtons"),
    ],
)
def test_units_of_two_meanings_are_refused(written, choice):
    """A word that people use for two units is never guessed at."""
    with pytest.raises(ValueError, match="has more than one meaning") as refused:
        parse_quantity(written)

    assert str(refused.value).endswith(f"write {choice}")


@pytest.mark.parametrize(
    "hostile",
    [
        pytest.param("9" * 10_000_000 + " mm", id="ten million digits"),
        pytest.param("1 " * 5_000_000 + "mm", id="ten million groups"),
        pytest.param(" " * 10_000_000, id="ten million spaces"),
        pytest.param("½" * 1_000_000, id="a million halves"),
        pytest.param("1 " + "a " * 31, id="many words"),
        pytest.param("1a" * 32, id="many units"),
        pytest.param("7'" * 32, id="many primes"),
        pytest.param("1 a" + "/a" * 30, id="many slashes"),
        pytest.param("1/" * 30 + "1 in", id="many fractions"),
        pytest.param("\x00\x1b[31m12 mm", id="control characters"),
    ],
)
def test_hostile_text_is_refused_briefly(hostile):
    """Text made to trouble the reader is refused at once, and the message stays short and harmless."""
    with pytest.raises(ValueError, match=";") as refused:
        parse_quantity(hostile)

    assert len(str(refused.value)) < 250
    assert str(refused.value).isprintable()


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text):
    """No text whatever does anything but be read as a size above zero, or be refused."""
    try:
        quantity = parse_quantity(text)
    except ValueError as refused:
        assert str(refused).isprintable()  # noqa: PT017 - either way is right, and each has its own demands
    else:
        assert quantity.value > 0
        assert quantity.step > 0


@given(
    st.text(alphabet="0123456789 .,/-'\"½⅛ftinmkgzt", max_size=24),
)
def test_nearly_right_text_is_read_or_refused(text):
    """What nearly is a size is read alike when its tidy spelling is read again."""
    try:
        quantity = parse_quantity(text)
    except ValueError:
        return
    again = parse_quantity(quantity.tidy)

    assert (again.value, again.step, again.tidy) == (quantity.value, quantity.step, quantity.tidy)


@pytest.mark.parametrize(
    ("written", "number"),
    [
        pytest.param("0", "0", id="nought"),
        pytest.param("0,5", "0.5", id="comma"),
        pytest.param("1 1/2", "1.5", id="mixed"),
        pytest.param("½", "0.5", id="one half"),
    ],
)
def test_bare_numbers_are_read(written, number):
    """A number without a unit is read by the same grammar."""
    assert parse_number(written) == Fraction(number)


def test_a_quantity_prints_in_its_one_spelling():
    """A quantity in a sentence stands as `28.30 m`, however it was typed, with a no-break space."""
    assert str(parse_length("28,30m")) == "28.30\N{NO-BREAK SPACE}m"
