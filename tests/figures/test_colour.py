"""Colours of paints, and the words for how far they lie apart."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.figures.colour import (
    CLOSE_BELOW,
    SAME_BELOW,
    Colour,
    Difference,
    Lab,
    ciede2000,
    colour_difference,
    colour_from_lab,
    difference_in_words,
    parse_colour,
    screen_can_show,
    swatch_hex,
    tidy_hex,
)

LABS = st.builds(Lab, st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128))


@pytest.mark.parametrize(
    ("written", "tidy"),
    [
        pytest.param("#b3202a", "#b3202a", id="small letters"),
        pytest.param("#B3202A", "#b3202a", id="capitals"),
        pytest.param(" #b3202a ", "#b3202a", id="spaces about it"),
        pytest.param("#fa0", "#ffaa00", id="three digits"),
    ],
)
def test_colours_have_one_spelling(written, tidy):
    """A colour shows in one spelling, however it was written."""
    assert parse_colour(written).hex == tidy
    assert swatch_hex(parse_colour(written)) == tidy


@pytest.mark.parametrize(
    "written",
    [
        pytest.param("b3202a", id="no hash"),
        pytest.param("#b3202", id="five digits"),
        pytest.param("#b3202aff", id="eight digits"),
        pytest.param("#b3202g", id="not hexadecimal"),
        pytest.param("#b3\n202a", id="broken"),
        pytest.param("#١٢٣", id="other digits"),
        pytest.param("red", id="name"),
        pytest.param("", id="empty"),
        pytest.param("#" + "b" * 10_000_000, id="ten million digits"),
    ],
)
def test_what_is_no_colour_is_refused(written):
    """What is no colour is refused, with what to write instead."""
    with pytest.raises(ValueError, match="is not a colour; write # and six hexadecimal digits, such as #b3202a"):
        tidy_hex(written)


@pytest.mark.parametrize(
    ("lab", "illuminant", "message"),
    [
        pytest.param((101, 0, 0), "D65", "L. of 101 is not a lightness; write 0", id="too light"),
        pytest.param((-1, 0, 0), "D65", "L. of -1 is not a lightness; write 0", id="too dark"),
        pytest.param((50, 201, 0), "D65", "a. of 201 is no colour; write -200 to 200", id="too red"),
        pytest.param((50, 0, float("nan")), "D65", "b. of nan is no colour; write -200 to 200", id="not a number"),
        pytest.param((50, 0, 0), "D93", '"D93" is not a light known here; write D65, D50, A, C', id="unknown light"),
    ],
)
def test_what_is_no_lab_colour_is_refused(lab, illuminant, message):
    """Numbers that are no colour, and lights that are not known, are refused with what to write instead."""
    with pytest.raises(ValueError, match=message):
        colour_from_lab(*lab, illuminant)


def test_the_limits_of_lab_are_colours():
    """The very limits are accepted."""
    limits = [colour_from_lab(0, -200, -200).lab, colour_from_lab(100, 200, 200, "A").lab]

    assert limits == [(0, -200, -200), (100, 200, 200)]


def test_a_lab_colour_is_shown_as_near_as_a_screen_can():
    """A colour within the screen's range is shown as it is; one beyond it is shown at the limit, and that is known."""
    signal_green, laser_green = colour_from_lab(45.2, -42.0, 21.5), colour_from_lab(80, -150, 60)

    assert swatch_hex(signal_green) == "#097b45"
    assert screen_can_show(signal_green)
    assert swatch_hex(laser_green).startswith("#00")
    assert not screen_can_show(laser_green)


@pytest.mark.parametrize("text", ["#000000", "#ffffff", "#ff0000", "#00ff00", "#0000ff", "#ffff00"])
def test_a_screen_can_show_its_own_corners(text):
    """Every colour a screen can be set to counts as one it can show, also when stated as L*a*b*."""
    assert screen_can_show(parse_colour(text))
    assert screen_can_show(colour_from_lab(*parse_colour(text).lab))


@pytest.mark.parametrize(
    ("lab", "expected"),
    [
        pytest.param((100.1, 0, 0), True, id="a quarter of a step too light"),
        pytest.param((100.0, 3, 0), False, id="too light for its hue"),
    ],
)
def test_half_a_step_beyond_the_screen_is_forgiven(lab, expected):
    """A screen's limit is forgiven by half of its last step and no more."""
    assert screen_can_show(Colour(Lab(*lab), "D65")) is expected


def test_a_colour_does_not_differ_from_itself():
    """The same paint stated as sRGB and as L*a*b* differs by nothing."""
    red = parse_colour("#b3202a")

    assert colour_difference(red, colour_from_lab(*red.lab)) == pytest.approx(0, abs=1e-9)


def test_a_white_is_white_under_every_light():
    """A white under lamplight is the same colour as a white in daylight, since the eye has adapted."""
    lamp, day = colour_from_lab(100, 0, 0, "A"), colour_from_lab(100, 0, 0, "D65")

    assert colour_difference(lamp, day) == pytest.approx(0, abs=1e-6)
    assert swatch_hex(lamp) == "#ffffff"


def test_two_colours_under_one_lamp_are_compared_there():
    """Two colours stated for the same light are compared in that light, untouched."""
    one, other = colour_from_lab(50, 20, 10, "A"), colour_from_lab(52, 22, 9, "A")

    assert colour_difference(one, other) == ciede2000(one.lab, other.lab)


@given(LABS, LABS)
def test_differences_are_the_same_both_ways(one, other):
    """A differs from B as B does from A, and by no less than nothing."""
    there, back = ciede2000(one, other), ciede2000(other, one)

    assert there >= 0
    assert there == pytest.approx(back, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize(
    ("difference", "word"),
    [
        pytest.param(0, Difference.same, id="none"),
        pytest.param(0.999, Difference.same, id="just the same"),
        pytest.param(1.0, Difference.close, id="just close"),
        pytest.param(1.999, Difference.close, id="still close"),
        pytest.param(2.0, Difference.visible, id="just visible"),
        pytest.param(40, Difference.visible, id="far apart"),
    ],
)
def test_differences_in_words(difference, word):
    """Under 1 is the same, under 2 close, and more is visible (Mokrzycki and Tatol 2011, quoted by colour-science)."""
    assert (SAME_BELOW, CLOSE_BELOW) == (1, 2)
    assert difference_in_words(difference) is word
