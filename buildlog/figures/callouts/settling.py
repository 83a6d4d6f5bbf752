"""
The last step of a plate's layout: with margins and order chosen, how high each label stands, and its leader.

`settle.js` is the twin of this module: it does the same sums in the same order in the browser, with the heights the
labels turned out to have, so keep the two alike (a test runs both over the same plates).

Why the laws hold. Take the end of leader i and a ring about the end of leader j that lies nearer to i's margin. Seen
from i's end the ring throws a shadow on the line of ports; i's leader keeps clear of the ring exactly when its port is
not in the shadow. Two leaders to one margin do not cross exactly when the one whose port is higher also passes above
the nearer end of the two. So with the order given, every nearer end below in that order sets a lowest height for i's
port (the shadow's upper edge) and every nearer end above sets a highest one: each port has one stretch of the margin
to stand in, and any heights inside these stretches, in order and a label apart, keep all laws. The heights of least
movement (least squares) from level with the ends are then a bounded isotonic regression, which pooling neighbours that
violate the order solves in one pass (Ayer, Brunk, Ewing, Reid, Silverman 1955, Ann. Math. Statist. 26, 641-647).
Leaders to opposite margins that reach past each other obey the same rule, without an order of ports.

Where the stretches contradict each other a leader is set free of its own and elbowed, where no elbow is clear a number
stands in its place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt

from buildlog.figures.callouts.marking import aims, markers
from buildlog.figures.callouts.plate import Callout, Kind, Placed, Settled, Side, Size, Sizes, Spot
from buildlog.figures.callouts.routing import bend

_SLACK = 1e-9


def settle(
    picture: Size, callouts: Sequence[Callout], left: Sequence[int], right: Sequence[int], sizes: Sizes
) -> Settled:
    """
    Lay out a plate whose margins and orders are chosen.

    Args:
        picture: As displayed, in CSS px.
        left: Indexes of the callouts whose labels stand in the left margin, from the top.
        right: Those in the right margin. Both together name each callout once.

    Raises:
        ValueError: A callout is missing from both margins or named twice.
    """
    bench = Bench(picture, callouts, sizes)
    numbered: frozenset[int] = frozenset()
    while True:
        laid = bench.lay(left, right, numbered)
        leaders, stuck = _leaders(bench, laid, numbered)
        if stuck is None:
            return _settled(bench, laid, leaders)
        numbered |= {stuck}


@dataclass(frozen=True)
class Laid:
    """Labels at their heights, before leaders are drawn. Heights are px down from the picture's top."""

    left: Sequence[int]
    right: Sequence[int]
    sides: tuple[Side, ...]
    wanted: Sequence[Spot]
    ends: Sequence[Spot]
    ports: Sequence[Spot]
    freed: frozenset[int]
    """Callouts whose straight leader would break a law."""
    height: float
    """Of the plate."""
    picture_top: float

    @property
    def length(self) -> float:
        """Length of all leaders, were they straight."""
        return sum(
            sqrt((end[0] - port[0]) ** 2 + (end[1] - port[1]) ** 2)
            for end, port in zip(self.ends, self.ports, strict=True)
        )


