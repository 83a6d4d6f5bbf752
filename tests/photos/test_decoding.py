"""From a camera's file to upright sRGB pixels."""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

from buildlog.photos.colour import named_profile
from buildlog.photos.decoding import Decoded, memory_needed
from buildlog.photos.opening import PhotoError, Size, open_image, open_source
from buildlog.photos.settings import PictureSettings
from tests.photos.cameras import FORMATS, exif_block, scene, stored, write_photo

Decode = Callable[..., Decoded]
Differ = Callable[[Image.Image, Image.Image], float]


@pytest.mark.parametrize("kind", FORMATS)
@pytest.mark.parametrize("orientation", range(9))
def test_upright(orientation: int, kind: str, tmp_path: Path, decoded: Decode, differ: Differ) -> None:
    """Whatever way a camera was held, and in every format, the picture comes out upright."""
    upright = scene()
    exif = exif_block(orientation)
    path = write_photo(tmp_path / f"photo.{kind}", stored(upright, orientation), exif=exif)

    result = decoded(path)

    assert result.size == Size(240, 160)
    assert result.picture.size == (240, 160)
    assert differ(result.picture, upright) < 3


@pytest.mark.parametrize("value", [9, 255, 65_535], ids=["nine", "a byte", "all bits"])
def test_orientation_that_is_none(value: int, tmp_path: Path, decoded: Decode, differ: Differ) -> None:
    """An orientation that the standard does not know counts as upright."""
    path = write_photo(tmp_path / "photo.jpg", scene(), exif=exif_block(value))

    assert differ(decoded(path).picture, scene()) < 3


def test_turned_after_shrinking(library: str, tmp_path: Path, decoded: Decode, differ: Differ) -> None:
    """A large photo that was held upright comes out no longer than the longest edge, and upright."""
    upright = scene(1500, 2000)
    path = write_photo(tmp_path / "photo.jpg", stored(upright, 6), exif=exif_block(6))

    result = decoded(path, PictureSettings(longest_edge=800))

    assert result.size == Size(1500, 2000)
    assert result.picture.size == (600, 800)
    assert differ(result.picture, upright.resize((600, 800), Image.Resampling.LANCZOS)) < 2


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        # Display P3 to sRGB by colorjs.io 0.7.1; LittleCMS with Apple's own profile agrees.
        pytest.param((204, 102, 51), (219, 94, 31), id="brown"),
        pytest.param((255, 0, 0), (255, 0, 0), id="red beyond sRGB"),
        pytest.param((128, 128, 128), (128, 128, 128), id="grey"),
    ],
)
@pytest.mark.parametrize("kind", ["jpg", "png", "webp", "tif", "avif", "heic"])
def test_display_p3(
    kind: str, given: tuple[int, int, int], expected: tuple[int, int, int], tmp_path: Path, decoded: Decode
) -> None:
    """Colours written in Display P3 come out as the sRGB values that other colour software gives."""
    profile = named_profile("Display P3")
    path = write_photo(tmp_path / f"photo.{kind}", Image.new("RGB", (64, 64), given), profile=profile)

    pixel = decoded(path).picture.getpixel((32, 32))

    assert pixel == pytest.approx(expected, abs=3 if kind in ("avif", "heic") else 2)


@pytest.mark.parametrize(
    ("space", "red", "green", "blue"),
    [
        # Colorants under D50 as the published profiles of these names have them; from memory.
        pytest.param(
            "Display P3", (0.5151, 0.2412, -0.0011), (0.2920, 0.6922, 0.0419), (0.1571, 0.0666, 0.7841), id="P3"
        ),
        pytest.param(
            "Adobe RGB", (0.6097, 0.3111, 0.0195), (0.2053, 0.6257, 0.0609), (0.1492, 0.0632, 0.7446), id="Adobe RGB"
        ),
    ],
)
def test_named_profile(space: str, red: tuple[float, ...], green: tuple[float, ...], blue: tuple[float, ...]) -> None:
    """A profile made from published primaries has the colorants of the published profile."""
    profile = ImageCms.ImageCmsProfile(io.BytesIO(named_profile(space))).profile

    assert profile.red_colorant is not None
    assert profile.green_colorant is not None
    assert profile.blue_colorant is not None
    assert profile.red_colorant[0] == pytest.approx(red, abs=2e-4)
    assert profile.green_colorant[0] == pytest.approx(green, abs=2e-4)
    assert profile.blue_colorant[0] == pytest.approx(blue, abs=2e-4)


