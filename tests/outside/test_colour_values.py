"""Colours against published values, an independent library and exact arithmetic."""

import csv
import math
import warnings
from pathlib import Path

import pytest

from buildlog.figures.colour import (
    XYZ,
    Difference,
    Lab,
    LinearRGB,
    adapt,
    ciede2000,
    colour_difference,
    colour_from_lab,
    contrast,
    difference_in_words,
    hex_to_linear,
    lab_to_xyz,
    linear_to_hex,
    linear_to_xyz,
    parse_colour,
    relative_luminance,
    swatch_hex,
    white,
    xyz_to_lab,
    xyz_to_linear,
)

DATA = Path(__file__).parent / "data"


def _rows(name):
    with (DATA / name).open(encoding="utf-8") as lines:
        return list(csv.DictReader(line for line in lines if not line.startswith("#")))


PAIRS = [pytest.param(row, id=f"pair {row['pair']}") for row in _rows("ciede2000.csv")]
CONTRASTS = [pytest.param(row, id=f"{row['foreground']} on {row['background']}") for row in _rows("wcag_contrast.csv")]


@pytest.fixture(scope="module")
def library():
    """colour-science 0.4.7, an independent reckoner."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour


def _white_xy(library, illuminant):
    return library.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"][illuminant]


def _labs(row):
    return (Lab(*(float(row[f"{axis}{which}"]) for axis in "Lab")) for which in "12")


def test_all_published_pairs_are_here():
    """The published table has 34 pairs."""
    assert len(PAIRS) == 34


@pytest.mark.parametrize("row", PAIRS)
def test_ciede2000_pairs(row):
    """Each pair of Sharma, Wu and Dalal (2005), table 1, to its four decimals, and the same the other way round."""
    one, other = _labs(row)

    assert round(ciede2000(one, other), 4) == float(row["dE00_published"])
    assert math.isclose(ciede2000(one, other), float(row["dE00_colour"]), abs_tol=1e-6)
    assert math.isclose(ciede2000(one, other), ciede2000(other, one), rel_tol=1e-9)


def test_ciede2000_on_a_grid_equals_the_library(library):
    """Across the whole range of colours the difference equals colour-science's."""
    grid = [Lab(lightness, a, b) for lightness in (5, 50, 95) for a in (-80, -1, 0, 60) for b in (-70, 0, 2, 75)]
    for one in grid:
        expected = library.difference.delta_E_CIE2000([one] * len(grid), grid)
        found = [ciede2000(one, other) for other in grid]

        assert found == pytest.approx(list(expected), abs=1e-9)


@pytest.mark.parametrize(
    ("text", "lab"),
    [
        pytest.param("#ff0000", (53.2329, 80.1112, 67.2237), id="red"),
        pytest.param("#00ff00", (87.7370, -86.1829, 83.1878), id="green"),
        pytest.param("#0000ff", (32.3026, 79.1981, -107.8504), id="blue"),
    ],
)
def test_lab_of_the_primaries(text, lab):
    """L*a*b* of the sRGB primaries under D65, as colour-science 0.4.7 has them."""
    assert parse_colour(text).lab == pytest.approx(lab, abs=6e-5)


def test_lab_of_the_primaries_by_another_matrix():
    """scikit-image's finer matrix makes red 53.2406, 80.0923, 67.2028: no two libraries agree closer than 0.03."""
    assert parse_colour("#ff0000").lab == pytest.approx((53.2406, 80.0923, 67.2028), abs=0.03)


def test_lightness_of_a_grey():
    """#777777 has L* 50.0344 (colour-science 0.4.7)."""
    assert parse_colour("#777777").lab.lightness == pytest.approx(50.0344, abs=5e-5)


def test_srgb_matrix():
    """Red is X .4124, Y .2126, Z .0193 and white .9505, 1, 1.089 (IEC 61966-2-1, from memory)."""
    assert linear_to_xyz(LinearRGB(1, 0, 0)) == pytest.approx((0.4124, 0.2126, 0.0193), abs=1e-12)
    assert linear_to_xyz(LinearRGB(1, 1, 1)) == pytest.approx((0.9505, 1, 1.089), abs=1e-12)


def test_every_channel_value_equals_the_library(library):
    """All 256 values of a channel decode as colour-science's do, and come back."""
    for value in range(256):
        text = f"#{value:02x}{255 - value:02x}{(value * 7) % 256:02x}"
        expected = library.models.eotf_sRGB([int(text[i : i + 2], 16) / 255 for i in (1, 3, 5)])

        assert hex_to_linear(text) == pytest.approx(list(expected), abs=1e-12)
        assert linear_to_hex(hex_to_linear(text)) == text
        assert swatch_hex(colour_from_lab(*parse_colour(text).lab)) == text


@pytest.mark.parametrize("illuminant", ["D65", "D50", "A", "C"])
def test_lab_under_each_light_equals_the_library(library, illuminant):
    """L*a*b* to XYZ and back equals colour-science under each light, dark colours included."""
    for lab in (Lab(2, 1, -1), Lab(8, 3, 2), Lab(45.2, -42.0, 21.5), Lab(95, 5, 80)):
        xyz = lab_to_xyz(lab, illuminant)
        expected = library.Lab_to_XYZ(lab, _white_xy(library, illuminant))

        assert xyz == pytest.approx(list(expected), abs=1e-9)
        assert xyz_to_lab(xyz, illuminant) == pytest.approx(lab, abs=1e-9)


