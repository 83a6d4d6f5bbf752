"""Whether a model is right: the outcome that a full size, a measure and a tolerance decide, and how notes stand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buildlog.figures.quantities import Quantity
from buildlog.figures.scale import Scale, ScalingLaw, to_model
from buildlog.figures.tolerance import Tolerance, is_within


def keeps_within(full_size: Quantity, measured: Quantity, tolerance: Tolerance, scale: Scale) -> bool:
    """
    Whether a measured length keeps within its tolerance of the full size at this scale; the edge itself is within.

    Lengths are compared exactly, in metres at model size; nothing is rounded before.

    Raises:
        ValueError: The tolerance's class has no value for this size.
    """
    return is_within(tolerance, to_model(full_size, scale, ScalingLaw.length).value, measured.value)


def how_they_stand(outcomes: Iterable[str], order: Sequence[str]) -> tuple[tuple[str, int], ...]:
    """
    How many notes stand how.

    Args:
        outcomes: One word for each note.
        order: Every outcome there is, in the order they are told.

    Returns:
        Each outcome with its number of notes, those without one left out.
    """
    found = list(outcomes)
    return tuple((outcome, found.count(outcome)) for outcome in order if outcome in found)
