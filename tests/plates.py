"""What a laid-out plate looks like, read back from the page in a browser, and whether it keeps its laws."""

from __future__ import annotations

import itertools
import math
from typing import Any

from playwright.sync_api import Page

READ = """() => [...document.querySelectorAll('.plate:has(.callouts)')].map(plate => {
    const corner = plate.getBoundingClientRect();
    const edges = element => {
        const box = element.getBoundingClientRect();
        return [box.left - corner.left, box.top - corner.top, box.right - corner.left, box.bottom - corner.top];
    };
    const spots = path => {
        const numbers = path.getAttribute('d').match(/-?[\\d.]+/g).map(Number);
        return numbers.flatMap((x, k) => k % 2 ? [] : [[x, numbers[k + 1]]]);
    };
    const shown = element => element && getComputedStyle(element).display !== 'none';
    return {
        margins: Number(plate.dataset.leaders ?? 0),
        size: [corner.width, corner.height],
        figure: edges(plate.querySelector('figure')),
        shot: edges(plate.querySelector('.shot')),
        callouts: [...plate.querySelectorAll('.callout')].map(words => {
            const key = words.dataset.callout, mark = plate.querySelector(`.shot [data-callout="${key}"]`);
            const stub = plate.querySelector(`:scope > .leaders > [data-callout="${key}"] > .stub`);
            const number = mark.querySelector('.number');
            return {
                key, words: edges(words), mark: edges(mark), isRegion: mark.matches('.region'),
                kind: words.dataset.kind ?? null, leader: stub ? spots(stub) : [],
                number: shown(number) && getComputedStyle(number).fontSize !== '0px' ? edges(number) : null,
            };
        }),
    };
})"""

CLEAR = 9.5
"""Px from a leader to the end of another: `Sizes.clearance`, less what rounding to a tenth takes."""
HALF = 0.5
"""Px that edges may share, since browsers round."""


def read_plates(page: Page) -> list[dict[str, Any]]:
    """Every plate of a page that has callouts, once the script has laid it out; lengths in px from its corner."""
    page.evaluate("document.fonts.ready.then(() => new Promise(done => requestAnimationFrame(() => setTimeout(done))))")
    page.wait_for_function(
        "[...document.querySelectorAll('.plate')].every("
        "plate => !plate.querySelector('.callouts') || plate.matches('[data-leaders], [data-numbers]'))"
    )
    plates: list[dict[str, Any]] = page.evaluate(READ)
    return plates


def broken_laws(plate: dict[str, Any]) -> list[str]:
    """What is wrong with a plate, in words; empty where it keeps all laws."""
    found = []
    callouts = plate["callouts"]
    if not plate["margins"]:
        return [
            f"numbers {a['key']} and {b['key']} lie on one another"
            for a, b in itertools.combinations(callouts, 2)
            if math.dist(_middle(a["number"]), _middle(b["number"])) < a["number"][2] - a["number"][0]
        ]
    for one in callouts:
        left, top, right, bottom = one["words"]
        if top < -HALF or bottom > plate["size"][1] + HALF or left < -HALF or right > plate["size"][0] + HALF:
            found.append(f"words of {one['key']} are off the plate")
        if _overlap(one["words"], plate["figure"]):
            found.append(f"words of {one['key']} lie on the picture")
        if one["kind"] not in ("straight", "elbow", "number") or (one["kind"] == "number") != (not one["leader"]):
            found.append(f"{one['key']} is a {one['kind']} with {len(one['leader'])} spots")
        if one["leader"] and not (top - HALF <= one["leader"][0][1] <= bottom + HALF):
            found.append(f"the leader of {one['key']} does not set out from its words")
        if one["leader"] and min(abs(one["leader"][0][0] - left), abs(one["leader"][0][0] - right)) > HALF:
            found.append(f"the leader of {one['key']} does not set out from the edge of its words")
        if one["kind"] == "number" and not one["number"]:
            found.append(f"{one['key']} has neither leader nor number")
        if one["leader"] and math.dist(one["leader"][-1], _end(one)) > 2 * CLEAR:
            found.append(f"the leader of {one['key']} ends away from its point")
    for a, b in itertools.combinations(callouts, 2):
        if _overlap(a["words"], b["words"]):
            found.append(f"words of {a['key']} and {b['key']} overlap")
        if any(
            _cross(*p, *q)
            for p, q in itertools.product(itertools.pairwise(a["leader"]), itertools.pairwise(b["leader"]))
        ):
            found.append(f"leaders of {a['key']} and {b['key']} cross")
    for a, b in itertools.permutations(callouts, 2):
        if any(_from_line(_end(b), *part) < CLEAR for part in itertools.pairwise(a["leader"])):
            found.append(f"the leader of {a['key']} passes over the point of {b['key']}")
    return found


def _middle(box: list[float]) -> tuple[float, float]:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def _end(callout: dict[str, Any]) -> tuple[float, float]:
    """Where a callout's leader leads to: its ring, or a region's outline."""
    if callout["isRegion"]:
        if callout["leader"]:
            return callout["leader"][-1][0], callout["leader"][-1][1]
        return callout["mark"][0], callout["mark"][1]
    return _middle(callout["mark"])


def _overlap(a: list[float], b: list[float]) -> bool:
    return a[0] < b[2] - HALF and b[0] < a[2] - HALF and a[1] < b[3] - HALF and b[1] < a[3] - HALF


def _cross(a: list[float], b: list[float], c: list[float], d: list[float]) -> bool:
    def side(p: list[float], q: list[float], r: list[float]) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def _from_line(spot: tuple[float, float], a: list[float], b: list[float]) -> float:
    length = math.dist(a, b)
    if not length:
        return math.dist(spot, a)
    along = ((spot[0] - a[0]) * (b[0] - a[0]) + (spot[1] - a[1]) * (b[1] - a[1])) / length**2
    along = min(1.0, max(0.0, along))
    return math.dist(spot, (a[0] + along * (b[0] - a[0]), a[1] + along * (b[1] - a[1])))
