"""
Which margin each callout's words stand in, and in what order.

Straight leaders of least total length to given ports cannot cross: were two to cross, exchanging their ports would
shorten both (Bekos, Kaufmann, Symvonis, Wolff 2007, Boundary labeling: models and efficient algorithms for rectangular
maps, Comput. Geom. 36, 215-236). Labels of unequal height move the ports whenever their order changes, so matching
callouts to ports and standing labels beside their points take turns until neither changes anything. What the matching
does not know, that a leader keeps clear of the ends of others, `settling` sees to; where it would have to elbow
one, its label is tried at other places in the margins first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Any, Literal

from buildlog.figures.callouts.marking import aims, markers
from buildlog.figures.callouts.matching import shortest_matching
from buildlog.figures.callouts.plate import Callout, Settled, Side, Size, Sizes, Spot
from buildlog.figures.callouts.settling import Bench, Laid, in_order, settle

Orders = tuple[tuple[int, ...], tuple[int, ...]]
"""Indexes of the callouts in the left margin and in the right, each from the top."""

_SLACK = 1e-9
_TURNS = 8
_TRIED_SPLITS = 2
_TRIED_EXCHANGES = 3
_GROWTH_WEIGHT = 3.0
"""How many px of leader a plate may spend to stay one px less tall, where it must outgrow its picture anyway."""


@dataclass(frozen=True)
class MarginLayout:
    """Words in the margins, leaders to their points."""

    settled: Settled
    mode: Literal["margins"] = "margins"

    @property
    def standing(self) -> dict[str, Any]:
        """
        What the browser needs to settle the plate with labels as tall as they turned out.

        Each margin's callouts from the top, by index. The height each label would rather stand at needs no saying: its
        leader level with the end at its point.
        """
        orders: dict[Side, list[tuple[int, int]]] = {"left": [], "right": []}
        for index, placed in enumerate(self.settled.callouts):
            orders[placed.side].append((placed.rank, index))
        return {side: [index for _, index in sorted(order)] for side, order in orders.items()}


@dataclass(frozen=True)
class ListLayout:
    """Numbered points, and the words as a list in two columns under the picture."""

    markers: tuple[Spot, ...]
    """Where each number stands, down from the picture's top."""
    aims: tuple[Spot, ...]
    """Where each belongs."""
    columns: tuple[tuple[int, ...], tuple[int, ...]]
    """Indexes of the callouts, in the order given, in columns as equal in height as that order lets them be."""
    mode: Literal["list"] = "list"


def lay_out(
    picture: Size, callouts: Sequence[Callout], sizes: Sizes | None = None, margins: Literal[1, 2] = 2
) -> MarginLayout | ListLayout:
    """
    Lay out a plate.

    Args:
        picture: As displayed, in CSS px.
        callouts: In the order they are told, which breaks every tie.
        margins: With 1, all words stand to the right.

    Raises:
        ValueError: The picture has no width or height, or a place lies outside it.
    """
    sizes = sizes or Sizes()
    if picture.width <= 0 or picture.height <= 0:
        raise ValueError(f"a picture of {picture.width:g} by {picture.height:g} px has no room for callouts")
    for number, callout in enumerate(callouts, start=1):
        if not all(0 <= share <= 1 for share in callout.at):
            raise ValueError(f"callout {number} points at {callout.at}, outside its picture; use shares from 0 to 1")
    if len(callouts) > sizes.most:
        return _list(picture, callouts, sizes)
    bench = Bench(picture, callouts, sizes)
    laid = _best_split(bench) if margins == 2 else _matched(bench, _one_margin(bench))
    if laid.freed:
        repaired = _repair(bench, laid, margins)
        again = _matched(bench, (tuple(repaired.left), tuple(repaired.right)))
        laid = min((repaired, again), key=lambda each: _rating(bench, each))
    return MarginLayout(settle(picture, callouts, laid.left, laid.right, sizes))


def _list(picture: Size, callouts: Sequence[Callout], sizes: Sizes) -> ListLayout:
    sides: list[Side] = ["left"] * len(callouts)
    wanted = aims(callouts, sides, picture)
    heights = [callout.label.height + sizes.gap for callout in callouts]
    first = min(range(len(callouts) + 1), key=lambda count: (max(sum(heights[:count]), sum(heights[count:])), -count))
    return ListLayout(
        markers=tuple(markers(callouts, wanted, picture, max(sizes.finger, 2 * sizes.badge))),
        aims=tuple(wanted),
        columns=(tuple(range(first)), tuple(range(first, len(callouts)))),
    )


