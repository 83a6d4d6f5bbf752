"""
What the records say of hours and days: for the builder alone, but for the forecast where `shares` lets it out.

Everything here is made from a build as it was written, with nothing withheld, and is a function of the records: the day
it is told from is the newest record's, or the one asked for, and never today's.

Three rules turn records into figures:

* Hours stand in records and in the time sheet. A day that stands in the sheet is taken from the sheet alone, so that
  hours noted in both are not counted twice; on every other day the record's count.
* An item without a `due` of its own is due when the build is. Where no item has one, nothing is planned in time.
* Hours that come to less than a fifth of the planned hours done were kept now and then, and tell nothing of cost.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from buildlog.figures.earned_value import (
    DueWork,
    EarnedSchedule,
    EarnedValue,
    earned_schedule,
    plan_over_time,
    planned_at,
)
from buildlog.figures.estimate import Estimate, FinishedBuild, estimate
from buildlog.figures.forecast import FEWEST_KEPT, Forecast, NoForecast, StageHours, Worked, forecast
from buildlog.figures.progress import PlanItem, State, Statement, states
from buildlog.figures.scale import Scale
from buildlog.records.models import Status
from buildlog.records.workshop import Build, Update, Workshop


@dataclass(frozen=True)
class Spent:
    """Hours at the bench, from a record or the time sheet."""

    day: date
    hours: Fraction
    work: str | None
    """The work item, or the stage where there is no plan; `None` for a session that is not divided."""
    stage: str
    """The stage it belongs to."""


@dataclass(frozen=True)
class StageLine:
    """One stage of work, as far as it is."""

    stage: str
    name: str
    weight: Fraction
    """Hours planned, or weight where there is no plan."""
    earned: Fraction
    """Of these, done."""
    spent: Fraction | None
    """Hours; `None` where none were written down."""


@dataclass(frozen=True)
class ScheduleDates:
    """A plan's time, as dates."""

    start: date
    """When the plan begins: the order, or else the first session."""
    measured: date
    """The day it is told from, or when all was done."""
    as_far_as: date
    """When the plan had as much done as is done now."""
    planned_end: date
    forecast_end: date | None
    """When all is done, if the rest goes as the work so far."""
    figures: EarnedSchedule
    """In days."""


@dataclass(frozen=True)
class BuildProgress:
    """Where a build stands."""

    name: str
    slug: str
    as_of: date | None
    """The day it is told from; `None` before the first record."""
    state: State | None
    in_hours: bool
    """Whether the plan is in hours; otherwise stages count by weight, and have no figures of value."""
    value: EarnedValue
    spent: Fraction | None
    """All hours written down; `None` where there are none."""
    sessions: int
    """Days at the bench."""
    schedule: ScheduleDates | None
    stages: tuple[StageLine, ...]
    forecast: Forecast | NoForecast
    remarks: tuple[str, ...]
    """What was counted how, where that may surprise."""
    blanks: Mapping[str, str]
    """Why figures are blank, and what would fill them: by `planned`, `earned` and `spent`."""


@dataclass(frozen=True)
class EstimateFound:
    """Hours for a new commission, or why there are none."""

    kind: str
    scale: Scale
    basis: str
    estimate: Estimate | None
    stage_names: Mapping[str, str]
    left_out: tuple[tuple[str, str], ...]
    """Finished builds of the kind that could not be used, and why."""
    kinds: tuple[str, ...]
    """Kinds there are finished builds of."""


# --- hours -----------------------------------------------------------------------------------------


def plan_items(build: Build) -> tuple[PlanItem, ...]:
    """The plan that progress is computed from: work items by hours, else stages by weight."""
    if build.record.work:
        return tuple(
            PlanItem(item.id, item.name, item.stage, Fraction(item.hours), item.added) for item in build.record.work
        )
    return tuple(PlanItem(stage.id, stage.name, stage.id, Fraction(stage.weight)) for stage in build.stages)


def build_states(build: Build, updates: Iterable[Update]) -> tuple[State, ...]:
    """Progress after each of the given records."""
    statements = [Statement(update.day, {done.id: done.share for done in update.record.done}) for update in updates]
    return states(plan_items(build), statements)


