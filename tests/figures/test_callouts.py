"""Callouts beside their picture: the laws of the layout, for any points, words and pictures."""

import json
import random
import shutil
import subprocess
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise, permutations, product
from math import dist, inf
from pathlib import Path

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

import buildlog.pages
from buildlog.figures.callouts import (
    Box,
    Callout,
    Label,
    ListLayout,
    MarginLayout,
    Settled,
    Size,
    Sizes,
    Spot,
    faults,
    lay_out,
    settle,
)
from buildlog.figures.callouts.marking import markers
from buildlog.figures.callouts.settling import in_order, shadow

SIZES = Sizes()
PICTURE = Size(720, 480)
TWIN = Path(buildlog.pages.__file__).parent / "assets" / "modules" / "settle.js"

shares = st.one_of(st.floats(0, 1), st.sampled_from([0.0, 0.25, 0.5, 1.0]))
labels = st.builds(
    lambda height, port: Label(height, min(port, height)), st.floats(16, 400), st.sampled_from([0.5, 24.8, 46.0])
)


def region(left, top, width, height):
    return Box(left * (1 - width), top * (1 - height), width, height)


boxes = st.builds(region, shares, shares, st.floats(0.01, 0.6), st.floats(0.01, 0.6))
callouts = st.one_of(
    st.builds(lambda across, down, label: Callout((across, down), label), shares, shares, labels),
    st.builds(
        lambda box, label: Callout((box.left + box.width / 2, box.top + box.height / 2), label, box), boxes, labels
    ),
)
pictures = st.builds(lambda width, ratio: Size(width, width / ratio), st.floats(260, 1100), st.floats(0.4, 5))


def point(across, down, height=60.0, port=25.0):
    return Callout((across, down), Label(height, port))


def seeded(seed, count, low=30.0, high=120.0):
    """So many callouts anywhere on a picture, with labels from `low` to `high` px tall."""
    source = random.Random(seed)
    return [point(source.random(), source.random(), source.uniform(low, high), 20) for _ in range(count)]


