"""The store of made pictures: one folder that may be deleted at any time, and costs nothing while nothing changes."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import secrets
import sqlite3
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import NamedTuple, Self

from buildlog.photos.camera import CameraSettings
from buildlog.photos.decoding import decode, memory_needed
from buildlog.photos.facts import PhotoFacts, facts_of
from buildlog.photos.opening import PhotoError, Size, Source, open_image, open_source, quiet_pillow
from buildlog.photos.pictures import (
    MadeFile,
    Picture,
    PlannedFile,
    make_files,
    make_placeholder,
    plan_files,
    recipe_digest,
)
from buildlog.photos.running import Workers, processor_count
from buildlog.photos.settings import PictureSettings

# Raised when the tables change shape, or when the facts of a photo would come out otherwise. The made files
# stay; what is known of them is then learnt again.
_TABLES_VERSION = 1

_TABLES = """
CREATE TABLE sources (path TEXT PRIMARY KEY, bytes INTEGER, modified INTEGER, digest TEXT) WITHOUT ROWID;
CREATE TABLE facts (digest TEXT PRIMARY KEY, body TEXT) WITHOUT ROWID;
CREATE TABLE pictures (digest TEXT, recipe TEXT, names TEXT, body TEXT, PRIMARY KEY (digest, recipe)) WITHOUT ROWID;
CREATE TABLE files (name TEXT PRIMARY KEY, bytes INTEGER, digest TEXT) WITHOUT ROWID;
"""

# A picture that needs more than this to be decoded is made while no other such picture is.
_LARGE = 150 * 1024 * 1024


class StoreError(Exception):
    """The store's folder cannot be used, so that no picture can be made. The message says what to do."""


@dataclass(frozen=True)
class Progress:
    """How far the making of pictures has come."""

    done: int
    total: int
    """Photos that had to be looked at, not those that were unchanged."""
    seconds: float
    """Since the first was begun."""

    @property
    def pictures_per_second(self) -> float:
        """Give the mean so far; 0 before the first is done."""
        return self.done / self.seconds if self.seconds > 0 else 0.0

    @property
    def seconds_left(self) -> float | None:
        """Give the time that the rest would take at the mean so far; None before the first is done."""
        return (self.total - self.done) / self.pictures_per_second if self.done and self.seconds > 0 else None


class Tidied(NamedTuple):
    """What `PictureStore.tidy` removed."""

    files: int
    bytes: int


class _Row(NamedTuple):
    """What the store knows of one photo's content: JSON, read only when asked for."""

    facts: str
    names: str
    """Of the made files, joined by blanks; empty when only facts were wanted."""
    picture: str


class Pictures(Mapping[Path, Picture]):
    """The pictures of a run, by the paths that were asked for, in that order."""

    def __init__(self, rows: dict[Path, tuple[str, _Row]]) -> None:
        self._rows = rows
        self._read: dict[Path, Picture] = {}

    def __getitem__(self, path: Path) -> Picture:
        picture = self._read.get(path)
        if picture is None:
            digest, row = self._rows[path]
            picture = self._read[path] = _read_picture(row, path, digest)
        return picture

    def __iter__(self) -> Iterator[Path]:
        return iter(self._rows)

    def __len__(self) -> int:
        return len(self._rows)

    def __contains__(self, path: object) -> bool:
        return path in self._rows


class _File(NamedTuple):
    """One entry of the table of made files."""

    name: str
    bytes: int
    digest: str
    """SHA-256 of its content."""


class _Job(NamedTuple):
    path: Path
    key: str
    """The path as the tables have it."""


