"""Scales, their names and the laws figures shrink by."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.figures.quantities import Dimension, parse_length, parse_quantity
from buildlog.figures.scale import (
    ScalingLaw,
    check_law,
    default_law,
    divisor,
    in_fresh_water,
    parse_scale,
    root,
    runs_on_rails,
    to_full_size,
    to_model,
)

RATIOS = st.fractions(min_value=1, max_value=1000, max_denominator=1000)


@pytest.mark.parametrize(
    ("written", "ratio", "shown"),
    [
        pytest.param("1:24", "24", "1:24", id="colon"),
        pytest.param("1/24", "24", "1:24", id="slash"),
        pytest.param("1 : 24", "24", "1:24", id="spaces"),
        pytest.param("1∶24", "24", "1:24", id="ratio sign"),
        pytest.param("1:87.1", "87.1", "1:87.1", id="decimal"),
        pytest.param("1:87,1", "87.1", "1:87.1", id="decimal comma"),
        pytest.param("1:22.50", "22.5", "1:22.5", id="noughts at the end"),
        pytest.param("1:1 000", "1000", "1:1000", id="digits in groups"),
        pytest.param("1:1", "1", "1:1", id="full size"),
        pytest.param("1:1000000", "1000000", "1:1000000", id="the smallest"),
        pytest.param("1/2 in = 1 ft", "24", "1:24", id="half inch to the foot"),
        pytest.param("¼\" = 1'", "48", "1:48", id="quarter inch by primes"),
        pytest.param("3.5 mm = 1 ft", "3048/35", "1:87.0857", id="3.5 mm to the foot"),
        pytest.param("7mm=1ft", "1524/35", "1:43.5429", id="7 mm to the foot"),
        pytest.param("1 cm = 1 m", "100", "1:100", id="centimetre to the metre"),
    ],
)
def test_scales_are_read_in_every_spelling(written, ratio, shown):
    """A scale is read exactly however it is written, keeps what was written and shows in one spelling."""
    scale = parse_scale(written)

    assert scale.ratio == Fraction(ratio)
    assert str(scale) == shown
    assert scale.text == written


@pytest.mark.parametrize(
    ("written", "found"),
    [
        pytest.param("24", '"24" is not a scale', id="bare number"),
        pytest.param("1-24", '"1-24" is not a scale', id="hyphen"),
        pytest.param("1:24 scale", '"1:24 scale" is not a scale', id="word after it"),
        pytest.param("one to 24", '"one to 24" is not a scale', id="words"),
        pytest.param("1:x", '"1:x" is not a scale', id="letter"),
        pytest.param("1:1,000", '"1:1,000" is not a scale', id="comma of two meanings"),
        pytest.param("24:1", '"24:1" does not begin with 1', id="wrong way round"),
        pytest.param("2:45", '"2:45" does not begin with 1', id="two to"),
        pytest.param("1:0", '"1:0" divides by zero', id="zero"),
        pytest.param("1:0.5", '"1:0.5" makes the model larger than its subject', id="larger than life"),
        pytest.param("1:1000001", '"1:1000001" is smaller than any model can be', id="too small"),
        pytest.param("", "nothing is written here", id="empty"),
        pytest.param("1:" + "9" * 10_000_000, "is too long", id="ten million digits"),
    ],
)
def test_what_is_no_scale_is_refused(written, found):
    """What is no scale is refused with what was found and what to write instead."""
    with pytest.raises(ValueError, match=r"write a scale such as 1:24, 1/24 or 1/2 in = 1 ft$") as refused:
        parse_scale(written)

    assert found in str(refused.value)


def test_a_wrong_length_in_a_scale_is_named():
    """In `1/2 in = 12 kg` the part that is no length is named."""
    with pytest.raises(ValueError, match=r'^"1/2 in = 12 kg" is not a scale: "12 kg" is a mass; write a length'):
        parse_scale("1/2 in = 12 kg")


@given(st.text(alphabet="0123456789:/=.,' \"inftm", max_size=30))
def test_any_text_is_a_scale_or_refused(text):
    """Whatever is written is a scale of 1:1 or smaller, spelt so that it is read again, or is refused."""
    try:
        scale = parse_scale(text)
    except ValueError:
        return
    again = parse_scale(str(scale))

    assert scale.ratio >= 1
    assert str(again) == str(scale)


def test_trade_names_hold_for_the_ratio_however_written():
    """A scale has its trade name also where it was written as a ratio, and as it is shown."""
    names = [parse_scale(written).trade_name for written in ("1:48", "1/4 in = 1 ft", "1:87.0857", "3.5 mm = 1 ft")]

    assert names == ["quarter inch to the foot"] * 2 + ["3.5 mm to the foot"] * 2


def test_scales_without_a_name_have_none():
    """A scale the trade has no name for gets none."""
    scale = parse_scale("1:35")

    assert scale.trade_name is None
    assert scale.railway_name is None


@pytest.mark.parametrize(
    ("dimension", "law"),
    [
        pytest.param(Dimension.length, ScalingLaw.length, id="length"),
        pytest.param(Dimension.area, ScalingLaw.area, id="area"),
        pytest.param(Dimension.volume, ScalingLaw.volume, id="volume"),
        pytest.param(Dimension.mass, ScalingLaw.none, id="mass"),
        pytest.param(Dimension.speed, ScalingLaw.none, id="speed"),
        pytest.param(Dimension.time, ScalingLaw.none, id="time"),
        pytest.param(Dimension.power, ScalingLaw.none, id="power"),
    ],
)
def test_only_plain_sizes_scale_unasked(dimension, law):
    """Lengths, areas and volumes scale by themselves; mass, speed and the rest only when a record asks."""
    assert default_law(dimension) is law


def test_a_law_for_another_kind_is_refused():
    """A length cannot be scaled as a mass, and the message says what it can be."""
    with pytest.raises(ValueError, match=r"^a length cannot scale as mass; write length or none$"):
        to_model(parse_length("28 m"), parse_scale("1:24"), ScalingLaw.mass)


def test_a_power_scales_by_no_law_here():
    """There is no law for power, so none is the only one offered."""
    with pytest.raises(ValueError, match=r"^a power cannot scale as mass; write none$"):
        check_law(Dimension.power, ScalingLaw.mass)


def test_what_does_not_scale_has_no_model_figure():
    """Asking for the model's figure of something that does not scale is an error, never a zero."""
    with pytest.raises(ValueError, match=r"does not scale"):
        to_model(parse_quantity("400 kW"), parse_scale("1:24"), ScalingLaw.none)


