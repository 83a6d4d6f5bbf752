"""
Builds that never were, for measuring how good a forecast is.

A builder works through a plan of items. Each costs more or less than planned, by a factor of the build, of the stage
and of its own. Sessions follow each other by days, with pauses between; every few sessions a record states how far the
items are, to the nearest 5 %. What a builder is like is a `Habits`; nothing in it is taken from how forecasts are made.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from fractions import Fraction

from buildlog.figures.forecast import StageHours, Worked
from buildlog.figures.progress import PlanItem, Statement

STAGES = ("assembly", "primer", "base-coat", "markings", "weathering", "fitting-out")
_LABOUR = (40, 5, 15, 10, 15, 15)


@dataclass(frozen=True)
class Habits:
    """What a builder is like. A spread is the standard deviation of a logarithm; a chance is for each session."""

    items: tuple[int, int] = (8, 28)
    build_spread: tuple[float, float] = (0.1, 0.2)
    """Mean and spread of what the whole costs over its plan."""
    stage_spread: float = 0.0
    item_spread: float = 0.35
    blunder: float = 0.0
    """How many of the items cost two to four times as much again."""
    days_apart: tuple[int, int] = (1, 4)
    hours: tuple[float, float] = (4.0, 0.35)
    """Median and spread of a session."""
    quickens: tuple[float, float] = (0.0, 0.0)
    """Mean and spread of how the logarithm of the pace changes from beginning to end."""
    moods: float = 0.0
    """Spread of good and bad months, which last about ten sessions."""
    holiday: float = 0.015
    """Chance of one to three weeks off."""
    pause: float = 0.0
    """Chance of ten to forty days off."""
    weekends: bool = False
    redo: float = 0.0
    """Chance that part of an item must be done again."""
    added: float = 0.0
    """Chance that something comes into the plan."""
    aside: float = 0.2
    """How often another item than the next is taken up."""
    hurry: float = 0.0
    """How much quicker the last three tenths go."""
    records: tuple[int, int] = (1, 6)
    """Sessions for each record."""
    by_hours: bool = False
    """Whether shares are stated by the hours gone, up to 90 %, rather than by what is done."""
    sheet: str = "item"
    """What of the hours is written down: by item, by session, or none."""
    finished: int = 0
    """Finished builds by the same hands, before."""


HABITS: Mapping[str, Habits] = {
    "steady": Habits(),
    "even": Habits(item_spread=0.15, build_spread=(0, 0.1), hours=(4, 0.2), days_apart=(2, 4), holiday=0, aside=0),
    "quickening": Habits(quickens=(0.5, 0.2)),
    "slowing": Habits(quickens=(-0.5, 0.2)),
    "moody": Habits(moods=0.4, quickens=(0, 0.3)),
    "bursts": Habits(pause=0.06, hours=(4, 0.6), days_apart=(1, 2), records=(1, 4)),
    "weekends": Habits(weekends=True, hours=(6, 0.4)),
    "blunders": Habits(item_spread=0.5, blunder=0.1),
    "redone and added": Habits(redo=0.04, added=0.02),
    "few records": Habits(records=(8, 20), items=(15, 28)),
    "no hours": Habits(sheet="none"),
    "no hours, few records": Habits(sheet="none", records=(8, 14), items=(15, 28)),
    "hours undivided": Habits(sheet="session"),
    "shares by hours": Habits(by_hours=True),
    "stages differ": Habits(stage_spread=0.25),
    "stages differ, three finished": Habits(stage_spread=0.25, finished=3),
    "one finished": Habits(stage_spread=0.15, finished=1),
    "few items": Habits(items=(3, 6)),
    "hurry": Habits(hurry=0.4, holiday=0.03),
}
"""Many kinds of builder, from one who works like a clock to those no forecast can foresee."""


@dataclass(frozen=True)
class SimulatedBuild:
    """A build from its first session to its last."""

    plan: tuple[PlanItem, ...]
    statements: tuple[Statement, ...]
    worked: tuple[Worked, ...]
    end: date
    """When it was finished."""
    finished: tuple[Mapping[str, StageHours], ...] = ()
    """What the stages of finished builds took."""

    def stops(self, shares: tuple[float, ...]) -> Iterator[tuple[float, date]]:
        """The first record at which each share of the plan is done, with its date; not those on the last day."""
        said: dict[str, Fraction] = {}
        wanted = list(shares)
        for statement in self.statements:
            said.update(statement.shares)
            known = [item for item in self.plan if item.added is None or item.added <= statement.day]
            total = sum(item.weight for item in known)
            done = sum(item.weight * said.get(item.id, 0) for item in known)
            while wanted and done >= wanted[0] * total:
                if statement.day < self.end:
                    yield wanted[0], statement.day
                wanted.pop(0)


@dataclass
class _Item:
    name: str
    stage: int
    planned: int
    costs: float
    added: date | None = None
    done: float = 0.0
    spent: float = 0.0

    @property
    def is_done(self) -> bool:
        return self.done >= self.costs - 1e-9


@dataclass
class _Bench:
    """One build under way."""

    dice: random.Random
    habits: Habits
    by_stage: tuple[float, ...]
    items: list[_Item] = field(default_factory=list)
    stated: dict[str, Fraction] = field(default_factory=dict)
    mood: float = 0.0

    def __post_init__(self) -> None:
        habits, dice = self.habits, self.dice
        self.dear = math.exp(dice.gauss(*habits.build_spread))
        self.size = dice.uniform(6, 18)
        self.trend = dice.gauss(*habits.quickens)
        self.session = habits.hours[0] * math.exp(dice.gauss(0, 0.3))
        self.apart = math.exp(dice.gauss(0, 0.3))
        for stage in sorted(dice.choices(range(len(STAGES)), _LABOUR, k=dice.randint(*habits.items))):
            self.plan_item(stage, self.size, 0.6)

    def plan_item(self, stage: int, size: float, spread: float, added: date | None = None) -> None:
        planned = max(1, round(size * math.exp(self.dice.gauss(0, spread))))
        factor = self.dear * self.by_stage[stage] * math.exp(self.dice.gauss(0, self.habits.item_spread))
        if self.dice.random() < self.habits.blunder:
            factor *= self.dice.uniform(2, 4)
        self.items.append(_Item(f"item-{len(self.items)}", stage, planned, planned * factor, added))

    @property
    def is_done(self) -> bool:
        return all(item.is_done for item in self.items)

    @property
    def progress(self) -> float:
        return sum(item.done for item in self.items) / sum(item.costs for item in self.items)

    def pace(self) -> float:
        self.mood = 0.9 * self.mood + math.sqrt(1 - 0.81) * self.habits.moods * self.dice.gauss(0, 1)
        hurry = 1 + self.habits.hurry if self.progress > 0.7 else 1.0
        return math.exp(self.trend * (self.progress - 0.5) + self.mood) * hurry

    def work(self, hours: float) -> dict[str, float]:
        """Spend a session's hours; gives what went into each item."""
        spent: dict[str, float] = {}
        while hours > 1e-9 and not self.is_done:
            to_do = [item for item in self.items if not item.is_done]
            item = to_do[0]
            if len(to_do) > 1 and self.dice.random() < self.habits.aside:
                item = to_do[min(len(to_do) - 1, self.dice.randint(1, 3))]
            put = min(hours, item.costs - item.done)
            item.done += put
            item.spent += put
            hours -= put
            spent[item.name] = spent.get(item.name, 0.0) + put
        return spent

    def mishaps(self, day: date) -> None:
        if self.dice.random() < self.habits.redo:
            self.dice.choice([item for item in self.items if item.done]).done *= self.dice.uniform(0.3, 0.9)
        if self.dice.random() < self.habits.added and self.progress < 0.9:
            self.plan_item(self.dice.randrange(3, len(STAGES)), self.size * 0.6, 0.5, day)

    def state(self, day: date) -> Statement:
        said = {}
        for item in self.items:
            share = Fraction(1)
            if not item.is_done and self.habits.by_hours:
                share = min(Fraction(9, 10), Fraction(round(item.spent / item.planned * 10), 10))
            elif not item.is_done:
                share = min(Fraction(19, 20), Fraction(round(item.done / item.costs * 20), 20))
            if share != self.stated.get(item.name, 0):
                said[item.name] = self.stated[item.name] = share
        return Statement(day, said)

    def days_off(self, pace: float) -> int:
        habits, dice = self.habits, self.dice
        days = dice.randint(*habits.days_apart) * self.apart / math.sqrt(pace)
        if dice.random() < habits.pause:
            days += dice.uniform(10, 40)
        if dice.random() < habits.holiday:
            days += dice.uniform(7, 21)
        return max(1, round(days))


