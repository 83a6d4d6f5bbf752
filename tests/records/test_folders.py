"""A content folder: what is read of it, what is left alone, and what is refused."""

from __future__ import annotations

import os
import unicodedata
from datetime import date
from decimal import Decimal
from pathlib import Path, PurePosixPath

import pytest

from buildlog.records import loading
from buildlog.records.loading import PICTURE_SUFFIXES, address_for, is_ignored, read_workshop
from buildlog.records.workshop import HoursRow
from tests.records.sites import a_photo, heron, put, said_of

RECORD = "date: 2026-04-01\nstage: hull\ntitle: More planks\n"


def test_order_of_records(tmp_path: Path) -> None:
    """Records follow by date, then time of day, then file name."""
    content = heron(tmp_path)
    stages = "builds/heron/stages"
    put(content, f"{stages}/b.yml", "date: 2026-02-01 14:30\nstage: hull\ntitle: Afternoon\n")
    put(content, f"{stages}/a.yml", "date: 2026-02-01 09:00\nstage: hull\ntitle: Morning\n")
    put(content, f"{stages}/z.yml", "date: 2026-02-01\nstage: paint\ntitle: Day\n")
    put(content, f"{stages}/y.yml", "date: 2026-01-20\nstage: hull\ntitle: First\n")

    loaded = read_workshop(content)

    assert loaded.workshop
    assert [update.name for update in loaded.workshop.builds[0].updates] == ["y", "z", "a", "b", "2026-03-01-hull"]


def test_builds_by_name(tmp_path: Path) -> None:
    """Builds follow by folder name, and take the workshop's stages where they have none of their own."""
    content = heron(tmp_path)
    own = (content / "builds/heron/build.yml").read_text().replace("scale", "stages: [{id: all, name: All}]\nscale")
    put(content, "builds/avocet/build.yml", own.partition("work:")[0])

    loaded = read_workshop(content)

    assert loaded.workshop
    avocet, other = loaded.workshop.builds
    assert (avocet.slug, other.slug) == ("avocet", "heron")
    assert [stage.id for stage in avocet.stages] == ["all"]
    assert dict(other.stage_names) == {"hull": "Hull", "paint": "Paint"}
    assert avocet.photos == ()


@pytest.mark.parametrize(
    "name",
    [".DS_Store", ".hidden.yml", "Thumbs.db", "desktop.ini", "build.yml~", "#build.yml#", ".build.yml.swp", "x.bak",
     "~$notes.docx", "photo.tmp"],
)  # fmt: skip
def test_what_nobody_meant_is_left_alone(name: str, tmp_path: Path) -> None:
    """Hidden files and what editors and file managers leave behind are no records and no mistakes."""
    content = heron(tmp_path)
    for folder in ("", "library", "builds", "builds/heron", "builds/heron/stages", "builds/heron/photos/2026-03-01"):
        put(content, f"{folder}/{name}".lstrip("/"), "no: [record\n")

    assert is_ignored(name)
    assert said_of(content) == ""


def test_other_content_of_the_site_is_left_alone(tmp_path: Path) -> None:
    """Pages and folders beside the records are not the loader's business."""
    content = heron(tmp_path)
    put(content, "index.md", "# Home\n")
    put(content, "guide/first.md", "# First\n")
    put(content, "assets/site.css", "")

    assert said_of(content) == ""


@pytest.mark.parametrize(
    "slug", ["möwe", "чайка", "かもめ", "नाव", "نورس", "gull-2", "G.1", "船42", "ไทย"]
)  # fmt: skip
def test_names_in_any_script(slug: str, tmp_path: Path) -> None:
    """Folders, records, ids and photos may be named in any script; what is shown is in composed form."""
    content = heron(tmp_path)
    written = unicodedata.normalize("NFD", slug)
    (content / "builds/heron").rename(content / "builds" / written)
    put(content, f"builds/{written}/stages/2026-04-01-{written}.yml", RECORD)
    put(content, f"builds/{written}/photos/2026-03-01/{slug}.jpg", a_photo())
    put(content, "library/parts.yml", f"- {{id: {slug}, name: Part}}\n- {{id: lamp, name: Lamp}}\n")

    loaded = read_workshop(content)

    assert [str(problem) for problem in loaded.problems] == []
    assert loaded.workshop
    build = loaded.workshop.builds[0]
    assert build.slug == unicodedata.normalize("NFC", slug)
    assert build.updates[-1].name == f"2026-04-01-{build.slug}"
    assert build.slug in loaded.workshop.parts
    assert PurePosixPath(f"2026-03-01/{build.slug}.jpg") in build.photos
    assert build.folder.is_dir()


