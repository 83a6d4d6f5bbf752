"""Scales and scaling laws against published figures and exact arithmetic."""

import csv
from fractions import Fraction
from pathlib import Path

import pytest

from buildlog.figures.quantities import parse_length, parse_mass, parse_quantity, parse_speed, parse_time
from buildlog.figures.rounding import decimal_text
from buildlog.figures.scale import ScalingLaw, divisor, in_fresh_water, parse_scale, to_full_size, to_model

with (Path(__file__).parent / "data" / "scales.csv").open(encoding="utf-8") as lines:
    SCALES = [
        pytest.param(row, id=row["name"]) for row in csv.DictReader(line for line in lines if not line.startswith("#"))
    ]

INCH_NAMES = {
    "1/32 in = 1 ft": "1/32 inch to the foot",
    "1/16 in = 1 ft": "sixteenth of an inch to the foot",
    "3/32 in = 1 ft": "3/32 inch to the foot",
    "1/8 in = 1 ft": "eighth of an inch to the foot",
    "3/16 in = 1 ft": "3/16 inch to the foot",
    "1/4 in = 1 ft": "quarter inch to the foot",
    "3/8 in = 1 ft": "3/8 inch to the foot",
    "1/2 in = 1 ft": "half inch to the foot",
    "3/4 in = 1 ft": "three-quarter inch to the foot",
    "1 in = 1 ft": "one inch to the foot",
    "3/2 in = 1 ft": "inch and a half to the foot",
    "2 in = 1 ft": "two inches to the foot",
    "3 in = 1 ft": "three inches to the foot",
}


@pytest.mark.parametrize("row", SCALES)
def test_a_foot_at_every_scale(row):
    """A foot at each listed scale is so many millimetres (arithmetic: 1 ft = 304.8 mm, agreement of 1959)."""
    scale = parse_scale(f"1:{row['N_decimal']}")
    foot = to_model(parse_length("1 ft"), scale, ScalingLaw.length)

    assert abs(foot.value * 1000 - Fraction(row["mm_per_ft"])) <= Fraction("0.00005")


@pytest.mark.parametrize("row", [param for param in SCALES if param.values[0]["kind"] == "imperial"])
def test_inches_to_the_foot(row):
    """k inches to the foot is 1:12/k, and has its trade name (arithmetic; the names are common practice, no source)."""
    scale = parse_scale(row["name"])

    assert scale.ratio == Fraction(row["N_exact"])
    assert scale.trade_name == INCH_NAMES[row["name"]]


@pytest.mark.parametrize("row", [param for param in SCALES if param.values[0]["kind"] == "mm_ft"])
def test_millimetres_to_the_foot(row):
    """3.5, 4 and 7 mm to the foot are 1:87.0857, 1:76.2 and 1:43.5429 (NEM 010, note 3.4; 2 and 10 mm from memory)."""
    words = row["name"].split(" scale")[0]
    scale = parse_scale(f"{words} = 1 ft")

    assert scale.ratio == Fraction(row["N_exact"])
    assert str(scale) == f"1:{row['N_decimal']}"
    assert scale.trade_name == f"{words} to the foot"


@pytest.mark.parametrize("row", [param for param in SCALES if param.values[0]["kind"] == "nem010"])
def test_railway_scales(row):
    """Each railway scale has its letter, and standard gauge scales as printed (NEM 010, table 1)."""
    scale = parse_scale(f"1:{row['N_decimal']}")
    gauge = to_model(parse_length("1435 mm"), scale, ScalingLaw.length)

    assert scale.railway_name == row["name"]
    assert decimal_text(gauge.value * 1000, -3) == row["scaled_gauge_mm"]
    assert abs(float(gauge.value * 1000) / float(row["published_model_gauge_mm"]) - 1) < 0.03


@pytest.mark.parametrize(
    ("written", "rounded"),
    [
        pytest.param("3.5 mm = 1 ft", "87", id="3.5 mm"),
        pytest.param("4 mm = 1 ft", "76", id="4 mm"),
        pytest.param("7 mm = 1 ft", "43.5", id="7 mm"),
    ],
)
def test_millimetre_scales_round_as_printed(written, rounded):
    """NEM 010, note 3.4, rounds the scales of 3.5, 4 and 7 mm to the foot to 1:87, 1:76 and 1:43.5."""
    ratio = parse_scale(written).ratio

    assert round(ratio * 2) / Fraction(2) == Fraction(rounded)


def test_three_and_a_half_millimetres_is_h0():
    """3.5 mm to the foot counts as H0, as NEM 010 note 3.4 takes it for 1:87."""
    assert parse_scale("3.5 mm = 1 ft").railway_name == "H0"


def test_s_is_one_to_sixty_four():
    """S is 1:64, for only that fits its gauge of 22.5 mm; one printed copy of the table has 1:60."""
    assert parse_scale("1:60").railway_name is None
    assert parse_scale("1:64").railway_name == "S"


def test_redrawing_from_one_scale_to_another():
    """A drawing at 1:45 is reduced by 0.517 for a model at 1:87 (NEM 010, note 3.5)."""
    factor = parse_scale("1:45").ratio / parse_scale("1:87").ratio

    assert decimal_text(factor, -3) == "0.517"


