"""The types of single values: each reads what a person wrote as text, and says what it accepts.

A YAML value reaches these types as the text that stands in the file, so that `1:24`, `017` and `no` mean what they
say. Each type is `Annotated` with a `Reads`, whose words the guide, the editor schemas and the messages share.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from pathlib import PurePosixPath
from typing import Annotated, Any, NamedTuple, NoReturn, TypeVar, cast, get_origin
from urllib.parse import urlsplit
from zoneinfo import available_timezones

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from buildlog.figures.quantities import Quantity, parse_length, parse_quantity
from buildlog.figures.scale import Scale, parse_scale
from buildlog.figures.tolerance import Tolerance, parse_tolerance


def refuse(message: str, accepted: str = "") -> NoReturn:
    """
    Refuse a value.

    Raises:
        PydanticCustomError: Always; type `refused`, with `accepted` in its context.
    """
    raise PydanticCustomError("refused", "{message}", {"message": message, "accepted": accepted})


def nearest(word: str, known: Iterable[str], *, cutoff: float = 0.6) -> str | None:
    """
    Find the known word that a misspelt one most likely meant.

    Args:
        word: As written; only its beginning counts where it is very long.
        known: What could be meant.
        cutoff: How like they must be, from 0 (not at all) to 1 (the same).

    Returns:
        The known word; `None` where none is near.
    """
    options = {option.casefold(): option for option in known}
    found = difflib.get_close_matches(word[:100].casefold(), options, n=1, cutoff=cutoff)
    return options[found[0]] if found else None


def as_text(value: Any, accepted: str) -> str:
    """
    Take the text of a plain value.

    Raises:
        PydanticCustomError: It is a list or a mapping.
    """
    if isinstance(value, str):
        return value.strip()
    kind = "a list" if isinstance(value, (list, tuple)) else "keys" if isinstance(value, dict) else repr(value)
    refuse(f"found {kind}; write {accepted}", accepted)


@dataclass(frozen=True)
class Reads:
    """Pydantic metadata of a field type: how its text is read, and what it accepts."""

    read: Callable[[Any], Any]
    """Takes the text as written (stripped) and raises `ValueError` with a whole sentence where it can't."""
    accepts: str
    """In words, such as "a length with its unit"; for the guide, the editor schemas and the messages."""
    example: str = ""
    """As it would stand in a record."""
    schema: Mapping[str, Any] = field(default_factory=lambda: {"type": ["string", "number", "boolean"]}, compare=False)
    """JSON Schema of what an editor may see there, which takes `3.5` for a number and `true` for a truth value."""
    whole: bool = False
    """Whether `read` takes lists too, and raises by `refuse`."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        kind = get_origin(source) or source

        def validate(value: Any) -> Any:
            if isinstance(value, kind) and kind is not str:
                return value
            if self.whole:
                return self.read(value)
            text = as_text(value, self.accepts)
            try:
                return self.read(text)
            except ValueError as error:
                refuse(str(error), self.accepts)

        return core_schema.no_info_plain_validator_function(validate)


_Read = TypeVar("_Read", bound=Callable[[str], Any])


def _remembered(read: _Read) -> _Read:
    """Read the same short text once: dates, paths and figures come again and again in a workshop's records."""
    return cast("_Read", lru_cache(maxsize=4096)(read))


@dataclass(frozen=True)
class Word:
    """Pydantic metadata of a closed set of words, an enum of strings."""

    def __get_pydantic_core_schema__(self, source: type[StrEnum], handler: GetCoreSchemaHandler) -> CoreSchema:
        words = [member.value for member in source]
        accepted = ", ".join(words)

        def validate(value: Any) -> StrEnum:
            if isinstance(value, source):
                return value
            text = " ".join(as_text(value, accepted).split())
            for member in source:
                if member.value.casefold() == text.casefold():
                    return member
            guess = nearest(text, words)
            hint = f'did you mean "{guess}"? Accepted: ' if guess else "use one of: "
            refuse(f'"{text}" is not known here; {hint}{accepted}', accepted)

        return core_schema.no_info_plain_validator_function(validate)


# --- words ---------------------------------------------------------------------------------------


def _read_text(text: str) -> str:
    if not text:
        raise ValueError("is empty; write some words, or leave the key out")
    return text if text.isascii() else unicodedata.normalize("NFC", text)


def _read_line(text: str) -> str:
    return " ".join(_read_text(text).split())


