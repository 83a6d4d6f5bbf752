"""
Percent complete: where it is computed.

A plan is a set of items, each with a weight (planned hours, or a stage's weight). Each session states how far some
items are. The whole is the sum of weight times share over the sum of weights, with the plan as it stood on the day.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction


@dataclass(frozen=True)
class PlanItem:
    """Something to be done, and how much it weighs."""

    id: str
    name: str
    stage: str
    """Id of the stage of work it belongs to."""
    weight: Fraction
    """Planned hours, or the stage's weight; zero or more."""
    added: date | None = None
    """When it came into the plan; `None` for from the start."""


@dataclass(frozen=True)
class Statement:
    """What one session said of the state of things after it."""

    day: date
    shares: Mapping[str, Fraction]
    """Share done (0 to 1) of each item it spoke of."""


@dataclass(frozen=True)
class StageState:
    """How far one stage of work is."""

    stage: str
    weight: Fraction
    share: Fraction
    """0 to 1."""


@dataclass(frozen=True)
class State:
    """How far a build is after a session."""

    day: date
    items: tuple[PlanItem, ...]
    """The plan as it stood."""
    shares: Mapping[str, Fraction] = field(default_factory=dict)
    """The last share stated of each item; what was never spoken of is missing and counts 0."""

    def share_of(self, item: str) -> Fraction:
        """Share done of one item, 0 to 1."""
        return self.shares.get(item, Fraction(0))

    @property
    def share(self) -> Fraction | None:
        """Share done of the whole, 0 to 1, weighted; `None` where nothing has a weight."""
        return _weighted(self.items, self.shares)

    @property
    def percent(self) -> int | None:
        """Percent complete, as shown."""
        return None if self.share is None else whole_percent(self.share)

    def stages(self, order: Sequence[str]) -> tuple[StageState, ...]:
        """How far each stage is, in the given order; a stage without planned work is left out."""
        states = []
        for stage in order:
            items = [item for item in self.items if item.stage == stage]
            share = _weighted(items, self.shares)
            if share is not None:
                states.append(StageState(stage, sum((item.weight for item in items), Fraction(0)), share))
        return tuple(states)

    def moved_since(self, before: State) -> int | None:
        """Points of percent complete, as shown, above an earlier state (below zero for less); `None` without one."""
        return None if self.percent is None or before.percent is None else self.percent - before.percent

    @property
    def left(self) -> tuple[PlanItem, ...]:
        """Items that are not finished, in the plan's order."""
        return tuple(item for item in self.items if self.share_of(item.id) < 1)


def whole_percent(share: Fraction) -> int:
    """
    Round a share to whole percent as shown: half to even, but 100 only for all of it and 0 only for none.

    Raises:
        ValueError: The share lies outside 0 to 1.
    """
    if not 0 <= share <= 1:
        raise ValueError(f"a share lies between 0 and 1, not {share}")
    if share in (0, 1):
        return int(share * 100)
    return min(max(round(share * 100), 1), 99)


def _weighted(items: Iterable[PlanItem], shares: Mapping[str, Fraction]) -> Fraction | None:
    total = done = Fraction(0)
    for item in items:
        total += item.weight
        done += item.weight * shares.get(item.id, Fraction(0))
    return done / total if total else None


def states(plan: Sequence[PlanItem], statements: Sequence[Statement]) -> tuple[State, ...]:
    """
    Follow a plan through its sessions.

    Args:
        plan: Every item, in the order it should be listed.
        statements: Oldest first.

    Returns:
        The state after each statement, in the same order. An item counts from the day it was added, or from the first
        session that speaks of it where that is earlier.
    """
    shares: dict[str, Fraction] = {}
    following = []
    for statement in statements:
        shares = {**shares, **statement.shares}
        items = tuple(item for item in plan if item.added is None or item.added <= statement.day or item.id in shares)
        following.append(State(statement.day, items, shares))
    return tuple(following)