def test_photo_named_in_another_form_of_unicode(tmp_path: Path) -> None:
    """A photo whose accents are letters of their own cannot be found by the name a person types, so it is reported."""
    content = heron(tmp_path)
    name = unicodedata.normalize("NFD", "möwe.jpg")
    put(content, f"builds/heron/photos/2026-03-01/{name}", a_photo())

    said = said_of(content)

    assert said == (
        f"error: builds/heron/photos/2026-03-01/{name}: its accents are written as letters of their own; "
        "rename it by typing möwe.jpg afresh\n"
    )


@pytest.mark.parametrize(
    ("name", "address"),
    [
        pytest.param("My launch", "My-launch", id="space"),
        pytest.param("  two  spaces ", "two-spaces", id="spaces"),
        pytest.param("50% done!", "50-done", id="signs"),
        pytest.param("über (neu)", "über-neu", id="letters of another language"),
        pytest.param("---", "", id="nothing left"),
        pytest.param("a/b", "a-b", id="slash"),
        pytest.param("x" * 300, "x" * 100, id="long"),
    ],
)
def test_address_for(name: str, address: str) -> None:
    """A name that cannot be an address is given the nearest that can."""
    assert address_for(name) == address


def test_names_that_are_no_text(tmp_path: Path) -> None:
    """A file name that is not UTF-8 is reported, and the rest is read."""
    content = heron(tmp_path)
    (Path(os.fsdecode(os.fsencode(content) + b"/builds/heron/stages/caf\xe9.yml"))).write_text(RECORD)

    said = said_of(content)

    assert said == ('error: builds/heron/stages: "caf\\udce9.yml" has invisible letters in its name; rename it\n')


# --- photos --------------------------------------------------------------------------------------


def test_photos_of_every_kind(tmp_path: Path) -> None:
    """All kinds of picture count, in any capitals; sidecar files do not, and others earn a warning by kind."""
    content = heron(tmp_path)
    folder = "builds/heron/photos/2026-03-01"
    names = [f"p{number}{suffix.upper()}" for number, suffix in enumerate(sorted(PICTURE_SUFFIXES))]
    for name in [*names, "p0.xmp", "film.mov", "raw.cr2", "raw.nef", "list.txt"]:
        put(content, f"{folder}/{name}", a_photo())

    loaded = read_workshop(content)

    assert loaded.workshop
    assert {photo.name for photo in loaded.workshop.builds[0].photos} == {"a.jpg", "b.jpg", "c.jpg", *names}
    assert [str(problem) for problem in loaded.problems] == [
        f"{folder}: 2 files are a camera's raw files and can't be shown (raw.cr2, raw.nef); export the picture as JPEG",
        f"{folder}: 2 files are of a kind that can't be shown (film.mov, list.txt); "
        "pictures are JPEG, PNG, TIFF, WebP, AVIF or HEIC",
    ]


def test_many_photos_not_used_earn_one_line(tmp_path: Path) -> None:
    """Hundreds of photos that nothing shows are one warning a folder, not hundreds."""
    content = heron(tmp_path)
    for number in range(300):
        put(content, f"builds/heron/photos/2026-05-01/IMG_{number:04}.jpg", b"")

    said = said_of(content)

    assert said == (
        "warning: builds/heron/photos/2026-05-01: 300 photos are shown nowhere "
        "(IMG_0000.jpg, IMG_0001.jpg, IMG_0002.jpg, …); name them in a record, list them under except, or delete them\n"
    )


def test_photos_shown_by_a_draft_or_left_out_count_as_used(tmp_path: Path) -> None:
    """A cover, a decision's picture, a draft's picture and what `except` names are all used."""
    content = heron(tmp_path)
    for name in ("cover", "choice", "draft", "blurred"):
        put(content, f"builds/heron/photos/2026-04-01/{name}.jpg", a_photo())
    build = content / "builds/heron/build.yml"
    put(content, "builds/heron/build.yml", build.read_text() + "cover: 2026-04-01/cover.jpg\n")
    put(
        content,
        "builds/heron/stages/2026-04-01-draft.yml",
        RECORD + "audience: draft\nphotos:\n  - folder: 2026-04-01\n    except: [blurred.jpg, cover.jpg, choice.jpg]\n"
        "decisions:\n  - {id: stripe, pictures: [2026-04-01/choice.jpg]}\n",
    )

    assert said_of(content) == ""


