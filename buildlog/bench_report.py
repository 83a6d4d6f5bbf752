"""What `buildlog progress` and `buildlog estimate` print: plain lines of 80 columns at most, or JSON."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction
from textwrap import wrap
from typing import Any

from buildlog.bench import BuildProgress, EstimateFound
from buildlog.figures.earned_value import NOT_MEANINGFUL, Figure
from buildlog.figures.estimate import HoursRange
from buildlog.figures.forecast import Forecast, NoForecast, chance_in_words, forecast_in_words
from buildlog.figures.progress import whole_percent
from buildlog.figures.rounding import decimal_text
from buildlog.words import day_words

Line = tuple[str, bool]
"""A line, and whether it is a heading; an empty one parts what stands above and below."""

_COLUMNS = 80
_FIGURE = 16
_NAME = 30


def _plain(line: str) -> Line:
    return line, False


def _heading(line: str) -> Line:
    return line, True


_BLANK: Line = ("", False)


# --- progress --------------------------------------------------------------------------------------


def progress_lines(found: BuildProgress) -> list[Line]:
    """Say where a build stands, with the trade's terms beside the words."""
    lines = [_heading(line) for line in wrap(_first_line(found), _COLUMNS)]
    lines += [_plain(line) for line in _in_short(found)]
    lines += [_BLANK, _heading("Hours"), *_hours(found), _BLANK, _heading("Dates"), *_dates(found)]
    if found.stages:
        lines += [_BLANK, *_stage_table(found)]
    if found.remarks:
        lines.append(_BLANK)
    for remark in found.remarks:
        lines += _wrapped(remark)
    return lines


def _first_line(found: BuildProgress) -> str:
    if found.as_of is None or found.state is None:
        return f"{found.name}: no record yet"
    percent = found.state.percent
    return f"{found.name} on {day_words(found.as_of)}: " + (
        "nothing planned" if percent is None else f"{percent} % complete"
    )


def _in_short(found: BuildProgress) -> Iterable[str]:
    if found.schedule:
        yield f"{_ahead(found)}."
    index = found.value.cost_index
    if isinstance(index, Fraction) and index:
        more = round((1 / index - 1) * 100)
        if more:
            yield f"The work takes {abs(more)} % {'more' if more > 0 else 'fewer'} hours than planned."
        else:
            yield "The work takes the hours planned."
    if isinstance(found.forecast, Forecast):
        said = forecast_in_words(found.forecast)
        yield f"{said[0].upper()}{said[1:]} ({chance_in_words(found.forecast.chance)})."


def _ahead(found: BuildProgress) -> str:
    assert found.schedule is not None  # noqa: S101 - asked for by those who know
    days = round(found.schedule.figures.variance)
    done = found.state is not None and found.state.share == 1
    if not days:
        return "Finished on the day planned" if done else "Where the plan said it would be"
    count = f"{abs(days)} day{'' if abs(days) == 1 else 's'}"
    if done:
        return f"Finished {count} {'early' if days > 0 else 'late'}"
    return f"{count} {'ahead of' if days > 0 else 'behind'} the plan"


def _hours(found: BuildProgress) -> Iterable[Line]:
    value, blanks = found.value, found.blanks
    yield from _row(_hours_text(value.budget), "planned in all (budget at completion, BAC)", blanks.get("earned", ""))
    yield from _row(_hours_text(value.planned), "should be done by now (planned value, PV)", blanks.get("planned", ""))
    yield from _row(
        _hours_text(value.earned), "are done, in planned hours (earned value, EV)", blanks.get("earned", "")
    )
    days = f"{found.sessions} day{'' if found.sessions == 1 else 's'}"
    if found.spent is None:
        yield from _row(None, "spent (actual cost, AC)", blanks.get("spent", ""))
    else:
        yield from _row(_hours_text(found.spent), f"spent on {days} at the bench (actual cost, AC)")
    if value.earned is None:
        return
    if value.spent is None:
        if found.spent is not None:
            yield from _wrapped(f"Cost not stated: {blanks.get('spent', '')}.", indent=2)
        return
    yield from _row(_hours_text(value.cost_variance, signed=True), "done less spent (cost variance, CV)")
    yield from _row(_index_text(value.cost_index), "planned hours done per hour spent (cost index, CPI)")
    yield from _row(_hours_text(value.at_completion), "in all, if it goes on so (estimate at completion, EAC)")
    yield from _row(_hours_text(value.to_completion), "of these still to come (estimate to complete, ETC)")
    yield from _row(
        _hours_text(value.variance_at_completion, signed=True), "planned less that (variance at completion, VAC)"
    )
    yield from _row(_index_text(value.index_to_budget), "needed per hour left to end as planned (TCPI)")


