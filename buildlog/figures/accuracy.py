"""Whether a model is right: the outcome that a full size, a measure and a tolerance decide."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from buildlog.figures.quantities import Quantity
from buildlog.figures.scale import Scale
from buildlog.figures.tolerance import Tolerance, is_within


@dataclass(frozen=True)
class Deviation:
    """How far a measure lies from what the full size would be on the model."""

    target: Fraction
    """On the model, in metres."""
    measured: Fraction
    """Off the model, in metres."""

    @property
    def length(self) -> Fraction:
        """Measured less target, in metres at model size."""
        return self.measured - self.target

    @property
    def share(self) -> Fraction:
        """Measured less target, as a share of the target."""
        return self.length / self.target


def deviation(full_size: Quantity, measured: Quantity, scale: Scale) -> Deviation:
    """Compare a length off the model with the length on the full-size subject."""
    return Deviation(full_size.value / scale.ratio, measured.value)


def keeps_within(full_size: Quantity, measured: Quantity, tolerance: Tolerance, scale: Scale) -> bool:
    """
    Whether a measured length keeps within its tolerance of the full size at this scale.

    Raises:
        ValueError: The tolerance's class has no value for this size.
    """
    found = deviation(full_size, measured, scale)
    return is_within(tolerance, found.target, found.measured)
