"""Hours, value and days out of records."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from buildlog.bench import build_progress, estimate_commission, forecast_build, forecast_or_why, spent_hours
from buildlog.figures.forecast import Forecast, NoForecast
from buildlog.figures.scale import parse_scale
from buildlog.records.workshop import HoursRow
from tests.pages.workshops import a_build, a_workshop

WORK = [
    {"id": "hull", "name": "Hull", "stage": "assembly", "hours": "40", "due": "2026-02-20"},
    {"id": "primer", "name": "Primer", "stage": "primer", "hours": "10", "due": "2026-03-02"},
    {"id": "marks", "name": "Marks", "stage": "markings", "hours": "50", "due": "2026-04-21"},
]


def sheet(*rows: str) -> tuple[HoursRow, ...]:
    """Rows of hours.csv, as `2026-01-05 hull 4`."""
    return tuple(
        HoursRow(date.fromisoformat(day), work, Decimal(hours), "", line)
        for line, (day, work, hours) in enumerate((row.split() for row in rows), start=2)
    )


def heron(*updates, hours=(), work=WORK, **record):
    build = a_build(*updates, work=work, ordered="2026-01-01", **record)
    return replace(build, hours=sheet(*hours))


def progress(build, *others, **asked):
    return build_progress(build, a_workshop(build, *others), **asked)


# --- hours, each once ------------------------------------------------------------------------------


def test_hours_of_records_and_sheet_add_up():
    """Hours on different days are all counted, whichever place they stand in."""
    build = heron({"hours": {"hull": "3.5"}}, {"hours": "4", "stage": "primer"}, hours=["2026-01-20 hull 2"])

    found = [(str(one.day), one.hours, one.work, one.stage) for one in spent_hours(build)]
    assert found == [
        ("2026-01-10", Fraction(7, 2), "hull", "assembly"),
        ("2026-01-20", 2, "hull", "assembly"),
        ("2026-02-10", 4, None, "primer"),
    ]


def test_a_day_on_the_sheet_is_taken_from_the_sheet():
    """Hours that stand in a record and in the sheet for one day are counted once, and that is said."""
    done = ["hull", "primer"]
    build = heron({"hours": "6", "done": done}, {"hours": "1"}, hours=["2026-01-10 hull 4", "2026-01-10 primer 1"])

    found = progress(build)
    assert found.spent == 6
    assert found.sessions == 2
    assert found.remarks == ("Hours stand both in a record and in hours.csv on 1 day: the time sheet counts.",)


def test_hours_after_the_newest_record_wait():
    """Done and spent are of one day, so what was spent since the newest record is not counted yet, and that is said."""
    found = progress(heron({"hours": "6", "done": ["hull"]}, hours=["2026-01-31 primer 2.5"]))

    assert found.as_of == date(2026, 1, 10)
    assert found.spent == 6
    assert found.remarks == ("2.5 h in hours.csv are of days after the newest record, and are not counted yet.",)


# --- where a build stands --------------------------------------------------------------------------


def test_value_is_planned_earned_and_spent():
    """Due dates give what is planned, shares what is earned, and hours what is spent, all in one day's terms."""
    build = heron(
        {"hours": {"hull": "20"}, "done": [{"id": "hull", "share": "50 %"}]},
        {"hours": {"hull": "30"}, "done": [{"id": "hull", "share": "80 %"}]},
    )

    found = progress(build)
    assert found.as_of == date(2026, 2, 10)
    assert found.value.budget == 100
    assert found.value.planned == 40 * Fraction(40, 50)
    assert found.value.earned == 32
    assert found.value.spent == 50
    assert found.value.cost_index == Fraction(32, 50)
    assert found.value.at_completion == Fraction("156.25")


def test_the_plan_says_when_as_much_should_have_been_done():
    """What is done by 10 February should have been done on the day at which the plan has it."""
    found = progress(heron({}, {"done": ["hull", {"id": "primer", "share": "50 %"}]})).schedule

    assert found is not None
    assert found.start == date(2026, 1, 1)
    assert found.as_far_as == date(2026, 2, 25)
    assert found.figures.variance == 15
    assert found.planned_end == date(2026, 4, 21)
    assert found.forecast_end == date(2026, 1, 1) + timedelta(round(Fraction(110 * 40, 55)))


def test_a_build_finished_late_stays_late():
    """Once all is done the schedule index is 1 and the one by time is not, whatever records follow."""
    late = [{}, {}, {}, {}, {"date": "2026-05-11", "done": ["hull", "primer", "marks"]}, {"date": "2026-07-01"}]
    found = progress(heron(*late))

    assert found.value.schedule_index == 1
    assert found.schedule is not None
    assert found.schedule.measured == date(2026, 5, 11)
    assert found.schedule.figures.index == Fraction(110, 130)