def test_empty_photo_folder(tmp_path: Path) -> None:
    """A folder without a picture in it cannot be shown; where its pictures lie deeper, the message says so."""
    content = heron(tmp_path)
    (content / "builds/heron/photos/2026-04-01").mkdir()
    put(content, "builds/heron/photos/2026-04-02/card/d.jpg", a_photo())
    put(
        content,
        "builds/heron/stages/2026-04-01-more.yml",
        RECORD + "photos:\n  - folder: 2026-04-01\n  - turntable: 2026-04-02\n",
    )

    said = [line for line in said_of(content).splitlines() if line.startswith("error")]

    assert len(said) == 2
    assert said[0].endswith('the folder "2026-04-01" has no picture in it; put the pictures there, or correct the name')
    assert said[1].endswith('the folder "2026-04-02" has no picture in it; its pictures lie in "2026-04-02/card"')


# --- links and other things that are no files ----------------------------------------------------


def test_links_out_of_the_folder(tmp_path: Path) -> None:
    """Links out of the content folder are refused wherever they stand, and nothing behind them is read."""
    content = heron(tmp_path)
    outside = tmp_path / "outside"
    (outside / "stages").mkdir(parents=True)
    (outside / "build.yml").write_text("name: Outside\n")
    (outside / "d.jpg").write_bytes(a_photo())
    links = [
        "library/glues.yml",
        "builds/teal",
        "builds/heron/hours.csv",
        "builds/heron/stages/more.yml",
        "builds/heron/photos/2026-04-01",
        "builds/heron/photos/2026-03-01/d.jpg",
    ]
    for link in links:
        target = outside / "d.jpg" if link.endswith("jpg") else outside / "build.yml" if "." in link else outside
        (content / link).symlink_to(target)

    said = said_of(content)

    assert sorted(said.splitlines()) == sorted(
        f"error: {link}: is a link out of the content folder; put a copy of the file itself there" for link in links
    )


def test_link_by_a_way_round(tmp_path: Path) -> None:
    """A link to a link, or one that goes out by `..`, is followed to its end before it is judged."""
    content = heron(tmp_path)
    (tmp_path / "outside.yml").write_text(RECORD)
    (content / "builds/heron/stages/one.yml").symlink_to("two.yml")
    (content / "builds/heron/stages/two.yml").symlink_to("../../../../outside.yml")

    said = said_of(content).splitlines()

    assert [line.split(": ")[1] for line in said] == ["builds/heron/stages/one.yml", "builds/heron/stages/two.yml"]
    assert all("is a link out of the content folder" in line for line in said)


def test_links_inside_the_folder(tmp_path: Path) -> None:
    """Links that stay inside are followed, also where the content folder is a link itself."""
    content = heron(tmp_path)
    (content / "builds/heron/photos/again").symlink_to("2026-03-01")
    put(content, "builds/heron/stages/2026-04-01-more.yml", RECORD + "photos:\n  - folder: again\n")
    (tmp_path / "link").symlink_to(content)

    loaded = read_workshop(tmp_path / "link")

    assert [str(problem) for problem in loaded.problems] == []
    assert loaded.workshop
    assert PurePosixPath("again/a.jpg") in loaded.workshop.builds[0].photos


def test_links_in_a_circle(tmp_path: Path) -> None:
    """A folder that holds itself by a link is not walked for ever."""
    content = heron(tmp_path)
    (content / "builds/heron/photos/2026-03-01/again").symlink_to("..")

    said = said_of(content)

    assert "lies too deep; keep photos in folders directly under photos/" in said


def test_pipes_in_place_of_files(tmp_path: Path) -> None:
    """A pipe in place of a record, a time sheet or a photo is refused and never opened."""
    content = heron(tmp_path)
    for path in ("stages/more.yml", "hours.csv", "photos/2026-03-01/d.jpg"):
        os.mkfifo(content / "builds/heron" / path)

    said = said_of(content).splitlines()

    assert said == [
        "error: builds/heron/hours.csv: is not an ordinary file, so it is not read; put a text file in its place",
        "error: builds/heron/photos/2026-03-01/d.jpg: is not an ordinary file; put the picture itself there",
        "error: builds/heron/stages/more.yml: is not an ordinary file, so it is not read; put a text file in its place",
    ]


