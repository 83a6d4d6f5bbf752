"""No number in a formula can be off by a little without a known figure coming out wrong.

Each number in the source of a module is changed in turn (by 1 %, or by 1 where it counts something), the changed module
is run, and a set of known figures is worked out with it: at least one must come out wrong. Where the figures come from
is said in `tests/outside`, which checks the same ones with their sources.
"""

import ast
import csv
from fractions import Fraction
from pathlib import Path

import pytest

from tests.figures.changing import read, run, unnoticed

DATA = Path(__file__).parent.parent / "outside" / "data"


def _rows(name):
    with (DATA / name).open(encoding="utf-8") as lines:
        return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def _close(found, expected, tolerance):
    assert all(abs(f - e) <= tolerance for f, e in zip(found, expected, strict=True)), (found, expected)


def _raises(action, *arguments):
    with pytest.raises(ValueError, match=r"write|above zero"):
        action(*arguments)


PAIRS = _rows("ciede2000.csv")
CONTRASTS = _rows("wcag_contrast.csv")
SCALES = _rows("scales.csv")
TOLERANCES = _rows("iso2768.csv")


def _check_colour(module):
    """Figures without a file of their own are colour-science 0.4.7's."""
    for row in PAIRS:
        one, other = (module.Lab(*(float(row[f"{axis}{which}"]) for axis in "Lab")) for which in "12")
        _close([module.ciede2000(one, other)], [float(row["dE00_colour"])], 1e-6)
    single = {
        ((50, 0, 0), (60, 0, 0)): 9.470578563640,
        ((50, 0, 0), (50, 9, 3)): 10.539789510318,
        ((50, 60, 16), (50, 80, -20)): 15.524530471457,
        ((50, 90, 20), (50, 60, -13)): 14.554281216873,
        ((50, -20, 0), (60, 30, 0)): 45.654292004332,
        ((50, 70, 5), (50, -50, -5)): 73.483390875013,
        ((50, -50, -5), (50, 70, 5)): 73.483390875013,
    }
    for (one, other), difference in single.items():
        _close([module.ciede2000(one, other)], [difference], 1e-10)
    primaries = {
        "#ff0000": (53.2328818, 80.1111777, 67.2237037),
        "#00ff00": (87.7370335, -86.1828550, 83.1878347),
        "#0000ff": (32.3025867, 79.1980802, -107.8503557),
        "#0a0a0a": (2.7417480, 0.0005480, 0.0002507),
        "#0b0b0b": (3.0229134, 0.0006042, 0.0002764),
    }
    for text, lab in primaries.items():
        _close(module.parse_colour(text).lab, lab, 1e-6)
        assert module.swatch_hex(module.Colour(module.parse_colour(text).lab, "D65")) == text
    for row in CONTRASTS:
        one, other = f"#{row['foreground']}", f"#{row['background']}"
        _close([module.contrast(one, other)], [float(row["ratio_wcag_contrast"])], 6e-5)
        _close([module.relative_luminance(one)], [float(row["L_fg"])], 6e-7)
    every = [f"#{v:02x}{v:02x}{v:02x}" for v in range(256)]
    assert [module.linear_to_hex(module.hex_to_linear(text)) for text in every] == every
    for step in range(255):
        just_below, just_above = (((step + part) / 255) for part in (0.49, 0.51))
        light = [
            share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4
            for share in (just_below, just_above)
        ]
        assert module.linear_to_hex((light[0], light[1], 0)) == f"#{step:02x}{step + 1:02x}00"
    assert module.linear_to_hex((1.3, -0.3, 0.0)) == "#ff0000"
    assert module.tidy_hex("#fa0") == module.tidy_hex(" " * 93 + "#ffaa00") == "#ffaa00"
    _raises(module.tidy_hex, " " * 94 + "#ffaa00")
    for share, lightness in ((0.00884, 24389 / 27 * 0.00884), (0.0089, 116 * 0.0089 ** (1 / 3) - 16)):
        xyz = module.XYZ(*(share * part for part in module.white("D65")))
        _close(module.xyz_to_lab(xyz), (lightness, 0, 0), 1e-9)
        _close(module.lab_to_xyz((lightness, 0, 0)), xyz, 1e-12)
    whites = {
        "D65": (0.9504559, 1.0890578),
        "D50": (0.9642957, 0.8251046),
        "A": (1.0984906, 0.3557983),
        "C": (0.9807060, 1.1822495),
    }
    for light, (x, z) in whites.items():
        _close(module.white(light), (x, 1, z), 1e-6)
        for lab in (module.Lab(45.2, -42.0, 21.5), module.Lab(3, 1, 2)):
            _close(module.xyz_to_lab(module.lab_to_xyz(lab, light), light), lab, 1e-9)
    _close(module.lab_to_xyz((7.9, 4, -4), "D65"), (0.0093193, 0.0087457, 0.0125769), 1e-7)
    _close(module.lab_to_xyz((8.1, 0, 0), "D65"), (0.0085233, 0.0089676, 0.0097663), 1e-7)
    _close(module.adapt(module.XYZ(0.3, 0.2, 0.05), "A", "D65"), (0.2495613, 0.1862922, 0.1566519), 1e-7)
    signal_green = module.colour_from_lab(45.2, -42.0, 21.5)
    assert module.swatch_hex(signal_green) == "#097b45"
    words = [str(module.difference_in_words(d)) for d in (0.9999, 1.0, 1.9999, 2.0)]
    assert words == ["same", "close", "close", "visible"]
    for lab in ((101, 0, 0), (100.5, 0, 0), (-0.1, 0, 0), (50, 200.5, 0), (50, 0, -201)):
        _raises(module.colour_from_lab, *lab)
    module.colour_from_lab(0, 200, -200)
    module.colour_from_lab(100, 0, 0)
    edges = ((100.17, True), (100.18, False), (-0.137, True), (-0.138, False))
    for lightness, fits in edges:
        assert module.screen_can_show(module.Colour(module.Lab(lightness, 0, 0), "D65")) is fits


