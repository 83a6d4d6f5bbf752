"""`buildlog add`: a record out of photos."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
import yaml

from buildlog.photos.facts import PhotoFacts
from buildlog.records.loading import read_workshop
from buildlog.records.models import PhotoEntry
from buildlog.records.workshop import Update

HOME = Path("content", "builds", "first-build")


def the_update(workshop: Path, name: str) -> Update:
    """Load the workshop, which must have no error, and give one record of its build."""
    loaded = read_workshop(workshop / "content")
    assert loaded.workshop is not None, loaded.problems
    return next(update for update in loaded.workshop.builds[0].updates if update.name == name)


def files_of(update: Update) -> list[str]:
    """The pictures a record names, in its order."""
    return [str(entry.file) for entry in update.record.photos if isinstance(entry, PhotoEntry)]


def test_add_makes_a_record_that_loads(workshop, run, ten_photos):
    """Ten photos become a record with a date, a stage, a title and an entry for each, without an error."""
    result = run("add", "first-build", *ten_photos)

    update = the_update(workshop, "2026-08-15-assembly")
    assert result.exit_code == 0
    assert str(update.day) == "2026-08-15"
    assert update.record.stage == "assembly"
    assert update.record.title == "Assembly"
    assert files_of(update) == [f"2026-08-15/IMG_{number}.jpg" for number in range(1000, 1010)]


def test_only_words_are_left_to_write(workshop, run, ten_photos):
    """What the record leaves open is the summary, and view, caption and alt of each picture: warnings, no errors."""
    run("add", "first-build", *ten_photos)

    problems = read_workshop(workshop / "content").problems
    assert not any(problem.is_error for problem in problems)
    keys = [problem.field.rpartition(".")[2] for problem in problems if problem.path.name == "2026-08-15-assembly.yml"]
    assert sorted(keys) == sorted(["summary", *["view", "caption", "alt"] * 10])


def test_words_are_all_it_takes(workshop, run, ten_photos):
    """With words behind the open keys the record has nothing left to complain of."""
    run("add", "first-build", *ten_photos)
    path = workshop / HOME / "stages" / "2026-08-15-assembly.yml"
    lines = path.read_text(encoding="utf-8").splitlines()
    for number, line in enumerate(lines):
        if line.strip() in {"caption:", "alt:"}:
            lines[number] = f"{line} Words about {line.strip()[:-1]} {number}."
        elif line.strip() == "view:":
            lines[number] = f"{line} left side"
        elif line.startswith("summary:"):
            lines[number] = "summary: The hull went together."
    path.write_text("\n".join(lines), encoding="utf-8")

    result = run("check")

    assert result.exit_code == 0
    assert "All is well" in result.stdout


def test_add_says_which_file_to_open(workshop, run, ten_photos):
    """The record's path and what to fill in are printed."""
    result = run("add", "first-build", *ten_photos)

    assert "content/builds/first-build/stages/2026-08-15-assembly.yml" in result.stdout.replace("\\", "/")
    assert "for each picture:      view, caption and alt" in result.stdout
    assert "10 photos" in result.stdout


def test_photos_keep_names_bytes_and_times(workshop, run, draw):
    """A copy lies in the folder of its day, under its own name, byte for byte, with the file's own time."""
    photo = draw("IMG_7.JPG", "2026:08:15 12:00:00")
    os.utime(photo, (1_000_000_000, 1_000_000_000))

    run("add", "first-build", photo)

    copy = workshop / HOME / "photos" / "2026-08-15" / "IMG_7.JPG"
    assert copy.read_bytes() == photo.read_bytes()
    assert copy.stat().st_mtime == 1_000_000_000


def test_photos_are_ordered_by_the_time_taken(workshop, run, draw):
    """Times with an offset, times by the workshop's clock and files' times are put in one order."""
    summer = draw("c.jpg", "2026:08:15 12:30:00", "+02:00")  # 11:30 in Dublin
    local = draw("b.jpg", "2026:08:15 11:45:00")
    file_time = draw("a.jpg")
    moment = datetime(2026, 8, 15, 11, 0, tzinfo=UTC).timestamp()  # 12:00 in Dublin
    os.utime(file_time, (moment, moment))

    run("add", "first-build", file_time, local, summer)

    assert files_of(the_update(workshop, "2026-08-15-assembly")) == [f"2026-08-15/{name}.jpg" for name in "cba"]


