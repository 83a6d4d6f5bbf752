"""Colours of paints: how they look on a screen, and how far one lies from another.

Lab is CIE 1976 L*a*b* for the 2° observer, under a stated illuminant. XYZ runs from 0 to 1 for a perfect white.
These are our own functions because the libraries need arrays; tests hold them to a library and to published pairs.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, NamedTuple, get_args

from buildlog.figures.quantities import quoted

Illuminant = Literal["D65", "D50", "A", "C"]
"""Lights that a Lab colour may be stated for."""


class Lab(NamedTuple):
    """A CIE L*a*b* colour."""

    lightness: float
    """L*, from 0 (black) to 100 (white)."""
    a: float
    """Green below zero, red above."""
    b: float
    """Blue below zero, yellow above."""


class XYZ(NamedTuple):
    """CIE tristimulus values, 2° observer; Y is 1 for a perfect white."""

    x: float
    y: float
    z: float


class LinearRGB(NamedTuple):
    """Amounts of light of the sRGB primaries, 0 to 1; outside that a screen cannot show them."""

    red: float
    green: float
    blue: float


@dataclass(frozen=True)
class Colour:
    """A colour as a builder states it."""

    lab: Lab
    illuminant: Illuminant
    """The light that `lab` holds under."""
    hex: str | None = None
    """As six hexadecimal digits in small letters after `#`, where it was stated so."""


class Difference(StrEnum):
    """A colour difference in words."""

    same = "same"
    close = "close"
    visible = "visible"


SAME_BELOW = 1.0
CLOSE_BELOW = 2.0
"""Below 1 nobody notices a difference, below 2 a practised eye alone: Mokrzycki and Tatol (2011), Colour difference
ΔE, a survey, Machine Graphics and Vision 20, as quoted in colour-science's documentation. They say it of CIE 1976
differences; CIEDE2000 is used here with the same limits."""

_CHROMATICITY: dict[Illuminant, tuple[float, float]] = {
    "D65": (0.3127, 0.3290),
    "D50": (0.3457, 0.3585),
    "A": (0.44758, 0.40745),
    "C": (0.31006, 0.31616),
}
"""x and y of each illuminant, 2° observer: CIE 15, as carried by colour-science."""

_Matrix = tuple[tuple[float, float, float], tuple[float, float, float], tuple[float, float, float]]

_RGB_TO_XYZ: _Matrix = (
    (0.4124, 0.3576, 0.1805),
    (0.2126, 0.7152, 0.0722),
    (0.0193, 0.1192, 0.9505),
)
"""IEC 61966-2-1 (sRGB)."""

_BRADFORD: _Matrix = (
    (0.8951, 0.2664, -0.1614),
    (-0.7502, 1.7135, 0.0367),
    (0.0389, -0.0685, 1.0296),
)
"""XYZ to cone responses, for taking a colour from one light to another (Lam 1985; ICC.1 annex E)."""


def _inverse(m: _Matrix) -> _Matrix:
    (a, b, c), (d, e, f), (g, h, i) = m
    over = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
    return (
        ((e * i - f * h) / over, (c * h - b * i) / over, (b * f - c * e) / over),
        ((f * g - d * i) / over, (a * i - c * g) / over, (c * d - a * f) / over),
        ((d * h - e * g) / over, (b * g - a * h) / over, (a * e - b * d) / over),
    )


_XYZ_TO_RGB = _inverse(_RGB_TO_XYZ)
_BRADFORD_BACK = _inverse(_BRADFORD)


def _apply(m: _Matrix, v: tuple[float, float, float]) -> tuple[float, float, float]:
    first, second, third = (sum(p * q for p, q in zip(row, v, strict=True)) for row in m)
    return first, second, third


def white(illuminant: Illuminant) -> XYZ:
    """XYZ of a perfect white under a light."""
    x, y = _CHROMATICITY[illuminant]
    return XYZ(x / y, 1.0, (1 - x - y) / y)


_LINEAR_BELOW = 216 / 24389
_LINEAR_SLOPE = 24389 / 27
"""Where Lab's cube root gives way to a straight line, and how steep that is: CIE 15:2004, as exact fractions."""


def xyz_to_lab(xyz: XYZ, illuminant: Illuminant = "D65") -> Lab:
    """XYZ as L*a*b* under the same light."""

    def f(t: float) -> float:
        return math.cbrt(t) if t > _LINEAR_BELOW else (_LINEAR_SLOPE * t + 16) / 116

    x, y, z = (f(value / full) for value, full in zip(xyz, white(illuminant), strict=True))
    return Lab(116 * y - 16, 500 * (x - y), 200 * (y - z))