def read_id(text: str) -> str:
    """
    Read a short name, in Unicode's composed form.

    Raises:
        ValueError: In a sentence for the person who wrote it.
    """
    if not text.isascii():
        text = unicodedata.normalize("NFC", text)
    if not is_id(text):
        raise ValueError(
            f'"{text}" is not an id; use letters, digits, "-", "_" and ".", with a letter or digit at both ends, '
            "such as port-sidelight"
        )
    return text


def is_id(text: str) -> bool:
    """Whether text can stand in an address as it is: letters of any script, digits, and `-`, `_`, `.` inside."""
    if text.isascii():
        return bool(_ASCII_ID.fullmatch(text))
    kinds = [unicodedata.category(letter)[0] if letter not in "-_." else "-" for letter in text]
    return len(text) <= 100 and kinds[0] in "LN" and kinds[-1] in "LNM" and set(kinds) <= {"L", "N", "M", "-"}


_ASCII_ID = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9_.-]{0,98}[A-Za-z0-9])?")


Text = Annotated[str, Reads(_read_text, "words, Markdown allowed")]
"""Free text; Markdown where it is shown as a paragraph."""
Line = Annotated[str, Reads(_read_line, "a few words")]
"""Words on one line."""
Id = Annotated[str, Reads(read_id, "an id: letters, digits, hyphens and full stops", "port-sidelight")]
"""A short name that other records refer to."""


def _read_yes(text: str) -> bool:
    if text.casefold() in {"true", "yes", "on"}:
        return True
    if text.casefold() in {"false", "no", "off"}:
        return False
    raise ValueError(f'"{text}" is neither yes nor no; write yes or no')


_YES_OR_NO = {
    "anyOf": [{"type": "boolean"}, {"type": "string", "pattern": "^(?:[Yy]es|[Nn]o|[Oo]n|[Oo]ff|YES|NO|ON|OFF)$"}]
}
YesNo = Annotated[bool, Reads(_read_yes, "yes or no", "yes", _YES_OR_NO)]

# --- numbers -------------------------------------------------------------------------------------

_NUMBER = re.compile(r"\d{1,9}(?:[.,]\d{1,9})?")


def _read_number(text: str) -> Decimal:
    if not _NUMBER.fullmatch(text):
        raise ValueError(f'"{text}" is not a number; write one such as 3.5')
    try:
        return Decimal(text.replace(",", "."))
    except InvalidOperation:  # pragma: no cover - the pattern lets nothing else through
        raise ValueError(f'"{text}" is not a number; write one such as 3.5') from None


def read_hours(text: str) -> Decimal:
    """
    Read hours such as `3.5` or `3.5 h`.

    Raises:
        ValueError: In a sentence for the person who wrote it.
    """
    number = _read_number(re.sub(r"\s*(?:h|hours?)$", "", text))
    if number > 100_000:
        raise ValueError(f'"{text}" hours is more than a lifetime of work; write hours such as 3.5')
    return number


def _read_planned_hours(text: str) -> Decimal:
    number = read_hours(text)
    if not number:
        raise ValueError("hours of 0 count for nothing in the plan; write hours above 0, or leave the item out")
    return number


def _read_weight(text: str) -> Decimal:
    number = _read_number(text)
    if not number:
        raise ValueError("a weight of 0 counts for nothing; write a number above 0, or leave the stage out")
    return number


def _read_count(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,6}", text) or not int(text):
        raise ValueError(f'"{text}" is not a count; write a whole number from 1')
    return int(text)


_SHARE = re.compile(r"(\d{1,3}(?:[.,]\d{1,4})?)\s*%")


def _read_share(text: str) -> Fraction:
    match = _SHARE.fullmatch(text)
    share = Fraction(match[1].replace(",", ".")) / 100 if match else None
    if share is None and re.fullmatch(r"\d{1,3}(?:[.,]\d{1,4})?", text):
        number = Fraction(text.replace(",", "."))
        percent = number * 100 if number < 1 and "." in text.replace(",", ".") else number
        if percent <= 100:
            raise ValueError(f'"{text}" is not a share; did you mean {float(percent):g} %?')
    if share is None or share > 1:
        raise ValueError(f'"{text}" is not a share; write 0 % to 100 %, such as 80 %')
    return share


def _number_schema(pattern: str, **bounds: Any) -> dict[str, Any]:
    return {"anyOf": [{"type": "number", **bounds}, {"type": "string", "pattern": f"^\\s*{pattern}\\s*$"}]}


