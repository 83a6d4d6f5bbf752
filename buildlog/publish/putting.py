"""
Putting a made site in place: whole, or not at all.

The site is made in a fresh folder beside its place and takes that place by renaming, in the last moment. Whatever
ends a run before that moment, the last good site stays as it was; what such a run leaves behind lies in one hidden
folder, `.<name>.making`, which the next run clears away.
"""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
from pathlib import Path
from types import TracebackType
from typing import Self

from filelock import FileLock, Timeout

MARKER = ".buildlog-site"
"""File at the top of a made site; a folder that has it may be replaced."""

_MARKER_TEXT = "This folder is made by buildlog. Each run replaces everything in it but hidden files at its top.\n"
_NAMES_SHOWN = 3


class SiteError(Exception):
    """The site cannot be made or put in place. Its text says why and what to do; the last good site is untouched."""


class FreshFolder:
    """
    A folder to make a site in, which takes the place of `target` when the site is finished.

    As a context manager it is put in place when the block ends well and thrown away when it does not.

    Hidden files at the top of the last site (`.git`, `.well-known`) belong to the person: they are carried over, unless
    the fresh site has its own of the same name.

    Raises:
        SiteError: `target` cannot be replaced (a file, a mount, a folder of somebody's own files), the folder above it
            cannot be written to, or another run is making the same site.
    """

    def __init__(self, target: Path) -> None:
        self.target = _resolve(target)
        self._shown = target
        if not self.target.name:
            raise SiteError(f"{target} is the top of a disk; name a folder of its own for the site")
        self._working = self.target.with_name(f".{self.target.name}.making")
        self.path = self._working / "new"
        """The empty folder to fill."""
        self._old = self._working / "old"
        self._lock = FileLock(self._working / "lock", thread_local=False)
        self._made_parents: tuple[Path, ...] = ()
        try:
            self._check_target()
            self._check_permission()
            self._made_parents = _make_parents(self.target)
            self._working.mkdir(exist_ok=True)
        except OSError as error:
            raise SiteError(
                f"{target} cannot be made, since {self.target.parent} cannot be written to ({_reason(error)}); "
                "name another folder for the site"
            ) from error
        self._open()

    def put_in_place(self) -> None:
        """
        Let the folder take the target's place.

        Raises:
            SiteError: It could not; the last site is back where it was, and the fresh folder is gone.
        """
        try:
            self._check_target()
            (self.path / MARKER).write_text(_MARKER_TEXT, encoding="utf-8")
            self._swap()
        except OSError as error:
            self.discard()
            remedy = "see whether its permissions let you" if isinstance(error, PermissionError) else "run again"
            raise SiteError(
                f"{self._shown} could not be replaced ({_reason(error)}); close what has it open and {remedy}"
            ) from error
        except SiteError:
            self.discard()
            raise
        self._made_parents = ()
        self._close()

    def discard(self) -> None:
        """Throw the folder away and leave the target as it is; harmless when that has been done."""
        self._close()
        for parent in self._made_parents:
            with contextlib.suppress(OSError):
                parent.rmdir()
        self._made_parents = ()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if kind is None:
            self.put_in_place()
        else:
            self.discard()

    def _check_target(self) -> None:
        """Refuse a place whose loss would hurt, or which cannot be taken by renaming."""
        above = next(parent for parent in self.target.parents if parent.exists())
        if not above.is_dir():
            raise SiteError(f"{self._shown} cannot be made, since {above} is a file; name another folder for the site")
        if not self.target.exists():
            return
        if not self.target.is_dir():
            raise SiteError(f"{self._shown} is a file; move it away, or name another folder for the site")
        if self.target.is_mount():
            raise SiteError(
                f"{self._shown} is where a disk is mounted, and cannot be replaced in one step; "
                f"name a folder inside it for the site, such as {self._shown / 'site'}"
            )
        if not (self.target / MARKER).is_file() and (names := _visible_names(self.target)):
            named = ", ".join(names[:_NAMES_SHOWN]) + (", …" if len(names) > _NAMES_SHOWN else "")
            raise SiteError(
                f"{self._shown} holds files that buildlog has not made ({named}) and would lose them; "
                "empty it, or name another folder for the site"
            )

    def _check_permission(self) -> None:
        """Refuse a folder that could not be renamed at the end, before anything is made."""
        if self.target.exists() and not os.access(self.target, os.R_OK | os.W_OK | os.X_OK):
            raise SiteError(
                f"{self._shown} is there, but your permissions do not let you replace it; give yourself the right to "
                f"write to it (chmod -R u+rwX {self._shown}), or name another folder for the site"
            )

    def _open(self) -> None:
        """Keep other runs out, clear away what a killed run has left, and make the fresh folder."""
        try:
            self._lock.acquire(blocking=False)
        except (Timeout, FileNotFoundError):
            # Not found: the other run has just ended and taken its working folder with it.
            raise SiteError(f"another run is making {self._shown} now; let it finish, then run again") from None
        except OSError as error:
            raise self._not_cleared(error) from error
        try:
            self._recover()
            _remove(self.path)
            self.path.mkdir()
        except OSError as error:
            self.discard()
            raise self._not_cleared(error) from error

    def _not_cleared(self, error: OSError) -> SiteError:
        return SiteError(f"{self._working} cannot be cleared ({_reason(error)}); remove it and run again")

    def _swap(self) -> None:
        """Put the last site aside and the fresh one in its place; on failure put the last one back."""
        if self.target.exists():
            shutil.copymode(self.target, self.path)
            _move(self.target, self._old)
        try:
            self.path.rename(self.target)
        except OSError:
            self._recover()
            raise
        self._recover()

    def _recover(self) -> None:
        """
        Bring a swap that was cut short to one of its two good ends.

        With the last site put aside and the fresh one still here, the last one goes back. With the fresh one in place,
        the last one's hidden files follow it and the rest of it is removed.
        """
        if not self._old.exists():
            return
        if self.path.exists() or not self.target.exists():
            _remove(self.target)
            self._old.rename(self.target)
            return
        for entry in self._old.iterdir():
            if entry.name.startswith(".") and not os.path.lexists(self.target / entry.name):
                entry.rename(self.target / entry.name)
        # The site is in place; what of the last one resists removal is tried again by the next run.
        shutil.rmtree(self._old, ignore_errors=True)

    def _close(self) -> None:
        """Remove the working folder and let the next run begin."""
        if not self._lock.is_locked:
            return
        with contextlib.suppress(OSError):
            self.path.chmod(0o755)  # it may have got the permissions of a site that nobody may write to
        shutil.rmtree(self._working, ignore_errors=True)
        self._lock.release()
        # Where the system does not remove a file that is held open, the emptied folder is left by now.
        with contextlib.suppress(OSError):
            self._working.rmdir()