def lab_to_xyz(lab: Lab, illuminant: Illuminant = "D65") -> XYZ:
    """L*a*b* as XYZ under the same light."""
    lightness, a, b = lab
    y = (lightness + 16) / 116

    def g(t: float) -> float:
        return t**3 if t**3 > _LINEAR_BELOW else (116 * t - 16) / _LINEAR_SLOPE

    x_white, y_white, z_white = white(illuminant)
    return XYZ(x_white * g(y + a / 500), y_white * g(y), z_white * g(y - b / 200))


def adapt(xyz: XYZ, illuminant: Illuminant, to: Illuminant) -> XYZ:
    """The XYZ that looks under one light as a colour does under another, by the Bradford transform."""
    cones = _apply(_BRADFORD, xyz)
    gains = zip(_apply(_BRADFORD, white(to)), _apply(_BRADFORD, white(illuminant)), strict=True)
    first, second, third = (cone * new / old for cone, (new, old) in zip(cones, gains, strict=True))
    return XYZ(*_apply(_BRADFORD_BACK, (first, second, third)))


def _to_linear(share: float) -> float:
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4


def _from_linear(light: float) -> float:
    return light * 12.92 if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055


_HEX = re.compile(r"#([0-9a-fA-F]{3}|[0-9a-fA-F]{6})")


def tidy_hex(text: str) -> str:
    """An sRGB colour in one spelling: `#` and six small hexadecimal digits.

    Raises:
        ValueError: It is not three or six hexadecimal digits after `#`.
    """
    found = _HEX.fullmatch(text[:100].strip())
    if found is None:
        raise ValueError(f"{quoted(text)} is not a colour; write # and six hexadecimal digits, such as #b3202a")
    digits = found[1].lower()
    return "#" + ("".join(2 * digit for digit in digits) if len(digits) == 3 else digits)


def hex_to_linear(text: str) -> LinearRGB:
    """An sRGB colour as amounts of light (IEC 61966-2-1).

    Raises:
        ValueError: As `tidy_hex`.
    """
    digits = tidy_hex(text)[1:]
    return LinearRGB(*(_to_linear(int(digits[i : i + 2], 16) / 255) for i in (0, 2, 4)))


def linear_to_hex(rgb: LinearRGB) -> str:
    """Amounts of light as the nearest sRGB colour; what a screen cannot show is cut off at its limits."""
    channels = (round(255 * _from_linear(min(max(light, 0.0), 1.0))) for light in rgb)
    return "#" + "".join(f"{channel:02x}" for channel in channels)


def linear_to_xyz(rgb: LinearRGB) -> XYZ:
    """Amounts of light of the sRGB primaries as XYZ under D65."""
    return XYZ(*_apply(_RGB_TO_XYZ, rgb))


def xyz_to_linear(xyz: XYZ) -> LinearRGB:
    """XYZ under D65 as amounts of light of the sRGB primaries, which may lie outside 0 to 1."""
    return LinearRGB(*_apply(_XYZ_TO_RGB, xyz))


def parse_colour(text: str) -> Colour:
    """Read an sRGB colour such as `#b3202a`.

    Raises:
        ValueError: As `tidy_hex`.
    """
    tidy = tidy_hex(text)
    return Colour(xyz_to_lab(linear_to_xyz(hex_to_linear(tidy))), "D65", tidy)


def colour_from_lab(lightness: float, a: float, b: float, illuminant: str = "D65") -> Colour:
    """A colour stated as L*a*b*, 2° observer.

    Raises:
        ValueError: L* lies outside 0 to 100, a* or b* beyond ±200, or the illuminant is not known.
    """
    known = get_args(Illuminant)
    if illuminant not in known:
        raise ValueError(f"{quoted(illuminant)} is not a light known here; write {', '.join(known)}")
    if not 0 <= lightness <= 100:
        raise ValueError(f"L* of {lightness:g} is not a lightness; write 0 (black) to 100 (white)")
    for name, value in (("a*", a), ("b*", b)):
        if not abs(value) <= 200:
            raise ValueError(f"{name} of {value:g} is no colour; write -200 to 200")
    light: Illuminant = next(one for one in _CHROMATICITY if one == illuminant)
    return Colour(Lab(lightness, a, b), light)


def _screen_light(colour: Colour) -> LinearRGB:
    if colour.hex is not None:
        return hex_to_linear(colour.hex)
    return xyz_to_linear(adapt(lab_to_xyz(colour.lab, colour.illuminant), colour.illuminant, "D65"))


