"""Rows of the markings table."""

import pytest

from buildlog.figures.markings import compute_marking
from buildlog.figures.quantities import parse_length, parse_quantity
from buildlog.figures.scale import parse_scale

SCALE = parse_scale("1:24")


def _text(shown):
    return None if shown is None else str(shown).replace("\N{NO-BREAK SPACE}", " ")


def test_a_marking_in_both_systems():
    """A marking shows its true size and its size on the model, its stroke likewise."""
    row = compute_marking(parse_length("300 mm"), parse_length("25 mm"), SCALE, parse_length("0.5 mm"), "metric")

    assert _text(row.true_size) == "300 mm (11 13/16 in)"
    assert _text(row.model_size) == "12.50 mm (31/64 in)"
    assert _text(row.true_stroke) == "25 mm (63/64 in)"
    assert _text(row.model_stroke) == "1.04 mm (41.0 thou)"


def test_imperial_first():
    """A workshop that works in inches sees them first."""
    row = compute_marking(parse_length("6 in"), None, SCALE, parse_length("20 thou"), "imperial")

    assert _text(row.true_size) == "6 in (152 mm)"
    assert _text(row.model_size) == "1/4 in (6.4 mm)"


@pytest.mark.parametrize(
    ("stroke", "can_be_made", "words"),
    [
        pytest.param("25 mm", True, "yes", id="above"),
        pytest.param("12 mm", True, "yes, just", id="just"),
        pytest.param("11.99 mm", False, "no, too fine", id="finer"),
    ],
)
def test_strokes_are_held_to_the_finest(stroke, can_be_made, words):
    """A stroke on the model is compared exactly with the finest the workshop can make, and the verdict is in words."""
    row = compute_marking(parse_length("300 mm"), parse_length(stroke), SCALE, parse_length("0.5 mm"), "metric")

    assert row.can_be_made is can_be_made
    assert _text(row.words) == words


@pytest.mark.parametrize(
    ("stroke", "finest"),
    [
        pytest.param(None, "0.5 mm", id="no stroke"),
        pytest.param("25 mm", None, id="no finest stroke"),
        pytest.param(None, None, id="neither"),
    ],
)
def test_a_missing_stroke_gives_no_verdict(stroke, finest):
    """Where either is not stated nothing is said of whether the stroke can be made."""
    row = compute_marking(
        parse_length("300 mm"),
        parse_length(stroke) if stroke else None,
        SCALE,
        parse_length(finest) if finest else None,
        "metric",
    )

    assert (row.can_be_made, row.words) == (None, None)
    assert _text(row.model_size) == "12.50 mm (31/64 in)"


def test_a_marking_without_a_size_is_blank():
    """A marking without sizes has none."""
    row = compute_marking(None, None, SCALE, parse_length("0.5 mm"), "metric")

    assert (row.true_size, row.model_size, row.true_stroke, row.model_stroke) == (None,) * 4


def test_a_marking_of_another_kind_is_refused():
    """A marking's size must be a length."""
    with pytest.raises(ValueError, match=r"^a mass cannot scale as length; write mass or none$"):
        compute_marking(parse_quantity("3 kg"), None, SCALE, None, "metric")
