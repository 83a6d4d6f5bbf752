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


def shrink(image: Image.Image, size: Size, *, vips: bool | None = None) -> Image.Image:
    """
    Give the picture at a smaller size, resampled with Lanczos' filter.

    Args:
        image: Left as it is.
        size: Pixels, no larger than the picture in either direction.
        vips: Whether libvips does it; None leaves it to what is installed.
    """
    if image.size == size:
        return image
    library = _vips() if vips is None or vips else None
    if vips and library is None:
        raise ModuleNotFoundError("pyvips is not installed; install buildlog-site[vips]")
    if library is None or image.mode not in _VIPS_MODES:
        return image.resize(size, _pillow_filter(image.size, size))
    bands = _VIPS_MODES[image.mode]
    before = library.Image.new_from_memory(image.tobytes(), image.width, image.height, bands, "uchar")
    after = before.resize(size.width / image.width, vscale=size.height / image.height, kernel="lanczos3")
    if (after.width, after.height) != size:
        raise RuntimeError(f"libvips gave {after.width} by {after.height} pixels for {size}")
    return Image.frombytes(image.mode, size, bytes(after.write_to_memory()))


def _pillow_filter(before: tuple[int, int], after: Size) -> Image.Resampling:
    return Image.Resampling.LANCZOS


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