def _check_scale(module):
    from buildlog.figures.quantities import parse_quantity

    law = module.ScalingLaw
    for row in SCALES:
        scale = module.parse_scale(f"1:{row['N_decimal']}")
        if row["kind"] in ("imperial", "mm_ft"):
            assert scale.trade_name is not None
        if row["kind"] == "nem010":
            assert scale.railway_name == row["name"]
    for millimetres, ratio in (("3.5", "3048/35"), ("4", "76.2"), ("7", "1524/35"), ("2", "152.4"), ("10", "30.48")):
        scale = module.parse_scale(f"{millimetres} mm = 1 ft")
        assert scale.ratio == Fraction(ratio)
        assert scale.trade_name == f"{millimetres} mm to the foot"
    assert str(module.parse_scale("3.5 mm = 1 ft")) == "1:87.0857"
    assert module.parse_scale("3.5 mm = 1 ft").railway_name == "H0"
    scale = module.parse_scale("1:16")
    assert [module.divisor(scale, one) for one in law if one != "none"] == [16, 256, 4096, 4096, 4, 4]
    model = module.to_model(parse_quantity("45 000 t"), module.parse_scale("1:96"), law("mass"))
    _close([module.in_fresh_water(model).value], [Fraction("49.6221")], Fraction("0.00005"))
    assert abs(module.root(Fraction(2)) ** 2 - 2) < Fraction(1, 10**55)
    module.parse_scale("1:1")
    module.parse_scale("1:1000000")
    module.parse_scale(" " * 95 + "1:24")
    _raises(module.parse_scale, "1:0")
    _raises(module.parse_scale, "1:0.995")
    _raises(module.parse_scale, "2:24")
    _raises(module.parse_scale, "1:1000001")
    with pytest.raises(ValueError, match="too long"):
        module.parse_scale(" " * 97 + "1:24")


