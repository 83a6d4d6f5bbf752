"""What could be added to records that are right as they stand."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from buildlog.records.loading import read_workshop
from buildlog.records.problems import Severity
from buildlog.records.remarks import (
    NEVER_CITED,
    NO_SOURCE,
    SAMPLE_STANDS,
    SAMPLE_TITLE,
    SUBJECT_TO_WRITE,
    TO_BE_WRITTEN,
)
from buildlog.writing.starting import start_workshop
from tests.records.sites import heron, put

NEW = "builds/heron/stages/2026-04-01-more.yml"
RECORD = """\
date: 2026-04-01
stage: paint
title: Notes
accuracy:
"""
OF_GOOD = {
    ("library/notes.yml", 7, "The coupling hangs at 600 mm."),
    ("builds/heron/stages/2026-03-01-hull.yml", 21, "The sheer line is a straight line aft of the well."),
}
"""Claims of the small good workshop that name no source."""


def told(content: Path, message: str) -> set[tuple[str, int, str]]:
    remarks = read_workshop(content).remarks
    return {(str(it.path), it.line, it.found) for it in remarks if it.message == message}


def test_claims_without_a_source(tmp_path: Path) -> None:
    """Claims of the library and of records are told with their lines."""
    assert told(heron(tmp_path), NO_SOURCE) == OF_GOOD


def test_a_source_named_in_any_record_will_do(tmp_path: Path) -> None:
    """A claim whose source is told later, or comes with the library's note, is not told."""
    content = heron(tmp_path)
    put(content, NEW, f"{RECORD}  - id: sheer\n    source: rules\n  - use: lights\n")

    assert told(content, NO_SOURCE) == {it for it in OF_GOOD if "library" in it[0]}


@pytest.mark.parametrize(
    ("path", "old", "new"),
    [
        pytest.param(
            "library/notes.yml", "claim: The coupling", "source: book\n  claim: The coupling", id="library note"
        ),
        pytest.param(
            "library/paints.yml",
            "satin, colour:",
            'satin, reference: {name: Card, colour: "#b3202b", source: book}, colour:',
            id="paint",
        ),
        pytest.param(
            "builds/heron/stages/2026-03-01-hull.yml", "    outcome:", "    source: book\n    outcome:", id="note"
        ),
        pytest.param(
            "builds/heron/build.yml",
            "spec:",
            "markings:\n  - {name: Name, full_size: 100 mm, source: book}\nspec:",
            id="marking",
        ),
    ],
)
def test_sources_never_cited(tmp_path: Path, path: str, old: str, new: str) -> None:
    """A source is told until a note, a paint or a marking names it."""
    content = heron(tmp_path)
    sources = (content / "library/sources.yml").read_text(encoding="utf-8")
    put(content, "library/sources.yml", f"{sources}- id: book\n  name: A book\n  kind: book\n")
    before = told(content, NEVER_CITED)
    text = (content / path).read_text(encoding="utf-8")
    assert old in text
    put(content, path, text.replace(old, new, 1))

    after = told(content, NEVER_CITED)

    assert before == {("library/sources.yml", 4, "book")}
    assert after == set()


def test_remarks_are_no_problems(tmp_path: Path) -> None:
    """They stand apart from errors and warnings, by file and line, and stop nothing."""
    loaded = read_workshop(heron(tmp_path))

    assert loaded.workshop is not None
    assert loaded.problems == ()
    assert list(loaded.remarks) == sorted(loaded.remarks)
    assert {remark.severity for remark in loaded.remarks} == {Severity.REMARK}


def test_nothing_is_remarked_beside_errors(tmp_path: Path) -> None:
    """While something is wrong, nothing is said of what could be added."""
    content = heron(tmp_path)
    put(content, NEW, f"{RECORD}  - id: new\n")

    loaded = read_workshop(content)

    assert loaded.errors
    assert loaded.remarks == ()


def test_words_of_a_new_workshop_are_told_until_written(tmp_path: Path) -> None:
    """The subject that `buildlog start` left to be said, and its sample record once there are others beside it."""
    start_workshop(tmp_path / "shop", name="Tern Quay Models", today=date(2026, 8, 20), time_zone="Europe/Dublin")
    content = tmp_path / "shop" / "content"

    alone = told(content, TO_BE_WRITTEN), told(content, SAMPLE_STANDS)
    put(content, "builds/first-build/stages/2026-08-21-hull.yml", "date: 2026-08-21\nstage: assembly\ntitle: Hull\n")
    beside = told(content, SAMPLE_STANDS)

    assert alone == ({("builds/first-build/build.yml", 5, SUBJECT_TO_WRITE)}, set())
    assert beside == {("builds/first-build/stages/2025-08-20-sample.yml", 6, SAMPLE_TITLE)}
