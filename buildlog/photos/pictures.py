"""From one decoded photo to its web pictures."""

from __future__ import annotations

import base64
import hashlib
import io
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from buildlog.photos.facts import FACTS_VERSION, PhotoFacts
from buildlog.photos.opening import Size
from buildlog.photos.settings import PictureSettings
from buildlog.photos.shrinking import shrink

# Raised by one whenever the code below would give other bytes for the same photo and settings. Each is part of
# the names of the files it stands for, so that only those are made again.
_PIXELS_VERSION = 1
_WEBP_VERSION = 1
_AVIF_VERSION = 1
_JPEG_VERSION = 1

PLACEHOLDER_BYTES = 199
"""The most that a stand-in may take inside a page, with its prefix."""
_PLACEHOLDER_PREFIX = "data:image/webp;base64,"

# A step is worth a file of its own when it is at least this much wider than the one below.
_WORTHWHILE = 1.15


@dataclass(frozen=True)
class MadeFile:
    """One file for the web."""

    name: str
    """Below the store's `files`, with '/'. Says nothing of the original but a digest, and never means other bytes."""
    width: int
    height: int
    bytes: int


@dataclass(frozen=True)
class Picture:
    """Everything a page needs to show one photo."""

    facts: PhotoFacts
    size: Size
    """Of the largest made file."""
    webp: tuple[MadeFile, ...]
    """Narrowest first."""
    avif: tuple[MadeFile, ...]
    """Narrowest first; empty unless the settings ask for it."""
    jpeg: MadeFile
    placeholder: str
    """A `data:` address of under 200 bytes: the picture, tiny and blurred, until the real one has come."""


@dataclass(frozen=True)
class PlannedFile:
    """A file that belongs to a picture, made or still to be made."""

    kind: str
    """webp, avif or jpeg."""
    size: Size
    name: str


def plan_files(digest: str, original: Size, settings: PictureSettings) -> tuple[PlannedFile, ...]:
    """
    List the files of a picture, the widest first.

    Args:
        digest: Of the photo's bytes.
        original: Upright pixels of the photo.
        settings: As chosen.
    """
    largest = original.within(settings.longest_edge)
    widths = [width for width in settings.widths if width <= largest.width]
    top = settings.widths[-1]
    if not widths or (widths[-1] < top and largest.width >= widths[-1] * _WORTHWHILE):
        widths.append(min(largest.width, top))
    jpeg_width = max((width for width in widths if width <= settings.jpeg_width), default=widths[0])
    planned = []
    for width in reversed(widths):
        size = largest if width == largest.width else largest.at_width(width)
        kinds = ["webp"] + ["avif"] * settings.avif + ["jpeg"] * (width == jpeg_width)
        planned += [PlannedFile(kind, size, _name(digest, kind, size, settings)) for kind in kinds]
    return tuple(planned)


def _name(digest: str, kind: str, size: Size, settings: PictureSettings) -> str:
    how: tuple[object, ...]
    if kind == "webp":
        how = (_WEBP_VERSION, settings.webp_quality, settings.webp_method)
    elif kind == "avif":
        how = (_AVIF_VERSION, settings.avif_quality, settings.avif_speed)
    else:
        how = (_JPEG_VERSION, settings.jpeg_quality)
    parts = (digest, kind, _PIXELS_VERSION, *how, *size, settings.longest_edge, settings.creator, settings.copyright)
    stem = hashlib.sha256(repr(parts).encode()).hexdigest()[:24]
    return f"{stem[:2]}/{stem}.{size.width}w.{'jpg' if kind == 'jpeg' else kind}"


def recipe_digest(settings: PictureSettings) -> str:
    """Give a name to the settings and to this code's version: where it stays the same, so does every file."""
    versions = (FACTS_VERSION, _PIXELS_VERSION, _WEBP_VERSION, _AVIF_VERSION, _JPEG_VERSION)
    return hashlib.sha256(repr((settings, versions)).encode()).hexdigest()[:16]


def make_files(
    picture: Image.Image,
    planned: tuple[PlannedFile, ...],
    settings: PictureSettings,
    save: Callable[[PlannedFile, Callable[[Path], None]], None],
) -> None:
    """
    Encode a decoded photo into files.

    Args:
        picture: As decoded, at least as large as the largest file.
        planned: The files to make, widest first.
        settings: As chosen.
        save: Called for each file with a function that writes it to a path; it may raise to stop.
    """
    exif = _whitelisted(settings)
    step = picture
    for file in planned:
        # Each size is made from the one above, which is several times less work than from the largest.
        step = shrink(step, file.size)
        save(file, _encoder(step, file.kind, settings, exif))


def _webp_quality(width: int, settings: PictureSettings) -> int:
    # At quality 80 a busy rendering 640 pixels wide has a structural similarity of 0.959, at 82 of 0.962; from 960 on,
    # where a picture is looked at more closely but each of its details is larger, 80 is enough.
    return min(100, settings.webp_quality + 2) if width <= 640 else settings.webp_quality


def _encoder(image: Image.Image, kind: str, settings: PictureSettings, exif: bytes) -> Callable[[Path], None]:
    # Every field that an encoder could take from the picture is named here, so that none can slip through.
    bare = {"exif": exif, "xmp": b"", "icc_profile": b""}

    def encode(path: Path) -> None:
        # A path, not an open file: only so does the JPEG encoder let other threads run.
        if kind == "webp":
            quality = _webp_quality(image.width, settings)
            image.save(path, "WEBP", quality=quality, method=settings.webp_method, **bare)
        elif kind == "avif":
            image.save(path, "AVIF", quality=settings.avif_quality, speed=settings.avif_speed, max_threads=1, **bare)
        else:
            image.save(path, "JPEG", quality=settings.jpeg_quality, comment=b"", **bare)

    return encode


def _whitelisted(settings: PictureSettings) -> bytes:
    """Build the only metadata that a made file may carry: creator and copyright, where the workshop wants them."""
    if not settings.creator and not settings.copyright:
        return b""
    exif = Image.Exif()
    if settings.creator:
        exif[0x013B] = settings.creator.encode()
    if settings.copyright:
        exif[0x8298] = settings.copyright.encode()
    return exif.tobytes()


def make_placeholder(sample: Image.Image) -> str:
    """Give a `data:` address that holds the picture at a dozen pixels; browsers blur it when they stretch it."""
    grid = Size(*sample.size).within(16)
    small = sample.resize(grid, Image.Resampling.BOX)
    small.info = {}
    for edge in (16, 12, 8, 4, 1):
        step = small if edge == 16 else small.resize(grid.within(edge), Image.Resampling.BOX)
        for quality in (50, 30, 10, 0):
            file = io.BytesIO()
            step.save(file, "WEBP", quality=quality, method=4, exif=b"", xmp=b"", icc_profile=b"")
            words = _PLACEHOLDER_PREFIX + base64.b64encode(file.getvalue()).decode("ascii")
            if len(words) <= PLACEHOLDER_BYTES:
                return words
    raise RuntimeError("one pixel does not fit a stand-in")