def _dates(found: BuildProgress) -> Iterable[Line]:
    value, schedule = found.value, found.schedule
    if schedule is None:
        yield from _row(None, "planned dates", found.blanks.get("planned", "the plan has not begun"))
    else:
        figures = schedule.figures
        yield from _row(_hours_text(value.schedule_variance, signed=True), "done less planned (schedule variance, SV)")
        yield from _row(_index_text(value.schedule_index), "done per hour planned by now (schedule index, SPI)")
        yield from _row(_day(schedule.as_far_as), "the plan had this much done (earned schedule, ES)")
        yield from _row(_days_text(figures.variance), "ahead of the plan if above 0 (SV(t))")
        yield from _row(_index_text(figures.index), "days of the plan done per day (SPI(t))")
        yield from _row(_day(schedule.planned_end), "planned to be finished")
        if schedule.forecast_end is not None and found.state is not None and found.state.share != 1:
            yield from _row(_day(schedule.forecast_end), "finished, if it goes on so (plan's days / SPI(t))")
    forecast = found.forecast
    if isinstance(forecast, Forecast):
        yield from _row(_day(forecast.first), f"finished, {chance_in_words(forecast.chance)}: not before this day,")
        yield from _row(_day(forecast.last), "and not after this one")
        yield from _row(_day(forecast.median), "as likely before as after")
        yield from _wrapped(_forecast_basis(forecast), indent=2)
    elif forecast is NoForecast.FINISHED:
        yield _plain("  All the work is done.")
    else:
        yield from _wrapped(f"No forecast: {forecast}.", indent=2)


def _forecast_basis(forecast: Forecast) -> str:
    pace = "hours" if forecast.by_hours else "records"
    text = f"The forecast is taken from {forecast.sessions} days of {pace}"
    if forecast.finished_builds:
        text += f" and {forecast.finished_builds} finished build{'' if forecast.finished_builds == 1 else 's'}"
    return f"{text}, told from {_day(forecast.as_of)}."


def _stage_table(found: BuildProgress) -> Iterable[Line]:
    unit = "Planned h" if found.in_hours else "Weight"
    yield _heading(f"{'Stage':<{_NAME}}{unit:>10}{'Done':>10}{'Spent h':>10}{'':>3}{'Percent':>8}")
    for line in found.stages:
        spent = "-" if line.spent is None else _number(line.spent)
        percent = f"{whole_percent(line.earned / line.weight)} %" if line.weight else "-"
        yield _plain(
            f"{_cut(line.name):<{_NAME}}{_number(line.weight):>10}{_number(line.earned):>10}{spent:>10}{'':>3}{percent:>8}"
        )
    total = sum((line.weight for line in found.stages), Fraction(0))
    earned = sum((line.earned for line in found.stages), Fraction(0))
    percent = f"{whole_percent(earned / total)} %" if total else "-"
    spent = "-" if found.spent is None else _number(found.spent)
    yield _heading(f"{'All':<{_NAME}}{_number(total):>10}{_number(earned):>10}{spent:>10}{'':>3}{percent:>8}")