def _one_margin(bench: Bench) -> Orders:
    return (), tuple(sorted(range(len(bench.callouts)), key=lambda index: bench.callouts[index].at[1]))


def _overflow(bench: Bench, orders: Orders) -> float:
    """How far the labels of the fuller margin reach past the picture."""
    over = max(bench.need(orders[0]), bench.need(orders[1])) - bench.picture.height
    return over if over > _SLACK else 0.0


def _weight(bench: Bench, orders: Orders, length: float) -> tuple[bool, float]:
    """What makes one choice of margins better than another: that labels fit, then short leaders."""
    overflow = _overflow(bench, orders)
    return overflow > 0, length + _GROWTH_WEIGHT * overflow


def _best_split(bench: Bench) -> Laid:
    """Part the callouts between the margins; the few best ways are matched in full and compared."""
    ways = sorted(_splits(bench), key=lambda orders: _weight(bench, orders, _length_at_first(bench, orders)))
    laid = [_matched(bench, orders) for orders in ways[:_TRIED_SPLITS]]
    return min(laid, key=lambda each: _rating(bench, each))


def _rating(bench: Bench, laid: Laid) -> tuple[bool, int, float]:
    overflows, weight = _weight(bench, (tuple(laid.left), tuple(laid.right)), laid.length)
    return overflows, len(laid.freed), weight


def _splits(bench: Bench) -> Iterator[Orders]:
    """Every upright line that parts the points; and where no such line lets labels fit, what does, if anything."""
    count = len(bench.callouts)
    across = sorted(range(count), key=lambda index: (bench.callouts[index].at[0], index))
    fits = False
    for cut in range(count + 1):
        orders = _by_height(bench, across[:cut]), _by_height(bench, across[cut:])
        fits = fits or not _overflow(bench, orders)
        yield orders
    if not fits:
        left = _fitting(bench)
        if left is not None:
            yield _by_height(bench, sorted(left)), _by_height(bench, sorted(set(across) - left))


def _by_height(bench: Bench, chosen: Sequence[int]) -> tuple[int, ...]:
    return tuple(sorted(chosen, key=lambda index: (bench.callouts[index].at[1], index)))


def _fitting(bench: Bench) -> set[int] | None:
    """Of all ways to part the callouts so that both margins' labels fit beside the picture, the least far across."""
    room = bench.picture.height + bench.sizes.gap
    heights = [callout.label.height + bench.sizes.gap for callout in bench.callouts]
    total = sum(heights)
    ways: list[tuple[float, float, int]] = [(0.0, 0.0, 0)]
    for index, height in enumerate(heights):
        x = bench.callouts[index].at[0]
        ways = [(cost + 1 - x, used, chosen) for cost, used, chosen in ways] + [
            (cost + x, used + height, chosen | 1 << index) for cost, used, chosen in ways if used + height <= room
        ]
    fitting = [(cost, chosen) for cost, used, chosen in ways if total - used <= room]
    if not fitting:
        return None
    _, chosen = min(fitting)
    return {index for index in range(len(heights)) if chosen >> index & 1}


def _length_at_first(bench: Bench, orders: Orders) -> float:
    """Length of the leaders with labels stacked by the height of their points."""
    sides: list[Side] = ["left"] * len(bench.callouts)
    for index in orders[1]:
        sides[index] = "right"
    ends = aims(bench.callouts, sides, bench.picture)
    length = 0.0
    for side, order in zip(("left", "right"), orders, strict=True):
        x = bench.port_x("left" if side == "left" else "right")
        need = bench.need(order)
        spare = bench.picture.height - need
        first, last = (0.0, spare) if spare >= 0 else (spare / 2, spare / 2)
        offsets, run = [], 0.0
        for index in order:
            offsets.append(run + bench.callouts[index].label.port)
            run += bench.callouts[index].label.height + bench.sizes.gap
        wishes = [ends[index][1] - offset for index, offset in zip(order, offsets, strict=True)]
        values = in_order(wishes, [first] * len(order), [last] * len(order))
        for index, value, offset in zip(order, values, offsets, strict=True):
            dx, dy = ends[index][0] - x, ends[index][1] - value - offset
            length += sqrt(dx * dx + dy * dy)
    return length


