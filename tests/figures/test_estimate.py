"""Hours for a new commission, from finished ones."""

import math
import random
from fractions import Fraction

import pytest

from buildlog.figures.estimate import CHANCE, FinishedBuild, estimate

STAGES = ["assembly", "base-coat", "weathering"]


def built(name="Heron", ratio=24, total=200, basis="", **hours) -> FinishedBuild:
    hours = hours or {"assembly": total * 0.6, "base-coat": total * 0.4}
    return FinishedBuild(
        name, Fraction(ratio), {key.replace("_", "-"): Fraction(much) for key, much in hours.items()}, basis
    )


def at(ratio, *finished, basis=""):
    found = estimate(finished, Fraction(ratio), STAGES, basis=basis)
    assert found is not None
    return found


def test_without_a_finished_build_there_is_no_estimate():
    """Nothing to go by gives nothing, rather than a guess."""
    assert estimate([], Fraction(24), STAGES) is None
    assert estimate([FinishedBuild("Heron", Fraction(24), {})], Fraction(24), STAGES) is None


def test_one_build_at_the_same_scale_is_the_estimate():
    """The same again takes the same hours, stage by stage, and the range lies around them."""
    found = at(24, built(total=200))

    assert found.total.middle == pytest.approx(200)
    assert [round(one.middle) for one in found.stages.values()] == [120, 80]
    assert list(found.stages) == ["assembly", "base-coat"]
    assert found.total.low < 140
    assert found.total.high > 280
    assert found.chance == CHANCE


@pytest.mark.parametrize(("ratio", "hours"), [(48, 100), (12, 400), (24, 200), (32, 150)], ids=str)
def test_hours_grow_with_the_models_length(ratio, hours):
    """At twice the size twice the hours."""
    assert at(ratio, built(total=200)).total.middle == pytest.approx(hours)


def test_another_scale_makes_a_wider_range():
    """How hours grow is not known well, so the farther the scales the wider the range."""
    same, other = at(24, built()).total, at(96, built()).total

    assert other.high / other.low > 1.3 * same.high / same.low


def test_the_nearest_scale_weighs_most():
    """One at half the size counts half, one at a quarter a third."""
    found = at(24, built("far", 96), built("same", 24), built("half", 48))

    assert [one.build.name for one in found.based_on] == ["same", "half", "far"]
    assert [one.weight for one in found.based_on] == pytest.approx([6 / 11, 3 / 11, 2 / 11])
    assert [one.factor for one in found.based_on] == [1, 2, 4]


def test_a_build_of_the_same_basis_counts_double():
    """What was made from the same weighs twice, whatever else it was made from."""
    finished = built("kit", total=100, basis="Kit"), built("moulded", total=400, basis="Hull moulding, rest made here")
    found = at(24, *finished, basis="hull  moulding")

    assert [(one.build.name, one.same_basis) for one in found.based_on] == [("moulded", True), ("kit", False)]
    assert [one.weight for one in found.based_on] == pytest.approx([2 / 3, 1 / 3])
    assert found.total.middle == pytest.approx(100 ** (1 / 3) * 400 ** (2 / 3))
    assert at(24, *finished).total.middle == pytest.approx(200)


def test_builds_that_agree_make_a_narrower_range():
    """Six builds alike tell more than one; six that differ tell how much they differ."""
    alone = at(24, built()).total
    agreed = at(24, *(built(f"b{n}", total=200 + n) for n in range(6))).total
    apart = at(24, *(built(f"b{n}", total=100 * 2 ** (n % 3)) for n in range(6))).total

    assert agreed.high / agreed.low < alone.high / alone.low < apart.high / apart.low


def test_a_stage_that_only_some_builds_had_is_estimated_from_those():
    """A stage is listed when any build had it, and the stages add up to the whole."""
    finished = built("plain", assembly=100), built("weathered", assembly=100, weathering=50)
    found = at(24, *finished)

    assert list(found.stages) == ["assembly", "weathering"]
    assert sum(one.middle for one in found.stages.values()) == pytest.approx(found.total.middle)
    assert found.total.middle == pytest.approx(math.sqrt(100 * 150))


def test_the_same_builds_give_the_same_range():
    """Nothing but the builds and the question goes into it."""
    assert at(48, built(), built("Teal", 32)) == at(48, built(), built("Teal", 32))


def test_the_range_holds_most_of_what_comes():
    """For builds that differ from each other as the range takes them to, it holds 72 to 90 % of the next ones."""
    inside = []
    for number in range(200):
        dice = random.Random(f"commissions {number}")
        growth, common = dice.uniform(0.5, 1.5), math.exp(dice.gauss(5, 0.5))
        ratios = [dice.choice([16, 24, 32, 48]) for _ in range(dice.randint(3, 6))]
        hours = [common * (24 / ratio) ** growth * math.exp(dice.gauss(0, 0.33)) for ratio in ratios]
        finished = [built(str(n), ratio, total) for n, (ratio, total) in enumerate(zip(ratios, hours, strict=True))]
        found = at(ratios[-1], *finished[:-1]).total
        inside.append(found.low <= hours[-1] <= found.high)

    assert 0.72 <= sum(inside) / len(inside) <= 0.90
