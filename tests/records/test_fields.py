"""Single values: what each type reads, and what it refuses in which words."""

from __future__ import annotations

from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from pathlib import PurePosixPath
from typing import Annotated, Any

import pytest
from pydantic import TypeAdapter, ValidationError

from buildlog.records import fields
from buildlog.records.fields import Box, Lab, Moment, Point, is_id, nearest
from buildlog.records.models import Origin, Status


def read(kind: Any, value: Any) -> Any:
    return TypeAdapter(kind).validate_python(value)


def refused(kind: Any, value: Any) -> str:
    with pytest.raises(ValidationError) as caught:
        read(kind, value)
    (error,) = caught.value.errors(include_url=False)
    assert error["type"] == "refused"
    assert error["ctx"]["accepted"]
    return str(error["ctx"]["message"])


@pytest.mark.parametrize(
    ("kind", "written", "meant"),
    [
        pytest.param("Text", "  *two*\nlines ", "*two*\nlines", id="text keeps its lines"),
        pytest.param("Line", " two\n  words ", "two words", id="line is one line"),
        pytest.param("Line", "e\u0301t\u00e9", "\u00e9t\u00e9", id="composed letters"),
        pytest.param("Id", "017", "017", id="id of digits"),
        pytest.param("Id", "ma\u0308st", "m\u00e4st", id="id composed"),
        pytest.param("Id", "v1.2_b-c", "v1.2_b-c", id="id with signs"),
        pytest.param("YesNo", "Yes", True, id="yes"),
        pytest.param("YesNo", "off", False, id="off"),
        pytest.param("Hours", "3,5", Decimal("3.5"), id="hours with a comma"),
        pytest.param("Hours", "4 hours", Decimal(4), id="hours in words"),
        pytest.param("Hours", "0", Decimal(0), id="no hours"),
        pytest.param("PlannedHours", "0.5 h", Decimal("0.5"), id="planned hours"),
        pytest.param("Weight", "12.5", Decimal("12.5"), id="weight"),
        pytest.param("Count", "3", 3, id="count"),
        pytest.param("Share", "80 %", Fraction(4, 5), id="share"),
        pytest.param("Share", "0%", Fraction(0), id="no share"),
        pytest.param("Share", "33,3 %", Fraction(333, 1000), id="share with a comma"),
        pytest.param("Date", "2028-02-29", date(2028, 2, 29), id="leap day"),
        pytest.param("MomentField", "2026-08-15", Moment(date(2026, 8, 15)), id="day"),
        pytest.param("MomentField", "2026-08-15 9:05", Moment(date(2026, 8, 15), time(9, 5)), id="time"),
        pytest.param("MomentField", "2026-08-15T14:30:00", Moment(date(2026, 8, 15), time(14, 30)), id="time, with T"),
        pytest.param("Date", "1800-01-01", date(1800, 1, 1), id="first day"),
        pytest.param("MomentField", "2200-12-31", Moment(date(2200, 12, 31)), id="last day"),
        pytest.param("PointField", ["0", "1"], Point(0, 1), id="corner"),
        pytest.param("PointField", [".5", "0.5"], Point(0.5, 0.5), id="nothing before the point"),
        pytest.param("PointField", ["1.", "0"], Point(1, 0), id="nothing after the point"),
        pytest.param("BoxField", ["0.5", "0", "0.5", "1"], Box(0.5, 0, 0.5, 1), id="half the picture"),
        pytest.param("LabField", ["50", "-10.5", "0"], Lab(50, -10.5, 0), id="lab"),
        pytest.param("Hex", "#B3202A", "#b3202a", id="hex in capitals"),
        pytest.param("Hex", "b32", "#bb3322", id="short hex"),
        pytest.param("Path", "2026-08-15/./IMG.jpg", PurePosixPath("2026-08-15/IMG.jpg"), id="path"),
        pytest.param("Link", "https://example.org/a?b=c#d", "https://example.org/a?b=c#d", id="link"),
        pytest.param("Email", "a.b@example.org", "a.b@example.org", id="mail"),
        pytest.param("TimeZone", "Europe/Dublin", "Europe/Dublin", id="time zone"),
        pytest.param("Language", "en-IE", "en-IE", id="language"),
    ],
)
def test_what_is_read(kind: str, written: Any, meant: Any) -> None:
    """A value means what its field says, in every spelling people use."""
    assert read(getattr(fields, kind), written) == meant