def spent_hours(build: Build, until: date | None = None, updates: Iterable[Update] | None = None) -> tuple[Spent, ...]:
    """
    Gather the hours of records and time sheet, each once.

    Args:
        build: With nothing withheld.
        until: The last day counted; left out, all are.
        updates: Records that count; left out, all do.

    Returns:
        Oldest first.
    """
    stage_of = {stage.id: stage.id for stage in build.stages} | {item.id: item.stage for item in build.record.work}
    found = [Spent(row.day, Fraction(row.hours), row.work, stage_of.get(row.work, row.work)) for row in build.hours]
    on_sheet = {row.day for row in build.hours}
    for update in build.updates if updates is None else updates:
        hours = update.record.hours
        if hours is None or update.day in on_sheet:
            continue
        if hours.session:
            found.append(Spent(update.day, Fraction(hours.session), None, update.record.stage))
        found += [
            Spent(update.day, Fraction(one.hours), one.work, stage_of.get(one.work, one.work)) for one in hours.by_work
        ]
    return tuple(
        sorted((one for one in found if one.hours and (until is None or one.day <= until)), key=lambda one: one.day)
    )


def _days_in_both(build: Build, until: date) -> int:
    sheet = {row.day for row in build.hours}
    return len({one.day for one in build.updates if one.record.hours and one.day in sheet and one.day <= until})


def _by_stage(spent: Iterable[Spent]) -> dict[str, Fraction]:
    found: dict[str, Fraction] = {}
    for one in spent:
        found[one.stage] = found.get(one.stage, Fraction(0)) + one.hours
    return found


# --- where a build stands ----------------------------------------------------------------------------


def build_progress(
    build: Build, workshop: Workshop, *, as_of: date | None = None, updates: Sequence[Update] | None = None
) -> BuildProgress:
    """
    Work out where a build stands.

    Args:
        build: With nothing withheld.
        workshop: With nothing withheld: its finished builds tell how stages go.
        as_of: The day to tell it from; left out, the newest record's.
        updates: Records that count; left out, all do.
    """
    counted = _counted(build, as_of, updates)
    day = as_of or _newest(build, counted)
    state = _state(build, counted, day)
    in_hours = bool(build.record.work)
    spent = spent_hours(build, day, counted) if day else ()
    total = sum((one.hours for one in spent), Fraction(0)) if spent else None
    blanks: dict[str, str] = {}
    remarks: list[str] = []
    budget = earned = planned = cost = None
    schedule = None
    if state is not None and state.share is None:
        blanks["earned"] = "the plan has no hours" if in_hours else "there is nothing planned"
    if not in_hours:
        blanks["earned"] = blanks["planned"] = "give the build work items with hours"
    elif state and state.share is not None and day:
        budget = sum((item.weight for item in state.items), Fraction(0))
        earned = budget * state.share
        work, why_not, remark = _due_work(build, state)
        if remark:
            remarks.append(remark)
        if why_not:
            blanks["planned"] = why_not
        else:
            schedule, planned = _schedule(build, work, counted, spent, earned, day)
        cost = total
    elif in_hours:
        blanks.setdefault("earned", "there is no record yet")
        blanks["planned"] = blanks["earned"]
    if total is None:
        blanks["spent"] = "write hours in the records or in hours.csv"
    elif earned and total < FEWEST_KEPT * earned:
        cost = None
        blanks["spent"] = "so few hours are written down that they tell nothing of cost; keep them throughout"
    if day and state:
        remarks += _remarks(build, day, total)
        remarks += _remark_on_silence(state, counted, spent)
    return BuildProgress(
        name=build.record.name,
        slug=build.slug,
        as_of=day,
        state=state,
        in_hours=in_hours,
        value=EarnedValue(budget=budget, earned=earned, planned=planned, spent=cost),
        spent=total,
        sessions=len({one.day for one in spent}),
        schedule=schedule,
        stages=_stage_lines(build, state, spent),
        forecast=forecast_or_why(build, workshop, as_of=as_of, updates=updates),
        remarks=tuple(remarks),
        blanks=blanks,
    )


def _counted(build: Build, as_of: date | None, updates: Sequence[Update] | None) -> list[Update]:
    return [one for one in (build.updates if updates is None else updates) if as_of is None or one.day <= as_of]


def _newest(build: Build, counted: Sequence[Update]) -> date | None:
    """The newest record's day, or the time sheet's where there is no record."""
    days = [update.day for update in counted] or [row.day for row in build.hours]
    return max(days, default=None)


def _state(build: Build, counted: Sequence[Update], day: date | None) -> State | None:
    """The state after the last record; with later work items too that came into the plan by the day."""
    if day is None:
        return None
    following = states(plan_items(build), [*_statements(counted), Statement(day, {})])
    return following[-1]


def _statements(updates: Iterable[Update]) -> list[Statement]:
    return [Statement(update.day, {done.id: done.share for done in update.record.done}) for update in updates]


