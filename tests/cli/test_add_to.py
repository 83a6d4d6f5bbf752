"""`buildlog add --to`: photos into a record that is there."""

from __future__ import annotations

from pathlib import Path, PurePosixPath

import pytest

from buildlog.writing.extending import CannotExtendError, extend_photos
from tests.cli.test_add import HOME, files_of, the_update

RECORD = HOME / "stages" / "2026-08-15-assembly.yml"
NAME = "2026-08-15-assembly"


@pytest.fixture
def first(workshop, run, draw):
    """A record of one photo, made by the command."""
    run("add", "first-build", draw("a.jpg", "2026:08:15 12:00:00"))
    return workshop / RECORD


def test_without_it_the_option_is_named(first, run, draw):
    """A second session of a day and stage is refused with the option that puts the photos into the first."""
    result = run("add", "first-build", draw("b.jpg", "2026:08:15 13:00:00"))

    assert result.exit_code == 1
    assert f"To put the photos into it, add again with: --to {NAME}" in result.stderr


@pytest.mark.parametrize("written", [NAME, f"{NAME}.yml", RECORD.as_posix(), NAME.upper()])
def test_photos_go_to_the_end_of_the_record(workshop, first, run, draw, written):
    """The new entries stand after the others and look like them; the words around them stay."""
    before = first.read_text(encoding="utf-8")

    result = run(
        "add", "first-build", *(draw(f"{n}.jpg", f"2026:08:15 13:0{i}:00") for i, n in enumerate("bc")), "--to", written
    )

    after = first.read_text(encoding="utf-8")
    added = "".join(f"  - file: 2026-08-15/{name}.jpg\n    view:\n    caption:\n    alt:\n\n" for name in "bc")
    assert result.exit_code == 0
    assert after == before.replace("# next:", f"{added}# next:")
    assert files_of(the_update(workshop, NAME)) == [f"2026-08-15/{name}.jpg" for name in "abc"]
    assert f"2 photos in {NAME}.yml, at the end of its photos" in result.stdout
    assert "its title and summary" not in result.stdout


def test_windows_line_ends_and_the_byte_order_mark_stay(workshop, first, run, draw):
    """A file of an editor on Windows keeps every byte it has, and the new lines end as the others do."""
    before = b"\xef\xbb\xbf" + first.read_bytes().replace(b"\n", b"\r\n")
    first.write_bytes(before)

    run("add", "first-build", draw("b.jpg", "2026:08:15 13:00:00"), "--to", NAME)

    after = first.read_bytes()
    added = b"  - file: 2026-08-15/b.jpg\r\n    view:\r\n    caption:\r\n    alt:\r\n\r\n"
    assert after == before.replace(b"# next:", added + b"# next:")


def test_permissions_stay(first, run, draw):
    """A file that others may read is still theirs to read."""
    first.chmod(0o640)

    run("add", "first-build", draw("b.jpg", "2026:08:15 13:00:00"), "--to", NAME)

    assert first.stat().st_mode & 0o777 == 0o640


def test_photos_of_another_day_are_told(first, run, draw):
    """The record keeps its date; when the photos were taken is said."""
    result = run("add", "first-build", draw("b.jpg", "2026:08:17 13:00:00"), "--to", NAME)

    assert "taken on 2026-08-17; the record's date is 2026-08-15" in " ".join(result.stderr.split())


def test_a_dry_run_shows_the_lines(workshop, first, run, draw, snapshot):
    """Only the new lines are shown, and nothing is written."""
    before = snapshot(workshop)

    result = run("add", "first-build", draw("b.jpg", "2026:08:15 13:00:00"), "--to", NAME, "--dry-run")

    assert result.stdout == "  - file: 2026-08-15/b.jpg\n    view:\n    caption:\n    alt:\n"
    assert snapshot(workshop) == before


def test_a_record_that_cannot_be_extended(workshop, first, run, draw):
    """Photos in brackets are not touched: the photos are copied in, and the lines are given to paste."""
    before = "date: 2026-08-15\nstage: assembly\ntitle: Hull\nphotos: [{file: 2026-08-15/a.jpg, alt: The hull.}]\n"
    first.write_text(before, encoding="utf-8")

    result = run("add", "first-build", draw("b.jpg", "2026:08:15 13:00:00"), "--to", NAME)

    assert result.exit_code == 1
    assert "is as it was, since its photos stand in brackets. Paste these lines" in " ".join(result.stderr.split())
    assert result.stdout.startswith("  - file: 2026-08-15/b.jpg\n    view:\n")
    assert first.read_text(encoding="utf-8") == before
    assert (workshop / HOME / "photos" / "2026-08-15" / "b.jpg").is_file()


