"""
When a build is likely to be finished, as a range of dates.

What is left of the plan is turned into hours at the bench by what the work so far has cost, and the hours into days by
sessions drawn from those so far, pauses and all, until the work is done. That is done again and again with a seed taken
from the records, so that the same records give the same range; the range holds the middle four fifths of the days
found. What is not known goes into every round:

* what the work left will cost, by how far items done have strayed from each other, and more for stages not yet begun;
* how well the pace is known, by how uneven it has been; it is taken from all sessions, the later half or the last
  third, drawn anew for each round, and may change as much again as it has changed so far;
* one more pause, as long as the longest so far, than were seen;
* where there are finished builds: that stages differ from each other as they did in one of those, drawn at random.

How good that is was measured on 500 simulated builds of nineteen kinds of builder, each stopped when 30, 50 and 70 %
was done (`tests/figures/test_forecast.py`): the range of 80 % held the day in 82 % of forecasts: 80, 81 and 84 %. By
kind of builder (`tests/benchmarks/forecast.py`, 200 builds each) it is from 94 % for one who works like a clock down to
69 % for one who slows down by two fifths on the way, which no earlier session can tell.
"""

from __future__ import annotations

import hashlib
import math
import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from fractions import Fraction
from itertools import accumulate, pairwise
from types import MappingProxyType

from buildlog.figures.progress import PlanItem, State, Statement, states
from buildlog.words import day_month, day_words

CHANCE = Fraction(4, 5)
"""How likely the day lies in the range."""
FEWEST_SESSIONS = 3
"""With fewer there is no pace to speak of."""
RESAMPLES = 2000
"""Rounds; with more the range does not change by a day in most builds."""
FEWEST_KEPT = Fraction(1, 5)
"""Hours that come to less than this share of the planned hours earned were not kept throughout."""
_FARTHEST = 30 * 365
"""Days; an end that is farther off at the pace so far is no date."""

# What is taken for granted before a build has shown its own ways, and for how many observations it counts. From the
# calibration that the module's text tells of.
_STRAY = 0.25
"""Standard deviation of the logarithm of what items cost, over what they were planned at."""
_STRAY_COUNTS = 1.5
_UNEVEN = 0.50
"""Standard deviation of a session's pace over the mean pace."""
_UNEVEN_COUNTS = 1.5
_CHANGE_COUNTS = 2
_MOST_CHANGE = 0.5
_NEW_STAGE = 0.10
"""Standard deviation of the logarithm of what a stage costs that has not been begun, against those that have."""
_BEGUN = 0.5
"""A stage counts as begun when this share of it is done."""
_LEFT_AT_LEAST = 0.05
"""Share of what was last said to be left of an item that is left whatever hours went into it since."""
_PAUSE = 14
"""Days; the least that a pause is taken to last."""
_PAUSE_EVERY = 240
"""Days before the first pause must be expected."""
_LOOK_BACK = (1.0, 1 / 2, 1 / 3)
"""Shares of the sessions so far that the pace is taken from."""
_FEWEST_LOOKED_AT = 3


@dataclass(frozen=True)
class Worked:
    """Hours at the bench."""

    day: date
    hours: Fraction
    item: str | None = None
    """The item of the plan they went into; `None` where that was not written down."""


@dataclass(frozen=True)
class StageHours:
    """What a stage of a finished build was planned at, and what it took."""

    planned: Fraction
    """Hours, or weight; above zero."""
    spent: Fraction
    """Hours."""


@dataclass(frozen=True)
class Forecast:
    """When a build is likely to be finished."""

    as_of: date
    """The day it is told from."""
    first: date
    last: date
    """Both belong to the range."""
    median: date
    """As likely to be finished before as after."""
    chance: Fraction
    """How likely the day lies in the range."""
    sessions: int
    """Days at the bench that the pace was taken from."""
    by_hours: bool
    """Whether the pace was taken from hours; otherwise from what was done between records."""
    finished_builds: int
    """Finished builds whose stages were looked at."""