def test_adobe_rgb_by_index(tmp_path: Path, decoded: Decode) -> None:
    """A camera that names Adobe RGB by its interoperability index alone is believed (Exif 3.0, annex A)."""
    plain = Image.new("RGB", (64, 64), (160, 120, 100))
    path = write_photo(tmp_path / "_MG_0001.jpg", plain, exif=exif_block(index="R03"))
    as_srgb = write_photo(tmp_path / "IMG_0001.jpg", plain, exif=exif_block(index="R98"))
    with_profile = write_photo(tmp_path / "same.png", plain, profile=named_profile("Adobe RGB"))

    by_index, by_profile = decoded(path).picture, decoded(with_profile).picture

    assert by_profile.getpixel((9, 9)) != pytest.approx((160, 120, 100), abs=8)
    assert decoded(as_srgb).picture.getpixel((9, 9)) == pytest.approx((160, 120, 100), abs=2)
    assert by_index.getpixel((9, 9)) == pytest.approx(by_profile.getpixel((9, 9)), abs=2)


def test_colours_by_number(tmp_path: Path, decoded: Decode) -> None:
    """An AVIF that names its primaries by number (12, Display P3) comes out in sRGB all the same."""
    path = write_photo(tmp_path / "photo.avif", Image.new("RGB", (64, 64), (204, 102, 51)))
    content = path.read_bytes()
    at = content.index(b"colrnclx") + 8
    path.write_bytes(content[:at] + struct.pack(">H", 12) + content[at + 2 :])

    pixel = decoded(path).picture.getpixel((32, 32))

    assert pixel == pytest.approx((219, 94, 31), abs=3)


@pytest.mark.parametrize(
    "profile",
    [
        pytest.param(b"not a profile", id="nonsense"),
        pytest.param(named_profile("Display P3")[:200], id="cut short"),
        pytest.param(named_profile("Display P3")[:128] + bytes(400), id="emptied"),
        pytest.param(b"", id="empty"),
    ],
)
def test_damaged_profile(profile: bytes, tmp_path: Path, decoded: Decode, differ: Differ) -> None:
    """A damaged profile costs nothing but itself: the colours count as sRGB."""
    path = write_photo(tmp_path / "photo.png", scene(), profile=profile or None)

    assert differ(decoded(path).picture, scene()) == 0


def test_profile_of_another_kind(tmp_path: Path, decoded: Decode, differ: Differ) -> None:
    """A grey photo may carry a colour profile, which is followed; a colour photo's CMYK or grey profile is not."""
    grey = scene().convert("L")
    with_colour = write_photo(tmp_path / "grey.png", grey, profile=named_profile("Display P3"))
    for_grey = bytearray(named_profile("Display P3"))
    for_grey[16:20] = b"GRAY"
    with_grey = write_photo(tmp_path / "colour.png", scene(), profile=bytes(for_grey))

    assert differ(decoded(with_colour).picture, grey) < 1
    assert differ(decoded(with_grey).picture, scene()) == 0


def _cmyk(folder: Path) -> Path:
    path = folder / "cmyk.jpg"
    Image.new("CMYK", (64, 64), (0, 255, 255, 0)).save(path, quality=100)
    return path


def _grey(folder: Path) -> Path:
    path = folder / "grey.png"
    Image.new("L", (64, 64), 77).save(path)
    return path


def _one_bit(folder: Path) -> Path:
    path = folder / "bits.png"
    Image.new("1", (64, 64), 1).save(path)
    return path


def _palette(folder: Path) -> Path:
    path = folder / "palette.png"
    Image.new("RGB", (64, 64), (10, 120, 240)).quantize(8).save(path)
    return path


def _palette_clear(folder: Path) -> Path:
    path = folder / "clear.png"
    image = Image.new("RGB", (64, 64), (10, 120, 240)).quantize(8)
    image.save(path, transparency=image.getpixel((0, 0)))
    return path


def _clear(folder: Path) -> Path:
    path = folder / "clear.webp"
    Image.new("RGBA", (64, 64), (200, 0, 0, 0)).save(path, lossless=True, exact=True)
    return path


def _half_clear(folder: Path) -> Path:
    path = folder / "half.png"
    Image.new("RGBA", (64, 64), (200, 0, 0, 128)).save(path)
    return path


def _grey_clear(folder: Path) -> Path:
    path = folder / "grey-clear.png"
    Image.new("LA", (64, 64), (0, 0)).save(path)
    return path


def _deep_grey(folder: Path) -> Path:
    path = folder / "deep.tif"
    Image.fromarray(np.full((64, 64), 200 * 257, np.uint16)).save(path)
    return path


def _deep_grey_png(folder: Path) -> Path:
    path = folder / "deep.png"
    Image.fromarray(np.full((64, 64), 30 * 257, np.uint16)).save(path)
    return path


def _deep_grey_clear(folder: Path) -> Path:
    """Write a 16 bit grey PNG in which one level counts as see-through (PNG, third edition, section 11.3.1.1)."""
    path = folder / "deep-clear.png"
    content = _deep_grey_png(folder).read_bytes()
    chunk = b"tRNS" + struct.pack(">H", 30 * 257)
    at = content.index(b"IDAT") - 4
    path.write_bytes(content[:at] + struct.pack(">I", 2) + chunk + struct.pack(">I", zlib.crc32(chunk)) + content[at:])
    return path


