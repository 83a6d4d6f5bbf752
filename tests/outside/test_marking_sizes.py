"""Markings of ships, railways and vehicles, at true size and on models of several scales."""

from fractions import Fraction

import pytest

from buildlog.figures.colour import LinearRGB, linear_to_xyz, white
from buildlog.figures.markings import compute_marking
from buildlog.figures.quantities import parse_length
from buildlog.figures.scale import ScalingLaw, parse_scale, to_model

FINEST = parse_length("0.5 mm")


@pytest.mark.parametrize(
    ("true_size", "scale", "millimetres"),
    [
        pytest.param("300 mm", "1:48", "6.25", id="load-line ring, UK SI 1998/2241 r.17"),
        pytest.param("300 mm", "1:96", "3.125", id="load-line ring, smaller"),
        pytest.param("25 mm", "1:48", "0.5208", id="its band, r.17"),
        pytest.param("25 mm", "1:96", "0.2604", id="its band, smaller"),
        pytest.param("450 mm", "1:48", "9.375", id="load line, r.17"),
        pytest.param("450 mm", "1:96", "4.6875", id="load line, smaller"),
        pytest.param("300 mm", "1:24", "12.5", id="deck line, r.16"),
        pytest.param("230 mm", "1:24", "9.5833", id="seasonal lines, Load Lines 1966 reg 6"),
        pytest.param("540 mm", "1:24", "22.5", id="upright forward of the ring, reg 6"),
        pytest.param("115 mm", "1:48", "2.3958", id="society letters, reg 8 (from memory)"),
        pytest.param("12 in", "1:48", "6.35", id="US ring, 46 CFR 42.13-25"),
        pytest.param("18 in", "1:48", "9.525", id="US line, 46 CFR 42.13-25"),
        pytest.param("6 in", "1:48", "3.175", id="draught figures in feet, 46 CFR 108.661"),
        pytest.param("100 mm", "1:24", "4.1667", id="metric draught figures, registration act"),
        pytest.param("4 in", "1:24", "4.2333", id="name, 46 CFR 67.123"),
        pytest.param("200 mm", "1:96", "2.0833", id="IMO number, SOLAS XI-1/3"),
        pytest.param("0.6 m", "1:48", "12.5", id="ball, COLREG annex I 6"),
        pytest.param("4 ft 8½ in", "1:48", "29.8979", id="track gauge, 49 CFR 213.53"),
        pytest.param("100 mm", "1:87", "1.1494", id="container letters, ISO 6346 as quoted"),
        pytest.param("79 mm", "1:24", "3.2917", id="UK plate characters, SI 2001/561"),
        pytest.param("12 in", "1:72", "4.2333", id="US aircraft marks, 14 CFR 45.29"),
        pytest.param("7 in", "1:35", "5.0800", id="US Army rail cars, TM 55-203 ch.15"),
        pytest.param("4 in", "1:35", "2.9029", id="vestibule doors of the same, TM 55-203 ch.15"),
        pytest.param("2 in", "1:35", "1.4514", id="tank-car text, TM 55-203 ch.15"),
        pytest.param("762 mm", "1:48", "15.875", id="special mark abaft the ring, UK SI 1998/2241 r.22"),
        pytest.param("0.6 m", "1:24", "25", id="base and height of a cone, COLREG annex I 6"),
        pytest.param("1.2 m", "1:24", "50", id="height of a cylinder, annex I 6"),
        pytest.param("1.5 m", "1:24", "62.5", id="gap between shapes, annex I 6"),
        pytest.param("50 mm", "1:24", "2.0833", id="width of a UK plate character, SI 2001/561"),
        pytest.param("11 mm", "1:24", "0.4583", id="gap between them, SI 2001/561"),
        pytest.param("33 mm", "1:24", "1.375", id="gap between groups, SI 2001/561"),
        pytest.param("64 mm", "1:24", "2.6667", id="motorcycle plate characters, SI 2001/561"),
        pytest.param("98 mm", "1:24", "4.0833", id="EU band, at least so high, Reg 2411/98"),
        pytest.param("4 in", "1:24", "4.2333", id="fire apparatus stripe, NFPA 1901 15.9.3 as quoted"),
        pytest.param("6 in", "1:24", "6.35", id="rear chevrons, NFPA 1901 15.9.3 (from memory)"),
    ],
)
def test_true_sizes_on_models(true_size, scale, millimetres):
    """The true size of each mark, as its source gives it, divided by the scale."""
    model = to_model(parse_length(true_size), parse_scale(scale), ScalingLaw.length)

    assert abs(model.value * 1000 - Fraction(millimetres)) <= Fraction(1, 20_000)