def test_a_photo_belongs_to_its_day_by_the_workshops_clock(workshop, run, draw):
    """Half past eleven at night in Dublin is another day in Greenwich time; the workshop's counts."""
    photo = draw("late.jpg", "2026:08:15 23:30:00", "+00:00")

    run("add", "first-build", photo)

    assert files_of(the_update(workshop, "2026-08-16-assembly")) == ["2026-08-16/late.jpg"]


def test_photos_of_several_days(workshop, run, draw):
    """Each photo goes under its own day; the record is dated by the last, and this is said."""
    photos = [draw("a.jpg", "2026:08:13 12:00:00"), draw("b.jpg", "2026:08:15 12:00:00")]

    result = run("add", "first-build", *photos)

    assert files_of(the_update(workshop, "2026-08-15-assembly")) == ["2026-08-13/a.jpg", "2026-08-15/b.jpg"]
    assert "taken on 2 days, 2026-08-13 to 2026-08-15; the record's date is the last" in " ".join(result.stderr.split())


def test_date_stage_and_title_can_be_given(workshop, run, ten_photos):
    """What is given on the command line is in the record, and the title is in its name."""
    result = run(
        *("add", "first-build", *ten_photos),
        *("--date", "2026-08-17", "--stage", "Base coat", "--title", 'Black: "two" coats'),
    )

    update = the_update(workshop, "2026-08-17-black-two-coats")
    assert result.exit_code == 0
    assert str(update.day) == "2026-08-17"
    assert update.record.stage == "base-coat"
    assert update.record.title == 'Black: "two" coats'


def test_stage_is_the_one_in_progress(workshop, run, draw):
    """Once a stage is finished, the next one is proposed."""
    sample = next((workshop / HOME / "stages").iterdir())
    sample.write_text(sample.read_text(encoding="utf-8").replace("share: 10 %", "share: 100 %"), encoding="utf-8")

    run("add", "first-build", draw("a.jpg", "2026:08:15 12:00:00"))

    assert the_update(workshop, "2026-08-15-primer").record.title == "Primer"


def test_a_folder_is_searched_through(workshop, run, draw, tmp_path):
    """All photos in a folder and below it are taken; hidden files are not, and other files are counted."""
    for name in ("a.jpg", "deep/b.jpg", ".thumbs/c.jpg", "._d.jpg"):
        draw(name, "2026:08:15 12:00:00")
    (tmp_path / "camera" / "film.mov").touch()

    result = run("add", "first-build", tmp_path / "camera")

    assert files_of(the_update(workshop, "2026-08-15-assembly")) == ["2026-08-15/a.jpg", "2026-08-15/b.jpg"]
    assert "1 file that is no photo" in result.stderr
    assert ".mov" in result.stderr


def test_the_workshop_s_own_pictures_are_passed_over(workshop, run, draw):
    """Searching the whole workshop finds neither made pictures, nor the site's, nor those of another build."""
    photo = draw("mine.jpg", "2026:08:15 12:00:00")
    for place in ("site/pictures", ".buildlog/pictures", "content/builds/other/photos", "tonight"):
        (workshop / place).mkdir(parents=True, exist_ok=True)
    shutil.copy(workshop / HOME / "build.yml", workshop / "content" / "builds" / "other")
    shutil.copy(photo, workshop / "tonight")
    for number, place in enumerate(("site/pictures", ".buildlog/pictures", "content/builds/other/photos")):
        shutil.copy(draw(f"other{number}.jpg", "2026:08:15 12:00:00"), workshop / place)

    run("add", "first-build", ".")

    assert files_of(the_update(workshop, "2026-08-15-assembly")) == ["2026-08-15/mine.jpg"]


def test_an_empty_name_is_no_folder(workshop, run, snapshot):
    """A variable that is not set does not stand for the current folder."""
    before = snapshot(workshop)

    result = run("add", "first-build", "")

    assert result.exit_code == 2
    assert "The name is empty" in result.stderr
    assert snapshot(workshop) == before