@given(RATIOS, st.sampled_from([law for law in ScalingLaw if law is not ScalingLaw.none]))
def test_model_and_full_size_undo_each_other(ratio, law):
    """A figure taken to the model and back is the same to far finer than anything shown."""
    quantity = {
        ScalingLaw.length: parse_quantity("28.30 m"),
        ScalingLaw.area: parse_quantity("12 m2"),
        ScalingLaw.volume: parse_quantity("40 l"),
        ScalingLaw.mass: parse_quantity("310 t"),
        ScalingLaw.speed: parse_quantity("11 kn"),
        ScalingLaw.time: parse_quantity("8 s"),
    }[law]
    scale = parse_scale("1:1")
    scale = type(scale)("", ratio)

    back = to_full_size(to_model(quantity, scale, law), scale, law)

    assert back.value == quantity.value
    assert back.step == quantity.step
    assert back.unit == quantity.unit


@given(st.fractions(min_value=Fraction(1, 1000), max_value=10**6))
def test_roots_are_good_to_fifty_figures(number):
    """A square root squared is the number again to fifty figures."""
    squared = root(number) ** 2

    assert abs(squared - number) <= number / 10**50


def test_roots_of_squares_are_exact():
    """The root of a square of a fraction is that fraction."""
    assert root(Fraction(25, 144)) == Fraction(5, 12)


def test_a_computed_quantity_has_no_written_text():
    """A quantity at model size was not written by anyone, and its step has shrunk with it."""
    model = to_model(parse_length("28.30 m"), parse_scale("1:24"), ScalingLaw.length)

    assert (model.text, model.tidy) == ("", "")
    assert model.step == Fraction(10, 24_000)


def test_divisors_are_the_powers_of_the_scale():
    """Length divides by N, area by N squared, volume and mass by N cubed, speed and time by its root."""
    scale = parse_scale("1:16")
    divisors = [int(divisor(scale, law)) for law in ScalingLaw if law is not ScalingLaw.none]

    assert divisors == [16, 256, 4096, 4096, 4, 4]


def test_only_a_mass_floats_in_fresh_water():
    """Asking for a length in fresh water is an error."""
    with pytest.raises(ValueError, match=r"cannot scale as mass"):
        in_fresh_water(parse_length("28 m"))


@pytest.mark.parametrize(
    ("kind", "on_rails"),
    [
        pytest.param("locomotive", True, id="locomotive"),
        pytest.param("Narrow-gauge railways", True, id="plural, capitals and a hyphen"),
        pytest.param("rolling stock", True, id="rolling stock"),
        pytest.param("tram", True, id="tram"),
        pytest.param("vessel", False, id="vessel"),
        pytest.param("trainer", False, id="an aircraft"),
        pytest.param("wagon", False, id="a wagon may stand on a road"),
        pytest.param("", False, id="nothing"),
    ],
)
def test_which_subjects_run_on_rails(kind, on_rails):
    """A kind of subject runs on rails by its words."""
    assert runs_on_rails(kind) is on_rails


@pytest.mark.parametrize(
    ("written", "on_rails", "called"),
    [
        pytest.param("1:24", False, "half inch to the foot", id="trade"),
        pytest.param("1:24", True, "half inch to the foot", id="no railway scale"),
        pytest.param("1:32", True, "3/8 inch to the foot, railway scale I", id="both"),
        pytest.param("1:32", False, "3/8 inch to the foot", id="not on rails"),
        pytest.param("1:45", True, "railway scale 0", id="railway alone"),
        pytest.param("1:25", True, "", id="neither"),
    ],
)
def test_what_a_scale_is_called(written, on_rails, called):
    """The trade's name, and the railway's where the subject runs on rails."""
    assert parse_scale(written).called(on_rails=on_rails) == called
