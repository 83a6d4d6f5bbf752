"""
One YAML file to plain text, lists and mappings, and where in the file each of them stands.

Nothing is interpreted: every plain value is the text that stands in the file, so `1:24`, `017` and `no` stay as
written. Only the plain part of YAML is read. Tags, merge keys and repeats without bound are refused, and every mistake
is said in words for a person at a bench.
"""

from __future__ import annotations

import bisect
import os
import re
import stat
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path, PurePosixPath
from typing import Any, Literal, NamedTuple, cast

import yaml
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from buildlog.records.mistakes import explain
from buildlog.records.problems import Problem, Severity, shown

MOST_BYTES = 1_000_000
"""A file larger than this is refused."""
MOST_VALUES = 100_000
"""A file with more values than this, each repeat (`*name`) counted in full, is refused."""
MOST_LEVELS = 40
"""A file whose lists and mappings lie deeper in one another than this is refused."""

KeyPath = tuple[str | int, ...]
"""From the top of a file to one value: keys, and places in lists from 0."""


class Place(NamedTuple):
    """Where something stands in a file, counting from 1."""

    line: int
    column: int


def key_path(path: KeyPath) -> str:
    """Write the way to a value as messages show it: `photos[2].callouts[0].at`."""
    parts: list[str] = []
    for step in path:
        if isinstance(step, int):
            parts.append(f"[{step}]")
        elif re.fullmatch(r"[\w-]+", step):
            parts.append(f".{step}" if parts else step)
        else:
            parts.append(f'["{shown(step, 40)}"]')
    return "".join(parts)


class Lines:
    """The places of a text's characters."""

    def __init__(self, text: str) -> None:
        self._starts = [0, *(match.end() for match in re.finditer("\n", text))]

    def place(self, index: int) -> Place:
        """Find the line and column of the character with this index."""
        line = bisect.bisect_right(self._starts, index)
        return Place(line, index - self._starts[line - 1] + 1)


# --- from disk to text ---------------------------------------------------------------------------