def _due_work(build: Build, state: State) -> tuple[list[DueWork], str, str]:
    """
    Find when the work is due.

    Returns:
        The work; why it is blank, where it is; and a remark, where there is one.
    """
    due = {item.id: item.due for item in build.record.work}
    hours = {item.id: item.weight for item in state.items}
    without = [item for item in state.items if due[item.id] is None and item.weight]
    if not any(due[item] for item in hours):
        return [], "give work items due dates", ""
    if without and build.record.due is None:
        names = ", ".join(item.name for item in without[:3]) + (" and more" if len(without) > 3 else "")
        return [], f"give these work items due dates, or the build: {names}", ""
    fallback = build.record.due
    work = [DueWork(much, day) for item, much in hours.items() if (day := due[item] or fallback) is not None]
    if not without:
        return work, "", ""
    counted = (
        "1 work item without a due date is"
        if len(without) == 1
        else f"{len(without)} work items without a due date are"
    )
    return work, "", f"{counted} taken to be due with the build."


def _schedule(
    build: Build,
    work: Sequence[DueWork],
    counted: Sequence[Update],
    spent: Sequence[Spent],
    earned: Fraction,
    day: date,
) -> tuple[ScheduleDates | None, Fraction]:
    start = build.record.ordered or min([*(one.day for one in counted), *(one.day for one in spent), day])
    plan = plan_over_time(work, start)
    planned = planned_at(plan, Fraction((day - start).days))
    measured = _finished_on(build, counted) or day
    figures = earned_schedule(plan, earned, Fraction((measured - start).days))
    if not plan[-1].planned or measured < start:
        return None, planned
    to_end = figures.forecast
    return (
        ScheduleDates(
            start=start,
            measured=measured,
            as_far_as=start + timedelta(round(figures.earned)),
            planned_end=start + timedelta(round(figures.duration)),
            forecast_end=_in_days(start, to_end) if isinstance(to_end, Fraction) else None,
            figures=figures,
        ),
        planned,
    )


def _in_days(start: date, days: Fraction) -> date | None:
    """The date so many days on; `None` beyond the calendar."""
    try:
        return start + timedelta(round(days))
    except OverflowError:
        return None


def _finished_on(build: Build, counted: Sequence[Update]) -> date | None:
    """The record after which all was done for good; `None` while it is not."""
    done: date | None = None
    for state in states(plan_items(build), _statements(counted)):
        done = (done or state.day) if state.share == 1 else None
    return done


def _remarks(build: Build, day: date, total: Fraction | None) -> list[str]:
    found = []
    if both := _days_in_both(build, day):
        found.append(
            f"Hours stand both in a record and in hours.csv on {both} {'day' if both == 1 else 'days'}: "
            "the time sheet counts."
        )
    later = sum((Fraction(row.hours) for row in build.hours if row.day > day), Fraction(0))
    if later and total is not None:
        found.append(f"{float(later):g} h in hours.csv are of days after the newest record, and are not counted yet.")
    return found


def _remark_on_silence(state: State, counted: Sequence[Update], spent: Sequence[Spent]) -> list[str]:
    """Tell of unfinished items that were worked on after a record last said how far they are."""
    stated = {done.id: update.day for update in counted for done in update.record.done}
    names = [
        item.name
        for item in state.items
        if state.share_of(item.id) < 1
        and any(one.work == item.id and one.day > stated.get(item.id, date.min) for one in spent)
    ]
    if not names:
        return []
    it = "it is" if len(names) == 1 else "they are"
    return [f"Worked on since a record last said how far {it}: {_listed(names)}."]


def _stage_lines(build: Build, state: State | None, spent: Sequence[Spent]) -> tuple[StageLine, ...]:
    if state is None:
        return ()
    hours = _by_stage(spent)
    known = {one.stage: one for one in state.stages([stage.id for stage in build.stages])}
    lines = []
    for stage in build.stages:
        one = known.get(stage.id)
        if one is None and stage.id not in hours:
            continue
        weight = one.weight if one else Fraction(0)
        earned = one.weight * one.share if one else Fraction(0)
        lines.append(StageLine(stage.id, stage.name, weight, earned, hours.get(stage.id)))
    return tuple(lines)


# --- forecast --------------------------------------------------------------------------------------


def forecast_build(
    build: Build, workshop: Workshop, *, as_of: date | None = None, updates: Sequence[Update] | None = None
) -> Forecast | None:
    """
    Tell when a build is likely to be finished; who may know it is `shares.forecast`.

    Args:
        build: With nothing withheld.
        workshop: With nothing withheld: its finished builds tell how stages go.
        as_of: The day to tell it from; left out, the newest record's. Nothing later is looked at, in no build.
        updates: Records that count; left out, all do.

    Returns:
        The range of dates; `None` where there is none to be told.
    """
    found = forecast_or_why(build, workshop, as_of=as_of, updates=updates)
    return found if isinstance(found, Forecast) else None


