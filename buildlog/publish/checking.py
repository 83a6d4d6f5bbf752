"""Checking the photos that the records show, without making anything of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from buildlog.photos.camera import OWNER, POSITION
from buildlog.photos.facts import PhotoError, PhotoFacts
from buildlog.photos.sessions import check_session
from buildlog.photos.store import PictureStore, Progress
from buildlog.records.models import FolderEntry, PhotoEntry, TurntableEntry
from buildlog.records.problems import Problem, Severity
from buildlog.records.workshop import Build, Update, folder_rest, turntable_frames

Session = tuple[Build, Update, Sequence[Path]]
"""A record of a build, and the photos it shows, in its order."""


@dataclass(frozen=True)
class PhotoCheck:
    """What came of reading the photos."""

    problems: tuple[Problem, ...]
    """Photos that cannot be used, as errors, and what is worth a look, as warnings; by file."""
    notes: tuple[str, ...]
    """What needs no mending but should be known."""
    number: int
    """Of photos read."""


def check_photos(
    content: Path,
    builds: Sequence[Build],
    store: PictureStore,
    on_progress: Callable[[Progress], None] | None = None,
) -> PhotoCheck:
    """
    Read every photo that a record shows; those that are not there are left to the check of the records.

    Args:
        content: The folder with `workshop.yml`.
        builds: With all their records, as far as they could be understood.
        store: Remembers what is known of photos; open.
        on_progress: Told how many photos are read, of those that are not known yet.
    """
    there = {build.photo_folder / path for build in builds for path in build.photos}
    sessions = [(build, update, list(_photos_of(build, update))) for build in builds for update in build.updates]
    others = [build.photo_folder / path for build in builds for path in _pictures_beside(build)]
    named = dict.fromkeys([*(path for _, _, paths in sessions for path in paths), *others])
    wanted = [path for path in named if path in there]
    facts, errors = store.read_facts(wanted, on_progress=on_progress)
    problems = [*(_unusable(content, error) for error in errors)]
    for session in sessions:
        problems += _worth_a_look(session, facts)
    return PhotoCheck(tuple(sorted(problems)), _notes(facts.values()), len(wanted))


def _photos_of(build: Build, update: Update) -> Iterator[Path]:
    """Give the photos of a walkaround; the frames of a turntable are alike on purpose, so they are no part of it."""
    for entry in update.record.photos:
        if isinstance(entry, PhotoEntry):
            yield build.photo_folder / entry.file
        elif isinstance(entry, FolderEntry):
            for path in folder_rest(build, update.record, entry):
                yield build.photo_folder / path


def _pictures_beside(build: Build) -> Iterator[PurePosixPath]:
    """Give the pictures that stand outside a walkaround: turntables, covers, what helps to decide."""
    if build.record.cover:
        yield build.record.cover
    for update in build.updates:
        for entry in update.record.photos:
            if isinstance(entry, TurntableEntry):
                yield from turntable_frames(build, entry)
        for decision in update.record.decisions:
            yield from decision.pictures


def _unusable(content: Path, error: PhotoError) -> Problem:
    return Problem(PurePosixPath(error.path.relative_to(content).as_posix()), 0, 0, "", error.message)


def _worth_a_look(session: Session, facts: dict[Path, PhotoFacts]) -> Iterator[Problem]:
    _, update, paths = session
    for finding in check_session([facts[path] for path in paths if path in facts]):
        if finding.kind != "carries":  # said once, for all of them
            yield Problem(update.path, 0, 0, "photos", finding.message, severity=Severity.WARNING)


def _notes(facts: Iterable[PhotoFacts]) -> tuple[str, ...]:
    carrying = Counter(what for photo in facts for what in photo.carries)
    words = {POSITION: "where they were taken", OWNER: "an owner's name"}
    return tuple(
        f"Photos that carry {said}: {carrying[what]}. It is never published."
        for what, said in words.items()
        if carrying[what]
    )