def simulate(dice: random.Random, habits: Habits) -> SimulatedBuild:
    """Let somebody of these habits build a model, after the finished ones that are asked for."""
    by_stage = tuple(math.exp(dice.gauss(0, habits.stage_spread)) for _ in STAGES)
    finished = tuple(_by_stage(_build(dice, habits, by_stage)) for _ in range(habits.finished))
    build = _build(dice, habits, by_stage)
    return SimulatedBuild(build.plan, build.statements, build.worked, build.end, finished)


def _build(dice: random.Random, habits: Habits, by_stage: tuple[float, ...]) -> SimulatedBuild:
    bench = _Bench(dice, habits, by_stage)
    day = date(2025, 1, 6) + timedelta(dice.randrange(365))
    every = dice.randint(*habits.records)
    statements: list[Statement] = []
    worked: list[Worked] = []
    sessions = 0
    while True:
        pace = bench.pace()
        hours = max(0.5, bench.session * math.exp(dice.gauss(0, habits.hours[1])) * math.sqrt(pace))
        spent = bench.work(hours)
        if habits.sheet == "item":
            worked += [Worked(day, _written(put), name) for name, put in spent.items()]
        elif habits.sheet == "session":
            worked.append(Worked(day, _written(sum(spent.values()))))
        bench.mishaps(day)
        sessions += 1
        if bench.is_done or sessions % every == 0:
            statements.append(bench.state(day))
        if bench.is_done:
            break
        day += timedelta(bench.days_off(pace))
        while habits.weekends and day.weekday() < 5 and dice.random() < 0.8:
            day += timedelta(1)
    plan = [
        PlanItem(item.name, item.name, STAGES[item.stage], Fraction(item.planned), item.added) for item in bench.items
    ]
    return SimulatedBuild(tuple(plan), tuple(statements), tuple(worked), day)


def _written(hours: float) -> Fraction:
    """Hours as they are written down, to the quarter."""
    return Fraction(max(1, round(hours * 4)), 4)


def _by_stage(build: SimulatedBuild) -> Mapping[str, StageHours]:
    stages = {item.id: item.stage for item in build.plan}
    found = {}
    for stage in STAGES:
        planned = sum((item.weight for item in build.plan if item.stage == stage), Fraction(0))
        spent = sum((one.hours for one in build.worked if one.item and stages[one.item] == stage), Fraction(0))
        if planned:
            found[stage] = StageHours(planned, spent)
    return found
