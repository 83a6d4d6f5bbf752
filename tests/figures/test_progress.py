"""Percent complete, with the plan as it stood."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.figures.progress import PlanItem, State, Statement, states, whole_percent

HULL = PlanItem("hull", "Hull", "assembly", Fraction(30))
LIGHTS = PlanItem("lights", "Lights", "fitting-out", Fraction(10))
BOAT = PlanItem("boat", "A second boat", "assembly", Fraction(40), added=date(2026, 5, 2))


def said(day: str, **shares: str) -> Statement:
    return Statement(date.fromisoformat(day), {key: Fraction(share) for key, share in shares.items()})


def test_the_whole_is_weighted_by_hours():
    """Half of 30 hours and all of 10 hours are 25 of 40 hours."""
    (state,) = states([HULL, LIGHTS], [said("2026-03-01", hull="1/2", lights="1")])

    assert state.share == Fraction(25, 40)
    assert state.percent == 62


def test_each_share_is_the_last_one_stated():
    """What a session does not speak of stays as it was."""
    following = states([HULL, LIGHTS], [said("2026-03-01", hull="1/2"), said("2026-04-01", lights="1")])

    assert [state.share_of("hull") for state in following] == [Fraction(1, 2), Fraction(1, 2)]
    assert following[-1].share == Fraction(25, 40)


def test_the_past_is_computed_with_the_plan_as_it_stood():
    """An item added in May does not make March less complete."""
    march, may = states([HULL, LIGHTS, BOAT], [said("2026-03-01", hull="1", lights="1"), said("2026-05-02")])

    assert march.percent == 100
    assert may.share == Fraction(40, 80)


def test_work_stated_before_it_was_added_counts_from_then():
    """A session cannot have worked on something outside the plan."""
    (march,) = states([HULL, BOAT], [said("2026-03-01", boat="1")])

    assert march.share == Fraction(40, 70)


def test_nothing_planned_is_an_honest_blank():
    """Without any weight there is no percentage, rather than 0 or 100."""
    (state,) = states([], [said("2026-03-01")])

    assert state.share is None
    assert state.percent is None


def test_stages_are_sized_by_their_work():
    """A stage weighs the hours planned in it, and one without planned work is left out."""
    (state,) = states([HULL, LIGHTS], [said("2026-03-01", hull="1/2")])

    stages = state.stages(["assembly", "primer", "fitting-out"])

    assert [(stage.stage, stage.weight, stage.share) for stage in stages] == [
        ("assembly", 30, Fraction(1, 2)),
        ("fitting-out", 10, 0),
    ]


def test_what_is_left_keeps_the_order_of_the_plan():
    """Finished items go, untouched ones stay."""
    (state,) = states([LIGHTS, HULL], [said("2026-03-01", lights="1")])

    assert state.left == (HULL,)


@pytest.mark.parametrize(
    ("share", "shown"),
    [
        pytest.param("0", 0, id="nothing"),
        pytest.param("1/1000", 1, id="anything at all is not 0"),
        pytest.param("245/1000", 24, id="half to even, down"),
        pytest.param("255/1000", 26, id="half to even, up"),
        pytest.param("999/1000", 99, id="not quite all is not 100"),
        pytest.param("1", 100, id="all"),
    ],
)
def test_percent_as_shown(share, shown):
    """Whole percent, half to even, with 0 and 100 kept for none and all."""
    assert whole_percent(Fraction(share)) == shown


@pytest.mark.parametrize("share", ["-1/100", "101/100"])
def test_a_share_outside_its_range_is_refused(share):
    """A share above 1 is a mistake of the caller's, not 100 %."""
    with pytest.raises(ValueError, match="between 0 and 1"):
        whole_percent(Fraction(share))


SHARES = st.fractions(min_value=0, max_value=1, max_denominator=100)


@given(st.lists(st.tuples(st.integers(1, 200), SHARES, SHARES), min_size=1, max_size=8))
def test_progress_lies_between_its_least_and_its_most_finished_item(rows):
    """The whole is never less done than its least item nor more than its most, and never falls when none does."""
    plan = [PlanItem(str(index), "", "a", Fraction(weight)) for index, (weight, _, _) in enumerate(rows)]
    first = Statement(date(2026, 1, 1), {str(i): min(a, b) for i, (_, a, b) in enumerate(rows)})
    second = Statement(date(2026, 2, 1), {str(i): max(a, b) for i, (_, a, b) in enumerate(rows)})

    before, after = states(plan, [first, second])

    assert before.share is not None
    assert after.share is not None
    assert min(after.shares.values()) <= after.share <= max(after.shares.values())
    assert before.share <= after.share


@pytest.mark.parametrize(
    ("before", "now", "points"),
    [
        pytest.param("0.30", "0.43", 13, id="up"),
        pytest.param("0.43", "0.30", -13, id="down"),
        pytest.param("0.301", "0.304", 0, id="too little to show"),
        pytest.param("0.504", "0.516", 2, id="as shown, 50 and 52"),
    ],
)
def test_points_between_two_states(before, now, points):
    """The change is the difference of the percents that are shown, so that the two pages agree."""
    item = PlanItem("hull", "Hull", "assembly", Fraction(10))
    earlier, later = (State(date(2026, 1, 1), (item,), {"hull": Fraction(share)}) for share in (before, now))

    assert later.moved_since(earlier) == points


def test_no_points_without_a_plan():
    """Where nothing has a weight there is no change to tell."""
    nothing = State(date(2026, 1, 1), ())

    assert nothing.moved_since(nothing) is None
