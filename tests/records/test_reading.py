"""One file: from bytes to plain text with positions, and what is refused on the way."""

from __future__ import annotations

import os
from pathlib import Path, PurePosixPath
from typing import Any

import pytest

from buildlog.records import reading
from buildlog.records.reading import (
    MOST_BYTES,
    Document,
    Place,
    _PlainParser,
    key_path,
    parse_document,
    read_document,
)

PATH = PurePosixPath("record.yml")


def read(folder: Path, content: bytes) -> Document:
    (folder / "record.yml").write_bytes(content)
    return read_document(folder, PATH)


def said(document: Document) -> list[str]:
    return [str(problem) for problem in document.problems]


@pytest.mark.parametrize(
    "written",
    ["1:24", "017", "no", "yes", "On", "null", "~", "2026-08-15", "2026-08-15 14:30", "1e3", "0x1F", ".5", "1_000", "=",
     ".inf", "True", "12:30:45", "+1", "-0"],
)  # fmt: skip
def test_plain_values_stay_text(written: str) -> None:
    """Nothing that is written is interpreted, in blocks, in lists or in braces."""
    document = parse_document(PATH, f"a: {written}\nb:\n  - {written}\nc: {{d: {written}, e: [{written}]}}\n")

    assert document.problems == ()
    assert document.data == {"a": written, "b": [written], "c": {"d": written, "e": [written]}}


@pytest.mark.parametrize(
    ("text", "data"),
    [
        pytest.param("a: >\n  one\n  two\n\n  three\n", {"a": "one two\nthree\n"}, id="folded"),
        pytest.param("a: |\n  one\n  two\n", {"a": "one\ntwo\n"}, id="kept"),
        pytest.param("a: |-\n  #1 of 2\n", {"a": "#1 of 2"}, id="number sign in a block"),
        pytest.param("a: one\n  two\n", {"a": "one two"}, id="over two lines"),
        pytest.param("a: 'it''s'\n", {"a": "it's"}, id="single quotes"),
        pytest.param('a: "\\u00e9\\n"\n', {"a": "é\n"}, id="double quotes"),
        pytest.param('a: "" # empty\n', {"a": ""}, id="empty in quotes"),
        pytest.param("a: b#c\n", {"a": "b#c"}, id="number sign in a word"),
        pytest.param("a: b # comment\n", {"a": "b"}, id="comment"),
        pytest.param("a: b #\n", {"a": "b"}, id="empty comment"),
        pytest.param('a: "b" #comment\n', {"a": "b"}, id="comment after quotes"),
        pytest.param("a: #comment\n  b: c\n", {"a": {"b": "c"}}, id="comment after a key with keys under it"),
        pytest.param("#comment\na: b\n#another\n", {"a": "b"}, id="comments on lines of their own"),
        pytest.param("a: &x [b]\nc: *x\n", {"a": ["b"], "c": ["b"]}, id="repeat"),
        pytest.param("&x a: b\n*x : c\n", {"a": "b"}, id="key twice by a repeat"),
        pytest.param("--- # first\na: b\n", {"a": "b"}, id="document mark"),
        pytest.param("? a\n: b\n", {"a": "b"}, id="long form of a key"),
        pytest.param("a: {b: c, d: [e, {f: g}]}\n", {"a": {"b": "c", "d": ["e", {"f": "g"}]}}, id="braces"),
        pytest.param("a: Why? Because.\n", {"a": "Why? Because."}, id="question mark"),
        pytest.param("Länge: größer\n長さ: 大\n", {"Länge": "größer", "長さ": "大"}, id="other scripts"),
        pytest.param("- a\n- - b\n", ["a", ["b"]], id="lists"),
    ],
)
def test_what_is_read(text: str, data: Any) -> None:
    """YAML's plain part reads as people expect."""
    document = parse_document(PATH, text)

    assert document.data == data


