"""From a file on disk to trusted pixels: the only place where a photo's bytes are taken in."""

from __future__ import annotations

import hashlib
import io
import os
import stat
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, NamedTuple

import pillow_heif
from PIL import Image, ImageFile

pillow_heif.register_heif_opener()

PHOTO_SUFFIXES = frozenset(
    {".jpg", ".jpeg", ".jpe", ".png", ".webp", ".avif", ".tif", ".tiff", ".heic", ".heif", ".mpo"}
)
"""Endings of the files that are taken as photos, in lower case, with their dot."""

# MPO has no entry of its own: it begins as a JPEG, and Pillow tells the two apart.
_FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "AVIF", "HEIF")

# Up to here a photo is read once, so that its digest and its pixels are sure to be the same bytes. A larger
# one is read twice, and its size and time are compared before and after.
_WHOLE_BYTES = 64 * 1024 * 1024


class Size(NamedTuple):
    """Pixels across and down, upright."""

    width: int
    height: int

    def within(self, longest: int) -> Size:
        """Give the size that fits a square of that many pixels, keeping shape, never larger, at least 1 by 1."""
        edge = max(self)
        if edge <= longest:
            return self
        return Size(max(1, round(self.width * longest / edge)), max(1, round(self.height * longest / edge)))

    def at_width(self, width: int) -> Size:
        """Give the size that is this many pixels across and keeps shape, at least 1 down."""
        return Size(width, max(1, round(self.height * width / self.width)))


class _PillowLimit:
    """
    Pillow's own limit of pixels, which is a global below the one this project states, moved while photos are read.

    Pillow warns above its limit and refuses above twice that. Several threads may be inside at once; the last one
    out puts the limit back.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._inside = 0
        self._before: int | None = None

    @contextmanager
    def moved(self, most_pixels: int) -> Iterator[None]:
        """Let Pillow refuse what has more pixels than this, and nothing else."""
        with self._lock:
            if not self._inside:
                self._before = Image.MAX_IMAGE_PIXELS
            self._inside += 1
            Image.MAX_IMAGE_PIXELS = (most_pixels + 1) // 2
        try:
            yield
        finally:
            with self._lock:
                self._inside -= 1
                if not self._inside:
                    Image.MAX_IMAGE_PIXELS = self._before


_LIMIT = _PillowLimit()


class PhotoError(Exception):
    """A photo cannot be used. The others can."""

    def __init__(self, path: Path, message: str) -> None:
        super().__init__(path, message)
        self.path = path
        self.message = message
        """What is wrong, then what would help; reads on from the file's name."""

    def __str__(self) -> str:
        # A name that is not UTF-8 could not be printed.
        return f"{os.fsencode(self.path).decode('utf-8', 'replace')}: {self.message}"


@dataclass
class Source:
    """The bytes of one photo, open for reading."""

    path: Path
    file: BinaryIO
    bytes: int
    modified: int
    """Nanoseconds, as the file system gives it."""
    digest: str
    """SHA-256 of the bytes, in hexadecimal."""


@contextmanager
def open_source(path: Path) -> Iterator[Source]:
    """
    Open a photo's file and take its digest.

    Raises:
        PhotoError: It is missing, unreadable, empty, no ordinary file, or of a kind that is not taken.
    """
    if path.suffix.lower() not in PHOTO_SUFFIXES:
        taken = ", ".join(sorted(suffix[1:] for suffix in PHOTO_SUFFIXES))
        raise PhotoError(path, f"is not taken as a photo; use one of {taken}")
    try:
        str(path).encode()
    except UnicodeEncodeError as error:
        raise PhotoError(path, "has a name that is not UTF-8; rename it") from error
    try:
        # Asked before opening, because opening a pipe would wait for ever.
        if not stat.S_ISREG(path.stat().st_mode):
            raise PhotoError(path, "is not an ordinary file; put the photo itself there")
        handle = path.open("rb")
    except OSError as error:
        raise PhotoError(path, _explain_system(error)) from error
    with handle:
        try:
            before = os.fstat(handle.fileno())
            if before.st_size == 0:
                raise PhotoError(path, "is empty; copy it from the camera again")
            if before.st_size <= _WHOLE_BYTES:
                content = handle.read()
                file: BinaryIO = io.BytesIO(content)
                digest = hashlib.sha256(content).hexdigest()
            else:
                file = handle
                digest = hashlib.file_digest(handle, "sha256").hexdigest()
                handle.seek(0)
        except OSError as error:
            raise PhotoError(path, _explain_system(error)) from error
        yield Source(path, file, before.st_size, before.st_mtime_ns, digest)
        after = os.fstat(handle.fileno())
    if (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns):
        raise PhotoError(path, "changed while it was read; try again when it has been copied in full")


def _explain_system(error: OSError) -> str:
    if isinstance(error, FileNotFoundError):
        return "does not exist; check its name"
    if isinstance(error, PermissionError):
        return "may not be read; change its permissions"
    return f"cannot be read ({error.strerror or error}); copy it from the camera again"