def test_folders_in_place_of_files(tmp_path: Path) -> None:
    """A folder where a file is meant, and the other way round, is said so once."""
    content = heron(tmp_path)
    (content / "library/parts.yml").unlink()
    (content / "library/parts.yml").mkdir()
    (content / "builds/teal/build.yml").mkdir(parents=True)
    put(content, "builds/teal/photos", "")
    (content / "builds/heron/stages/deeper").mkdir()

    said = said_of(content).splitlines()

    assert said == [
        "error: builds/heron/stages/deeper: is a folder; stage records stand in stages/ itself, one file each",
        "error: builds/teal/build.yml: is meant to be a file; put a file of this name in its place",
        "error: builds/teal/photos: is meant to be a folder; put a folder of this name in its place",
        "error: library/parts.yml: is meant to be a file; put a file of this name in its place",
    ]


def test_folder_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder without permission is reported, and the rest is read."""
    content = heron(tmp_path)
    real = os.scandir

    def denied(path: Path) -> object:
        if path.name == "library":
            raise PermissionError(13, "Permission denied")
        return real(path)

    monkeypatch.setattr(loading.os, "scandir", denied)

    said = said_of(content)

    assert said.startswith("error: library: the folder can't be read: permission denied\n")


@pytest.mark.parametrize(
    ("make", "expected"),
    [
        pytest.param("none", 'error: .: there is no folder "nowhere" to read', id="no folder"),
        pytest.param("file", 'error: .: there is no folder "nowhere" to read', id="a file"),
        pytest.param("empty", "error: workshop.yml: there is no workshop.yml; write one", id="empty folder"),
    ],
)
def test_no_workshop(make: str, expected: str, tmp_path: Path) -> None:
    """A folder that is no workshop is one error."""
    content = tmp_path / "nowhere"
    if make == "file":
        content.write_text("")
    elif make == "empty":
        content.mkdir()

    said = said_of(content)

    assert said.startswith(expected)
    assert said.count("\n") == 1


def test_workshop_without_builds(tmp_path: Path) -> None:
    """A workshop may have no library and no builds yet."""
    put(tmp_path, "content/workshop.yml", "format: 1\nname: New\nstages: [{id: all, name: All}]\n")

    loaded = read_workshop(tmp_path / "content")

    assert loaded.problems == ()
    assert loaded.workshop
    assert loaded.workshop.builds == ()


@pytest.mark.parametrize(
    ("name", "right"),
    [
        pytest.param("workshop.yaml", "rename it to workshop.yml", id="other ending"),
        pytest.param("Workshop.yml", "rename it to workshop.yml", id="capitals"),
        pytest.param("workshops.yml", "rename it to workshop.yml", id="plural"),
    ],
)
def test_misnamed_workshop(name: str, right: str, tmp_path: Path) -> None:
    """A workshop's file under another name is one error that gives the right one."""
    content = heron(tmp_path)
    (content / "workshop.yml").rename(content / name)

    assert said_of(content) == f"error: {name}: is not read under this name; {right}\n"


@pytest.mark.parametrize(
    ("path", "right"),
    [
        pytest.param("build", "put what it holds into builds", id="beside builds"),
        pytest.param("libary", "put what it holds into library", id="beside library"),
        pytest.param("builds/heron/Photos", "put what it holds into photos", id="beside photos"),
        pytest.param("builds/heron/photo", "put what it holds into photos", id="one photo"),
    ],
)
def test_misnamed_folder(path: str, right: str, tmp_path: Path) -> None:
    """A folder under nearly the right name is one error that gives the right one."""
    content = heron(tmp_path)
    (content / path).mkdir()

    assert said_of(content) == f"error: {path}: is not read under this name; {right}\n"