@pytest.mark.parametrize(
    "content",
    [
        pytest.param(b"\xef\xbb\xbfa: b\nc: >\n  d\n  e\n", id="byte order mark"),
        pytest.param(b"a: b\r\nc: >\r\n  d\r\n  e\r\n", id="line ends of Windows"),
        pytest.param(b"a: b\rc: >\r  d\r  e\r", id="line ends of old Macs"),
        pytest.param(b"a: b\nc: >\n  d\n  e", id="no last line end"),
    ],
)
def test_ways_to_save_a_text(content: bytes, tmp_path: Path) -> None:
    """How an editor saves a text makes no difference."""
    document = read(tmp_path, content)

    assert document.problems == ()
    assert {key: value.strip() for key, value in document.data.items()} == {"a": "b", "c": "d e"}
    assert document.place(("c",), key=True) == Place(2, 1)


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        pytest.param(
            b"a: caf\xe9\n", "record.yml:1:7: the byte 0xe9 here (byte 7 of the file) is not UTF-8", id="latin-1"
        ),
        pytest.param(
            b"a: b\r\nc: \xff\r\n", "record.yml:2:4: the byte 0xff here (byte 10 of the file)", id="second line"
        ),
        pytest.param("é: é\n".encode() + b"\xc3", "record.yml:2:1: the byte 0xc3 here (byte 8", id="cut short"),
        pytest.param("a: b\n".encode("utf-16"), "record.yml: is written as UTF-16", id="utf-16 with mark"),
        pytest.param("a: b\n".encode("utf-16-le"), "record.yml: is written as UTF-16", id="utf-16 little end first"),
        pytest.param("a: b\n".encode("utf-16-be"), "record.yml: is written as UTF-16", id="utf-16 big end first"),
        pytest.param(b"a: b\nc: \0d\n", "record.yml:2:4: holds a NUL character here", id="nul"),
        pytest.param(b"a: \x1b[31mred\n", "record.yml:1:4: holds an invisible control character (U+001B)", id="escape"),
        pytest.param(
            "a: b\u202ec\n".encode(), "record.yml:1:5: holds an invisible control character (U+202E)", id="turned"
        ),
        pytest.param("a: \ufeffb\n".encode(), "record.yml:1:4: holds an invisible control", id="mark inside"),
        pytest.param(b"a: " + b"x" * MOST_BYTES, "record.yml: is over 1 MB", id="too large"),
    ],
)
def test_bytes_that_are_no_text(content: bytes, expected: str, tmp_path: Path) -> None:
    """What is no UTF-8 text is refused with the place and what to do."""
    document = read(tmp_path, content)

    assert document.data is None
    assert said(document)[0].startswith(expected)


def test_a_file_just_within_the_limit(tmp_path: Path) -> None:
    """A file of exactly the largest size, on one very long line, is read."""
    document = read(tmp_path, b"a: " + b"x" * (MOST_BYTES - 3))

    assert document.problems == ()
    assert len(document.data["a"]) == MOST_BYTES - 3


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("a: #b3202a\n", id="nothing before it"),
        pytest.param("- #b3202a\n", id="list item"),
        pytest.param("a: batch #7\n", id="after words"),
        pytest.param("a: batch\t#7\n", id="after a tab"),
        pytest.param("a: one\n  two #7\n", id="on a second line"),
        pytest.param("a: {b: one, c: two #7\n  }\n", id="in braces"),
        pytest.param("a: [one, #7\n  two #8\n  ]\n", id="in brackets"),
        pytest.param("a: one #7\n  two\n", id="words go on after it"),
        pytest.param("a: {b: #7}\nc: d\n", id="closing brace swallowed"),
        pytest.param("a #7: b\n", id="key"),
    ],
)
def test_words_cut_by_a_comment(text: str) -> None:
    """Words lost to a comment that may not have been meant as one are a mistake, said once, on its line."""
    document = parse_document(PATH, text)

    assert len(document.problems) == 1
    (problem,) = document.problems
    assert "is taken as a comment" in problem.message
    assert text.splitlines()[problem.line - 1][problem.column - 1 :].lstrip().startswith("#")


def test_all_mistakes_of_a_file() -> None:
    """What can be read in spite of a mistake is read on, and every further mistake is reported."""
    document = parse_document(
        PATH,
        "a: !!str b\na: again\nc: &x {<<: {d: e}}\nf: *y\ng: cut #short\nh: [{i, j: k}]\nl:\n",
    )

    assert [(problem.line, problem.field) for problem in document.problems] == [
        (1, "a"),
        (2, "a"),
        (3, 'c["<<"]'),
        (4, "f"),
        (5, "g"),
        (6, "h[0]"),
        (7, "l"),
    ]
    assert document.data == {"a": "b", "c": {}, "f": "", "g": "cut", "h": [{"j": "k"}]}


def test_places() -> None:
    """Every key and value can be found by its path, and what is not there by what holds it."""
    document = parse_document(PATH, "a: b\nc:\n  - d: é\n    e: [f, {g: h}]\n  - >\n    i\nj:\n")

    assert document.place(("a",), key=True) == Place(1, 1)
    assert document.place(("a",)) == Place(1, 4)
    assert document.place(("c",), key=True) == Place(2, 1)
    assert document.place(("c",)) == Place(3, 3)
    assert document.place(("c", 0)) == Place(3, 5)
    assert document.place(("c", 0, "d")) == Place(3, 8)
    assert document.place(("c", 0, "e", 1, "g")) == Place(4, 16)
    assert document.place(("c", 1)) == Place(5, 5)
    assert document.place(("j",), key=True) == Place(7, 1)
    assert document.place(("c", 0, "missing", "deeper")) == Place(3, 5)
    assert document.place(("missing",)) == Place(1, 1)