class NoForecast(StrEnum):
    """Why there is no date to be told."""

    NO_PLAN = "there is no plan to measure it by; give the build work items with hours"
    FINISHED = "all the work is done"
    TOO_FEW = f"there are fewer than {FEWEST_SESSIONS} sessions to judge the pace by"
    NOTHING_DONE = "nothing of the plan is done yet"
    TOO_FAR = "at the pace so far it would take more than 30 years"


def forecast(
    plan: Sequence[PlanItem],
    statements: Sequence[Statement],
    worked: Iterable[Worked] = (),
    *,
    as_of: date,
    began: date | None = None,
    in_hours: bool = True,
    finished: Sequence[Mapping[str, StageHours]] = (),
    resamples: int = RESAMPLES,
) -> Forecast | NoForecast:
    """
    Tell when a build is likely to be finished.

    Args:
        plan: Every item.
        statements: What is done, oldest first; those after `as_of` are left out, and so are hours.
        worked: Hours at the bench, in any order.
        as_of: The day to tell it from.
        began: When work began, where no hours say so.
        in_hours: Whether the plan's weights are hours.
        finished: For each finished build, what its stages were planned at and took.
        resamples: Rounds.
    """
    statements = [one for one in statements if one.day <= as_of]
    following = states(plan, statements)
    if not plan or (following and following[-1].share is None):
        return NoForecast.NO_PLAN
    if not following or not following[-1].share:
        return NoForecast.TOO_FEW if len(statements) < FEWEST_SESSIONS else NoForecast.NOTHING_DONE
    if following[-1].share == 1:
        return NoForecast.FINISHED
    left = _Left(following[-1], finished)
    worked = sorted(
        (one for one in worked if one.day <= as_of and one.hours > 0), key=lambda one: (one.day, one.item or "")
    )
    by_hours = _hours_were_kept(worked, left.done, in_hours)
    if by_hours:
        steps = _steps_by_hours(worked, as_of)
        told, untold = _told(worked, statements, left)
        cost = _cost_by_hours(told, left)
        left = _Left(following[-1], finished, {item: hours / cost.each for item, hours in untold.items()})
    else:
        steps = _steps_by_share(left.state, statements, began, as_of)
        cost = _cost_by_share(left)
    sessions = len({one.day for one in (worked if by_hours else statements)})
    if sessions < FEWEST_SESSIONS:
        return NoForecast.TOO_FEW
    if sum(step.effort for step in steps) <= 0 or sum(step.days for step in steps) <= 0:
        return NoForecast.NOTHING_DONE
    pace = _Pace(steps, longest_pause=max(step.days for step in steps) if by_hours else 0)
    if left.total * cost.each / pace.each_day > _FARTHEST:
        return NoForecast.TOO_FAR
    dice = random.Random(_seed(plan, statements, worked, as_of, began, finished))  # noqa: S311 - the same each time
    days = sorted(_days_to_go(left, cost, pace, dice) for _ in range(resamples))
    outside = (1 - CHANCE) / 2
    first = max(1, math.floor(days[int(outside * resamples)]))
    last = max(first, math.ceil(days[int((1 - outside) * resamples)]))
    if last > min(_FARTHEST, (date.max - as_of).days):
        return NoForecast.TOO_FAR
    return Forecast(
        as_of=as_of,
        first=as_of + timedelta(first),
        last=as_of + timedelta(last),
        median=as_of + timedelta(min(max(first, round(days[resamples // 2])), last)),
        chance=CHANCE,
        sessions=sessions,
        by_hours=by_hours,
        finished_builds=len(finished),
    )


# --- what is left, and what it will cost -----------------------------------------------------------


class _Left:
    """What is done and what is left of a plan, neither of them nothing; planned hours, or weight."""

    def __init__(
        self,
        state: State,
        finished: Sequence[Mapping[str, StageHours]],
        ahead: Mapping[str, float] = MappingProxyType({}),
    ) -> None:
        self.state = state
        self.items = {item.id: float(item.weight * state.share_of(item.id)) for item in state.items}
        """What is done of each item."""
        self.done = sum(self.items.values())
        left = []
        for item in state.items:
            stated = float(item.weight * (1 - state.share_of(item.id)))
            left.append(max(stated - ahead.get(item.id, 0.0), _LEFT_AT_LEAST * stated))
        self.total = sum(left)
        self.evenness = sum(one**2 for one in left) / self.total**2
        """The sum of squared shares of what is left: 1 for a single item, 1/n for n alike."""
        stages = dict.fromkeys(item.stage for item in state.items)
        done_by_stage = dict.fromkeys(stages, 0.0)
        left_by_stage = dict.fromkeys(stages, 0.0)
        for item, much in zip(state.items, left, strict=True):
            done_by_stage[item.stage] += self.items[item.id]
            left_by_stage[item.stage] += much
        new = [one for one in stages if done_by_stage[one] < _BEGUN * (done_by_stage[one] + left_by_stage[one])]
        self.new_share = sum(left_by_stage[one] for one in new) / self.total
        """Share of what is left that belongs to stages hardly begun."""
        self.as_in_finished = [1.0, *(_dearer(done_by_stage, left_by_stage, one) for one in finished)]
        """How many times as dear the stages left are as those done, by each finished build and by none."""


def _dearer(done: Mapping[str, float], left: Mapping[str, float], finished: Mapping[str, StageHours]) -> float:
    """How many times as dear what is left is as what is done, where stages differ as in a finished build."""
    planned = float(sum((one.planned for one in finished.values()), Fraction(0)))
    spent = float(sum((one.spent for one in finished.values()), Fraction(0)))
    if not planned or not spent:
        return 1.0
    costs = {stage: float(one.spent / one.planned) for stage, one in finished.items() if one.planned}

    def mean(much: Mapping[str, float]) -> float:
        return sum(one * costs.get(stage, spent / planned) for stage, one in much.items()) / sum(much.values())

    return mean(left) / mean(done) if mean(done) else 1.0


@dataclass(frozen=True)
class _Cost:
    """What the plan's work costs in effort."""

    each: float
    """Effort for each planned hour (or unit of weight) done so far."""
    stray: float
    """Variance of the logarithm of what single items cost."""
    items: float
    """Over how many items that is known; what is spread over items unevenly counts for fewer."""


def _hours_were_kept(worked: Sequence[Worked], done: float, in_hours: bool) -> bool:
    if len({one.day for one in worked}) < FEWEST_SESSIONS:
        return False
    return not in_hours or sum(float(one.hours) for one in worked) >= float(FEWEST_KEPT) * done


def _told(
    worked: Sequence[Worked], statements: Sequence[Statement], left: _Left
) -> tuple[Sequence[Worked], Mapping[str, float]]:
    """
    Part the hours that went into unfinished items since their share was last stated from all others.

    Nothing says what these hours did, so they are taken to have done as much as others.

    Returns:
        The others, and those by item. Where the others are next to nothing, all, and none.
    """
    stated = {item: statement.day for statement in statements for item in statement.shares}
    told = []
    untold: dict[str, float] = {}
    for one in worked:
        is_open = one.item is not None and left.state.share_of(one.item) < 1 and one.item in left.items
        if is_open and one.item is not None and one.day > stated.get(one.item, date.min):
            untold[one.item] = untold.get(one.item, 0.0) + float(one.hours)
        else:
            told.append(one)
    if sum(float(one.hours) for one in told) < 0.5 * sum(untold.values()):
        return worked, {}
    return told, untold


def _cost_by_hours(worked: Sequence[Worked], left: _Left) -> _Cost:
    """Find what items cost by the hours written down for them; what was not, tells of the whole alone."""
    each = sum(float(one.hours) for one in worked) / left.done
    by_item: dict[str, float] = {}
    for one in worked:
        if one.item is not None and left.items.get(one.item, 0) > 0:
            by_item[one.item] = by_item.get(one.item, 0.0) + float(one.hours)
    done = {item: left.items[item] for item in by_item}
    if sum(by_item.values()) < 0.8 * each * left.done:
        return _Cost(each, _STRAY**2, _alike([one for one in left.items.values() if one > 0]))
    total = sum(done.values())
    logs = {item: math.log(by_item[item] / done[item]) for item in by_item}
    mean = sum(done[item] * logs[item] for item in done) / total
    items = _alike(list(done.values()))
    known = max(items - 1, 0.0)
    spread = sum(done[item] * (logs[item] - mean) ** 2 for item in done) / total
    spread = spread * items / known if known > 0.5 else spread
    return _Cost(each, (_STRAY_COUNTS * _STRAY**2 + known * spread) / (_STRAY_COUNTS + known), items)


def _cost_by_share(left: _Left) -> _Cost:
    """Without hours effort is what was done; how items stray shows half in the pace already."""
    return _Cost(1.0, _STRAY**2 / 2, _alike([one for one in left.items.values() if one > 0]))


def _alike(sizes: Sequence[float]) -> float:
    """How many alike sizes would be as uneven as these."""
    return sum(sizes) ** 2 / sum(one**2 for one in sizes)


# --- the pace --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Step:
    """What was done on a day, or between two records, and how long after the one before."""

    effort: float
    """Hours at the bench, or planned hours done; below zero where work was undone."""
    days: float


def _steps_by_hours(worked: Sequence[Worked], as_of: date) -> list[_Step]:
    by_day: dict[date, float] = {}
    for one in worked:
        by_day[one.day] = by_day.get(one.day, 0.0) + float(one.hours)
    days = sorted(by_day)
    gaps = [(after - before).days for before, after in pairwise(days)]
    steps = [_Step(by_day[day], gap) for day, gap in zip(days, [sum(gaps) / len(gaps), *gaps], strict=True)]
    return steps + _idle(days[-1], as_of)


def _steps_by_share(state: State, statements: Sequence[Statement], began: date | None, as_of: date) -> list[_Step]:
    weights = {item.id: float(item.weight) for item in state.items}
    shares: dict[str, Fraction] = {}
    done_on: dict[date, float] = {} if began is None or began >= statements[0].day else {began: 0.0}
    for statement in statements:
        shares.update(statement.shares)
        done_on[statement.day] = sum(weights.get(item, 0.0) * float(share) for item, share in shares.items())
    days = sorted(done_on)
    return [_Step(done_on[after] - done_on[before], (after - before).days) for before, after in pairwise(days)] + _idle(
        days[-1], as_of
    )


def _idle(last: date, as_of: date) -> list[_Step]:
    """Days since the last session: a pause that is known of, with nothing done."""
    return [_Step(0.0, (as_of - last).days)] if as_of > last else []


class _Pace:
    """Steps to draw from, in runs of several that follow each other, so that busy weeks and pauses stay together."""

    def __init__(self, steps: Sequence[_Step], *, longest_pause: float) -> None:
        self.count = len(steps)
        self.run = max(1, round(math.sqrt(self.count)))
        self.starts = sorted(
            {max(0, self.count - max(_FEWEST_LOOKED_AT, round(self.count * share))) for share in _LOOK_BACK}
        )
        efforts = [step.effort for step in steps]
        days = [step.days for step in steps]
        self.effort = sum(efforts)
        self.days = sum(days)
        self.each_day = self.effort / self.days
        self.runs = {start: self._runs_from(efforts[start:], days[start:]) for start in self.starts}
        self.runs = {start: runs for start, runs in self.runs.items() if sum(run.effort for run in runs) > 0}
        self.starts = [start for start in self.starts if start in self.runs]
        self.uneven = self._uneven()
        self.change = self._change(efforts, days)
        self.pause = max(_PAUSE, longest_pause)
        self.between_pauses = _PAUSE_EVERY + self.days

    def _runs_from(self, efforts: Sequence[float], days: Sequence[float]) -> list[_Step]:
        """Each run of steps; after the last comes the first again, so that all are drawn alike."""
        effort_by = list(accumulate([*efforts, *efforts], initial=0.0))
        days_by = list(accumulate([*days, *days], initial=0.0))
        run = min(self.run, len(efforts))
        return [
            _Step(effort_by[start + run] - effort_by[start], days_by[start + run] - days_by[start])
            for start in range(len(efforts))
        ]

    def _uneven(self) -> float:
        """Variance of a run's pace over the mean pace."""
        expected = self.effort / self.count * self.run
        strays = [(run.effort - self.each_day * run.days) / expected for run in self.runs[0]]
        independent = self.count / self.run
        known = max(independent - 1, 0.0)
        found = sum(stray**2 for stray in strays) / len(strays)
        found = found * independent / known if known > 0.5 else found
        return (_UNEVEN_COUNTS * _UNEVEN**2 / self.run + known * found) / (_UNEVEN_COUNTS + known)

    def _change(self, efforts: Sequence[float], days: Sequence[float]) -> float:
        """Variance of the logarithm of the pace from quarter to quarter, beyond what its unevenness makes of it."""
        if self.count < 8:
            return 0.0
        edges = [round(self.count * quarter / 4) for quarter in range(5)]
        quarters = [(sum(efforts[one:other]), sum(days[one:other])) for one, other in pairwise(edges)]
        logs = [math.log(effort / length) for effort, length in quarters if effort > 0 and length > 0]
        if len(logs) < 2:
            return _MOST_CHANGE
        mean = sum(logs) / len(logs)
        found = sum((one - mean) ** 2 for one in logs) / (len(logs) - 1)
        by_chance = self.uneven * 4 * self.run / self.count
        likely = (3 * found + _CHANGE_COUNTS * by_chance) / (3 + _CHANGE_COUNTS)
        return min(max(0.0, likely - by_chance), _MOST_CHANGE)


# --- one round -------------------------------------------------------------------------------------


def _days_to_go(left: _Left, cost: _Cost, pace: _Pace, dice: random.Random) -> float:
    """Draw what the work left costs and sessions until it is done; days from now."""
    start = pace.starts[int(dice.random() * len(pace.starts))]
    runs = pace.runs[start]
    by_items = math.log1p(math.expm1(cost.stray) * left.evenness)
    new_stage = _NEW_STAGE * left.new_share
    doubt = by_items + cost.stray / cost.items + new_stage**2 / len(left.as_in_finished)
    doubt += pace.uneven * pace.run / (pace.count - start) + pace.change
    work = left.total * cost.each * math.exp(dice.gauss(0.0, math.sqrt(doubt)) - by_items / 2)
    work *= left.as_in_finished[int(dice.random() * len(left.as_in_finished))]
    days = 0.0
    while days < 2 * _FARTHEST:
        run = runs[int(dice.random() * len(runs))]
        if run.effort >= work:
            days += run.days * work / run.effort
            break
        work -= run.effort
        days += run.days
    at = dice.expovariate(1 / pace.between_pauses)
    while at < days:
        pause = pace.pause * dice.uniform(0.5, 1.5)
        days += pause
        at += pause + dice.expovariate(1 / pace.between_pauses)
    return days


def _seed(*content: object) -> int:
    """A number that is the same for the same records, on any machine."""
    return int.from_bytes(hashlib.sha256(repr(content).encode()).digest()[:8], "big")


# --- in words --------------------------------------------------------------------------------------


def forecast_in_words(found: Forecast) -> str:
    """Say the range, such as `likely finished 9 to 27 November`, with the year where it is another than the day's."""
    first, last, told = found.first, found.last, found.as_of
    if first == last:
        return f"likely finished on {day_month(last, told)}"
    if first.year != last.year:
        return f"likely finished {day_words(first)} to {day_words(last)}"
    since = str(first.day) if first.month == last.month else day_month(first)
    return f"likely finished {since} to {day_month(last, told)}"


def chance_in_words(chance: Fraction) -> str:
    """Say how likely, such as `8 times in 10`."""
    return f"{round(chance * 10)} times in 10"