_DECIMAL = r"\d{1,9}(?:[.,]\d{1,9})?"
Hours = Annotated[
    Decimal,
    Reads(
        read_hours,
        "hours, such as 3.5",
        "3.5",
        _number_schema(rf"{_DECIMAL}\s*(?:h|hours?)?", minimum=0, maximum=100_000),
    ),
]
PlannedHours = Annotated[
    Decimal,
    Reads(
        _read_planned_hours,
        "hours above 0, such as 3.5",
        "3.5",
        _number_schema(rf"{_DECIMAL}\s*(?:h|hours?)?", exclusiveMinimum=0, maximum=100_000),
    ),
]
Weight = Annotated[Decimal, Reads(_read_weight, "a number above 0", "40", _number_schema(_DECIMAL, exclusiveMinimum=0))]
Count = Annotated[
    int, Reads(_read_count, "a whole number from 1", "2", _number_schema(r"\d{1,6}", minimum=1, multipleOf=1))
]
Share = Annotated[
    Fraction,
    Reads(
        _read_share,
        "a share from 0 % to 100 %",
        "80 %",
        {"type": "string", "pattern": r"^\s*\d{1,3}(?:[.,]\d{1,4})?\s*%\s*$"},
    ),
]


class Point(NamedTuple):
    """A place on the upright picture, as shares of its size; (0, 0) is top left."""

    across: float
    down: float


class Box(NamedTuple):
    """A region of the upright picture, as shares of its size; (0, 0) is top left."""

    left: float
    top: float
    width: float
    height: float


_PLACE = re.compile(r"-?(?:\d{1,6}(?:\.\d{0,12})?|\.\d{1,12})")


def _read_places(value: Any, names: tuple[str, ...], example: str) -> list[float]:
    words = f"{len(names)} numbers from 0 to 1: {', '.join(names)}; such as {example}"
    if not isinstance(value, (list, tuple)):
        refuse(f'found "{value}"; write {words}' if isinstance(value, str) else f"write {words}", words)
    if len(value) == 2 * len(names) and all(isinstance(item, str) and item.strip().isdecimal() for item in value):
        pairs = [item.strip() for item in value]
        meant = ", ".join(f"{whole}.{rest}" for whole, rest in zip(pairs[::2], pairs[1::2], strict=True))
        refuse(f"write a decimal point, not a comma: [{meant}]", words)
    if len(value) != len(names):
        refuse(f"has {len(value)} {'number' if len(value) == 1 else 'numbers'}; write {words}", words)
    places = []
    edges = {"across": ("left", "right"), "left": ("left", "right"), "width": ("left", "right")}
    for name, item in zip(names, value, strict=True):
        if isinstance(item, (int, float)) or (isinstance(item, str) and _PLACE.fullmatch(item.strip())):
            number = float(item)
        elif isinstance(item, str) and _PLACE.fullmatch(item.strip().replace(",", ".")):
            refuse(f'"{item}" is not a number; write a decimal point, not a comma: {item.replace(",", ".")}', words)
        else:
            refuse(f'"{item}" is not a number; write {words}', words)
        before, after = edges.get(name, ("top", "bottom"))
        if number < 0:
            refuse(f"{item} is past the {before} edge; use 0 ({before}) to 1 ({after})", words)
        if number > 1:
            refuse(f"{item} is past the {after} edge; use 0 ({before}) to 1 ({after})", words)
        places.append(number)
    return places


def _read_point(value: Any) -> Point:
    return value if isinstance(value, Point) else Point(*_read_places(value, ("across", "down"), "[0.508, 0.310]"))


def _read_box(value: Any) -> Box:
    if isinstance(value, Box):
        return value
    box = Box(*_read_places(value, ("left", "top", "width", "height"), "[0.44, 0.56, 0.16, 0.10]"))
    words = "left, top, width, height as shares of the picture"
    if not (box.width and box.height):
        refuse("the box has no size; give it a width and a height above 0", words)
    if box.left + box.width > 1.0005:
        refuse(f"left + width is {box.left + box.width:.3g}, past the right edge; keep the sum within 1", words)
    if box.top + box.height > 1.0005:
        refuse(f"top + height is {box.top + box.height:.3g}, past the bottom edge; keep the sum within 1", words)
    return box