def test_places_after_letters_of_many_bytes() -> None:
    """Columns count letters, not bytes."""
    document = parse_document(PATH, "ключ: 🚢 значение\nдва: {три: 🚂, b: c}\n")

    assert document.place(("ключ",)) == Place(1, 7)
    assert document.place(("два", "b")) == Place(2, 18)


@pytest.mark.parametrize(
    ("path", "shown"),
    [
        pytest.param((), "", id="whole file"),
        pytest.param(("photos", 2, "callouts", 0, "at"), "photos[2].callouts[0].at", id="deep"),
        pytest.param((0, "id"), "[0].id", id="in a list"),
        pytest.param(("hours", "017-é"), "hours.017-é", id="id as key"),
        pytest.param(("a b", "c"), '["a b"].c', id="words as key"),
    ],
)
def test_key_path(path: tuple[str | int, ...], shown: str) -> None:
    """The way to a value is written as people would point at it."""
    assert key_path(path) == shown


# --- what would do harm --------------------------------------------------------------------------


def _bomb(levels: int, each: int) -> str:
    lines = [f"a0: &a0 [{', '.join(['x'] * each)}]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * each)}]" for n in range(1, levels)]
    return "\n".join(lines) + "\n"


def test_repeats_without_bound() -> None:
    """Repeats of repeats are counted in full before anything is made of them."""
    document = parse_document(PATH, _bomb(30, 9))

    assert document.data is None
    assert said(document)[0].endswith(
        "more than 100,000 values once its repeats (*name) are written out; write it without them"
    )


def test_repeats_within_bounds() -> None:
    """Ordinary repeats are read."""
    document = parse_document(PATH, _bomb(4, 5))

    assert document.problems == ()


@pytest.mark.parametrize("opens", ["[\n", "{a: ", "- "])
def test_levels_without_bound(opens: str) -> None:
    """However deep a file goes, it is refused in the same words."""
    document = parse_document(PATH, opens * 50_000)

    assert document.data is None
    assert "more than 40 deep in one another" in said(document)[-1]


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("[" * 5_000, id="brackets"),
        pytest.param("[" * 50_000, id="many brackets"),
        pytest.param("a: " + "{" * 5_000, id="braces"),
        pytest.param("[" * 5_000 + "]" * 5_000, id="brackets that are closed"),
        pytest.param("[{a: " * 50_000, id="brackets and braces"),
    ],
)
def test_levels_that_stop_the_parser_first(text: str) -> None:
    """Where the parser gives up before the levels are counted, one problem says so in the same words."""
    document = parse_document(PATH, text)

    assert document.data is None
    assert len(document.problems) == 1
    assert "more than 40 deep in one another" in said(document)[0]


@pytest.mark.parametrize("opens", ["? ", "- ? "])
def test_keys_made_of_keys_without_bound(opens: str) -> None:
    """The first of them is refused, however many follow."""
    document = parse_document(PATH, opens * 50_000)

    assert document.data is None
    assert len(document.problems) == 1


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        pytest.param('a: "b\\0c"\n', "record.yml:1:6: a: holds a NUL character here", id="nul"),
        pytest.param('a: "b\\x00c"\n', "record.yml:1:6: a: holds a NUL character here", id="nul in hexadecimal"),
        pytest.param(
            'a: "\\u001b[31mred"\n', "record.yml:1:5: a: holds an invisible control character (U+001B)", id="esc"
        ),
        pytest.param(
            'a: "\\e[31mred"\n', "record.yml:1:5: a: holds an invisible control character (U+001B)", id="short"
        ),
        pytest.param(
            'a: "b\\u202Ec"\n', "record.yml:1:6: a: holds an invisible control character (U+202E)", id="turned"
        ),
        pytest.param(
            'a: "\\U00002066c"\n', "record.yml:1:5: a: holds an invisible control character (U+2066)", id="set apart"
        ),
        pytest.param('a:\n  - b\n  - "c\n    \\ad"\n', "record.yml:4:5: a[1]: holds an invisible", id="second line"),
        pytest.param('a: "\\\\0 \\0"\n', "record.yml:1:9: a: holds a NUL", id="after a backslash that is meant"),
        pytest.param('"a\\0": b\n', "record.yml:1:3: holds a NUL character here", id="in a key"),
    ],
)
def test_control_characters_by_escapes(text: str, expected: str) -> None:
    """What may not stand in a file may not come in by an escape either; the place is the escape's own."""
    (message,) = said(parse_document(PATH, text))

    assert message.startswith(expected)
    assert "it is written as" in message