def _deep_colour(folder: Path) -> Path:
    """Write a TIFF of 16 bits a channel by hand (TIFF 6.0, section 6); Pillow writes none."""
    path = folder / "deep-colour.tif"
    pixels = np.tile(np.array([200 * 257, 100 * 257, 50 * 257], "<u2"), (64, 64, 1)).tobytes()
    entries = [
        (256, 3, 1, 64),
        (257, 3, 1, 64),
        (258, 3, 3, 8),
        (259, 3, 1, 1),
        (262, 3, 1, 2),
        (273, 4, 1, 200),
        (277, 3, 1, 3),
        (278, 3, 1, 64),
        (279, 4, 1, len(pixels)),
    ]
    head = b"II*\0" + struct.pack("<I", 16) + struct.pack("<3H2x", 16, 16, 16)
    folder_bytes = struct.pack("<H", len(entries)) + b"".join(struct.pack("<HHII", *entry) for entry in entries)
    path.write_bytes((head + folder_bytes + bytes(4)).ljust(200, b"\0") + pixels)
    return path


@pytest.mark.parametrize(
    ("write", "expected"),
    [
        pytest.param(_cmyk, (255, 0, 0), id="CMYK"),
        pytest.param(_grey, (77, 77, 77), id="grey"),
        pytest.param(_one_bit, (255, 255, 255), id="one bit"),
        pytest.param(_palette, (10, 120, 240), id="palette"),
        pytest.param(_palette_clear, (255, 255, 255), id="see-through palette colour"),
        pytest.param(_clear, (255, 255, 255), id="see-through"),
        pytest.param(_half_clear, (227, 127, 127), id="half see-through"),
        pytest.param(_grey_clear, (255, 255, 255), id="see-through grey"),
        pytest.param(_deep_grey, (200, 200, 200), id="16 bit grey TIFF"),
        pytest.param(_deep_grey_png, (30, 30, 30), id="16 bit grey PNG"),
        pytest.param(_deep_grey_clear, (30, 30, 30), id="16 bit grey PNG with a see-through level"),
        pytest.param(_deep_colour, (200, 100, 50), id="16 bit colour TIFF"),
    ],
)
def test_kinds_of_pixels(
    write: Callable[[Path], Path], expected: tuple[int, int, int], tmp_path: Path, decoded: Decode
) -> None:
    """Every kind of pixel that cameras, scanners and editors write becomes 8 bit sRGB, on white where see-through."""
    result = decoded(write(tmp_path)).picture

    assert result.mode == "RGB"
    assert result.getpixel((32, 32)) == pytest.approx(expected, abs=2)


def test_numbers_without_range(tmp_path: Path, decoded: Decode) -> None:
    """Floating-point pixels, whose range nobody knows, are refused with what to do."""
    path = tmp_path / "float.tif"
    Image.fromarray(np.zeros((8, 8), np.float32)).save(path)

    with pytest.raises(PhotoError, match="save it with 8 or 16 bits a channel"):
        decoded(path)


def test_first_of_several(tmp_path: Path, decoded: Decode) -> None:
    """Of an animation the first picture is taken, and the others are counted; a camera's MPO counts as one."""
    frames = [Image.new("RGB", (64, 64), colour) for colour in ("red", "green", "blue")]
    for kind in ("png", "webp", "tif"):
        frames[0].save(tmp_path / f"moving.{kind}", save_all=True, append_images=frames[1:], lossless=True)
    mpo = write_photo(tmp_path / "photo.mpo", frames[0])

    results = [decoded(tmp_path / f"moving.{kind}") for kind in ("png", "webp", "tif")]

    assert [result.frames for result in results] == [3, 3, 3]
    assert [result.picture.getpixel((9, 9)) for result in results] == [(255, 0, 0)] * 3
    assert decoded(mpo).frames == 1


def test_nothing_left_beside_the_pixels(tmp_path: Path, decoded: Decode) -> None:
    """A decoded picture carries nothing an encoder could write: no profile, no Exif, no comment."""
    path = write_photo(tmp_path / "photo.jpg", scene(), exif=exif_block(), planted=True)

    assert decoded(path).picture.info == {}


def test_memory_is_told_from_the_header(tmp_path: Path) -> None:
    """The decoder's reduced scales count: a photo of four times the pixels need not take more memory."""
    needed = {}
    for width in (4000, 8000):
        path = tmp_path / f"{width}.jpg"
        Image.new("L", (width, width // 2)).save(path)
        with open_source(path) as source:
            needed[width] = memory_needed(open_image(source, 10**9), PictureSettings(longest_edge=2000))

    assert needed[8000] == needed[4000] == 4 * 2000 * 1000