def cross(a, b, c, d):
    """Whether two lines share any place, worked out without rounding."""
    a, b, c, d = ((Fraction(x), Fraction(y)) for x, y in (a, b, c, d))

    def turn(p, q, r):
        value = (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
        return (value > 0) - (value < 0)

    def spans(p, q, r):
        return min(p[0], q[0]) <= r[0] <= max(p[0], q[0]) and min(p[1], q[1]) <= r[1] <= max(p[1], q[1])

    if turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0:
        return True
    touches = ((a, b, c), (a, b, d), (c, d, a), (c, d, b))
    return any(turn(p, q, r) == 0 and spans(p, q, r) for p, q, r in touches)


def from_line(spot, a, b):
    """Distance of a spot from a line, by trying the foot of the perpendicular and both ends."""
    length = dist(a, b)
    along = ((spot[0] - a[0]) * (b[0] - a[0]) + (spot[1] - a[1]) * (b[1] - a[1])) / (length or 1) ** 2
    ends = min(dist(spot, a), dist(spot, b))
    if not 0 < along < 1:
        return ends
    return min(ends, dist(spot, (a[0] + along * (b[0] - a[0]), a[1] + along * (b[1] - a[1]))))


def broken_laws(settled: Settled, picture: Size, sizes: Sizes = SIZES) -> list[str]:
    """The laws of the layout, judged apart from the code that keeps them."""
    found = []
    placed = settled.callouts
    for each in placed:
        if each.top < -1e-6 or each.top + each.label.height > settled.height + 1e-6:
            found.append(f"off the plate: {each}")
        if each.port.y != pytest.approx(each.top + each.label.port):
            found.append(f"port away from its label: {each}")
        if each.leader and (each.leader[0] != each.port or each.leader[-1] != each.marker):
            found.append(f"leader not from port to marker: {each}")
        if {"number": 0, "straight": 2, "elbow": 3}[each.kind] != len(each.leader):
            found.append(f"kind and leader differ: {each}")
    for side in ("left", "right"):
        order = sorted((each for each in placed if each.side == side), key=lambda each: each.rank)
        found += [
            f"overlap: {upper} {lower}"
            for upper, lower in pairwise(order)
            if upper.top + upper.label.height + sizes.gap > lower.top + 1e-6
        ]
        need = sum(each.label.height for each in order) + sizes.gap * max(0, len(order) - 1)
        if need <= picture.height:
            top, bottom = settled.picture_top - 1e-6, settled.picture_top + picture.height + 1e-6
            found += [
                f"not beside the picture: {each}"
                for each in order
                if each.top < top or each.top + each.label.height > bottom
            ]
    for one, other in combinations(placed, 2):
        parts = product(pairwise(one.leader), pairwise(other.leader))
        if any(cross(*a, *b) for a, b in parts):
            found.append(f"cross: {one} {other}")
    for one, other in permutations(placed, 2):
        keep = sizes.clearance if other.leader else sizes.badge
        if any(from_line(other.marker, *part) < keep - 1e-6 for part in pairwise(one.leader)):
            found.append(f"passes over: {one} {other}")
    return found


def laid(picture, given_callouts, margins=2, sizes=SIZES) -> MarginLayout:
    layout = lay_out(picture, given_callouts, sizes, margins)
    assert isinstance(layout, MarginLayout)
    return layout


@settings(max_examples=400, deadline=None)
@given(pictures, st.lists(callouts, min_size=1, max_size=12), st.sampled_from([1, 2]))
@example(PICTURE, [point(0.5, 0.5)] * 12, 2)
@example(PICTURE, [point(0, 0)] * 12, 1)
@example(Size(720, 150), [point(index / 11, 0.5, 200) for index in range(12)], 2)
def test_laws_hold_for_any_plate(picture, given_callouts, margins):
    """No crossing, no overlap, no label off the plate, no leader over another's end, labels beside their picture."""
    layout = laid(picture, given_callouts, margins)

    assert broken_laws(layout.settled, picture) == []
    assert faults(layout.settled, SIZES) == []


@settings(max_examples=300, deadline=None)
@given(pictures, st.lists(st.tuples(callouts, labels), min_size=1, max_size=12), st.sampled_from([1, 2]), pictures)
def test_laws_hold_when_words_wrap_otherwise(picture, pairs, margins, shown):
    """Margins and orders chosen for one size of labels and picture keep every law with any other."""
    standing = laid(picture, [callout for callout, _ in pairs], margins).standing
    turned_out = [replace(callout, label=label) for callout, label in pairs]

    settled = settle(shown, turned_out, standing["left"], standing["right"], SIZES)

    assert broken_laws(settled, shown) == []


@settings(max_examples=200, deadline=None)
@given(pictures, st.lists(callouts, min_size=1, max_size=12), st.randoms(use_true_random=False))
def test_laws_hold_in_any_order(picture, given_callouts, source):
    """Whatever margins and orders are asked for, what cannot be led straight is elbowed or numbered."""
    order = list(range(len(given_callouts)))
    source.shuffle(order)
    cut = source.randint(0, len(order))

    settled = settle(picture, given_callouts, order[:cut], order[cut:], SIZES)

    assert broken_laws(settled, picture) == []


@settings(max_examples=100, deadline=None)
@given(pictures, st.lists(callouts, min_size=1, max_size=10))
def test_plate_does_not_grow_where_labels_fit(picture, given_callouts):
    """Where any way to part the labels between the margins fits beside the picture, the plate stays as tall as it."""
    heights = [callout.label.height + SIZES.gap for callout in given_callouts]
    room = picture.height + SIZES.gap
    fits = any(
        sum(height for height, is_left in zip(heights, sides, strict=True) if is_left) <= room
        and sum(height for height, is_left in zip(heights, sides, strict=True) if not is_left) <= room
        for sides in product((True, False), repeat=len(heights))
    )

    layout = laid(picture, given_callouts)

    assert (layout.settled.height == pytest.approx(picture.height)) == fits


@settings(max_examples=100, deadline=None)
@given(pictures, st.lists(callouts, min_size=1, max_size=20))
def test_same_plate_same_layout(picture, given_callouts):
    """A plate laid out twice comes out the same to the last digit."""
    assert lay_out(picture, given_callouts) == lay_out(picture, list(given_callouts))


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(shares, shares), min_size=2, max_size=12))
def test_ends_are_a_finger_apart(places):
    """No two markers are closer than 24 px, however close their points, and all are on the picture."""
    given_callouts = [point(*place) for place in places]
    wanted = [Spot(across * PICTURE.width, down * PICTURE.height) for across, down in places]

    found = markers(given_callouts, wanted, PICTURE, 24)

    assert all(dist(a, b) >= 24 - 1e-6 for a, b in combinations(found, 2))
    assert all(-1e-9 <= x <= PICTURE.width + 1e-9 and -1e-9 <= y <= PICTURE.height + 1e-9 for x, y in found)


