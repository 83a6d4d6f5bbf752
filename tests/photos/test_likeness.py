"""What a picture looks like, in numbers."""

from __future__ import annotations

import io

import imagehash
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from PIL import Image, ImageEnhance, ImageFilter, ImageOps
from skimage import data

from buildlog.photos.likeness import hash_distance, outline, outline_likeness, perceptual_hash, sharpness
from tests.photos.cameras import scene

PICTURES = {"astronaut": data.astronaut, "cat": data.chelsea, "cup": data.coffee, "camera man": data.camera}


def _picture(name: str) -> Image.Image:
    return Image.fromarray(PICTURES[name]())


@pytest.mark.parametrize("name", PICTURES)
def test_hash_of_pictures(name: str) -> None:
    """The hash is the one that imagehash gives for the same picture."""
    image = _picture(name)

    assert perceptual_hash(image) == int(str(imagehash.phash(image)), 16)


@given(arrays.arrays(np.uint8, st.tuples(st.integers(8, 60), st.integers(8, 60)), elements=st.integers(0, 255)))
def test_hash_of_noise(pixels: np.ndarray) -> None:
    """
    The hash is that of imagehash for any picture.

    But for a frequency that lies within rounding of the median: on blank and evenly striped pictures many do, and
    no two ways of adding up the same numbers agree there.
    """
    grey = np.asarray(Image.fromarray(pixels).resize((32, 32), Image.Resampling.LANCZOS), float)
    n = np.arange(32)
    waves = np.cos(np.pi * np.arange(8)[:, None] * (2 * n + 1) / 64)
    low = waves @ grey @ waves.T
    unsure = np.abs(low - np.median(low)) < 1e-6

    theirs = imagehash.phash(Image.fromarray(pixels)).hash
    ours = perceptual_hash(Image.fromarray(pixels))
    bits = np.array([bool(ours >> (63 - place) & 1) for place in range(64)]).reshape(8, 8)

    assert ((bits == theirs) | unsure).all()


@pytest.mark.parametrize(
    "change",
    [
        pytest.param(lambda image: image.resize((image.width // 2, image.height // 2)), id="half the size"),
        pytest.param(lambda image: ImageEnhance.Brightness(image).enhance(1.1), id="brighter by a tenth"),
        pytest.param(lambda image: _compressed(image, 30), id="quality 30"),
    ],
)
def test_same_picture(change: object) -> None:
    """Resizing, brightening and compressing hardly move the hash; a mirror image is another picture."""
    image = _picture("astronaut")
    same = change(image)  # type: ignore[operator]

    assert hash_distance(perceptual_hash(image), perceptual_hash(same)) <= 2
    assert hash_distance(perceptual_hash(image), perceptual_hash(ImageOps.mirror(image))) >= 28


def _compressed(image: Image.Image, quality: int) -> Image.Image:
    file = io.BytesIO()
    image.save(file, "JPEG", quality=quality)
    return Image.open(file)


def test_sharpness_falls_with_blur() -> None:
    """The more a picture is blurred, the less sharp it counts; light and contrast hardly matter."""
    image = _picture("astronaut").convert("L")
    blurred = [image.filter(ImageFilter.GaussianBlur(radius)) for radius in (0, 1, 2, 4)]
    found = [sharpness(step) for step in blurred]
    darker = image.point(lambda level: level * 0.6 + 20)

    assert found == sorted(found, reverse=True)
    assert found[0] > 5 * found[2]
    assert sharpness(darker) == pytest.approx(found[0], rel=0.1)


@pytest.mark.parametrize("size", [(1, 1), (2, 300), (640, 1), (300, 300)], ids=str)
def test_nothing_to_measure(size: tuple[int, int]) -> None:
    """A blank or tiny picture has no sharpness and no outline, and is like nothing."""
    blank = Image.new("L", size, 128)

    assert sharpness(blank) == 0
    assert outline(blank) == bytes(216)
    assert outline_likeness(outline(blank), outline(scene().convert("L"))) == 0


def test_outline_outlasts_a_repaint() -> None:
    """A repainted scene in another light keeps its outline; another scene has another."""
    image = _picture("astronaut").convert("L")
    repainted = ImageEnhance.Brightness(ImageOps.invert(image)).enhance(0.7)

    assert outline_likeness(outline(image), outline(image)) == pytest.approx(1)
    assert outline_likeness(outline(image), outline(repainted)) > 0.95
    assert outline_likeness(outline(image), outline(_picture("cup").convert("L"))) < 0.5
