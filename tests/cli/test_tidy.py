"""`buildlog tidy` and `buildlog site --verify`: the store of made pictures, as a builder meets it."""

import os
from pathlib import Path

from PIL import Image


def made_files(workshop: Path) -> list[str]:
    return sorted(path.name for path in (workshop / ".buildlog" / "pictures").rglob("*.webp"))


def test_tidy_removes_what_no_record_shows(workshop, run, ten_photos):
    """After a photo is taken out of its record, its made pictures go, and those still shown stay."""
    run("add", "first-build", *map(str, ten_photos[:3]))
    assert run("site").exit_code == 0
    (record,) = (workshop / "content" / "builds" / "first-build" / "stages").glob("2026-08-15*.yml")
    before = made_files(workshop)
    nothing = run("tidy")
    kept = record.read_text(encoding="utf-8").split("  - file: 2026-08-15/IMG_1002.jpg")[0]
    record.write_text(kept, encoding="utf-8")

    result = run("tidy")

    assert nothing.exit_code == 0
    assert "Nothing to remove" in nothing.stdout
    assert result.exit_code == 0, result.output
    assert "removed" in result.stdout
    after = made_files(workshop)
    assert set(after) < set(before)
    assert run("site").exit_code == 0
    assert made_files(workshop) == after


def test_verify_finds_a_photo_changed_behind_its_size_and_time(workshop, run, ten_photos):
    """A file with other pixels but the same length and date is passed over by a plain run and found by --verify."""
    run("add", "first-build", str(ten_photos[0]))
    run("site")
    (photo,) = (workshop / "content" / "builds" / "first-build" / "photos").rglob("IMG_1000.jpg")
    was = photo.stat()
    Image.new("RGB", (480, 320), "#b3202a").save(photo)
    with photo.open("ab") as file:
        file.write(b"\0" * (was.st_size - photo.stat().st_size))
    os.utime(photo, ns=(was.st_atime_ns, was.st_mtime_ns))
    before = made_files(workshop)

    run("site")
    plain = made_files(workshop)
    run("site", "--verify")
    verified = made_files(workshop)

    assert plain == before
    assert set(verified) > set(before)


def test_tidy_with_mistakes_in_the_records_removes_nothing(workshop, run):
    """What is shown cannot be known then, so nothing is touched and the mistakes are told."""
    run("site")
    (workshop / "content" / "workshop.yml").write_text("format: 2\n", encoding="utf-8")
    before = made_files(workshop)

    result = run("tidy")

    assert result.exit_code == 1
    assert made_files(workshop) == before
