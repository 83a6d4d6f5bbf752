"""When a build is likely to be finished, and how often that is right."""

import random
import re
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest

import buildlog.figures.forecast
from buildlog.figures.forecast import (
    CHANCE,
    Forecast,
    NoForecast,
    StageHours,
    Worked,
    chance_in_words,
    forecast,
    forecast_in_words,
)
from buildlog.figures.progress import PlanItem, Statement
from tests.figures.simulated_builds import HABITS, simulate

START = date(2026, 3, 2)
PLAN = tuple(PlanItem(f"item-{n}", f"Item {n}", "assembly" if n < 5 else "weathering", Fraction(10)) for n in range(10))


def after(days: int) -> date:
    return START + timedelta(days)


def regular(sessions: int, hours: str = "5", every: int = 2) -> tuple[Worked, ...]:
    """So many sessions of so many hours, on one item after another, each two sessions long."""
    return tuple(Worked(after(n * every), Fraction(hours), f"item-{n // 2}") for n in range(sessions))


def halfway(**changes: object) -> Forecast | NoForecast:
    """Ten sessions in which five items of ten were done exactly as planned, one session every second day."""
    given = {
        "plan": PLAN,
        "statements": [Statement(after(18), {f"item-{n}": Fraction(1) for n in range(5)})],
        "worked": regular(10),
        "as_of": after(18),
        **changes,
    }
    plan, statements, worked = (given.pop(name) for name in ("plan", "statements", "worked"))
    return forecast(plan, statements, worked, **given)  # type: ignore[arg-type]


def days_to_go(found: Forecast | NoForecast) -> tuple[int, int, int]:
    assert isinstance(found, Forecast)
    return ((found.first - found.as_of).days, (found.median - found.as_of).days, (found.last - found.as_of).days)


# --- how good it is --------------------------------------------------------------------------------

STOPS = (0.3, 0.5, 0.7)


@pytest.fixture(scope="module")
def hits():
    """For 500 simulated builds of every kind, stopped three times each: at what share, and whether the range held."""
    found = []
    kinds = list(HABITS.items())
    for number in range(500):
        name, habits = kinds[number % len(kinds)]
        build = simulate(random.Random(f"back-test {number} {name}"), habits)
        for share, day in build.stops(STOPS):
            told = forecast(
                build.plan, build.statements, build.worked, as_of=day, finished=build.finished, resamples=200
            )
            if isinstance(told, Forecast):
                found.append((share, told.first <= build.end <= told.last))
    return found


def held(hits, stop=None):
    wanted = [inside for share, inside in hits if stop in (None, share)]
    return sum(wanted) / len(wanted)


def test_four_times_in_five_the_day_lies_in_the_range(hits):
    """Over all kinds of builder the range of 80 % holds the true day in 72 to 88 % of forecasts."""
    assert len(hits) > 1400
    assert 0.72 <= held(hits) <= 0.88


@pytest.mark.parametrize("stop", STOPS, ids="{:.0%}".format)
def test_it_is_as_good_early_as_late(hits, stop):
    """So it does for builds that are a third, a half and most of the way through."""
    assert 0.70 <= held(hits, stop) <= 0.90


def test_what_the_module_says_of_itself_is_what_is_measured(hits):
    """The measured shares stand in the module's text."""
    text = " ".join((buildlog.figures.forecast.__doc__ or "").split())
    said = re.search(r"the range of 80 % held the day in (\d+) % of forecasts: (\d+), (\d+) and (\d+) %", text)

    measured = [100 * held(hits), *(100 * held(hits, stop) for stop in STOPS)]
    assert said is not None
    assert [int(one) for one in said.groups()] == pytest.approx(measured, abs=1)


# --- what it says ----------------------------------------------------------------------------------


def test_a_build_that_went_as_planned_goes_on_so():
    """Half done in twenty days of even sessions, the other half is most likely done in twenty more."""
    first, median, last = days_to_go(halfway())

    assert 10 <= first < 20 < last <= 40
    assert median == pytest.approx(20, abs=3)


def test_work_that_costs_twice_the_hours_takes_twice_the_days():
    """Overruns so far are carried over to what is left."""
    dearer = halfway(worked=[Worked(after(n), Fraction(5), f"item-{n // 4}") for n in range(20)], as_of=after(19))
    slower = halfway(worked=regular(10, every=4), as_of=after(36))

    assert days_to_go(dearer)[1] == pytest.approx(20, abs=3)
    assert days_to_go(slower)[1] == pytest.approx(40, abs=6)


def test_uneven_work_makes_a_wider_range():
    """Sessions of very different lengths tell less of the pace."""
    uneven = [replace(one, hours=Fraction(9 if n % 3 else 1)) for n, one in enumerate(regular(10))]

    first, _, last = days_to_go(halfway())
    first_uneven, _, last_uneven = days_to_go(halfway(worked=uneven))

    assert last_uneven - first_uneven > last - first