def forecast_or_why(
    build: Build, workshop: Workshop, *, as_of: date | None = None, updates: Sequence[Update] | None = None
) -> Forecast | NoForecast:
    """Tell the same as `forecast_build`, or why there is nothing to tell."""
    counted = _counted(build, as_of, updates)
    day = as_of or max((update.day for update in counted), default=None)
    if _is_finished(build) and (as_of is None or (_finish(build) or as_of) <= as_of):
        return NoForecast.FINISHED
    if day is None:
        return NoForecast.TOO_FEW
    items = {item.id for item in plan_items(build)}
    return forecast(
        plan_items(build),
        _statements(counted),
        [
            Worked(one.day, one.hours, one.work if one.work in items else None)
            for one in spent_hours(build, day, counted)
        ],
        as_of=day,
        began=build.record.ordered,
        in_hours=bool(build.record.work),
        finished=_how_stages_went(workshop, build, day),
    )


def _is_finished(build: Build) -> bool:
    return build.record.status in {Status.FINISHED, Status.DELIVERED}


def _finish(build: Build) -> date | None:
    """The day a finished build was finished, as far as its records know."""
    return build.record.finished or build.record.delivered or max((one.day for one in build.updates), default=None)


def _how_stages_went(workshop: Workshop, build: Build, day: date) -> tuple[Mapping[str, StageHours], ...]:
    """For each other build that was finished by the day, and whose hours were kept, what its stages took."""
    found = []
    for other in workshop.builds:
        finish = _finish(other)
        if other.slug == build.slug or not _is_finished(other) or finish is None or finish > day:
            continue
        hours, why_not = _kept_hours(other)
        if why_not:
            continue
        planned = _planned(other)
        found.append({stage: StageHours(planned[stage], hours[stage]) for stage in planned})
    return tuple(found)


def _planned(build: Build) -> dict[str, Fraction]:
    """What each stage was planned at; stages without planned work are left out."""
    found: dict[str, Fraction] = {}
    for item in plan_items(build):
        found[item.stage] = found.get(item.stage, Fraction(0)) + item.weight
    return {stage: much for stage, much in found.items() if much}


def _kept_hours(build: Build) -> tuple[dict[str, Fraction], str]:
    """
    Find what each stage of a finished build took.

    Returns:
        The hours, and why they cannot be used, where they cannot: they must be there for every stage, and come to a
        fifth of what was planned at least.
    """
    hours = _by_stage(spent_hours(build))
    planned = _planned(build)
    if not hours:
        return hours, "no hours are written down"
    missing = [build.stage_names.get(stage, stage) for stage in planned if not hours.get(stage)]
    if missing:
        return hours, f"no hours are written down for {_listed(missing)}"
    total, plan = sum(hours.values(), Fraction(0)), sum(planned.values(), Fraction(0))
    if build.record.work and total < FEWEST_KEPT * plan:
        return hours, f"hours are written down for {float(total):g} of {float(plan):g} planned"
    return hours, ""


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


# --- a new commission ------------------------------------------------------------------------------


def estimate_commission(workshop: Workshop, kind: str, scale: Scale, basis: str = "") -> EstimateFound:
    """
    Estimate the hours of a new commission from the finished builds of its kind.

    Args:
        workshop: With nothing withheld.
        kind: Of subject, such as `vessel`, in whatever capitals.
        scale: Of the new model.
        basis: What it is to be made from; empty where that is open.
    """
    finished = [build for build in workshop.builds if _is_finished(build)]
    usable = []
    left_out = []
    names = {stage.id: stage.name for stage in workshop.record.stages}
    for build in finished:
        if build.record.subject.kind.casefold() != kind.strip().casefold():
            continue
        hours, why_not = _kept_hours(build)
        if why_not:
            left_out.append((build.record.name, why_not))
            continue
        for stage, name in build.stage_names.items():
            names.setdefault(stage, name)
        usable.append(FinishedBuild(build.record.name, build.record.scale.ratio, hours, build.record.basis or ""))
    return EstimateFound(
        kind=kind.strip(),
        scale=scale,
        basis=basis,
        estimate=estimate(usable, scale.ratio, list(names), basis=basis),
        stage_names=names,
        left_out=tuple(left_out),
        kinds=tuple(sorted({build.record.subject.kind for build in finished}, key=str.casefold)),
    )
