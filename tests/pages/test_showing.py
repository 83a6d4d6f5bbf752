"""What stands beside what in time: comparisons of a view, and callouts on the frames of a turntable."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from buildlog.pages import render
from buildlog.pages.audience import Audience
from buildlog.pages.build_page import build_page
from buildlog.pages.progress_page import progress_page
from tests.pages.workshops import a_build, a_desk, a_workshop

FRAMES = ["turn/1.jpg", "turn/2.jpg", "turn/3.jpg"]
LIGHT = {"id": "light", "name": "Port sidelight", "area": "Wheelhouse", "change": "Lens fitted."}


def page(build, number, audience=Audience.VISITOR):
    desk = a_desk(a_workshop(build), audience)
    return progress_page(desk, desk.build.updates[number - 1])


def shot(name, view):
    return {"file": f"{name}.jpg", "view": view}


def pairs(build, number, audience=Audience.VISITOR):
    return [
        (one.view, one.before.picture.jpeg, one.after.picture.jpeg) for one in page(build, number, audience).comparisons
    ]


def turned(*callouts, features=(), photos=()):
    """The turntable of an update with these callouts, and the update's page."""
    build = a_build(
        {"features": list(features), "photos": [*photos, {"turntable": "turn", "callouts": list(callouts)}]},
        photos=[*FRAMES, *(one["file"] for one in photos)],
    )
    return page(build, 1).turntables[0]


def test_a_view_stands_beside_the_newest_earlier_one():
    """Not beside the first, nor one of a later update; in the order of the build's views."""
    build = a_build(
        {"photos": [shot("1", "stern"), shot("2", "port bow")]},
        {"photos": [shot("3", "stern")]},
        {"photos": [shot("4", "stern"), shot("5", "port bow"), shot("6", "deck")]},
        {"photos": [shot("7", "stern")]},
        views=["port bow", "stern", "deck"],
        photos=[f"{number}.jpg" for number in range(1, 8)],
    )

    assert pairs(build, 1) == []
    assert pairs(build, 3) == [
        ("port bow", "pictures/2.jpg", "pictures/5.jpg"),
        ("stern", "pictures/3.jpg", "pictures/4.jpg"),
    ]


def test_both_sides_say_when_and_where():
    """Stage and day of each, and the place on its update's page."""
    build = a_build(
        {"photos": [shot("1", "stern")]},
        {"photos": [shot("2", "stern")], "stage": "primer"},
        views=["stern"],
        photos=["1.jpg", "2.jpg"],
    )

    (one,) = page(build, 2).comparisons

    assert (one.before.stage, one.after.stage) == ("Assembly", "Primer")
    assert (one.before.day.month, one.after.day.month) == (1, 2)
    assert one.before.address.startswith("builds/heron/01/#picture-")
    assert one.after.address == f"builds/heron/02/#{page(build, 2).plates[0].id}"


@pytest.mark.parametrize(
    ("audience", "before"),
    [
        pytest.param(Audience.VISITOR, "pictures/1.jpg", id="visitor"),
        pytest.param(Audience.CLIENT, "pictures/2.jpg", id="client"),
    ],
)
def test_each_reader_compares_with_what_they_have_seen(audience, before):
    """A picture of an update for the client alone is no visitor's before."""
    build = a_build(
        {"photos": [shot("1", "stern")]},
        {"photos": [shot("2", "stern")], "audience": "client"},
        {"photos": [shot("3", "stern")]},
        views=["stern"],
        photos=["1.jpg", "2.jpg", "3.jpg"],
    )
    last = 2 if audience is Audience.VISITOR else 3

    assert pairs(build, last, audience) == [("stern", before, "pictures/3.jpg")]


def test_a_view_shown_twice_is_stood_for_by_its_first_picture():
    """Of both updates; a view that the build does not list comes after those it does."""
    build = a_build(
        {"photos": [shot("1", "stern"), shot("2", "stern"), shot("3", "keel")]},
        {"photos": [shot("4", "keel"), shot("5", "stern"), shot("6", "stern")]},
        views=["stern"],
        photos=[f"{number}.jpg" for number in range(1, 7)],
    )

    assert pairs(build, 2) == [
        ("stern", "pictures/1.jpg", "pictures/5.jpg"),
        ("keel", "pictures/3.jpg", "pictures/4.jpg"),
    ]


