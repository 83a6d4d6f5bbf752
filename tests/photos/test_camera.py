"""What is read of the notes a camera makes."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from buildlog.photos.camera import CameraSettings, read_notes, time_in_words
from buildlog.photos.facts import read_facts, read_taken
from tests.photos.cameras import FORMATS, exif_block, scene, write_photo

SUMMER = timezone(timedelta(hours=1))


@pytest.mark.parametrize(
    ("time", "offset", "expected"),
    [
        # 2022:08:14 14:12:31 +03:00 is a published sample's time, 11:12:31 UTC (exif-samples, a Nokia file).
        pytest.param("2022:08:14 14:12:31", "+03:00", datetime(2022, 8, 14, 11, 12, 31, tzinfo=UTC), id="offset"),
        pytest.param("2022:08:14 14:12:31", "-0330", datetime(2022, 8, 14, 17, 42, 31, tzinfo=UTC), id="no colon"),
        pytest.param("2022:08:14 14:12:31", "Z", datetime(2022, 8, 14, 14, 12, 31, tzinfo=UTC), id="Z"),
        pytest.param("2022-08-14T14:12:31", "", datetime(2022, 8, 14, 14, 12, 31), id="ISO"),  # noqa: DTZ001
        pytest.param("2022:08:14 14:12", "", datetime(2022, 8, 14, 14, 12), id="no seconds"),  # noqa: DTZ001
        pytest.param("2022:08:14 14:12:31", "+99:00", datetime(2022, 8, 14, 14, 12, 31), id="no offset"),  # noqa: DTZ001
        pytest.param("0000:00:00 00:00:00", "", None, id="clock never set"),
        pytest.param("    :  :     :  :  ", "   :  ", None, id="blank"),
        pytest.param("2022:02:30 10:00:00", "", None, id="no such day"),
        pytest.param("yesterday", "", None, id="words"),
    ],
)
def test_time(time: str, offset: str, expected: datetime | None) -> None:
    """A time is aware when the camera gave an offset, zone-less when not, and missing when it makes no sense."""
    moment = time_in_words(time, offset)

    assert moment == expected
    assert getattr(moment, "tzinfo", None) is None or getattr(expected, "tzinfo", None) is not None


@given(st.text(), st.text())
def test_time_of_any_words(time: str, offset: str) -> None:
    """Whatever a camera writes where the time should be, reading it does no harm."""
    moment = time_in_words(time, offset)

    assert moment is None or isinstance(moment, datetime)


@pytest.mark.parametrize("kind", FORMATS)
def test_notes_of_every_format(kind: str, tmp_path: Path) -> None:
    """Time, settings, and what must be stripped are found in every format."""
    path = write_photo(tmp_path / f"photo.{kind}", scene(), exif=exif_block())

    facts = read_facts(path)

    assert facts.taken == datetime(2026, 8, 15, 14, 12, 31, tzinfo=SUMMER)
    assert facts.camera == CameraSettings(
        make="Invented", model="PLANTED-MODEL", exposure=1 / 125, f_number=5.6, iso=400, focal_length=60.0
    )
    assert facts.carries == {"position", "owner", "serial number"}
    assert read_taken(path) == facts.taken


def test_time_without_offset(tmp_path: Path) -> None:
    """A camera that knows no zone is not given one."""
    path = write_photo(tmp_path / "photo.jpg", scene(), exif=exif_block(offset=""))

    taken = read_taken(path)

    assert taken == datetime(2026, 8, 15, 14, 12, 31)  # noqa: DTZ001
    assert taken.tzinfo is None


def test_nothing_noted(tmp_path: Path) -> None:
    """A photo without metadata has no time and carries nothing."""
    facts = read_facts(write_photo(tmp_path / "photo.png", scene()))

    assert facts.taken is None
    assert facts.carries == frozenset()
    assert facts.camera == CameraSettings()


def test_notes_in_xmp_alone(tmp_path: Path) -> None:
    """Where an editor left XMP and no Exif, time, position and owner are found there."""
    xmp = (
        b'<rdf:Description exif:GPSLatitude="53,20.99N" aux:OwnerName="A. Example" '
        b'exif:DateTimeOriginal="2026-08-15T14:12:31.25+01:00"/>'
    )
    path = tmp_path / "photo.webp"
    scene().save(path, xmp=xmp)

    facts = read_facts(path)

    assert facts.taken == datetime(2026, 8, 15, 14, 12, 31, tzinfo=SUMMER)
    assert facts.carries == {"position", "owner"}


@pytest.mark.parametrize(
    "value",
    [b"\xff\xfe\0", (1, 300, 2.5), "words", None, 7, ((1, 2), (3, 4))],
    ids=["bytes", "numbers", "words", "none", "a number", "pairs"],
)
@pytest.mark.parametrize("tag", [0x02BC, 0x0132, 0x010F, 0x8827, 0x829A, 0x013B, 0x0112], ids=hex)
def test_values_of_another_kind(tag: int, value: object, monkeypatch: pytest.MonkeyPatch) -> None:
    """A field that holds something else than its kind is passed over, whatever it holds."""
    file = io.BytesIO()
    scene().save(file, "PNG")
    exif = Image.Exif()
    exif[tag] = value
    with Image.open(file) as image:
        monkeypatch.setattr(image, "getexif", lambda: exif)
        notes = read_notes(image)

    assert notes.taken is None
    assert notes.orientation in range(1, 9)


def test_position_without_position(tmp_path: Path) -> None:
    """A GPS block that only says its version, as cameras without reception write it, is no position."""
    exif = Image.Exif()
    exif.get_ifd(0x8825)[0] = b"\2\3\0\0"
    path = tmp_path / "photo.jpg"
    scene().save(path, exif=exif.tobytes())

    assert read_facts(path).carries == frozenset()


def test_damaged_notes(tmp_path: Path) -> None:
    """Damaged metadata costs nothing but itself."""
    path = tmp_path / "photo.jpg"
    scene().save(path, exif=b"Exif\0\0II*\0\x08\0\0\0\xff\xff" + b"\xee" * 40)

    facts = read_facts(path)

    assert facts.taken is None
    assert facts.size == (240, 160)
