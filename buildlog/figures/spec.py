"""One row of a spec table: full size, target at model size, measure, deviation, and whether that is in tolerance."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from buildlog.figures.quantities import NO_BREAK, Quantity
from buildlog.figures.rounding import decimal_text, show, show_percent, show_value
from buildlog.figures.scale import Scale, ScalingLaw, check_law, default_law, divisor, to_full_size, to_model
from buildlog.figures.tolerance import Tolerance, ToleranceKind, allowed, is_within
from buildlog.figures.units import BY_SYMBOL, Dimension, System

_NOTES = {
    ScalingLaw.speed: "by Froude's law",
    ScalingLaw.time: "by Froude's law",
}


@dataclass(frozen=True)
class Both:
    """One figure in two systems of units, in the order the workshop wants them."""

    first: str
    second: str | None
    """None where both systems use the same unit, such as the second."""

    def __str__(self) -> str:
        return self.first if self.second is None else f"{self.first} ({self.second})"


@dataclass(frozen=True)
class Deviation:
    """How far a measure lies from its target: above it with a plus sign, below it with a minus sign."""

    size: Both
    """At model size."""
    percent: str
    """Of the target."""
    full_size: Both
    """The same at full size."""
    exact: Fraction
    """At model size, in the SI unit of the figure's dimension."""


@dataclass(frozen=True)
class SpecFigures:
    """What one row of a spec table shows; None is an honest blank."""

    full_size: Both | None
    target: Both | None
    """At model size, no coarser than the measure and the tolerance."""
    measured: Both | None
    """Off the model."""
    measured_at_full_size: Both | None
    """What the measure would be at full size."""
    deviation: Deviation | None
    tolerance: str | None
    """As stated, in one spelling."""
    allowed: str | None
    """The tolerance as a size on the model, where it is stated in another way."""
    within: bool | None
    """Whether the measure keeps within tolerance, compared exactly; the edge itself is within."""
    law: ScalingLaw
    note: str | None
    """What a reader must know about the target."""


def in_both(quantity: Quantity, units_first: System, *, on_model: bool = False) -> Both:
    """A quantity in metric and imperial, as written in the system it was written in.

    A unit at home in both systems, such as the knot, stands first with the workshop's own system beside it.
    """
    own = BY_SYMBOL[quantity.unit].system
    if own is None:
        first = show(quantity, on_model=on_model)
        if quantity.dimension is Dimension.time:
            return Both(first, None)
        return Both(first, show(quantity, system=units_first, on_model=on_model))
    units_second: System = "imperial" if units_first == "metric" else "metric"
    return Both(
        show(quantity, system=units_first, on_model=on_model), show(quantity, system=units_second, on_model=on_model)
    )


def _difference_in_both(
    value: Fraction, step: Fraction, like: Quantity, units_first: System, *, on_model: bool
) -> Both:
    written = BY_SYMBOL[like.unit]

    def shown(system: System | None) -> str:
        return show_value(
            value,
            step,
            like.dimension,
            system=system or "metric",
            unit=None if system else written.symbol,
            written_in=like.unit,
            on_model=on_model,
            signed=True,
            sized_by=None if like.dimension is Dimension.length else like.value,
        ).text

    if written.system is None:
        return Both(shown(None), None if like.dimension is Dimension.time else shown(units_first))
    return Both(shown(units_first), shown("imperial" if units_first == "metric" else "metric"))


def _deviation(
    target: Quantity, measured: Quantity, full_size: Quantity, grow: Fraction, units_first: System
) -> Deviation:
    exact = measured.value - target.value
    step = min(target.step, measured.step)
    full_step = min(full_size.step, measured.step * grow)
    share_step = step / target.value / 2
    return Deviation(
        size=_difference_in_both(exact, step, measured, units_first, on_model=True),
        percent=show_percent(exact / target.value, share_step, signed=True),
        full_size=_difference_in_both(exact * grow, full_step, full_size, units_first, on_model=False),
        exact=exact,
    )


def _held_against(target: Quantity, measured: Quantity | None, most: Fraction | None) -> Quantity:
    """The target as finely as what it is held against: a full size in whole metres says nothing of tenths of a mm.

    Args:
        target: At model size.
        measured: Off the model; None until it is taken.
        most: How far the measure may lie from the target; None without a tolerance.
    """
    steps = [target.step, measured.step if measured else None, most]
    return replace(target, step=min(step for step in steps if step))


def _allowed_in_words(tolerance: Tolerance, target: Quantity, most: Fraction, units_first: System) -> str | None:
    if tolerance.kind is ToleranceKind.length:
        return None
    if tolerance.kind is ToleranceKind.iso_2768:
        return f"±{decimal_text(most * 1000, -2).rstrip('0').rstrip('.')}{NO_BREAK}mm"
    shown = show_value(
        most,
        target.step,
        target.dimension,
        system=units_first,
        unit=target.unit if BY_SYMBOL[target.unit].system is None else None,
        written_in=target.unit,
        on_model=True,
        sized_by=target.value,
    )
    return f"±{shown.text}"


def compute_spec(
    full_size: Quantity | None,
    measured: Quantity | None,
    tolerance: Tolerance | None,
    scale: Scale,
    scales_as: ScalingLaw | None,
    units_first: System,
) -> SpecFigures:
    """Work out one row of a spec table.

    Args:
        full_size: Of the subject; None where it is not stated.
        measured: Off the model; None until it is taken.
        tolerance: How far the model may be off; None where none is set.
        scale: Of the build.
        scales_as: The law asked for; None for the quantity's own (`default_law`).
        units_first: The system the workshop puts first.

    Raises:
        ValueError: Full size and measure are not of one kind, the law is for another kind, or the tolerance does not
            fit; says what to write instead, in one sentence.
    """
    known = full_size or measured
    if full_size and measured and full_size.dimension is not measured.dimension:
        raise ValueError(
            f"full size is a {full_size.dimension} and the measure a {measured.dimension}; write both as one kind"
        )
    if known is None:
        law = scales_as or ScalingLaw.none
    else:
        law = scales_as or default_law(known.dimension)
        check_law(known.dimension, law)
    scaled = law is not ScalingLaw.none
    target = to_model(full_size, scale, law) if full_size and scaled else None
    deviation = within = allowed_words = most = None
    if target and full_size and measured:
        deviation = _deviation(target, measured, full_size, divisor(scale, law), units_first)
    if target and tolerance:
        most = allowed(tolerance, target.value, target.dimension)
    if target:
        target = _held_against(target, measured, most)
    if target and tolerance and most is not None:
        allowed_words = _allowed_in_words(tolerance, target, most, units_first)
    if target and tolerance and measured:
        within = is_within(tolerance, target.value, measured.value, target.dimension)
    return SpecFigures(
        full_size=in_both(full_size, units_first) if full_size else None,
        target=in_both(target, units_first, on_model=True) if target else None,
        measured=in_both(measured, units_first, on_model=True) if measured else None,
        measured_at_full_size=in_both(to_full_size(measured, scale, law), units_first) if measured and scaled else None,
        deviation=deviation,
        tolerance=str(tolerance) if tolerance else None,
        allowed=allowed_words,
        within=within,
        law=law,
        note=_NOTES.get(law) if target else None,
    )