class Bench:
    """One plate's callouts, to be laid out in one order after another."""

    def __init__(self, picture: Size, callouts: Sequence[Callout], sizes: Sizes) -> None:
        self.picture = picture
        self.callouts = callouts
        self.sizes = sizes
        self._ends: dict[tuple[Side, ...], tuple[list[Spot], list[Spot]]] = {}
        self._shadows: dict[tuple[tuple[Side, ...], frozenset[int]], list[list[Shadow]]] = {}

    def port_x(self, side: Side) -> float:
        """Where a margin's ports stand, across from the picture's left edge."""
        out = self.sizes.between - self.sizes.stub
        return -out if side == "left" else self.picture.width + out

    def need(self, order: Sequence[int]) -> float:
        """The height a margin's labels take together."""
        heights = sum(self.callouts[index].label.height for index in order)
        return heights + self.sizes.gap * (len(order) - 1) if order else 0.0

    def ends(self, sides: tuple[Side, ...]) -> tuple[list[Spot], list[Spot]]:
        """The aims, and where leaders end."""
        if sides not in self._ends:
            wanted = aims(self.callouts, sides, self.picture)
            self._ends[sides] = wanted, markers(self.callouts, wanted, self.picture, self.sizes.finger)
        return self._ends[sides]

    def lay(self, left: Sequence[int], right: Sequence[int], numbered: frozenset[int] = frozenset()) -> Laid:
        """Find the heights; a leader that cannot be straight is set free."""
        if sorted((*left, *right)) != list(range(len(self.callouts))):
            raise ValueError("each callout must be named once, in one of the two margins")
        side_of: list[Side] = ["left"] * len(self.callouts)
        for index in right:
            side_of[index] = "right"
        sides = tuple(side_of)
        wanted, ends = self.ends(sides)
        figure = self.sizes.head + self.picture.height + self.sizes.foot
        height = max(figure, self.need(left), self.need(right))
        picture_top = (height - figure) / 2 + self.sizes.head
        ranges = []
        for order in (left, right):
            need = self.need(order)
            if need <= self.picture.height + _SLACK:
                ranges.append((0.0, max(0.0, self.picture.height - need)))
            else:
                ranges.append((-picture_top, max(-picture_top, height - picture_top - need)))
        offsets = self._offsets(left, right)

        ports = [0.0] * len(self.callouts)
        if (
            left and right
        ):  # which of two leaders to opposite margins is the upper one shows where nothing is in the way
            everywhere = [(-inf, inf)] * len(self.callouts)
            for order, (first, last) in zip((left, right), ranges, strict=True):
                self._stack(order, ends, offsets, everywhere, first, last, ports)
        stretches = self._stretches(sides, left, right, ends, ports, numbered)
        freed: set[int] = set(numbered)
        for order, (first, last) in zip((left, right), ranges, strict=True):
            _free(order, offsets, stretches, first, last, freed)
            self._stack(order, ends, offsets, stretches, first, last, ports)
        x = {"left": self.port_x("left"), "right": self.port_x("right")}
        return Laid(
            left=left,
            right=right,
            sides=sides,
            wanted=wanted,
            ends=ends,
            ports=[Spot(x[side], port) for side, port in zip(sides, ports, strict=True)],
            freed=frozenset(freed),
            height=height,
            picture_top=picture_top,
        )

    def _offsets(self, left: Sequence[int], right: Sequence[int]) -> list[float]:
        """How far each port would lie below the top of its margin's labels, were they stacked at the least gap."""
        offsets = [0.0] * len(self.callouts)
        for order in (left, right):
            run = 0.0
            for index in order:
                label = self.callouts[index].label
                offsets[index] = run + label.port
                run += label.height + self.sizes.gap
        return offsets

    def _stack(
        self,
        order: Sequence[int],
        ends: Sequence[Spot],
        offsets: Sequence[float],
        stretches: Sequence[tuple[float, float]],
        first: float,
        last: float,
        ports: list[float],
    ) -> None:
        wishes = [ends[index][1] - offsets[index] for index in order]
        least = [max(first, stretches[index][0] - offsets[index]) for index in order]
        most = [min(last, stretches[index][1] - offsets[index]) for index in order]
        for index, value in zip(order, in_order(wishes, least, most), strict=True):
            ports[index] = value + offsets[index]

    def _stretches(
        self,
        sides: tuple[Side, ...],
        left: Sequence[int],
        right: Sequence[int],
        ends: Sequence[Spot],
        ports: Sequence[float],
        numbered: frozenset[int],
    ) -> list[tuple[float, float]]:
        """The stretch of its margin each port may stand in: from, to."""
        key = sides, numbered
        if key not in self._shadows:
            self._shadows[key] = self._all_shadows(sides, ends, numbered)
        shadows = self._shadows[key]
        rank = [0] * len(ends)
        for order in (left, right):
            for place, index in enumerate(order):
                rank[index] = place
        stretches = []
        for i, row in enumerate(shadows):
            least, most = -inf, inf
            if i not in numbered:
                for j, (upper, lower, is_nearer) in enumerate(row):
                    if not is_nearer:
                        least, most = max(least, lower), min(most, upper)
                        continue
                    if sides[i] == sides[j]:
                        is_above = rank[i] < rank[j]
                    else:
                        is_above = self._passes_above(i, j, sides, ends, ports)
                    if is_above:
                        most = min(most, upper)
                    else:
                        least = max(least, lower)
            stretches.append((least, most))
        return stretches

    def _passes_above(
        self, i: int, j: int, sides: Sequence[Side], ends: Sequence[Spot], ports: Sequence[float]
    ) -> bool:
        """Which of two leaders to opposite margins that reach past each other is to be the upper one."""
        if i > j:
            return not self._passes_above(j, i, sides, ends, ports)
        (xi, yi), (xj, yj) = ends[i], ends[j]
        i_at_j = yi + (ports[i] - yi) * (xj - xi) / (self.port_x(sides[i]) - xi)
        j_at_i = yj + (ports[j] - yj) * (xi - xj) / (self.port_x(sides[j]) - xj)
        return i_at_j - yj + yi - j_at_i <= 0

    def _all_shadows(self, sides: Sequence[Side], ends: Sequence[Spot], numbered: frozenset[int]) -> list[list[Shadow]]:
        ports = {"left": self.port_x("left"), "right": self.port_x("right")}
        radii = [self.sizes.badge if index in numbered else self.sizes.clearance for index in range(len(ends))]
        return [
            [_NO_SHADOW if i == j else shadow(end, ends[j], radii[j], ports[sides[i]]) for j in range(len(ends))]
            for i, end in enumerate(ends)
        ]


