"""
Where leaders end: at the point itself, unless a finger could not tell two points apart.

The rule: every point that stands a finger's width clear of all others keeps its place. Of points closer than that the
first told keeps its place, and each later one moves to the nearest place on the picture that is a finger's width from
all before it; a line ties it to where it belongs. The leader of a region ends in the middle of the region's edge that
faces its margin, or as near to there along that edge as points and regions before it allow.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from buildlog.figures.callouts.plate import Callout, Side, Size, Spot

_SLACK = 1e-9


def aims(callouts: Sequence[Callout], sides: Sequence[Side], picture: Size) -> list[Spot]:
    """The place on the picture each leader should lead to, down from the picture's top."""
    spots = []
    for callout, side in zip(callouts, sides, strict=True):
        if callout.box is None:
            across, down = callout.at
        else:
            across = callout.box.left + (callout.box.width if side == "right" else 0.0)
            down = callout.box.top + callout.box.height / 2
        spots.append(Spot(across * picture.width, down * picture.height))
    return spots


def markers(callouts: Sequence[Callout], wanted: Sequence[Spot], picture: Size, finger: float) -> list[Spot]:
    """
    The place each leader ends at, at least a finger's width from every other where the picture has room.

    Args:
        wanted: The aims, down from the picture's top.
        finger: The least distance in px.
    """
    count = len(wanted)
    points = [index for index in range(count) if callouts[index].box is None]
    crowded = {
        index
        for index in points
        if any(_near(wanted[index], wanted[other], finger) for other in points if other != index)
    }
    placed: dict[int, Spot] = {index: wanted[index] for index in points if index not in crowded}
    for index in points:
        if index in crowded:
            placed[index] = _nearest_free(wanted[index], list(placed.values()), picture, finger)
    for index in range(count):
        box = callouts[index].box
        if box is not None:
            taken = list(placed.values())
            top, bottom = box.top * picture.height, (box.top + box.height) * picture.height
            along = _along_edge(wanted[index], top, bottom, taken, finger)
            placed[index] = along or _nearest_free(wanted[index], taken, picture, finger)
    return [placed[index] for index in range(count)]


def _near(a: Spot, b: Spot, finger: float) -> bool:
    dx, dy = b[0] - a[0], b[1] - a[1]
    return dx * dx + dy * dy < finger * finger * (1 - _SLACK)


def _is_free(spot: Spot, taken: Sequence[Spot], finger: float) -> bool:
    return not any(_near(spot, other, finger) for other in taken)


def _nearest(spot: Spot, places: Sequence[Spot]) -> Spot | None:
    best, least = None, float("inf")
    for place in places:
        dx, dy = place[0] - spot[0], place[1] - spot[1]
        if dx * dx + dy * dy < least - _SLACK:
            best, least = place, dx * dx + dy * dy
    return best


def _along_edge(spot: Spot, top: float, bottom: float, taken: Sequence[Spot], finger: float) -> Spot | None:
    places = [spot]
    for other in taken:
        across = spot[0] - other[0]
        square = finger * finger - across * across
        if square > 0:
            reach = sqrt(square)
            places += [Spot(spot[0], other[1] - reach), Spot(spot[0], other[1] + reach)]
    return _nearest(spot, [place for place in places if top <= place[1] <= bottom and _is_free(place, taken, finger)])


def _nearest_free(spot: Spot, taken: Sequence[Spot], picture: Size, finger: float) -> Spot:
    """The nearest place on the picture a finger's width from all taken; the spot itself where there is none."""
    if _is_free(spot, taken, finger):
        return spot
    places: list[Spot] = []
    for index, (x, y) in enumerate(taken):
        dx, dy = spot[0] - x, spot[1] - y
        far = sqrt(dx * dx + dy * dy)
        if far:
            places.append(Spot(x + dx * finger / far, y + dy * finger / far))
        else:
            places += [Spot(x + finger, y), Spot(x - finger, y), Spot(x, y + finger), Spot(x, y - finger)]
        for edge in (0.0, picture.width):
            square = finger * finger - (edge - x) * (edge - x)
            if square >= 0:
                places += [Spot(edge, y - sqrt(square)), Spot(edge, y + sqrt(square))]
        for edge in (0.0, picture.height):
            square = finger * finger - (edge - y) * (edge - y)
            if square >= 0:
                places += [Spot(x - sqrt(square), edge), Spot(x + sqrt(square), edge)]
        for other in taken[:index]:
            ax, ay = other[0] - x, other[1] - y
            square = ax * ax + ay * ay
            if 0 < square < 4 * finger * finger:
                far = sqrt(finger * finger / square - 0.25)
                middle_x, middle_y = x + ax / 2, y + ay / 2
                places += [
                    Spot(middle_x - ay * far, middle_y + ax * far),
                    Spot(middle_x + ay * far, middle_y - ax * far),
                ]
    places += [Spot(x, y) for x in (0.0, picture.width) for y in (0.0, picture.height)]
    inside = [
        place
        for place in places
        if 0 <= place[0] <= picture.width and 0 <= place[1] <= picture.height and _is_free(place, taken, finger)
    ]
    return _nearest(spot, inside) or spot
