"""
Earned value: whether a build costs the hours it was planned to, and whether it is where the plan said it would be.

Everything is counted in planned hours. *Planned* is the work that should be done by a day, *earned* the planned hours
of the work that is done, *spent* the hours it took. The formulas are those of the Earned Value Management Gold Card
(Defense Acquisition University). Earned schedule is Lipke's: the time at which the plan had as much done as is done
now.

A figure is `None` where something it needs was not stated, and `NOT_MEANINGFUL` where everything was stated and the
quotient says nothing: a division by zero, or hours left to do with none left to do them in.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import Enum
from fractions import Fraction
from typing import Final, Literal, NamedTuple


class NotMeaningful(Enum):
    """The type of `NOT_MEANINGFUL`."""

    NOT_MEANINGFUL = "not meaningful"

    def __str__(self) -> str:
        return self.value


NOT_MEANINGFUL: Final = NotMeaningful.NOT_MEANINGFUL
"""What a figure is when what it is made of is known, and it still says nothing."""

Figure = Fraction | Literal[NotMeaningful.NOT_MEANINGFUL] | None
"""A number; `NOT_MEANINGFUL`; or `None` where something it needs was not stated."""


def _over(above: Figure, below: Figure) -> Figure:
    """Divide; a quotient that is not above or below something more than zero is not meaningful."""
    if above is None or below is None:
        return None
    if isinstance(above, NotMeaningful) or isinstance(below, NotMeaningful) or below <= 0:
        return NOT_MEANINGFUL
    return above / below


def _less(one: Figure, other: Figure) -> Figure:
    if one is None or other is None:
        return None
    if isinstance(one, NotMeaningful) or isinstance(other, NotMeaningful):
        return NOT_MEANINGFUL
    return one - other


def _and(one: Figure, other: Figure) -> Figure:
    if one is None or other is None:
        return None
    if isinstance(one, NotMeaningful) or isinstance(other, NotMeaningful):
        return NOT_MEANINGFUL
    return one + other


@dataclass(frozen=True)
class EarnedValue:
    """A plan, and where it stands on one day; hours, or any one unit of value."""

    budget: Fraction | None = None
    """All the work, as planned (BAC)."""
    earned: Fraction | None = None
    """The planned hours of the work that is done (EV)."""
    planned: Fraction | None = None
    """The planned hours of the work that should be done by now (PV)."""
    spent: Fraction | None = None
    """The hours it took (AC)."""
    expected: Fraction | None = None
    """An own estimate at completion (EAC), where there is one; left out, `at_completion` is used."""

    @property
    def cost_variance(self) -> Figure:
        """CV = EV − AC; below zero where the work took longer than planned."""
        return _less(self.earned, self.spent)

    @property
    def schedule_variance(self) -> Figure:
        """SV = EV − PV; below zero where less is done than planned."""
        return _less(self.earned, self.planned)

    @property
    def cost_index(self) -> Figure:
        """CPI = EV / AC: planned hours done for each hour spent; below 1 where the work takes longer than planned."""
        return _over(self.earned, self.spent)

    @property
    def schedule_index(self) -> Figure:
        """SPI = EV / PV: how much is done of what should be done by now; 1 once all is done, however late."""
        return _over(self.earned, self.planned)

    @property
    def at_completion_as_planned(self) -> Figure:
        """EAC = AC + (BAC − EV): what it will all have taken if the rest goes as planned. (From memory.)"""
        return _and(self.spent, _less(self.budget, self.earned))

    @property
    def at_completion(self) -> Figure:
        """EAC = BAC / CPI: what it will all have taken if the rest goes as the work so far."""
        return _over(self.budget, self.cost_index)

    @property
    def at_completion_if_late(self) -> Figure:
        """EAC = AC + (BAC − EV) / (CPI × SPI): what it will all have taken if being late costs hours as well."""
        cost, schedule = self.cost_index, self.schedule_index
        if isinstance(cost, Fraction) and isinstance(schedule, Fraction):
            return _and(self.spent, _over(_less(self.budget, self.earned), cost * schedule))
        return None if cost is None or schedule is None else NOT_MEANINGFUL

    @property
    def to_completion(self) -> Figure:
        """ETC = EAC − AC: hours still to be spent."""
        return _less(self._estimate, self.spent)

    @property
    def variance_at_completion(self) -> Figure:
        """VAC = BAC − EAC; below zero where it will all have taken longer than planned."""
        return _less(self.budget, self._estimate)

    @property
    def index_to_budget(self) -> Figure:
        """
        TCPI = (BAC − EV) / (BAC − AC): planned hours each hour left must do, to end with the hours planned.

        Not meaningful once all the planned hours are spent.
        """
        return _over(_less(self.budget, self.earned), _less(self.budget, self.spent))

    @property
    def index_to_estimate(self) -> Figure:
        """TCPI = (BAC − EV) / (EAC − AC): planned hours each hour left must do, to end with the hours estimated."""
        return _over(_less(self.budget, self.earned), self.to_completion)

    @property
    def _estimate(self) -> Figure:
        return self.at_completion if self.expected is None else self.expected


# --- the plan over time ----------------------------------------------------------------------------


class PlanPoint(NamedTuple):
    """How much should be done at a time."""

    time: Fraction
    """Since the start, in any one unit: days, weeks, months."""
    planned: Fraction
    """Hours of work that should be done by then, all of it together; never less than before."""


@dataclass(frozen=True)
class DueWork:
    """Work, and when it should be done."""

    hours: Fraction
    due: date


def plan_over_time(work: Iterable[DueWork], start: date) -> tuple[PlanPoint, ...]:
    """
    Spread a plan over the days.

    One pair of hands does one thing after another: what is due on a day is planned evenly over the days since the due
    date before it, or since the start. So on each due date exactly the work due by then is planned.

    Args:
        work: In any order.
        start: When work was to begin. What is due on that day or before it is planned in full from the start.

    Returns:
        Points to read between in straight lines, by days since the start; empty where there is no work.
    """
    by_day: dict[date, Fraction] = {}
    for one in work:
        by_day[max(one.due, start)] = by_day.get(max(one.due, start), Fraction(0)) + one.hours
    if not by_day:
        return ()
    total = by_day.pop(start, Fraction(0))
    points = [PlanPoint(Fraction(0), total)]
    for due in sorted(by_day):
        total += by_day[due]
        points.append(PlanPoint(Fraction((due - start).days), total))
    return tuple(points)


def planned_at(plan: Sequence[PlanPoint], time: Fraction) -> Fraction:
    """
    Read how much should be done at a time (PV).

    Args:
        plan: By time; not empty. Before it nothing is planned, after it everything.
        time: In the plan's unit.
    """
    if time < plan[0].time:
        return Fraction(0)
    after = bisect_right(plan, time, key=lambda point: point.time)
    if after == len(plan):
        return plan[-1].planned
    one, other = plan[after - 1], plan[after]
    return one.planned + (other.planned - one.planned) * (time - one.time) / (other.time - one.time)


@dataclass(frozen=True)
class EarnedSchedule:
    """A plan's time against the calendar's, in one unit."""

    earned: Fraction
    """The time at which the plan had as much done as is done now (ES)."""
    actual: Fraction
    """The time now, or when all was done (AT)."""
    duration: Fraction
    """The time at which the plan has all done (PD)."""

    @property
    def variance(self) -> Fraction:
        """SV(t) = ES − AT; below zero where the work is late."""
        return self.earned - self.actual

    @property
    def index(self) -> Figure:
        """SPI(t) = ES / AT; unlike SPI it stays below 1 for what was finished late."""
        return _over(self.earned, self.actual)

    @property
    def forecast(self) -> Figure:
        """PD / SPI(t): how long it will all have taken, if the rest goes as the work so far."""
        return _over(self.duration, self.index)


def earned_schedule(plan: Sequence[PlanPoint], earned: Fraction, actual: Fraction) -> EarnedSchedule:
    """
    Compare a plan's time with the calendar's: ES = C + (EV − PV_C) / (PV_C+1 − PV_C), by Lipke.

    C is the last point of the plan at which no more was to be done than is done now.

    Args:
        plan: By time; not empty.
        earned: The planned hours of the work that is done (EV).
        actual: The time now, or when all was done, in the plan's unit (AT).
    """
    end = next(point for point in plan if point.planned == plan[-1].planned)
    after = bisect_right(plan, earned, key=lambda point: point.planned)
    if earned >= end.planned:
        time = end.time
    elif after == 0:
        time = plan[0].time
    else:
        one, other = plan[after - 1], plan[after]
        time = one.time + (other.time - one.time) * (earned - one.planned) / (other.planned - one.planned)
    return EarnedSchedule(earned=time, actual=actual, duration=end.time)