def progress_as_json(found: BuildProgress) -> str:
    """
    Write where a build stands for another program.

    Hours and indices are numbers to four places; a figure is null where it was not stated, and the words
    "not meaningful" where it says nothing. Dates are written year-month-day.
    """
    value, schedule = found.value, found.schedule
    names = {
        "planned": value.planned,
        "earned": value.earned,
        "spent": found.spent,
        "budget": value.budget,
        "cost_variance": value.cost_variance,
        "cost_index": value.cost_index,
        "schedule_variance": value.schedule_variance,
        "schedule_index": value.schedule_index,
        "at_completion": value.at_completion,
        "at_completion_as_planned": value.at_completion_as_planned,
        "at_completion_if_late": value.at_completion_if_late,
        "to_completion": value.to_completion,
        "variance_at_completion": value.variance_at_completion,
        "index_to_budget": value.index_to_budget,
    }
    return _json(
        {
            "build": found.slug,
            "name": found.name,
            "as_of": found.as_of,
            "percent": found.state.percent if found.state else None,
            "in_hours": found.in_hours,
            "days_at_the_bench": found.sessions,
            **names,
            "schedule": schedule
            and {
                "start": schedule.start,
                "earned_schedule": schedule.as_far_as,
                "earned_schedule_days": schedule.figures.earned,
                "actual_days": schedule.figures.actual,
                "variance_days": schedule.figures.variance,
                "index": schedule.figures.index,
                "planned_end": schedule.planned_end,
                "forecast_end": schedule.forecast_end,
            },
            "forecast": {
                "first": found.forecast.first,
                "last": found.forecast.last,
                "median": found.forecast.median,
                "chance": found.forecast.chance,
                "words": forecast_in_words(found.forecast),
            }
            if isinstance(found.forecast, Forecast)
            else None,
            "no_forecast": None if isinstance(found.forecast, Forecast) else str(found.forecast),
            "stages": [
                {
                    "stage": line.stage,
                    "name": line.name,
                    "planned": line.weight,
                    "earned": line.earned,
                    "spent": line.spent,
                }
                for line in found.stages
            ],
            "remarks": list(found.remarks),
            "not_stated": dict(found.blanks),
        }
    )


# --- estimate --------------------------------------------------------------------------------------


def estimate_lines(found: EstimateFound) -> list[Line]:
    """Say what a new commission may take, and what that is taken from."""
    made = found.estimate
    if made is None:
        return [_plain(line) for line in refusal(found).splitlines()]
    basis = f", {found.basis}" if found.basis else ""
    lines = [_heading(line) for line in wrap(f"A {found.kind} at {found.scale}{basis}", _COLUMNS)]
    lines.append(_plain(f"About {_range_text(made.total)}, {chance_in_words(made.chance)}."))
    lines += [_BLANK, _heading(f"{'Stage':<{_NAME}}{'Hours':>10}{'From':>10}{'To':>10}")]
    lines += [_plain(_range_row(found.stage_names.get(stage, stage), hours)) for stage, hours in made.stages.items()]
    lines += [_heading(_range_row("All", made.total)), _BLANK, _heading("Taken from")]
    for one in made.based_on:
        text = (
            f"{one.build.name}: {_number(one.build.total)} h at {_ratio(one.build.ratio)}, times {one.factor:.2f} "
            f"for size, counts {one.weight:.0%}{', same basis' if one.same_basis else ''}"
        )
        lines += _wrapped(text, indent=2)
    for name, why in found.left_out:
        lines += _wrapped(f"{name}: left out, {why}", indent=2)
    lines.append(_BLANK)
    lines += _wrapped(
        "Hours are taken to grow with the model's length, for subjects of about the same size; the range also holds "
        "what comes of other growth. Scale alone does not say how large a subject is: look at it before you quote."
    )
    return lines


def refusal(found: EstimateFound) -> str:
    """Say why there is no estimate, and what would make one."""
    lines = [f"There is no finished build of the kind {found.kind} whose hours were kept, so there is no estimate."]
    lines += [f"{name}: {why}." for name, why in found.left_out]
    if not found.left_out and found.kinds:
        lines.append(f"Kinds of finished builds: {', '.join(found.kinds)}.")
    lines.append("Keep hours.csv through a build: once it is finished, the next is estimated from it.")
    return "\n".join(lines)


