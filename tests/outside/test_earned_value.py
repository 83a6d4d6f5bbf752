"""Earned value and earned schedule against published formulas and worked examples."""

import csv
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from buildlog.figures.earned_value import (
    NOT_MEANINGFUL,
    EarnedValue,
    PlanPoint,
    earned_schedule,
    planned_at,
)

with (Path(__file__).parent / "data" / "evm_examples.csv").open(encoding="utf-8") as lines:
    ROWS = {row["id"]: row for row in csv.DictReader(line for line in lines if not line.startswith("#"))}

COLUMNS = {
    "CV": "cost_variance",
    "SV": "schedule_variance",
    "CPI": "cost_index",
    "SPI": "schedule_index",
    "EAC_budget": "at_completion_as_planned",
    "EAC_cpi": "at_completion",
    "EAC_comp": "at_completion_if_late",
    "VAC": "variance_at_completion",
    "TCPI_bac": "index_to_budget",
    "TCPI_eac": "index_to_estimate",
}

PLAN = tuple(PlanPoint(Fraction(n), Fraction(pv)) for n, pv in enumerate([0, 10, 25, 45, 70, 95, 120, 140, 150]))
"""The plan of the worked example of earned schedule."""


def example(name: str) -> EarnedValue:
    row = ROWS[name]
    given = {key: Fraction(row[key]) if row[key] else None for key in ("PV", "EV", "AC", "BAC", "EAC_given")}
    return EarnedValue(
        budget=given["BAC"],
        earned=given["EV"],
        planned=given["PV"],
        spent=given["AC"],
        expected=given["EAC_given"],
    )


def test_the_examples_are_all_there():
    """Nothing of the list of examples is missed."""
    assert len(ROWS) == 10


@pytest.mark.parametrize("column", COLUMNS)
@pytest.mark.parametrize("name", ROWS)
def test_worked_examples(name, column):
    """Every figure of every example comes out to its four places; what has none is no number.

    Inputs from teaching pages as each row of the file says, formulas as on the EVM Gold Card (EAC_budget from memory),
    results worked out from exact ratios. The row `trap` holds what is right: the page it comes from is wrong twice.
    """
    found = getattr(example(name), COLUMNS[column])
    expected = ROWS[name][column]

    if expected:
        assert isinstance(found, Fraction)
        assert abs(found - Fraction(expected)) <= Fraction("0.00005")
    else:
        assert not isinstance(found, Fraction)


def test_what_was_not_stated_is_blank():
    """Without a planned value the schedule's figures are not stated, rather than zero or not meaningful."""
    found = example("tcpi")

    assert (found.schedule_variance, found.schedule_index, found.at_completion_if_late) == (None, None, None)


def test_no_index_to_the_budget_once_it_is_spent():
    """With more spent than was planned in all, the index to the budget is not meaningful, and never below zero."""
    found = example("overspent").index_to_budget

    assert found is NOT_MEANINGFUL
    assert str(found) == "not meaningful"


def test_no_index_to_the_estimate_once_all_is_done():
    """With everything earned nothing is left to do at any pace."""
    found = example("complete")

    assert found.index_to_budget == 0
    assert found.index_to_estimate is NOT_MEANINGFUL


def test_the_published_mistakes_are_not_made():
    """The page behind row `trap` answers 75000 for EAC at budgeted rate, and uses PV where TCPI has BAC."""
    found = example("trap")

    assert found.at_completion_as_planned == 65000 != 75000
    assert found.index_to_budget == 4 != Fraction(40000 - 30000, 50000 - 45000)


def test_earned_schedule():
    """ES 4.48, SPI(t) 0.746667, SV(t) −1.52, forecast 10.714286 of a plan of 8 (formula: Lipke; numbers worked out)."""
    found = earned_schedule(PLAN, Fraction(82), Fraction(6))

    assert found.earned == Fraction("4.48")
    assert found.variance == Fraction("-1.52")
    assert found.duration == 8
    assert found.index is not None
    assert float(found.index) == pytest.approx(0.746667, abs=5e-7)
    assert float(found.forecast) == pytest.approx(10.714286, abs=5e-7)


@pytest.mark.parametrize("earned", range(0, 151, 3), ids=str)
def test_earned_schedule_agrees_with_numpy(earned):
    """The time read off the plan is numpy's straight-line interpolation, and reading it back gives what is done."""
    found = earned_schedule(PLAN, Fraction(earned), Fraction(6)).earned

    times, values = zip(*((float(point.time), float(point.planned)) for point in PLAN), strict=True)
    assert float(found) == pytest.approx(np.interp(earned, values, times), abs=1e-12)
    assert planned_at(PLAN, found) == earned


def test_finished_late_is_not_on_time():
    """With all done the schedule index is 1 however late it was; the one by time is not (Lipke)."""
    found = EarnedValue(budget=Fraction(150), earned=Fraction(150), planned=planned_at(PLAN, Fraction(12)))
    by_time = earned_schedule(PLAN, Fraction(150), Fraction(12))

    assert found.schedule_index == 1
    assert by_time.index == Fraction(8, 12)
    assert by_time.forecast == 12
