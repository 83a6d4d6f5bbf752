"""The loaded workshop: every record, checked, immutable, in one value."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cached_property
from pathlib import Path, PurePosixPath
from types import MappingProxyType

from buildlog.records.models import (
    BuildRecord,
    FolderEntry,
    LibraryNote,
    Paint,
    Part,
    PhotoEntry,
    Source,
    StageRecord,
    TurntableEntry,
    WorkshopRecord,
    WorkStage,
)


@dataclass(frozen=True)
class HoursRow:
    """One line of a build's `hours.csv`; private."""

    day: date
    work: str
    """A work item, or a stage where the build has no plan."""
    hours: Decimal
    note: str
    line: int
    """In the file, counting from 1."""


@dataclass(frozen=True)
class Update:
    """One stage record and where it stands: one progress page."""

    name: str
    """Its address: the file's name without `.yml`."""
    path: PurePosixPath
    """The file, relative to the content folder."""
    record: StageRecord

    @property
    def day(self) -> date:
        """The session's date."""
        return self.record.date.day


@dataclass(frozen=True)
class Build:
    """One commission with all its records, oldest first."""

    slug: str
    """Its address: the folder's name."""
    folder: Path
    """Its folder on this machine."""
    path: PurePosixPath
    """`build.yml`, relative to the content folder."""
    record: BuildRecord
    updates: tuple[Update, ...] = ()
    """Oldest first: by date, then time, then file name."""
    stages: tuple[WorkStage, ...] = ()
    """The order of work that holds for this build."""
    photos: tuple[PurePosixPath, ...] = ()
    """Every original, relative to the build's `photos` folder, sorted."""
    hours: tuple[HoursRow, ...] = ()
    """The time sheet; private."""

    @property
    def photo_folder(self) -> Path:
        """Where the originals lie."""
        return self.folder / "photos"

    @cached_property
    def stage_names(self) -> Mapping[str, str]:
        """What each stage of work is called."""
        return MappingProxyType({stage.id: stage.name for stage in self.stages})


@dataclass(frozen=True)
class Workshop:
    """Everything the workshop has written."""

    folder: Path
    """The content folder."""
    record: WorkshopRecord
    parts: Mapping[str, Part] = field(default_factory=lambda: MappingProxyType({}))
    paints: Mapping[str, Paint] = field(default_factory=lambda: MappingProxyType({}))
    sources: Mapping[str, Source] = field(default_factory=lambda: MappingProxyType({}))
    notes: Mapping[str, LibraryNote] = field(default_factory=lambda: MappingProxyType({}))
    builds: tuple[Build, ...] = ()
    """By folder name."""


def folder_rest(build: Build, record: StageRecord, entry: FolderEntry) -> Iterator[PurePosixPath]:
    """The photos of a folder that the record does not name one by one, nor leaves out."""
    named = {other.file for other in record.photos if isinstance(other, PhotoEntry)}
    left_out = {entry.folder / name for name in entry.except_}
    for path in build.photos:
        if path.parent == entry.folder and path not in named and path not in left_out:
            yield path


def turntable_frames(build: Build, entry: TurntableEntry) -> tuple[PurePosixPath, ...]:
    """A turntable's frames, in the order of their names."""
    return tuple(path for path in build.photos if path.parent == entry.turntable)
