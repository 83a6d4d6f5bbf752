"""Making a picture smaller, by Pillow or, where it is installed, by libvips, which is about twice as fast."""

from __future__ import annotations

import os
from functools import lru_cache
from typing import Any

import PIL
from PIL import Image

from buildlog.photos.opening import Size

# libvips takes pixels as they lie in memory; what it does not take goes to Pillow.
_VIPS_MODES = {"L": 1, "RGB": 3, "CMYK": 4}

# Handing pixels over takes twice their memory for a moment. Above this many, which no camera's JPEG has once it is
# decoded at a reduced scale, memory matters more than time, and Pillow does it where they are.
_VIPS_PIXELS = 32_000_000


def shrink(image: Image.Image, size: Size, *, spend: bool = False) -> Image.Image:
    """
    Give the picture at a smaller size.

    Args:
        image: As it is when it has that size already.
        size: Pixels, no larger than the picture in either direction.
        spend: Whether the picture given is not needed any longer, so that its memory can be freed on the way.
    """
    if image.size == size:
        return image
    library = _vips()
    if library is None or image.mode not in _VIPS_MODES or image.width * image.height > _VIPS_PIXELS:
        # Lanczos' filter is the sharpest, but where the size hardly changes nobody can tell it from the cubic
        # one, which takes two thirds of the time on what is by far the largest step.
        near = image.width < 2 * size.width
        smaller = image.resize(size, Image.Resampling.BICUBIC if near and spend else Image.Resampling.LANCZOS)
    else:
        mode, width, height = image.mode, image.width, image.height
        pixels = image.tobytes()
        if spend:
            image.close()
        before = library.Image.new_from_memory(pixels, width, height, _VIPS_MODES[mode], "uchar")
        after = before.resize(size.width / width, vscale=size.height / height, kernel="lanczos3")
        if (after.width, after.height) != size:
            raise RuntimeError(f"libvips gave {after.width} by {after.height} pixels for {size}")
        smaller = Image.frombytes(mode, size, after.write_to_memory())
    if spend:
        image.close()
    return smaller


def engine_name() -> str:
    """Say which library does the resampling, with its version."""
    library = _vips()
    if library is None:
        return f"Pillow {PIL.__version__}"
    return f"libvips {library.version(0)}.{library.version(1)}.{library.version(2)}"


@lru_cache(maxsize=1)
def _vips() -> Any:
    """Give pyvips, ready for use from many threads, or None where it is missing or broken."""
    # Each of our workers is one thread already; libvips must not add more of its own.
    os.environ.setdefault("VIPS_CONCURRENCY", "1")
    try:
        import pyvips
    except (ImportError, OSError):
        return None
    pyvips.cache_set_max(0)
    return pyvips