def test_lonely_points_and_the_first_told_keep_their_places():
    """Only the later of two points closer than a finger moves, no farther than it must, and is tied to its place."""
    given_callouts = [point(0.5, 0.5), point(0.51, 0.5), point(0.2, 0.2)]

    placed = laid(PICTURE, given_callouts).settled.callouts

    assert placed[0].marker == placed[0].aim == (360, 240)
    assert placed[2].marker == placed[2].aim == (144, 96)
    assert placed[1].aim == pytest.approx((367.2, 240))
    assert placed[1].marker == pytest.approx((384, 240))
    assert [each.is_tied for each in placed] == [False, True, False]


def test_a_region_is_led_to_by_the_edge_that_faces_its_margin():
    """The leader of a region ends in the middle of its near edge; a point there makes it slide along the edge."""
    box = Box(0.1, 0.4, 0.2, 0.4)
    alone = laid(PICTURE, [Callout((0.2, 0.6), Label(60, 25), box)]).settled.callouts[0]
    with_point = laid(PICTURE, [Callout((0.2, 0.6), Label(60, 25), box), point(0.1, 0.59)]).settled.callouts

    assert alone.side == "left"
    assert alone.marker == pytest.approx((72, 288))
    assert with_point[1].marker == pytest.approx((72, 283.2))
    assert with_point[0].marker.x == pytest.approx(72)
    assert with_point[0].marker.y == pytest.approx(283.2 + 24)


def test_one_callout_stands_level_with_its_point():
    """A lone label stands in the nearer margin, its leader level."""
    placed = laid(PICTURE, [point(0.7, 0.5)]).settled.callouts[0]

    assert placed.side == "right"
    assert placed.port == pytest.approx((720 + 25.2, 240))
    assert placed.kind == "straight"


def test_labels_at_the_picture_s_edge_stay_beside_it():
    """A point in the picture's corner has its label inside the picture's height all the same."""
    placed = laid(PICTURE, [point(0, 0), point(1, 1)]).settled.callouts

    assert placed[0].top == 0
    assert placed[1].top + placed[1].label.height == pytest.approx(480)


@pytest.mark.parametrize("margins", [pytest.param(1, id="one margin"), pytest.param(2, id="two margins")])
def test_all_points_in_one_corner(margins):
    """Of twelve points within a thumb's width most get a leader, and the rest a number."""
    source = random.Random(4)
    given_callouts = [point(0.12 * source.random(), 0.15 * source.random(), 50) for _ in range(12)]

    settled = laid(PICTURE, given_callouts, margins).settled

    assert broken_laws(settled, PICTURE) == []
    assert sum(each.kind != "number" for each in settled.callouts) >= 9


