"""Small workshops on disk, and what the loader says of them."""

from __future__ import annotations

import io
import shutil
from functools import cache
from pathlib import Path

from PIL import Image

from buildlog.records.loading import Loaded, read_workshop

TESTS = Path(__file__).resolve().parent.parent
REPOSITORY = TESTS.parent
BROKEN = TESTS / "broken"
SITES = TESTS / "sites"
DEMO = REPOSITORY / "content"

HERON_PHOTOS = tuple(f"heron/photos/2026-03-01/{name}.jpg" for name in "abc")
FORMAT_PAGE_PHOTOS = (
    "corriemoor/photos/2026-08-15/IMG_1026.jpg",
    "corriemoor/photos/2026-08-15/IMG_1030.jpg",
    "corriemoor/photos/2026-08-15/IMG_1040.jpg",
    *(f"corriemoor/photos/2026-10-10/IMG_{number}.jpg" for number in range(1330, 1334)),
)


@cache
def a_photo() -> bytes:
    """Draw a small picture."""
    stream = io.BytesIO()
    Image.new("RGB", (12, 8), "navy").save(stream, "JPEG")
    return stream.getvalue()


def put_photos(content: Path, photos: tuple[str, ...]) -> None:
    """Draw a small picture at each path below `builds/`."""
    for photo in photos:
        path = content / "builds" / photo
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(a_photo())


def put(content: Path, path: str, text: str | bytes) -> None:
    """Write one file of a workshop."""
    target = content / path
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(text.encode() if isinstance(text, str) else text)


def heron(folder: Path, changes: Path | None = None) -> Path:
    """Copy the small good workshop, with one fault's files laid over it."""
    content = folder / "content"
    shutil.copytree(BROKEN / "good", content)
    put_photos(content, HERON_PHOTOS)
    if changes:
        shutil.copytree(changes, content, dirs_exist_ok=True, ignore=shutil.ignore_patterns("says.txt"))
    return content


def format_page(folder: Path) -> Path:
    """Copy the workshop that shows every key of the record format."""
    content = folder / "content"
    shutil.copytree(SITES / "format-page", content)
    put_photos(content, FORMAT_PAGE_PHOTOS)
    return content


def demo(folder: Path) -> Path:
    """Copy the demo workshop's records, with a small picture in place of each photo."""
    content = folder / "content"
    for source in sorted(DEMO.rglob("*")):
        inside = source.relative_to(DEMO)
        if not source.is_file() or inside.parts[0] not in {"workshop.yml", "library", "builds"}:
            continue
        target = content / inside
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(a_photo() if "photos" in inside.parts else source.read_bytes())
    return content


def says(loaded: Loaded) -> str:
    """Give all problems as a person reads them, one on a line."""
    return "".join(f"{problem.severity}: {problem}\n" for problem in loaded.problems)


def said_of(content: Path) -> str:
    """Read a workshop and give its problems as a person reads them."""
    return says(read_workshop(content))
