"""Where a plate's words stand, as the page carries it to the browser, and what a page of many plates weighs."""

from __future__ import annotations

import gzip
import re
from dataclasses import replace

import pytest

from buildlog.pages.plate_layout import callout_words, margin_orders
from buildlog.pages.render import render_view
from buildlog.pages.views import Link, MeasureView
from tests.pages import samples
from tests.pages.made_plates import made_plates


def callouts(count: int, words: str = "Fitted and painted."):
    """So many callouts in a row across the picture."""
    return tuple(
        samples.callout(number, f"c-{number}", f"Item {number}", words, (number / (count + 1), 0.5))
        for number in range(1, count + 1)
    )


@pytest.mark.parametrize("count", [1, 2, 5, 12])
def test_every_callout_has_its_margin(count):
    """Each callout stands once in one of two margins, and once where there is only one."""
    orders = margin_orders(samples.BOW, callouts(count))

    assert sorted(orders.left + orders.right) == list(range(1, count + 1))
    assert sorted(orders.one) == list(range(1, count + 1))


def test_words_stand_on_the_side_of_their_points():
    """Of two points the left one has its words to the left, whichever is told first."""
    one, other = callouts(2)

    assert margin_orders(samples.BOW, (one, other)).left == (1,)
    assert margin_orders(samples.BOW, (replace(one, across=0.8), replace(other, across=0.2))).left == (2,)


@pytest.mark.parametrize(
    ("made", "two", "one"),
    [
        pytest.param(callouts(13), False, False, id="thirteen"),
        pytest.param(callouts(12, "word " * 70), False, False, id="too-many-words"),
        pytest.param(callouts(6, "word " * 60), True, False, id="too-many-for-one-margin"),
        pytest.param((), False, False, id="none"),
    ],
)
def test_what_is_too_much_makes_a_list(made, two, one):
    """More than 12 callouts, or words that would make the plate taller than twice its figure, stand in a list."""
    orders = margin_orders(samples.BOW, made)

    assert bool(orders.left or orders.right) is two
    assert bool(orders.one) is one


def test_the_page_carries_orders_and_no_lengths():
    """A plate says who stands where, by number; words keep the order they are told in."""
    plate = replace(samples.PLATES[0], orders=replace(samples.PLATES[0].orders, left=(4, 2), right=(1, 3, 5, 6, 7)))
    html = render_view(replace(samples.PROGRESS, plates=(plate,), turntables=()), samples.FRAME)
    head = re.search(r'<div class="plate"[^>]*>', html)[0]

    assert 'data-left="4 2" data-right="1 3 5 6 7"' in head
    assert re.search(r'data-one="(\d ){6}\d"', head)
    assert "px" not in head
    assert re.findall(r'<li class="callout (left|right)" data-callout="(\d)"', html) == [
        ("right", "1"), ("left", "2"), ("right", "3"), ("left", "4"), ("right", "5"), ("right", "6"), ("right", "7"),
    ]  # fmt: skip


def test_a_plate_of_too_many_carries_no_orders():
    """Without orders there is nothing for the browser to lay out in margins."""
    plate = replace(samples.PLATES[0], callouts=callouts(13), orders=margin_orders(samples.BOW, callouts(13)))
    html = render_view(replace(samples.PROGRESS, plates=(plate,), turntables=()), samples.FRAME)

    assert '<div class="plate">' in html
    assert html.count('<li class="callout" ') == 13


def test_words_are_those_of_the_label():
    """Paragraphs, list items, how it was made and where it is told in full, sizes both ways, and marks with counts."""
    view = replace(
        samples.callout(1, "hook", "Hook", "", (0.5, 0.5)),
        text_html="<p>Swings <em>freely</em> &amp; far.</p>\n<ul>\n<li>one</li>\n<li>two</li>\n</ul>",
        made=(Link("Filed"), Link("Signal red", "x/#y")),
        told=Link("In full at picture 1", "#hook"),
        measures=(
            MeasureView("Length", "38 mm", "912 mm", "full size", "over the eye", "1 1/2 in", "2 ft 11 29/32 in"),
        ),
        marks=(samples.AS_FULL_SIZE, samples.SIMPLIFIED, samples.AS_FULL_SIZE),
    )
    words = callout_words(view)

    assert words.text == ("Swings freely & far.", "one", "two")
    assert words.made == "Filed · Signal red · In full at picture 1"
    assert words.measures == (
        "Length: 38 mm (1 1/2 in), which is 912 mm (2 ft 11 29/32 in) at full size; over the eye",
    )
    assert words.marks == ("as full size × 2", "simplified")


def test_a_feature_told_before_says_where():
    """A callout whose feature was told in full leads there in a small line."""
    told = replace(samples.PLATES[0].callouts[0], told=Link("In full at picture 1", samples.PROGRESS.address + "#x"))
    plate = replace(samples.PLATES[0], callouts=(told,))
    html = render_view(replace(samples.PROGRESS, plates=(plate,), turntables=()), samples.FRAME)

    assert re.search(r'<p class="made">.*<a href="#x">In full at picture 1</a></p>', html)


def test_a_page_of_twenty_pictures_is_light():
    """With 20 pictures and 120 callouts a page's HTML weighs less than 60 KB compressed."""
    plates = tuple(made_plates(7, 20, 6))
    html = render_view(replace(samples.PROGRESS, plates=plates), samples.FRAME)

    assert html.count('<li class="callout') == 120
    assert len(gzip.compress(html.encode(), 9)) < 60_000