def _places_schema(count: int) -> dict[str, Any]:
    return {
        "type": "array",
        "items": {"anyOf": [{"type": "number", "minimum": 0, "maximum": 1}, {"type": "string", "pattern": r"^[01.]"}]},
        "minItems": count,
        "maxItems": count,
    }


PointField = Annotated[
    Point,
    Reads(
        _read_point,
        "two numbers from 0 to 1: across, then down",
        "[0.508, 0.310]",
        _places_schema(2),
        whole=True,
    ),
]
BoxField = Annotated[
    Box,
    Reads(
        _read_box,
        "four numbers from 0 to 1: left, top, width, height",
        "[0.44, 0.56, 0.16, 0.10]",
        _places_schema(4),
        whole=True,
    ),
]

# --- time ----------------------------------------------------------------------------------------


FIRST_YEAR, LAST_YEAR = 1800, 2200
"""The years that a record may name; the last days of the calendar leave no room to count on."""
_YEAR = r"(?:1[89]\d{2}|2[01]\d{2}|2200)"


def read_date(text: str) -> date:
    """
    Read a day written as year-month-day, in a year from 1800 to 2200.

    Raises:
        ValueError: In a sentence for the person who wrote it.
    """
    try:
        if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text, re.ASCII):
            raise ValueError
        day = date.fromisoformat(text)
    except ValueError:
        raise ValueError(f'"{text}" is not a date; write year-month-day, such as 2026-08-15') from None
    return _within_years(day)


