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


_STRANGE = re.compile("[^\t\n\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")


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
        problems = []
        for match in strange[:20]:
            code = ord(match[0])
            name = "a NUL character" if not code else f"an invisible control character (U+{code:04X})"
            message = f"holds {name} here; delete it" + (
                ", or check that this is the file you meant" if not code else ""
            )
            problems.append(Problem(path, *lines.place(match.start()), "", message))
        return None, problems
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

    def _scalar(self, event: Any) -> None:
        self._counted(event.start_mark.index)
        level = self._stack[-1] if self._stack else None
        if event.tag is not None:
            self._refuse_tag(event)
        value = event.value
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
            message = f"lists and braces lie more than {MOST_LEVELS} deep in one another; a record needs few"
            self._report(index, message, path=())
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


# --- mistakes in plain words ---------------------------------------------------------------------

_QUOTES = "put the words in quotes or on lines of their own"


def explain(error: Exception, text: str) -> tuple[int, str]:
    """
    Say in plain words what a YAML parser stumbled on.

    Returns:
        The character's index in the text, and what is wrong and what would be right.
    """
    if not isinstance(error, yaml.MarkedYAMLError):
        return int(getattr(error, "position", 0) or 0), "holds a character that text files do not have; delete it"
    mark = error.problem_mark or error.context_mark
    index = mark.index if mark else 0
    context_mark = error.context_mark
    start = context_mark.index if context_mark else index
    problem = error.problem or ""
    context = error.context or ""
    flow = "flow" in context
    if cut := _comment_that_cuts(text, start if flow else index, index):
        return cut
    if "quoted scalar" in context and "end of stream" in problem:
        mark_used = text[start : start + 1] or '"'
        return start, f"the quote {mark_used} that opens here is never closed; write {mark_used} after the last word"
    if "escape" in problem:
        return (
            index,
            'a backslash in double quotes is not taken as it stands; write it in single quotes, or twice: "\\\\"',
        )
    for test, explained in _EXPLANATIONS:
        if test in problem:
            found = explained(text, index, start, flow)
            if found:
                return found
    if flow:
        return _in_flow(text, index, start)
    return _out_of_line(text, index, start)


def _line_of(text: str, index: int) -> tuple[int, str]:
    """Find the start of the line that holds an index, and the line."""
    start = text.rfind("\n", 0, index) + 1
    return start, text[start:].partition("\n")[0]


def _line_before(text: str, index: int) -> tuple[int, str]:
    """Find the last line before an index's own that is neither blank nor a comment."""
    start, _ = _line_of(text, index)
    while start > 0:
        start, line = _line_of(text, start - 1)
        if line.strip() and not line.lstrip().startswith("#"):
            return start, line
    return 0, ""


def _comment_that_cuts(text: str, start: int, index: int) -> tuple[int, str] | None:
    """Find a ` #` without a space after it that swallowed the end of a line just before a mistake."""
    first, _ = _line_before(text, index) if start >= index else _line_of(text, start)
    last, line = _line_of(text, index)
    if last - first > 20_000:
        first = last
    for piece in re.finditer(r".*\n?", text[first : last + len(line)]):
        outside = re.sub(r'"(?:[^"\\]|\\.)*"|(?<=[\s\[{,])\'[^\']*\'', lambda m: "x" * len(m[0]), piece[0])
        cut = re.search(r"(?<=\S)[ \t]+#(?=\S)", outside)
        before = outside[: cut.start()].lstrip() if cut else ""
        if cut and not before.startswith("#"):
            at = first + piece.start() + cut.start() + 1
            rest = piece[0][cut.end() - 1 :].strip()
            return (
                at,
                f'everything from "{shown(rest, 40)}" on is taken as a comment; put the value in quotes, '
                'or write "# " with a space for a comment',
            )
    return None


