"""What a paint's colour comes to: how a screen shows it, its Lab, and how far it lies from the subject's colour."""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.figures.colour import (
    CLOSE_BELOW,
    SAME_BELOW,
    Colour,
    Difference,
    Illuminant,
    Lab,
    colour_difference,
    colour_from_lab,
    difference_in_words,
    parse_colour,
    screen_can_show,
    swatch_hex,
)
from buildlog.figures.quantities import NO_BREAK
from buildlog.figures.rounding import MINUS

HOW_DIFFERENCES_ARE_TOLD = (
    f"Differences are by CIEDE2000: below {SAME_BELOW:g} the same to the eye, below {CLOSE_BELOW:g} close, and visible"
    f" from {CLOSE_BELOW:g} on."
)
"""The words of `difference_in_words` with their limits."""


@dataclass(frozen=True)
class ColourShown:
    """A colour as a page shows it."""

    swatch: str
    """The sRGB colour that stands for it, as `#` and six hexadecimal digits."""
    lab: str
    """CIE L*a*b*, 2° observer, and the light it holds under: "L* 45.2, a* −42.0, b* 21.5 (D65)". One decimal for a
    colour stated as sRGB, whose steps of 1/255 are no finer; up to two, as it was written, for one stated as Lab."""
    fits_screen: bool
    """Whether an sRGB screen can show it."""


@dataclass(frozen=True)
class PaintFigures:
    """What a paint list shows of one paint; None is an honest blank."""

    colour: ColourShown | None
    reference: ColourShown | None
    """The colour that the full-size subject should have."""
    difference: str | None
    """CIEDE2000 between the two, to one decimal; about 1 for what can just be seen."""
    words: Difference | None
    """The same in words, from the unrounded difference."""


def stated_colour(colour: str | None, lab: tuple[float, float, float] | None, illuminant: Illuminant) -> Colour | None:
    """The colour that a record states: as sRGB, as L*a*b* under a light, or None where it states neither.

    Raises:
        ValueError: As `parse_colour` and `colour_from_lab`.
    """
    if colour is not None:
        return parse_colour(colour)
    return colour_from_lab(*lab, illuminant) if lab is not None else None


def _decimal(value: float, most: int) -> str:
    text = f"{round(value, most) + 0.0:.{most}f}"
    text = text[:-1] if most > 1 and text.endswith("0") else text
    return text.replace("-", MINUS)


def _lab_in_words(lab: Lab, illuminant: Illuminant, decimals: int) -> str:
    figures = zip(("L*", "a*", "b*"), lab, strict=True)
    return ", ".join(f"{name}{NO_BREAK}{_decimal(value, decimals)}" for name, value in figures) + f" ({illuminant})"


def show_colour(colour: Colour) -> ColourShown:
    """A colour as a page shows it."""
    decimals = 2 if colour.hex is None else 1
    return ColourShown(
        swatch_hex(colour), _lab_in_words(colour.lab, colour.illuminant, decimals), screen_can_show(colour)
    )


def compute_paint(colour: Colour | None, reference: Colour | None) -> PaintFigures:
    """Work out what a paint list shows of one paint.

    Args:
        colour: Of the dried paint; None where it is not stated.
        reference: What the full-size subject should have; None where it is not stated.
    """
    difference = colour_difference(colour, reference) if colour and reference else None
    return PaintFigures(
        colour=show_colour(colour) if colour else None,
        reference=show_colour(reference) if reference else None,
        difference=None if difference is None else _decimal(difference, 1),
        words=None if difference is None else difference_in_words(difference),
    )