def _within_years(day: date) -> date:
    """Refuse a year that can only be mistyped, and with which no days can be counted."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ValueError(f'the year of "{day}" is not from {FIRST_YEAR} to {LAST_YEAR}; correct it')
    return day


@dataclass(frozen=True, order=True)
class Moment:
    """A day, and the time of day where it was written."""

    day: date
    clock: time | None = None

    @property
    def order(self) -> tuple[date, time]:
        """For sorting; a day without a time comes first."""
        return self.day, self.clock or time()


def _read_moment(text: str) -> Moment:
    match = re.fullmatch(r"(\d{4}-\d{2}-\d{2})(?:[T ]\s*(\d{1,2}:\d{2})(?::\d{2})?)?", text, re.ASCII)
    try:
        if not match:
            raise ValueError
        clock = datetime.strptime(match[2], "%H:%M").time() if match[2] else None  # noqa: DTZ007 - a wall clock
        day = date.fromisoformat(match[1])
    except ValueError:
        raise ValueError(
            f'"{text}" is not a date; write year-month-day, such as 2026-08-15, or with a time: 2026-08-15 14:30'
        ) from None
    return Moment(_within_years(day), clock)


def _read_time_zone(text: str) -> str:
    if text in available_timezones():
        return text
    guess = nearest(text, available_timezones())
    raise ValueError(
        f'"{text}" is not a time zone; ' + (f'did you mean "{guess}"?' if guess else "write one such as Europe/Dublin")
    )


def _read_language(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z]{2,3}(?:-[A-Za-z0-9]{2,8})*", text):
        raise ValueError(f'"{text}" is not a language tag; write one such as en or en-IE')
    return text


Date = Annotated[
    date,
    Reads(
        _remembered(read_date),
        "a date: year-month-day",
        "2026-08-15",
        {"type": "string", "pattern": rf"^\s*{_YEAR}-\d{{2}}-\d{{2}}\s*$"},
    ),
]
MomentField = Annotated[
    Moment,
    Reads(
        _remembered(_read_moment),
        "a date, or a date and time",
        "2026-08-15",
        {"type": "string", "pattern": rf"^\s*{_YEAR}-\d{{2}}-\d{{2}}"},
    ),
]
TimeZone = Annotated[str, Reads(_read_time_zone, "a time zone's name", "Europe/Dublin", {"type": "string"})]
Language = Annotated[str, Reads(_read_language, "a language tag", "en", {"type": ["string", "boolean"]})]

# --- quantities ----------------------------------------------------------------------------------

_WORDS = {"type": "string"}


def _read_scale(text: str) -> Scale:
    if re.fullmatch(r"\d{1,4}(?:\.\d{1,3})?", text, re.ASCII) and Fraction(text):
        raise ValueError(f'"{text}" is not a scale; did you mean 1:{text}?')
    return parse_scale(text)


Length = Annotated[Quantity, Reads(_remembered(parse_length), "a length with its unit", "28.30 m", _WORDS)]
QuantityField = Annotated[Quantity, Reads(_remembered(parse_quantity), "a number with its unit", "310 t", _WORDS)]
ScaleField = Annotated[
    Scale, Reads(_remembered(_read_scale), "a scale such as 1:24, 1/24 or 1/2 in = 1 ft", "1:24", _WORDS)
]
ToleranceField = Annotated[
    Tolerance, Reads(_remembered(parse_tolerance), "a percentage, a length or an ISO 2768-1 class", "0.5 %", _WORDS)
]

# --- colour --------------------------------------------------------------------------------------


class Lab(NamedTuple):
    """A CIELAB colour: lightness 0 to 100, then a* (green to red) and b* (blue to yellow)."""

    lightness: float
    a: float
    b: float


def _read_hex(text: str) -> str:
    match = re.fullmatch(r"#?([0-9a-fA-F]{6}|[0-9a-fA-F]{3})", text, re.ASCII)
    if not match:
        raise ValueError(f'"{text}" is not a colour; write six hexadecimal digits in quotes, such as "#b3202a"')
    digits = match[1] if len(match[1]) == 6 else "".join(digit * 2 for digit in match[1])
    return f"#{digits.lower()}"


def _read_lab(value: Any) -> Lab:
    words = "three numbers: L*, a*, b*; such as [45.2, -42.0, 21.5]"
    if isinstance(value, Lab):
        return value
    if not isinstance(value, (list, tuple)) or len(value) != 3:
        refuse(f"write {words}", words)
    numbers = []
    for item in value:
        if not (isinstance(item, (int, float)) or (isinstance(item, str) and _PLACE.fullmatch(item.strip()))):
            refuse(f'"{item}" is not a number; write {words}', words)
        numbers.append(float(item))
    lab = Lab(*numbers)
    if not 0 <= lab.lightness <= 100:
        refuse(f"L* is {lab.lightness:g}; it runs from 0 (black) to 100 (white)", words)
    if max(abs(lab.a), abs(lab.b)) > 200:
        refuse("a* and b* lie within -200 and 200", words)
    return lab


Hex = Annotated[str, Reads(_read_hex, "six hexadecimal digits in quotes", '"#b3202a"', {"type": ["string", "number"]})]
LabField = Annotated[
    Lab,
    Reads(
        _read_lab,
        "three numbers: L*, a*, b*",
        "[45.2, -42.0, 21.5]",
        {"type": "array", "items": {"type": ["number", "string"]}, "minItems": 3, "maxItems": 3},
        whole=True,
    ),
]

# --- places --------------------------------------------------------------------------------------


def _read_path(text: str) -> PurePosixPath:
    text = unicodedata.normalize("NFC", text)
    path = PurePosixPath(text)
    if "\\" in text:
        raise ValueError(f'"{text}" has a backslash; separate folders by "/"')
    if path.is_absolute() or re.match(r"[A-Za-z]:", text):
        raise ValueError(
            f'"{text}" is an absolute path; write it from the build\'s photos folder, such as 2026-08-15/IMG_1026.jpg'
        )
    if ".." in path.parts:
        raise ValueError(f'"{text}" leaves the build\'s folder; ".." is not allowed')
    if not path.parts or "\0" in text:
        raise ValueError("is empty; write a path such as 2026-08-15/IMG_1026.jpg")
    return path


def _read_link(text: str) -> str:
    try:
        parts = urlsplit(text)
    except ValueError:
        parts = urlsplit("")
    if parts.scheme not in {"http", "https"} or not parts.netloc or re.search(r"[\s<>\"']", text):
        raise ValueError(f'"{text}" is not an address; write one that begins with https://')
    return text


def read_email(text: str) -> str:
    """
    Read a mail address.

    Raises:
        ValueError: In a sentence for the person who wrote it.
    """
    if not re.fullmatch(r"[^@\s<>\"'&?,;:]+@[^@\s<>\"'&?,;:]+\.[^@\s<>\"'&?,;:.]+", text):
        raise ValueError(f'"{text}" is not a mail address; write one such as workshop@example.org')
    return text


Path = Annotated[PurePosixPath, Reads(_remembered(_read_path), "a path with /", "2026-08-15/IMG_1026.jpg")]
Link = Annotated[
    str,
    Reads(
        _read_link,
        "an address that begins with https://",
        "https://shop.example.org/lamp-12",
        {"type": "string", "pattern": r"^\s*https?://"},
    ),
]
Email = Annotated[str, Reads(read_email, "a mail address", "workshop@example.org", {"type": "string", "pattern": "@"})]