def test_a_day_in_the_past_is_told_as_it_was():
    """Asked for an earlier day, what came later does not count."""
    build = heron({"hours": "5", "done": [{"id": "hull", "share": "20 %"}]}, {"hours": "9", "done": ["hull"]})

    found = progress(build, as_of=date(2026, 1, 31))
    assert (found.value.earned, found.value.spent) == (8, 5)
    assert found.value.planned == 24


def test_before_the_order_there_is_no_schedule():
    """A day before the plan begins is neither early nor late."""
    assert progress(heron({"done": ["hull"]}), as_of=date(2025, 12, 1)).schedule is None


def test_work_counts_from_the_day_it_came_into_the_plan():
    """What is added later does not make an earlier day's plan larger."""
    added = {
        "id": "boat",
        "name": "Boat",
        "stage": "assembly",
        "hours": "8",
        "added": "2026-02-01",
        "due": "2026-03-01",
    }
    build = heron({"done": ["hull"]}, {}, work=[*WORK, added])

    assert progress(build, as_of=date(2026, 1, 31)).value.budget == 100
    assert progress(build).value.budget == 108


def test_an_item_without_a_date_is_due_with_the_build():
    """Where most items have a due date, the build's stands in for those that have none, and that is said."""
    work = [*WORK[:2], {"id": "marks", "name": "Marks", "stage": "markings", "hours": "50"}]

    found = progress(heron({"done": ["hull"]}, work=work, due="2026-04-21"))
    assert found.schedule is not None
    assert found.schedule.planned_end == date(2026, 4, 21)
    assert found.remarks == ("1 work item without a due date is taken to be due with the build.",)


@pytest.mark.parametrize(
    ("work", "due", "why"),
    [
        pytest.param(
            [{key: value for key, value in item.items() if key != "due"} for item in WORK],
            "2026-04-21",
            "give work items due dates",
            id="no item has one",
        ),
        pytest.param(
            [WORK[0], *({k: v for k, v in item.items() if k != "due"} for item in WORK[1:])],
            None,
            "give these work items due dates, or the build: Primer, Marks",
            id="nor the build",
        ),
    ],
)
def test_a_plan_without_dates_is_blank(work, due, why):
    """What is planned by now is not stated, rather than zero, and what would fill it is."""
    record = {"due": due} if due else {}

    found = progress(heron({"hours": "9", "done": ["hull"]}, work=work, **record))
    assert found.value.planned is None
    assert found.schedule is None
    assert found.blanks["planned"] == why
    assert found.value.cost_index is not None


def test_without_hours_the_cost_is_blank():
    """What is spent is not stated, rather than zero."""
    found = progress(heron({"done": ["hull"]}))

    assert (found.spent, found.value.spent, found.value.cost_index) == (None, None, None)
    assert "hours.csv" in found.blanks["spent"]


def test_hours_kept_now_and_then_say_nothing_of_cost():
    """Seven hours for forty planned are not a builder five times as quick as the plan."""
    found = progress(heron({"hours": "7", "done": ["hull"]}))

    assert found.spent == 7
    assert found.value.cost_index is None
    assert progress(heron({"hours": "8", "done": ["hull"]})).value.cost_index == 5


def test_without_work_items_there_is_no_value():
    """Stages by weight have a percentage, and no figures in hours."""
    found = progress(heron({"hours": "7", "done": ["assembly"]}, work=[]))

    assert found.state is not None
    assert found.state.percent == 40
    assert found.value.budget is None
    assert found.blanks["planned"] == "give the build work items with hours"
    assert [(line.stage, line.weight, line.earned, line.spent) for line in found.stages] == [
        ("assembly", 40, 40, 7),
        ("primer", 10, 0, None),
        ("markings", 50, 0, None),
    ]


def test_before_the_first_record_nothing_is_told():
    """A build without a record has no day to tell it from."""
    found = progress(heron())

    assert (found.as_of, found.state, found.value.earned) == (None, None, None)
    assert found.forecast is NoForecast.TOO_FEW


def test_work_that_no_record_speaks_of_is_remarked_on():
    """Hours on an item since its share was last stated are told of, so that the next record can say how far it is."""
    build = heron(
        {"done": [{"id": "hull", "share": "50 %"}]},
        {},
        hours=["2026-01-09 hull 9", "2026-01-20 hull 4", "2026-02-01 marks 2"],
    )

    assert progress(build).remarks == ("Worked on since a record last said how far they are: Hull and Marks.",)


# --- forecast --------------------------------------------------------------------------------------


def under_way(slug="heron", **record):
    """Half of an hundred hours done in fifty days, two hours every second day."""
    days = [date(2026, 1, 2) + timedelta(2 * n) for n in range(25)]
    rows = [f"{day} {'hull' if n < 20 else 'primer'} 2" for n, day in enumerate(days)]
    return heron({"date": "2026-02-19", "done": ["hull", "primer"]}, hours=rows, slug=slug, **record)