@pytest.mark.parametrize(
    ("scale", "ring", "band", "can_be_made"),
    [
        pytest.param("1:24", "12.50 mm", "1.04 mm", True, id="1:24"),
        pytest.param("1:48", "6.25 mm", "0.52 mm", True, id="1:48"),
        pytest.param("1:50", "6.00 mm", "0.50 mm", True, id="1:50, just the finest"),
        pytest.param("1:72", "4.167 mm", "0.347 mm", False, id="1:72"),
        pytest.param("1:96", "3.125 mm", "0.260 mm", False, id="1:96"),
    ],
)
def test_load_line_ring_in_the_markings_table(scale, ring, band, can_be_made):
    """The load-line ring, 300 mm with a band of 25 mm (UK SI 1998/2241 r.17), as the markings table shows it."""
    figures = compute_marking(parse_length("300 mm"), parse_length("25 mm"), parse_scale(scale), FINEST, "metric")

    assert figures.model_size.first.replace("\N{NO-BREAK SPACE}", " ") == ring
    assert figures.model_stroke.first.replace("\N{NO-BREAK SPACE}", " ") == band
    assert figures.can_be_made is can_be_made


@pytest.mark.parametrize(
    ("height", "stroke", "scale", "shown", "can_be_made"),
    [
        pytest.param("79 mm", "14 mm", "1:24", "0.58 mm", True, id="UK plate, SI 2001/561"),
        pytest.param("79 mm", "14 mm", "1:35", "0.40 mm", False, id="UK plate, smaller"),
        pytest.param("64 mm", "10 mm", "1:16", "0.62 mm", True, id="motorcycle plate, SI 2001/561"),
        pytest.param("64 mm", "10 mm", "1:24", "0.42 mm", False, id="motorcycle plate, smaller"),
        pytest.param("12 in", "2 in", "1:72", "0.7 mm", True, id="US aircraft, a sixth of 12 in, 14 CFR 45.29"),
        pytest.param("12 in", "1 in", "1:48", "0.5 mm", True, id="US load-line ring, 46 CFR 42.13-25"),
    ],
)
def test_strokes_in_the_markings_table(height, stroke, scale, shown, can_be_made):
    """The narrowest line of each mark, as its source gives it, against a workshop that cuts 0.5 mm."""
    figures = compute_marking(parse_length(height), parse_length(stroke), parse_scale(scale), FINEST, "metric")

    assert figures.model_stroke.first.replace("\N{NO-BREAK SPACE}", " ") == shown
    assert figures.can_be_made is can_be_made


def test_a_star_scales_by_its_circles():
    """A five-pointed star's inner circle is 0.381966 of its outer one (geometry), on the subject and on the model."""
    outer = to_model(parse_length("500 mm"), parse_scale("1:16"), ScalingLaw.length)
    inner = to_model(parse_length("190.983 mm"), parse_scale("1:16"), ScalingLaw.length)

    assert abs(float(inner.value / outer.value) - 0.381966) < 1e-6


def test_two_load_line_forms_are_not_one():
    """The ring of 12 in in the United States form (46 CFR 42.13-25) is 304.8 mm, not 300."""
    assert parse_length("12 in").value == Fraction("0.3048")


