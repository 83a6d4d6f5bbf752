"""Small workshops for tests: records as they would be read, and pictures as they would be made, without a disk."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import Any

from buildlog.pages.audience import Audience, SeenBuild, see
from buildlog.pages.desk import Desk
from buildlog.pages.gallery import Gallery
from buildlog.photos.camera import CameraSettings
from buildlog.photos.facts import PhotoFacts
from buildlog.photos.opening import Size
from buildlog.photos.pictures import MadeFile, Picture
from buildlog.records.models import (
    BuildRecord,
    LibraryNote,
    Paint,
    Part,
    Source,
    StageRecord,
    WorkshopRecord,
)
from buildlog.records.workshop import Build, Update, Workshop

CONTENT = Path("/content")
STAGES = [
    {"id": "assembly", "name": "Assembly", "weight": "40"},
    {"id": "primer", "name": "Primer", "weight": "10"},
    {"id": "markings", "name": "Markings", "weight": "50"},
]


def a_build(
    *updates: Mapping[str, Any],
    slug: str = "heron",
    photos: Iterable[str] = (),
    stages: Iterable[Mapping[str, str]] = STAGES,
    **record: Any,
) -> Build:
    """A build with one record for each mapping, which gives what differs from a plain one; `name` is its file's."""
    full = {
        "name": "Heron",
        "subject": {"name": "Harbour tug", "kind": "vessel"},
        "scale": "1:24",
        "status": "in progress",
        "audience": "public",
        **record,
    }
    made = []
    for number, update in enumerate(updates, start=1):
        given = {"date": f"2026-0{number}-10", "stage": "assembly", "title": f"Update {number}", **update}
        name = given.pop("name", f"{number:02}")
        path = PurePosixPath(f"builds/{slug}/stages/{name}.yml")
        made.append(Update(name, path, StageRecord.model_validate(given)))
    return Build(
        slug=slug,
        folder=CONTENT / "builds" / slug,
        path=PurePosixPath(f"builds/{slug}/build.yml"),
        record=BuildRecord.model_validate(full),
        updates=tuple(made),
        stages=WorkshopRecord.model_validate({"format": "1", "name": "x", "stages": list(stages)}).stages,
        photos=tuple(map(PurePosixPath, photos)),
    )


def a_workshop(
    *builds: Build,
    parts: Iterable[Mapping[str, str]] = (),
    paints: Iterable[Mapping[str, Any]] = (),
    sources: Iterable[Mapping[str, str]] = (),
    notes: Iterable[Mapping[str, Any]] = (),
    **record: Any,
) -> Workshop:
    """A workshop with these builds and this library."""
    full = {"format": "1", "name": "Tern Quay Models", "stages": STAGES, "contact": "workshop@example.org", **record}
    return Workshop(
        folder=CONTENT,
        record=WorkshopRecord.model_validate(full),
        parts={one["id"]: Part.model_validate(one) for one in parts},
        paints={one["id"]: Paint.model_validate(one) for one in paints},
        sources={one["id"]: Source.model_validate(one) for one in sources},
        notes={one["id"]: LibraryNote.model_validate(one) for one in notes},
        builds=builds,
    )


def a_picture(path: Path, taken: datetime | None = None) -> Picture:
    """A picture as made from a photo of 2400 by 1600 pixels."""
    facts = PhotoFacts(
        path=path,
        digest=path.stem,
        size=Size(2400, 1600),
        taken=taken,
        sharpness=100.0,
        perceptual_hash=0,
        outline=b"",
        camera=CameraSettings(),
        carries=frozenset(),
        frames=1,
    )
    webp = tuple(MadeFile(f"{path.stem}.{width}w.webp", width, width * 2 // 3, 1000) for width in (320, 1600))
    return Picture(facts, Size(2400, 1600), webp, (), MadeFile(f"{path.stem}.jpg", 1600, 1067, 1000), "")


class AnyPictures(dict[Path, Picture]):
    """Pictures of every photo that is asked for, with the times given for some."""

    def __init__(self, taken: Mapping[str, datetime] | None = None) -> None:
        super().__init__()
        self._taken = taken or {}

    def __missing__(self, path: Path) -> Picture:
        return a_picture(path, self._taken.get(path.name))


def a_desk(
    workshop: Workshop,
    audience: Audience = Audience.VISITOR,
    *,
    slug: str | None = None,
    taken: Mapping[str, datetime] | None = None,
    site: str = "",
) -> Desk:
    """The desk of one build, by default the first that the audience sees."""
    seen = see(workshop, audience)
    build = next(one for one in seen.builds if slug in (None, one.build.slug))
    return Desk(seen, build, Gallery(AnyPictures(taken), workshop.record.time_zone), site)


def seen_by(audience: Audience, workshop: Workshop) -> SeenBuild:
    """The first build as an audience sees it."""
    return see(workshop, audience).builds[0]
