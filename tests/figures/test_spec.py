"""Rows of the spec table."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.figures.quantities import parse_length, parse_quantity
from buildlog.figures.scale import ScalingLaw, parse_scale
from buildlog.figures.spec import compute_spec, in_both
from buildlog.figures.tolerance import allowed, parse_tolerance

SCALE = parse_scale("1:24")


def _row(full_size=None, measured=None, tolerance=None, scales_as=None, units_first="metric"):
    return compute_spec(
        parse_quantity(full_size) if full_size else None,
        parse_quantity(measured) if measured else None,
        parse_tolerance(tolerance) if tolerance else None,
        SCALE,
        ScalingLaw(scales_as) if scales_as else None,
        units_first,
    )


def _text(shown):
    return None if shown is None else str(shown).replace("\N{NO-BREAK SPACE}", " ")


def test_a_measured_length():
    """A row with full size, measure and tolerance shows all of them, and that 1179 mm is 4 mm short at full size."""
    row = _row("28.30 m", "1179 mm", "0.5 %")

    assert _text(row.full_size) == "28.30 m (92 ft 10 1/8 in)"
    assert _text(row.target) == "1179.2 mm (46 27/64 in)"
    assert _text(row.measured) == "1179 mm (46 27/64 in)"
    assert _text(row.measured_at_full_size) == "28.30 m (92 ft 10 in)"
    assert _text(row.deviation.size) == "−0.2 mm (−7 thou)"
    assert _text(row.deviation.percent) == "−0.01 %"
    assert _text(row.deviation.full_size) == "−4 mm (−1/8 in)"
    assert row.deviation.exact == Fraction(-1, 6000)
    assert _text(row.tolerance) == "0.5 %"
    assert _text(row.allowed) == "±5.9 mm"
    assert row.within is True
    assert row.note is None


def test_imperial_first():
    """A workshop that works in inches sees them first."""
    row = _row("2 ft 6 in", "1 9/32 in", "1/64 in", units_first="imperial")

    assert _text(row.full_size) == "2 ft 6 in (762 mm)"
    assert _text(row.target) == "1 1/4 in (31.8 mm)"
    assert _text(row.measured) == "1 9/32 in (32.5 mm)"
    assert _text(row.deviation.size) == "+1/32 in (+0.8 mm)"
    assert _text(row.deviation.full_size) == "+3/4 in (+19 mm)"
    assert row.allowed is None
    assert row.within is False


def test_a_target_is_as_fine_as_what_it_is_held_against():
    """A full size in whole metres does not make a target of 4.92 in read 5 in beside a measure in mm."""
    row = _row("3 m", "125 mm", "0.5 %")

    assert _text(row.target) == "125.0 mm (4 59/64 in)"
    assert _text(row.measured) == "125 mm (4 59/64 in)"
    assert _text(row.allowed) == "±0.6 mm"


def test_a_target_is_as_fine_as_its_tolerance():
    """Before a measure is taken the tolerance alone says how finely the target must be read."""
    row = _row("3 m", None, "1 mm", units_first="imperial")

    assert _text(row.target) == "4 59/64 in (125.0 mm)"


def test_a_target_held_against_nothing_is_as_fine_as_its_full_size():
    """Where there is no measure and no tolerance, nothing looks better known than it is."""
    row = _row("3 m")

    assert _text(row.target) == "125 mm (5 in)"


def test_a_missing_measure_is_an_honest_blank():
    """Without a measure nothing is said of it, of a deviation or of keeping within tolerance."""
    row = _row("24 ft 7 in", None, "1 mm")

    assert _text(row.target) == "312.2 mm (12 19/64 in)"
    assert (row.measured, row.measured_at_full_size, row.deviation, row.within) == (None, None, None, None)
    assert _text(row.tolerance) == "1 mm"


def test_a_missing_full_size_is_an_honest_blank():
    """A measure alone is shown as it would be at full size, and compared with nothing."""
    row = _row(None, "3.2 mm")

    assert _text(row.measured_at_full_size) == "77 mm (3 1/32 in)"
    assert (row.full_size, row.target, row.deviation, row.within) == (None, None, None, None)


def test_an_empty_row_is_blank():
    """A row of words alone has no figures."""
    row = _row()

    assert (row.full_size, row.target, row.measured, row.deviation, row.within, row.note) == (None,) * 6
    assert row.law is ScalingLaw.none


def test_no_tolerance_gives_no_verdict():
    """Without a tolerance a measure is neither within nor outside it."""
    row = _row("915 mm", "38 mm")

    assert row.within is None
    assert _text(row.deviation.size) == "−0.12 mm (−4.9 thou)"
    assert _text(row.deviation.full_size) == "−3.0 mm (−1/8 in)"


@pytest.mark.parametrize(
    ("measured", "within"),
    [
        pytest.param("1179.66 mm", True, id="just inside"),
        pytest.param("1179.67 mm", False, id="just outside, though it shows the same"),
    ],
)
def test_verdicts_are_exact(measured, within):
    """Whether a measure is within tolerance is decided on exact figures, never on what is shown."""
    assert _row("28.30 m", measured, "0.5 mm").within is within


def test_a_class_of_tolerance_is_looked_up_at_model_size():
    """Class m allows 1.2 mm on 1179 mm, and says so."""
    row = _row("28.30 m", "1180.4 mm", "ISO 2768-m")

    assert _text(row.allowed) == "±1.2 mm"
    assert row.within is False


def test_displacement_scales_as_a_mass():
    """310 t at 1:24 is 22.42 kg, and a model of 23 kg is 8 t too heavy."""
    row = _row("310 t", "23 kg", "5 %", "mass")

    assert _text(row.full_size) == "310 t (305.1 long tons)"
    assert _text(row.target) == "22.42 kg (49.44 lb)"
    assert _text(row.deviation.size) == "+0.58 kg (+1.27 lb)"
    assert _text(row.deviation.percent) == "+2.6 %"
    assert _text(row.deviation.full_size) == "+8.0 t (+7.8 long tons)"
    assert _text(row.allowed) == "±1.12 kg"
    assert row.within is True


def test_speed_scales_by_froude_and_says_so():
    """11 kn at 1:24 is 2.25 kn, and the row names the law."""
    row = _row("11 kn", "2.3 kn", "5 %", "speed")

    assert _text(row.full_size) == "11 kn (20.4 km/h)"
    assert _text(row.target) == "2.25 kn (1.16 m/s)"
    assert _text(row.deviation.size) == "+0.05 kn (+0.03 m/s)"
    assert _text(row.allowed) == "±0.11 kn"
    assert row.note == "by Froude's law"


def test_time_scales_by_froude_in_seconds_alone():
    """A roll of 8 s takes 1.63 s on the model; seconds need no second system."""
    row = _row("8 s", "1.7 s", None, "time")

    assert _text(row.target) == "1.63 s"
    assert row.target.second is None
    assert _text(row.deviation.size) == "+0.07 s"
    assert row.note == "by Froude's law"


@pytest.mark.parametrize(
    ("full_size", "shown"),
    [
        pytest.param("45 hp", "33.6 kW (45 hp)", id="power"),
        pytest.param("310 t", "310 t (305.1 long tons)", id="mass, unasked"),
        pytest.param("11 kn", "11 kn (20.4 km/h)", id="speed, unasked"),
    ],
)
def test_what_does_not_scale_has_no_target(full_size, shown):
    """A figure that does not scale is shown at full size and has no target, never a zero."""
    row = _row(full_size)

    assert _text(row.full_size) == shown
    assert (row.target, row.note) == (None, None)
    assert row.law is ScalingLaw.none


@pytest.mark.parametrize(
    ("cells", "message"),
    [
        pytest.param(
            ("28 m", "3 kg"),
            "^full size is a length and the measure a mass; write both as one kind$",
            id="two kinds",
        ),
        pytest.param(
            ("28 m", None, None, "mass"),
            "^a length cannot scale as mass; write length or none$",
            id="a law for another kind",
        ),
        pytest.param(
            (None, "28 mm", None, "mass"),
            "^a length cannot scale as mass; write length or none$",
            id="a law for another kind than the measure",
        ),
        pytest.param(
            ("310 t", None, "1 mm", "mass"),
            "is a tolerance for lengths; for a mass write it in %$",
            id="a tolerance for another kind",
        ),
        pytest.param(
            ("200 m", None, "ISO 2768-m"),
            "ends at 4000 mm on the model; write a tolerance such as",
            id="a class without a value",
        ),
    ],
)
def test_what_does_not_fit_is_refused(cells, message):
    """A wrong kind, law or tolerance is an error that says what to write, also before anything is measured."""
    with pytest.raises(ValueError, match=message):
        _row(*cells)


def test_a_length_can_be_kept_from_scaling():
    """A length may be said not to scale, and then has no target."""
    row = _row("28.30 m", "1179 mm", None, "none")

    assert (row.target, row.measured_at_full_size, row.deviation) == (None, None, None)
    assert _text(row.measured) == "1179 mm (46 27/64 in)"


def test_nautical_miles_stand_first():
    """A unit at home in both systems stands first, with the workshop's own system beside it."""
    distance = parse_quantity("500 nautical miles")

    assert _text(in_both(distance, "metric")) == "500 nautical miles (926.0 km)"
    assert _text(in_both(distance, "imperial")) == "500 nautical miles (575.4 miles)"