def test_a_record_that_changes_meanwhile(workshop, first, run, draw, monkeypatch):
    """What the person saves while photos are copied is not lost."""
    from buildlog.writing import adding

    copy_new = adding.copy_new

    def save_meanwhile(source: Path, path: Path) -> None:
        copy_new(source, path)
        first.write_text("date: 2026-08-15\nstage: assembly\ntitle: Mine\n", encoding="utf-8")

    monkeypatch.setattr(adding, "copy_new", save_meanwhile)

    result = run("add", "first-build", draw("b.jpg", "2026:08:15 13:00:00"), "--to", NAME)

    assert result.exit_code == 1
    assert "was changed in the meantime" in result.stderr
    assert the_update(workshop, NAME).record.title == "Mine"
    assert not list(first.parent.glob(".*.part"))


def test_a_misspelt_record_gets_the_nearest(first, run, draw):
    """A record that is not there is answered with the one that was meant."""
    result = run("add", "first-build", draw("b.jpg"), "--to", "2026-08-15-asembly")

    assert result.exit_code == 1
    assert f'no record "2026-08-15-asembly"; did you mean {NAME}?' in result.stderr


def test_a_record_has_its_date_already(first, run, draw):
    """A date, stage or title beside the record is a contradiction."""
    result = run("add", "first-build", draw("b.jpg"), "--to", NAME, "--stage", "primer")

    assert result.exit_code == 2
    assert "leave --date, --stage, --title out" in " ".join(result.stderr.split())


# --- the lines -----------------------------------------------------------------------------------


def entries(column: int) -> list[str]:
    """Lines of one new entry."""
    return [f"{' ' * column}- file: b.jpg", f"{' ' * column}  alt:", ""]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        pytest.param(
            "photos:\n  - file: a.jpg\n", "photos:\n  - file: a.jpg\n+  - file: b.jpg\n+    alt:\n", id="last"
        ),
        pytest.param(
            "photos:\n- file: a.jpg\nnext:\n  text: x\n",
            "photos:\n- file: a.jpg\n+- file: b.jpg\n+  alt:\nnext:\n  text: x\n",
            id="dashes-at-the-edge",
        ),
        pytest.param(
            "photos:\n    - file: a.jpg   # mine\n      alt: >\n        Two\n        lines.\n\n\ntitle: x\n",
            "photos:\n    - file: a.jpg   # mine\n      alt: >\n        Two\n        lines.\n"
            "+    - file: b.jpg\n+      alt:\n\n\ntitle: x\n",
            id="text-over-lines",
        ),
        pytest.param(
            "photos:\n  - file: a.jpg\n    alt:\n    # callouts:\n    #   - at: [0, 0]\n# next:\n",
            "photos:\n  - file: a.jpg\n    alt:\n    # callouts:\n    #   - at: [0, 0]\n"
            "+  - file: b.jpg\n+    alt:\n# next:\n",
            id="comments-of-the-last",
        ),
        pytest.param(
            "photos:\n  - file: a.jpg\n\n  - {file: c.jpg, alt: x}\ntitle: x",
            "photos:\n  - file: a.jpg\n\n  - {file: c.jpg, alt: x}\n+\n+  - file: b.jpg\n+    alt:\ntitle: x",
            id="parted-by-empty-lines",
        ),
        pytest.param(
            "photos:            # none yet\n  # hints\nnext: {text: x}\n",
            "photos:            # none yet\n  # hints\n+  - file: b.jpg\n+    alt:\nnext: {text: x}\n",
            id="empty",
        ),
        pytest.param(
            "photos:\n  - file: a.jpg", "photos:\n  - file: a.jpg\n+  - file: b.jpg\n+    alt:\n", id="no-end"
        ),
    ],
)
def test_lines_are_put_at_the_end_of_the_photos(before, after):
    """However the list is written out in lines, new entries line up with it and nothing else changes."""
    extended = extend_photos(before, entries, [PurePosixPath("b.jpg")])

    assert extended == after.replace("+", "")


@pytest.mark.parametrize(
    ("text", "why"),
    [
        pytest.param("photos: [{file: a.jpg}]\n", "stand in brackets", id="brackets"),
        pytest.param("title: x\n", "has no photos: yet", id="none"),
        pytest.param("{title: x, photos: [a.jpg]}\n", "keys stand in braces", id="braces"),
        pytest.param("a: &a\n  - file: x.jpg\nphotos: *a\n", "are a repeat", id="repeat"),
        pytest.param("photos: &a\n  - file: x.jpg\nb: *a\n", "in an unusual way", id="repeated"),
        pytest.param("photos:\n  - file: a.jpg\n    alt: |+\n      x\n\n\ntitle: x\n", "unusual", id="kept-lines"),
        pytest.param("photos: [\n", "cannot be read", id="broken"),
    ],
)
def test_what_cannot_be_extended(text, why):
    """Where lines would change what the record says elsewhere, none are put in."""
    with pytest.raises(CannotExtendError, match=why):
        extend_photos(text, entries, [PurePosixPath("b.jpg")])
