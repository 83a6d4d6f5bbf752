"""What a picture looks like, in a few numbers: whether two are alike, and whether one is sharp."""

from __future__ import annotations

import math
from functools import lru_cache
from operator import mul

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
    columns = [[sum(map(mul, wave, row)) for row in rows] for wave in waves]
    low = [sum(map(mul, wave, column)) for wave in waves for column in columns]
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


def small_sample(image: Image.Image) -> Image.Image:
    """Give the reduction, 640 pixels along its longer edge, that facts and stand-in are taken from."""
    edge = max(image.size)
    if edge <= FACTS_EDGE:
        return image
    size = (max(1, round(image.width * FACTS_EDGE / edge)), max(1, round(image.height * FACTS_EDGE / edge)))
    return image.resize(size, Image.Resampling.BICUBIC, reducing_gap=1.0)


def sharpness(grey: Image.Image) -> float:
    """
    Give how much fine detail a grey sample holds: the variance of its Laplacian over its own variance.

    Only its order means something, and only between pictures of much the same subject. Dividing by the
    picture's variance keeps a close view of a plain surface from passing for a blurred one. 0 for a blank.
    """
    contrast = ImageStat.Stat(grey).var[0]
    if min(grey.size) < 3 or contrast < 1:
        return 0.0
    # Halved, so that only the strongest edges are cut off at 0 and 255; the variance is then a quarter.
    edges = grey.filter(ImageFilter.Kernel((3, 3), (0, 1, 0, 1, -4, 1, 0, 1, 0), scale=2, offset=128))
    inner = edges.crop((1, 1, grey.width - 1, grey.height - 1))
    return 4 * ImageStat.Stat(inner).var[0] / contrast


_OUTLINE_EDGE = 48
_CELLS = 6
_DIRECTIONS = 6


def outline(grey: Image.Image) -> bytes:
    """
    Give the 216 values, 0 to 255, that say where a picture has edges and which way they run.

    The picture is laid over 6 by 6 cells; in each, the edges are counted by 6 directions. A model keeps its
    outline when it is repainted and the light changes, and nearly keeps it when the camera is held a little
    otherwise; a perceptual hash does not.
    """
    levels = grey.resize((_OUTLINE_EDGE, _OUTLINE_EDGE), Image.Resampling.LANCZOS).tobytes()
    counts = [0.0] * (_CELLS * _CELLS * _DIRECTIONS)
    turn = _DIRECTIONS / math.pi
    for place, shares in _shares():
        across = levels[place + 1] - levels[place - 1]
        down = levels[place + _OUTLINE_EDGE] - levels[place - _OUTLINE_EDGE]
        strength = across * across + down * down
        if strength < 16:
            continue  # noise
        # The square root of the slope, so that one hard shadow does not outweigh the whole model.
        weight = strength**0.25
        direction = (math.atan2(down, across) % math.pi) * turn
        first = int(direction)
        second_part = weight * (direction - first)
        first_part = weight - second_part
        first %= _DIRECTIONS
        second = (first + 1) % _DIRECTIONS
        for cell, share in shares:
            counts[cell + first] += first_part * share
            counts[cell + second] += second_part * share
    most = max(counts)
    return bytes(round(255 * count / most) for count in counts) if most else bytes(len(counts))


@lru_cache(maxsize=1)
def _shares() -> list[tuple[int, list[tuple[int, float]]]]:
    """List, for each pixel but the border's, which cells it counts for and by how much."""

    def cells(at: int) -> list[tuple[int, float]]:
        middle = (at + 0.5) * _CELLS / _OUTLINE_EDGE - 0.5
        low = math.floor(middle)
        both = ((low, 1 - (middle - low)), (low + 1, middle - low))
        return [(cell, share) for cell, share in both if 0 <= cell < _CELLS and share > 0]

    inner = range(1, _OUTLINE_EDGE - 1)
    return [
        (
            y * _OUTLINE_EDGE + x,
            [((row * _CELLS + column) * _DIRECTIONS, a * b) for row, a in cells(y) for column, b in cells(x)],
        )
        for y in inner
        for x in inner
    ]


def outline_likeness(one: bytes, other: bytes) -> float:
    """Compare two outlines: 1 for the same, about 0 for unrelated ones (the correlation of their values)."""
    mean_one, mean_other = sum(one) / len(one), sum(other) / len(other)
    pairs = [(a - mean_one, b - mean_other) for a, b in zip(one, other, strict=True)]
    scale = math.sqrt(sum(a * a for a, _ in pairs) * sum(b * b for _, b in pairs))
    return sum(a * b for a, b in pairs) / scale if scale else 0.0
