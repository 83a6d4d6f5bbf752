"""Tolerances and rounding against published tables and examples."""

import csv
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from buildlog.figures.quantities import parse_length
from buildlog.figures.rounding import decimal_text
from buildlog.figures.scale import ScalingLaw, parse_scale, to_model
from buildlog.figures.tolerance import allowed, parse_tolerance

with (Path(__file__).parent / "data" / "iso2768.csv").open(encoding="utf-8") as lines:
    ROWS = list(csv.DictReader(line for line in lines if not line.startswith("#")))

CELLS = [
    pytest.param(
        name, Fraction(row["over_mm"]), Fraction(row["up_to_mm"]), row[name], id=f"{name} to {row['up_to_mm']}"
    )
    for row in ROWS
    for name in "fmcv"
]
LITTLE = Fraction(1, 10**9)
MM = Fraction(1, 1000)


@pytest.mark.parametrize(("name", "over", "up_to", "deviation"), CELLS)
def test_linear_dimensions(name, over, up_to, deviation):
    """Every cell of ISO 2768-1:1989 table 1 (in a transcription), just inside both edges of its row."""
    tolerance = parse_tolerance(f"ISO 2768-{name}")
    for nominal in (over + LITTLE, up_to):
        if deviation:
            assert allowed(tolerance, nominal * MM) == Fraction(deviation) * MM
        else:
            with pytest.raises(ValueError, match="has no value"):
                allowed(tolerance, nominal * MM)


def test_the_first_row_begins_at_half_a_millimetre():
    """ISO 2768-1 table 1 begins at 0.5 mm, which is in it; below that a size is toleranced by itself."""
    tolerance = parse_tolerance("ISO 2768-m")

    assert allowed(tolerance, Fraction("0.5") * MM) == Fraction("0.1") * MM
    with pytest.raises(ValueError, match="begins at"):
        allowed(tolerance, Fraction("0.499") * MM)


def test_a_class_is_of_the_size_that_is_made():
    """37 ft 6 3/16 in has no class at full size, but at 1:48 it is 238.22 mm, and class m allows 0.5 mm."""
    full_size = parse_length("37 ft 6 3/16 in")
    tolerance = parse_tolerance("ISO 2768-m")
    model = to_model(full_size, parse_scale("1:48"), ScalingLaw.length)

    assert allowed(tolerance, model.value) == Fraction("0.5") * MM
    with pytest.raises(ValueError, match="ends at"):
        allowed(tolerance, full_size.value)


@pytest.mark.parametrize(
    ("number", "exponent", "shown"),
    [
        pytest.param("6.9749515", -1, "7.0", id="two figures"),
        pytest.param("6.9749515", -2, "6.97", id="three figures"),
        pytest.param("6.9749515", -4, "6.9750", id="five figures"),
        pytest.param("6.9749515", -6, "6.974952", id="seven figures"),
        pytest.param("6.9749505", -6, "6.974950", id="seven figures to the even digit"),
    ],
)
def test_rounding_examples_of_nist(number, exponent, shown):
    """The examples of NIST SP 811, B.7.1, as two public test suites quote them."""
    assert decimal_text(Fraction(number), exponent) == shown


@pytest.mark.parametrize(
    ("number", "exponent", "shown"),
    [
        pytest.param("12.25", -1, "12.2", id="12.25"),
        pytest.param("12.35", -1, "12.4", id="12.35"),
        pytest.param("0.5", 0, "0", id="one half"),
        pytest.param("1.5", 0, "2", id="one and a half"),
        pytest.param("2.5", 0, "2", id="two and a half"),
    ],
)
def test_halves_go_to_the_even_digit(number, exponent, shown):
    """ISO 80000-1, annex B, rule A (from memory)."""
    assert decimal_text(Fraction(number), exponent) == shown


def test_no_binary_noise():
    """2.675 rounds to 2.68, where binary floating point gives 2.67."""
    exact = decimal_text(Fraction("2.675"), -2)

    assert exact == str(Decimal("2.675").quantize(Decimal("0.01"))) == "2.68"
    assert round(2.675, 2) == 2.67


def test_a_value_with_its_uncertainty():
    """10.057 62 Ω known to 27 mΩ is written 10.058 Ω (GUM 7.2.6, as quoted)."""
    assert decimal_text(Fraction("10.05762"), -3) == "10.058"
