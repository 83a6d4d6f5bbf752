"""From whatever colours a camera wrote to sRGB, the colours of the web."""

from __future__ import annotations

import io
import struct
from collections.abc import Sequence
from functools import lru_cache

from PIL import Image, ImageCms

_INTENT = ImageCms.Intent.RELATIVE_COLORIMETRIC
_FLAGS = ImageCms.Flags.BLACKPOINTCOMPENSATION

# ICC's names of colour spaces (ICC.1:2022, table 19) and the modes Pillow keeps them in.
_MODES = {"RGB": "RGB", "GRAY": "L", "CMYK": "CMYK", "Lab": "LAB"}

_D65 = (0.3127, 0.3290)

# Primaries as x, y for red, green, blue. Published: Adobe RGB (1998) color image encoding, 2005-05, section
# 4.3.1.1; SMPTE EG 432-1 for P3; ITU-R BT.2020-2, table 3.
_PRIMARIES = {
    "Adobe RGB": ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06)),
    "Display P3": ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)),
    "BT.2020": ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046)),
}

# Colour primaries of ITU-T H.273, table 2, that differ from sRGB's enough to be seen.
NCLX_SPACES = {9: "BT.2020", 12: "Display P3"}


def to_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """
    Give the picture in sRGB, mode RGB, without a profile.

    A profile that is damaged, or that speaks of another kind of picture, is passed over: the values then
    count as sRGB, as browsers do it.
    """
    transform: ImageCms.ImageCmsTransform | None
    if image.mode == "LAB":
        transform = _lab_transform()
    else:
        transform = _transform(profile, image.mode) if profile else None
        if transform is None and profile and image.mode == "L" and _transform(profile, "RGB") is not None:
            # A grey picture may carry the profile of the colour picture it was made from.
            image = image.convert("RGB")
            transform = _transform(profile, "RGB")
    if transform is not None:
        made = transform.apply(image)
    elif image.mode == "RGB":
        made = image
    else:
        made = image.convert("RGB")
    made.info = {}
    return made


@lru_cache(maxsize=32)
def _transform(profile: bytes, mode: str) -> ImageCms.ImageCmsTransform | None:
    """Give the way from a profile to sRGB, or None where there is none or nothing would change."""
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        if _MODES.get(source.profile.xcolor_space.strip()) != mode:
            return None
        transform = ImageCms.buildTransform(
            source, ImageCms.createProfile("sRGB"), mode, "RGB", renderingIntent=_INTENT, flags=_FLAGS
        )
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return None
    if mode == "RGB":
        # Most profiles are one of many spellings of sRGB. Passing pixels through them would only cost time.
        levels = bytes(range(0, 256, 51))
        colours = bytes(value for r in levels for g in levels for b in levels for value in (r, g, b))
        sample = Image.frombytes("RGB", (len(levels) ** 2, len(levels)), colours)
        moved = transform.apply(sample).tobytes()
        if max(abs(a - b) for a, b in zip(colours, moved, strict=True)) <= 1:
            return None
    return transform


@lru_cache(maxsize=1)
def _lab_transform() -> ImageCms.ImageCmsTransform:
    return ImageCms.buildTransform(ImageCms.createProfile("LAB"), ImageCms.createProfile("sRGB"), "LAB", "RGB")


@lru_cache(maxsize=8)
def named_profile(space: str) -> bytes:
    """
    Make the ICC profile of a space that a file names without carrying its profile.

    Args:
        space: "Adobe RGB", "Display P3" or "BT.2020". The last two are given the tone curve of sRGB.
    """
    red, green, blue = _adapted(_PRIMARIES[space])
    if space == "Adobe RGB":
        # The exponent is 563/256 in the same document, section 4.3.1.2.
        curve = b"curv" + struct.pack(">IIH2x", 0, 1, 563)
    else:
        # sRGB's curve as a parametric curve of kind 3: IEC 61966-2-1.
        values = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
        curve = b"para" + struct.pack(">IHH5i", 0, 3, 0, *(round(value * 65_536) for value in values))
    tags = {
        b"desc": _text_description(space),
        b"cprt": b"text" + struct.pack(">I", 0) + b"No copyright\0",
        b"wtpt": _xyz((0.9642, 1.0, 0.8249)),
        b"rXYZ": _xyz(red),
        b"gXYZ": _xyz(green),
        b"bXYZ": _xyz(blue),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    table, body = struct.pack(">I", len(tags)), b""
    start = 128 + 4 + 12 * len(tags)
    for name, content in tags.items():
        table += name + struct.pack(">II", start + len(body), len(content))
        body += content + b"\0" * (-len(content) % 4)
    header = struct.pack(
        ">I4xI4s4s4s12x4s28x3i48x",
        start + len(body),
        0x0240_0000,
        b"mntr",
        b"RGB ",
        b"XYZ ",
        b"acsp",
        *(round(value * 65_536) for value in (0.9642, 1.0, 0.8249)),
    )
    return header + table + body


def _xyz(values: Sequence[float]) -> bytes:
    return b"XYZ " + struct.pack(">I3i", 0, *(round(value * 65_536) for value in values))


def _text_description(words: str) -> bytes:
    text = words.encode("ascii") + b"\0"
    return b"desc" + struct.pack(">II", 0, len(text)) + text + b"\0" * (4 + 4 + 2 + 1 + 67)


_Matrix = tuple[tuple[float, float, float], ...]


def _adapted(primaries: Sequence[tuple[float, float]]) -> list[tuple[float, ...]]:
    """Give the XYZ of three primaries under D65, adapted to D50 by Bradford's matrix (ICC.1:2022, annex E)."""
    columns = [(x / y, 1.0, (1 - x - y) / y) for x, y in primaries]
    white = (_D65[0] / _D65[1], 1.0, (1 - _D65[0] - _D65[1]) / _D65[1])
    amounts = _times(_inverse(tuple(zip(*columns, strict=True))), white)
    bradford = ((0.8951, 0.2664, -0.1614), (-0.7502, 1.7135, 0.0367), (0.0389, -0.0685, 1.0296))
    from_cone, to_cone = _times(bradford, white), _times(bradford, (0.9642, 1.0, 0.8249))
    back = _inverse(bradford)
    adapted = []
    for column, amount in zip(columns, amounts, strict=True):
        cone = _times(bradford, tuple(value * amount for value in column))
        adapted.append(_times(back, tuple(c * t / f for c, t, f in zip(cone, to_cone, from_cone, strict=True))))
    return adapted


def _times(matrix: Sequence[Sequence[float]], vector: Sequence[float]) -> tuple[float, ...]:
    return tuple(sum(a * b for a, b in zip(row, vector, strict=True)) for row in matrix)


def _inverse(matrix: Sequence[Sequence[float]]) -> _Matrix:
    (a, b, c), (d, e, f), (g, h, i) = matrix
    size = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
    return (
        ((e * i - f * h) / size, (c * h - b * i) / size, (b * f - c * e) / size),
        ((f * g - d * i) / size, (a * i - c * g) / size, (c * d - a * f) / size),
        ((d * h - e * g) / size, (b * g - a * h) / size, (a * e - b * d) / size),
    )
