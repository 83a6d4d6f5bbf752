"""Distances and crossings of straight lines on a plate."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import sqrt

from buildlog.figures.callouts.plate import Spot


def distance(a: Spot, b: Spot) -> float:
    """Between two spots, written so that a browser works out the same last digit."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    return sqrt(dx * dx + dy * dy)


def distance_to_line(spot: Spot, a: Spot, b: Spot) -> float:
    """From a spot to the nearest place on the line from `a` to `b`."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    along = ((spot[0] - a[0]) * dx + (spot[1] - a[1]) * dy) / square if square else 0.0
    along = 0.0 if along < 0 else 1.0 if along > 1 else along
    x, y = spot[0] - a[0] - along * dx, spot[1] - a[1] - along * dy
    return sqrt(x * x + y * y)


def lines_meet(a: Spot, b: Spot, c: Spot, d: Spot) -> bool:
    """Whether the lines from `a` to `b` and from `c` to `d` cross in their open parts."""

    def turn(p: Spot, q: Spot, r: Spot) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0


def lines_apart(a: Sequence[Spot], b: Sequence[Spot]) -> float:
    """The least distance between two lines of one or more straight parts; 0 where they cross."""
    least = float("inf")
    for p, q in pairwise(a):
        for r, s in pairwise(b):
            if lines_meet(p, q, r, s):
                return 0.0
            least = min(
                least,
                distance_to_line(p, r, s),
                distance_to_line(q, r, s),
                distance_to_line(r, p, q),
                distance_to_line(s, p, q),
            )
    return least