def test_another_photo_of_the_same_name_gets_a_number(workshop, run, draw):
    """Two cameras that both count to IMG_1 do not overwrite each other."""
    one = draw("one/IMG_1.jpg", "2026:08:15 12:00:00")
    other = draw("other/img_1.JPG", "2026:08:15 12:01:00")

    run("add", "first-build", one, other)

    assert files_of(the_update(workshop, "2026-08-15-assembly")) == ["2026-08-15/IMG_1.jpg", "2026-08-15/img_1-2.JPG"]


def test_the_same_photo_twice_is_one(workshop, run, draw, tmp_path):
    """Copies of one file, whatever they are called, are one picture."""
    photo = draw("a.jpg", "2026:08:15 12:00:00")
    shutil.copy(photo, tmp_path / "camera" / "copy of a.jpg")

    run("add", "first-build", tmp_path / "camera", photo)

    assert len(files_of(the_update(workshop, "2026-08-15-assembly"))) == 1


def test_photos_that_are_in_place_are_used_there(workshop, run, draw, snapshot):
    """A photo that lies in the build's folder already, under any name, is not copied again."""
    photo = draw("IMG_1.jpg", "2026:08:15 12:00:00")
    place = workshop / HOME / "photos" / "from the phone"
    place.mkdir()
    shutil.copy(photo, place / "renamed.jpg")

    run("add", "first-build", photo)

    assert files_of(the_update(workshop, "2026-08-15-assembly")) == ["from the phone/renamed.jpg"]
    assert not (workshop / HOME / "photos" / "2026-08-15").exists()


def test_photos_that_are_shown_already_are_left_out(workshop, run, draw):
    """The whole camera can be given again: only what is new gets into the new record."""
    first, second = draw("a.jpg", "2026:08:15 12:00:00"), draw("b.jpg", "2026:08:16 12:00:00")
    run("add", "first-build", first)

    result = run("add", "first-build", first, second)

    assert files_of(the_update(workshop, "2026-08-16-assembly")) == ["2026-08-16/b.jpg"]
    assert "a.jpg left out: 2026-08-15-assembly.yml shows it already" in result.stderr


def test_nothing_new_is_nothing_to_write(workshop, run, draw, snapshot):
    """When every photo is shown already, nothing is written and the exit status says so."""
    photo = draw("a.jpg", "2026:08:15 12:00:00")
    run("add", "first-build", photo)
    before = snapshot(workshop)

    result = run("add", "first-build", photo)

    assert result.exit_code == 1
    assert "There is no photo to add" in result.stderr
    assert snapshot(workshop) == before


def test_a_folder_shown_as_a_whole_gets_no_new_photos(workshop, run, draw):
    """A record that shows a whole folder must not change when photos of the same day are added for another."""
    run("add", "first-build", draw("a.jpg", "2026:08:15 12:00:00"))
    path = workshop / HOME / "stages" / "2026-08-15-assembly.yml"
    path.write_text(
        "date: 2026-08-15\nstage: assembly\ntitle: Hull\nphotos:\n  - folder: 2026-08-15\n", encoding="utf-8"
    )

    run("add", "first-build", draw("b.jpg", "2026:08:15 13:00:00"), "--stage", "primer")

    assert files_of(the_update(workshop, "2026-08-15-primer")) == ["2026-08-15-2/b.jpg"]


def test_bad_photos_are_reported_and_the_rest_go_on(workshop, run, draw, tmp_path):
    """Photos that cannot be used are named with the reason; a record is made of the others."""
    good = draw("good.jpg", "2026:08:15 12:00:00")
    cut = draw("cut.jpg", "2026:08:15 12:00:00")
    cut.write_bytes(cut.read_bytes()[:900])
    (tmp_path / "camera" / "empty.jpg").touch()
    (tmp_path / "camera" / "raw.nef").touch()

    result = run(
        "add", "first-build", *(tmp_path / "camera" / n for n in ("cut.jpg", "empty.jpg", "raw.nef", "no.jpg")), good
    )

    assert result.exit_code == 0
    assert files_of(the_update(workshop, "2026-08-15-assembly")) == ["2026-08-15/good.jpg"]
    for name in ("cut.jpg", "empty.jpg", "raw.nef", "no.jpg"):
        assert name in result.stderr
    assert "Left out:" in result.stderr


