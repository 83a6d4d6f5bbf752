"""What a paint list shows of a colour and of the colour the subject should have."""

import pytest

from buildlog.figures.colour import CLOSE_BELOW, SAME_BELOW, Difference, colour_from_lab, parse_colour
from buildlog.figures.paint import HOW_DIFFERENCES_ARE_TOLD, compute_paint, show_colour, stated_colour


def plain(text):
    return text.replace("\N{NO-BREAK SPACE}", " ").replace("\N{MINUS SIGN}", "-")


@pytest.mark.parametrize(
    ("colour", "shown"),
    [
        pytest.param(parse_colour("#ff0000"), ("#ff0000", "L* 53.2, a* 80.1, b* 67.2 (D65)", True), id="sRGB red"),
        pytest.param(
            parse_colour("#808080"), ("#808080", "L* 53.6, a* 0.0, b* 0.0 (D65)", True), id="grey has no -0.0"
        ),
        pytest.param(
            colour_from_lab(45.2, -42.0, 21.5),
            ("#097b45", "L* 45.2, a* -42.0, b* 21.5 (D65)", True),
            id="Lab as written",
        ),
        pytest.param(
            colour_from_lab(45.25, -42, 21.5, "D50"), ("#007b49", "L* 45.25, a* -42.0, b* 21.5 (D50)", None), id="D50"
        ),
        pytest.param(
            colour_from_lab(60, 90, 60), (None, "L* 60.0, a* 90.0, b* 60.0 (D65)", False), id="outside a screen's range"
        ),
    ],
)
def test_a_colour_as_it_is_shown(colour, shown):
    """A swatch, its Lab with the light it holds under, and whether a screen can show it."""
    swatch, lab, fits = shown

    found = show_colour(colour)

    assert plain(found.lab) == lab
    assert swatch in (None, found.swatch) or abs(int(found.swatch[3:5], 16) - int(swatch[3:5], 16)) <= 1
    assert fits in (None, found.fits_screen)


@pytest.mark.parametrize(
    ("lab", "difference", "words"),
    [
        pytest.param((50, 0, 0), "0.0", Difference.same, id="itself"),
        pytest.param((50, 0.65, 0), "1.0", Difference.same, id="shown as 1.0, yet below it"),
        pytest.param((51.1, 0, 0), "1.1", Difference.close, id="close"),
        pytest.param((52.1, 0, 0), "2.1", Difference.visible, id="visible"),
    ],
)
def test_a_paint_beside_what_it_should_be(lab, difference, words):
    """The difference is CIEDE2000 to one decimal, and its word is chosen before it is rounded."""
    found = compute_paint(colour_from_lab(*lab), colour_from_lab(50, 0, 0))

    assert (found.difference, found.words) == (difference, words)


@pytest.mark.parametrize(
    ("colour", "reference"),
    [
        pytest.param(None, parse_colour("#b3202a"), id="paint without a colour"),
        pytest.param(parse_colour("#b3202a"), None, id="no reference"),
        pytest.param(None, None, id="neither"),
    ],
)
def test_an_honest_blank(colour, reference):
    """Where either colour is not stated there is no difference, and nothing stands in for the colour."""
    found = compute_paint(colour, reference)

    assert (found.difference, found.words) == (None, None)
    assert (found.colour is None) == (colour is None)
    assert (found.reference is None) == (reference is None)


def test_what_a_record_states():
    """sRGB, Lab under its light, or nothing."""
    assert stated_colour("#B3202A", None, "D65") == parse_colour("#b3202a")
    assert stated_colour(None, (45.2, -42.0, 21.5), "A") == colour_from_lab(45.2, -42.0, 21.5, "A")
    assert stated_colour(None, None, "D65") is None


def test_the_key_gives_the_limits():
    """The words under a paint list give the limits by which differences are told."""
    assert f"below {SAME_BELOW:g} the same" in HOW_DIFFERENCES_ARE_TOLD
    assert f"below {CLOSE_BELOW:g} close" in HOW_DIFFERENCES_ARE_TOLD
