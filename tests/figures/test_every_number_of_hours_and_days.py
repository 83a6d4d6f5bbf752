"""No number in the figures of hours and days can be off by a little unnoticed.

As in `test_every_number_matters`: each number in a module's source is changed in turn, and some known figure must come
out wrong. For the forecast and the estimate the known figures are what they came to when they were calibrated; whether
that is right is what `test_forecast.py` and `test_estimate.py` measure. The builds are slow ones, of thousands of days,
so that one part in a hundred shows.
"""

import ast
from datetime import date, timedelta
from fractions import Fraction
from functools import partial

import pytest

from buildlog.figures.progress import PlanItem, Statement
from tests.figures.changing import read, run, unnoticed

START = date(2000, 1, 3)
UNEVEN = (3, 9, 4, 7, 2, 8, 5, 5, 6, 4, 9, 3, 7, 1, 6, 8)
QUICK = (1, 2, 3, 2, 3, 2, 8, 9, 8, 9, 8, 9)
STAGE_OF = ("assembly", "assembly", "primer", "primer", "weathering", "weathering", "fitting-out", "fitting-out")
PLAN = tuple(PlanItem(f"i{n}", f"Item {n}", stage, Fraction(8 + 3 * n)) for n, stage in enumerate(STAGE_OF))
LONG = PlanItem("i0", "Item", "primer", Fraction(1000))


def _after(days):
    return START + timedelta(days)


def _said(day, *shares):
    return Statement(_after(day), {f"i{n}": Fraction(share) for n, share in enumerate(shares)})


RECORDS = [
    _said(100 * n, *shares)
    for n, shares in enumerate(
        [("1/2",), (1,), (1, "1/3"), (1, 1), (1, 1, "1/2"), (1, 1, 1), (1, 1, 1, "1/4"), (1, 1, 1, "3/4"), (1, 1, 1, 1)]
    )
]