def test_more_sessions_make_a_narrower_range():
    """The same pace over four times as many sessions is better known."""
    plan = [PlanItem(f"item-{n}", "Item", "assembly", Fraction(10)) for n in range(40)]
    done = {f"item-{n}": Fraction(1) for n in range(20)}
    few = days_to_go(halfway())

    many = days_to_go(forecast(plan, [Statement(after(78), done)], regular(40), as_of=after(78)))

    assert (many[2] - many[0]) / many[1] < 0.8 * (few[2] - few[0]) / few[1]


def test_a_pause_until_today_puts_the_end_off():
    """Days without a session since the last one count, for the pace as for the day it is told from."""
    paused = halfway(as_of=after(60))

    assert days_to_go(paused)[1] > 1.5 * days_to_go(halfway())[1]


def test_the_latest_pace_weighs_most():
    """Of two builds with the same sessions, the one that has slowed down is finished later."""
    slowing = [0, 1, 2, 3, 4, 5, 6, 7, 18, 30]
    quickening = [0, 12, 23, 24, 25, 26, 27, 28, 29, 30]
    found = [
        halfway(
            worked=[replace(one, day=after(day)) for one, day in zip(regular(10), days, strict=True)], as_of=after(30)
        )
        for days in (slowing, quickening)
    ]

    assert days_to_go(found[0])[1] > days_to_go(found[1])[1] + 5


def test_without_hours_the_pace_is_what_was_done():
    """Records that say only how far the items are suffice."""
    statements = [Statement(after(4 * n), {f"item-{n - 1}": Fraction(1)} if n else {}) for n in range(6)]

    found = halfway(statements=statements, worked=(), as_of=after(20))

    assert isinstance(found, Forecast)
    assert not found.by_hours
    assert days_to_go(found)[1] == pytest.approx(20, abs=3)


def test_the_first_record_counts_from_when_work_began():
    """Where the day of the order is known, what the first of few records tells is part of the pace."""
    statements = [
        Statement(after(20), {"item-0": Fraction(1), "item-1": Fraction(1)}),
        Statement(after(25), {"item-2": Fraction(1)}),
        Statement(after(30), {"item-3": Fraction(1)}),
    ]
    given = {"statements": statements, "worked": (), "as_of": after(30)}

    assert days_to_go(halfway(**given, began=START))[1] > days_to_go(halfway(**given))[1] + 5


def test_hours_kept_now_and_then_are_not_taken_for_the_pace():
    """Hours that come to next to nothing for what is done were not kept throughout."""
    statements = [Statement(after(4 * n), {f"item-{n - 1}": Fraction(1)} if n else {}) for n in range(6)]
    few_hours = [Worked(after(4 * n), Fraction(3), "item-0") for n in range(3)]

    found = halfway(statements=statements, worked=few_hours, as_of=after(20))

    assert isinstance(found, Forecast)
    assert not found.by_hours


def test_hours_since_an_item_was_last_spoken_of_count_as_work_done():
    """Where a record is silent on what was worked on, the hours say that it went on."""
    silent = [*regular(10), *(Worked(after(20 + 2 * n), Fraction(5), f"item-{5 + n // 2}") for n in range(4))]
    told = {f"item-{n}": Fraction(1) for n in range(7)}
    found = [
        halfway(statements=[*said, Statement(after(26), {})], worked=silent, as_of=after(26))
        for said in (
            [Statement(after(18), {f"item-{n}": Fraction(1) for n in range(5)})],
            [Statement(after(18), {f"item-{n}": Fraction(1) for n in range(5)}), Statement(after(26), told)],
        )
    ]

    assert days_to_go(found[0])[1] == pytest.approx(days_to_go(found[1])[1], abs=3)


def test_stages_are_weighed_by_weights_where_there_are_no_hours_planned():
    """A plan of stages by weight is followed by what a unit of weight has cost."""
    found = halfway(worked=regular(10, hours="1/2"), in_hours=False)

    assert isinstance(found, Forecast)
    assert found.by_hours
    assert days_to_go(found)[1] == pytest.approx(20, abs=3)


def test_finished_builds_say_which_stages_are_dear():
    """Where weathering took thrice its plan and assembly kept to it, what is left of weathering is put off."""
    history = {
        "assembly": StageHours(Fraction(100), Fraction(100)),
        "weathering": StageHours(Fraction(20), Fraction(60)),
    }
    alone, told = days_to_go(halfway()), days_to_go(halfway(finished=[history] * 4))

    assert told[1] > 2 * alone[1]
    assert told[2] < 6 * alone[2]