def read_text(root: Path, path: PurePosixPath) -> tuple[str | None, list[Problem]]:
    """
    Read a text file as UTF-8 with plain line ends; a byte order mark is dropped.

    A file that is no ordinary file is never opened.

    Args:
        root: The content folder.
        path: The file, relative to it.

    Returns:
        The text, or `None` with the problems that stand in its way.
    """

    def refused(message: str, line: int = 0, column: int = 0) -> tuple[None, list[Problem]]:
        return None, [Problem(path, line, column, "", message)]

    target = root / path
    try:
        if reason := link_out_of(root, target):
            return refused(reason)
        if not stat.S_ISREG(target.stat().st_mode):
            return refused("is not an ordinary file, so it is not read; put a text file in its place")
        # Without blocking: should the file be changed for a pipe at this moment, nothing hangs.
        handle = os.open(target, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        with os.fdopen(handle, "rb") as stream:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                return refused("is not an ordinary file, so it is not read; put a text file in its place")
            raw = stream.read(MOST_BYTES + 1)
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        return refused(f"can't be read: {reason}; check that the file is there and that you may read it")
    if len(raw) > MOST_BYTES:
        return refused("is over 1 MB, too large for a record; divide it, and check that it is the file you meant")
    return _decode(raw, path)


def link_out_of(root: Path, target: Path) -> str | None:
    """
    Say why a path must not be followed, where a link on it leads out of the content folder.

    Raises:
        OSError: The link leads nowhere, or in a circle.
    """
    if not (os.path.islink(target) or os.path.islink(target.parent)):  # noqa: PTH114 - asked for every file, and faster
        return None
    try:
        inside = target.resolve(strict=True).is_relative_to(root.resolve())
    except (OSError, RuntimeError):
        return "is a link that leads nowhere; put the file itself there"
    return None if inside else "is a link out of the content folder; put a copy of the file itself there"


_STRANGE = re.compile(
    "[^\t\n\x20-\x7e\x85\xa0-\u2029\u202f-\u2065\u206a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
"""Control characters, also those that turn the direction of what follows, and what is no character at all."""


def _strange(letter: str) -> str:
    """Say that a control character is not wanted."""
    if letter == "\0":
        return "holds a NUL character here; delete it, or check that this is the file you meant"
    return f"holds an invisible control character (U+{ord(letter):04X}) here; delete it"


def _decode(raw: bytes, path: PurePosixPath) -> tuple[str | None, list[Problem]]:
    head = raw[:64]
    if head[:2] in {b"\xff\xfe", b"\xfe\xff"} or (len(head) > 3 and not (any(head[::2]) and any(head[1::2]))):
        message = "is written as UTF-16 (Unicode with two bytes a letter); save it again as UTF-8"
        return None, [Problem(path, 0, 0, "", message)]
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8-sig", "replace").replace("\r\n", "\n").replace("\r", "\n")
        at = Lines(before).place(len(before))
        message = (
            f"the byte {raw[error.start]:#04x} here (byte {error.start + 1} of the file) is not UTF-8; "
            "save the file again as UTF-8"
        )
        return None, [Problem(path, at.line, at.column, "", message)]
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if strange := list(_STRANGE.finditer(text)):
        lines = Lines(text)
        return None, [Problem(path, *lines.place(one.start()), "", _strange(one[0])) for one in strange[:20]]
    return text, []


# --- from text to data ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Document:
    """One YAML file as read."""

    path: PurePosixPath
    """The file, relative to the content folder."""
    data: Any = None
    """Made of `str`, `list` and `dict` alone; `None` where the file could not be read."""
    problems: tuple[Problem, ...] = ()
    empty: frozenset[KeyPath] = frozenset()
    """Keys left without a value; they count as not written and do not stand in `data`."""
    text: str = field(default="", repr=False)

    @cached_property
    def _places(self) -> tuple[Lines, Mapping[KeyPath, tuple[int, int]]]:
        # Read again when first asked: most files are never asked about, and ten thousand of them are kept.
        builder = _Builder(self.path, self.text, keep_places=True)
        builder.run()
        return Lines(self.text), builder.places

    def place(self, path: KeyPath, *, key: bool = False) -> Place:
        """
        Find where a value stands, or its key; where there is none, what it would stand in.

        Returns:
            Line and column from 1; zeros where the file could not be read.
        """
        if not self.text:
            return Place(0, 0)
        lines, places = self._places
        while path and path not in places:
            path, key = path[:-1], False
        if path not in places:
            return Place(1, 1)
        at_key, at_value = (lines.place(index) for index in places[path])
        return at_key if key else at_value

    def begins(self, path: KeyPath) -> str:
        """Give the first character of a value as written, such as a quote or a bracket; empty where there is none."""
        index = self._places[1].get(path, (0, len(self.text)))[1]
        return self.text[index : index + 1]

    def without_data(self) -> Document:
        """Let go of the plain data, once a record is made of it; places can still be found."""
        return Document(self.path, None, self.problems, self.empty, self.text)

    def at(self, path: KeyPath) -> Any:
        """Find the value at a path; `None` where there is none."""
        value = self.data
        for step in path:
            try:
                value = value[step]
            except (KeyError, IndexError, TypeError):
                return None
        return value


def read_document(root: Path, path: PurePosixPath) -> Document:
    """Read one YAML file; what is wrong with it is in its `problems`, never raised."""
    text, problems = read_text(root, path)
    if text is None:
        return Document(path, problems=tuple(problems))
    return parse_document(path, text)


def parse_document(path: PurePosixPath, text: str) -> Document:
    """Read the text of one YAML file, with line ends as `\\n` alone."""
    builder = _Builder(path, text)
    data = builder.run()
    return Document(path, data, tuple(builder.problems), frozenset(builder.empty), text)


def _parser() -> Callable[[str], Any]:
    """What takes YAML apart: libyaml where there is one (about ten times faster), else plain Python."""
    if yaml.__with_libyaml__:
        from yaml import cyaml

        return cast("Callable[[str], Any]", vars(cyaml)["CParser"])
    return _PlainParser  # pragma: no cover - every wheel of PyYAML brings libyaml


class _PlainParser(yaml.reader.Reader, yaml.scanner.Scanner, yaml.parser.Parser):
    def __init__(self, text: str) -> None:
        yaml.reader.Reader.__init__(self, text)
        yaml.scanner.Scanner.__init__(self)
        yaml.parser.Parser.__init__(self)


class _StopError(Exception):
    """Nothing more of this file can be read."""


class _Level:
    """One list or mapping while it is read."""

    __slots__ = ("anchor", "before", "flow", "key", "key_end", "key_start", "key_wanted", "seen", "start", "value")

    def __init__(self, value: Any, anchor: str | None, before: int, start: int, flow: bool) -> None:
        self.value: Any = value
        self.anchor = anchor
        self.before = before
        self.start = start
        self.flow = flow
        self.key: str | None = None
        self.key_start = 0
        self.key_end = 0
        self.key_wanted = isinstance(value, dict)
        self.seen: dict[str, int] | None = None


_TOO_DEEP = f"lists and braces lie more than {MOST_LEVELS} deep in one another; a record needs few"
_ESCAPE = re.compile(r"\\(?:x([0-9a-fA-F]{2})|u([0-9a-fA-F]{4})|U([0-9a-fA-F]{8})|(.))", re.DOTALL)
_SHORT_ESCAPES = {"0": "\0", "a": "\a", "b": "\b", "v": "\v", "f": "\f", "r": "\r", "e": "\x1b"}
_CUT = re.compile(r"[ \t]+#(?=\S)")
_CUT_ANYWHERE = re.compile(r"[ \t]#\S")


class _Builder:
    """Puts the events of one file together, without recursion and within bounds."""

    def __init__(self, path: PurePosixPath, text: str, *, keep_places: bool = False) -> None:
        self.path = path
        self.text = text
        self.problems: list[Problem] = []
        self.empty: list[KeyPath] = []
        self.places: dict[KeyPath, tuple[int, int]] = {}
        self._keep_places = keep_places
        self._stack: list[_Level] = []
        self._root: Any = None
        self._count = 0
        self._anchors: dict[str, tuple[Any, int] | None] = {}
        self._may_be_cut = bool(_CUT_ANYWHERE.search(text))

    @cached_property
    def _lines(self) -> Lines:
        return Lines(self.text)

    def run(self) -> Any:
        """Read the whole text; `None` where it could not be read to its end."""
        documents = 0
        try:
            next_event = _parser()(self.text).get_event
            while (event := next_event()) is not None:
                kind = type(event)
                if kind is ScalarEvent:
                    self._scalar(event)
                elif kind is MappingStartEvent:
                    self._open(event, {})
                elif kind is SequenceStartEvent:
                    self._open(event, [])
                elif kind is MappingEndEvent or kind is SequenceEndEvent:
                    self._close()
                elif kind is AliasEvent:
                    self._alias(event)
                elif kind is DocumentStartEvent:
                    documents += 1
                    if documents > 1:
                        self._report(
                            event.start_mark.index,
                            "holds a second document after ---; one record stands in one file, so delete the line ---",
                        )
                        raise _StopError
        except _StopError:
            return None
        except (yaml.MarkedYAMLError, yaml.reader.ReaderError) as error:
            index, message = explain(error, self.text)
            if "nesting depth" in (getattr(error, "problem", None) or ""):
                message = _TOO_DEEP  # libyaml read so far ahead that it met its own limit first
            line = self._lines.place(min(index, len(self.text))).line
            if not any(problem.is_error and problem.line == line for problem in self.problems):
                self._report(index, message, path=())
            return None
        return self._root

    def _path(self) -> KeyPath:
        path: list[str | int] = []
        for level in self._stack:
            if level.key is not None:
                path.append(level.key)
            elif isinstance(level.value, list):
                path.append(len(level.value))
        return tuple(path)

    def _report(
        self, index: int, message: str, *, path: KeyPath | None = None, found: str = "", warning: bool = False
    ) -> None:
        place = self._lines.place(min(index, len(self.text)))
        where = key_path(self._path() if path is None else path)
        severity = Severity.WARNING if warning else Severity.ERROR
        self.problems.append(Problem(self.path, *place, where, message, shown(found), severity=severity))

    def _counted(self, index: int, more: int = 1) -> None:
        self._count += more
        if self._count > MOST_VALUES:
            self._report(
                index,
                f"has more than {MOST_VALUES:,} values once its repeats (*name) are written out; write it without them",
                path=(),
            )
            raise _StopError

    def _refuse_tag(self, event: Any) -> None:
        if event.tag is not None:
            written = re.match(r"(?:&\S+\s+)?(!\S*)", self.text[event.start_mark.index :])
            tag = written[1] if written else "!"
            self._report(
                event.start_mark.index,
                f'the tag "{shown(tag)}" is not allowed; delete it and keep the words after it'
                " (words that begin with ! go in quotes)",
                found=tag,
            )

    def _refuse_escapes(self, event: Any) -> None:
        """Report the escapes in double quotes that stand for what may not stand there in plain sight."""
        for escape in _ESCAPE.finditer(self.text, event.start_mark.index, event.end_mark.index):
            code = escape[1] or escape[2] or escape[3]
            letter = chr(int(code, 16)) if code else _SHORT_ESCAPES.get(escape[4], "")
            if _STRANGE.search(letter):
                message = f'{_strange(letter)} (it is written as "{escape[0]}")'
                self._report(escape.start(), message, found=escape[0])

    def _scalar(self, event: Any) -> None:
        self._counted(event.start_mark.index)
        level = self._stack[-1] if self._stack else None
        if event.tag is not None:
            self._refuse_tag(event)
        value = event.value
        if event.style == '"' and _STRANGE.search(value):
            self._refuse_escapes(event)
        plain = not event.style
        if plain and self._may_be_cut and (cut := _CUT.match(self.text, event.end_mark.index)):
            rest = self.text[cut.end() - 1 :].partition("\n")[0]
            words = shown(f"{value} {rest}".strip(), 60)
            self._report(
                event.end_mark.index,
                f'everything from "{shown(rest, 40)}" on is taken as a comment and would be lost; put the value in '
                f'quotes: "{words}", or write "# " with a space for a comment',
                path=(*self._path(), value) if level and level.key_wanted else None,
                found=rest,
            )
            if not value:
                value = rest  # keeps the key from being called empty as well
        if level is None:
            self._root = value
        elif level.key_wanted:
            self._key(level, event, value)
            return
        elif plain and not value and event.tag is None:
            self._nothing(level, event)
        else:
            self._keep(level, value, event.start_mark.index)
        if event.anchor is not None:
            self._anchors[event.anchor] = (value, 1)

    def _key(self, level: _Level, event: Any, key: str) -> None:
        start = event.start_mark.index
        level.key_wanted = False
        level.key_start, level.key_end = start, event.end_mark.index
        level.key = key
        if event.anchor is not None:
            self._anchors[event.anchor] = (key, 1)
        if key == "<<" and not event.style:
            self._report(start, "merge keys (<<) are not allowed; write the keys out here", found=key)
        elif not key:
            self._report(start, "a key has no name; write one before the colon", found=key)

    def _nothing(self, level: _Level, event: Any) -> None:
        """Take a value that was left out."""
        index = event.start_mark.index
        if isinstance(level.value, list):
            self._report(index, "is an empty item of a list; write something after the dash, or delete the line")
            level.value.append("")
        elif level.flow and index <= level.key_end:
            word = shown(level.key or "", 60)
            glued = re.match(r"([\w-]+):(\S.*)", level.key or "")
            if glued:
                message = f'"{word}" needs a space after its colon: {glued[1]}: {shown(glued[2], 40)}'
                level.value.setdefault(glued[1], glued[2])  # so that the key is not called missing as well
            else:
                message = (
                    f'"{word}" has no colon after it: inside braces a comma ends the value; '
                    "put the words in quotes or on lines of their own"
                )
            self._report(level.key_start, message, path=self._path()[:-1], found=level.key or "")
            level.key, level.key_wanted = None, True
        else:
            path = self._path()
            if self._is_new(level, index):
                self.empty.append(path)
                self._report(
                    level.key_start,
                    "has nothing after it, so it counts as not written; fill it in, or delete the line",
                    warning=True,
                )
                if self._keep_places:
                    self.places[path] = (level.key_start, level.key_start)
            level.key, level.key_wanted = None, True

    def _is_new(self, level: _Level, index: int) -> bool:
        """Note a mapping's key, or report it as written twice."""
        key = level.key or ""
        seen = level.seen
        if seen is None:
            seen = level.seen = {}
        if key in seen:
            here = self._lines.place(level.key_start).line
            there = self._lines.place(seen[key]).line
            where = f"on line {there} and again on line {here}" if here != there else f"twice on line {here}"
            self._report(
                level.key_start,
                f'the key "{shown(key)}" stands {where}; keep one, and put in it all that belongs there',
            )
            return False
        seen[key] = level.key_start
        return key != "" and key != "<<"

    def _keep(self, level: _Level, value: Any, index: int) -> None:
        if self._keep_places:
            path = self._path()
            start = level.key_start if level.key is not None else index
            self.places.setdefault(path, (start, index))
        if isinstance(level.value, list):
            level.value.append(value)
            return
        if self._is_new(level, index):
            level.value[level.key] = value
        level.key, level.key_wanted = None, True

    def _open(self, event: Any, value: Any) -> None:
        index = event.start_mark.index
        self._counted(index)
        if len(self._stack) >= MOST_LEVELS:
            self._report(index, _TOO_DEEP, path=())
            raise _StopError
        level = self._stack[-1] if self._stack else None
        if level and level.key_wanted:
            self._report(
                index,
                "a list or braces stand where a key is meant; a key is a plain word with a colon after it"
                " (words that begin with [ or { go in quotes)",
            )
            raise _StopError
        if event.tag is not None:
            self._refuse_tag(event)
        if self._keep_places:
            start = level.key_start if level and level.key is not None else index
            self.places.setdefault(self._path(), (start, index))
        if event.anchor is not None:
            self._anchors[event.anchor] = None
        self._stack.append(_Level(value, event.anchor, self._count, index, bool(event.flow_style)))

    def _close(self) -> None:
        done = self._stack.pop()
        if done.anchor is not None:
            self._anchors[done.anchor] = (done.value, self._count - done.before + 1)
        if self._stack:
            self._keep(self._stack[-1], done.value, done.start)
        else:
            self._root = done.value

    def _alias(self, event: Any) -> None:
        index = event.start_mark.index
        name = event.anchor
        level = self._stack[-1] if self._stack else None
        kept = self._anchors.get(name)
        if kept is None:
            why = (
                "stands inside the very thing it repeats"
                if name in self._anchors
                else f"repeats something that no &{shown(name, 40)} marks before it"
            )
            self._report(index, f"*{shown(name, 40)} {why}; write the value out (words that begin with * go in quotes)")
            kept = ("", 1)
        value, size = kept
        self._counted(index, size)
        if level and level.key_wanted:
            if not isinstance(value, str):
                self._report(index, "a repeat (*name) stands where a key is meant; write the key itself")
                raise _StopError
            level.key, level.key_wanted = value, False
            level.key_start, level.key_end = index, event.end_mark.index
        elif level:
            self._keep(level, value, index)


def want(document: Document, kind: Literal["mapping", "list"], begins: str) -> Document:
    """
    Refuse a document that is not the mapping or list it is meant to be; nothing at all is an empty list.

    Args:
        document: As read.
        kind: What its top must be.
        begins: A line such a file may begin with, for the message, such as "name: Corriemoor".
    """
    data = document.data
    meant = dict if kind == "mapping" else list
    if isinstance(data, meant) or any(problem.is_error and problem.line == 0 for problem in document.problems):
        return document
    if data is None:
        if document.problems or kind == "list":
            # Nothing but comments is a library with nothing in it yet.
            return document if document.problems else Document(document.path, [], (), frozenset(), document.text)
        message = f"is empty; it begins with a line such as {begins}"
    elif isinstance(data, str):
        glued = re.match(r"[\w-]+:(?=\S)", data)
        hint = "; a space is missing after the colon" if glued else ""
        message = f'found the words "{shown(data, 60)}" alone{hint}; begin with a line such as {begins}'
    elif kind == "mapping":
        message = f"found a list; this file has keys at its left edge, and begins with a line such as {begins}"
    else:
        message = f"found keys; this file is a list, and each item begins with a line such as {begins}"
    problem = Problem(document.path, *document.place(()), "", message)
    return Document(document.path, None, (*document.problems, problem), frozenset(), document.text)
