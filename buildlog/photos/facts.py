"""What is known of a photo: the facts the core works with. None of them is published as it stands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from PIL import Image

from buildlog.photos.camera import CameraSettings, read_notes
from buildlog.photos.decoding import Decoded, decode
from buildlog.photos.likeness import outline, perceptual_hash, sharpness, small_sample
from buildlog.photos.opening import (
    PHOTO_SUFFIXES,
    PhotoError,
    Size,
    Source,
    open_image,
    open_source,
    quiet_pillow,
)
from buildlog.photos.settings import PictureSettings

__all__ = [
    "PHOTO_SUFFIXES",
    "CameraSettings",
    "PhotoError",
    "PhotoFacts",
    "Size",
    "read_facts",
    "read_taken",
]

FACTS_VERSION = 1
"""Raised whenever the facts of a photo would come out otherwise; they are then taken again."""


@dataclass(frozen=True)
class PhotoFacts:
    """One photo, as its file and its pixels tell it."""

    path: Path
    digest: str
    """SHA-256 of the file's bytes, in hexadecimal."""
    size: Size
    """Of the original, in pixels, upright."""
    taken: datetime | None
    """Aware when the file gives an offset, naive when it does not, None when it gives no time."""
    sharpness: float
    """Fine detail, to compare within a session; see `likeness.sharpness`."""
    perceptual_hash: int
    """64 bits; see `likeness.perceptual_hash`."""
    outline: bytes
    """Where the edges are and which way they run; see `likeness.outline`."""
    camera: CameraSettings
    carries: frozenset[str]
    """Which of "position", "owner" and "serial number" the original holds. No made file does."""
    frames: int
    """Pictures in the file, of which the first is used. The companions in a camera's MPO do not count."""


def read_facts(path: Path) -> PhotoFacts:
    """
    Read one photo and decode its pixels.

    For many photos use a store, which remembers.

    Raises:
        PhotoError: The photo cannot be used.
    """
    with quiet_pillow(), open_source(path) as source:
        settings = PictureSettings()
        decoded = decode(source, open_image(source, settings.most_pixels), settings)
        return facts_of(source, decoded, small_sample(decoded.picture))


def read_taken(path: Path) -> datetime | None:
    """
    Read from a photo's header when it was taken; no pixels are decoded.

    Raises:
        PhotoError: It is no photo that can be used, as far as its header tells.
    """
    with quiet_pillow(), open_source(path) as source:
        return read_notes(open_image(source, PictureSettings().most_pixels)).taken


def facts_of(source: Source, decoded: Decoded, sample: Image.Image) -> PhotoFacts:
    """Take the facts of a decoded photo, of which `likeness.small_sample` gave the sample."""
    sample = sample.convert("L")
    return PhotoFacts(
        path=source.path,
        digest=source.digest,
        size=decoded.size,
        taken=decoded.notes.taken,
        sharpness=round(sharpness(sample), 4),
        perceptual_hash=perceptual_hash(sample),
        outline=outline(sample),
        camera=decoded.notes.settings,
        carries=decoded.notes.carries,
        frames=decoded.frames,
    )
