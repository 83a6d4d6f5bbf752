"""
In which margin, and in which order, a plate's words stand: chosen when its page is made, by the face that ships.

The browser then measures the words as they turned out and settles their heights by the same rules, in `settle.js`. A
plate has its words in a list below, with numbers on the picture, where it has more than 12 callouts, or where the words
of a margin would make it taller than twice its figure.
"""

from __future__ import annotations

import html
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from buildlog.figures.callouts import Box, Callout, ListLayout, Size, Sizes, lay_out
from buildlog.figures.lettering import LabelStyle, Words, label_room
from buildlog.pages.views import CalloutView, MarginOrders, MeasureView, PictureView

GROWTH = 2.0
"""How many times as tall as its figure a plate may stand. `walkaround.js` holds to the same."""

# In CSS px at 16 px to the rem, as sheet.css has them in a window 1360 px wide, and with one margin 1024 px wide.
STYLE = LabelStyle(width=240.0)
"""How words are set."""
_SIZES = Sizes(margin=240.0, between=32.0, head=28.0, foot=34.0)
_COLUMN: dict[Literal[1, 2], float] = {2: 736.0, 1: 690.0}
"""Width of the picture's column, by margins."""
_TALLEST = 810.0
"""Height of a picture that is taller than wide."""


def margin_orders(picture: PictureView, callouts: Sequence[CalloutView]) -> MarginOrders:
    """Choose margins and orders for a wide page, and the order for a page of one margin."""
    placed = [_callout(callout) for callout in callouts]
    two = _order(picture, placed, 2)
    one = _order(picture, placed, 1)
    return MarginOrders(
        left=_numbers(two.left, callouts), right=_numbers(two.right, callouts), one=_numbers(one.right, callouts)
    )


@dataclass(frozen=True)
class _Order:
    left: Sequence[int] = ()
    right: Sequence[int] = ()


def _order(picture: PictureView, callouts: Sequence[Callout], margins: Literal[1, 2]) -> _Order:
    if not callouts:
        return _Order()
    ratio = picture.width / picture.height
    shown = min(_COLUMN[margins], ratio * _TALLEST)
    layout = lay_out(Size(shown, shown / ratio), callouts, _SIZES, margins)
    if isinstance(layout, ListLayout):
        return _Order()
    figure = _SIZES.head + shown / ratio + _SIZES.foot
    if layout.settled.height > GROWTH * figure:
        return _Order()
    return _Order(**layout.standing)


def _numbers(order: Sequence[int], callouts: Sequence[CalloutView]) -> tuple[int, ...]:
    return tuple(callouts[index].number for index in order)


def _callout(view: CalloutView) -> Callout:
    box = Box(*view.box) if view.box else None
    return Callout((view.across, view.down), label_room(callout_words(view), STYLE), box)


_BLOCK_END = re.compile(r"</(?:p|li|tr|pre|blockquote)>|<br\s*/?>")
_TAG = re.compile(r"<[^>]*>")


def callout_words(view: CalloutView) -> Words:
    """What a callout's label says, as its template sets it; the requests below it stand in the gap between labels."""
    blocks = (" ".join(html.unescape(_TAG.sub("", block)).split()) for block in _BLOCK_END.split(view.text_html))
    said = Counter(mark.text for mark in view.marks)
    return Words(
        title=view.title,
        text=tuple(block for block in blocks if block),
        made=" · ".join(link.text for link in (*view.made, *filter(None, [view.told]))),
        measures=tuple(map(_measure_words, view.measures)),
        marks=tuple(text if count == 1 else f"{text} × {count}" for text, count in sorted(said.items())),
    )


def _measure_words(measure: MeasureView) -> str:
    on_model, full_size = (
        _both(measure.on_model, measure.on_model_other),
        _both(measure.full_size, measure.full_size_other),
    )
    if on_model and full_size:
        sizes = {
            "full size": f"{on_model}, which is {full_size} at full size",
            "model": f"{full_size} at full size, so {on_model} here",
            "neither": f"{full_size} at full size, {on_model} here",
        }[measure.computed]
    else:
        sizes = on_model or f"{full_size} at full size"
    return f"{measure.what}: {sizes}{f'; {measure.note}' if measure.note else ''}"


def _both(size: str, other: str) -> str:
    """A size, and in brackets the same in the other system of units."""
    return f"{size} ({other})" if other else size