def test_draught_figures_by_one_rule():
    """Figures of 6 in at one foot apart (46 CFR 108.661) leave gaps of their own height at every scale."""
    for scale in map(parse_scale, ("1:24", "1:48", "1:96")):
        height, pitch = (to_model(parse_length(one), scale, ScalingLaw.length).value for one in ("6 in", "1 ft"))

        assert pitch == 2 * height


def test_gauge_limits_of_track():
    """US class 4 and 5 track, 4 ft 8 in to 4 ft 9 1/2 in (49 CFR 213.53), holds 1435 mm between its limits."""
    least, most = (parse_length(one).value for one in ("4 ft 8 in", "4 ft 9½ in"))

    assert least < parse_length("1435 mm").value < most


def _is_inside(point, corners):
    """Whether a point lies inside a polygon: a ray to the right crosses its edges an odd number of times."""
    x, y = point
    edges = zip(corners, corners[1:] + corners[:1], strict=True)
    crossings = sum((y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1 for (x1, y1), (x2, y2) in edges)
    return crossings % 2 == 1


def _chromaticity(rgb):
    xyz = linear_to_xyz(rgb)
    return xyz.x / sum(xyz), xyz.y / sum(xyz)


RED_LIGHT = [(0.680, 0.320), (0.660, 0.320), (0.721, 0.259), (0.735, 0.265)]
GREEN_LIGHT = [(0.028, 0.385), (0.009, 0.723), (0.300, 0.511), (0.203, 0.356)]


def test_a_screen_cannot_show_sidelights():
    """The sRGB red and green lie outside the colours of ships' lights (COLREG annex I 7, corners ordered by angle)."""
    red, green = _chromaticity(LinearRGB(1, 0, 0)), _chromaticity(LinearRGB(0, 1, 0))

    assert [round(one, 2) for one in (*red, *green)] == [0.64, 0.33, 0.30, 0.60]
    assert not _is_inside(red, RED_LIGHT)
    assert not _is_inside(green, GREEN_LIGHT)
    assert _is_inside((0.700, 0.290), RED_LIGHT)
    assert _is_inside((0.15, 0.50), GREEN_LIGHT)


WHITE_LIGHT = [(0.525, 0.382), (0.525, 0.440), (0.452, 0.440), (0.310, 0.348), (0.310, 0.283), (0.443, 0.382)]


@pytest.mark.parametrize("illuminant", ["D65", "A", "D50"])
def test_our_whites_are_white_lights(illuminant):
    """Daylight and lamplight lie among the colours of a white light (COLREG annex I 7), whose shape is concave.

    The point .443, .365 would be inside were its corners only bridged; it is not.
    """
    xyz = white(illuminant)
    found = xyz.x / sum(xyz), xyz.y / sum(xyz)

    assert _is_inside(found, WHITE_LIGHT)
    assert not _is_inside((0.443, 0.365), WHITE_LIGHT)


def test_a_screen_cannot_show_rotorcraft_lights():
    """The same by 14 CFR 29.1397: red has y at most .335 and z at most .002; green x at most y - .170."""
    red, green = _chromaticity(LinearRGB(1, 0, 0)), _chromaticity(LinearRGB(0, 1, 0))

    assert 1 - sum(red) > 0.002
    assert not green[0] <= 0.440 - 0.320 * green[1]


def test_sizes_at_many_scales_are_plain_division():
    """Whatever the scale, the model's size in the table is the true size divided by it, to the digits shown."""
    for ratio in range(8, 200, 7):
        figures = compute_marking(parse_length("300 mm"), None, parse_scale(f"1:{ratio}"), FINEST, "metric")
        shown = parse_length(figures.model_size.first)

        assert abs(shown.value * 1000 - Fraction(300, ratio)) <= shown.step * 1000 / 2
