"""What the tests of photos share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from buildlog.photos import shrinking
from buildlog.photos.decoding import Decoded, decode
from buildlog.photos.opening import open_image, open_source, quiet_pillow
from buildlog.photos.settings import PictureSettings


@pytest.fixture
def decoded() -> Callable[..., Decoded]:
    """Decode a photo's file as the store does."""

    def decode_file(path: Path, settings: PictureSettings | None = None) -> Decoded:
        settings = settings or PictureSettings()
        with quiet_pillow(), open_source(path) as source:
            return decode(source, open_image(source, settings.most_pixels), settings)

    return decode_file


@pytest.fixture(params=["Pillow", "libvips"])
def library(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Run a test once with each library that can do the resampling. Both belong to the tests' requirements."""
    if request.param == "Pillow":
        monkeypatch.setattr(shrinking, "_vips", lambda: None)
    assert shrinking.engine_name().startswith(request.param)
    return request.param


@pytest.fixture
def differ() -> Callable[[Image.Image, Image.Image], float]:
    """Give the mean difference of two pictures, in levels of 255."""
    import numpy as np

    def difference(one: Image.Image, other: Image.Image) -> float:
        assert one.size == other.size
        both = (np.asarray(one.convert("RGB"), np.int16), np.asarray(other.convert("RGB"), np.int16))
        return float(np.abs(both[0] - both[1]).mean())

    return difference
