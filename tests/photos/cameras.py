"""Photos as cameras and editors write them, made here, with whatever must never come out again planted in them."""

from __future__ import annotations

import io
import struct
from pathlib import Path
from typing import Any

import numpy as np
import pillow_heif
from PIL import Image, PngImagePlugin

pillow_heif.register_heif_opener()

FORMATS = ("jpg", "mpo", "png", "webp", "tif", "avif", "heic")

SECRETS = (
    b"PLANTED-OWNER",
    b"PLANTED-SERIAL",
    b"PLANTED-LENS-SERIAL",
    b"PLANTED-MAKER-NOTE",
    b"PLANTED-USER-COMMENT",
    b"PLANTED-COMMENT",
    b"PLANTED-XMP",
    b"PLANTED-THUMBNAIL",
    b"PLANTED-IPTC",
    b"PLANTED-PROFILE",
    b"PLANTED-TRAILER",
    b"PLANTED-MODEL",
    "PLANTED-XP-AUTHOR".encode("utf-16-le"),
)

# 53 degrees 20 minutes 59.8765 seconds: numbers that nothing else in a file is likely to hold.
_POSITION = ((53, 1), (20, 1), (598_765, 10_000))
POSITION_BYTES = tuple(struct.pack(f"{order}6I", *(part for pair in _POSITION for part in pair)) for order in "<>")

XMP = (
    b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
    b'<rdf:Description xmlns:exif="http://ns.adobe.com/exif/1.0/" xmlns:aux="http://ns.adobe.com/exif/1.0/aux/" '
    b'exif:GPSLatitude="53,20.99N" aux:SerialNumber="PLANTED-XMP" aux:OwnerName="PLANTED-XMP"/>'
    b"</rdf:RDF></x:xmpmeta>"
)


def exif_block(
    orientation: int | None = 1, taken: str = "2026:08:15 14:12:31", offset: str = "+01:00", index: str = ""
) -> bytes:
    """
    Write an Exif block by hand, byte by byte: position, serials, owner, comment, maker note, thumbnail.

    The index is the one of interoperability, R98 for sRGB or R03 for Adobe RGB.
    Laid out as in Exif 3.0 (CIPA DC-008) over TIFF 6.0, little-endian, without the "Exif" prefix.
    """
    thumbnail = io.BytesIO()
    Image.new("RGB", (16, 16), "red").save(thumbnail, "JPEG", comment=b"PLANTED-THUMBNAIL")
    main: list[tuple[int, int, Any]] = [
        (0x010F, 2, b"Invented\0"),
        (0x0110, 2, b"PLANTED-MODEL\0"),
        (0x013B, 2, b"PLANTED-OWNER\0"),
        (0x9C9D, 1, "PLANTED-XP-AUTHOR\0".encode("utf-16-le")),
    ]
    if orientation is not None:
        main.append((0x0112, 3, struct.pack("<H", orientation)))
    camera = [
        (0x829A, 5, struct.pack("<2I", 1, 125)),
        (0x829D, 5, struct.pack("<2I", 56, 10)),
        (0x8827, 3, struct.pack("<H", 400)),
        (0x9003, 2, taken.encode() + b"\0"),
        (0x927C, 7, b"PLANTED-MAKER-NOTE" + bytes(range(64))),
        (0x9286, 7, b"ASCII\0\0\0PLANTED-USER-COMMENT"),
        (0x920A, 5, struct.pack("<2I", 600, 10)),
        (0xA430, 2, b"PLANTED-OWNER\0"),
        (0xA431, 2, b"PLANTED-SERIAL\0"),
        (0xA435, 2, b"PLANTED-LENS-SERIAL\0"),
    ]
    if offset:
        camera.append((0x9011, 2, offset.encode() + b"\0"))
    if index:
        camera.append((0xA005, 4, b"\0" * 4))
    position = [
        (1, 2, b"N\0"),
        (2, 5, struct.pack("<6I", *(part for pair in _POSITION for part in pair))),
        (3, 2, b"W\0"),
        (4, 5, struct.pack("<6I", *(part for pair in _POSITION for part in pair))),
    ]
    block = bytearray(b"II*\0" + struct.pack("<I", 8))
    main += [(0x8769, 4, b"\0" * 4), (0x8825, 4, b"\0" * 4)]
    places = _write_folder(block, main)
    struct.pack_into("<I", block, places[0x8769], len(block))
    inner = _write_folder(block, camera)
    if index:
        struct.pack_into("<I", block, inner[0xA005], len(block))
        _write_folder(block, [(1, 2, index.encode() + b"\0")])
    struct.pack_into("<I", block, places[0x8825], len(block))
    _write_folder(block, position)
    small = thumbnail.getvalue()
    struct.pack_into("<I", block, places[-1], len(block))
    start = _write_folder(block, [(0x0103, 3, struct.pack("<H", 6)), (0x0201, 4, b"\0" * 4), (0x0202, 4, b"\0" * 4)])
    struct.pack_into("<I", block, start[0x0201], len(block))
    struct.pack_into("<I", block, start[0x0202], len(small))
    return bytes(block + small)


_SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 7: 1}