def _tab(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    at, line = _line_of(text, index)
    indent = line[: len(line) - len(line.lstrip())]
    if "\t" in indent:
        return at + indent.index("\t"), "a tab stands in the indentation; YAML wants spaces there, two for each level"
    if text[index : index + 1] == "\t":
        return index, "a tab stands here; write spaces"
    return None


def _odd_start(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    sign = text[index : index + 1]
    if sign == "\t":
        return _tab(text, index, start, flow)
    return index, f"words cannot begin with {sign} unless they are in quotes; {_QUOTES}"


def _colon(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    at, line = _line_of(text, index)
    before = line[: index - at]
    _, above = _line_before(text, index)
    deeper = len(line) - len(line.lstrip()) > len(above) - len(above.lstrip())
    first = re.match(r"""\s*(?:- +)*[^\s'"#\[{][^:]*:\s+\S""", before)
    if index - at > 1000 and ": " not in before:
        return at, "these words before a colon are over 1,000 characters, too long for a key; check the quotes"
    if first:
        return index, f'the value has ": " in it, which YAML takes for another key; {_QUOTES}'
    if deeper and above.rstrip():
        return (
            at + len(line) - len(line.lstrip()),
            "this line is indented deeper than the one above, which has its value already; line it up with the others",
        )
    return index, f"a colon stands where none is meant; if it belongs to the words, {_QUOTES}"


def _no_colon(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    at, line = _line_of(text, start)
    words = line[start - at :].strip()
    glued = re.match(r"([\w-]+):(?=\S)", words)
    if glued:
        return start, f"a space is missing after the colon; write {glued[1]}: and then the value"
    if line.lstrip().startswith(("'", '"')) or words.startswith(("'", '"')):
        return (
            start,
            f"words stand after the closing quote; put all of {shown(words, 40)} in one pair of quotes, or write a "
            "colon after a key",
        )
    return (
        start,
        f'"{shown(words, 40)}" is neither a key with its colon nor part of the value above; write a colon and a space '
        "after a key, or indent the words deeper than the key they belong to",
    )


def _dash(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    at, line = _line_of(text, index)
    if ":" in line[: index - at]:
        return index, f"a list cannot begin beside its key; begin each item on a line of its own, or {_QUOTES}"
    return index, "a list item stands where none is meant; line its dash up with the dashes above"


def _no_content(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    sign = text[index : index + 1]
    if sign == ",":
        if flow:
            return index, "nothing stands before this comma; delete it, or put the words in quotes"
        return index, f"words cannot begin with a comma; {_QUOTES}"
    if sign and sign in "]}":
        return index, f"{sign} closes nothing; delete it, or put the words in quotes"
    opens = max(text.rfind("[", 0, index), text.rfind("{", 0, index))
    if flow and not sign.strip() and opens >= 0:
        return opens, _never_closed(text[opens])
    return index, f"a value is missing here; write it, or {_QUOTES}"


def _block_header(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    sign = text[start : start + 1]
    return index, f"after {sign} nothing may stand on the same line; begin the words on the next line, indented"


def _directive(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    return start, "a line that begins with % is an instruction to YAML, and none is wanted here; delete it"


def _name_missing(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    sign = text[start : start + 1]
    return start, f"words cannot begin with {sign} unless they are in quotes; {_QUOTES}"


def _second_top(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    at, line = _line_of(text, index)
    if line.startswith("%"):
        return _directive(text, index, at, flow)
    _, above = _line_before(text, index)
    if above.strip() in {"...", "---"}:
        return at, f"words stand after the line {above.strip()}; delete that line"
    return at, "this line is indented less than the first key of the file; line the keys up at the left edge"


def _tag(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    return start, "a tag (a word that begins with !) is not allowed; delete it, or put the words in quotes"


_Explained = Callable[[str, int, int, bool], tuple[int, str] | None]
_EXPLANATIONS: tuple[tuple[str, _Explained], ...] = (
    ("tag handle", _tag),
    ("tab character", _tab),
    ("cannot start any token", _odd_start),
    ("mapping values are not allowed", _colon),
    ("could not find expected ':'", _no_colon),
    ("sequence entries are not allowed", _dash),
    ("comment or line break", _block_header),
    ("comment or a line break", _block_header),
    ("directive", _directive),
    ("incompatible YAML", _directive),
    ("alphabetic or numeric", _name_missing),
    ("node content", _no_content),
    ("<document start>", _second_top),
    ("document start", _second_top),
)


def _never_closed(opens: str) -> str:
    closes = "}" if opens == "{" else "]"
    return f"the {opens} that opens here is never closed; write {closes} after the last item"


def _in_flow(text: str, index: int, start: int) -> tuple[int, str]:
    opens = text[start : start + 1]
    braces = opens == "{"
    closes, name = ("}", "braces") if braces else ("]", "brackets")
    _, here = _line_of(text, index)
    first, _ = _line_of(text, index)
    _, opened = _line_of(text, start)
    sign = text[index : index + 1]
    if first > start and closes not in opened[opened.find(opens) :]:
        return start, _never_closed(opens)
    if index >= len(text):
        return start, _never_closed(opens)
    if sign == "?" or (sign == ":" and here):
        what = "a question mark" if sign == "?" else "a colon with a space"
        return index, f"inside {name} {what} breaks the value; {_QUOTES}"
    if sign in "\"'" or text[max(index - 2, 0) : index].strip()[-1:] in {'"', "'"}:
        return index, f"words stand beside a quoted value inside {name}; put all of them in one pair of quotes"
    ends = "a comma, a question mark or a colon ends the value" if braces else "a comma ends the value"
    return index, f"inside {name} {ends}; {_QUOTES}"


def _out_of_line(text: str, index: int, start: int) -> tuple[int, str]:
    at, line = _line_of(text, index)
    before = line[: index - at]
    if before.strip() and not re.fullmatch(r"\s*(?:- *)*", before):
        sign = text[index : index + 1]
        if before.rstrip().endswith(("'", '"')) or re.search(r":\s+[\"']", before):
            return (
                index,
                "words stand after the closing quote; put all of the value in one pair of quotes "
                "(a quote inside is written twice: '')",
            )
        if sign and sign in "]}":
            return index, f"{sign} closes nothing; delete it, or put the words in quotes"
        return index, f"the value ended before this; {_QUOTES}"
    if line.startswith(("---", "...")):
        return at, f"the line {line[:3]} stands inside a value; delete it, and close the quote above if one is open"
    _, above = _line_before(text, index)
    indent, other = len(line) - len(line.lstrip()), len(above) - len(above.lstrip())
    if line.lstrip().startswith("- ") or line.strip() == "-":
        if not above.lstrip().startswith("- ") and indent >= other:
            return (
                at + indent,
                "a list item stands among keys; indent it under the key it belongs to, or delete the dash",
            )
        return at + indent, "this dash does not line up with the dashes above; give it the same indentation"
    if indent != other:
        return (
            at + indent,
            "the indentation of this line fits nothing above; line a key up with the other keys of the same thing, and "
            "the lines of a longer text with its first line",
        )
    if above.lstrip().startswith("- "):
        return at + indent, "a key stands where a list item is meant; begin it with a dash, or indent it under the item"
    return (
        at + indent,
        "this line does not fit in here; check the indentation, colons and quotes of it and the one above",
    )
