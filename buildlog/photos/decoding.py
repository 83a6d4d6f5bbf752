"""From an opened photo to one picture: upright, sRGB, 8 bits, bare of everything but its pixels."""

from __future__ import annotations

import struct
from typing import NamedTuple

from PIL import Image, ImageFile

from buildlog.photos.camera import CameraNotes, read_notes
from buildlog.photos.colour import NCLX_SPACES, named_profile, to_srgb
from buildlog.photos.opening import PhotoError, Size, Source, load_pixels
from buildlog.photos.settings import PictureSettings
from buildlog.photos.shrinking import shrink

# What turns the stored pixels upright. Where row 0 and column 0 lie is in Exif 3.0 (CIPA DC-008), 4.6.5.1.5.
_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


class Decoded(NamedTuple):
    """A photo, ready for the web but for its sizes."""

    picture: Image.Image
    """Mode RGB, upright, no longer than the settings' longest edge."""
    size: Size
    """Of the original, upright."""
    frames: int
    notes: CameraNotes


def memory_needed(image: ImageFile.ImageFile, settings: PictureSettings) -> int:
    """Estimate, from its header, the most bytes that decoding a photo takes."""
    size = Size(*image.size)
    pixels = size.width * size.height
    if image.format not in ("JPEG", "MPO"):
        # The decoder's own planes, Pillow's four bytes a pixel, and the same again where it is made flat.
        return pixels * 10
    target = size.within(settings.longest_edge)
    room = min(size.width // target.width, size.height // target.height)
    scale = max(scale for scale in (1, 2, 4, 8) if scale == 1 or scale <= room)
    # A progressive JPEG's coefficients, two bytes each, are all held until its end.
    return pixels * 4 // scale**2 + (pixels * 6 if "progressive" in image.info else 0)


def decode(source: Source, image: ImageFile.ImageFile, settings: PictureSettings) -> Decoded:
    """
    Decode a photo whose header was read by `open_image`, and close it.

    Raises:
        PhotoError: It cannot be used.
    """
    size = Size(*image.size)
    frames = _count_frames(image)
    profile = image.info.get("icc_profile")
    if image.format in ("JPEG", "MPO"):
        # Lets the JPEG decoder leave out detail that would be thrown away at once: 1/2, 1/4 or 1/8 of the size.
        image.draft(image.mode, size.within(settings.longest_edge))
    load_pixels(source, image, settings.most_pixels)
    if image.format not in ("JPEG", "MPO"):
        # TIFF is turned upright by its decoder, and HEIF may find its true size only here.
        size = Size(*image.size)
        if size.width * size.height > settings.most_pixels:
            raise PhotoError(source.path, "is larger than its header says; save it as JPEG or PNG")
    notes = read_notes(image)
    profile = _profile(source, image, profile, notes)
    try:
        flat = _flatten(image)
        # The photo's own pixels are not needed any longer, and often are most of what this takes. What goes on from
        # here must not be the same memory, which the caller may free.
        if flat is not image:
            image.close()
        stored = shrink(flat, size.within(settings.longest_edge), spend=True)
        if stored is image:
            stored = image.copy()
        if notes.orientation in _TURNS:
            stored = stored.transpose(_TURNS[notes.orientation])
            if notes.orientation >= 5:
                size = Size(size.height, size.width)
        picture = to_srgb(stored, profile)
    except MemoryError as error:
        message = f"needs more memory than there is ({size.width} by {size.height} pixels)"
        raise PhotoError(source.path, message) from error
    except (ValueError, OSError) as error:
        message = f"holds pixels that cannot be converted ({error}); save it as JPEG or PNG"
        raise PhotoError(source.path, message) from error
    except _ModeError as error:
        raise PhotoError(source.path, f"{error}; save it with 8 or 16 bits a channel") from error
    return Decoded(picture, size, frames, notes)


class _ModeError(Exception):
    """The pixels are of a kind that no photo has."""


def _count_frames(image: ImageFile.ImageFile) -> int:
    if image.format == "MPO":
        return 1
    try:
        return int(getattr(image, "n_frames", 1))
    except Exception:  # a damaged list of frames; the first one may be fine
        return 1


def _profile(source: Source, image: ImageFile.ImageFile, embedded: object, notes: CameraNotes) -> bytes | None:
    """Find the profile of a photo's colours, or None for sRGB."""
    found = image.info.get("icc_profile") or embedded
    if isinstance(found, bytes) and found:
        return found
    if notes.adobe_rgb and image.mode == "RGB":
        return named_profile("Adobe RGB")
    if image.format in ("HEIF", "AVIF"):
        # Their container may name the primaries by number: ISO/IEC 14496-12, 12.1.5, colour type "nclx".
        source.file.seek(0)
        start = source.file.read(65_536)
        at = start.find(b"colrnclx")
        if 0 <= at <= len(start) - 10:
            space = NCLX_SPACES.get(struct.unpack_from(">H", start, at + 8)[0])
            return named_profile(space) if space else None
    return None


def _flatten(image: Image.Image) -> Image.Image:
    """Give the picture in L, RGB, CMYK or LAB, on white where it is see-through."""
    if image.mode.startswith("I;16"):
        return image.convert("I").point(lambda level: level * (255 / 65_535) + 0.5).convert("L")
    if image.mode in ("P", "PA") or "transparency" in image.info:
        see_through = image.mode == "PA" or "transparency" in image.info
        image = image.convert("RGBA" if see_through else "RGB")
    if image.mode in ("LA", "La", "RGBA", "RGBa"):
        image = image.convert({"La": "LA", "RGBa": "RGBA"}.get(image.mode, image.mode))
        base = Image.new("L" if image.mode == "LA" else "RGB", image.size, "white")
        base.paste(image.convert(base.mode), mask=image.getchannel("A"))
        return base
    if image.mode in ("1", "YCbCr", "RGBX", "HSV"):
        return image.convert("L" if image.mode == "1" else "RGB")
    if image.mode in ("L", "RGB", "CMYK", "LAB"):
        return image
    raise _ModeError(f"holds values of a kind that is no photo's (mode {image.mode})")
