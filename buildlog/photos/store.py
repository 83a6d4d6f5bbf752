"""The store of made pictures: one folder, safe to delete, that costs next to nothing while nothing changes."""

from __future__ import annotations

import contextlib
import errno
import os
import sqlite3
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from types import TracebackType
from typing import NamedTuple, Self

from buildlog.photos.facts import PhotoFacts
from buildlog.photos.making import Job, Making, Progress
from buildlog.photos.opening import PhotoError, quiet_pillow
from buildlog.photos.pictures import Picture, recipe_digest
from buildlog.photos.running import processor_count
from buildlog.photos.settings import PictureSettings
from buildlog.photos.tables import PictureRow, Tables, read_facts_row, read_picture_row

__all__ = ["PictureStore", "Pictures", "Progress", "StoreError", "Tidied"]

# A folder that was changed so lately may be changed once more within one tick of the file system's clock, which
# is 2 seconds on the coarsest of them (FAT). Its time is believed only later.
_SETTLED = 3_000_000_000

_PATIENCE = 10.0
"""Seconds that `tidy` waits for other runs, and other runs for it."""


class StoreError(Exception):
    """The store's folder cannot be used, so that no picture can be made. The message says what to do."""


class Tidied(NamedTuple):
    """What `PictureStore.tidy` removed."""

    files: int
    bytes: int


class Pictures(Mapping[Path, Picture]):
    """
    The pictures of a run by the paths that were asked for, in that order.

    Each is read from the store when it is first asked for, so that a run over many thousand of them costs only
    what it looks at.
    """

    def __init__(self, entries: dict[str, tuple[Path, str]], rows: dict[str, PictureRow], store: PictureStore) -> None:
        self._entries = entries
        self._rows = rows
        self._store = store
        self._read: dict[str, Picture] = {}

    def __getitem__(self, path: Path) -> Picture:
        key = str(path)
        picture = self._read.get(key)
        if picture is None:
            asked, digest = self._entries[key]
            if digest not in self._rows:
                # While the store is open one at a time; once it is closed all at once, to open it only once more.
                digests = [digest] if self._store.is_open else [digest for _, digest in self._entries.values()]
                self._rows.update(self._store.read_rows(digests))
            picture = self._read[key] = read_picture_row(self._rows[digest], asked, digest)
        return picture

    def __iter__(self) -> Iterator[Path]:
        return (path for path, _ in self._entries.values())

    def __len__(self) -> int:
        return len(self._entries)

    def __contains__(self, path: object) -> bool:
        return isinstance(path, Path) and str(path) in self._entries