def _check_tolerance(module):
    millimetre = Fraction(1, 1000)
    bit = Fraction(1, 10**9)
    for name in "fmcv":
        tolerance = module.parse_tolerance(f"ISO 2768-{name}")
        for row in TOLERANCES:
            for nominal in (Fraction(row["over_mm"]) + bit, Fraction(row["up_to_mm"])):
                if row[name]:
                    assert module.allowed(tolerance, nominal * millimetre) == Fraction(row[name]) * millimetre
                else:
                    place = "up to 3 mm" if nominal <= 3 else "above 2000 mm"
                    with pytest.raises(ValueError, match=place):
                        module.allowed(tolerance, nominal * millimetre)
    medium = module.parse_tolerance("ISO 2768-m")
    for nominal in (Fraction("0.499"), Fraction("4000.1")):
        _raises(module.allowed, medium, nominal * millimetre)
    assert module.allowed(medium, millimetre / 2) == millimetre / 10
    assert module.allowed(module.parse_tolerance("0.5 %"), Fraction(3)) == Fraction("0.015")
    assert module.parse_tolerance("99.5 %").amount == Fraction("0.995")
    assert medium.amount == 0
    with pytest.raises(ValueError, match='"ISO 286-h7" names no class'):
        module.parse_tolerance("ISO 286-h7")
    with pytest.raises(ValueError, match='"5" has no unit; write a tolerance'):
        module.parse_tolerance("5")
    for percent in ("0 %", "100 %", "100.5 %"):
        _raises(module.parse_tolerance, percent)
    module.parse_tolerance("0.001 %")
    module.parse_tolerance(" " * 60 + "1 mm")
    with pytest.raises(ValueError, match="too long"):
        module.parse_tolerance(" " * 61 + "1 mm")