@pytest.mark.parametrize("escape", ["\\t", "\\n", "\\u00e9", "\\x41", "\\u200f", "\\N", "\\_", '\\"', "\\\\0"])
def test_escapes_that_are_fine(escape: str) -> None:
    """Letters, spaces and line ends may be written as escapes."""
    assert parse_document(PATH, f'a: "b{escape}c"\n').problems == ()


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("a: !!python/object/apply:os.system [ls]\n", id="python call"),
        pytest.param("a: !!python/name:os.system\n", id="python name"),
        pytest.param("a: !own {b: c}\n", id="own tag"),
        pytest.param("a: !<tag:yaml.org,2002:str> b\n", id="full form"),
        pytest.param("a: ! b\n", id="bare"),
        pytest.param("a: !!binary aGVsbG8=\n", id="binary"),
        pytest.param("!!map {a: b}\n", id="whole file"),
        pytest.param("a: !e!foo b\n", id="unknown handle"),
    ],
)
def test_tags(text: str) -> None:
    """Tags are refused, and nothing of what they ask for is done."""
    document = parse_document(PATH, text)

    assert len(document.problems) == 1
    assert "tag" in said(document)[0]
    assert "is not allowed" in said(document)[0]


# --- what is no ordinary file --------------------------------------------------------------------


def test_pipe_is_never_opened(tmp_path: Path) -> None:
    """A pipe, which would wait for ever, is refused."""
    os.mkfifo(tmp_path / "record.yml")

    document = read_document(tmp_path, PATH)

    assert said(document) == ["record.yml: is not an ordinary file, so it is not read; put a text file in its place"]


def test_device_is_never_opened(tmp_path: Path) -> None:
    """A link to a device is refused, as any link out of the content folder."""
    (tmp_path / "record.yml").symlink_to("/dev/zero")

    document = read_document(tmp_path, PATH)

    assert said(document) == ["record.yml: is a link out of the content folder; put a copy of the file itself there"]


def test_links(tmp_path: Path) -> None:
    """A link inside the content folder is followed; one that leads nowhere or in a circle is refused."""
    (tmp_path / "other.yml").write_text("a: b\n")
    (tmp_path / "record.yml").symlink_to("other.yml")
    (tmp_path / "lost.yml").symlink_to("nowhere.yml")
    (tmp_path / "circle.yml").symlink_to("circle.yml")

    assert read_document(tmp_path, PATH).data == {"a": "b"}
    for name in ("lost.yml", "circle.yml"):
        document = read_document(tmp_path, PurePosixPath(name))
        assert said(document) == [f"{name}: is a link that leads nowhere; put the file itself there"]


def test_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file without permission is reported, not raised."""

    def denied(*args: object) -> int:
        raise PermissionError(13, "Permission denied")

    (tmp_path / "record.yml").write_text("a: b\n")
    monkeypatch.setattr(reading.os, "open", denied)

    document = read_document(tmp_path, PATH)

    assert said(document) == [
        "record.yml: can't be read: permission denied; check that the file is there and that you may read it"
    ]


# --- the parser in plain Python ------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "a: b\nc: [d, {e: f}]\ng: >\n  h\n",
        "a:\n  - {name: Dark, matt green, kind: x}\n",
        "a: b\ntitle: The hull: part two\n",
        'a: "abc\nb: c\n',
        "a: 'don't do'\nb: c\n",
        "a: b\n  c: d\n",
        "a:\n  b: c\n d: e\n",
        "a:\n\tb: c\n",
        "a: b\ntitle\nc: d\n",
        "a: {b: c\nd: e\n",
        "a: [b, , c]\n",
        "a: *foo\n",
        "a: @foo\n",
        "a: - b\n",
        "a: b\n---\nc: d\n",
        "a: foo #bar\n  baz\n",
        "a: !tag b\n",
        "a: > text\n",
    ],
)
def test_without_libyaml(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where PyYAML comes without libyaml, the same is read and the same is said."""
    fast = parse_document(PATH, text)
    monkeypatch.setattr(reading, "_parser", lambda: _PlainParser)

    plain = parse_document(PATH, text)

    assert plain.data == fast.data
    assert said(plain) == said(fast)


def test_question_mark_without_libyaml(monkeypatch: pytest.MonkeyPatch) -> None:
    """The parser in plain Python stumbles on a question mark inside braces, and the message says so."""
    monkeypatch.setattr(reading, "_parser", lambda: _PlainParser)

    document = parse_document(PATH, "a: {ask: Why? because, b: c}\n")

    assert said(document) == [
        "record.yml:1:13: inside braces a question mark breaks the value; "
        "put the words in quotes or on lines of their own"
    ]