class _Outcome(NamedTuple):
    """What a worker has found and made for one photo, to be entered by the calling thread."""

    job: _Job
    source: tuple[int, int, str]
    """Bytes, nanoseconds and digest of the photo."""
    row: _Row
    made: tuple[_File, ...]


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
        self._tables: sqlite3.Connection | None = None
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
        try:
            self.files.mkdir(parents=True, exist_ok=True)
            self._aside.mkdir(exist_ok=True)
            self._presence = self._enter_presence()
            self._tables = self._open_tables()
        except (OSError, sqlite3.Error) as error:
            self.__exit__(None, None, None)
            raise StoreError(self._explain(error)) from error
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for connection in (self._tables, self._presence):
            if connection is not None:
                with contextlib.suppress(sqlite3.Error):
                    connection.close()
        self._tables = self._presence = None

    def _enter_presence(self) -> sqlite3.Connection:
        """
        Say that this run is using the store, until it ends in whatever way.

        The lock that SQLite holds for a reader is one that every system has and that dies with its process.
        """
        presence = sqlite3.connect(self.folder / "in-use.sqlite", timeout=10, isolation_level=None)
        try:
            presence.execute("CREATE TABLE IF NOT EXISTS presence (run)")
            presence.execute("BEGIN")
            presence.execute("SELECT * FROM presence").fetchall()
        except BaseException:
            presence.close()
            raise
        return presence

    def _open_tables(self) -> sqlite3.Connection:
        path = self.folder / "store.sqlite"
        try:
            return self._ready(path)
        except sqlite3.DatabaseError as error:
            if isinstance(error, sqlite3.OperationalError):
                raise
            # Not a database, or a damaged one. Everything in it can be learnt again.
            for ending in ("", "-wal", "-shm"):
                Path(f"{path}{ending}").unlink(missing_ok=True)
            return self._ready(path)

    def _ready(self, path: Path) -> sqlite3.Connection:
        tables = sqlite3.connect(path, timeout=30, isolation_level=None)
        try:
            tables.execute("PRAGMA journal_mode = WAL")
            tables.execute("PRAGMA synchronous = NORMAL")
            tables.execute("BEGIN IMMEDIATE")
            if tables.execute("PRAGMA user_version").fetchone()[0] != _TABLES_VERSION:
                for (name,) in tables.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall():
                    tables.execute(f'DROP TABLE "{name}"')
                for statement in filter(str.strip, _TABLES.split(";")):
                    tables.execute(statement)
                tables.execute(f"PRAGMA user_version = {_TABLES_VERSION}")
            tables.execute("COMMIT")
        except BaseException:
            tables.close()
            raise
        return tables

    def _explain(self, error: Exception) -> str:
        number = getattr(error, "errno", None)
        words = str(error).lower()
        if number in (errno.ENOSPC, errno.EDQUOT) or "disk is full" in words:
            return f"{self.folder}: the disk is full; make room and run again: what is finished is kept"
        if number in (errno.EACCES, errno.EPERM, errno.EROFS) or "readonly" in words:
            return f"{self.folder}: may not be written to; change its permissions or choose another folder"
        if "locked" in words:
            return f"{self.folder}: another run is using it; try again when that has ended"
        return f"{self.folder}: cannot be used ({error}); it is safe to delete, and is then made again"

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
            KeyboardInterrupt: After everything finished so far has been entered.
        """
        rows, errors = self._run(paths, on_progress, verify, workers, with_files=True)
        return Pictures(rows), errors

    def read_facts(
        self,
        paths: Iterable[Path],
        *,
        on_progress: Callable[[Progress], None] | None = None,
        verify: bool = False,
        workers: int | None = None,
    ) -> tuple[dict[Path, PhotoFacts], list[PhotoError]]:
        """Read the facts of these photos without making pictures; otherwise like `make`."""
        rows, errors = self._run(paths, on_progress, verify, workers, with_files=False)
        return {path: _read_facts(row.facts, path, digest) for path, (digest, row) in rows.items()}, errors

    def _run(
        self,
        paths: Iterable[Path],
        on_progress: Callable[[Progress], None] | None,
        verify: bool,
        workers: int | None,
        *,
        with_files: bool,
    ) -> tuple[dict[Path, tuple[str, _Row]], list[PhotoError]]:
        tables = self._opened()
        wanted = list(dict.fromkeys(paths))
        try:
            known = self._known(tables)
            sources = {row[0]: row[1:] for row in tables.execute("SELECT path, bytes, modified, digest FROM sources")}
            present = self._present() if with_files else set()
        except (OSError, sqlite3.Error) as error:
            raise StoreError(self._explain(error)) from error
        keys, seen = _scan(wanted)
        found: dict[Path, tuple[str, _Row]] = {}
        todo: list[_Job] = []
        for path, key in zip(wanted, keys, strict=True):
            source = sources.get(key)
            if source is not None and not verify and seen.get(key) == source[:2]:
                row = known.get(source[2])
                if row is not None and (not with_files or (row.names and present.issuperset(row.names.split(" ")))):
                    found[path] = (source[2], row)
                    continue
            todo.append(_Job(path, key))
        errors: list[PhotoError] = []
        if todo:
            run = _Run(self, tables, known, present, verify=verify, with_files=with_files)
            with quiet_pillow():
                run.do(todo, workers or processor_count(), found, errors, on_progress)
        return {path: found[path] for path in wanted if path in found}, errors

    def _opened(self) -> sqlite3.Connection:
        if self._tables is None:
            raise RuntimeError("the store is used outside its `with` block")
        return self._tables

    def _known(self, tables: sqlite3.Connection) -> dict[str, _Row]:
        rows = tables.execute(
            "SELECT facts.digest, facts.body, COALESCE(names, ''), COALESCE(pictures.body, '') FROM facts "
            "LEFT JOIN pictures ON pictures.digest = facts.digest AND pictures.recipe = ?",
            (self._recipe,),
        )
        return {digest: _Row(facts, names, picture) for digest, facts, names, picture in rows}

    def _present(self) -> set[str]:
        """Give the names of all made files that are there, by listing folders."""
        present: set[str] = set()
        with os.scandir(self.files) as folders:
            for folder in folders:
                if folder.is_dir(follow_symlinks=False):
                    start = folder.name + "/"
                    with os.scandir(folder) as entries:
                        present.update([start + entry.name for entry in entries])
        return present

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
        try:
            with self._alone():
                return self._remove_all_but(tables, names, digests)
        except (OSError, sqlite3.Error) as error:
            raise StoreError(self._explain(error)) from error

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

    def _remove_all_but(self, tables: sqlite3.Connection, names: set[str], digests: set[str]) -> Tidied:
        files = size = 0
        # The rows first: a row without its file would be believed until the next look, a file without its row
        # is only made again.
        tables.execute("BEGIN IMMEDIATE")
        gone = [(name,) for (name,) in tables.execute("SELECT name FROM files") if name not in names]
        tables.executemany("DELETE FROM files WHERE name = ?", gone)
        known = tables.execute("SELECT digest FROM facts UNION SELECT digest FROM sources").fetchall()
        old = [(digest,) for (digest,) in known if digest not in digests]
        tables.executemany("DELETE FROM sources WHERE digest = ?", old)
        tables.executemany("DELETE FROM facts WHERE digest = ?", old)
        tables.executemany("DELETE FROM pictures WHERE digest = ?", old)
        tables.execute("DELETE FROM pictures WHERE recipe <> ?", (self._recipe,))
        tables.execute("COMMIT")
        for folder in (*self.files.iterdir(), self._aside):
            start = f"{folder.name}/"
            for entry in sorted(folder.iterdir()) if folder.is_dir() else [folder]:
                if folder == self._aside or start + entry.name not in names:
                    size += entry.stat().st_size
                    files += 1
                    entry.unlink()
            if folder != self._aside and folder.is_dir() and not any(folder.iterdir()):
                folder.rmdir()
        return Tidied(files, size)


class _Run:
    """One pass over photos that have to be looked at."""

    def __init__(
        self,
        store: PictureStore,
        tables: sqlite3.Connection,
        known: dict[str, _Row],
        present: set[str],
        *,
        verify: bool,
        with_files: bool,
    ) -> None:
        self._store = store
        self._tables = tables
        self._known = known
        self._verify = verify
        self._with_files = with_files
        entered = tables.execute("SELECT name, bytes, digest FROM files").fetchall() if with_files else []
        self._files = {file[0]: _File(*file) for file in entered if file[0] in present}
        self._lock = threading.Lock()
        self._large = threading.Semaphore(1)
        self._busy: dict[str, threading.Semaphore] = {}

    def do(
        self,
        jobs: list[_Job],
        workers: int,
        found: dict[Path, tuple[str, _Row]],
        errors: list[PhotoError],
        on_progress: Callable[[Progress], None] | None,
    ) -> None:
        begun = time.monotonic()
        done = 0

        def take(outcome: _Outcome | PhotoError) -> None:
            nonlocal done
            done += 1
            if isinstance(outcome, PhotoError):
                errors.append(outcome)
            else:
                self._enter(outcome)
                found[outcome.job.path] = (outcome.source[2], outcome.row)
            if on_progress is not None:
                on_progress(Progress(done, len(jobs), time.monotonic() - begun))

        self._workers = Workers(self._work, workers)
        try:
            self._workers.run(jobs, take)
        except sqlite3.Error as error:
            raise StoreError(self._store._explain(error)) from error
        order = {job.path: place for place, job in enumerate(jobs)}
        errors.sort(key=lambda error: order[error.path])

    def _enter(self, outcome: _Outcome) -> None:
        """Write down what is finished. From here on a killed run has lost nothing of it."""
        tables = self._tables
        job, source, row, made = outcome
        tables.execute("BEGIN IMMEDIATE")
        try:
            tables.executemany("INSERT OR REPLACE INTO files VALUES (?, ?, ?)", made)
            tables.execute("INSERT OR REPLACE INTO facts VALUES (?, ?)", (source[2], row.facts))
            if row.names:
                picture = (source[2], self._store._recipe, row.names, row.picture)
                tables.execute("INSERT OR REPLACE INTO pictures VALUES (?, ?, ?, ?)", picture)
            tables.execute("INSERT OR REPLACE INTO sources VALUES (?, ?, ?, ?)", (job.key, *source))
            tables.execute("COMMIT")
        except BaseException:
            if tables.in_transaction:
                tables.execute("ROLLBACK")
            raise

    # What follows runs in the workers.

    def _work(self, job: _Job) -> _Outcome | PhotoError:
        try:
            with open_source(job.path) as source:
                row, made = self._row(source)
            return _Outcome(job, (source.bytes, source.modified, source.digest), row, made)
        except PhotoError as error:
            return error

    def _row(self, source: Source) -> tuple[_Row, tuple[_File, ...]]:
        with self._lock:
            busy = self._busy.setdefault(source.digest, threading.Semaphore(1))
        # Two names for one photo: the second waits, and finds everything made.
        self._workers.wait_for(busy)
        try:
            row, made = self._complete(source, self._known.get(source.digest))
            with self._lock:
                self._known[source.digest] = row
                self._files.update((file.name, file) for file in made)
            return row, made
        finally:
            busy.release()

    def _complete(self, source: Source, row: _Row | None) -> tuple[_Row, tuple[_File, ...]]:
        """Make what is missing of one photo, which is often nothing."""
        settings = self._store.settings
        missing: tuple[PlannedFile, ...] = ()
        if row is not None:
            planned = self._planned(source, _read_size(row.facts))
            missing = tuple(file for file in planned if not self._is_there(file.name))
            if not missing:
                return self._with_names(row, planned), ()
        self._workers.check_stopped()
        image = open_image(source, settings.most_pixels)
        large = memory_needed(image, settings) > _LARGE
        if large:
            self._workers.wait_for(self._large)
        try:
            decoded = decode(source, image, settings)
        finally:
            image.close()
            if large:
                self._large.release()
        if row is None:
            self._workers.check_stopped()
            facts = _write_facts(facts_of(source, decoded), make_placeholder(decoded.picture))
            row = _Row(facts, "", "")
            planned = self._planned(source, decoded.size)
            missing = tuple(file for file in planned if not self._is_there(file.name))
        made: list[_File] = []
        make_files(
            decoded.picture, missing, settings, lambda file, encode: made.append(self._save(source.path, file, encode))
        )
        with self._lock:
            self._files.update((file.name, file) for file in made)
        return self._with_names(row, planned), tuple(made)

    def _planned(self, source: Source, size: Size) -> tuple[PlannedFile, ...]:
        return plan_files(source.digest, size, self._store.settings) if self._with_files else ()

    def _is_there(self, name: str) -> bool:
        file = self._files.get(name)
        if file is None or not self._verify:
            return file is not None
        try:
            content = (self._store.files / name).read_bytes()
        except OSError:
            return False
        return hashlib.sha256(content).hexdigest() == file.digest

    def _with_names(self, row: _Row, planned: tuple[PlannedFile, ...]) -> _Row:
        if not planned:
            return row
        made = [(file.kind, MadeFile(file.name, *file.size, self._files[file.name].bytes)) for file in planned]
        return _Row(row.facts, " ".join(file.name for file in planned), _write_made(made))

    def _save(self, photo: Path, file: PlannedFile, encode: Callable[[Path], None]) -> _File:
        """Write a file aside, then rename it into place: under its name there is never a part of it."""
        self._workers.check_stopped()
        aside = self._store._aside / f"{os.getpid()}-{secrets.token_hex(8)}"
        place = self._store.files / file.name
        try:
            try:
                encode(aside)
                content = aside.read_bytes()
                place.parent.mkdir(exist_ok=True)
                aside.replace(place)
            except BaseException:
                aside.unlink(missing_ok=True)
                raise
        except MemoryError as error:
            raise PhotoError(photo, "needs more memory than there is") from error
        except OSError as error:
            # The pixels were decoded in full, so this is the disk's fault and not the photo's.
            raise StoreError(self._store._explain(error)) from error
        return _File(file.name, len(content), hashlib.sha256(content).hexdigest())


def _scan(paths: list[Path]) -> tuple[list[str], dict[str, tuple[int, int]]]:
    """
    Find sizes and times of photos by listing their folders, each once.

    Returns:
        The full path of each photo, in order; and by full path the bytes and nanoseconds of every file that lies
        in one of the folders.
    """
    keys: list[str] = []
    full: dict[str, str] = {}
    seen: dict[str, tuple[int, int]] = {}
    for path in paths:
        folder, name = os.path.split(path)
        start = full.get(folder)
        if start is None:
            start = full[folder] = f"{Path(folder).absolute()}{os.sep}"
            with contextlib.suppress(OSError), os.scandir(start) as entries:
                for entry in entries:
                    with contextlib.suppress(OSError):
                        state = entry.stat()
                        seen[entry.path] = (state.st_size, state.st_mtime_ns)
        keys.append(start + name)
    return keys, seen


# The bodies of the tables


def _write_facts(facts: PhotoFacts, placeholder: str) -> str:
    return json.dumps(
        {
            "size": facts.size,
            "taken": facts.taken.isoformat() if facts.taken else None,
            "sharpness": facts.sharpness,
            "perceptual_hash": facts.perceptual_hash,
            "outline": facts.outline.hex(),
            "camera": asdict(facts.camera),
            "carries": sorted(facts.carries),
            "frames": facts.frames,
            "placeholder": placeholder,
        },
        separators=(",", ":"),
    )


def _read_size(body: str) -> Size:
    return Size(*json.loads(body)["size"])


def _read_facts(body: str, path: Path, digest: str) -> PhotoFacts:
    values = json.loads(body)
    return PhotoFacts(
        path=path,
        digest=digest,
        size=Size(*values["size"]),
        taken=datetime.fromisoformat(values["taken"]) if values["taken"] else None,
        sharpness=values["sharpness"],
        perceptual_hash=values["perceptual_hash"],
        outline=bytes.fromhex(values["outline"]),
        camera=CameraSettings(**values["camera"]),
        carries=frozenset(values["carries"]),
        frames=values["frames"],
    )


def _write_made(files: list[tuple[str, MadeFile]]) -> str:
    return json.dumps([(kind, file.name, file.width, file.height, file.bytes) for kind, file in files])


def _read_picture(row: _Row, path: Path, digest: str) -> Picture:
    made: dict[str, list[MadeFile]] = {"webp": [], "avif": [], "jpeg": []}
    for kind, *values in json.loads(row.picture):
        made[kind].append(MadeFile(*values))
    for files in made.values():
        files.reverse()
    largest = made["webp"][-1]
    return Picture(
        facts=_read_facts(row.facts, path, digest),
        size=Size(largest.width, largest.height),
        webp=tuple(made["webp"]),
        avif=tuple(made["avif"]),
        jpeg=made["jpeg"][0],
        placeholder=json.loads(row.facts)["placeholder"],
    )