@given(st.integers(1, 10**6), st.integers(-999, 999))
def test_the_deviation_is_what_was_put_in(tenths, off):
    """A measure made by adding an amount to its target deviates by exactly that amount, and has its sign."""
    full = parse_length(f"{tenths * 24} mm")
    off = max(off, 1 - tenths)
    row = compute_spec(full, parse_length(f"{tenths + off} mm"), None, SCALE, None, "metric")
    sign = row.deviation.size.first[0]

    assert row.deviation.exact == Fraction(off, 1000)
    assert sign == ("+" if off > 0 else "−" if off < 0 else "0")


@given(
    metres=st.integers(1, 400),
    off=st.integers(-40, 40),
    decimals=st.integers(0, 3),
    tolerance=st.sampled_from(["0.1 %", "0.5 %", "2 %", "0.1 mm", "1 mm", "3 mm", None]),
)
def test_a_target_never_hides_what_the_measure_shows(metres, off, decimals, tolerance):
    """In both systems the target is off by no more than a quarter of the measure's step and of the tolerance.

    Inches end at 1/64 in, as everywhere.
    """
    target = Fraction(metres * 1000, 24)
    measured = parse_length(f"{float(target) * (1 + off / 1000):.{decimals}f} mm")
    stated = parse_tolerance(tolerance) if tolerance else None
    row = compute_spec(parse_length(f"{metres} m"), measured, stated, SCALE, None, "metric")
    finest = min(filter(None, [measured.step, stated and allowed(stated, target / 1000)]))

    metric, imperial = (parse_length(shown.replace(",", "")).value for shown in (row.target.first, row.target.second))

    assert abs(metric - target / 1000) <= finest / 4
    assert abs(imperial - target / 1000) <= max(finest / 4, Fraction("0.0254") / 128)
