"""What the bytes of a made file hold, read from the bytes themselves and not through the library that wrote them."""

from __future__ import annotations

import struct
from collections.abc import Iterator


def jpeg_segments(content: bytes) -> list[tuple[str, bytes]]:
    """
    List a JPEG's segments up to its pixels, then check that nothing but pixels follows (ITU-T T.81, annex B).

    Raises:
        ValueError: It is no JPEG, or something follows its end.
    """
    if not content.startswith(b"\xff\xd8"):
        raise ValueError("no start of image")
    at, found = 2, []
    while True:
        if content[at] != 0xFF:
            raise ValueError(f"no marker at {at}")
        marker = content[at + 1]
        length = struct.unpack_from(">H", content, at + 2)[0]
        found.append((f"{marker:02x}", content[at + 4 : at + 2 + length]))
        at += 2 + length
        if marker == 0xDA:
            break
    while True:
        at = content.index(b"\xff", at)
        if content[at + 1] == 0xD9:
            break
        if content[at + 1] not in (0x00, *range(0xD0, 0xD8)):
            raise ValueError(f"marker {content[at + 1]:02x} among the pixels")
        at += 2
    if at + 2 != len(content):
        raise ValueError(f"{len(content) - at - 2} bytes after the end")
    return found


def webp_chunks(content: bytes) -> list[tuple[str, bytes]]:
    """
    List a WebP's chunks (RFC 9649, section 2.3).

    Raises:
        ValueError: It is no WebP, or something follows its end.
    """
    if content[:4] != b"RIFF" or content[8:12] != b"WEBP":
        raise ValueError("no WebP")
    if struct.unpack_from("<I", content, 4)[0] + 8 != len(content):
        raise ValueError("bytes after the end")
    at, found = 12, []
    while at < len(content):
        name, length = content[at : at + 4].decode("ascii"), struct.unpack_from("<I", content, at + 4)[0]
        found.append((name, content[at + 8 : at + 8 + length]))
        at += 8 + length + length % 2
    return found


def boxes(content: bytes) -> Iterator[tuple[str, bytes]]:
    """List a container's boxes, outermost only (ISO/IEC 14496-12, 4.2)."""
    at = 0
    while at < len(content):
        length, name = struct.unpack_from(">I4s", content, at)
        header = 8
        if length == 1:
            length, header = struct.unpack_from(">Q", content, at + 8)[0], 16
        elif length == 0:
            length = len(content) - at
        if length < header or at + length > len(content):
            raise ValueError(f"box {name!r} ends after the file")
        yield name.decode("latin-1"), content[at + header : at + length]
        at += length


def avif_items(content: bytes) -> tuple[list[str], list[str]]:
    """
    List the kinds of an AVIF's items, and the kinds of their properties (ISO/IEC 14496-12, 8.11).

    A picture is `av01`; `Exif` and `mime` (XMP) are metadata. Colour comes as `colr`, by number or as a profile.
    """
    meta = dict(boxes(content))["meta"][4:]
    inside = dict(boxes(meta))
    info = inside["iinf"]
    entries = list(boxes(info[6:]))
    kinds = [body[8:12].decode("ascii") for name, body in entries if name == "infe"]
    properties = []
    for name, body in boxes(dict(boxes(inside["iprp"]))["ipco"]):
        properties.append(f"colr {body[:4].decode('ascii')}" if name == "colr" else name)
    return kinds, properties
