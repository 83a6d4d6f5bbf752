"""Earned value, and a plan spread over the days."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.figures.earned_value import (
    NOT_MEANINGFUL,
    DueWork,
    EarnedValue,
    PlanPoint,
    earned_schedule,
    plan_over_time,
    planned_at,
)

START = date(2026, 3, 1)
HULL = DueWork(Fraction(40), date(2026, 3, 21))
DECKS = DueWork(Fraction(20), date(2026, 3, 31))
PLAN = plan_over_time([DECKS, HULL], START)

amounts = st.integers(0, 500).map(Fraction)
plans = st.lists(
    st.builds(DueWork, st.integers(0, 60).map(Fraction), st.dates(date(2026, 3, 2), date(2026, 12, 31))), min_size=1
)


def test_what_is_due_is_planned_evenly_since_the_due_date_before():
    """Forty hours in twenty days are two a day; twenty in the ten days after are two a day again."""
    assert list(PLAN) == [(0, 0), (20, 40), (30, 60)]
    assert [planned_at(PLAN, Fraction(day)) for day in (-1, 0, 5, 20, 25, 30, 99)] == [0, 0, 10, 40, 50, 60, 60]


def test_what_is_due_before_the_start_is_planned_from_the_start():
    """Work that was due already when the plan begins should be done at once."""
    plan = plan_over_time([DueWork(Fraction(8), date(2026, 2, 1)), HULL], START)

    assert planned_at(plan, Fraction(0)) == 8
    assert planned_at(plan, Fraction(10)) == 28
    assert earned_schedule(plan, Fraction(3), Fraction(5)).earned == 0


def test_no_work_is_no_plan():
    """Nothing planned gives no points."""
    assert plan_over_time([], START) == ()


@given(plans)
def test_on_each_due_date_the_work_due_by_then_is_planned(work):
    """Whatever lies between, the plan holds on each due date what is due by then, and never falls."""
    plan = plan_over_time(work, START)

    for one in work:
        due_by_then = sum(other.hours for other in work if other.due <= one.due)
        assert planned_at(plan, Fraction((one.due - START).days)) == due_by_then
    assert list(plan) == sorted(plan)


@given(plans, st.fractions(0, 1), st.integers(1, 400))
def test_the_plan_had_done_what_is_earned(work, share, day):
    """At the earned schedule the plan has exactly done what is done now; on schedule both are the same day."""
    plan = plan_over_time(work, START)
    earned = plan[-1].planned * share
    found = earned_schedule(plan, earned, Fraction(day))

    assert planned_at(plan, found.earned) == earned
    assert 0 <= found.earned <= found.duration
    assert found.variance == found.earned - day


def test_a_pause_in_the_plan_is_passed_once_its_work_is_done():
    """With all done that comes before a stretch in which nothing is planned, the work is as far as its end."""
    plan = (
        PlanPoint(Fraction(0), Fraction(0)),
        PlanPoint(Fraction(4), Fraction(8)),
        PlanPoint(Fraction(9), Fraction(8)),
        PlanPoint(Fraction(12), Fraction(14)),
    )

    assert earned_schedule(plan, Fraction(8), Fraction(5)).earned == 9
    assert earned_schedule(plan, Fraction(10), Fraction(5)).earned == 10


def test_a_plan_ends_when_all_is_planned():
    """Items of no hours that are due later do not put the end off."""
    plan = plan_over_time([HULL, DueWork(Fraction(0), date(2026, 5, 1))], START)

    assert earned_schedule(plan, Fraction(40), Fraction(25)).duration == 20


def test_nothing_done_is_no_index_of_time():
    """On the first day, and with nothing done, time tells nothing yet."""
    assert earned_schedule(PLAN, Fraction(0), Fraction(0)).index is NOT_MEANINGFUL
    assert earned_schedule(PLAN, Fraction(0), Fraction(9)).index == 0
    assert earned_schedule(PLAN, Fraction(0), Fraction(9)).forecast is NOT_MEANINGFUL


@pytest.mark.parametrize(
    "name",
    [
        "cost_variance",
        "schedule_variance",
        "cost_index",
        "schedule_index",
        "at_completion",
        "at_completion_as_planned",
        "at_completion_if_late",
        "to_completion",
        "variance_at_completion",
        "index_to_budget",
        "index_to_estimate",
    ],
)
def test_nothing_stated_is_blank_throughout(name):
    """Where nothing was stated no figure is zero."""
    assert getattr(EarnedValue(), name) is None


def test_before_anything_is_spent_cost_says_nothing():
    """Nothing done for nothing is no pace, and gives no estimate."""
    found = EarnedValue(budget=Fraction(100), earned=Fraction(0), planned=Fraction(0), spent=Fraction(0))

    assert found.cost_index is NOT_MEANINGFUL
    assert found.schedule_index is NOT_MEANINGFUL
    assert found.at_completion is NOT_MEANINGFUL
    assert found.at_completion_if_late is NOT_MEANINGFUL
    assert found.variance_at_completion is NOT_MEANINGFUL
    assert found.at_completion_as_planned == 100
    assert found.index_to_budget == 1


def test_work_for_nothing_gives_no_estimate():
    """Hours spent with nothing done for them divide by zero, and say so."""
    found = EarnedValue(budget=Fraction(100), earned=Fraction(0), spent=Fraction(5))

    assert found.cost_index == 0
    assert found.at_completion is NOT_MEANINGFUL


@given(amounts, amounts, amounts, amounts)
def test_figures_hang_together(budget, share, planned, spent):
    """What is spent and what is to come are the estimate, and budget less estimate is the variance, exactly."""
    found = EarnedValue(budget=budget, earned=min(share, budget), planned=planned, spent=spent)

    if isinstance(found.at_completion, Fraction):
        assert found.spent + found.to_completion == found.at_completion
        assert found.variance_at_completion == budget - found.at_completion
    if isinstance(found.index_to_budget, Fraction):
        assert found.index_to_budget >= 0
    if isinstance(found.index_to_estimate, Fraction):
        assert found.index_to_estimate == found.cost_index
