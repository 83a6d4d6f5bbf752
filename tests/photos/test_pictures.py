"""Which files are made of a photo, and how good they are."""

from __future__ import annotations

import base64
import io
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from skimage.metrics import structural_similarity

from buildlog.photos.opening import Size
from buildlog.photos.pictures import PLACEHOLDER_BYTES, make_placeholder, plan_files
from buildlog.photos.settings import PictureSettings
from buildlog.photos.store import PictureStore
from tests.photos.cameras import scene

DEMO = Path(__file__).resolve().parents[2] / "content" / "builds"

sizes = st.builds(Size, st.integers(1, 20_000), st.integers(1, 20_000))


@pytest.mark.parametrize(
    ("size", "webp"),
    [
        pytest.param(
            Size(6000, 4000), [(320, 213), (640, 427), (960, 640), (1600, 1067), (2560, 1707)], id="24 megapixels"
        ),
        pytest.param(
            # The edge that is longer is the one that is capped: 2560 down leaves 1707 across, hardly more than 1600.
            Size(4000, 6000),
            [(320, 480), (640, 960), (960, 1440), (1600, 2400)],
            id="portrait",
        ),
        pytest.param(
            Size(2400, 1600), [(320, 213), (640, 427), (960, 640), (1600, 1067), (2400, 1600)], id="a little smaller"
        ),
        pytest.param(Size(1200, 800), [(320, 213), (640, 427), (960, 640), (1200, 800)], id="small"),
        pytest.param(Size(1000, 500), [(320, 160), (640, 320), (960, 480)], id="hardly above a width"),
        pytest.param(Size(200, 100), [(200, 100)], id="below every width"),
        pytest.param(Size(20_000, 10), [(320, 1), (640, 1), (960, 1), (1600, 1), (2560, 1)], id="a strip"),
        pytest.param(Size(10, 20_000), [(1, 2560)], id="a post"),
    ],
)
def test_widths(size: Size, webp: list[tuple[int, int]]) -> None:
    """A photo is made in every width that it fills, no longer than the longest edge, and never enlarged."""
    planned = plan_files("digest", size, PictureSettings())

    assert [file.size for file in reversed(planned) if file.kind == "webp"] == webp
    assert [file.size.width for file in planned if file.kind == "jpeg"] == [
        max((width for width, _ in webp if width <= 1600))
    ]


@given(sizes, st.booleans())
def test_laws_of_sizes(size: Size, avif: bool) -> None:
    """Every file fits, keeps a pixel a side, is no larger than its photo, and has its shape to within a pixel."""
    settings = PictureSettings(avif=avif)
    planned = plan_files("digest", size, settings)

    assert [file.kind for file in planned].count("jpeg") == 1
    assert {file.size for file in planned if file.kind == "webp"} == {file.size for file in planned}
    assert [file.size for file in planned] == sorted((file.size for file in planned), reverse=True)
    assert len({file.name for file in planned}) == len(planned)
    for file in planned:
        assert min(file.size) >= 1
        assert max(file.size) <= settings.longest_edge
        assert file.size.width <= size.width
        assert file.size.height <= size.height
        shown = size.within(settings.longest_edge)
        assert abs(file.size.height - shown.height * file.size.width / shown.width) <= 1


@pytest.mark.parametrize(
    "change",
    [
        {"widths": ()},
        {"widths": (640, 320)},
        {"widths": (0, 320)},
        {"webp_quality": 101},
        {"webp_method": 7},
        {"jpeg_quality": 100},
        {"avif_speed": 11},
        {"longest_edge": 20_000},
    ],
    ids=lambda change: next(iter(change)),
)
def test_settings_out_of_range(change: dict[str, object]) -> None:
    """A setting that no codec takes is refused by its name."""
    with pytest.raises(ValueError, match=next(iter(change))):
        PictureSettings(**change)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "image",
    [
        pytest.param(scene(640, 427), id="scene"),
        pytest.param(scene(427, 640), id="portrait"),
        pytest.param(
            Image.fromarray(np.random.default_rng(1).integers(0, 255, (640, 640, 3), np.uint8)), id="nothing but noise"
        ),
        pytest.param(
            Image.fromarray(np.random.default_rng(1).integers(0, 255, (16, 16, 3), np.uint8)), id="every pixel else"
        ),
        pytest.param(Image.new("RGB", (1, 1)), id="one pixel"),
        pytest.param(Image.new("RGB", (640, 1)), id="a strip"),
    ],
)
def test_stand_in(image: Image.Image) -> None:
    """The stand-in is a small picture of the same shape in a data address of under 200 bytes."""
    words = make_placeholder(image)

    assert words.startswith("data:image/webp;base64,")
    assert len(words) <= PLACEHOLDER_BYTES < 200
    with Image.open(io.BytesIO(base64.b64decode(words.partition(",")[2]))) as small:
        assert max(small.size) <= 16
        mean = np.asarray(image.convert("RGB"), float).mean((0, 1))
        assert np.asarray(small.convert("RGB"), float).mean((0, 1)) == pytest.approx(mean, abs=25)


# Busy and plain, grey and painted, large and small: what the demo workshop shows.
RENDERINGS = [
    "corriemoor/photos/2026-03-14/IMG_0412.jpg",
    "corriemoor/photos/2026-06-06/IMG_0744.jpg",
    "corriemoor/photos/2026-08-15/IMG_1039.jpg",
    "corriemoor/photos/2026-10-03/IMG_1294.jpg",
    "bramble/photos/2026-05-30/IMG_0708.jpg",
    "kestrin-38/photos/2026-07-11/IMG_0915.jpg",
]


@pytest.mark.parametrize("name", RENDERINGS)
def test_quality(name: str, library: str, tmp_path: Path) -> None:
    """
    Every made width is close to what the best resampling without compression gives.

    Structural similarity of the brightness, as scikit-image computes it, against one LANCZOS step from the
    original: at least 0.93 where a picture is looked at closely, 0.96 at 640.
    """
    path = DEMO / name
    with PictureStore(tmp_path) as store:
        picture = store.make([path])[0][path]
        original = Image.open(io.BytesIO(path.read_bytes())).convert("RGB")
        found = {}
        for file in (*picture.webp, picture.jpeg):
            best = original.resize((file.width, file.height), Image.Resampling.LANCZOS).convert("L")
            made = Image.open(io.BytesIO((store.files / file.name).read_bytes())).convert("L")
            found[file.name.rpartition(".")[2], file.width] = structural_similarity(np.asarray(best), np.asarray(made))

    assert found["webp", 320] >= 0.96
    assert found["webp", 640] >= 0.96
    assert found["webp", 960] >= 0.94
    assert found["webp", 1600] >= 0.93
    assert found["jpg", 1600] >= 0.93
    assert found["webp", 2400] >= 0.9