def estimate_as_json(found: EstimateFound) -> str:
    """Write an estimate for another program; `total` is null where there is none."""
    made = found.estimate
    return _json(
        {
            "kind": found.kind,
            "scale": str(found.scale),
            "basis": found.basis or None,
            "chance": made.chance if made else None,
            "total": _range_json(made.total) if made else None,
            "stages": [
                {"stage": stage, "name": found.stage_names.get(stage, stage), **_range_json(hours)}
                for stage, hours in made.stages.items()
            ]
            if made
            else [],
            "based_on": [
                {
                    "name": one.build.name,
                    "scale": _ratio(one.build.ratio),
                    "hours": one.build.total,
                    "factor": one.factor,
                    "weight": one.weight,
                    "same_basis": one.same_basis,
                }
                for one in made.based_on
            ]
            if made
            else [],
            "left_out": [{"name": name, "why": why} for name, why in found.left_out],
            "kinds": list(found.kinds),
        }
    )


def _range_json(hours: HoursRange) -> dict[str, float]:
    return {"low": hours.low, "middle": hours.middle, "high": hours.high}


def _range_row(name: str, hours: HoursRange) -> str:
    return f"{_cut(name):<{_NAME}}{hours.middle:>10.0f}{hours.low:>10.0f}{hours.high:>10.0f}"


def _range_text(hours: HoursRange) -> str:
    return f"{hours.middle:.0f} h, between {hours.low:.0f} and {hours.high:.0f} h"


def _ratio(ratio: Fraction) -> str:
    return f"1:{float(round(ratio, 4)):g}"


# --- figures as text -------------------------------------------------------------------------------


def _number(value: Fraction) -> str:
    """A number to one decimal; the minus is one that every terminal can show."""
    return decimal_text(value, -1).replace("\N{MINUS SIGN}", "-")


def _signed(text: str, value: Fraction) -> str:
    return f"+{text}" if value > 0 else text


def _hours_text(value: Figure, *, signed: bool = False) -> str | None:
    if value is None or value is NOT_MEANINGFUL:
        return None if value is None else str(value)
    text = f"{_number(value)} h"
    return _signed(text, value) if signed else text


def _index_text(value: Figure) -> str | None:
    if value is None or value is NOT_MEANINGFUL:
        return None if value is None else str(value)
    return decimal_text(value, -2).replace("\N{MINUS SIGN}", "-")


def _days_text(value: Fraction) -> str:
    days = round(value)
    return _signed(f"{days} day{'' if abs(days) == 1 else 's'}", Fraction(days))


def _day(day: date) -> str:
    number, month, year = day_words(day).split()
    return f"{number} {month[:3]} {year}"


def _row(figure: str | None, words: str, why_blank: str = "") -> Iterable[Line]:
    """One figure and what it is; a blank one says what would fill it, and keeps the trade's term."""
    if figure is not None:
        return [_plain(f"  {figure:<{_FIGURE}}{words}")]
    term = words[words.index("(") :] if "(" in words else f"({words})"
    return _wrapped(f"not stated: {why_blank} {term}", indent=2)


def _cut(name: str) -> str:
    return name if len(name) < _NAME else f"{name[: _NAME - 2]}…"


def _wrapped(text: str, indent: int = 0) -> Sequence[Line]:
    return [_plain(" " * indent + line) for line in wrap(text, _COLUMNS - indent)]


def _json(content: Any) -> str:
    return json.dumps(_for_json(content), ensure_ascii=False, indent=2)


def _for_json(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _for_json(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_for_json(inner) for inner in value]
    if isinstance(value, Fraction | float):
        return round(float(value), 4)
    if isinstance(value, date):
        return value.isoformat()
    return str(value) if value is NOT_MEANINGFUL else value