def _check_rounding(module):
    """Besides single figures, where each kind of figure goes over to its next unit, written down from the rule."""
    from buildlog.figures.quantities import Dimension, parse_length

    def shown(value, step, dimension="length", system="metric", **options):
        text = module.show_value(Fraction(value), Fraction(step), Dimension(dimension), system=system, **options).text
        return text.replace("\N{NO-BREAK SPACE}", " ")

    starts = [
        ("length", "metric", "2", "mm", "m"),
        ("length", "metric", "5000", "m", "km"),
        ("length", "imperial", "5000", "in", "miles"),
        ("area", "metric", "0.001", "mm²", "cm²"),
        ("area", "metric", "0.5", "cm²", "m²"),
        ("area", "metric", "50000", "m²", "ha"),
        ("area", "imperial", "0.2", "sq in", "sq ft"),
        ("area", "imperial", "20000", "sq ft", "acres"),
        ("volume", "metric", "0.001", "ml", "l"),
        ("volume", "metric", "10", "l", "m³"),
        ("volume", "imperial", "0.02", "cu in", "cu ft"),
        ("mass", "metric", "1", "g", "kg"),
        ("mass", "metric", "10000", "kg", "t"),
        ("mass", "imperial", "0.45359237", "oz", "lb"),
        ("mass", "imperial", "10000", "lb", "long tons"),
        ("speed", "metric", "2", "m/s", "km/h"),
        ("speed", "imperial", "2", "ft/s", "mph"),
        ("time", "metric", "120", "s", "min"),
        ("time", "metric", "7200", "min", "h"),
        ("time", "imperial", "120", "s", "min"),
        ("time", "imperial", "7200", "min", "h"),
        ("power", "metric", "1000", "W", "kW"),
        ("power", "metric", "10000000", "kW", "MW"),
        ("force", "metric", "1000", "N", "kN"),
        ("pressure", "metric", "100000", "kPa", "bar"),
    ]
    for dimension, system, start, below, above in starts:
        step = Fraction(start) / 10**6
        just_below = shown(Fraction(start) * Fraction("0.9995"), step, dimension, system)
        assert just_below.endswith(f" {below}"), (start, just_below)
        assert shown(start, step, dimension, system).endswith(f" {above}"), start
        for unit_system in ("metric", "imperial"):
            shown(Fraction(start) / 10**9, step / 10**9, dimension, unit_system)
    gallons = {"written_in": "l", "dimension": "volume", "system": "imperial"}
    assert shown("0.003999", "0.0000001", **gallons).endswith("cu in")
    assert shown("0.004", "0.0000001", **gallons).endswith("imp gal")
    litres = {"written_in": "imp gal", "dimension": "volume"}
    assert shown("0.000999", "0.0000001", **litres).endswith(" ml")
    assert shown("0.001", "0.0000001", **litres).endswith(" l")
    assert shown("20", "0.001", **litres).endswith(" l")
    assert shown("0.0000001", "0.0000000001", **litres).endswith(" ml")
    assert shown("0.0000001", "0.0000000001", **gallons).endswith(" cu in")
    assert shown("50000", "1", "mass", "imperial", written_in="short ton").endswith("short tons")
    assert shown("9000", "1", "mass", "imperial", written_in="short ton").endswith("lb")
    inch = Fraction("0.0254")
    for inches, step, on_model, words in [
        ("23.99", "1/100", False, "23 63/64 in"),
        ("24", "1/100", False, "2 ft 0 in"),
        ("24.01", "1/100", True, "24 1/64 in"),
        ("0.1245", "1/1000", True, "124.5 thou"),
        ("0.1255", "1/1000", True, "1/8 in"),
        ("0.031", "1/1000", False, "31.0 thou"),
        ("0.0315", "1/1000", False, "1/32 in"),
        ("0.0625", "1/1000", True, "1/16 in"),
        ("27.5", "1", False, "2 ft 3 1/2 in"),
        ("30.4", "2", False, "2 ft 6 in"),
        ("30.4", "24", False, "3 ft"),
        ("30.4", "23.9", False, "2 ft 6 in"),
        ("24.5", "24", False, "2 ft"),
        ("23.6", "24", False, "2 ft 0 in"),
        ("3.1", "1/2", True, "3 in"),
        ("3.14", "1/4", True, "3 1/8 in"),
        ("3.02", "1/64", True, "3 1/64 in"),
    ]:
        assert shown(Fraction(inches) * inch, Fraction(step) * inch, system="imperial", on_model=on_model) == words
    assert shown("28.30", "0.01") == "28.300 m"
    assert shown("1.17917", "0.00041667") == "1179.2 mm"
    assert shown("1.17917", "0.0002") == "1179.2 mm"
    assert shown("1.17917", "0.00019") == "1179.17 mm"
    assert shown("4828.032", "1609.344") == "4.8 km"
    assert shown("1200", "50") == "1.20 km"
    assert shown("1200", "22") == "1.20 km"
    for dimension in Dimension:
        for system in ("metric", "imperial"):
            assert shown("0", "1", dimension, system)[0] == "0"
    exact = module.show_value(Fraction("1.17917"), Fraction("0.0004"), Dimension.length)
    assert (exact.value, exact.last, exact.error) == (Fraction("1.1792"), Fraction("0.0001"), Fraction("0.00003"))
    assert shown("999", "200") == "999 m"
    assert shown("1200", "200") == "1.2 km"
    assert shown("0.0254", "0.0254") == "25 mm"
    assert shown("0", "0.0004", signed=True) == "0.0 mm"
    assert shown("0.0012", "0.0004", signed=True) == "+1.2 mm"
    assert shown("0.0012", "0.0004") == "1.2 mm"
    _raises(module.show_value, Fraction(1), Fraction(0), Dimension.length)
    _raises(module.show_value, Fraction(1), Fraction(-1, 1000), Dimension.length)
    written = module.show_quantity(parse_length("28.30 m"))
    assert (written.error, written.last) == (0, Fraction("0.01"))
    percent = module.show_percent(Fraction("-0.00014"), Fraction("0.00001"), signed=True)
    assert percent.replace("\N{NO-BREAK SPACE}", " ") == "−0.014 %"
    assert module.show_percent(Fraction("0.15456"), Fraction("0.000995"))[:-2] == "15.46"
    assert module.show_percent(Fraction("0.152"), Fraction("0.2"), signed=True)[:3] == "+15"
    exponents = [
        module.coarsest_digit(Fraction(one)) for one in ("1", "0.99", "10", "9.9", "0.1", "1/3", "100", "1/1000")
    ]
    assert exponents == [0, -1, 1, 0, -1, -1, 2, -3]
    assert [module.decimal_text(Fraction(one), 0) for one in ("-0.4", "-0.6", "0.6")] == ["0", "−1", "1"]