@pytest.mark.parametrize(
    ("written", "millimetres"),
    [
        pytest.param("1 in", "25.4", id="inch"),
        pytest.param("1 ft", "304.8", id="foot"),
        pytest.param("4 ft 8½ in", "1435.1", id="gauge is 1435.1 mm and not 1435"),
        pytest.param("37 ft 6 3/16 in", "11434.7625", id="feet, inches and sixteenths"),
    ],
)
def test_inches_are_exact(written, millimetres):
    """An inch is 25.4 mm exactly (agreement of 1959), so no survey foot, 2 parts in a million longer, is meant."""
    assert parse_length(written).value * 1000 == Fraction(millimetres)


def test_the_survey_foot_is_another():
    """The old survey foot, 1200/3937 m, is 2.000004 parts in a million longer (NIST); no unit is built on it."""
    foot = parse_length("1 ft").value

    assert decimal_text((Fraction(1200, 3937) / foot - 1) * 10**6, -6) == "2.000004"
    assert parse_length("1 mile").value == 5280 * foot
    assert parse_length("1 fathom").value == 6 * foot
    assert parse_quantity("1 acre").value == 43560 * foot**2


def test_feet_and_inches_at_a_scale():
    """37 ft 6 3/16 in at 1:48 is 238.22421875 mm exactly (arithmetic)."""
    model = to_model(parse_length("37 ft 6 3/16 in"), parse_scale("1:48"), ScalingLaw.length)

    assert model.value * 1000 == Fraction("238.22421875")


def test_area_and_volume_of_a_scale():
    """At 1:16 an area is 256 times smaller and a volume 4096 times (similarity)."""
    scale = parse_scale("1:16")

    assert divisor(scale, ScalingLaw.area) == 256
    assert divisor(scale, ScalingLaw.volume) == divisor(scale, ScalingLaw.mass) == 4096


def test_displacement_of_a_model():
    """45 000 t at 1:96 is 50.8626 kg, floating alike in fresh water at 49.6221 kg (similarity; 1025/1000)."""
    model = to_model(parse_mass("45 000 t"), parse_scale("1:96"), ScalingLaw.mass)

    assert decimal_text(model.value, -4) == "50.8626"
    assert decimal_text(in_fresh_water(model).value, -4) == "49.6221"


def test_froude_speed_worked_example():
    """At 1:30 a ship's 6.57 m/s, 12.78 kn, is 1.2 m/s on the model (worked example citing ITTC 7.5-02)."""
    ship = to_full_size(parse_speed("1.2 m/s"), parse_scale("1:30"), ScalingLaw.speed)

    assert decimal_text(ship.value, -2) == "6.57"
    assert abs(float(ship.value / parse_speed("1 kn").value) - 12.78) < 0.005


def test_froude_speed_in_knots():
    """21 kn at 1:48 is 3.0311 kn, 1.55933 m/s (arithmetic by Froude's law)."""
    model = to_model(parse_speed("21 kn"), parse_scale("1:48"), ScalingLaw.speed)

    assert decimal_text(model.value / parse_speed("1 kn").value, -4) == "3.0311"
    assert decimal_text(model.value, -5) == "1.55933"


def test_speed_follows_froude_and_not_reynolds():
    """A 100 m ship at 20 m/s, as a 5 m model, runs at 4.47 m/s; by Reynolds it would have to run at 400 m/s.

    The 400 m/s are from a textbook extract; no model is run so.
    """
    model = to_model(parse_speed("20 m/s"), parse_scale("1:20"), ScalingLaw.speed)

    assert decimal_text(model.value, -2) == "4.47"
    assert model.value < 400 / 50


def test_froude_time():
    """A roll of 8 s at 1:48 takes 1.154701 s on the model (Froude's law; the ITTC text from memory)."""
    model = to_model(parse_time("8 s"), parse_scale("1:48"), ScalingLaw.time)

    assert decimal_text(model.value, -6) == "1.154701"


@pytest.mark.parametrize(
    ("written", "name"),
    [
        pytest.param("1:160", "N", id="N"),
        pytest.param("1:64", "S", id="S"),
        pytest.param("1:220", "Z", id="Z"),
    ],
)
def test_scales_that_two_standards_share(written, name):
    """N, S and Z have the same ratio in NMRA S-1.2 (from memory) as in NEM 010."""
    assert parse_scale(written).railway_name == name


def test_a_ratio_keeps_its_decimals():
    """1:87.1, which NMRA S-1.2 gives for HO (from memory), is neither NEM's 1:87 nor 3.5 mm to the foot."""
    scale = parse_scale("1:87.1")

    assert str(scale) == "1:87.1"
    assert (scale.trade_name, scale.railway_name) == (None, None)


def test_quarter_inch_is_no_nem_scale():
    """1:48 is quarter inch to the foot, which NMRA S-1.2 calls O (from memory), and has no letter in NEM 010."""
    scale = parse_scale("1:48")

    assert scale.trade_name == "quarter inch to the foot"
    assert scale.railway_name is None


def test_a_star_of_twenty_inches():
    """20 in at 1:16 is 31.75 mm (arithmetic)."""
    model = to_model(parse_quantity("20 in"), parse_scale("1:16"), ScalingLaw.length)

    assert model.value * 1000 == Fraction("31.75")
