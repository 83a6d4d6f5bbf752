"""Whether a plate keeps the laws, looked up afresh from its geometry."""

from __future__ import annotations

from itertools import combinations, pairwise, permutations

from buildlog.figures.callouts.plate import Settled, Sizes
from buildlog.figures.callouts.spots import distance_to_line, lines_apart

_SLACK = 1e-6


def faults(settled: Settled, sizes: Sizes) -> list[str]:
    """Every law a plate breaks, in words that name callouts by number, counting from 1; empty where all hold."""
    found = []
    callouts = list(enumerate(settled.callouts, start=1))
    for number, one in callouts:
        if one.top < -_SLACK or one.top + one.label.height > settled.height + _SLACK:
            found.append(f"label {number} is off the plate")
    for (a, one), (b, other) in combinations(callouts, 2):
        upper, lower = sorted((one, other), key=lambda each: each.top)
        if one.side == other.side and upper.top + upper.label.height + sizes.gap > lower.top + _SLACK:
            found.append(f"labels {a} and {b} are too near each other")
        if lines_apart(one.leader, other.leader) <= _SLACK:
            found.append(f"leaders {a} and {b} cross")
    for (a, one), (b, other) in permutations(callouts, 2):
        keep = sizes.clearance if other.leader else sizes.badge
        if any(distance_to_line(other.marker, *part) < keep - _SLACK for part in pairwise(one.leader)):
            found.append(f"leader {a} passes over the end of {b}")
    return found
