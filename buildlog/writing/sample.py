"""The picture of the sample record: a drawing sheet with numbered edges, to show where a callout points."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from PIL import ExifTags, Image, ImageDraw, ImageFont

_SIZE = (1800, 1200)
_SHEET, _INK, _HAIRLINE, _BLUE = "#ffffff", "#16202b", "#c3ccd5", "#1d47b8"
# Shares of the sheet, as in a record: across, then down.
_HULL = ((0.15, 0.50), (0.30, 0.53), (0.70, 0.54), (0.86, 0.50), (0.83, 0.62), (0.76, 0.66), (0.27, 0.66), (0.20, 0.61))
_LINES = (
    ((0.174, 0.553), (0.847, 0.553)),
    ((0.205, 0.508), (0.205, 0.474)),
    ((0.37, 0.535), (0.37, 0.44), (0.60, 0.44), (0.60, 0.539)),
    ((0.42, 0.44), (0.42, 0.33), (0.53, 0.33), (0.53, 0.44)),
    ((0.41, 0.33), (0.54, 0.33)),
    ((0.62, 0.54), (0.62, 0.36), (0.68, 0.36), (0.68, 0.54)),
    ((0.475, 0.33), (0.475, 0.20)),
)


def draw_sample(path: Path, day: date) -> None:
    """
    Draw the sheet into a JPEG file that says it was taken at noon of that day.

    Raises:
        OSError: It cannot be written.
    """
    sheet = Image.new("RGB", _SIZE, _SHEET)
    pen = ImageDraw.Draw(sheet)
    small, large = ImageFont.load_default(26), ImageFont.load_default(40)
    width, height = _SIZE
    for tenth in range(1, 10):
        across, down = width * tenth / 10, height * tenth / 10
        pen.line([(across, 60), (across, height - 60)], fill=_HAIRLINE, width=2)
        pen.line([(60, down), (width - 60, down)], fill=_HAIRLINE, width=2)
        pen.text((across, 34), f"0.{tenth}", fill=_INK, font=small, anchor="mm")
        pen.text((32, down), f"0.{tenth}", fill=_INK, font=small, anchor="mm")
    pen.rectangle([60, 60, width - 60, height - 60], outline=_INK, width=5)
    pen.polygon(_on_sheet(_HULL), fill="#e6ecfa", outline=_INK, width=6)
    for points in _LINES:
        pen.line(_on_sheet(points), fill=_INK, width=5, joint="curve")
    ((across, down),) = _on_sheet(((0.205, 0.455),))
    pen.ellipse([across - 22, down - 22, across + 22, down + 22], fill=_BLUE, outline=_INK, width=4)
    pen.rectangle([width - 560, height - 170, width - 60, height - 60], fill=_SHEET, outline=_INK, width=5)
    pen.text((width - 310, height - 132), "Sample sheet", fill=_INK, font=large, anchor="mm")
    pen.text((width - 310, height - 88), "across, then down, from 0 to 1", fill=_INK, font=small, anchor="mm")
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = f"{day:%Y:%m:%d} 12:00:00"
    sheet.save(path, quality=90, exif=exif)


def _on_sheet(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    return [(across * _SIZE[0], down * _SIZE[1]) for across, down in points]
