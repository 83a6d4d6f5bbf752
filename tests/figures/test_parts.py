"""How many of a part a build takes."""

import pytest

from buildlog.figures.parts import how_many


@pytest.mark.parametrize(
    ("uses", "pieces"),
    [
        pytest.param([(1, False)], 1, id="one"),
        pytest.param([(2, True)], 4, id="a mirrored feature takes as many again"),
        pytest.param([(2, True), (3, False)], 7, id="over all features"),
        pytest.param([], 0, id="none"),
    ],
)
def test_parts_are_counted_on_both_sides(uses, pieces):
    """A part is counted over every feature, twice where the feature is mirrored."""
    assert how_many(uses) == pieces