@pytest.mark.parametrize(
    ("kind", "written", "words"),
    [
        pytest.param("Text", "   ", "is empty", id="blank text"),
        pytest.param("Line", ["a"], "found a list", id="list for a line"),
        pytest.param("Line", {"a": "b"}, "found keys", id="keys for a line"),
        pytest.param("Id", "port light", '"port light" is not an id', id="space in an id"),
        pytest.param("Id", "-a", "with a letter or digit at both ends", id="hyphen first"),
        pytest.param("Id", "a.", "with a letter or digit at both ends", id="full stop last"),
        pytest.param("Id", "a/b", "is not an id", id="slash in an id"),
        pytest.param("Id", "x" * 101, "is not an id", id="endless id"),
        pytest.param("YesNo", "perhaps", "write yes or no", id="perhaps"),
        pytest.param("Hours", "-1", "is not a number", id="hours below none"),
        pytest.param("Hours", "1e9", "is not a number", id="hours in powers"),
        pytest.param("Hours", "999999", "more than a lifetime", id="hours of a lifetime"),
        pytest.param("PlannedHours", "0", "count for nothing in the plan", id="nothing planned"),
        pytest.param("PlannedHours", "0.00 h", "leave the item out", id="nothing planned, in decimals"),
        pytest.param("Weight", "0", "counts for nothing", id="no weight"),
        pytest.param("Count", "0", "write a whole number from 1", id="count of none"),
        pytest.param("Count", "1.5", "write a whole number from 1", id="half a count"),
        pytest.param("Count", "٣", "write a whole number from 1", id="digits of another script"),
        pytest.param("Share", "101 %", "is not a share", id="more than all"),
        pytest.param("Share", "0.8", "did you mean 80 %?", id="share without its sign"),
        pytest.param("Date", "2027-02-29", "is not a date", id="no leap year"),
        pytest.param("Date", "2026-8-1", "write year-month-day", id="short month"),
        pytest.param("Date", "0000-01-01", "is not a date", id="year none"),
        pytest.param("MomentField", "2026-08-15 25:00", "with a time: 2026-08-15 14:30", id="hour 25"),
        pytest.param("Date", "1799-12-31", "is not from 1800 to 2200", id="year too early"),
        pytest.param("Date", "2201-01-01", "is not from 1800 to 2200", id="year too late"),
        pytest.param("MomentField", "0206-08-15", "is not from 1800 to 2200; correct it", id="moment too early"),
        pytest.param("MomentField", "9999-12-30 10:00", "is not from 1800 to 2200", id="moment too late"),
        pytest.param("MomentField", "yesterday", "is not a date", id="yesterday"),
        pytest.param("PointField", ["0.5", "1.01"], "1.01 is past the bottom edge", id="below the picture"),
        pytest.param("PointField", ["-0.1", "0.5"], "-0.1 is past the left edge", id="left of the picture"),
        pytest.param("PointField", ["nan", "0.5"], '"nan" is not a number', id="not a number"),
        pytest.param("PointField", [".", "0.5"], '"." is not a number', id="point alone"),
        pytest.param("PointField", [["0"], "0.5"], "is not a number", id="list in a point"),
        pytest.param("BoxField", ["0", "0", "0", "1"], "has no size", id="box without width"),
        pytest.param("BoxField", ["0", "0.6", "0.5", "0.6"], "past the bottom edge", id="box too high"),
        pytest.param("LabField", ["50", "300", "0"], "lie within -200 and 200", id="lab out of range"),
        pytest.param("LabField", "red", "write three numbers", id="lab in words"),
        pytest.param("Hex", "#12345", "six hexadecimal digits in quotes", id="five digits"),
        pytest.param("Path", "../a.jpg", '".." is not allowed', id="path that leaves"),
        pytest.param("Path", "a/../../b.jpg", '".." is not allowed', id="path that leaves later"),
        pytest.param("Path", "/etc/passwd", "is an absolute path", id="absolute path"),
        pytest.param("Path", "C:/a.jpg", "is an absolute path", id="drive"),
        pytest.param("Path", "a\\b.jpg", "has a backslash", id="backslash"),
        pytest.param("Path", ".", "is empty", id="nowhere"),
        pytest.param("Link", "javascript:alert(1)", "begins with https://", id="script"),
        pytest.param("Link", "https://", "is not an address", id="no host"),
        pytest.param("Link", "https://[", "is not an address", id="broken host"),
        pytest.param("Link", 'https://a.example/"onclick', "is not an address", id="quote in a link"),
        pytest.param("Email", "a@b", "is not a mail address", id="no domain"),
        pytest.param("Email", "a@example.org?subject=x", "is not a mail address", id="mail with a query"),
        pytest.param("TimeZone", "europe/dublin", 'did you mean "Europe/Dublin"?', id="small letters"),
        pytest.param("TimeZone", "../../etc/passwd", "is not a time zone", id="time zone by a path"),
        pytest.param("Language", "English", "write one such as en", id="language in words"),
    ],
)
def test_what_is_refused(kind: str, written: Any, words: str) -> None:
    """A value that cannot be meant is refused with what to write instead."""
    assert words in refused(getattr(fields, kind), written)