Shadow = tuple[float, float, bool]
"""Where a ring's shadow begins and ends on the line of ports, and whether the ring lies no farther from that line than
the end it is seen from. For a ring farther off that only reaches over: the port must stand above the first, or below
the second."""
_NO_SHADOW: Shadow = (inf, -inf, False)


def shadow(end: Spot, ring: Spot, radius: float, port_x: float) -> Shadow:
    """The ports from which a straight leader to `end` would pass within `radius` of `ring`."""
    reach = abs(port_x - end[0])
    dx = ring[0] - end[0] if port_x > end[0] else end[0] - ring[0]
    dy = ring[1] - end[1]
    square = dx * dx + dy * dy - radius * radius
    if square <= 0:
        return -inf, inf, dx >= 0
    root = sqrt(square)
    up, down = dx * root + dy * radius, dx * root - dy * radius
    if dx >= 0:
        upper = end[1] + reach * (dy * root - dx * radius) / up if up > 0 else -inf
        lower = end[1] + reach * (dy * root + dx * radius) / down if down > 0 else inf
        return upper, lower, True
    if dy > 0 and up > 0:
        return end[1] + reach * (dy * root - dx * radius) / up, -inf, False
    if dy < 0 and down > 0:
        return inf, end[1] + reach * (dy * root + dx * radius) / down, False
    return _NO_SHADOW


def in_order(wishes: Sequence[float], least: Sequence[float], most: Sequence[float]) -> list[float]:
    """
    The values nearest to the wishes (least squares) that never fall and each lie from `least` to `most`.

    Where the bounds leave no room, `least` prevails.
    """
    lows, highs = list(least), list(most)
    for k in range(1, len(lows)):
        lows[k] = max(lows[k], lows[k - 1])
    for k in range(len(highs) - 2, -1, -1):
        highs[k] = min(highs[k], highs[k + 1])
    blocks: list[tuple[float, int, float, float, float]] = []
    for wish, low, high in zip(wishes, lows, highs, strict=True):
        total, count, value = wish, 1, max(low, min(wish, high))
        while blocks and blocks[-1][4] > value:
            total_above, count_above, low_above, high_above, _ = blocks.pop()
            total, count = total + total_above, count + count_above
            low, high = max(low, low_above), min(high, high_above)
            value = max(low, min(total / count, high))
        blocks.append((total, count, low, high, value))
    return [value for _, count, _, _, value in blocks for _ in range(count)]


