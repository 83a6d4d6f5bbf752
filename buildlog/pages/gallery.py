"""Pictures for pages: which photos a record shows, in which order, and what was made of each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath
from zoneinfo import ZoneInfo

from buildlog.pages.addresses import PICTURES
from buildlog.pages.audience import SeenBuild, SeenWorkshop
from buildlog.pages.text import plain, sentence
from buildlog.pages.views import Made, PictureView
from buildlog.photos.pictures import MadeFile, Picture
from buildlog.records.models import Callout, FolderEntry, PhotoEntry, StageRecord
from buildlog.records.workshop import Build, folder_rest, turntable_frames

_LATEST = datetime.max.replace(tzinfo=UTC)


@dataclass(frozen=True)
class Shot:
    """One picture of a walkaround, whether a record named it or its folder."""

    path: PurePosixPath
    """In the build's `photos` folder."""
    view: str = ""
    caption: str = ""
    alt: str = ""
    callouts: tuple[Callout, ...] = ()
    entry: int = 0
    """Its place in the record's `photos`, from 0."""
    is_named: bool = True
    """Whether the entry names it, and not only its folder."""


class Gallery:
    """Made pictures by the photo they were made from."""

    def __init__(self, pictures: Mapping[Path, Picture], time_zone: str) -> None:
        self._pictures = pictures
        self._zone = ZoneInfo(time_zone)

    def picture(self, build: Build, path: PurePosixPath, alt: str) -> PictureView:
        """
        The picture made from a photo of a build.

        Raises:
            KeyError: Nothing was made of it.
        """
        made = self._pictures[build.photo_folder / path]
        return PictureView(
            width=made.size.width,
            height=made.size.height,
            webp=tuple(map(_made, made.webp)),
            avif=tuple(map(_made, made.avif)),
            jpeg=PICTURES + made.jpeg.name,
            placeholder=made.placeholder,
            alt=alt,
        )

    def shots(self, build: Build, record: StageRecord) -> tuple[Shot, ...]:
        """The pictures of a record's walkaround, in its order; a folder's by the time they were taken."""
        found: list[Shot] = []
        for index, entry in enumerate(record.photos):
            if isinstance(entry, PhotoEntry):
                words = (entry.view or "", entry.caption or "", entry.alt or "")
                found.append(Shot(entry.file, *words, entry.callouts, entry=index))
            elif isinstance(entry, FolderEntry):
                rest = sorted(folder_rest(build, record, entry), key=lambda path: self._order(build, path))
                found += [Shot(path, entry=index, is_named=False) for path in rest]
        return tuple(found)

    def _order(self, build: Build, path: PurePosixPath) -> tuple[datetime, str]:
        """By the time taken, then by name; a time without an offset is the workshop's, no time at all comes last."""
        taken = self._pictures[build.photo_folder / path].facts.taken
        if taken is None:
            return _LATEST, path.name
        return (taken if taken.tzinfo else taken.replace(tzinfo=self._zone)).astimezone(UTC), path.name


def _made(file: MadeFile) -> Made:
    return Made(PICTURES + file.name, file.width)


def shot_alt(build: Build, shot: Shot) -> str:
    """The words for somebody who cannot see a picture: as written, else the caption, else what and from where."""
    return shot.alt or plain(shot.caption) or (f"{build.record.name}, {shot.view}" if shot.view else build.record.name)


def photos_shown(seen: SeenWorkshop) -> tuple[Path, ...]:
    """Every original that some page of this workshop shows, each once."""
    found: dict[Path, None] = {}
    for build in seen.builds:
        for path in _photos_of(build):
            found[build.build.photo_folder / path] = None
    return tuple(found)


def _photos_of(seen: SeenBuild) -> Iterable[PurePosixPath]:
    if seen.record.cover:
        yield seen.record.cover
    for update in seen.updates:
        for entry in update.record.photos:
            if isinstance(entry, PhotoEntry):
                yield entry.file
            elif isinstance(entry, FolderEntry):
                yield from folder_rest(seen.build, update.record, entry)
            else:
                yield from turntable_frames(seen.build, entry)
        for decision in update.record.decisions:
            yield from decision.pictures


def cover_shot(seen: SeenBuild, gallery: Gallery) -> Shot | None:
    """The picture that stands for a build: the one named, else the newest record's first."""
    shots = [shot for update in reversed(seen.updates) for shot in gallery.shots(seen.build, update.record)]
    if seen.record.cover is None:
        return shots[0] if shots else None
    described = next((shot for shot in shots if shot.path == seen.record.cover), None)
    return described or Shot(seen.record.cover)


def cover(seen: SeenBuild, gallery: Gallery) -> PictureView | None:
    """The cover as a picture; `None` for a build without photos."""
    shot = cover_shot(seen, gallery)
    return gallery.picture(seen.build, shot.path, sentence(shot_alt(seen.build, shot))) if shot else None
