"""What is refused, and how it is said."""

from __future__ import annotations

import contextlib
import os
import struct
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageFile

from buildlog.photos.decoding import Decoded
from buildlog.photos.facts import PhotoError, read_facts, read_taken
from buildlog.photos.settings import PictureSettings
from buildlog.photos.store import PictureStore
from tests.photos.cameras import FORMATS, exif_block, scene, write_photo

Decode = Callable[..., Decoded]


@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
@pytest.mark.parametrize("kind", FORMATS)
def test_cut_short(kind: str, share: float, tmp_path: Path) -> None:
    """A photo that was not copied to its end is refused in every format, and named."""
    whole = write_photo(tmp_path / f"whole.{kind}", scene(), exif=exif_block())
    if kind == "mpo":
        # The second picture of an MPO may be lost without harm; the first ends where the next one starts.
        content = whole.read_bytes()
        content = content[: content.index(b"\xff\xd9\xff\xd8") + 2]
    else:
        content = whole.read_bytes()
    path = tmp_path / f"IMG_0001.{kind}"
    path.write_bytes(content[: int(len(content) * share)])

    with pytest.raises(PhotoError, match=r"is (damaged or )?cut short|is damaged") as caught:
        read_facts(path)

    assert caught.value.path == path
    assert "; " in caught.value.message


def test_cut_short_stays_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another library that lets Pillow pass cut-short files does not change that."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    path = write_photo(tmp_path / "IMG_0001.jpg", scene())
    path.write_bytes(path.read_bytes()[:-2000])

    with pytest.raises(PhotoError, match=r"is cut short: it ends after \d+\.\d kB; copy it from the camera again"):
        read_facts(path)


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [
        pytest.param("a.jpg", b"", "is empty", id="empty"),
        pytest.param("a.jpg", bytes(5000), "holds nothing but zeros", id="zeros"),
        pytest.param("a.jpg", b"GIF89a" + bytes(100), "is a GIF, not a photo", id="GIF"),
        pytest.param("a.png", b"%PDF-1.7\n%", "is a PDF document", id="PDF"),
        pytest.param("a.jpg", b"<!DOCTYPE html><html>", "is a text", id="a web page saved as JPEG"),
        pytest.param("a.heic", bytes(4) + b"ftypqt  " + bytes(90), "is a film, not a photo", id="film"),
        pytest.param("a.tif", b"II*\0\x10\0\0\0CR\2\0" + bytes(90), "is a camera's raw file", id="raw"),
        pytest.param("a.jpg", b"\xff\xd8\xff\xe0", "is damaged or cut short", id="a JPEG's first bytes"),
        pytest.param("a.jpg", b"hello there, this is no picture", "is not a picture of a kind", id="words"),
        pytest.param("a.gif", b"GIF89a" + bytes(100), "is not taken as a photo; use one of avif", id="suffix"),
        pytest.param("a.nef", b"II*\0" + bytes(100), "is not taken as a photo", id="raw suffix"),
    ],
)
def test_wrong_kind(name: str, content: bytes, message: str, tmp_path: Path) -> None:
    """Whatever else lies among the photos is refused in words that say what it is."""
    path = tmp_path / name
    path.write_bytes(content)

    with pytest.raises(PhotoError, match=message):
        read_facts(path)


def test_not_there(tmp_path: Path) -> None:
    """A missing file, a folder and a pipe are each refused at once."""
    (tmp_path / "folder.jpg").mkdir()
    os.mkfifo(tmp_path / "pipe.jpg")

    with pytest.raises(PhotoError, match="does not exist"):
        read_facts(tmp_path / "missing.jpg")
    with pytest.raises(PhotoError, match="is not an ordinary file"):
        read_facts(tmp_path / "folder.jpg")
    with pytest.raises(PhotoError, match="is not an ordinary file"):
        read_facts(tmp_path / "pipe.jpg")


def test_name_that_is_no_text(tmp_path: Path) -> None:
    """A file whose name is not UTF-8, as old cards hold them, is refused with a name that can be printed."""
    path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/caf\xe9.jpg"))
    write_photo(path, scene())
    with PictureStore(tmp_path / "store") as store:
        pictures, errors = store.make([path])

    assert not pictures
    assert [str(error).encode() for error in errors] == [
        f"{tmp_path}/caf�.jpg: has a name that is not UTF-8; rename it".encode()
    ]


def _png_bomb(width: int, height: int) -> bytes:
    """Write a PNG that claims any size in a few bytes (PNG, third edition, section 11.2)."""
    chunks = b""
    for name, body in (
        (b"IHDR", struct.pack(">2I5B", width, height, 8, 2, 0, 0, 0)),
        (b"IDAT", zlib.compress(bytes(1000))),
        (b"IEND", b""),
    ):
        chunks += struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
    return b"\x89PNG\r\n\x1a\n" + chunks


