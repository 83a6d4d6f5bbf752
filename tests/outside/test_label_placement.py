"""
Label placement against published results and against another implementation of the same optimum.

Bekos, Kaufmann, Symvonis, Wolff 2007 (Boundary labeling: models and efficient algorithms for rectangular maps, Comput.
Geom. 36, 215-236) define labels about a map's boundary whose leaders do not cross and have the least total length.
"""

import random
from itertools import combinations, permutations
from math import dist

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from buildlog.figures.callouts import Callout, Label, MarginLayout, Settled, Size, Sizes, lay_out
from buildlog.figures.callouts.matching import shortest_matching

PICTURE = Size(720, 480)
SIZES = Sizes()


def table(sites, ports):
    return np.array([[dist(site, port) for port in ports] for site in sites])


def cross(a, b, c, d):
    def turn(p, q, r):
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0


def random_sites(seed, count):
    source = random.Random(seed)
    sites = [(source.uniform(0, 100), source.uniform(0, 100)) for _ in range(count)]
    ports = [(source.choice([-20, 120]), source.uniform(0, 100)) for _ in range(count)]
    return sites, ports


@pytest.mark.parametrize("seed", range(20))
def test_matching_is_the_shortest_of_all(seed):
    """With 7 sites the matching is as short as the shortest of all 5,040, tried one by one."""
    sites, ports = random_sites(seed, 7)
    costs = table(sites, ports)

    found = shortest_matching(costs.tolist())

    shortest = min(sum(costs[row, column] for row, column in enumerate(order)) for order in permutations(range(7)))
    assert sorted(found) == list(range(7))
    assert sum(costs[row, column] for row, column in enumerate(found)) == pytest.approx(shortest)


@pytest.mark.parametrize("count", [0, 1, 2, 5, 12, 40])
def test_matching_agrees_with_scipy(count):
    """For up to 40 sites the matching costs what scipy's linear_sum_assignment finds."""
    sites, ports = random_sites(count, count)
    costs = table(sites, ports) if count else np.zeros((0, 0))

    found = shortest_matching(costs.tolist())

    rows, columns = linear_sum_assignment(costs)
    assert sum(costs[row, column] for row, column in enumerate(found)) == pytest.approx(costs[rows, columns].sum())


def test_shortest_straight_leaders_never_cross():
    """Of 300 seeded sets none has a crossing when straight leaders have the least total length (the paper's ground)."""
    crossings = 0
    for seed in range(300):
        sites, ports = random_sites(seed, 12)
        matching = shortest_matching(table(sites, ports).tolist())
        leaders = [(site, ports[port]) for site, port in zip(sites, matching, strict=True)]
        crossings += sum(cross(*one, *other) for one, other in combinations(leaders, 2))

    assert crossings == 0


def test_worked_example():
    """Sites (0, 0) and (0, 10) with ports (10, 10) and (10, 0): 20.0 in all, not 28.284 (arithmetic)."""
    costs = table([(0, 0), (0, 10)], [(10, 10), (10, 0)])

    found = shortest_matching(costs.tolist())

    assert found == [1, 0]
    assert sum(costs[row, column] for row, column in enumerate(found)) == 20.0


def test_lengths_along_the_axes_cannot_tell_a_crossing():
    """
    Measured along the axes both matchings of sites (2, 0), (6, 3) with ports (10, 5), (10, 8) are 22 long (arithmetic),
    so a layout by such lengths would need a separate step against crossings; ours measures straight leaders.
    """
    sites, ports = [(2, 0), (6, 3)], [(10, 5), (10, 8)]
    along = [[abs(x - u) + abs(y - v) for u, v in ports] for x, y in sites]

    assert along[0][0] + along[1][1] == along[0][1] + along[1][0] == 22
    straight = table(sites, ports)
    assert straight[0, 0] + straight[1, 1] != pytest.approx(straight[0, 1] + straight[1, 0])


def passes_over(leader, spot):
    (ax, ay), (bx, by) = leader
    along = ((spot[0] - ax) * (bx - ax) + (spot[1] - ay) * (by - ay)) / dist(*leader) ** 2
    along = min(1, max(0, along))
    return dist(spot, (ax + along * (bx - ax), ay + along * (by - ay))) < SIZES.clearance


def optimum(settled: Settled):
    """The shortest straight leaders between the same ports and points, and the port each callout then takes."""
    placed = settled.callouts
    costs = table([each.marker for each in placed], [each.port for each in placed])
    rows, columns = linear_sum_assignment(costs)
    return costs[rows, columns].sum(), list(columns)


def optimum_is_possible(settled: Settled, columns) -> bool:
    """Whether the shortest straight leaders keep clear of all points and their labels fit where ours do."""
    placed = settled.callouts
    for index, column in enumerate(columns):
        leader = placed[column].port, placed[index].marker
        if any(passes_over(leader, other.marker) for other in placed if other is not placed[index]):
            return False
    for side in ("left", "right"):
        labels = [placed[index].label.height for index, column in enumerate(columns) if placed[column].side == side]
        if sum(labels) + SIZES.gap * max(0, len(labels) - 1) > settled.height:
            return False
    return True


@pytest.mark.parametrize(
    ("tallest", "margins"),
    [
        pytest.param(30, 2, id="labels of one height"),
        pytest.param(110, 2, id="labels of 30 to 110 px"),
        pytest.param(110, 1, id="labels of 30 to 110 px in one margin"),
    ],
)
def test_leaders_are_nearly_as_short_as_can_be(tallest, margins):
    """
    On 1,000 seeded sets of up to 12 callouts, leaders are together at most 5 % longer than scipy's optimum for the same
    ports, wherever that optimum's straight leaders keep off all points and its labels fit.
    """
    ratios, impossible, longer = [], 0, 0
    for seed in range(1000):
        source = random.Random(seed)
        callouts = [
            Callout((source.random(), source.random()), Label(source.uniform(30, tallest), 20))
            for _ in range(source.randint(1, 12))
        ]
        layout = lay_out(PICTURE, callouts, SIZES, margins)
        assert isinstance(layout, MarginLayout)
        least, columns = optimum(layout.settled)
        possible = optimum_is_possible(layout.settled, columns)
        ratio = layout.settled.length / least
        if possible and all(each.kind == "straight" for each in layout.settled.callouts):
            ratios.append(ratio)
        elif not possible:
            impossible += 1
            longer += ratio > 1.05

    assert max(ratios) <= 1.05
    assert np.mean(ratios) <= 1.005
    assert len(ratios) >= 700
    assert longer <= 30
