"""The whole way from the content folder to everything a public site holds; the site generator begins after this."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath

from buildlog.pages.addresses import PICTURES, build_address, update_address
from buildlog.pages.audience import Audience, SeenWorkshop, see
from buildlog.pages.gallery import photos_shown
from buildlog.pages.making import MadePage, frame, make_pages
from buildlog.pages.views import Frame
from buildlog.photos.opening import PhotoError
from buildlog.photos.pictures import Picture
from buildlog.photos.settings import PictureSettings
from buildlog.photos.store import PictureStore, Progress
from buildlog.publish.checking import check_photos
from buildlog.records.loading import Loaded, read_workshop
from buildlog.records.models import AudienceWord, WorkshopRecord
from buildlog.records.problems import Problem, RecordError, Severity
from buildlog.records.telling import record_audience
from buildlog.records.workshop import Build, Update

__all__ = ["MadePage", "MadeSite", "make_site", "picture_settings"]


@dataclass(frozen=True)
class MadeSite:
    """Everything that the public site holds."""

    pages: tuple[MadePage, ...]
    files: Mapping[str, Path]
    """Address in the site, such as `pictures/….960w.webp`, to the file on this machine."""
    redirects: Mapping[str, str]
    """Address that a page had before, to the one it has now."""
    warnings: tuple[Problem, ...]
    """Doubts that need not stop a run."""
    frame: Frame
    """What every page shares."""
    sources: tuple[Path, ...]
    """Folders and files to watch: all that the site was made from."""


def make_site(
    content: Path,
    store: Path,
    *,
    site_url: str = "",
    for_preview: bool = False,
    verify: bool = False,
    on_progress: Callable[[Progress], None] | None = None,
) -> MadeSite:
    """
    Read the records, make the pictures and the pages.

    Args:
        content: The folder with `workshop.yml`.
        store: The folder of made pictures.
        site_url: Where the site will stand, ending in `/`; empty where it is not known.
        for_preview: For the builder's eyes before publishing: with drafts and the client's records, marked as such.
        verify: Read every photo whole, to find one that changed behind the same size and time.
        on_progress: Told as pictures are made.

    Raises:
        RecordError: Records or photos cannot be used; carries every problem.
    """
    loaded = read_workshop(content)
    errors = [problem for problem in loaded.problems if problem.is_error]
    if loaded.workshop is None or errors:
        raise RecordError([*loaded.problems, *_photos_unusable(loaded, content, store, for_preview, on_progress)])
    workshop = loaded.workshop
    seen = see(workshop, Audience.PREVIEW if for_preview else Audience.VISITOR)
    photos = photos_shown(seen)
    settings = picture_settings(workshop.record)
    with PictureStore(store, settings) as pictures_store:
        pictures, failures = pictures_store.make(photos, on_progress=on_progress, verify=verify)
        files = pictures_store.files
    if failures:
        raise RecordError([*loaded.problems, *(_photo_problem(content, failure) for failure in failures)])
    return MadeSite(
        pages=tuple(make_pages(seen, pictures, site_url, loaded.documents if for_preview else None)),
        files={PICTURES + name: files / name for picture in pictures.values() for name in _names(picture)},
        redirects=dict(_redirects(seen)),
        warnings=loaded.problems,
        frame=frame(workshop.record),
        sources=(content,),
    )


def _photos_unusable(
    loaded: Loaded,
    content: Path,
    store: Path,
    for_preview: bool,
    on_progress: Callable[[Progress], None] | None,
) -> Iterator[Problem]:
    """Where records have to be mended, tell in the same run which photos have to be as well."""
    builds = [
        replace(build, updates=tuple(shown))
        for build in loaded.builds
        if (shown := [one for one in build.updates if for_preview or _is_public(build, one)])
    ]
    if builds:
        with PictureStore(store) as pictures_store:
            found = check_photos(content, builds, pictures_store, on_progress)
        yield from (problem for problem in found.problems if problem.is_error)


def _is_public(build: Build, update: Update) -> bool:
    return record_audience(build.record, update.record) is AudienceWord.PUBLIC


def picture_settings(record: WorkshopRecord) -> PictureSettings:
    """How the web pictures are made, as the workshop chose."""
    choices = record.pictures
    return PictureSettings(avif=choices.avif, copyright=choices.copyright or "", creator=choices.creator or "")


def _names(picture: Picture) -> Iterable[str]:
    return (file.name for file in (*picture.webp, *picture.avif, picture.jpeg))


def _photo_problem(content: Path, failure: PhotoError) -> Problem:
    path = failure.path
    place = (
        PurePosixPath(path.relative_to(content).as_posix())
        if path.is_relative_to(content)
        else PurePosixPath(path.name)
    )
    return Problem(place, 0, 0, "", failure.message, severity=Severity.ERROR)


def _redirects(seen: SeenWorkshop) -> Iterator[tuple[str, str]]:
    """Addresses that builds and records had before, each to where it is now; pages that exist are never hidden."""
    for one in seen.builds:
        build = one.build
        slugs = (build.slug, *build.record.formerly)
        for slug in slugs[1:]:
            yield build_address(slug), build_address(build.slug)
        for update in build.updates:
            now = update_address(build.slug, update.name)
            for slug in slugs:
                for name in (update.name, *update.record.formerly):
                    if (slug, name) != (build.slug, update.name):
                        yield update_address(slug, name), now