@pytest.mark.parametrize(
    ("path", "gone", "says"),
    [
        pytest.param("library/paint.yml", "", "put what it holds into paints.yml", id="one paint"),
        pytest.param("library/paint.yml", "parts.yml", "put what it holds into paints.yml", id="one paint, no parts"),
        pytest.param("library/paint.yml", "paints.yml", "rename it to paints.yml", id="paints are missing"),
        pytest.param("library/prats.yml", "parts.yml", "rename it to parts.yml", id="letters changed about"),
        pytest.param(
            "library/other.yml", "notes.yml", "use parts.yml, paints.yml, sources.yml or notes.yml", id="other"
        ),
        pytest.param("library/stores.yml", "sources.yml", "use parts.yml, paints.yml, sources.yml or", id="stores"),
        pytest.param("library/prints.yml", "paints.yml", "use parts.yml, paints.yml, sources.yml or", id="prints"),
        pytest.param("builds/heron/guild.yml", "build.yml", "a build has build.yml, and its stage records", id="guild"),
        pytest.param("builds/heron/biuld.yml", "build.yml", "rename it to build.yml", id="build with a slip"),
        pytest.param("builds/heron/build.yaml", "build.yml", "rename it to build.yml", id="other ending"),
        pytest.param(
            "worship.yml", "workshop.yml", "records stand in workshop.yml, library/ and builds/", id="worship"
        ),
    ],
)
def test_only_a_near_name_is_proposed(path: str, gone: str, says: str, tmp_path: Path) -> None:
    """A file is to be renamed only where its name is near to the best known one and that is free."""
    content = heron(tmp_path)
    folder = (content / path).parent
    if gone:
        (folder / gone).unlink()
    put(content, path, "[]\n")

    said = [line for line in said_of(content).splitlines() if line.startswith(f"error: {path}: ")]

    assert len(said) == 1
    assert says in said[0]


def test_spreadsheet_in_place_of_time_sheet(tmp_path: Path) -> None:
    """A spreadsheet is to be saved as the time sheet, not renamed."""
    content = heron(tmp_path)
    put(content, "builds/heron/hours.xlsx", b"PK")

    assert said_of(content) == "error: builds/heron/hours.xlsx: is not read under this name; save it as hours.csv\n"


# --- the time sheet ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        pytest.param('date,work,hours,note\n2026-03-01,planking,3.5,"Larch, wet"\n', id="plain"),
        pytest.param('\ufeffDate,Work,Hours,Note\r\n2026-03-01,planking,3.5,"Larch, wet"\r\n', id="from a spreadsheet"),
        pytest.param("date;work;hours;note\n2026-03-01;planking;3,5;Larch, wet\n", id="semicolons, decimal comma"),
        pytest.param('hours,date,note,work\n3.5,2026-03-01,"Larch, wet",planking\n', id="other order"),
        pytest.param(
            'date,work,hours,note\n2026-03-01 , planking, 3.5 h ,"Larch, wet"\n\n,,,\n', id="spaces and blanks"
        ),
    ],
)
def test_time_sheet(text: str, tmp_path: Path) -> None:
    """However the table was saved, its rows mean the same."""
    content = heron(tmp_path)
    put(content, "builds/heron/hours.csv", text)

    loaded = read_workshop(content)

    assert [str(problem) for problem in loaded.problems] == []
    assert loaded.workshop
    assert loaded.workshop.builds[0].hours == (HoursRow(date(2026, 3, 1), "planking", Decimal("3.5"), "Larch, wet", 2),)


def test_time_sheet_lines_after_a_long_note(tmp_path: Path) -> None:
    """Lines are counted in the file, also after a note of several lines."""
    content = heron(tmp_path)
    put(
        content,
        "builds/heron/hours.csv",
        "date,work,hours\n2026-03-01,planking,1\n",
    )
    put(
        content,
        "builds/heron/hours.csv",
        'date,work,hours,note\n2026-03-01,planking,1,"one\ntwo\n\nthree"\n\n2026-03-02,nothing,1,\n',
    )

    assert said_of(content).startswith("error: builds/heron/hours.csv:7: work: there is no work item")


def test_time_sheet_without_notes(tmp_path: Path) -> None:
    """The note's column may be left out."""
    content = heron(tmp_path)
    put(content, "builds/heron/hours.csv", "date,work,hours\n2026-03-01,planking,1\n")

    loaded = read_workshop(content)

    assert loaded.workshop
    assert loaded.workshop.builds[0].hours[0].note == ""


def test_time_sheet_of_bytes(tmp_path: Path) -> None:
    """A time sheet that is no UTF-8 is refused like a record."""
    content = heron(tmp_path)
    put(content, "builds/heron/hours.csv", b"date,work,hours,note\n2026-03-01,planking,1,caf\xe9\n")

    assert said_of(content).startswith("error: builds/heron/hours.csv:2:26: the byte 0xe9 here (byte 47 of the file)")