def test_plate_grows_about_its_picture():
    """Where labels are taller than the picture the plate grows, and the picture stands in its middle."""
    settled = laid(PICTURE, [point(0.5, 0.5, 700), point(0.6, 0.5, 100)]).settled

    assert settled.height == 700
    assert settled.picture_top == 110


def test_labels_use_the_caption_s_height_before_the_plate_grows():
    """What stands above and below the picture in its figure is room for labels that do not fit beside the picture."""
    sizes = Sizes(head=40, foot=60)

    settled = laid(PICTURE, [point(0.5, 0.5, 550)], 1, sizes).settled

    assert settled.height == 580
    assert settled.picture_top == 40


def test_most_leaders_are_straight():
    """Of 12 callouts a plate on 200 plates, hardly one leader in a hundred is elbowed, and none is missing."""
    kinds = [each.kind for seed in range(200) for each in laid(PICTURE, seeded(seed, 12)).settled.callouts]

    assert kinds.count("straight") >= 0.99 * len(kinds)
    assert kinds.count("number") == 0


def test_one_margin_takes_all_labels():
    """With one margin every label stands to the right."""
    settled = laid(PICTURE, seeded(1, 8), 1).settled

    assert {each.side for each in settled.callouts} == {"right"}


def test_a_leader_that_cannot_be_straight_is_elbowed():
    """Two labels in the wrong order for straight leaders: one runs round the other's point."""
    given_callouts = [point(0.3, 0.5, 200, 20), point(0.9, 0.8, 200, 20)]

    straight = settle(PICTURE, given_callouts, [], [0, 1], SIZES)
    elbowed = settle(PICTURE, given_callouts, [], [1, 0], SIZES)

    assert [each.kind for each in straight.callouts] == ["straight", "straight"]
    assert sorted(each.kind for each in elbowed.callouts) == ["elbow", "straight"]
    assert broken_laws(elbowed, PICTURE) == []


def test_a_leader_that_finds_no_way_gives_place_to_a_number():
    """Where ends stand so close that nothing passes between them, the ones behind are numbered, and the rest led."""
    picture = Size(300, 20)
    given_callouts = [point(index / 11, 0.5, 20, 10) for index in range(12)]

    settled = settle(picture, given_callouts, [], list(range(12)), SIZES)

    kinds = [each.kind for each in settled.callouts]
    assert "number" in kinds
    assert kinds[-1] != "number"
    assert broken_laws(settled, picture) == []


def test_more_than_twelve_callouts_make_a_list():
    """The thirteenth callout turns the plate into numbered points and two columns as equal as their order allows."""
    given_callouts = [point(index / 20, 0.5, 100 if index == 0 else 20) for index in range(13)]

    layout = lay_out(PICTURE, given_callouts)

    assert isinstance(layout, ListLayout)
    assert layout.columns == (tuple(range(6)), tuple(range(6, 13)))
    assert all(dist(a, b) >= 28 - 1e-6 for a, b in combinations(layout.markers, 2))
    assert layout.aims[1] == pytest.approx((36, 240))


def test_no_callouts_make_a_bare_plate():
    """A picture without callouts is a plate as tall as the picture."""
    settled = laid(PICTURE, []).settled

    assert settled.height == 480
    assert settled.callouts == ()


@pytest.mark.parametrize(
    ("make", "says"),
    [
        pytest.param(lambda: lay_out(Size(0, 10), [point(0.5, 0.5)]), "no room", id="no width"),
        pytest.param(lambda: lay_out(PICTURE, [point(0.5, 0.5), point(1.3, 0.5)]), "callout 2", id="off the picture"),
        pytest.param(lambda: settle(PICTURE, [point(0.5, 0.5)], [], [], SIZES), "named once", id="left out"),
        pytest.param(lambda: settle(PICTURE, [point(0.5, 0.5)], [0], [0], SIZES), "named once", id="named twice"),
        pytest.param(lambda: Sizes(clearance=24), "finger", id="clearance too wide"),
        pytest.param(lambda: Sizes(stub=30), "stub", id="stub too long"),
        pytest.param(lambda: Sizes(gap=-1), "negative", id="negative gap"),
    ],
)
def test_what_cannot_be_laid_out_is_refused(make, says):
    """A length or place that makes no sense is named."""
    with pytest.raises(ValueError, match=says):
        make()