def _write_folder(block: bytearray, entries: list[tuple[int, int, bytes]]) -> dict[int, int]:
    """Append a TIFF folder with its values; give where each value lies, and under -1 the link to the next folder."""
    entries = sorted(entries)
    places: dict[int, int] = {}
    start = len(block)
    block += struct.pack("<H", len(entries)) + b"\0" * (12 * len(entries) + 4)
    for number, (tag, kind, value) in enumerate(entries):
        at = start + 2 + 12 * number
        struct.pack_into("<HHI", block, at, tag, kind, len(value) // _SIZES[kind])
        if len(value) <= 4:
            block[at + 8 : at + 8 + len(value)] = value
            places[tag] = at + 8
        else:
            block += b"\0" * (len(block) % 2)
            struct.pack_into("<I", block, at + 8, len(block))
            places[tag] = len(block)
            block += value
    places[-1] = start + 2 + 12 * len(entries)
    return places


def scene(width: int = 240, height: int = 160) -> Image.Image:
    """Draw a picture with smooth parts, hard edges and four corners that differ: red, green, blue, white."""
    rows, columns = np.mgrid[0:height, 0:width]
    pixels = np.empty((height, width, 3), np.uint8)
    pixels[..., 0] = 60 + 120 * columns // width
    pixels[..., 1] = 60 + 120 * rows // height
    pixels[..., 2] = 90 + 40 * ((columns // 16 + rows // 16) % 2)
    corner = (height // 4, width // 4)
    pixels[: corner[0], : corner[1]] = (200, 30, 30)
    pixels[: corner[0], -corner[1] :] = (30, 180, 30)
    pixels[-corner[0] :, : corner[1]] = (30, 30, 200)
    pixels[-corner[0] :, -corner[1] :] = (240, 240, 240)
    return Image.fromarray(pixels)


def stored(upright: Image.Image, orientation: int) -> Image.Image:
    """
    Give the pixels that a camera stores for an upright picture, by the table of Exif 3.0 (CIPA DC-008), 4.6.5.1.5.

    The table says where row 0 and column 0 of what is stored lie in the upright picture; anything but 1 to 8
    counts as 1.
    """
    pixels = np.asarray(upright)
    turned = {
        2: lambda: pixels[:, ::-1],  # row 0 top, column 0 right
        3: lambda: pixels[::-1, ::-1],  # bottom, right
        4: lambda: pixels[::-1, :],  # bottom, left
        5: lambda: pixels.swapaxes(0, 1),  # left, top
        6: lambda: pixels[:, ::-1].swapaxes(0, 1),  # right, top
        7: lambda: pixels[::-1, ::-1].swapaxes(0, 1),  # right, bottom
        8: lambda: pixels[::-1, :].swapaxes(0, 1),  # left, bottom
    }.get(orientation, lambda: pixels)()
    return Image.fromarray(np.ascontiguousarray(turned))


def write_photo(
    path: Path, image: Image.Image, *, exif: bytes | None = None, planted: bool = False, profile: bytes | None = None
) -> Path:
    """
    Write a photo in the format of its suffix, with Exif, and with everything else that can be planted in that format.

    Lossless, or nearly so, where the format allows it.
    """
    kind = path.suffix[1:]
    fields: dict[str, Any] = {}
    if exif is not None:
        fields["exif"] = b"Exif\0\0" + exif if kind in ("jpg", "mpo", "heic", "avif") else exif
    if profile is not None:
        fields["icc_profile"] = profile
    if planted:
        fields["xmp"] = XMP
    if kind in ("jpg", "mpo"):
        if planted:
            fields["comment"] = b"PLANTED-COMMENT"
        if kind == "mpo":
            image.save(path, "MPO", quality=97, subsampling=0, save_all=True, append_images=[image], **fields)
        else:
            image.save(path, "JPEG", quality=97, subsampling=0, **fields)
    elif kind == "png":
        if planted:
            text = PngImagePlugin.PngInfo()
            text.add_text("Comment", "PLANTED-COMMENT")
            text.add_itxt("XML:com.adobe.xmp", XMP.decode())
            del fields["xmp"]
            fields["pnginfo"] = text
        image.save(path, "PNG", **fields)
    elif kind == "webp":
        image.save(path, "WEBP", lossless=True, **fields)
    elif kind == "tif":
        _write_tiff(path, image, exif, planted=planted, profile=profile)
    elif kind == "avif":
        image.save(path, "AVIF", quality=95, subsampling="4:4:4", **fields)
    elif kind == "heic":
        image.save(path, "HEIF", quality=95, chroma=444, **fields)
    else:
        raise ValueError(kind)
    if planted and kind in ("jpg", "mpo"):
        _plant_in_jpeg(path)
    return path


def _write_tiff(path: Path, image: Image.Image, exif: bytes | None, *, planted: bool, profile: bytes | None) -> None:
    fields: dict[str, Any] = {"icc_profile": profile} if profile else {}
    if exif is not None:
        # Pillow copies the main folder, with the camera's and the position's, into the TIFF's own.
        holder = Image.Exif()
        holder.load(b"Exif\0\0" + exif)
        holder.get_ifd(0x8769)
        holder.get_ifd(0x8825)
        fields["exif"] = holder
    if planted:
        info = {700: XMP, 0x010E: "PLANTED-COMMENT"}
        for tag, value in info.items():
            fields.setdefault("exif", Image.Exif())[tag] = value
    image.save(path, "TIFF", **fields)


def _plant_in_jpeg(path: Path) -> None:
    """Add what only editors and phones write: IPTC in an application segment, and a trailer after the end."""
    content = path.read_bytes()
    record = b"\x1c\x02\x50" + struct.pack(">H", 12) + b"PLANTED-IPTC"
    resource = b"8BIM\x04\x04\0\0" + struct.pack(">I", len(record)) + record + b"\0" * (len(record) % 2)
    body = b"Photoshop 3.0\0" + resource
    segment = b"\xff\xed" + struct.pack(">H", len(body) + 2) + body
    if path.suffix == ".jpg":
        # An MPO says where its second picture lies; a longer first one would break that.
        content = content[:2] + segment + content[2:]
    path.write_bytes(content + b"PLANTED-TRAILER")
