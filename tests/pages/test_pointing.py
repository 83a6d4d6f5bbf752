"""Where a place that is pointed at goes in its record: the lines, pasted, make the callout that was meant."""

from __future__ import annotations

from pathlib import PurePosixPath

import pytest

from buildlog.pages.gallery import Shot
from buildlog.pages.pointing import pointing
from buildlog.records.models import StageRecord
from buildlog.records.reading import Document, parse_document

HEAD = "date: 2026-08-15\nstage: markings\ntitle: Name\n"

RECORDS = {
    "with callouts": "photos:\n  - file: a/1.jpg\n    caption: Bow.\n    callouts:\n      - at: [0.1, 0.2]\n"
    "        text: One.\n      - box: [0.1, 0.2, 0.3, 0.1]\n        text: >-\n          Two,\n\n          in two.\n"
    "  - file: a/2.jpg\n",
    "without": "photos:\n  - file: a/1.jpg\n    caption: >\n      Bow,\n      in two lines.\n  - file: a/2.jpg\n",
    "key left empty": "photos:\n  - file: a/1.jpg\n    callouts:\n    caption: Bow.\n",
    "dashes at the margin": "photos:\n- file: a/1.jpg\n  callouts:\n  - at: [0.1, 0.2]\n    text: One.\n"
    "next:\n  text: More.\n",
    "set in by four": "photos:\n    -   file: a/1.jpg\n        callouts:\n            -   text: One.\n"
    "                at:\n"
    "                    - 0.1\n                    - 0.2\n            # a comment\n\nnext:\n    text: More.\n",
    "callouts in braces": "photos:\n  - file: a/1.jpg\n    callouts:\n      - {at: [0.1, 0.2], text: One}\n",
    "no last line end": "photos:\n  - file: a/1.jpg\n    callouts:\n      - text: One.\n        at: [0.1,\n"
    "          0.2]  # there",
}


def read(text: str) -> tuple[Document, StageRecord]:
    document = parse_document(PurePosixPath("builds/heron/stages/name.yml"), HEAD + text)
    assert not [problem for problem in document.problems if problem.is_error]
    return document, StageRecord.model_validate(document.data)


def shot(record: StageRecord) -> Shot:
    entry = record.photos[0]
    return Shot(entry.file, callouts=entry.callouts)


@pytest.mark.parametrize("text", RECORDS.values(), ids=RECORDS.keys())
def test_a_further_callout_comes_last(text):
    """Lines put where they are said to go make one more callout of that picture, and change nothing else."""
    document, record = read(text)
    where = pointing(document, shot(record))
    lines = (HEAD + text).split("\n")
    new = [*where.begin, f"{where.indent}- at: [0.500, 0.600]", f"{where.indent}  text: >-", f"{where.indent}    New."]

    _, after = read("\n".join([*lines[: where.after], *new, *lines[where.after :]]).removeprefix(HEAD))

    assert where.record == "builds/heron/stages/name.yml"
    *others, last = after.photos[0].callouts
    assert (last.at, last.text) == ((0.5, 0.6), "New.")
    assert tuple(others) == record.photos[0].callouts
    assert after.photos[1:] == record.photos[1:]
    assert after.model_copy(update={"photos": ()}) == record.model_copy(update={"photos": ()})


@pytest.mark.parametrize("text", [each for each in RECORDS.values() if "One" in each], ids=lambda text: "")
def test_a_moved_callout_takes_the_place_of_its_lines(text):
    """A callout's new line, put in place of the old, moves it and nothing else."""
    document, record = read(text)
    line = pointing(document, shot(record)).callouts[0]
    lines = (HEAD + text).split("\n")

    moved = [f"{line.before}at: [0.500, 0.600]{line.after}"]
    _, after = read("\n".join([*lines[: line.first - 1], *moved, *lines[line.last :]]).removeprefix(HEAD))

    first, *others = after.photos[0].callouts
    assert first == record.photos[0].callouts[0].model_copy(update={"at": (0.5, 0.6)})
    assert tuple(others) == record.photos[0].callouts[1:]


def test_a_picture_of_a_folder_gets_an_entry_of_its_own():
    """A picture that only its folder names is named, after the folder's entry."""
    text = "photos:\n  - folder: a\n    except: [3.jpg]\nnext:\n  text: More.\n"
    document, record = read(text)
    where = pointing(document, Shot(PurePosixPath("a/2.jpg"), entry=0, is_named=False))
    lines = (HEAD + text).split("\n")
    new = [*where.begin, f"{where.indent}- at: [0.500, 0.600]", f"{where.indent}  text: New."]

    _, after = read("\n".join([*lines[: where.after], *new, *lines[where.after :]]).removeprefix(HEAD))

    assert after.photos[0] == record.photos[0]
    assert after.photos[1].file == PurePosixPath("a/2.jpg")
    assert after.photos[1].callouts[0].text == "New."


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("photos: [{file: a/1.jpg}]\n", id="list-in-brackets"),
        pytest.param("photos:\n  - {file: a/1.jpg}\n", id="entry-in-braces"),
        pytest.param(
            "photos:\n  - file: a/1.jpg\n    callouts: [{at: [0.1, 0.2], text: One}]\n", id="callouts-in-brackets"
        ),
    ],
)
def test_what_is_not_written_in_lines_takes_no_lines(text):
    """An entry in braces or brackets has no line after which another could go, and is not offered one."""
    document, record = read(text)

    assert pointing(document, shot(record)) is None