@pytest.mark.parametrize(
    ("kind", "written", "meant"),
    [
        pytest.param("Length", "28.30 m", Fraction("28.3"), id="length"),
        pytest.param("QuantityField", "310 t", 310_000, id="mass"),
        pytest.param("ScaleField", "1/2 in = 1 ft", 24, id="scale"),
        pytest.param("ToleranceField", "0.5 %", Fraction(5, 1000), id="tolerance"),
    ],
)
def test_figures(kind: str, written: str, meant: Any) -> None:
    """Figures are read by their own parsers, and keep the text that was written."""
    figure = read(getattr(fields, kind), written)

    assert figure.text == written
    assert meant in {getattr(figure, name, None) for name in ("value", "ratio", "amount")}


@pytest.mark.parametrize("kind", ["Length", "QuantityField", "ScaleField", "ToleranceField"])
@pytest.mark.parametrize("written", ["", "0", "-1 m", "x" * 10_000, "1" * 10_000, "m", "∞ m", ["1 m"]])
def test_what_is_no_figure(kind: str, written: Any) -> None:
    """What is no figure is refused in bearable length."""
    assert refused(getattr(fields, kind), written)


@pytest.mark.parametrize("written", ["in progress", "In Progress", "in  progress", " in progress "])
def test_words_in_any_capitals(written: str) -> None:
    """Words of a closed set are known in any capitals and spaces."""
    assert read(Annotated[Status, fields.Word()], written) is Status.IN_PROGRESS


def test_unknown_word() -> None:
    """A word that is not in the set is refused with the nearest, and all that are."""
    assert refused(Annotated[Origin, fields.Word()], "scratchbuilt") == (
        '"scratchbuilt" is not known here; did you mean "scratch-built"? '
        "Accepted: kit, kit improved, bought in, scratch-built, printed, cast"
    )


@pytest.mark.parametrize("text", ["a", "möwe", "чайка", "नाव", "かもめ", "نورس", "9", "a-b_c.d"])
def test_ids_in_any_script(text: str) -> None:
    """Letters of every script make ids."""
    assert is_id(text)


@pytest.mark.parametrize("text", ["", "-", "a b", "a/b", "é!", "-é", "é-", "🚢", "a\u200bb", "\u0301a", "a\n"])
def test_what_is_no_id(text: str) -> None:
    """Spaces, signs, pictures and invisible letters do not."""
    assert not is_id(text)


def test_nearest_word() -> None:
    """The nearest word is found in any capitals; none where nothing is near, and quickly for endless words."""
    known = ["signal-red", "signal-green", "hull-black"]

    assert nearest("Signal-Redd", known) == "signal-red"
    assert nearest("mauve", known) is None
    assert nearest("x" * 1_000_000, known) is None
