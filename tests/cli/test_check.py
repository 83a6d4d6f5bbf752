"""`buildlog check`: what it says of mistakes, to a person, to a log and to an editor."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

HOME = Path("content", "builds", "first-build")


@pytest.fixture
def broken(workshop):
    """A workshop with three mistakes in two files, and one doubt."""
    build = workshop / HOME / "build.yml"
    text = build.read_text(encoding="utf-8")
    build.write_text(text.replace("scale: 1:24 ", "scale: large ").replace("  kind:", "  kynd:"), encoding="utf-8")
    sample = workshop / HOME / "stages" / "2025-08-20-sample.yml"
    text = sample.read_text(encoding="utf-8")
    sample.write_text(text.replace("signal-red", "signal-rod").replace("view: left side", "view:"), encoding="utf-8")
    return workshop


def test_a_good_workshop_is_well(workshop, run):
    """Without a mistake the command counts what it read, says what comes next and ends with 0."""
    result = run("check")

    assert result.exit_code == 0
    assert "All is well: 1 build, 1 record, 1 picture." in result.stdout
    assert "Next: buildlog preview" in result.stdout


def test_every_mistake_is_shown_at_once(broken, run):
    """All mistakes of all files are shown, each on a line of its own with file, line and column."""
    result = run("check")

    lines = result.stdout.replace("\\", "/").splitlines()
    starts = [line.partition(" ")[0] for line in lines]
    assert result.exit_code == 1
    assert "content/builds/first-build/build.yml:6:3:" in starts
    assert "content/builds/first-build/build.yml:9:8:" in starts
    assert "content/builds/first-build/stages/2025-08-20-sample.yml:22:9:" in starts
    assert any('unknown key "kynd"; did you mean "kind"?' in line for line in lines)
    assert any('did you mean "signal-red"?' in line for line in lines)
    assert lines[-1] == "3 errors and 1 warning in 2 files. Mend them and check again: buildlog check"


def test_mistakes_as_json(broken, run):
    """An editor gets a list of objects with every part of each problem, and nothing else."""
    result = run("check", "--json")

    problems = json.loads(result.stdout)
    scale = next(problem for problem in problems if problem["key"] == "scale")
    assert result.exit_code == 1
    assert len(problems) == 4
    assert {key for problem in problems for key in problem} == {
        *("file", "line", "column", "key", "message", "found", "accepted", "severity"),
    }
    assert scale["file"] == "content/builds/first-build/build.yml"
    assert (scale["line"], scale["column"], scale["found"], scale["severity"]) == (9, 8, "large", "error")
    assert "1:24" in scale["accepted"]
    assert [problem["severity"] for problem in problems].count("warning") == 1


def test_no_mistakes_as_json(workshop, run):
    """Without problems, and with the words of a new workshop written, the list is empty."""
    build = workshop / HOME / "build.yml"
    text = build.read_text(encoding="utf-8")
    build.write_text(text.replace("What it is a model of", "Harbour tug"), encoding="utf-8")

    result = run("check", "--json")

    assert result.exit_code == 0
    assert json.loads(result.stdout) == []


def test_warnings_fail_only_when_asked_to(workshop, run):
    """A doubt ends with 0, and with 1 under --strict."""
    sample = workshop / HOME / "stages" / "2025-08-20-sample.yml"
    sample.write_text(
        sample.read_text(encoding="utf-8").replace("view: left side", "view: lift side"), encoding="utf-8"
    )

    lenient, strict = run("check"), run("check", "--strict")

    assert lenient.exit_code == 0
    assert "1 warning in 1 file. Warnings stop nothing." in lenient.stdout
    assert 'did you mean "left side"?' in lenient.stdout
    assert strict.exit_code == 1
    assert "Mend it and check again" in strict.stdout


def test_a_photo_that_cannot_be_read(workshop, run):
    """A photo that was cut short is an error that names the file."""
    photo = workshop / HOME / "photos" / "2025-08-20" / "sample-sheet.jpg"
    photo.write_bytes(photo.read_bytes()[:5000])

    result = run("check")

    assert result.exit_code == 1
    assert "content/builds/first-build/photos/2025-08-20/sample-sheet.jpg: error: " in result.stdout.replace("\\", "/")


def test_mistakes_in_records_hide_no_photo(broken, run):
    """A photo that cannot be read is told in the same run as the mistakes in the records."""
    photo = broken / HOME / "photos" / "2025-08-20" / "sample-sheet.jpg"
    photo.write_bytes(photo.read_bytes()[:5000])

    result = run("check")

    assert "content/builds/first-build/photos/2025-08-20/sample-sheet.jpg: error: " in result.stdout.replace("\\", "/")
    assert "4 errors and 1 warning in 3 files" in result.stdout


def test_photos_worth_a_look(workshop, run, draw):
    """Two pictures that are nearly the same are a warning; a folder's rest leaves out what is named beside it."""
    record = "date: 2026-08-15\nstage: primer\ntitle: Primer\nphotos:\n  - file: d/a.jpg\n  - folder: d\n"
    (workshop / HOME / "stages" / "primer.yml").write_text(record, encoding="utf-8")
    folder = workshop / HOME / "photos" / "d"
    folder.mkdir()
    draw("a.jpg", "2026:08:15 12:00:00", seed="same").rename(folder / "a.jpg")
    alone = run("check")
    draw("b.jpg", "2026:08:15 12:01:00", seed="same").rename(folder / "b.jpg")

    both = run("check")

    assert "nearly the same" not in alone.stdout
    assert "a.jpg and b.jpg are nearly the same picture" in both.stdout