def _free(
    order: Sequence[int],
    offsets: Sequence[float],
    stretches: list[tuple[float, float]],
    first: float,
    last: float,
    freed: set[int],
) -> None:
    """Set callouts free of their stretches until the rest can stand in order: of two at odds, what helps most."""
    clash, count = _clash(order, offsets, stretches, first, last)
    while count:
        best, fewest, following = -1, len(order) + 1, clash
        for index in clash:
            kept = stretches[index]
            stretches[index] = (-inf, inf)
            after, left_over = _clash(order, offsets, stretches, first, last)
            stretches[index] = kept
            if left_over < fewest:
                best, fewest, following = index, left_over, after
        stretches[best] = (-inf, inf)
        freed.add(best)
        clash, count = following, fewest


def _clash(
    order: Sequence[int],
    offsets: Sequence[float],
    stretches: Sequence[tuple[float, float]],
    first: float,
    last: float,
) -> tuple[list[int], int]:
    """
    How many callouts are to stand both below one height and above another.

    Returns:
        The callouts whose stretches set the first of these pairs of heights (the later told first), and the count.
    """
    lows = []
    low, by = first, -1
    for index in order:
        bound = stretches[index][0] - offsets[index]
        if bound > low:
            low, by = bound, index
        lows.append((low, by))
    clash: list[int] = []
    count = 0
    high, by = last, -1
    for index, (low, low_by) in zip(reversed(order), reversed(lows), strict=True):
        bound = stretches[index][1] - offsets[index]
        if bound < high:
            high, by = bound, index
        if low > high + _SLACK:
            count += 1
            clash = [each for each in (max(low_by, by), min(low_by, by)) if each >= 0]
    return (clash[:1] if len(clash) == 2 and clash[0] == clash[1] else clash), count


def _leaders(bench: Bench, laid: Laid, numbered: frozenset[int]) -> tuple[list[tuple[Spot, ...]], int | None]:
    """Every leader, and the first callout that can have none but was to have one."""
    leaders: list[tuple[Spot, ...]] = [
        () if index in laid.freed else (port, end)
        for index, (port, end) in enumerate(zip(laid.ports, laid.ends, strict=True))
    ]
    top, bottom = -laid.picture_top, laid.height - laid.picture_top
    for index in sorted(laid.freed - numbered):
        rings = [
            (end, bench.sizes.badge if other in numbered else bench.sizes.clearance)
            for other, end in enumerate(laid.ends)
            if other != index
        ]
        others = [leader for leader in leaders if leader]
        route = bend(laid.ports[index], laid.ends[index], rings, others, bench.sizes.apart, top, bottom)
        if route is None:
            return leaders, index
        leaders[index] = route
    return leaders, None


def _settled(bench: Bench, laid: Laid, leaders: Sequence[tuple[Spot, ...]]) -> Settled:
    down = laid.picture_top
    placed = []
    for index, callout in enumerate(bench.callouts):
        side = laid.sides[index]
        order = laid.left if side == "left" else laid.right
        leader = tuple(Spot(x, y + down) for x, y in leaders[index])
        kind: Kind = "number" if not leader else "straight" if len(leader) == 2 else "elbow"
        marker, aim, port = laid.ends[index], laid.wanted[index], laid.ports[index]
        placed.append(
            Placed(
                side=side,
                rank=list(order).index(index),
                top=port.y + down - callout.label.port,
                label=callout.label,
                marker=Spot(marker.x, marker.y + down),
                aim=Spot(aim.x, aim.y + down),
                port=Spot(port.x, port.y + down),
                kind=kind,
                leader=leader,
            )
        )
    return Settled(height=laid.height, picture_top=laid.picture_top, callouts=tuple(placed))