@settings(max_examples=300, deadline=None)
@given(
    st.tuples(st.floats(0, 700), st.floats(0, 480)),
    st.tuples(st.floats(0, 700), st.floats(0, 480)),
    st.floats(-2000, 2000),
    st.sampled_from([-25.2, 745.2]),
)
def test_a_shadow_is_where_a_leader_would_pass_too_near(end, ring, port, port_x):
    """A port lies in a ring's shadow exactly when the straight leader from it passes within the ring."""
    upper, lower, is_nearer = shadow(Spot(*end), Spot(*ring), 10, port_x)
    distance = from_line(ring, end, (port_x, port))
    assume(dist(end, ring) >= 24 and abs(distance - 10) > 1e-6)

    in_shadow = upper < port < lower if is_nearer else not lower <= port <= upper

    assert in_shadow == (distance < 10)


@st.composite
def ordered_bounds(draw):
    """Wishes with bounds that some values in order keep, and such values."""
    values = sorted(draw(st.lists(st.floats(-100, 100), min_size=1, max_size=10)))
    wishes = draw(st.lists(st.floats(-150, 150), min_size=len(values), max_size=len(values)))
    slack = st.one_of(st.floats(0, 80), st.just(inf))
    least = [value - draw(slack) for value in values]
    most = [value + draw(slack) for value in values]
    return wishes, least, most, values


@settings(max_examples=300, deadline=None)
@given(ordered_bounds())
def test_labels_move_least(bounds):
    """The heights keep order and bounds, and no others that do lie nearer to the wishes (the condition for a least)."""
    wishes, least, most, others = bounds

    found = in_order(wishes, least, most)

    assert all(a <= b for a, b in pairwise(found))
    assert all(low - 1e-9 <= value <= high + 1e-9 for low, value, high in zip(least, found, most, strict=True))
    downhill = sum((w - f) * (o - f) for w, f, o in zip(wishes, found, others, strict=True))
    assert downhill <= 1e-6


@pytest.mark.parametrize(
    ("change", "says"),
    [
        pytest.param({"top": -5.0}, "label 1 is off the plate", id="off the plate"),
        pytest.param({"top": 350.0}, "labels 1 and 2 are too near each other", id="overlap"),
        pytest.param(
            {"leader": (Spot(745, 400), Spot(300, 400))}, "leader 1 passes over the end of 2", id="over an end"
        ),
        pytest.param({"leader": (Spot(745, 470), Spot(600, 300))}, "leaders 1 and 2 cross", id="crossing"),
    ],
)
def test_each_fault_is_found(change, says):
    """The check of a laid-out plate names what is wrong with it, in Python and in the browser alike."""
    settled = settle(PICTURE, [point(0.5, 0.2), point(0.7, 400 / 480)], [], [0, 1], SIZES)
    spoilt = replace(settled, callouts=(replace(settled.callouts[0], **change), settled.callouts[1]))

    found = faults(spoilt, SIZES)

    assert says in found
    assert in_node("faults", [[as_answer(spoilt)]]) == [found]


