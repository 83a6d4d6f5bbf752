"""What a camera wrote beside the pixels: when, with which settings, and what must never be published."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

from PIL import ExifTags, Image, ImageFile, IptcImagePlugin

POSITION = "position"
OWNER = "owner"
SERIAL_NUMBER = "serial number"

# Tags by their names in Exif 3.0 (CIPA DC-008), tables 4, 7 and 8.
_OWNER_TAGS = (0x013B, 0xA430, 0x9C9D, 0xA437, 0xA438, 0xA439)
"""Artist, CameraOwnerName, XPAuthor, Photographer, ImageEditor, and the name of the one who signed."""
_SERIAL_TAGS = (0xA431, 0xA435, 0xC62F)
"""BodySerialNumber, LensSerialNumber, and DNG's CameraSerialNumber."""

_TIMES = (
    (0x9003, 0x9011, 0x9291),  # DateTimeOriginal, OffsetTimeOriginal, SubSecTimeOriginal
    (0x9004, 0x9012, 0x9292),  # DateTimeDigitized and its own two
    (0x0132, 0x9010, 0x9290),  # DateTime, which an editor may have moved: the last resort
)

_XMP_SIGNS = {
    POSITION: re.compile(rb"GPSLatitude|GPSLongitude|LocationCreated|LocationShown|CountryCode|photoshop:City"),
    OWNER: re.compile(rb"OwnerName|dc:creator|CreatorContactInfo|photoshop:AuthorsPosition|PersonInImage"),
    SERIAL_NUMBER: re.compile(rb"SerialNumber"),
}
_XMP_TIME = re.compile(
    rb"(?:exif:DateTimeOriginal|photoshop:DateCreated|xmp:CreateDate)(?:=[\"']|>)([0-9T:.+Z-]{16,35})[\"'<]"
)

# IPTC IIM 4.2: by-line; city, sublocation, province, country code and name, content location code and name.
_IPTC_OWNER = ((2, 80), (2, 85), (2, 122))
_IPTC_POSITION = ((2, 26), (2, 27), (2, 90), (2, 92), (2, 95), (2, 100), (2, 101))

_WRITTEN_TIME = re.compile(r"\s*(\d{4})\D(\d{1,2})\D(\d{1,2})\D+(\d{1,2})\D(\d{1,2})(?:\D(\d{1,2}))?")
_WRITTEN_OFFSET = re.compile(r"\s*(?:(Z)|([+-])(\d{1,2}):?(\d{2}))")


@dataclass(frozen=True)
class CameraSettings:
    """How a photo was taken, as far as the camera said. For the builder alone; never published."""

    make: str = ""
    model: str = ""
    lens: str = ""
    exposure: float | None = None
    """Seconds."""
    f_number: float | None = None
    iso: int | None = None
    focal_length: float | None = None
    """Millimetres, of the lens itself."""
    focal_length_35mm: float | None = None
    """Millimetres that would show as much on 36 by 24 mm film."""


@dataclass(frozen=True)
class CameraNotes:
    """Everything of use in a photo's metadata. A damaged part counts as missing."""

    orientation: int
    """1 to 8; anything else a file may claim counts as 1."""
    taken: datetime | None
    settings: CameraSettings
    carries: frozenset[str]
    """Which of "position", "owner" and "serial number" the file holds."""
    adobe_rgb: bool
    """Whether the file claims Adobe RGB by its interoperability index, which replaces a profile."""


def read_notes(image: ImageFile.ImageFile) -> CameraNotes:
    """Read the metadata of an opened photo. Nothing in it can make this fail."""
    exif = _exif_of(image)
    main = _values(exif)
    camera = _folder(exif, ExifTags.IFD.Exif)
    position = _folder(exif, ExifTags.IFD.GPSInfo)
    interop = _folder(exif, ExifTags.IFD.Interop)
    both = {**main, **camera}
    xmp = _xmp_of(image, main)
    return CameraNotes(
        orientation=_orientation(main.get(ExifTags.Base.Orientation)),
        taken=_taken(both) or _taken_by_xmp(xmp),
        settings=_settings(both),
        carries=_carries(image, both, position, xmp),
        adobe_rgb=_text(interop.get(1)) == "R03",
    )


def _exif_of(image: ImageFile.ImageFile) -> Image.Exif:
    try:
        return image.getexif()
    except Exception:  # whatever a damaged block makes the reader do, the pixels may be fine
        return Image.Exif()


def _folder(exif: Image.Exif, which: int) -> Mapping[int, Any]:
    try:
        return _values(exif.get_ifd(which))
    except Exception:  # as above
        return {}


def _values(folder: Mapping[int, Any]) -> Mapping[int, Any]:
    values = {}
    for tag in list(folder):
        # A value is decoded when it is asked for; a damaged one is left out.
        with contextlib.suppress(Exception):
            values[tag] = folder[tag]
    return values