def _webp_bomb(width: int, height: int) -> bytes:
    """Write a WebP whose canvas is far larger than its one picture (RFC 9649, section 2.7)."""
    body = b"VP8X" + struct.pack("<I", 10) + b"\x02\0\0\0"
    body += (width - 1).to_bytes(3, "little") + (height - 1).to_bytes(3, "little")
    body += b"VP8L" + struct.pack("<I", 8) + b"\x2f\0\0\0\0\0\0\0"
    return b"RIFF" + struct.pack("<I", len(body) + 4) + b"WEBP" + body


@pytest.mark.parametrize(
    ("name", "content"),
    [
        pytest.param("a.png", _png_bomb(60_000, 60_000), id="PNG"),
        pytest.param("a.png", _png_bomb(250_001, 1_000), id="PNG just over the limit"),
        pytest.param("a.webp", _webp_bomb(16_384, 16_384), id="WebP"),
    ],
)
def test_bomb(name: str, content: bytes, tmp_path: Path) -> None:
    """A small file that claims to hold more pixels than the limit is refused before they are made room for."""
    path = tmp_path / name
    path.write_bytes(content)

    with pytest.raises(PhotoError, match=r"is too large.*; save it with at most 250,000,000 pixels in all"):
        read_facts(path)


def test_limit_of_pixels(tmp_path: Path, decoded: Decode) -> None:
    """The limit is the stated one: at it a photo is taken, above it refused, whatever Pillow's own limit says."""
    path = write_photo(tmp_path / "a.png", Image.new("L", (100, 100)).convert("RGB"))
    before = Image.MAX_IMAGE_PIXELS

    assert decoded(path, PictureSettings(most_pixels=10_000)).size == (100, 100)
    with pytest.raises(PhotoError, match=r"100 by 100 pixels\); save it with at most 9,999"):
        decoded(path, PictureSettings(most_pixels=9_999))
    assert before == Image.MAX_IMAGE_PIXELS


@pytest.mark.parametrize("kind", ["jpg", "tif"])
def test_larger_than_pillow_allows(kind: str, tmp_path: Path, decoded: Decode) -> None:
    """A photo of 200 megapixels, which Pillow by itself refuses, is made."""
    path = tmp_path / f"large.{kind}"
    fields = {"quality": 60} if kind == "jpg" else {"compression": "tiff_deflate"}
    Image.new("L", (20_000, 10_000), 90).save(path, **fields)

    result = decoded(path)

    assert result.size == (20_000, 10_000)
    assert result.picture.size == (2560, 1280)


def test_changed_while_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A photo that is still being copied is refused, so that no digest stands for pixels it does not belong to."""
    path = write_photo(tmp_path / "a.png", scene())
    load = ImageFile.ImageFile.load

    def load_late(image: ImageFile.ImageFile) -> object:
        with path.open("ab") as file:
            file.write(b"more")
        return load(image)

    monkeypatch.setattr(ImageFile.ImageFile, "load", load_late)

    with pytest.raises(PhotoError, match="changed while it was read"):
        read_facts(path)


def test_large_file_is_not_held_in_memory(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file over the limit for reading at once gives the same facts, read from the disk."""
    monkeypatch.setattr("buildlog.photos.opening._WHOLE_BYTES", 100)
    path = write_photo(tmp_path / "a.png", scene(), exif=exif_block())
    at_once = read_facts(path)
    monkeypatch.undo()

    assert read_facts(path) == at_once


@pytest.mark.parametrize("kind", FORMATS)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_hostile_bytes(kind: str, data: st.DataObject, tmp_path: Path) -> None:
    """However a file is damaged, it is either taken or refused: nothing else is raised."""
    sound = tmp_path / f"sound.{kind}"
    if not sound.exists():
        write_photo(sound, scene(64, 48), exif=exif_block(6), planted=True)
    content = bytearray(sound.read_bytes())
    for _ in range(data.draw(st.integers(1, 12))):
        # The first bytes hold the lengths and offsets, where damage does most.
        at = data.draw(st.integers(0, min(len(content), 2000) - 1) | st.integers(0, len(content) - 1))
        content[at] = data.draw(st.sampled_from((0, 1, 127, 128, 254, 255)) | st.integers(0, 255))
    path = tmp_path / f"hostile.{kind}"
    path.write_bytes(content)

    for read in (read_facts, read_taken):
        with contextlib.suppress(PhotoError):
            read(path)