class PictureStore:
    """
    Made pictures and what is known of their photos, kept between runs.

    Used as a context manager. Any number of runs may use one store at once; only `tidy` wants it alone.
    A file is written aside, renamed into place and only then entered in the tables, so that a run that is
    killed leaves nothing that a later one could take for finished.
    """

    def __init__(self, folder: Path, settings: PictureSettings | None = None) -> None:
        self.folder = folder
        self.settings = settings or PictureSettings()
        self._recipe = recipe_digest(self.settings)
        self._tables: Tables | None = None
        self._presence: sqlite3.Connection | None = None

    @property
    def files(self) -> Path:
        """The folder that the names of made files start from."""
        return self.folder / "files"

    @property
    def _aside(self) -> Path:
        return self.folder / "unfinished"

    # Opening and closing

    def __enter__(self) -> Self:
        with self._explaining():
            try:
                self.files.mkdir(parents=True, exist_ok=True)
                self._aside.mkdir(exist_ok=True)
                self._remove_abandoned()
                self._presence = self._enter_presence()
                self._tables = Tables(self.folder / "store.sqlite")
            except BaseException:
                self.__exit__(None, None, None)
                raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._tables is not None:
            self._tables.close()
        if self._presence is not None:
            self._presence.close()
        self._tables = self._presence = None

    def _remove_abandoned(self) -> None:
        """Remove the parts of files that stopped runs left a day ago or more; no run takes that long over one."""
        with os.scandir(self._aside) as entries:
            parts = [Path(entry) for entry in entries]
        for part in parts:
            # One that is gone by now was another run's.
            with contextlib.suppress(FileNotFoundError):
                if time.time() - part.stat().st_mtime > 86_400:
                    part.unlink()

    def _enter_presence(self) -> sqlite3.Connection:
        """
        Say that this run is using the store, until it ends in whatever way.

        The lock that SQLite holds for a reader is one that every system has and that dies with its process.
        """
        presence = sqlite3.connect(self.folder / "in-use.sqlite", timeout=_PATIENCE, isolation_level=None)
        try:
            presence.execute("CREATE TABLE IF NOT EXISTS presence (run)")
            presence.execute("BEGIN")
            presence.execute("SELECT * FROM presence").fetchall()
        except BaseException:
            presence.close()
            raise
        return presence

    @contextlib.contextmanager
    def _explaining(self) -> Iterator[None]:
        """Say what a failing disk or database means for the one who ran this."""
        try:
            yield
        except (OSError, sqlite3.Error) as error:
            raise StoreError(f"{self.folder}: {_explain(error)}") from error

    def _opened(self) -> Tables:
        if self._tables is None:
            raise RuntimeError("the store is used outside its `with` block")
        return self._tables

    # Making

    def make(
        self,
        paths: Iterable[Path],
        *,
        on_progress: Callable[[Progress], None] | None = None,
        verify: bool = False,
        workers: int | None = None,
    ) -> tuple[Pictures, list[PhotoError]]:
        """
        Make the pictures of these photos, as far as they are not made yet.

        Args:
            paths: Photos; one named twice is made once.
            on_progress: Called in this thread after each photo that had to be looked at.
            verify: Read every photo and every made file in full, instead of trusting sizes and times.
            workers: Photos made at once; as many as there are processor cores when None.

        Returns:
            The pictures, and one error for each photo that cannot be used.

        Raises:
            StoreError: The store's folder cannot be used, or the disk is full.
            KeyboardInterrupt: Within a second, after everything finished so far has been entered.
        """
        entries, rows, errors = self._run(paths, on_progress, verify, workers, with_files=True)
        return Pictures(entries, rows, self), errors

    def read_facts(
        self,
        paths: Iterable[Path],
        *,
        on_progress: Callable[[Progress], None] | None = None,
        verify: bool = False,
        workers: int | None = None,
    ) -> tuple[dict[Path, PhotoFacts], list[PhotoError]]:
        """Read the facts of these photos without making pictures; otherwise like `make`."""
        entries, rows, errors = self._run(paths, on_progress, verify, workers, with_files=False)
        tables = self._opened()
        facts = {}
        with self._explaining():
            for path, digest in entries.values():
                body = rows[digest].facts if digest in rows else tables.facts(digest)
                if body is not None:
                    facts[path] = read_facts_row(body, path, digest)
        return facts, errors

    def _run(
        self,
        paths: Iterable[Path],
        on_progress: Callable[[Progress], None] | None,
        verify: bool,
        workers: int | None,
        *,
        with_files: bool,
    ) -> tuple[dict[str, tuple[Path, str]], dict[str, PictureRow], list[PhotoError]]:
        """Give by the text of each path the path and its photo's digest, the rows made just now, and the errors."""
        tables = self._opened()
        with self._explaining():
            if with_files:
                self._look_for_files(tables, everywhere=verify)
            texts = {str(path): path for path in paths}
            keys, seen = _scan(texts)
            sources = tables.sources()
            found: dict[str, str] = {}
            jobs: list[Job] = []
            adopted: list[str] = []
            for text, key in zip(texts, keys, strict=True):
                source = sources.get(key)
                if source is not None and not verify and seen.get(key) == source[1:3]:
                    digest, recipe = source[3:]
                    if recipe != self._recipe and self._is_known(tables, digest, with_files):
                        adopted.append(key)
                        recipe = self._recipe
                    if recipe == self._recipe:
                        found[text] = digest
                        continue
                jobs.append(Job(texts[text], key))
            if with_files:
                tables.adopt(adopted, self._recipe)
            if not jobs:
                return {text: (texts[text], digest) for text, digest in found.items()}, {}, []
            making = Making(
                tables,
                self.files,
                self._aside,
                self.settings,
                self._recipe,
                verify=verify,
                with_files=with_files,
                workers=workers or processor_count(),
            )
            with quiet_pillow():
                new, errors = making.run(jobs, on_progress)
        entries = {}
        for text, key in zip(texts, keys, strict=True):
            digest = new[key][0] if key in new else found.get(text, "")
            if digest:
                entries[text] = (texts[text], digest)
        return entries, dict(new.values()), errors

    def _is_known(self, tables: Tables, digest: str, with_files: bool) -> bool:
        """Say whether a photo's content is known under these settings, though its path was last used under others."""
        if with_files:
            return tables.picture(digest, self._recipe) is not None
        return tables.facts(digest) is not None

    @property
    def is_open(self) -> bool:
        """Whether this is inside the store's `with` block."""
        return self._tables is not None

    def read_rows(self, digests: Iterable[str]) -> dict[str, PictureRow]:
        """
        Read what is known of photos by the digests of their content.

        Raises:
            StoreError: One of them is not known any longer.
        """
        rows = {}
        with self._explaining():
            tables = self._tables or Tables(self.folder / "store.sqlite")
            try:
                for digest in digests:
                    row = tables.picture(digest, self._recipe)
                    if row is None:
                        raise StoreError(f"{self.folder}: a picture was removed while it was needed; run again")
                    rows[digest] = row
            finally:
                if tables is not self._tables:
                    tables.close()
        return rows

    def _look_for_files(self, tables: Tables, *, everywhere: bool) -> None:
        """
        Make sure that every file in the tables is on the disk, and forget those that are not.

        A folder's time moves whenever a name is added to it or taken away, so that only folders whose time has
        moved since they were last found whole have to be listed.
        """
        whole: list[tuple[str, int]] = []
        missing: list[str] = []
        for name, known in tables.folders():
            folder = self.files / name
            try:
                modified = folder.stat().st_mtime_ns
                if modified == known and not everywhere:
                    continue
                expected = tables.names_in(name)
                with os.scandir(folder) as entries:
                    present = {entry.name for entry in entries}
            except FileNotFoundError:
                modified, present, expected = 0, set(), tables.names_in(name)
            missing += [f"{name}/{file}" for file in expected if file not in present]
            if time.time_ns() - modified > _SETTLED:
                whole.append((name, modified))
        tables.enter_folders(whole, missing)

    # Tidying

    def tidy(self, keep: Iterable[Picture]) -> Tidied:
        """
        Remove every made file that none of these pictures needs, and whatever a stopped run left.

        Raises:
            StoreError: Another run is using the store, or the folder may not be changed.
        """
        tables = self._opened()
        names: set[str] = set()
        digests: set[str] = set()
        for picture in keep:
            names.update(file.name for file in (*picture.webp, *picture.avif, picture.jpeg))
            digests.add(picture.facts.digest)
        with self._explaining(), self._alone():
            # The rows first: a file without its row is at worst made again.
            tables.keep_only(digests, names, self._recipe)
            return self._remove_all_but(names)

    @contextlib.contextmanager
    def _alone(self) -> Iterator[None]:
        """Have the store alone. Another run's presence makes this fail; one that would begin waits."""
        presence = self._presence
        if presence is None:
            raise RuntimeError("the store is used outside its `with` block")
        presence.execute("COMMIT")
        try:
            presence.execute("BEGIN EXCLUSIVE")
            yield
        finally:
            if presence.in_transaction:
                presence.execute("COMMIT")
            presence.execute("BEGIN")
            presence.execute("SELECT * FROM presence").fetchall()

    def _remove_all_but(self, names: set[str]) -> Tidied:
        files = size = 0
        for folder in (*self.files.iterdir(), self._aside):
            start = "" if folder == self._aside else f"{folder.name}/"
            for entry in list(folder.iterdir()) if folder.is_dir() else [folder]:
                if f"{start}{entry.name}" not in names:
                    size += entry.lstat().st_size
                    files += 1
                    entry.unlink()
            if folder != self._aside and folder.is_dir() and not any(folder.iterdir()):
                folder.rmdir()
        return Tidied(files, size)


