"""Lines put at the end of a record's `photos:`; everything else in the file stays byte for byte as it is."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from pathlib import PurePosixPath
from typing import Any

import yaml

from buildlog.records.reading import Document, parse_document

_COLUMN = 2
"""Of the dashes, where the record has no photo yet."""

Render = Callable[[int], Sequence[str]]
"""Gives the lines of the new entries, each entry between blank lines, with its dash at this column."""


class CannotExtendError(Exception):
    """The record is written in a way that no lines can be put into safely. Its text says which."""


def extend_photos(text: str, render: Render, files: Sequence[PurePosixPath]) -> str:
    """
    Put entries at the end of a record's photos.

    Args:
        text: The record, with the line ends and the byte order mark it has.
        render: Gives the new lines.
        files: What the new entries show, to prove that they have become a part of the record.

    Returns:
        The whole text, in which the old one stands unchanged around the new lines.

    Raises:
        CannotExtendError: There is no place to put them, or the record would not mean the same otherwise.
    """
    at, column, is_spaced, is_first = _place(text)
    lines = list(render(column))
    if not is_spaced:
        lines = [line for line in lines if line.strip()]
    elif not is_first:
        lines = ["", *lines]
    while lines and not lines[-1].strip():
        lines.pop()
    before, after = text[:at], text[at:]
    end = _line_end(text)
    glue = "" if not before or before.endswith(("\n", "\r")) else end
    extended = before + glue + "".join(line + end for line in lines) + after
    if not _is_extended(_read(text), _read(extended), files):
        raise CannotExtendError("its photos are written in an unusual way")
    return extended


def photos_column(text: str) -> int:
    """Give the column at which the dashes of a record's photos stand, or would stand."""
    try:
        return _place(text)[1]
    except CannotExtendError:
        return _COLUMN


def _place(text: str) -> tuple[int, int, bool, bool]:
    """Find where the new lines go, the column of the dashes, and whether blank lines part the entries."""
    try:
        root = yaml.compose(text, Loader=yaml.SafeLoader)
    except yaml.YAMLError:
        raise CannotExtendError("it cannot be read") from None
    if not isinstance(root, yaml.MappingNode) or root.flow_style:
        raise CannotExtendError("its keys stand in braces")
    found = next(((key, value) for key, value in root.value if key.value == "photos"), None)
    if found is None:
        raise CannotExtendError("it has no photos: yet")
    key, photos = found
    if isinstance(photos, yaml.ScalarNode) and not photos.value and photos.start_mark.index >= key.end_mark.index:
        at = _after_line(text, key.end_mark.index)
        return _after_comments(text, at, 1), _COLUMN, True, True
    if not isinstance(photos, yaml.SequenceNode) or photos.start_mark.index < key.end_mark.index:
        raise CannotExtendError("its photos are a repeat (*name) of something else")
    if photos.flow_style or not photos.value:
        raise CannotExtendError("its photos stand in brackets")
    column = photos.start_mark.column
    at = _after_line(text, _last_index(text, photos))
    is_spaced = any(
        not line.strip() for line in _lines_between(text, key.end_mark.index, photos.value[-1].start_mark.index)
    )
    return _after_comments(text, at, max(column, 1)), column, is_spaced, False


def _last_index(text: str, node: yaml.Node) -> int:
    """Find the last character of a node; a block's own end would be where the next thing begins."""
    if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last: Any = node.value[-1]
        return _last_index(text, last[1] if isinstance(last, tuple) else last)
    end = node.end_mark.index
    if isinstance(node, yaml.ScalarNode) and node.style in {"|", ">"}:
        end = len(text[:end].rstrip())
    return end


def _after_line(text: str, index: int) -> int:
    """Give the index at which the next line begins."""
    match = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)?").match(text, index)
    return match.end() if match else len(text)


def _after_comments(text: str, at: int, column: int) -> int:
    """Step over the comments that follow at once and stand at this column or deeper, as they belong to the entry."""
    comment = re.compile(rf"[ ]{{{column},}}#[^\r\n]*(?:\r\n|\r|\n)?")
    while match := comment.match(text, at):
        at = match.end()
    return at


def _lines_between(text: str, start: int, end: int) -> list[str]:
    return text[start:end].splitlines()[1:]


def _line_end(text: str) -> str:
    match = re.search(r"\r\n|\r|\n", text)
    return match[0] if match else "\n"


def _read(text: str) -> Document:
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    return parse_document(PurePosixPath("record.yml"), plain)


def _is_extended(before: Document, after: Document, files: Sequence[PurePosixPath]) -> bool:
    """Whether the record means what it meant, and its photos end in the new ones."""
    old, new = before.data, after.data
    if not (isinstance(old, dict) and isinstance(new, dict)) or any(problem.is_error for problem in after.problems):
        return False
    rest = {key: value for key, value in old.items() if key != "photos"}
    photos, earlier = new.get("photos"), old.get("photos") or []
    return (
        isinstance(photos, list)
        and rest == {key: value for key, value in new.items() if key != "photos"}
        and photos[: len(earlier)] == earlier
        and [entry.get("file") for entry in photos[len(earlier) :]] == [str(file) for file in files]
    )