def _orientation(value: Any) -> int:
    return value if isinstance(value, int) and 1 <= value <= 8 else 1


def _text(value: Any) -> str:
    if isinstance(value, bytes):
        value = value.decode("utf-8", "replace")
    if not isinstance(value, str):
        return ""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in value).split())[:200]


def _number(value: Any) -> float | None:
    if isinstance(value, tuple):
        value = value[0] if value else None
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return number if 0 < number < 1e9 else None


def _settings(tags: Mapping[int, Any]) -> CameraSettings:
    iso = _number(tags.get(0x8827))
    return CameraSettings(
        make=_text(tags.get(0x010F)),
        model=_text(tags.get(0x0110)),
        lens=_text(tags.get(0xA434)),
        exposure=_number(tags.get(0x829A)),
        f_number=_number(tags.get(0x829D)),
        iso=None if iso is None else round(iso),
        focal_length=_number(tags.get(0x920A)),
        focal_length_35mm=_number(tags.get(0xA405)),
    )


def _taken(tags: Mapping[int, Any]) -> datetime | None:
    for time_tag, offset_tag, fraction_tag in _TIMES:
        fraction = re.match(r"\d+", _text(tags.get(fraction_tag)))
        time = time_in_words(_text(tags.get(time_tag)), _text(tags.get(offset_tag)))
        if time is not None:
            digits = (fraction[0] if fraction else "").ljust(6, "0")[:6]
            return time.replace(microsecond=int(digits))
    return None


def _taken_by_xmp(xmp: bytes) -> datetime | None:
    match = _XMP_TIME.search(xmp)
    if match is None:
        return None
    words = match[1].decode("ascii")
    return time_in_words(words[:19], words[19:].lstrip(".0123456789"))


def time_in_words(time: str, offset: str) -> datetime | None:
    """
    Read a time as cameras write it.

    Args:
        time: `YYYY:MM:DD HH:MM:SS`, or nearly so. A camera whose clock was never set writes zeros or blanks.
        offset: `+HH:MM`, or anything else for a time without zone.

    Returns:
        An aware time when there is an offset, a naive one when there is none, None when there is no time.
    """
    match = _WRITTEN_TIME.match(time)
    if match is None:
        return None
    year, month, day, hour, minute, second = (int(part or 0) for part in match.groups())
    try:
        # A leap second, 60, is written by some clocks.
        moment = datetime(year, month, day, hour, minute, min(second, 59))  # noqa: DTZ001 - zone-less until told
    except ValueError:
        return None
    zone = _WRITTEN_OFFSET.match(offset)
    if zone is None:
        return moment
    if zone[1]:
        return moment.replace(tzinfo=UTC)
    shift = timedelta(hours=int(zone[3]), minutes=int(zone[4]))
    if shift > timedelta(hours=14):
        return moment
    return moment.replace(tzinfo=timezone(-shift if zone[2] == "-" else shift))


def _xmp_of(image: ImageFile.ImageFile, tags: Mapping[int, Any]) -> bytes:
    parts = []
    for found in (image.info.get("xmp"), image.info.get("XML:com.adobe.xmp"), tags.get(0x02BC)):
        if isinstance(found, str):
            parts.append(found.encode("utf-8", "replace"))
        elif isinstance(found, bytes):
            parts.append(found)
        elif isinstance(found, tuple):
            parts.append(bytes(value & 255 for value in found if isinstance(value, int)))
    return b"\n".join(parts)


def _carries(
    image: ImageFile.ImageFile, tags: Mapping[int, Any], position: Mapping[int, Any], xmp: bytes
) -> frozenset[str]:
    found = {kind for kind, sign in _XMP_SIGNS.items() if sign.search(xmp)}
    # A camera that could not tell where it was writes a GPS block with a version or a status alone.
    if any(position.get(tag) for tag in (2, 4, 20, 22, 27, 28)):
        found.add(POSITION)
    if any(_text(tags.get(tag)) for tag in _OWNER_TAGS):
        found.add(OWNER)
    if any(_text(tags.get(tag)) for tag in _SERIAL_TAGS):
        found.add(SERIAL_NUMBER)
    iptc = _iptc_of(image)
    if any(iptc.get(tag) for tag in _IPTC_OWNER):
        found.add(OWNER)
    if any(iptc.get(tag) for tag in _IPTC_POSITION):
        found.add(POSITION)
    return frozenset(found)


def _iptc_of(image: ImageFile.ImageFile) -> Mapping[tuple[int, int], Any]:
    try:
        return IptcImagePlugin.getiptcinfo(image) or {}
    except Exception:  # damaged, and told apart from missing by nothing that matters here
        return {}