def swatch_hex(colour: Colour) -> str:
    """The sRGB colour that stands for a colour on a page, as near as a screen can come."""
    return colour.hex or linear_to_hex(_screen_light(colour))


def screen_can_show(colour: Colour) -> bool:
    """Whether an sRGB screen can show a colour, to half a step of its 255."""
    least, most = -_to_linear(0.5 / 255), _to_linear(255.5 / 255)
    return all(least <= light <= most for light in _screen_light(colour))


def ciede2000(lab1: Lab, lab2: Lab) -> float:
    """The CIEDE2000 colour difference, with kL = kC = kH = 1.

    Steps and numbers in brackets are those of Sharma, Wu and Dalal (2005), The CIEDE2000 color-difference formula:
    implementation notes, supplementary test data, and mathematical observations.

    Args:
        lab1: One colour.
        lab2: The other, under the same light.

    Returns:
        About 1 for a difference that can just be seen.
    """
    (l1, a1, b1), (l2, a2, b2) = lab1, lab2
    mean_c = (math.hypot(a1, b1) + math.hypot(a2, b2)) / 2  # (2), (3)
    g = 0.5 * (1 - math.sqrt(mean_c**7 / (mean_c**7 + 25**7)))  # (4)
    a1, a2 = (1 + g) * a1, (1 + g) * a2  # (5)
    c1, c2 = math.hypot(a1, b1), math.hypot(a2, b2)  # (6)
    h1, h2 = (math.degrees(math.atan2(b, a)) % 360 for a, b in ((a1, b1), (a2, b2)))  # (7); a grey has hue 0

    turn = h2 - h1  # (10); beside a grey, whose hue means nothing, (11) is 0 whatever it is
    if turn > 180:
        turn -= 360
    elif turn < -180:
        turn += 360
    d_l, d_c = l2 - l1, c2 - c1  # (8), (9)
    d_h = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(turn) / 2)  # (11)

    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2  # (12), (13)
    mean_h = (h1 + h2) / 2  # (14)
    if abs(h1 - h2) > 180:
        mean_h += 180 if h1 + h2 < 360 else -180

    t = (
        1
        - 0.17 * math.cos(math.radians(mean_h - 30))
        + 0.24 * math.cos(math.radians(2 * mean_h))
        + 0.32 * math.cos(math.radians(3 * mean_h + 6))
        - 0.20 * math.cos(math.radians(4 * mean_h - 63))
    )  # (15)
    d_theta = 30 * math.exp(-(((mean_h - 275) / 25) ** 2))  # (16)
    r_c = 2 * math.sqrt(mean_c**7 / (mean_c**7 + 25**7))  # (17)
    s_l = 1 + 0.015 * (mean_l - 50) ** 2 / math.sqrt(20 + (mean_l - 50) ** 2)  # (18)
    s_c = 1 + 0.045 * mean_c  # (19)
    s_h = 1 + 0.015 * mean_c * t  # (20)
    r_t = -math.sin(math.radians(2 * d_theta)) * r_c  # (21)

    lightness, chroma, hue = d_l / s_l, d_c / s_c, d_h / s_h
    return math.sqrt(lightness**2 + chroma**2 + hue**2 + r_t * chroma * hue)  # (22)


def colour_difference(colour: Colour, reference: Colour) -> float:
    """CIEDE2000 between two colours; under D65 where they were stated for different lights."""
    if colour.illuminant == reference.illuminant:
        return ciede2000(colour.lab, reference.lab)
    labs = (
        xyz_to_lab(adapt(lab_to_xyz(one.lab, one.illuminant), one.illuminant, "D65")) for one in (colour, reference)
    )
    return ciede2000(*labs)


def difference_in_words(difference: float) -> Difference:
    """A CIEDE2000 difference in words, by the limits `SAME_BELOW` and `CLOSE_BELOW`."""
    if difference < SAME_BELOW:
        return Difference.same
    return Difference.close if difference < CLOSE_BELOW else Difference.visible


def relative_luminance(text: str) -> float:
    """Relative luminance of an sRGB colour, 0 for black to 1 for white (WCAG 2.2).

    Raises:
        ValueError: As `tidy_hex`.
    """
    red, green, blue = hex_to_linear(text)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two sRGB colours, 1 to 21 (WCAG 2.2); compare it unrounded with 3, 4.5 or 7.

    Raises:
        ValueError: As `tidy_hex`.
    """
    darker, lighter = sorted(map(relative_luminance, (one, other)))
    return (lighter + 0.05) / (darker + 0.05)
