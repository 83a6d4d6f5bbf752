"""
Hours for a new commission, from finished ones of the same kind.

The rule is plain. A finished build counts with the hours it really took, stage by stage, brought to the new scale in
proportion to the model's length: at twice the size twice the hours. A build at the same scale counts in full, one at
twice or half the size for half, one at four times or a quarter of it for a third; one made from the same basis counts
double. The middle figure is the geometric mean of what they give. The range is that of a logarithm of unknown spread:
what the builds show, together with what single builds commonly stray by.

What is weak in it: scale alone does not say how large the model is, since a launch and a liner at 1:48 are not the same
work; the rule holds for subjects of about the same size. And hours need not grow with the length: the number of parts
stays, surfaces grow with its square. So the range also holds what comes of hours that grow with the root of the length,
and with its power of one and a half.
"""

from __future__ import annotations

import hashlib
import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

CHANCE = Fraction(4, 5)
"""How likely the hours lie in the range."""
RESAMPLES = 4000
_POWERS = (0.5, 1.0, 1.5)
"""How hours may grow with the model's length; the middle one is the rule."""
_SAME_BASIS = 2.0
"""How many times a build of the same basis counts."""
_STRAY = 0.3
"""Standard deviation of the logarithm of hours between builds that are alike: common practice, no source."""
_STRAY_COUNTS = 2.0
"""For how many builds that counts."""


@dataclass(frozen=True)
class FinishedBuild:
    """A finished commission whose hours were kept."""

    name: str
    ratio: Fraction
    """Of its scale: 24 for 1:24."""
    hours: Mapping[str, Fraction]
    """What each stage took; above zero."""
    basis: str = ""
    """What it was made from; empty where that was not said."""

    @property
    def total(self) -> Fraction:
        """All its hours."""
        return sum(self.hours.values(), Fraction(0))


@dataclass(frozen=True)
class HoursRange:
    """Hours, and how sure they are."""

    low: float
    middle: float
    """As likely to be more as less."""
    high: float


@dataclass(frozen=True)
class Basis:
    """A finished build that an estimate is taken from."""

    build: FinishedBuild
    factor: float
    """What its hours were multiplied by, to bring them to the new scale."""
    weight: float
    """Its share in the estimate, 0 to 1."""
    same_basis: bool
    """Whether it counts double, being made from the same basis."""


@dataclass(frozen=True)
class Estimate:
    """Hours for a new commission."""

    total: HoursRange
    stages: Mapping[str, HoursRange]
    """By stage, in the order asked for; the middle figures add up to the total's."""
    based_on: tuple[Basis, ...]
    """What weighs most comes first."""
    chance: Fraction
    """How likely the hours lie in the range."""


def estimate(
    finished: Sequence[FinishedBuild], ratio: Fraction, stages: Sequence[str], *, basis: str = ""
) -> Estimate | None:
    """
    Estimate the hours of a new commission.

    Args:
        finished: Builds of the same kind.
        ratio: Of the new model's scale: 24 for 1:24.
        stages: In the order they should be listed; those that no build has hours for are left out.
        basis: What it is to be made from, in words; left out, it does not count.

    Returns:
        The hours; `None` where there is no finished build to go by.
    """
    finished = [build for build in finished if build.total]
    if not finished:
        return None
    weighed = [_weigh(build, ratio, basis) for build in finished]
    weights = sum(one.weight for one in weighed)
    based_on = [Basis(one.build, one.factor, one.weight / weights, one.same_basis) for one in weighed]
    dice = random.Random(_seed(finished, ratio, basis))  # noqa: S311 - the same each time
    total = _range([float(one.build.total) for one in based_on], based_on, dice)
    by_stage = {}
    for stage in stages:
        having = [one for one in based_on if one.build.hours.get(stage)]
        if having:
            by_stage[stage] = _range([float(one.build.hours[stage]) for one in having], having, dice)
    whole = sum(one.middle for one in by_stage.values()) / total.middle
    stretched = {
        stage: HoursRange(one.low / whole, one.middle / whole, one.high / whole) for stage, one in by_stage.items()
    }
    return Estimate(total, stretched, tuple(sorted(based_on, key=lambda one: -one.weight)), CHANCE)


def _weigh(build: FinishedBuild, ratio: Fraction, basis: str) -> Basis:
    larger = float(build.ratio / ratio)
    same_basis = bool(basis) and _words(basis) <= _words(build.basis)
    weight = 1 / (1 + abs(math.log2(larger))) * (_SAME_BASIS if same_basis else 1.0)
    return Basis(build, larger, weight, same_basis)


def _words(text: str) -> set[str]:
    return {word.strip(",.;:") for word in text.casefold().split()}


def _range(hours: Sequence[float], based_on: Sequence[Basis], dice: random.Random) -> HoursRange:
    """The middle of what each build gives at the new scale, and the range of one more build."""
    weights = [one.weight / sum(other.weight for other in based_on) for one in based_on]
    logs = [math.log(one) for one in hours]
    larger = [math.log(one.factor) for one in based_on]

    means = [
        sum(w * (log + power * more) for w, log, more in zip(weights, logs, larger, strict=True)) for power in _POWERS
    ]
    middle = means[1]
    builds = 1 / sum(weight**2 for weight in weights)
    apart = sum(w * (log + more - middle) ** 2 for w, log, more in zip(weights, logs, larger, strict=True))
    known = _STRAY_COUNTS + builds - 1
    spread = math.sqrt((_STRAY_COUNTS * _STRAY**2 + builds * apart) / known * (1 + 1 / builds))
    drawn = sorted(
        dice.choice(means) + spread * dice.gauss(0, 1) / math.sqrt(dice.gammavariate(known / 2, 2) / known)
        for _ in range(RESAMPLES)
    )
    outside = (1 - CHANCE) / 2
    low, high = drawn[int(outside * RESAMPLES)], drawn[int((1 - outside) * RESAMPLES)]
    return HoursRange(math.exp(min(low, middle)), math.exp(middle), math.exp(max(high, middle)))


def _seed(*content: object) -> int:
    """A number that is the same for the same records, on any machine."""
    return int.from_bytes(hashlib.sha256(repr(content).encode()).digest()[:8], "big")
