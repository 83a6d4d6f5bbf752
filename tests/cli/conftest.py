"""A fresh workshop, photos drawn as a camera would have made them, and the command run as a person runs it."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from PIL import ExifTags, Image, ImageDraw

from buildlog.cli import cli
from buildlog.writing.starting import start_workshop

Draw = Callable[..., Path]
Run = Callable[..., Result]


@pytest.fixture
def workshop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A workshop as `buildlog start` makes it, with the test standing in its folder."""
    folder = tmp_path / "workshop"
    start_workshop(folder, name="Tern Quay Models", today=date(2026, 8, 20), time_zone="Europe/Dublin")
    monkeypatch.chdir(folder)
    return folder


@pytest.fixture
def draw(tmp_path: Path) -> Draw:
    """Draw a photo that differs from every other; `taken` and `offset` go into its Exif block."""

    def draw_photo(name: str, taken: str | None = None, offset: str | None = None, *, seed: str = "") -> Path:
        path = tmp_path / "camera" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        dice = random.Random(seed or name)
        picture = Image.new("RGB", (480, 320), "#8a97a3")
        pen = ImageDraw.Draw(picture)
        for _ in range(14):
            left, top = dice.randrange(440), dice.randrange(280)
            colour = (dice.randrange(256), dice.randrange(256), dice.randrange(256))
            pen.rectangle([left, top, left + dice.randrange(20, 200), top + dice.randrange(20, 150)], fill=colour)
        exif = Image.Exif()
        block = exif.get_ifd(ExifTags.IFD.Exif)
        if taken:
            block[ExifTags.Base.DateTimeOriginal] = taken
        if offset:
            block[ExifTags.Base.OffsetTimeOriginal] = offset
        picture.save(path, exif=exif)
        return path

    return draw_photo


@pytest.fixture
def ten_photos(draw: Draw) -> list[Path]:
    """An evening's photos, in the order they were taken."""
    return [draw(f"IMG_{1000 + n}.jpg", f"2026:08:15 {18 + n // 6}:{n % 6 * 10:02}:00", "+01:00") for n in range(10)]


@pytest.fixture
def run() -> Run:
    """Run the command in this process; what it cannot handle is raised here."""

    def run_command(*words: str | Path) -> Result:
        return CliRunner().invoke(cli, [str(word) for word in words], catch_exceptions=False)

    return run_command


def files_in(folder: Path) -> dict[str, bytes]:
    """Every file of a folder, by its path in it."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture
def snapshot() -> Callable[[Path], dict[str, bytes]]:
    """Take every file of a folder but the store of made pictures, to compare before with after."""

    def take(folder: Path) -> dict[str, bytes]:
        return {name: data for name, data in files_in(folder).items() if not name.startswith(".buildlog/")}

    return take