def _matched(bench: Bench, orders: Orders) -> Laid:
    """Take turns between matching callouts to ports and standing the labels, until nothing changes."""
    best = laid = bench.lay(*orders)
    fits = not _overflow(bench, orders)
    seen = {orders}
    for _ in range(_TURNS):
        orders = _rematched(bench, laid)
        if fits and _overflow(bench, orders):
            return _exchanged(bench, best)
        if orders in seen:
            break
        seen.add(orders)
        laid = bench.lay(*orders)
        if _rating(bench, laid) < _rating(bench, best):
            best = laid
    return best


def _exchanged(bench: Bench, laid: Laid) -> Laid:
    """Where the shortest matching would not fit, exchange labels between the margins while that fits and shortens."""
    for _ in range(_TURNS):
        ways = []
        for left in (*laid.left, None):
            for right in (*laid.right, None):
                orders = (
                    _by_height(bench, [index for index in (*laid.left, right) if index not in (left, None)]),
                    _by_height(bench, [index for index in (*laid.right, left) if index not in (right, None)]),
                )
                if not _overflow(bench, orders):
                    ways.append((_length_at_first(bench, orders), orders))
        rating, found = _rating(bench, laid), None
        for _, orders in sorted(ways)[:_TRIED_EXCHANGES]:
            other = bench.lay(*orders)
            if _rating(bench, other) < rating:
                rating, found = _rating(bench, other), other
        if found is None:
            return laid
        laid = found
    return laid


def _rematched(bench: Bench, laid: Laid) -> Orders:
    """The shortest way to lead the same ports to the same points."""
    count = len(bench.callouts)
    slots = [*laid.left, *laid.right]
    ends: dict[Side, Sequence[Spot]] = {"left": laid.ends, "right": laid.ends}
    if any(callout.box for callout in bench.callouts):
        ends = {"left": bench.ends(_all("left", count))[1], "right": bench.ends(_all("right", count))[1]}
    costs = []
    for index in range(count):
        row = []
        for slot in slots:
            x, y = ends[laid.sides[slot]][index]
            port = laid.ports[slot]
            dx, dy = x - port[0], y - port[1]
            row.append(sqrt(dx * dx + dy * dy))
        costs.append(row)
    chosen = shortest_matching(costs)
    taker = [0] * count
    for index, place in enumerate(chosen):
        taker[place] = index
    return tuple(taker[: len(laid.left)]), tuple(taker[len(laid.left) :])


def _repair(bench: Bench, laid: Laid, margins: int) -> Laid:
    """Move labels whose leader cannot be straight to the nearest place in the margins where it can."""
    while laid.freed:
        rating = _rating(bench, laid)
        for orders in _moves(laid, margins):
            other = bench.lay(*orders)
            if _rating(bench, other)[:2] < rating[:2]:
                laid = other
                break
        else:
            break
    return laid


def _moves(laid: Laid, margins: int) -> Iterator[Orders]:
    """Every way to move one label whose leader cannot be straight: up or down its margin by ever more, then across."""
    for index in sorted(laid.freed):
        left = tuple(each for each in laid.left if each != index)
        right = tuple(each for each in laid.right if each != index)
        stays_left = laid.sides[index] == "left"
        now = list(laid.left if stays_left else laid.right).index(index)
        own, other = (left, right) if stays_left else (right, left)
        for place in sorted(range(len(own) + 1), key=lambda place: abs(place - now)):
            if place != now:
                moved = (*own[:place], index, *own[place:])
                yield (moved, other) if stays_left else (other, moved)
        if margins == 2:
            level = sum(laid.ports[each].y < laid.ends[index].y for each in other)
            for place in sorted(range(len(other) + 1), key=lambda place: abs(place - level)):
                moved = (*other[:place], index, *other[place:])
                yield (own, moved) if stays_left else (moved, own)


def _all(side: Side, count: int) -> tuple[Side, ...]:
    return (side,) * count
