"""One pass over the photos that have to be looked at, several at once."""

from __future__ import annotations

import hashlib
import os
import secrets
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from buildlog.photos.decoding import decode, memory_needed
from buildlog.photos.facts import facts_of
from buildlog.photos.likeness import small_sample
from buildlog.photos.opening import PhotoError, Size, Source, open_image, open_source
from buildlog.photos.pictures import MadeFile, PlannedFile, make_files, make_placeholder, plan_files
from buildlog.photos.running import Workers
from buildlog.photos.settings import PictureSettings
from buildlog.photos.tables import FileRow, PictureRow, SourceRow, Tables, read_size, write_facts, write_picture

# A photo that needs more than this to be decoded is decoded while no other such photo is.
_LARGE = 150 * 1024 * 1024


@dataclass(frozen=True)
class Progress:
    """How far the making of pictures has come."""

    done: int
    total: int
    """Photos that have to be looked at, not those that are unchanged."""
    seconds: float
    """Since the first was begun."""

    @property
    def pictures_per_second(self) -> float:
        """Give the mean so far; 0 before the first is done."""
        return self.done / self.seconds if self.seconds > 0 else 0.0

    @property
    def seconds_left(self) -> float | None:
        """Give the time that the rest will take at the mean so far; None before the first is done."""
        return (self.total - self.done) * self.seconds / self.done if self.done else None


class Job(NamedTuple):
    """A photo that has to be looked at."""

    path: Path
    key: str
    """The path as the tables have it."""


class _Outcome(NamedTuple):
    """What a worker has found and made for one photo, to be entered by the calling thread."""

    job: Job
    source: SourceRow
    row: PictureRow
    made: tuple[FileRow, ...]


class Making:
    """One pass. Made anew for each."""

    def __init__(
        self,
        tables: Tables,
        files: Path,
        aside: Path,
        settings: PictureSettings,
        recipe: str,
        *,
        verify: bool,
        with_files: bool,
        workers: int,
    ) -> None:
        self._tables = tables
        self._files = files
        self._aside = aside
        self._settings = settings
        self._recipe = recipe if with_files else ""
        self._verify = verify
        self._with_files = with_files
        self._workers = Workers(self._work, workers)
        self._lock = threading.Lock()
        self._large = threading.Semaphore(1)
        self._busy: dict[str, threading.Semaphore] = {}
        self._rows: dict[str, PictureRow] = {}
        self._made: dict[str, FileRow] = {}

    def run(
        self, jobs: Sequence[Job], on_progress: Callable[[Progress], None] | None
    ) -> tuple[dict[str, tuple[str, PictureRow]], list[PhotoError]]:
        """
        Look at photos and make what is missing of them.

        Returns:
            By key, the digest and the row of each photo that can be used; and the errors, in the order of the jobs.

        Raises:
            OSError: A made file cannot be written.
            sqlite3.Error: The tables cannot be.
            KeyboardInterrupt: After what was finished has been entered.
        """
        begun = time.monotonic()
        found: dict[str, tuple[str, PictureRow]] = {}
        errors: dict[str, PhotoError] = {}

        def take(outcome: _Outcome | tuple[Job, PhotoError]) -> None:
            if isinstance(outcome, _Outcome):
                self._tables.enter(outcome.job.key, outcome.source, outcome.row, outcome.made)
                found[outcome.job.key] = (outcome.source.digest, outcome.row)
            else:
                errors[outcome[0].key] = outcome[1]
            if on_progress is not None:
                on_progress(Progress(len(found) + len(errors), len(jobs), time.monotonic() - begun))

        self._workers.run(jobs, take)
        return found, [errors[job.key] for job in jobs if job.key in errors]

    # What follows runs in the workers.

    def _work(self, job: Job) -> _Outcome | tuple[Job, PhotoError]:
        try:
            with open_source(job.path) as source:
                row, made = self._row(source)
            return _Outcome(job, SourceRow(source.bytes, source.modified, source.digest, self._recipe), row, made)
        except PhotoError as error:
            return job, error

    def _row(self, source: Source) -> tuple[PictureRow, tuple[FileRow, ...]]:
        with self._lock:
            busy = self._busy.setdefault(source.digest, threading.Semaphore(1))
        # Two names for one photo: the second waits, and finds everything made.
        self._workers.wait_for(busy)
        try:
            row = self._rows.get(source.digest)
            if row is not None:
                return row, ()
            facts, planned, made = self._complete(source)
            files = [(file.kind, MadeFile(file.name, *file.size, self._made[file.name].bytes)) for file in planned]
            row = self._rows[source.digest] = PictureRow(facts, write_picture(files) if files else "")
            return row, made
        finally:
            busy.release()

    def _complete(self, source: Source) -> tuple[str, tuple[PlannedFile, ...], tuple[FileRow, ...]]:
        """Make what is missing of one photo, which is often nothing. Give its facts, all its files, the new ones."""
        facts = self._tables.facts(source.digest)
        planned, missing = self._plan(source, read_size(facts)) if facts is not None else ((), ())
        if facts is not None and not missing:
            return facts, planned, ()
        self._workers.check_stopped()
        image = open_image(source, self._settings.most_pixels)
        large = memory_needed(image, self._settings) > _LARGE
        if large:
            self._workers.wait_for(self._large)
        try:
            decoded = decode(source, image, self._settings)
        finally:
            image.close()
            if large:
                self._large.release()
        if facts is None:
            self._workers.check_stopped()
            sample = small_sample(decoded.picture)
            facts = write_facts(facts_of(source, decoded, sample), make_placeholder(sample))
            planned, missing = self._plan(source, decoded.size)
        made: list[FileRow] = []

        def save(file: PlannedFile, encode: Callable[[Path], None]) -> None:
            made.append(self._save(source.path, file, encode))

        make_files(decoded.picture, missing, self._settings, save)
        return facts, planned, tuple(made)

    def _plan(self, source: Source, size: Size) -> tuple[tuple[PlannedFile, ...], tuple[PlannedFile, ...]]:
        """Give all files of a photo, and those that are missing."""
        planned = plan_files(source.digest, size, self._settings) if self._with_files else ()
        return planned, tuple(file for file in planned if not self._is_there(file.name))

    def _is_there(self, name: str) -> bool:
        file = self._tables.file(name)
        if file is None:
            return False
        if self._verify:
            try:
                content = (self._files / name).read_bytes()
            except OSError:
                return False
            if hashlib.sha256(content).hexdigest() != file.digest:
                return False
        self._made[name] = file
        return True

    def _save(self, photo: Path, file: PlannedFile, encode: Callable[[Path], None]) -> FileRow:
        """Write a file aside, then rename it into place: under its name there is never a part of it."""
        self._workers.check_stopped()
        aside = self._aside / f"{os.getpid()}-{secrets.token_hex(8)}"
        place = self._files / file.name
        try:
            encode(aside)
            content = aside.read_bytes()
            place.parent.mkdir(exist_ok=True)
            aside.replace(place)
        except MemoryError as error:
            raise PhotoError(photo, "needs more memory than there is") from error
        finally:
            aside.unlink(missing_ok=True)
        row = self._made[file.name] = FileRow(file.name, len(content), hashlib.sha256(content).hexdigest())
        return row