def test_a_finished_build_that_went_evenly_changes_little():
    """Stages that all took twice their plan are no dearer than each other."""
    history = {name: StageHours(Fraction(50), Fraction(100)) for name in ("assembly", "weathering")}

    told = days_to_go(halfway(finished=[history] * 4))

    assert told[1] == pytest.approx(days_to_go(halfway())[1], abs=3)


# --- the same records, the same range --------------------------------------------------------------


def test_the_same_records_give_the_same_range():
    """Nothing but the records and the day goes into it."""
    assert halfway() == halfway()


def test_what_comes_later_does_not_count():
    """Records and hours after the day it is told from change nothing."""
    later = [
        Statement(after(18), {f"item-{n}": Fraction(1) for n in range(5)}),
        Statement(after(30), {f"item-{n}": Fraction(1) for n in range(10)}),
    ]

    found = halfway(statements=later, worked=(*regular(10), Worked(after(30), Fraction(50), "item-9")))

    assert days_to_go(found) == pytest.approx(days_to_go(halfway()), abs=2)


def test_more_rounds_hardly_move_it():
    """The range does not hang on the number of rounds."""
    assert days_to_go(halfway(resamples=8000)) == pytest.approx(days_to_go(halfway()), abs=1)


def test_the_day_is_never_before_tomorrow():
    """With a quarter of an hour to go the end is near, and still to come."""
    nearly = {f"item-{n}": Fraction(1) for n in range(9)} | {"item-9": Fraction(39, 40)}

    found = halfway(statements=[Statement(after(18), nearly)])

    assert isinstance(found, Forecast)
    assert after(19) <= found.first <= found.median <= found.last <= after(30)


# --- no date ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        pytest.param({"plan": ()}, NoForecast.NO_PLAN, id="no plan"),
        pytest.param(
            {"plan": [PlanItem("item-0", "Item", "assembly", Fraction(0))]}, NoForecast.NO_PLAN, id="plan of no hours"
        ),
        pytest.param({"statements": []}, NoForecast.TOO_FEW, id="no record"),
        pytest.param({"worked": regular(2)}, NoForecast.TOO_FEW, id="two sessions"),
        pytest.param({"worked": ()}, NoForecast.TOO_FEW, id="one record without hours"),
        pytest.param(
            {"statements": [Statement(after(n), {}) for n in range(4)]}, NoForecast.NOTHING_DONE, id="nothing done"
        ),
        pytest.param(
            {"statements": [Statement(after(18), {f"item-{n}": Fraction(1) for n in range(10)})]},
            NoForecast.FINISHED,
            id="all done",
        ),
        pytest.param(
            {
                "statements": [Statement(after(18), {"item-0": Fraction(1, 2000)})],
                "worked": regular(3, every=9),
                "plan": PLAN,
            },
            NoForecast.TOO_FAR,
            id="thirty years",
        ),
        pytest.param({"as_of": date.max}, NoForecast.TOO_FAR, id="the calendar's end"),
        pytest.param(
            {
                "statements": [Statement(after(n), {"item-0": Fraction(10 - n, 10)}) for n in range(4)],
                "worked": (),
                "as_of": after(4),
            },
            NoForecast.NOTHING_DONE,
            id="only ever undone",
        ),
    ],
)
def test_no_date_where_there_is_none(changes, reason):
    """What cannot be told is not told, and why is said."""
    assert halfway(**changes) is reason


def test_three_sessions_are_enough():
    """With the third session there is a range, and a wide one."""
    found = halfway(
        worked=regular(3),
        statements=[Statement(after(4), {"item-0": Fraction(1), "item-1": Fraction(1, 2)})],
        as_of=after(4),
    )

    first, median, last = days_to_go(found)
    assert last > 2 * first
    assert median == pytest.approx(34, abs=12)


# --- in words --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        pytest.param("2026-11-09", "2026-11-27", "likely finished 9 to 27 November", id="one month"),
        pytest.param("2026-10-30", "2026-11-09", "likely finished 30 October to 9 November", id="two months"),
        pytest.param("2026-11-09", "2026-11-09", "likely finished on 9 November", id="one day"),
        pytest.param("2026-12-20", "2027-01-04", "likely finished 20 December 2026 to 4 January 2027", id="two years"),
        pytest.param("2027-02-01", "2027-03-04", "likely finished 1 February to 4 March 2027", id="next year"),
        pytest.param("2027-02-01", "2027-02-01", "likely finished on 1 February 2027", id="one day of next year"),
        pytest.param(
            "2027-11-09", "2028-11-09", "likely finished 9 November 2027 to 9 November 2028", id="a year apart"
        ),
    ],
)
def test_the_range_in_words(first, last, words):
    """A range says its year only where it is not the year it is told in."""
    day = date.fromisoformat
    found = Forecast(date(2026, 8, 15), day(first), day(last), day(first), CHANCE, 30, True, 0)

    assert forecast_in_words(found) == words
    assert chance_in_words(found.chance) == "8 times in 10"
