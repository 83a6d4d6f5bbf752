"""How web pictures are made: widths, qualities and limits."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class PictureSettings:
    """
    What is made of every photo.

    Changing a value makes only the files it touches: a new JPEG quality leaves every WebP as it is.
    """

    widths: tuple[int, ...] = (320, 640, 960, 1600, 2560)
    """Pixels across, smallest first. A photo is never enlarged, so a small one gets fewer."""
    webp_quality: int = 80
    """0 to 100. Widths up to 640 are given 2 more: so small, fine detail is the first to go."""
    webp_method: int = 2
    """0 (fast) to 6 (small). Above 2 the time grows faster than the files shrink."""
    jpeg_width: int = 1600
    """Pixels across of the one JPEG, for feeds and old readers."""
    jpeg_quality: int = 82
    """1 to 95."""
    avif: bool = False
    """Whether AVIF is made beside WebP: smaller files, about twice the time."""
    avif_speed: int = 9
    """0 (small) to 10 (fast)."""
    avif_quality: int = 60
    """0 to 100."""
    copyright: str = ""
    """Written into every made file when not empty; nothing else ever is, but `creator`."""
    creator: str = ""
    """Written into every made file when not empty."""
    longest_edge: int = 2560
    """No made file is longer than this, across or down, in pixels."""
    most_pixels: int = 250_000_000
    """A photo with more pixels than this is refused before any of them is decoded."""

    def __post_init__(self) -> None:
        """
        Refuse values that no codec takes.

        Raises:
            ValueError: A value is out of range; the message names it and says what is accepted.
        """
        if not self.widths or min(self.widths) < 1 or list(self.widths) != sorted(set(self.widths)):
            raise ValueError(f"widths: {self.widths} is not a rising list of whole numbers from 1")
        for name, least, most in (
            ("webp_quality", 0, 100),
            ("webp_method", 0, 6),
            ("jpeg_width", 1, 65_500),
            ("jpeg_quality", 1, 95),
            ("avif_speed", 0, 10),
            ("avif_quality", 0, 100),
            # WebP holds no side longer than 16,383 pixels (RFC 9649, section 2.5).
            ("longest_edge", 16, 16_383),
            ("most_pixels", 1, 1_000_000_000),
        ):
            value = getattr(self, name)
            if not least <= value <= most:
                raise ValueError(f"{name}: {value} is out of range; use {least} to {most}")
