"""Checking the photos that the records show, without making anything of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path, PurePosixPath

from buildlog.photos.facts import PhotoError, PhotoFacts
from buildlog.photos.sessions import check_session
from buildlog.photos.store import PictureStore, Progress
from buildlog.records.models import FolderEntry, PhotoEntry
from buildlog.records.problems import Problem, Severity
from buildlog.records.workshop import Build, Update, Workshop

Session = tuple[Build, Update, Sequence[Path]]
"""A record of a build, and the photos it shows, in its order."""


def check_photos(
    workshop: Workshop, store: PictureStore, on_progress: Callable[[Progress], None] | None = None
) -> tuple[list[Problem], int]:
    """
    Read every photo that a record shows.

    Args:
        workshop: All the records.
        store: Remembers what is known of photos; open.
        on_progress: Told how many photos are read, of those that are not known yet.

    Returns:
        Photos that cannot be used, as errors, and what is worth a look, as warnings, by file; and the number of photos.
    """
    sessions = [
        (build, update, list(_photos_of(build, update))) for build in workshop.builds for update in build.updates
    ]
    others = [build.photo_folder / path for build in workshop.builds for path in _pictures_beside(build)]
    wanted = dict.fromkeys([*(path for _, _, paths in sessions for path in paths), *others])
    facts, errors = store.read_facts(wanted, on_progress=on_progress)
    problems = [*(_unusable(workshop.folder, error) for error in errors)]
    for session in sessions:
        problems += _worth_a_look(session, facts)
    return sorted(problems), len(wanted)


def _photos_of(build: Build, update: Update) -> Iterator[Path]:
    for entry in update.record.photos:
        if isinstance(entry, PhotoEntry):
            yield build.photo_folder / entry.file
        elif isinstance(entry, FolderEntry):
            for path in build.photos:
                if path.parent == entry.folder and PurePosixPath(path.name) not in entry.except_:
                    yield build.photo_folder / path


def _pictures_beside(build: Build) -> Iterator[PurePosixPath]:
    """Give the pictures that stand outside a walkaround: turntables, covers, what helps to decide."""
    if build.record.cover:
        yield build.record.cover
    for update in build.updates:
        for entry in update.record.photos:
            if not isinstance(entry, (PhotoEntry, FolderEntry)):
                yield from (path for path in build.photos if path.parent == entry.turntable)
        for decision in update.record.decisions:
            yield from decision.pictures


def _unusable(content: Path, error: PhotoError) -> Problem:
    return Problem(PurePosixPath(error.path.relative_to(content).as_posix()), 0, 0, "", error.message)


def _worth_a_look(session: Session, facts: dict[Path, PhotoFacts]) -> Iterable[Problem]:
    _, update, paths = session
    for finding in check_session([facts[path] for path in paths if path in facts]):
        yield Problem(update.path, 0, 0, "photos", finding.message, severity=Severity.WARNING)