def _check_spec(module):
    """Measures against 28.30 m and 9.6 m at 1:24, worked out by hand."""
    from buildlog.figures.quantities import parse_length
    from buildlog.figures.scale import parse_scale
    from buildlog.figures.tolerance import parse_tolerance

    def off_by(measured, full_size="28.30 m"):
        tolerance, at = parse_tolerance("ISO 2768-m"), parse_scale("1:24")
        figures = module.compute_spec(parse_length(full_size), parse_length(measured), tolerance, at, None, "metric")
        return f"{figures.deviation.size.first}, {figures.deviation.percent}, {figures.allowed}", figures.within

    minus, space = "\N{MINUS SIGN}", "\N{NO-BREAK SPACE}"
    assert off_by("1179 mm") == (f"{minus}0.2{space}mm, {minus}0.01{space}%, ±1.2{space}mm", True)
    assert off_by("1180.4 mm") == (f"+1.23{space}mm, +0.105{space}%, ±1.2{space}mm", False)
    assert off_by("404 mm", "9.6 m") == (f"+4.0{space}mm, +1.0{space}%, ±0.5{space}mm", False)


def _check_paint(module):
    """Lab of sRGB colours as colour-science 0.4.7 has them, to one decimal; Lab that was written, as it was written."""
    from buildlog.figures.colour import colour_from_lab, parse_colour

    def lab(colour):
        return module.show_colour(colour).lab.replace("\N{NO-BREAK SPACE}", " ").replace("\N{MINUS SIGN}", "-")

    assert lab(parse_colour("#00ff00")) == "L* 87.7, a* -86.2, b* 83.2 (D65)"
    assert lab(colour_from_lab(45.25, -42.5, 20)) == "L* 45.25, a* -42.5, b* 20.0 (D65)"
    assert lab(colour_from_lab(50, -0.001, 10.01)) == "L* 50.0, a* 0.0, b* 10.01 (D65)"
    assert lab(parse_colour("#808080")) == "L* 53.6, a* 0.0, b* 0.0 (D65)"
    found = module.compute_paint(colour_from_lab(60, 0, 0), colour_from_lab(50, 0, 0))
    assert found.difference == "9.5"


def _check_parts(module):
    assert module.how_many([(3, True), (4, False)]) == 10


def _check_progress(module):
    """Shares and percents counted by hand."""
    from datetime import date

    half = Fraction(1, 2)
    shares = (0, Fraction("0.001"), Fraction("0.5"), Fraction("0.125"), Fraction("0.99"), Fraction("0.999"), 1)
    assert [module.whole_percent(share) for share in shares] == [0, 1, 50, 12, 99, 99, 100]
    for share in (Fraction(-1, 1000), Fraction(1001, 1000)):
        with pytest.raises(ValueError, match="between 0 and 1"):
            module.whole_percent(share)
    hull, deck = (module.PlanItem(name, name, name, Fraction(hours)) for name, hours in (("hull", 30), ("deck", 10)))
    before, state = module.states(
        [hull, deck],
        [module.Statement(date(2026, 1, 1), {"deck": half}), module.Statement(date(2026, 2, 1), {"hull": Fraction(1)})],
    )
    assert (before.share, state.share) == (Fraction(1, 8), Fraction(7, 8))
    assert (before.percent, state.percent, state.moved_since(before)) == (12, 88, 76)
    assert before.share_of("hull") == 0
    assert state.left == (deck,)
    assert [(one.weight, one.share) for one in state.stages(["hull", "deck"])] == [(30, 1), (10, half)]
    assert module.State(date(2026, 1, 1), ()).share is None


CHECKS = {
    "colour": _check_colour,
    "scale": _check_scale,
    "tolerance": _check_tolerance,
    "rounding": _check_rounding,
    "spec": _check_spec,
    "paint": _check_paint,
    "parts": _check_parts,
    "progress": _check_progress,
}


HARMLESS = {
    "_CONTEXT = Context(prec=60)": "more figures than the fifty that are promised do no harm",
    "return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4: 0.04045": (
        "no 8-bit value lies near: tests/outside says so"
    ),
    "return light * 12.92 if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055: 0.0031308": (
        "the line and the curve meet there, closer than an 8-bit step"
    ),
}
"""Lines, or numbers on a line, that may be off by a little, and why."""


@pytest.mark.parametrize("name", CHECKS)
def test_the_unchanged_module_is_right(name):
    """With no number changed every known figure comes out right."""
    run(name, ast.parse(read(name)), CHECKS[name])


@pytest.mark.parametrize("name", CHECKS)
def test_no_number_can_be_changed_unnoticed(name):
    """With any one number changed some known figure comes out wrong."""
    assert unnoticed(name, CHECKS[name], HARMLESS) == []