def test_a_folder_that_may_not_be_read(workshop, run, draw, tmp_path, monkeypatch):
    """A folder without permission is named with the reason, and the photos beside it are taken."""
    (tmp_path / "locked").mkdir()
    iterdir = Path.iterdir

    def locked(path: Path) -> Iterator[Path]:
        if path.name == "locked":
            raise PermissionError(13, "Permission denied", str(path))
        return iterdir(path)

    monkeypatch.setattr(Path, "iterdir", locked)

    result = run("add", "first-build", tmp_path / "locked", draw("a.jpg", "2026:08:15 12:00:00"))

    assert result.exit_code == 0
    assert "locked: cannot be read: Permission denied" in result.stderr
    assert files_of(the_update(workshop, "2026-08-15-assembly")) == ["2026-08-15/a.jpg"]


def test_a_misspelt_build_gets_the_nearest(workshop, run, draw, snapshot):
    """A build that is not there is answered with the one that was meant."""
    before = snapshot(workshop)

    result = run("add", "frist-build", draw("a.jpg"))

    assert result.exit_code == 1
    assert 'There is no build "frist-build"; did you mean first-build?' in result.stderr
    assert snapshot(workshop) == before


def test_a_build_can_be_named_as_it_is_called(workshop, run, draw):
    """The model's own name does as well as its folder's."""
    result = run("add", "First Build", draw("a.jpg", "2026:08:15 12:00:00"))

    assert result.exit_code == 0


def test_a_misspelt_stage_gets_the_nearest(workshop, run, draw):
    """A stage that is not there is answered with the one that was meant."""
    result = run("add", "first-build", draw("a.jpg"), "--stage", "weathring")

    assert result.exit_code == 1
    assert 'There is no stage of work "weathring"; did you mean weathering?' in result.stderr


def test_a_date_that_is_none(workshop, run, draw):
    """A date in another order is refused with the order that is meant."""
    result = run("add", "first-build", draw("a.jpg"), "--date", "15.8.2026")

    assert result.exit_code == 2
    assert "write year-month-day, such as 2026-08-15" in result.stderr


def test_a_camera_whose_clock_is_wrong(workshop, run, draw):
    """Photos dated before the order are refused, since the record would be; the clock is named as a reason."""
    build = workshop / HOME / "build.yml"
    text = build.read_text(encoding="utf-8").replace("# ordered: 2026-01-20", "ordered: 2025-01-20")
    build.write_text(text, encoding="utf-8")

    result = run("add", "first-build", draw("a.jpg", "2001:01:01 00:00:00"))

    assert result.exit_code == 1
    assert "2001-01-01, before the build was ordered" in result.stderr
    assert "camera's clock" in result.stderr
    given = run("add", "first-build", draw("a.jpg"), "--date", "2001-01-01")
    assert given.exit_code == 1
    assert "2001-01-01 is before the build was ordered (2025-01-20); correct --date" in given.stderr


def test_a_second_record_of_a_day_and_stage(workshop, run, draw, snapshot):
    """It is refused while the first has no time to tell them apart; with a time, the second gets its own."""
    run("add", "first-build", draw("a.jpg", "2026:08:15 12:00:00"))
    before = snapshot(workshop)

    refused = run("add", "first-build", draw("b.jpg", "2026:08:15 19:40:00"))

    assert refused.exit_code == 1
    assert "2026-08-15-assembly.yml tells of 2026-08-15 and the stage Assembly already" in refused.stderr
    assert snapshot(workshop) == before
    first = workshop / HOME / "stages" / "2026-08-15-assembly.yml"
    text = first.read_text(encoding="utf-8").replace("date: 2026-08-15 ", "date: 2026-08-15 12:00 ")
    first.write_text(text, encoding="utf-8")
    assert run("add", "first-build", draw("b.jpg", "2026:08:15 19:40:00")).exit_code == 0
    second = the_update(workshop, "2026-08-15-assembly-2")
    assert str(second.record.date.clock) == "19:40:00"
    assert second.record.title == "Assembly, part 2"


def test_a_dry_run_writes_nothing(workshop, run, ten_photos, snapshot):
    """The record is shown and nothing is written."""
    before = snapshot(workshop)

    result = run("add", "first-build", *ten_photos, "--dry-run")

    assert result.exit_code == 0
    assert "Nothing is written" in result.stderr
    assert "- file: 2026-08-15/IMG_1009.jpg" in result.stdout
    assert snapshot(workshop) == before