def _told(module, shares, hours=UNEVEN, items=None, **given):
    """What is foreseen after uneven sessions, one every thirty days with a longer break after each fifth."""
    days = [30 * n + 30 * (n // 5) for n in range(len(hours))]
    items = items or [f"i{n // 4}" for n in range(len(days))]
    worked = [module.Worked(_after(day), Fraction(h), item) for day, h, item in zip(days, hours, items, strict=True)]
    given = {
        "plan": PLAN,
        "statements": [_said(days[-1], *shares)],
        "worked": worked,
        "as_of": _after(days[-1]),
        "resamples": 100,
        **given,
    }
    found = module.forecast(given.pop("plan"), given.pop("statements"), given.pop("worked"), **given)
    if not isinstance(found, module.Forecast):
        return str(found)
    return (*((day - found.as_of).days for day in (found.first, found.median, found.last)), found.by_hours)


def _forecasts(module):
    history = {
        "assembly": module.StageHours(Fraction(40), Fraction(50)),
        "primer": module.StageHours(Fraction(10), Fraction(11)),
        "weathering": module.StageHours(Fraction(20), Fraction(33)),
    }
    none = module.StageHours(Fraction(10), Fraction(0))
    by_records = {"statements": RECORDS, "worked": [], "as_of": RECORDS[-1].day}
    mostly_by_item = ["i0", "i1", "i2", "i0", "i1", "i2", None, None]
    return {
        "by item": partial(_told, module, (1, 1, 1, 1)),
        "small items": partial(_told, module, ("1/10", "1/2", "1/2", 1, 1), items=[f"i{n % 5}" for n in range(16)]),
        "two items": partial(_told, module, (1, 1), UNEVEN[:8]),
        "half a stage": partial(_told, module, (1, "9/11", "1/2", "1/2")),
        "just begun": partial(_told, module, (1, 1, 1, Fraction(3, 34))),
        "undivided": partial(_told, module, (1, 1, 1, "1/40"), items=[None] * 16),
        "four fifths by item": partial(_told, module, (1, 1, 1), ["6.7"] * 6 + ["4.9"] * 2, mostly_by_item),
        "less by item": partial(_told, module, (1, 1, 1), ["6.6"] * 6 + ["5.2"] * 2, mostly_by_item),
        "quickening": partial(_told, module, (1, 1, 1, 1), QUICK),
        "leaping": partial(_told, module, (1, 1, 1, 1), ["1/4"] * 6 + [20] * 6),
        "eight sessions": partial(_told, module, (1, 1, 1), QUICK[:4] + QUICK[-4:]),
        "seven sessions": partial(_told, module, (1, 1, 1), QUICK[:4] + QUICK[-3:]),
        "finished builds": partial(_told, module, (1, 1, 1, 1), finished=[history, history]),
        "weathering left": partial(_told, module, (1, 1, 1, 1, 1, "1/2"), finished=[history]),
        "by records": partial(_told, module, (), **by_records),
        "by records since the order": partial(
            _told, module, (), **{**by_records, "statements": RECORDS[3:]}, began=START
        ),
        "three records": partial(_told, module, (), **{**by_records, "statements": RECORDS[:3]}, plan=PLAN[:3]),
        "by weight": partial(_told, module, (1, 1, 1, 1), [Fraction(hours, 10) for hours in UNEVEN], in_hours=False),
        "hours for a fifth": partial(
            _told,
            module,
            (),
            **{**by_records, "worked": [module.Worked(_after(90 * n), Fraction(2), "i0") for n in range(5)]},
        ),
        "hours for less": partial(
            _told,
            module,
            (),
            **{**by_records, "worked": [module.Worked(_after(90 * n), Fraction("1.85"), "i0") for n in range(5)]},
        ),
        "hours enough": partial(
            _told,
            module,
            (),
            **{**by_records, "worked": [module.Worked(_after(90 * n), Fraction(10), "i0") for n in range(5)]},
        ),
        "silent since": partial(
            _told, module, (), UNEVEN[:12], as_of=_after(405), statements=[_said(200, 1, 1, "1/2"), _said(405)]
        ),
        "silent for long": partial(
            _told,
            module,
            (),
            [15, 15] + [Fraction(60, 14)] * 14,
            ["i0", "i1"] + ["i2"] * 14,
            plan=PLAN[:3],
            as_of=_after(9999),
            statements=[_said(30, 1, 1, "1/8"), _said(9999)],
        ),
        "almost done": partial(_told, module, (1, 1, 1, 1, 1, 1, 1, "999/1000")),
        "finished without hours": partial(_told, module, (1, 1, 1, 1), finished=[{}] * 3),
        "finished in no time": partial(
            _told, module, (1, 1, 1, 1), finished=[{**history, "assembly": none, "primer": none}] * 3
        ),
        "idle": partial(_told, module, (1, 1, 1, 1), as_of=_after(900)),
        "three sessions": partial(_told, module, ("1/2",), UNEVEN[:3]),
        "two sessions": partial(_told, module, ("1/2",), UNEVEN[:2]),
        "all done": partial(_told, module, (1,) * 8),
        "another's item": partial(_told, module, (1, 1, 1, 1), items=["i0", "i1", "i2", "x"] * 4),
        "by small records": partial(
            _told, module, (), **{**by_records, "statements": [*RECORDS[:6], _said(800, 1, 1, 1, "1/40")]}
        ),
        "nearly thirty years": partial(_told, module, ("3/37",), plan=[LONG], items=["i0"] * 16),
        "more than thirty years": partial(_told, module, ("1/12",), plan=[LONG], items=["i0"] * 16),
    }


FORESEEN = {
    "by item": (945, 1300, 1773, True),
    "small items": (488, 1228, 2623, True),
    "two items": (1561, 2185, 3695, True),
    "half a stage": (1772, 2313, 3159, True),
    "just begun": (1165, 2002, 3166, True),
    "undivided": (1578, 2168, 3061, True),
    "four fifths by item": (770, 1143, 1889, True),
    "less by item": (823, 1220, 1738, True),
    "quickening": (238, 783, 1885, True),
    "leaping": (52, 379, 1738, True),
    "eight sessions": (261, 847, 2363, True),
    "seven sessions": (331, 757, 1556, True),
    "finished builds": (1095, 1467, 2029, True),
    "weathering left": (355, 525, 792, True),
    "by records": (1220, 1644, 2166, False),
    "by records since the order": (1192, 1619, 2302, False),
    "three records": (1025, 2404, 4642, False),
    "by weight": (887, 1241, 1781, True),
    "hours for a fifth": (1126, 3291, 9975, True),
    "hours for less": (1220, 1781, 2416, False),
    "hours enough": (1256, 3149, 9501, True),
    "silent since": (1037, 1506, 2315, True),
    "silent for long": (2, 43, 2256, True),
    "almost done": (1, 1, 1, True),
    "finished without hours": (873, 1236, 1767, True),
    "finished in no time": (857, 1205, 1811, True),
    "idle": (1380, 3497, 8493, True),
    "three sessions": (1998, 3606, 5538, True),
    "two sessions": "there are fewer than 3 sessions to judge the pace by",
    "all done": "all the work is done",
    "another's item": (871, 1213, 1662, True),
    "by small records": (2163, 3511, 6522, False),
    "nearly thirty years": (4168, 7012, 10607, True),
    "more than thirty years": "at the pace so far it would take more than 30 years",
}


def _check_forecast(module):
    forecasts = _forecasts(module)
    assert list(forecasts) == list(FORESEEN)
    assert all(foresee() == FORESEEN[name] for name, foresee in forecasts.items())
    assert module.chance_in_words(Fraction(3, 4)) == "8 times in 10"
    assert module.RESAMPLES == 2000
    assert Fraction(4, 5) == module.CHANCE


def _check_earned_value(module):
    whole = module.EarnedValue(Fraction(1000), Fraction(700), Fraction(800), Fraction(750))
    nothing = module.EarnedValue(Fraction(1000), Fraction(0), Fraction(0), Fraction(0))
    small = module.EarnedValue(Fraction(1), Fraction(1, 2), Fraction(1, 2), Fraction(1, 2))
    assert whole.at_completion_if_late == 750 + 300 / (Fraction(700, 750) * Fraction(700, 800))
    assert nothing.cost_index is module.NOT_MEANINGFUL
    assert small.cost_index == small.index_to_budget == 1
    work = [module.DueWork(Fraction(hours), _after(days)) for hours, days in ((8, 0), (3, 10), (4, 20), (5, 20))]
    plan = module.plan_over_time(work, START)
    assert plan == ((0, 8), (10, 11), (20, 20))
    times = (-1, 0, 5, 10, 15, 20, 30)
    assert [module.planned_at(plan, Fraction(time)) for time in times] == [0, 8, 9.5, 11, 15.5, 20, 20]
    assert module.plan_over_time(work[1:], START) == ((0, 0), (10, 3), (20, 12))
    done = (0, 8, 9, 11, 12, 20, 21)
    found = [module.earned_schedule(plan, Fraction(one), Fraction(7)).earned for one in done]
    assert found == [0, 0, Fraction(10, 3), 10, 10 + Fraction(10, 9), 20, 20]


ESTIMATED = {
    "alone": [(32478, 70000, 156256), (26749, 60000, 131244), (4626, 10000, 23211), 10000],
    "smaller": [(14517, 35000, 84073), (12477, 30000, 76204), (2079, 5000, 12140), 10000],
    "three": [(36601, 62465, 102657), (31531, 55046, 94455), (4332, 7418, 12678), 4045, 3612, 2343],
    "three of one basis": [(34533, 59415, 103637), (29395, 51989, 91212), (4005, 7426, 13487), 5760, 2571, 1668],
}


def _estimates(module):
    def built(name, ratio, basis="", **hours):
        return module.FinishedBuild(name, Fraction(ratio), {key: Fraction(one) for key, one in hours.items()}, basis)

    one = built("one", 24, "hull moulding", assembly=60_000, primer=10_000)
    others = [one, built("two", 48, "kit", assembly=40_000), built("three", 87, assembly=30_000, primer=3_000)]
    asked = {
        "alone": ([one], 24, ""),
        "smaller": ([one], 48, ""),
        "three": (others, 32, ""),
        "three of one basis": (others, 32, "Moulding"),
    }
    for name, (finished, ratio, basis) in asked.items():
        found = module.estimate(finished, Fraction(ratio), ["assembly", "primer", "other"], basis=basis)
        ranges = [tuple(map(round, (one.low, one.middle, one.high))) for one in (found.total, *found.stages.values())]
        yield name, [*ranges, *(round(basis.weight * 10_000) for basis in found.based_on)]


def _check_estimate(module):
    assert all(found == ESTIMATED[name] for name, found in _estimates(module))
    assert Fraction(4, 5) == module.CHANCE


CHECKS = {"earned_value": _check_earned_value, "estimate": _check_estimate, "forecast": _check_forecast}

_GUARD = "it keeps from dividing by zero, or from a logarithm of it; work so small does not count"
_CANCELS = "it is taken off again"
HARMLESS = {
    "weight = 1 / (1 + abs(math.log2(larger))) * (_SAME_BASIS if same_basis else 1.0): 1": (
        "above it cancels; below, test_estimate.py holds it"
    ),
    "_LOOK_BACK = (1.0, 1 / 2, 1 / 3): 1.0": "more than all is all",
    "if sum(step.effort for step in steps) <= 0 or sum(step.days for step in steps) <= 0:": _GUARD,
    "spread = spread * items / known if known > 0.5 else spread: 0.5": _GUARD,
    "found = found * independent / known if known > 0.5 else found: 0.5": _GUARD,
    "self.run = max(1, round(math.sqrt(self.count))): 1": _GUARD,
    "known = max(independent - 1, 0.0): 0.0": _GUARD,
    "if len(logs) < 2:: 2": _GUARD,
    "pace = _Pace(steps, longest_pause=max(step.days for step in steps) if by_hours else 0): 0": (
        "any pause that is shorter than a fortnight counts as one"
    ),
    "self.runs = {start: runs for start, runs in self.runs.items() if sum(run.effort for run in runs) > 0}": _GUARD,
    "effort_by = list(accumulate([*efforts, *efforts], initial=0.0))": _CANCELS,
    "days_by = list(accumulate([*days, *days], initial=0.0))": _CANCELS,
    "edges = [round(self.count * quarter / 4) for quarter in range(5)]: 5": "a fifth quarter holds no session",
    "done_on: dict[date, float] = {} if began is None or began >= statements[0].day else {began: 0.0}: 0": (
        "what was ordered before the first record was ordered before the second"
    ),
    "done_on[statement.day] = sum(weights.get(item, 0.0) * float(share) for item, share in shares.items())": (
        "shares are stated of planned items alone"
    ),
    "logs = [math.log(effort / length) for effort, length in quarters if effort > 0 and length > 0]": _GUARD,
}
"""Lines, or numbers on a line, that may be off by a little, and why."""


@pytest.mark.parametrize("name", CHECKS)
def test_the_unchanged_module_is_right(name):
    """With no number changed every known figure comes out right."""
    run(name, ast.parse(read(name)), CHECKS[name])


@pytest.mark.parametrize("name", CHECKS)
def test_no_number_can_be_changed_unnoticed(name):
    """With any one number changed some known figure comes out wrong."""
    assert unnoticed(name, CHECKS[name], HARMLESS) == []
