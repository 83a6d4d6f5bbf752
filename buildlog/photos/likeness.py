"""What a picture looks like, in a few numbers: whether two are alike, and whether one is sharp."""

from __future__ import annotations

import math
from functools import lru_cache

from PIL import Image, ImageFilter, ImageStat

_HASH_EDGE = 8
_SAMPLE_EDGE = 32

FACTS_EDGE = 640
"""Longest edge, in pixels, of the picture that sharpness and likeness are measured on."""


def perceptual_hash(image: Image.Image) -> int:
    """
    Give the 64 bits that stay nearly the same when a picture is resized, brightened or compressed.

    The picture's 32 by 32 grey reduction goes through a discrete cosine transform; each bit says whether one
    of the 8 by 8 lowest frequencies is above their median. The first bit (most significant) is the mean, the
    rest follow row by row. Equal to `imagehash.phash`.
    """
    grey = image.convert("L").resize((_SAMPLE_EDGE, _SAMPLE_EDGE), Image.Resampling.LANCZOS).tobytes()
    waves = _waves()
    rows = [grey[start : start + _SAMPLE_EDGE] for start in range(0, len(grey), _SAMPLE_EDGE)]
    across = [[sum(map(float.__mul__, wave, map(float, row))) for wave in waves] for row in rows]
    columns = list(zip(*across, strict=True))
    low = [sum(map(float.__mul__, wave, column)) for wave in waves for column in columns]
    ranked = sorted(low)
    middle = (ranked[31] + ranked[32]) / 2
    bits = 0
    for value in low:
        bits = bits << 1 | (value > middle)
    return bits


@lru_cache(maxsize=1)
def _waves() -> list[list[float]]:
    return [
        [math.cos(math.pi * k * (2 * n + 1) / (2 * _SAMPLE_EDGE)) for n in range(_SAMPLE_EDGE)]
        for k in range(_HASH_EDGE)
    ]


def hash_distance(one: int, other: int) -> int:
    """Count the bits in which two perceptual hashes differ: 0 (alike) to 64."""
    return (one ^ other).bit_count()


def grey_sample(image: Image.Image) -> Image.Image:
    """Give the grey reduction, 640 pixels along its longer edge, that the measures below are taken from."""
    grey = image if image.mode == "L" else image.convert("L")
    edge = max(grey.size)
    if edge <= FACTS_EDGE:
        return grey
    size = (max(1, round(grey.width * FACTS_EDGE / edge)), max(1, round(grey.height * FACTS_EDGE / edge)))
    return grey.resize(size, Image.Resampling.LANCZOS, reducing_gap=1.5)


def sharpness(grey: Image.Image) -> float:
    """
    Give how much fine detail a grey sample holds: the variance of its Laplacian, in squared grey levels.

    Only its order means something, and only between pictures of much the same subject.
    """
    if min(grey.size) < 3:
        return 0.0
    # Halved, so that the strongest edges are the only ones cut off at 0 and 255; the variance is a quarter.
    edges = grey.filter(ImageFilter.Kernel((3, 3), (0, 1, 0, 1, -4, 1, 0, 1, 0), scale=2, offset=128))
    inner = edges.crop((1, 1, grey.width - 1, grey.height - 1))
    return 4 * ImageStat.Stat(inner).var[0]
