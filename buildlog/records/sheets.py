"""
What was read of a workshop's files, as far as it could be understood, and where each thing stands.

The checks work on these sheets, so that one broken file hides nothing of the others.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path, PurePosixPath
from typing import Any, Generic, TypeVar

from buildlog.records.models import (
    BuildRecord,
    LibraryNote,
    Paint,
    Part,
    Source,
    StageRecord,
    WorkshopRecord,
)
from buildlog.records.problems import Problem, Severity, shown
from buildlog.records.reading import Document, KeyPath, key_path
from buildlog.records.workshop import HoursRow

T = TypeVar("T")


@dataclass(frozen=True)
class Sheet(Generic[T]):
    """One file, as read and as understood."""

    document: Document
    record: T | None = None
    """What could be understood; `None` where the file could not be read. What a record must have, but this one does
    not, is filled in with an example and counts as left out."""
    problems: tuple[Problem, ...] = ()
    """What is wrong with the file by itself."""
    left_out: tuple[KeyPath, ...] = ()
    """Where the file says something that could not be understood and is not in `record`."""
    words_left_out: frozenset[str] = frozenset()
    """Every word that stands there, and the id of what it belongs to: an id among them is not unknown."""
    places: Mapping[KeyPath, tuple[int, ...]] = field(default_factory=dict)
    """For lists out of which items were left: where each item that was kept stands in the file."""

    @property
    def path(self) -> PurePosixPath:
        """The file, relative to the content folder."""
        return self.document.path

    def lost(self, *path: str | int) -> bool:
        """Whether what stands there could not be understood as a whole, so that the record shows nothing of it."""
        return self.record is None or any(path[: len(left)] == left for left in self.left_out)

    def lacks(self, *path: str | int) -> bool:
        """Whether anything of what stands there could not be understood, so that the record does not show all of it."""
        return self.lost(*path) or any(left[: len(path)] == path for left in self.left_out)

    def in_file(self, path: KeyPath) -> KeyPath:
        """Find where in the file something of the record stands."""
        found: KeyPath = ()
        for step in path:
            if isinstance(step, int) and found in self.places:
                kept = self.places[found]
                step = kept[step] if step < len(kept) else step
            found = (*found, step)
        return found

    def problem(
        self,
        path: KeyPath,
        message: str,
        *,
        found: str = "",
        accepted: str = "",
        warning: bool = False,
        key: bool = False,
    ) -> Problem:
        """
        Report something of the record.

        Args:
            path: From the record's top, such as `("photos", 2, "file")`.
            message: What is wrong, then what would be right.
            found: As written.
            accepted: In words.
            warning: Whether the site can be made all the same.
            key: Whether the key is at fault rather than its value.
        """
        there = self.in_file(path)
        place = self.document.place(there, key=key)
        severity = Severity.WARNING if warning else Severity.ERROR
        return Problem(self.path, *place, key_path(there), clean(message), shown(found), shown(accepted, 300), severity)


def clean(message: str) -> str:
    """Make a message fit to show, also where it quotes what somebody wrote at length or with invisible letters."""
    if len(message) > 600:
        message = f"{message[:400]} … {message[-180:]}"
    return shown(message, 1000)


@dataclass(frozen=True)
class StageSheet:
    """One stage record, as read and as understood."""

    name: str
    """Its address: the file's name without `.yml`."""
    sheet: Sheet[StageRecord]


@dataclass(frozen=True)
class BuildSheets:
    """All that was read of one build."""

    slug: str
    folder: Path
    """On this machine."""
    build: Sheet[BuildRecord]
    stages: tuple[StageSheet, ...]
    """Those that could be understood by date, then those that could not."""
    photos: tuple[PurePosixPath, ...]
    """Every original, relative to the photos folder, sorted."""
    photo_folders: frozenset[PurePosixPath]
    """Every folder in the photos folder."""
    hours: tuple[HoursRow, ...]

    @cached_property
    def understood(self) -> tuple[tuple[StageSheet, StageRecord], ...]:
        """The stage records that could be understood, by date."""
        return tuple((stage, stage.sheet.record) for stage in self.stages if stage.sheet.record is not None)

    @cached_property
    def words_left_out(self) -> frozenset[str]:
        """Every word in the parts that could not be understood."""
        return frozenset().union(*(sheet.words_left_out for sheet in self._sheets))

    @cached_property
    def in_time(self) -> tuple[tuple[StageSheet, StageRecord], ...]:
        """The stage records whose date can be relied on, by date."""
        ordered = self.build.record.ordered if self.build.record else None
        return tuple(
            (stage, record)
            for stage, record in self.understood
            if not stage.sheet.lacks("date") and not (ordered and record.date.day < ordered)
        )

    @cached_property
    def in_doubt(self) -> frozenset[str]:
        """Ids of which something could not be understood, or stands in a record whose date is wrong."""
        ids = set(self.words_left_out)
        for entry in self.understood:
            if entry not in self.in_time:
                record = entry[1]
                ids.update(feature.id for feature in record.features)
                ids.update(done.id for done in record.done)
                ids.update(decision.id for decision in record.decisions)
                ids.update(note.key for note in record.accuracy)
        return frozenset(ids)

    @property
    def stages_known(self) -> bool:
        """Whether every stage record could at least be read, so that what none of them says is not there."""
        return all(stage.sheet.record is not None for stage in self.stages)

    @property
    def _sheets(self) -> tuple[Sheet[Any], ...]:
        return (self.build, *(stage.sheet for stage in self.stages))


@dataclass(frozen=True)
class WorkshopSheets:
    """All that was read of a workshop."""

    folder: Path
    workshop: Sheet[WorkshopRecord]
    parts: Sheet[tuple[Part, ...]]
    paints: Sheet[tuple[Paint, ...]]
    sources: Sheet[tuple[Source, ...]]
    notes: Sheet[tuple[LibraryNote, ...]]
    builds: tuple[BuildSheets, ...]
