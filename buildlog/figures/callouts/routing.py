"""Leaders with one bend, for those that cannot be straight."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from buildlog.figures.callouts.plate import Spot
from buildlog.figures.callouts.spots import distance, distance_to_line, lines_apart

_STEPS = 8


def bend(
    port: Spot,
    end: Spot,
    rings: Sequence[tuple[Spot, float]],
    others: Sequence[Sequence[Spot]],
    apart: float,
    top: float,
    bottom: float,
) -> tuple[Spot, ...] | None:
    """
    A leader from port to end that keeps clear of everything, with as little detour as may be.

    Leaders that run level first or last, as a draughtsman's do, are tried before those that bend anywhere.

    Args:
        rings: The ends of other leaders, each with the distance to keep from it.
        others: Other leaders.
        apart: The distance to keep from them.
        top: The plate's top edge, which the bend may not pass.
        bottom: Its bottom edge.

    Returns:
        Port, bend, end; `None` where nothing is clear. Without a bend where the straight leader is clear after all.
    """
    if _is_clear((port, end), rings, others, apart):
        return port, end
    across, down = end[0] - port[0], end[1] - port[1]
    level = []
    for step in range(1, _STEPS):
        x = port[0] + across * step / _STEPS
        level += [Spot(x, port[1]), Spot(x, end[1])]
    free = []
    for step in range(1, _STEPS + 1):
        x = port[0] + across * step / _STEPS
        y = port[1] + down * step / _STEPS
        free += [Spot(x, y + rise * (bottom - top) / (2 * _STEPS)) for rise in range(-_STEPS, _STEPS + 1)]
    for spot, radius in rings:
        free += [Spot(spot[0], spot[1] - 1.5 * radius), Spot(spot[0], spot[1] + 1.5 * radius)]
    low, high = min(port[0], end[0]), max(port[0], end[0])
    for bends in (level, free):
        inside = [spot for spot in bends if top <= spot[1] <= bottom and low <= spot[0] <= high and spot != port]
        for spot in sorted(inside, key=lambda spot: distance(port, spot) + distance(spot, end)):
            route = (port, spot, end)
            if _is_clear(route, rings, others, apart):
                return route
    return None


def _is_clear(
    route: Sequence[Spot], rings: Sequence[tuple[Spot, float]], others: Sequence[Sequence[Spot]], apart: float
) -> bool:
    for a, b in pairwise(route):
        for spot, radius in rings:
            if distance_to_line(spot, a, b) < radius:
                return False
    return all(lines_apart(route, other) >= apart for other in others)