def test_a_callout_of_a_turntable_knows_its_frame():
    """Frames count from 1 in the order of their names; a box leads to its middle."""
    table = turned(
        {"at": [0.2, 0.3], "frame": "3.jpg", "text": "Here."},
        {"box": [0.4, 0.4, 0.2, 0.1], "frame": "1.jpg", "text": "And there."},
    )

    assert [(one.number, one.frame) for one in table.callouts] == [(1, 3), (2, 1)]
    assert (table.callouts[0].across, table.callouts[0].down) == (0.2, 0.3)
    assert (table.callouts[1].across, table.callouts[1].down) == pytest.approx((0.5, 0.45))


def test_a_feature_on_several_frames_is_told_once_on_the_turntable():
    """By what was done to it this time, with the way to where it is told in full on a picture."""
    callout = {"at": [0.5, 0.5], "feature": "light"}
    table = turned(
        {"at": [0.2, 0.3], "frame": "1.jpg", "feature": "light"},
        {"at": [0.6, 0.3], "frame": "2.jpg", "feature": "light"},
        {"at": [0.6, 0.3], "frame": "3.jpg", "feature": "light", "text": "From behind."},
        features=[LIGHT],
        photos=[{"file": "a.jpg", "view": "port bow", "callouts": [callout]}],
    )

    assert [one.title for one in table.callouts] == ["Port sidelight"] * 3
    assert [one.text_html for one in table.callouts] == ["<p>Lens fitted.</p>", "", "<p>From behind.</p>"]
    assert [one.told.address for one in table.callouts if one.told] == ["builds/heron/01/#light"] * 3


def test_anchors_of_a_turntable_are_its_own_and_stay():
    """They hold the turntable's, never a number; what is called out twice holds its frame; reordering changes none."""
    callouts = [
        {"at": [0.2, 0.3], "frame": "1.jpg", "feature": "light"},
        {"at": [0.6, 0.3], "frame": "2.jpg", "feature": "light"},
        {"at": [0.6, 0.3], "frame": "2.jpg", "text": "The staff goes here."},
        {"at": [0.6, 0.5], "frame": "2.jpg", "text": "The staff goes here."},
        {"at": [0.7, 0.3], "frame": "3.jpg", "id": "chock", "text": "A chock."},
    ]
    forwards = turned(*callouts, features=[LIGHT])
    backwards = turned(*reversed(callouts), features=[LIGHT])

    ids = [one.id for one in forwards.callouts]
    assert len(set(ids)) == 5
    assert all(name.startswith(f"{forwards.id}-") for name in ids)
    assert ids[4] == f"{forwards.id}-chock"
    assert {one.id for one in backwards.callouts} == set(ids)


def test_the_build_shows_its_newest_turntable():
    """With its callouts, which there lead nowhere else."""
    build = a_build(
        {"photos": [{"turntable": "turn", "callouts": [{"at": [0.2, 0.3], "frame": "1.jpg", "text": "Here."}]}]},
        photos=FRAMES,
    )
    table = build_page(a_desk(a_workshop(build))).turntable

    assert table is not None
    assert [one.told for one in table.callouts] == [None]


def test_the_scripts_of_the_walkaround_are_light():
    """All of them together are under 25 KB compressed; the large picture's viewer, fetched when opened, aside."""
    assets = Path(render.__file__).parent / "assets"
    scripts = {path.name: path for path in assets.rglob("*.js") if path.name not in ("catalogue.js", "viewer.js")}

    assert {"walkaround.js", "settle.js", "film.js", "stage.js", "turntable.js"} <= scripts.keys()
    assert sum(len(gzip.compress(path.read_bytes(), 9)) for path in scripts.values()) < 25 * 1024
