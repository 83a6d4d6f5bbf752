"""What decides whether a model is right."""

import pytest

from buildlog.figures.accuracy import how_they_stand, keeps_within
from buildlog.figures.quantities import parse_length
from buildlog.figures.scale import parse_scale
from buildlog.figures.tolerance import parse_tolerance


@pytest.mark.parametrize(
    ("measured", "within"),
    [
        pytest.param("105 mm", True, id="the edge itself"),
        pytest.param("105.001 mm", False, id="just outside"),
        pytest.param("95 mm", True, id="the lower edge"),
        pytest.param("94.999 mm", False, id="just below"),
    ],
)
def test_a_measure_is_held_to_its_tolerance_at_model_size(measured, within):
    """2.4 m at 1:24 is 100 mm, and 5 % of that are 5 mm either way."""
    found = keeps_within(parse_length("2.4 m"), parse_length(measured), parse_tolerance("5 %"), parse_scale("1:24"))

    assert found is within


def test_a_class_without_a_value_is_refused():
    """A class of ISO 2768-1 says nothing of what is smaller than 0.5 mm on the model."""
    with pytest.raises(ValueError, match=r"begins at 0.5 mm"):
        keeps_within(parse_length("10 mm"), parse_length("0.4 mm"), parse_tolerance("ISO 2768-m"), parse_scale("1:24"))


def test_how_notes_stand():
    """Notes are counted outcome by outcome in the order given, and an outcome without one is left out."""
    outcomes = ["departs", "as full size", "as full size"]

    assert how_they_stand(outcomes, ["as full size", "simplified", "departs"]) == (("as full size", 2), ("departs", 1))