def _explain(error: Exception) -> str:
    number = getattr(error, "errno", None)
    words = str(error).lower()
    if number in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG) or any(
        sign in words for sign in ("disk is full", "disk i/o error", "encoder error")
    ):
        return "the disk is full or failing; make room and run again: what is finished is kept"
    if number in (errno.EACCES, errno.EPERM, errno.EROFS) or "readonly" in words or "unable to open" in words:
        return "may not be written to; change its permissions or choose another folder"
    if "locked" in words:
        return "another run is using it; try again when that has ended"
    return f"cannot be used ({error}); it is safe to delete, and is then made again"


def _scan(texts: Iterable[str]) -> tuple[list[str], dict[str, tuple[int, int]]]:
    """
    Find sizes and times of photos by listing their folders, each once.

    Returns:
        The full path of each photo, in order; and by full path the bytes and nanoseconds of every file that lies
        in one of the folders.
    """
    keys: list[str] = []
    full: dict[str, str] = {}
    seen: dict[str, tuple[int, int]] = {}
    for text in texts:
        folder, separator, name = text.rpartition(os.sep)
        start = full.get(folder)
        if start is None:
            start = full[folder] = f"{Path(folder + separator).absolute()}{os.sep}"
            with contextlib.suppress(OSError):
                _scan_folder(start, seen)
        keys.append(start + name)
    return keys, seen


def _scan_folder(start: str, seen: dict[str, tuple[int, int]]) -> None:
    with os.scandir(start) as entries:
        for entry in entries:
            try:
                state = entry.stat()
            except OSError:
                continue
            seen[start + entry.name] = (state.st_size, state.st_mtime_ns)