def in_node(name: str, calls: list) -> list:
    """Call a function of settle.js once for each list of arguments."""
    node = shutil.which("node")
    assert node, "node is needed to compare the browser's rules with these"
    script = f"""
        import {{ {name} }} from {json.dumps(TWIN.as_uri())};
        let text = "";
        for await (const part of process.stdin) text += part;
        console.log(JSON.stringify(JSON.parse(text).map((call) => {name}(...call))));
    """
    done = subprocess.run(
        [node, "--input-type=module", "--eval", script], input=json.dumps(calls), capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def as_answer(settled: Settled) -> dict:
    """A settled plate as the browser's function gives it."""
    return {
        "height": settled.height,
        "pictureTop": settled.picture_top,
        "callouts": [
            {
                "side": each.side,
                "rank": each.rank,
                "top": each.top,
                "height": each.label.height,
                "marker": list(each.marker),
                "aim": list(each.aim),
                "port": list(each.port),
                "kind": each.kind,
                "leader": [list(spot) for spot in each.leader],
            }
            for each in settled.callouts
        ],
    }


def as_call(picture: Size, given_callouts, left, right, sizes: Sizes) -> list:
    """The browser's arguments."""
    return [
        {"width": picture.width, "height": picture.height},
        [
            {
                "at": list(each.at),
                "box": list(each.box) if each.box else None,
                "height": each.label.height,
                "port": each.label.port,
            }
            for each in given_callouts
        ],
        left,
        right,
        {name: getattr(sizes, name) for name in ("between", "stub", "gap", "clearance", "badge", "apart", "finger")}
        | {"head": sizes.head, "foot": sizes.foot},
    ]


def test_browser_settles_plates_by_the_same_rules():
    """On 500 plates, in orders that suit and in orders that do not, settle.js answers as Python does."""
    cases = []
    for seed in range(500):
        source = random.Random(seed)
        count = source.randint(1, 12)
        given_callouts = seeded(seed, count, 20, source.choice([50, 160]))
        if seed % 3 == 0:
            box = region(source.random(), source.random(), 0.3 * source.random(), 0.3 * source.random())
            at = (box.left + box.width / 2, box.top + box.height / 2)
            given_callouts[-1] = replace(given_callouts[-1], at=at, box=box)
        if seed % 5 == 0:
            given_callouts = [replace(each, at=(each.at[0] / 9, each.at[1] / 9)) for each in given_callouts]
        picture = Size(source.uniform(260, 1000), source.uniform(150, 800))
        sizes = Sizes(head=source.choice([0, 30]), foot=source.choice([0, 50]), between=source.choice([32, 35.2]))
        standing = laid(picture, given_callouts, source.choice([1, 2]), sizes).standing
        left, right = standing["left"], standing["right"]
        if seed % 4 == 0:
            source.shuffle(right)
        label = source.choice([1, 0.7, 1.6])
        turned_out = [
            replace(each, label=replace(each.label, height=each.label.height * label)) for each in given_callouts
        ]
        cases.append((picture, turned_out, left, right, sizes))
    expected = [as_answer(settle(*case)) for case in cases]

    found = in_node("settle", [as_call(*case) for case in cases])

    kinds = {each["kind"] for answer in expected for each in answer["callouts"]}
    assert kinds == {"straight", "elbow", "number"}
    for mine, theirs in zip(expected, found, strict=True):
        assert [(each["side"], each["rank"], each["kind"]) for each in theirs["callouts"]] == [
            (each["side"], each["rank"], each["kind"]) for each in mine["callouts"]
        ]
        assert numbers(theirs) == pytest.approx(numbers(mine), abs=1e-6)


def numbers(value) -> list[float]:
    """Every number in an answer, in the order of its keys."""
    if isinstance(value, dict):
        return [number for key in sorted(value) for number in numbers(value[key])]
    if isinstance(value, list):
        return [number for each in value for number in numbers(each)]
    return [value] if isinstance(value, int | float) else []


def test_browser_starts_from_the_same_lengths():
    """The lengths settle.js falls back to are those of the Python side."""
    picture, given_callouts = PICTURE, seeded(3, 6)
    standing = laid(picture, given_callouts).standing
    call = as_call(picture, given_callouts, standing["left"], standing["right"], SIZES)

    with_sizes, without = in_node("settle", [call, call[:4]])

    assert with_sizes == without