def test_a_failed_copy_leaves_no_record(workshop, run, ten_photos, monkeypatch):
    """When the disk is full there is no record, no half-written copy, and the next try goes through."""
    from buildlog.writing import adding

    copy_new = adding.copy_new

    def full_disk(source: Path, path: Path) -> None:
        if source.name == "IMG_1004.jpg":
            raise OSError(28, "No space left on device", str(path))
        copy_new(source, path)

    monkeypatch.setattr(adding, "copy_new", full_disk)
    failed = run("add", "first-build", *ten_photos)
    monkeypatch.setattr(adding, "copy_new", copy_new)
    left = sorted(path.name for path in (workshop / HOME / "photos" / "2026-08-15").iterdir())

    again = run("add", "first-build", *ten_photos)

    assert failed.exit_code == 1
    assert "No space left on device; no record was written" in failed.stderr
    assert left == [f"IMG_{number}.jpg" for number in range(1000, 1004)]
    assert again.exit_code == 0
    assert len(files_of(the_update(workshop, "2026-08-15-assembly"))) == 10
    assert len(list((workshop / HOME / "photos" / "2026-08-15").iterdir())) == 10


def test_errors_elsewhere_are_shown_first(workshop, run, ten_photos, snapshot):
    """With a mistake in the records nothing is added, and the mistake is shown with its line."""
    build = workshop / HOME / "build.yml"
    build.write_text(build.read_text(encoding="utf-8").replace("scale: 1:24", "scale: large"), encoding="utf-8")
    before = snapshot(workshop)

    result = run("add", "first-build", *ten_photos)

    assert result.exit_code == 1
    assert "build.yml:9:8: error: scale" in result.stderr
    assert "Nothing was written" in result.stderr
    assert snapshot(workshop) == before


def test_the_record_is_tied_to_its_schema(workshop, run, ten_photos):
    """A workshop that keeps schemas gets records that lead to them; one without does not."""
    (workshop / ".schemas").mkdir(exist_ok=True)
    (workshop / ".schemas" / "stage.schema.json").write_text("{}", encoding="utf-8")

    run("add", "first-build", *ten_photos)

    first = (workshop / HOME / "stages" / "2026-08-15-assembly.yml").read_text(encoding="utf-8").partition("\n")[0]
    assert first == "# yaml-language-server: $schema=../../../../.schemas/stage.schema.json"


def test_the_record_reads_the_same_to_other_yaml_readers(workshop, run, ten_photos):
    """The record is ordinary YAML in block style."""
    run("add", "first-build", *ten_photos)

    text = (workshop / HOME / "stages" / "2026-08-15-assembly.yml").read_text(encoding="utf-8")
    data = yaml.safe_load(text)
    assert list(data) == ["date", "stage", "title", "summary", "photos"]
    assert data["photos"][0] == {"file": "2026-08-15/IMG_1000.jpg", "view": None, "caption": None, "alt": None}


def test_a_view_is_proposed_where_it_is_sure(workshop, run, draw, monkeypatch):
    """Of photos that look like an earlier picture of a view, the nearest gets the view, with a word to check it."""
    near = {"b.jpg": 0.8, "c.jpg": 0.9}

    def propose(new: PhotoFacts, earlier: dict[str, list[PhotoFacts]]) -> tuple[str, float] | None:
        assert [facts.path.name for facts in earlier["left side"]] == ["sample-sheet.jpg"]
        return ("left side", near[new.path.name]) if new.path.name in near else None

    monkeypatch.setattr("buildlog.writing.adding.propose_view", propose)

    result = run("add", "first-build", *(draw(f"{name}.jpg", "2026:08:15 12:00:00") for name in "abc"))

    photos = the_update(workshop, "2026-08-15-assembly").record.photos
    assert [entry.view for entry in photos if isinstance(entry, PhotoEntry)] == [None, None, "left side"]
    assert "view is proposed for:  1 of 3; check it" in result.stdout


