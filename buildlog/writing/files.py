"""Putting files where none was, and changing those that are there, all or nothing."""

from __future__ import annotations

import os
import shutil
import uuid
from pathlib import Path


def write_new(path: Path, text: str) -> None:
    """
    Write a text file that must not be there yet; it appears whole or not at all.

    Raises:
        FileExistsError: There is one; it is left as it is.
        OSError: It cannot be written.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    part = _part_of(path)
    try:
        with part.open("w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        _put(part, path)
    finally:
        part.unlink(missing_ok=True)


def replace_same(path: Path, before: bytes, after: bytes) -> bool:
    """
    Change a file in one step, unless somebody else has changed it; its permissions stay.

    Args:
        path: The file itself, and no link to it.
        before: What it must hold still.
        after: What it will hold.

    Returns:
        Whether it was changed.

    Raises:
        OSError: It cannot be written; it is left as it is.
    """
    part = _part_of(path)
    try:
        with part.open("wb") as file:
            file.write(after)
            file.flush()
            os.fsync(file.fileno())
        shutil.copymode(path, part)
        if path.read_bytes() != before:
            return False
        part.replace(path)
        return True
    finally:
        part.unlink(missing_ok=True)


def copy_new(source: Path, path: Path) -> None:
    """
    Copy a file, with the time it was changed, to where none is yet; it appears whole or not at all.

    Raises:
        FileExistsError: There is one; it is left as it is.
        OSError: It cannot be copied.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    part = _part_of(path)
    try:
        shutil.copyfile(source, part)
        times = source.stat()
        os.utime(part, ns=(times.st_atime_ns, times.st_mtime_ns))
        _put(part, path)
    finally:
        part.unlink(missing_ok=True)


def _part_of(path: Path) -> Path:
    """Name a file beside it that the loader overlooks."""
    return path.with_name(f".{uuid.uuid4().hex[:12]}.part")


def _put(part: Path, path: Path) -> None:
    """Give a finished file its name, unless the name is taken."""
    try:
        os.link(part, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links: take the name first, then fill it in one step
        path.open("xb").close()
        part.replace(path)