@pytest.mark.parametrize("illuminant", ["D50", "A", "C"])
def test_adaptation_equals_the_library(library, illuminant):
    """A colour under another light is taken to D65 as colour-science does by the Bradford transform."""
    xyz = XYZ(0.30, 0.20, 0.05)
    expected = library.adaptation.chromatic_adaptation_VonKries(
        xyz,
        library.xy_to_XYZ(_white_xy(library, illuminant)),
        library.xy_to_XYZ(_white_xy(library, "D65")),
        transform="Bradford",
    )

    assert adapt(xyz, illuminant, "D65") == pytest.approx(list(expected), abs=1e-9)
    assert adapt(white(illuminant), illuminant, "D65") == pytest.approx(white("D65"), abs=1e-12)


def test_munsell_red_of_the_law():
    """Munsell 7.5R 4/14, x .5959, y .3269, Y .1200 under C (49 CFR 172 app. A table 1), keeps its chromaticity."""
    x, y, luminance = 0.5959, 0.3269, 0.1200
    xyz = XYZ(x * luminance / y, luminance, (1 - x - y) * luminance / y)

    back = lab_to_xyz(xyz_to_lab(xyz, "C"), "C")

    assert (back.x / sum(back), back.y / sum(back)) == pytest.approx((x, y), abs=1e-9)
    assert xyz_to_lab(xyz, "C").lightness == pytest.approx(41.22, abs=0.01)


@pytest.mark.parametrize(
    ("notation", "x", "y"),
    [
        pytest.param("5YR 6/15", 0.551, 0.4214, id="orange"),
        pytest.param("5Y 8/12", 0.4562, 0.4788, id="yellow"),
        pytest.param("7.5G 4/9", 0.2111, 0.4121, id="green"),
        pytest.param("2.5PB 3.5/10", 0.1679, 0.1729, id="blue"),
    ],
)
def test_other_safety_hues(library, notation, x, y):
    """The safety hues of the law by the Munsell renotation, under C, have the Lab that colour-science gives them."""
    found_x, found_y, luminance = library.munsell_colour_to_xyY(notation)
    xyz = library.xyY_to_XYZ((found_x, found_y, luminance))

    lab = xyz_to_lab(XYZ(*xyz), "C")

    assert (found_x, found_y) == pytest.approx((x, y), abs=1e-4)
    assert lab == pytest.approx(list(library.XYZ_to_Lab(xyz, _white_xy(library, "C"))), abs=1e-9)


def test_two_copies_of_one_standard_colour():
    """Two printed values of RAL 1003 (ISO 3864-4), #F9A800 and #F9A900, are the same to the eye, so neither is law."""
    difference = colour_difference(parse_colour("#F9A800"), parse_colour("#F9A900"))

    assert difference_in_words(difference) is Difference.same
    assert difference > 0


def _encoded(light):
    """sRGB's own curve, mirrored below zero, for values outside a screen's range."""
    size = abs(light)
    return math.copysign(12.92 * size if size <= 0.0031308 else 1.055 * size ** (1 / 2.4) - 0.055, light)


DISPLAY_P3 = ((0.4865709, 0.2656677, 0.1982173), (0.2289746, 0.6917385, 0.0792869), (0.0, 0.0451134, 1.0439444))


def _from_display_p3(red, green, blue):
    light = [value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in (red, green, blue)]
    return xyz_to_linear(XYZ(*(sum(m * part for m, part in zip(row, light, strict=True)) for row in DISPLAY_P3)))


def test_display_p3_red_is_outside_srgb():
    """Display P3 red is 1.09307, -.22674, -.15013 in sRGB (colorjs.io 0.7.1; matrix to XYZ from memory)."""
    found = [_encoded(light) for light in _from_display_p3(1, 0, 0)]

    assert found == pytest.approx((1.09307, -0.22674, -0.15013), abs=2e-3)


def test_a_display_p3_colour_in_srgb():
    """Display P3 .8, .4, .2 is 219, 94, 31 in sRGB (colorjs.io 0.7.1; LittleCMS agrees)."""
    assert linear_to_hex(_from_display_p3(0.8, 0.4, 0.2)) == "#db5e1f"


@pytest.mark.parametrize("row", CONTRASTS)
def test_contrast_ratios(row):
    """Luminances and contrasts of WCAG 2.2 as three libraries reckon them, compared unrounded with 4.5, 3 and 7."""
    foreground, background = f"#{row['foreground']}", f"#{row['background']}"
    ratio = contrast(foreground, background)

    assert relative_luminance(foreground) == pytest.approx(float(row["L_fg"]), abs=6e-7)
    assert relative_luminance(background) == pytest.approx(float(row["L_bg"]), abs=6e-7)
    assert ratio == pytest.approx(float(row["ratio_wcag_contrast"]), abs=6e-5)
    assert contrast(background, foreground) == ratio
    for threshold, column in ((4.5, "AA_normal_4.5"), (3, "AA_large_3"), (7, "AAA_normal_7")):
        assert str(ratio >= threshold) == row[column]


def test_the_old_threshold_changes_nothing():
    """No 8-bit value lies between .03928, the limit WCAG 2.0 printed, and .04045, that of sRGB (WCAG 2.2 note)."""
    assert not [value for value in range(256) if 0.03928 < value / 255 <= 0.04045]
