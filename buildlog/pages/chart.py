"""The progress chart: percent complete over time, as SVG that reads without colour and without scripts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from html import escape

from buildlog.pages.views import ChartPoint
from buildlog.words import day_words

_WIDTH, _HEIGHT = 420, 220
_LEFT, _RIGHT, _TOP, _BOTTOM = 44, 16, 16, 196
_GAP = 34
"""Least distance between two month names, in the drawing's units."""


def progress_chart(points: Sequence[ChartPoint], begun: date | None) -> str:
    """
    Draw percent complete over time.

    Args:
        points: Oldest first.
        begun: The day before which nothing was done, such as the day of the order; drawn as 0 %.

    Returns:
        An `svg` element whose label tells the figures in words; empty with fewer than two places to join.
    """
    places = [(point.day, point.percent) for point in points]
    if begun and places and begun < places[0][0]:
        places.insert(0, (begun, 0))
    if len(places) < 2 or places[0][0] == places[-1][0]:
        return ""
    first, last = places[0][0], places[-1][0]

    def across(day: date) -> float:
        return _LEFT + (_WIDTH - _LEFT - _RIGHT) * (day - first) / (last - first)

    def down(percent: int) -> float:
        return _BOTTOM - (_BOTTOM - _TOP) * percent / 100

    told = ", ".join(f"{point.percent} % on {day_words(point.day)}" for point in points)
    label = escape(f"Percent complete: {told}.")
    line = "L".join(f"{across(day):.1f} {down(percent):.1f}" for day, percent in places)
    rules = "".join(
        f'<path class="rule" d="M{_LEFT} {down(level):.1f}H{_WIDTH - _RIGHT}"/>'
        f'<text class="level" x="{_LEFT - 7}" y="{down(level) + 4:.1f}" text-anchor="end">{level} %</text>'
        for level in (0, 25, 50, 75, 100)
    )
    dots = "".join(
        f'<circle class="point" cx="{across(point.day):.1f}" cy="{down(point.percent):.1f}" r="4.5"/>'
        for point in points
    )
    months = "".join(
        f'<path class="tick" d="M{across(day):.1f} {_BOTTOM}v5"/>'
        f'<text class="month" x="{across(day):.1f}" y="{_BOTTOM + 18}" text-anchor="middle">{name}</text>'
        for day, name in _months(first, last, across)
    )
    return (
        f'<svg class="chart" viewBox="0 0 {_WIDTH} {_HEIGHT}" role="img" aria-label="{label}">'
        f'{rules}<path class="axis" d="M{_LEFT} {_BOTTOM}H{_WIDTH - _RIGHT}"/>{months}'
        f'<path class="line" d="M{line}"/>{dots}</svg>'
    )


def _months(first: date, last: date, across: Callable[[date], float]) -> list[tuple[date, str]]:
    """Beginnings of months to mark, as many as stand clear of each other; January with its year."""
    day = (first.replace(day=1) + timedelta(days=32)).replace(day=1)
    marks: list[tuple[date, str]] = []
    while day <= last:
        name = str(day.year) if day.month == 1 else day_words(day).split(" ")[1][:3]
        if not marks or across(day) - across(marks[-1][0]) >= _GAP:
            marks.append((day, name))
        day = (day + timedelta(days=32)).replace(day=1)
    return marks
