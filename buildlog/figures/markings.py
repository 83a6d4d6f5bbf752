"""Lettering, lines and badges: their true size, their size on the model, and whether the workshop can make them."""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.figures.quantities import Quantity
from buildlog.figures.scale import Scale, ScalingLaw, to_model
from buildlog.figures.spec import Both, in_both
from buildlog.figures.units import System


@dataclass(frozen=True)
class MarkingFigures:
    """What one row of a markings table shows; None is an honest blank."""

    true_size: Both | None
    """At full size."""
    model_size: Both | None
    true_stroke: Both | None
    """The narrowest line of the marking, at full size."""
    model_stroke: Both | None
    can_be_made: bool | None
    """Whether the stroke on the model is at least the workshop's finest, compared exactly; None where either is not
    stated."""
    words: str | None
    """The same in words: "yes", "yes, just" or "no, too fine"."""


def _in_words(stroke: Quantity, finest: Quantity) -> str:
    if stroke.value == finest.value:
        return "yes, just"
    return "yes" if stroke.value > finest.value else "no, too fine"


def compute_marking(
    full_size: Quantity | None,
    stroke: Quantity | None,
    scale: Scale,
    finest_stroke: Quantity | None,
    units_first: System,
) -> MarkingFigures:
    """Work out one row of a markings table.

    Args:
        full_size: Of the marking on the subject; None where it is not stated.
        stroke: Its narrowest line on the subject; None where it is not stated.
        scale: Of the build.
        finest_stroke: The narrowest line the workshop can cut or paint; None where it is not stated.
        units_first: The system the workshop puts first.

    Raises:
        ValueError: A size that is no length; says what to write instead.
    """
    size, line = (to_model(one, scale, ScalingLaw.length) if one else None for one in (full_size, stroke))
    can_be_made = words = None
    if line and finest_stroke:
        can_be_made = line.value >= finest_stroke.value
        words = _in_words(line, finest_stroke)
    return MarkingFigures(
        true_size=in_both(full_size, units_first) if full_size else None,
        model_size=in_both(size, units_first, on_model=True) if size else None,
        true_stroke=in_both(stroke, units_first) if stroke else None,
        model_stroke=in_both(line, units_first, on_model=True) if line else None,
        can_be_made=can_be_made,
        words=words,
    )