def test_the_demo_s_views_are_found_again(tmp_path, run, monkeypatch):
    """On the demo's renderings a later session's pictures get the views of the earlier one."""
    demo = Path(__file__).parents[2] / "content"
    copy = tmp_path / "demo"
    (copy / "content" / "builds").mkdir(parents=True)
    shutil.copy(demo / "workshop.yml", copy / "content")
    shutil.copytree(demo / "library", copy / "content" / "library")
    tug = copy / "content" / "builds" / "corriemoor"
    (tug / "stages").mkdir(parents=True)
    shutil.copytree(demo / "builds" / "corriemoor" / "photos" / "2026-04-25", tug / "photos" / "2026-04-25")
    (tug / "build.yml").write_text(
        "name: Corriemoor\nsubject:\n  name: Harbour tug\n  kind: vessel\nscale: 1:24\nstatus: in progress\n",
        encoding="utf-8",
    )
    views = {"0587": "port bow", "0588": "starboard quarter", "0589": "port broadside", "0590": "stern"}
    entries = "".join(f"  - file: 2026-04-25/IMG_{n}.jpg\n    view: {view}\n" for n, view in views.items())
    (tug / "stages" / "2026-04-25-primer.yml").write_text(
        f"date: 2026-04-25\nstage: primer\ntitle: Primer\nphotos:\n{entries}", encoding="utf-8"
    )
    (copy / "mkdocs.yml").write_text("site_name: Tern Quay Models\ndocs_dir: content\n", encoding="utf-8")
    monkeypatch.chdir(copy)

    run("add", "corriemoor", demo / "builds" / "corriemoor" / "photos" / "2026-06-06")

    text = next((tug / "stages").glob("2026-06-06*")).read_text(encoding="utf-8")
    data = yaml.safe_load(text)
    found = {entry["file"][-8:-4]: entry["view"] for entry in data["photos"] if entry["view"]}
    assert found.get("0752") == "stern"
    assert sorted(found.values()) == sorted(views.values())


@pytest.mark.parametrize("audience", ["draft", "client"])
def test_a_build_that_the_site_does_not_show(workshop, run, draw, audience):
    """Of a draft or a client's build it is said that the site leaves it out, and what would change that."""
    build = workshop / HOME / "build.yml"
    build.write_text(build.read_text(encoding="utf-8").replace("audience: public", f"audience: {audience}"), "utf-8")

    result = run("add", "first-build", draw("a.jpg", "2026:08:15 12:00:00"))

    said = " ".join(result.stdout.split())
    assert f"does not show first-build while audience in its build.yml is {audience}; write public there" in said
    assert "The preview shows it, marked as such" in said


def test_a_public_build_is_shown(workshop, run, draw):
    """Of a public build nothing is said about its audience."""
    result = run("add", "first-build", draw("a.jpg", "2026:08:15 12:00:00"))

    assert "audience" not in result.stdout


def test_a_day_that_is_still_to_come(workshop, run, draw, monkeypatch):
    """A record dated in the future is begun, with a word about it."""
    monkeypatch.setattr("buildlog.cli._today", lambda: date(2026, 8, 20))

    late = run("add", "first-build", draw("a.jpg", "2026:08:15 12:00:00"), "--date", "2026-09-15")
    in_time = run("add", "first-build", draw("b.jpg", "2026:08:16 12:00:00"))

    assert late.exit_code == 0
    assert "2026-09-15, is still to come" in late.stderr
    assert "still to come" not in in_time.stderr


def test_raw_files_are_to_be_exported(workshop, run, draw, tmp_path):
    """A camera's raw file is answered with what to do, given by itself, in a folder, or alone in one."""
    photo = draw("a.jpg", "2026:08:15 12:00:00")
    (photo.parent / "IMG_1.NEF").touch()
    (tmp_path / "raw").mkdir()
    (tmp_path / "raw" / "IMG_2.CR3").touch()

    result = run("add", "first-build", photo.parent / "IMG_1.NEF", tmp_path / "raw", photo.parent)

    said = " ".join(result.stderr.split())
    assert result.exit_code == 0
    assert "IMG_1.NEF: is a camera's raw file; export the picture as JPEG, and add that" in said
    assert "raw: holds raw files alone; export the picture as JPEG" in said
    assert "left out (.nef). Of a camera's raw file nothing can be shown: export the picture as JPEG." in said