def open_image(source: Source, most_pixels: int) -> ImageFile.ImageFile:
    """
    Read the header of a photo. No pixel is decoded yet.

    Raises:
        PhotoError: It is no picture, no accepted kind of picture, damaged, or over the limit of pixels.
    """
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    canvas = _webp_canvas(source)
    if canvas is not None and canvas.width * canvas.height > most_pixels:
        raise PhotoError(source.path, _explain_pixels(canvas, most_pixels))
    try:
        with _LIMIT.moved(most_pixels):
            image = Image.open(source.file, formats=_FORMATS)
    except Image.DecompressionBombError as error:
        raise PhotoError(source.path, _explain_pixels(None, most_pixels)) from error
    except Exception as error:
        raise PhotoError(source.path, _explain_header(source)) from error
    if image.width < 1 or image.height < 1:
        raise PhotoError(source.path, "holds no pixels; copy it from the camera again")
    if image.width * image.height > most_pixels:
        raise PhotoError(source.path, _explain_pixels(Size(*image.size), most_pixels))
    return image


def _explain_pixels(size: Size | None, most_pixels: int) -> str:
    found = f" ({size.width} by {size.height} pixels)" if size else ""
    return f"is too large{found}; save it with at most {most_pixels:,} pixels in all"


def _webp_canvas(source: Source) -> Size | None:
    """
    Read the canvas of an extended WebP (RFC 9649, section 2.7).

    Its decoder makes room for the canvas as soon as it is opened, so that this has to be known before.
    """
    start = source.file.read(30)
    source.file.seek(0)
    if len(start) < 30 or start[:4] != b"RIFF" or start[8:16] != b"WEBPVP8X":
        return None
    return Size(int.from_bytes(start[24:27], "little") + 1, int.from_bytes(start[27:30], "little") + 1)


def load_pixels(source: Source, image: ImageFile.ImageFile, most_pixels: int) -> None:
    """
    Decode the pixels of an opened photo, all of them.

    Raises:
        PhotoError: They are cut short, damaged, of a kind that cannot be read, or too many for the memory.
    """
    try:
        with _LIMIT.moved(most_pixels):
            image.load()
    except Image.DecompressionBombError as error:
        raise PhotoError(source.path, _explain_pixels(None, most_pixels)) from error
    except MemoryError as error:
        raise PhotoError(
            source.path, f"needs more memory than there is ({image.width} by {image.height} pixels)"
        ) from error
    except Exception as error:
        words = str(error).lower()
        if any(sign in words for sign in ("truncated", "not processed", "end of file", "eof", "incomplete")):
            message = f"is cut short: it ends after {_in_words(source.bytes)}; copy it from the camera again"
        else:
            message = f"is damaged or of a kind that cannot be read ({_one_line(error)}); save it as JPEG or PNG"
        raise PhotoError(source.path, message) from error


def _in_words(count: int) -> str:
    if count < 1_000:
        return f"{count} bytes"
    return f"{count / 1_000:.1f} kB" if count < 1_000_000 else f"{count / 1_000_000:.1f} MB"


def _one_line(error: Exception) -> str:
    words = " ".join(str(error).split())[:120]
    return words or type(error).__name__


def _explain_header(source: Source) -> str:
    """Say what a file without a usable header is, as far as its first bytes tell."""
    source.file.seek(0)
    start = source.file.read(64)
    if not start.strip(b"\0"):
        return "holds nothing but zeros; copy it from the camera again"
    for signs, kind in (
        ((b"GIF8",), "a GIF"),
        ((b"BM",), "a BMP"),
        ((b"%PDF",), "a PDF document"),
        ((b"8BPS",), "a layered drawing (PSD)"),
        ((b"PK\x03\x04",), "a ZIP archive"),
        ((b"<?xml", b"<svg", b"<!DOC", b"<html", b"<!doc", b"<HTML"), "a text (HTML, XML or SVG)"),
        ((b"FUJIFILMCCD-RAW", b"II*\x00\x10\x00\x00\x00CR"), "a camera's raw file"),
    ):
        if start.startswith(signs):
            return f"is {kind}, not a photo; save it as JPEG or PNG"
    brand = start[8:12]
    if start[4:8] == b"ftyp" and brand in (b"isom", b"mp41", b"mp42", b"qt  ", b"M4V ", b"avc1", b"3gp4", b"3gp5"):
        return "is a film, not a photo; take a still from it"
    if start[4:8] == b"ftyp" and brand == b"crx ":
        return "is a camera's raw file, not a photo; save it as JPEG or PNG"
    known = (
        start.startswith((b"\xff\xd8", b"\x89PNG", b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"))
        or (start.startswith(b"RIFF") and start[8:12] == b"WEBP")
        or start[4:8] == b"ftyp"
    )
    if known:
        return f"is damaged or cut short: it ends after {_in_words(source.bytes)}; copy it from the camera again"
    return "is not a picture of a kind that can be read; save it as JPEG or PNG"


@contextmanager
def quiet_pillow() -> Iterator[None]:
    """Keep Pillow's remarks on untidy metadata from the terminal. For the main thread: the filter is global."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", module=r"(PIL|pillow_heif)\b.*")
        yield