def test_the_check_writes_nothing_but_its_store(workshop, run, snapshot):
    """Records, photos and site are as they were."""
    before = snapshot(workshop)

    run("check")

    assert snapshot(workshop) == before


def test_a_workshop_elsewhere(workshop, run, tmp_path, monkeypatch):
    """With --workshop the command works from anywhere, and its paths can be opened from there."""
    monkeypatch.chdir(tmp_path)
    sample = workshop / HOME / "stages" / "2025-08-20-sample.yml"
    sample.write_text(sample.read_text(encoding="utf-8").replace("stage: assembly", "stage: assmbly"), encoding="utf-8")

    result = run("check", "--workshop", "workshop")

    path = result.stdout.partition(":")[0]
    assert result.exit_code == 1
    assert path.replace("\\", "/") == "workshop/content/builds/first-build/stages/2025-08-20-sample.yml"
    assert Path(path).is_file()


def test_a_workshop_above(workshop, run, monkeypatch):
    """The command may be typed in any folder of the workshop."""
    monkeypatch.chdir(workshop / HOME / "stages")

    assert run("check").exit_code == 0


def test_no_workshop_at_all(tmp_path, run, monkeypatch):
    """Outside a workshop the command says so, and how to get one."""
    monkeypatch.chdir(tmp_path)

    result = run("check")

    assert result.exit_code == 1
    assert "There is no workshop here" in result.stderr
    assert "buildlog start FOLDER" in result.stderr
    assert result.stdout == ""


def test_what_could_be_added_is_listed_at_the_end(workshop, run):
    """Claims without a source and sources never cited are listed, counted nowhere, and fail nothing."""
    sample = workshop / HOME / "stages" / "2025-08-20-sample.yml"
    text = sample.read_text(encoding="utf-8")
    line = next(number for number, one in enumerate(text.splitlines(), 1) if "claim:" in one)
    sample.write_text("".join(it for it in text.splitlines(True) if "source:" not in it), encoding="utf-8")

    plain, strict, as_json = run("check"), run("check", "--strict"), run("check", "--json")

    said = plain.stdout.replace("\\", "/").splitlines()
    assert said[:6] == [
        "Worth a look: a claim without a source. Add source: and who says so.",
        f"  content/builds/first-build/stages/2025-08-20-sample.yml:{line}: The lamp stands this high above the deck.",
        "Worth a look: a source that nothing cites. Name it where it is used, or take it out.",
        "  content/library/sources.yml:3: visit-1",
        "Worth a look: the words of a new workshop still stand here. Write your own.",
        "  content/builds/first-build/build.yml:5: What it is a model of",
    ]
    assert said[6].startswith("All is well")
    assert (plain.exit_code, strict.exit_code, as_json.exit_code) == (0, 0, 0)
    assert [it["severity"] for it in json.loads(as_json.stdout)] == ["remark"] * 3


def test_a_long_list_is_cut_short(workshop, run):
    """Of many alike eight are named, and the rest are counted."""
    sources = workshop / "content" / "library" / "sources.yml"
    more = "".join(f"- {{id: book-{number}, name: Book {number}, kind: book}}\n" for number in range(10))
    sources.write_text(sources.read_text(encoding="utf-8") + more, encoding="utf-8")

    result = run("check")

    assert "a source that nothing cites, 10 times." in result.stdout
    assert result.stdout.count("sources.yml:") == 8
    assert "  and 2 more; buildlog check --json lists them all" in result.stdout


def test_builds_for_a_client_are_noted(workshop, run):
    """A client's build is no warning: it is said that the public site leaves it out."""
    build = workshop / HOME / "build.yml"
    build.write_text(build.read_text(encoding="utf-8").replace("audience: public", "audience: client"), "utf-8")

    result = run("check", "--strict")

    assert result.exit_code == 0
    assert "Kept off the public site, for client pages, which a later version makes: first-build." in result.stdout
