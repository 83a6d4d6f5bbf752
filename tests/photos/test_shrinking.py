"""Making pictures smaller with either library."""

from __future__ import annotations

import builtins
from collections.abc import Callable

import numpy as np
import pytest
from PIL import Image

from buildlog.photos import shrinking
from buildlog.photos.opening import Size
from tests.photos.cameras import scene


@pytest.mark.parametrize("mode", ["L", "RGB", "CMYK", "LAB"])
@pytest.mark.parametrize("spend", [False, True], ids=["kept", "spent"])
def test_shrink(mode: str, spend: bool, library: str) -> None:
    """Either library gives the size asked for and very nearly the pixels of Lanczos' filter."""
    image = Image.new("LAB", (900, 600), (130, 140, 120)) if mode == "LAB" else scene(900, 600).convert(mode)
    best = np.asarray(image.resize((401, 267), Image.Resampling.LANCZOS), np.int16)

    smaller = shrinking.shrink(image, Size(401, 267), spend=spend)

    assert smaller.size == (401, 267)
    assert smaller.mode == mode
    assert np.abs(np.asarray(smaller, np.int16) - best).mean() < 1


@pytest.mark.parametrize("size", [Size(1, 1), Size(640, 1), Size(1, 480), Size(639, 479)], ids=str)
def test_odd_sizes(size: Size, library: str) -> None:
    """Either library gives exactly the size asked for, however odd."""
    assert shrinking.shrink(scene(640, 480), size).size == size


def test_nothing_to_do(library: str) -> None:
    """A picture that has the size already is handed back, also when it may be spent."""
    image = scene()

    assert shrinking.shrink(image, Size(*image.size), spend=True) is image
    assert image.getpixel((0, 0)) == (200, 30, 30)


def test_library_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where libvips is missing or cannot be loaded, Pillow does it without a word."""
    importing: Callable[..., object] = builtins.__import__

    def without(name: str, *rest: object) -> object:
        if name == "pyvips":
            raise OSError("cannot load library")
        return importing(name, *rest)

    shrinking._vips.cache_clear()
    monkeypatch.setattr(builtins, "__import__", without)
    try:
        name = shrinking.engine_name()
    finally:
        monkeypatch.undo()
        shrinking._vips.cache_clear()

    assert name.startswith("Pillow")
    assert shrinking.engine_name().startswith("libvips")