def _resolve(target: Path) -> Path:
    """Follow links, so that the folder a link leads to is replaced and the link stays."""
    try:
        return target.resolve()
    except (OSError, RuntimeError):
        raise SiteError(f"{target} is a link that leads nowhere; remove it, or name another folder") from None


def _visible_names(folder: Path) -> list[str]:
    try:
        return sorted(entry.name for entry in folder.iterdir() if not entry.name.startswith("."))
    except OSError as error:
        raise SiteError(f"{folder} cannot be read ({_reason(error)}); name another folder for the site") from error


def _make_parents(target: Path) -> tuple[Path, ...]:
    """Make the folders above the target; give those that were missing, innermost first."""
    missing = tuple(parent for parent in target.parents if not parent.exists())
    target.parent.mkdir(parents=True, exist_ok=True)
    return missing


def _move(source: Path, destination: Path) -> None:
    """Rename a folder; copy and remove it where its disk cannot rename it (a folder of a container's image)."""
    try:
        source.rename(destination)
    except OSError as error:
        if error.errno != errno.EXDEV:
            raise
        part = destination.with_name(f"{destination.name}.part")
        _remove(part)
        shutil.copytree(source, part, symlinks=True)
        part.rename(destination)
        shutil.rmtree(source)


def _remove(folder: Path) -> None:
    if folder.exists():
        shutil.rmtree(folder)


def _reason(error: OSError) -> str:
    return error.strerror or type(error).__name__