def finished(slug="teal", day="2025-12-01", hours=None, **record):
    """A finished build whose marks took four times their plan."""
    hours = hours or {"hull": "40", "primer": "10", "marks": "200"}
    return a_build(
        {"date": day, "hours": hours, "done": ["hull", "primer", "marks"]},
        work=WORK,
        slug=slug,
        **{"name": slug.title(), "status": "finished", "finished": day, **record},
    )


def test_the_forecast_is_told_from_the_newest_record():
    """Half done in fifty even days is likely done in fifty more."""
    build = under_way()

    found = forecast_build(build, a_workshop(build))
    assert isinstance(found, Forecast)
    assert found.as_of == date(2026, 2, 19)
    assert (found.median - found.as_of).days == pytest.approx(50, abs=8)
    assert found.sessions == 25


def test_the_forecast_is_a_function_of_the_records():
    """Asked again it says the same; asked for that day with later records there, too."""
    build = under_way()
    later = replace(build, updates=(*build.updates, *heron({"date": "2026-05-01", "done": ["marks"]}).updates))

    found = forecast_build(build, a_workshop(build))
    assert forecast_build(build, a_workshop(build)) == found
    assert forecast_build(later, a_workshop(later), as_of=date(2026, 2, 19)) == found


def test_finished_builds_tell_how_stages_go():
    """Where marks took four times their plan before, they are expected to take long again; only if that was before."""
    build = under_way()

    alone = forecast_build(build, a_workshop(build))
    told = forecast_build(build, a_workshop(build, *(finished(f"teal-{n}") for n in range(3))))
    untold = forecast_build(build, a_workshop(build, finished(day="2026-03-01")))
    assert alone is not None
    assert told is not None
    assert told.finished_builds == 3
    assert told.median > alone.median + timedelta(60)
    assert untold == alone


def test_finished_builds_without_all_their_hours_tell_nothing():
    """A build with hours for some of its stages does not say that the others took none."""
    build = under_way()
    teal = finished(hours={"hull": "40", "marks": "200"})

    assert forecast_build(build, a_workshop(build, teal)) == forecast_build(build, a_workshop(build))


@pytest.mark.parametrize("status", ["finished", "delivered"])
def test_a_finished_build_has_no_forecast(status):
    """There is nothing to foresee of what is finished, whatever its shares say; before that day there was."""
    build = under_way(status=status, finished="2026-06-01")

    assert forecast_build(build, a_workshop(build)) is None
    assert forecast_or_why(build, a_workshop(build)) is NoForecast.FINISHED
    assert forecast_build(build, a_workshop(build), as_of=date(2026, 2, 19)) is not None


def test_records_that_do_not_count_are_left_out():
    """For somebody who sees only some of the records the forecast is made from those."""
    build = under_way()
    draft = heron({"date": "2026-02-21", "done": [{"id": "marks", "share": "90 %"}]}).updates

    found = forecast_build(replace(build, updates=(*build.updates, *draft)), a_workshop(build), updates=build.updates)
    assert found == forecast_build(build, a_workshop(build))


def test_without_a_plan_or_sessions_there_is_none():
    """Fewer than three sessions, or no record, give no date."""
    build = heron({"hours": "4", "done": ["hull"]}, {"hours": "4"})

    assert forecast_or_why(build, a_workshop(build)) is NoForecast.TOO_FEW
    assert forecast_or_why(heron(), a_workshop()) is NoForecast.TOO_FEW


# --- a new commission ------------------------------------------------------------------------------


def test_an_estimate_is_taken_from_finished_builds_of_the_kind():
    """A finished vessel at 1:24 says what the next one takes at 1:48, stage by stage."""
    workshop = a_workshop(finished(), under_way(), finished("cart", subject={"name": "Cart", "kind": "tractor"}))

    found = estimate_commission(workshop, "Vessel", parse_scale("1:48"))
    assert found.estimate is not None
    assert found.estimate.total.middle == pytest.approx(125)
    assert {stage: round(one.middle) for stage, one in found.estimate.stages.items()} == {
        "assembly": 20,
        "primer": 5,
        "markings": 100,
    }
    assert [one.build.name for one in found.estimate.based_on] == ["Teal"]


def test_what_cannot_be_used_is_told():
    """Without hours for every stage a build is left out, and why is said."""
    workshop = a_workshop(
        finished(hours={"hull": "40"}), finished("swan", hours={"hull": "4", "primer": "1", "marks": "5"})
    )

    found = estimate_commission(workshop, "vessel", parse_scale("1:24"))
    assert found.estimate is None
    assert found.kinds == ("vessel",)
    assert found.left_out == (
        ("Teal", "no hours are written down for Primer and Markings"),
        ("Swan", "hours are written down for 10 of 100 planned"),
    )


def test_of_another_kind_there_is_none():
    """Nothing is guessed from builds of another kind."""
    found = estimate_commission(a_workshop(finished()), "tractor", parse_scale("1:24"))

    assert found.estimate is None
    assert found.kinds == ("vessel",)
