"""One broken file hides nothing of the others, and nothing is called unknown that may stand in it."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.records.loading import read_workshop
from tests.records.sites import heron, put, said_of

RECORD = "builds/heron/stages/2026-04-01-more.yml"
HEAD = "date: 2026-04-01\nstage: hull\ntitle: More planks\n"


@pytest.mark.parametrize(
    ("path", "use"),
    [
        pytest.param("library/parts.yml", "features: [{id: lantern, parts: [rivet]}]\n", id="parts"),
        pytest.param("library/paints.yml", "features: [{id: lantern, paints: [mauve]}]\n", id="paints"),
        pytest.param("library/sources.yml", "accuracy: [{id: sheer, source: letter}]\n", id="sources"),
        pytest.param("library/notes.yml", "accuracy: [{use: draught}]\n", id="notes"),
        pytest.param("workshop.yml", "done: []\n", id="workshop"),
        pytest.param("builds/heron/build.yml", "done: [caulking]\nhours: {caulking: 3}\n", id="build"),
        pytest.param(
            "builds/heron/stages/2026-03-01-hull.yml",
            "features: [{id: tiller, state: begun}]\naccuracy: [{id: rake, features: [mast]}]\n"
            "decisions: [{id: flag, answer: red}]\n"
            "photos: [{file: 2026-03-01/b.jpg, alt: The bow., callouts: [{at: [0, 0], feature: mast}]}]\n",
            id="stage record",
        ),
    ],
)
def test_what_an_unreadable_file_may_hold_is_not_unknown(path: str, use: str, tmp_path: Path) -> None:
    """A file that cannot be read is one problem, whatever refers to it."""
    content = heron(tmp_path)
    put(content, path, "- {\n")
    put(content, RECORD, HEAD + use)

    said = said_of(content).splitlines()

    assert len(said) == 1
    assert said[0].startswith(f"error: {path}:1:3: the {{ that opens here is never closed")


def test_an_unreadable_file_hides_no_other_mistake(tmp_path: Path) -> None:
    """Every file is read, and what can be checked is checked."""
    content = heron(tmp_path)
    put(content, "library/parts.yml", "- {\n")
    put(content, "builds/heron/stages/2026-02-01-first.yml", "date: [\n")
    put(content, RECORD, HEAD + "features: [{id: lantern, paints: [mauve]}]\ndone: [caulking]\n")
    put(content, "builds/teal/build.yml", "name: Teal\n")

    said = said_of(content).splitlines()

    assert [line.split(": ")[1] for line in said] == [
        "builds/heron/stages/2026-02-01-first.yml:1:7",
        f"{RECORD}:4:35",
        f"{RECORD}:5:8",
        "builds/teal/build.yml:1:1",
        "builds/teal/build.yml:1:1",
        "builds/teal/build.yml:1:1",
        "library/parts.yml:1:3",
    ]


def test_an_id_in_a_broken_item_is_known(tmp_path: Path) -> None:
    """What is wrong with an item is said of the item, and not again of everything that uses it."""
    content = heron(tmp_path)
    put(content, "library/parts.yml", "- {id: lamp, name: Lamp}\n- {id: rivet}\n")
    put(
        content,
        RECORD,
        HEAD + "features:\n  - {id: lantern, parts: [rivet]}\n  - {id: tiller, name: Tiller, area: Bow, state: bent}\n"
        "photos:\n  - file: 2026-03-01/b.jpg\n    alt: The bow.\n    callouts: [{at: [0, 0], feature: tiller}]\n",
    )
    put(content, "builds/heron/stages/2026-05-01-later.yml", HEAD.replace("04", "05") + "features: [{id: tiller}]\n")

    said = said_of(content).splitlines()

    assert len(said) == 2
    assert 'state: "bent" is not known here' in said[0]
    assert "[1].name: is missing" in said[1]


def test_places_after_an_item_was_left_out(tmp_path: Path) -> None:
    """Where an item could not be understood, what follows it in the list is still found on its line."""
    content = heron(tmp_path)
    put(
        content,
        RECORD,
        HEAD + "features:\n"
        "  - name: Without an id\n"
        "  - {id: lantern, parts: [lamp, {count: 2}, bolt]}\n"
        "  - area: Bow\n"
        "  - {id: lantern, paints: [mauve]}\n",
    )

    said = said_of(content).splitlines()

    assert [line.partition("2026-04-01-more.yml:")[2].partition(": ")[0] for line in said] == [
        "5:5", "6:33", "6:45", "7:5", "8:10", "8:28",
    ]  # fmt: skip
    assert 'features[1].parts[2]: there is no part "bolt"' in said[2]
    assert 'features[3].id: the feature "lantern" is listed already on line 6' in said[4]
    assert 'features[3].paints[0]: there is no paint "mauve"' in said[5]


@pytest.mark.parametrize(
    ("key", "value"),
    [
        pytest.param("scale: 1:16", "scale: small", id="scale"),
        pytest.param("status: in progress", "status: nearly", id="status"),
        pytest.param("  kind: vessel", "  kind: []", id="kind of subject"),
        pytest.param("audience: client", "audience: friends", id="audience"),
        pytest.param("ordered: 2026-01-10", "ordered: last year", id="ordered"),
        pytest.param("stage: paint, hours: 10}", "stage: paint, hours: many}", id="a work item"),
    ],
)
def test_what_follows_from_a_mistake_is_not_reported(key: str, value: str, tmp_path: Path) -> None:
    """A build with one mistake is checked all the same, without what cannot be known."""
    content = heron(tmp_path)
    build = (content / "builds/heron/build.yml").read_text()
    assert key in build
    put(content, "builds/heron/build.yml", build.replace(key, value) + "cover: 2026-03-01/z.png\n")
    put(
        content,
        RECORD,
        HEAD + "audience: public\ndone: [coats]\nhours: {coats: 1}\naccuracy:\n  - {use: lights}\n"
        "  - {id: ring, claim: So., full_size: 300 mm, measured: 18.75 mm, tolerance: 2 %, outcome: as full size}\n",
    )

    loaded = read_workshop(content)

    said = [str(problem) for problem in loaded.problems if not problem.path.name.startswith("2026-04")]
    assert len(said) == 2
    assert "cover: there is no photo" in said[1] or "cover: there is no photo" in said[0]


def test_a_record_without_its_date(tmp_path: Path) -> None:
    """A record whose date is missing is checked for all else, and stands in nobody's way."""
    content = heron(tmp_path)
    put(
        content,
        RECORD,
        "stage: hull\ntitle: More\nfeatures: [{id: lantern, state: begun}]\ndone: [{id: planking, share: 10 %}]\n"
        "formerly: [2026-03-01-hull]\n",
    )

    said = said_of(content).splitlines()

    assert len(said) == 2
    assert "date: is missing" in said[0]
    assert "formerly[0]" in said[1]


def test_answers_do_not_depend_on_what_was_read_before(tmp_path: Path) -> None:
    """Reading twice gives the same answer, and equal workshops."""
    content = heron(tmp_path)

    first, second = read_workshop(content), read_workshop(content)

    assert first.problems == second.problems
    assert first.workshop == second.workshop


def test_warnings_do_not_stop_a_run(tmp_path: Path) -> None:
    """With warnings alone there is a workshop."""
    content = heron(tmp_path)
    put(content, RECORD, HEAD + "photos:\n  - file: 2026-03-01/b.jpg\n    caption:\n    alt:\n    view:\n")

    loaded = read_workshop(content)

    assert loaded.workshop is not None
    assert loaded.errors == ()
    assert len(loaded.problems) == 3


def test_progress_is_told(tmp_path: Path) -> None:
    """Whoever waits is told of each build."""
    content = heron(tmp_path)
    put(content, "builds/teal/build.yml", "name: Teal\n")
    told: list[tuple[int, int]] = []

    read_workshop(content, on_progress=lambda done, total: told.append((done, total)))

    assert told == [(1, 2), (2, 2)]
