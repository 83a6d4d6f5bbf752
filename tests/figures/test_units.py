"""Units: what each is worth, and that none can be mistaken for another."""

import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest

import buildlog.figures.units
from buildlog.figures.units import BY_SYMBOL, UNITS, Dimension, render_factors

FACTORS = Path(buildlog.figures.units.__file__).with_name("unit_factors.json")


def test_kept_factors_are_what_pint_says():
    """The factors kept beside the code are, to the last digit, those that pint works out today."""
    kept = FACTORS.read_text(encoding="utf-8")

    assert kept == render_factors()


@pytest.mark.parametrize(
    ("symbol", "worth"),
    [
        pytest.param("in", "0.0254", id="inch"),
        pytest.param("ft", "0.3048", id="foot"),
        pytest.param("thou", "0.0000254", id="thou"),
        pytest.param("fathom", "1.8288", id="fathom of six international feet"),
        pytest.param("mile", "1609.344", id="statute mile"),
        pytest.param("nautical mile", "1852", id="nautical mile"),
        pytest.param("lb", "0.45359237", id="pound"),
        pytest.param("long ton", "1016.0469088", id="long ton"),
        pytest.param("short ton", "907.18474", id="short ton"),
        pytest.param("imp gal", "0.00454609", id="imperial gallon"),
        pytest.param("US gal", "0.003785411784", id="US gallon"),
        pytest.param("acre", "4046.8564224", id="acre of international feet"),
        pytest.param("register ton", "2.8316846592", id="register ton"),
        pytest.param("hp", "745.69987158227022", id="horsepower"),
        pytest.param("PS", "735.49875", id="metric horsepower"),
        pytest.param("bar", "100000", id="bar"),
    ],
)
def test_units_are_exact(symbol, worth):
    """Each unit is worth exactly what its definition says (international yard and pound of 1959; from memory)."""
    factor = BY_SYMBOL[symbol].factor

    assert factor == Fraction(worth)


def test_knot_is_a_nautical_mile_an_hour():
    """A knot is 1852 m in 3600 s."""
    assert BY_SYMBOL["kn"].factor == Fraction(1852, 3600)


def test_no_spelling_means_two_units():
    """No word stands for more than one unit."""
    words = [word for unit in UNITS for word in (unit.symbol, *unit.spellings)]

    assert len(words) == len(set(words))


def test_every_dimension_has_its_si_unit():
    """Each dimension has one unit worth exactly 1, so that every value can be shown."""
    for dimension in Dimension:
        assert [unit for unit in UNITS if unit.dimension is dimension and unit.factor == 1]


def test_running_needs_no_pint():
    """Reading and showing a quantity never imports pint, which alone takes longer than a small run."""
    script = (
        "import sys; from buildlog.figures.quantities import parse_quantity; "
        "from buildlog.figures.rounding import show; show(parse_quantity('28.30 m'), system='imperial'); "
        "sys.exit('pint' in sys.modules)"
    )

    done = subprocess.run([sys.executable, "-c", script], check=False)

    assert done.returncode == 0
