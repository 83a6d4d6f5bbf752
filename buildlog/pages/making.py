"""From a workshop as one reader sees it to finished pages."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from buildlog.pages.audience import SeenWorkshop
from buildlog.pages.build_page import build_page
from buildlog.pages.desk import Desk, ask
from buildlog.pages.front_pages import catalogue_page, home_page
from buildlog.pages.gallery import Gallery
from buildlog.pages.progress_page import progress_page
from buildlog.pages.render import PREVIEW_SCRIPTS, SCRIPTS, STYLES, Heading, View, render_page
from buildlog.pages.text import plain
from buildlog.pages.views import Frame
from buildlog.photos.pictures import Picture
from buildlog.records.models import WorkshopRecord
from buildlog.records.reading import Document

_LONGEST_DESCRIPTION = 200


@dataclass(frozen=True)
class MadePage:
    """A finished page, for any site generator."""

    address: str
    """From the site's root; empty for home, else ending in `/`."""
    title: str
    html: str
    """What stands inside `<main>`."""
    outline: tuple[Heading, ...]
    """Headings for a table of contents."""
    description: str
    """One or two sentences in plain words; may be empty."""
    sources: tuple[PurePosixPath, ...]
    """Records it was made from, relative to the content folder."""
    meta: Mapping[str, str] = field(default_factory=dict)
    """Facts about the page, such as the `date` of an update."""
    scripts: tuple[str, ...] = ()
    """Modules among the core's assets that the page loads."""
    styles: tuple[str, ...] = ()
    """Style sheets among the core's assets that it needs beside the one that all pages share."""


def frame(workshop: WorkshopRecord) -> Frame:
    """What every page of the site shares."""
    return Frame(
        workshop=workshop.name,
        strapline=workshop.strapline or "",
        enquiries=workshop.enquiries or "",
        notice=workshop.notice or "",
        contact=ask(workshop, "A commission", label="Ask about a commission"),
        language=workshop.language,
    )


def make_pages(
    seen: SeenWorkshop,
    pictures: Mapping[Path, Picture],
    site: str = "",
    documents: Mapping[PurePosixPath, Document] | None = None,
) -> Iterator[MadePage]:
    """
    Make every page of the site.

    Args:
        pictures: Made pictures, by original; all of `photos_shown`.
        site: The published site's address, ending in `/`; empty where it is not known.
        documents: For a preview, the stage records as read: pages then say where callouts are written.
    """
    record = seen.workshop.record
    shared = frame(record)
    gallery = Gallery(pictures, record.time_zone)
    desks = [Desk(seen, build, gallery, site, documents or {}) for build in seen.builds]
    own = PurePosixPath("workshop.yml")
    home = home_page(desks)
    yield _made(home, shared, record.name, record.strapline or "", (own, *(desk.build.build.path for desk in desks)))
    catalogue = catalogue_page(desks, record)
    finished = tuple(desk.build.build.path for desk in desks if desk.is_finished)
    yield _made(catalogue, shared, "Catalogue", f"Finished commissions by {record.name}.", (own, *finished))
    for desk in desks:
        name = desk.build.record.name
        build = desk.build.build
        records = (build.path, *(update.path for update in build.updates))
        about = plain(desk.build.record.summary) or f"{name}: {desk.subject}, {desk.build.record.scale}."
        yield _made(build_page(desk), shared, name, about, records)
        for update in desk.build.updates:
            yield _made(
                progress_page(desk, update),
                shared,
                f"{update.record.title} · {name}",
                plain(update.record.summary),
                (build.path, update.update.path),
                {"date": update.update.day.isoformat()},
                scripts=PREVIEW_SCRIPTS if documents else (),
            )


def _made(
    view: View,
    shared: Frame,
    title: str,
    description: str,
    sources: tuple[PurePosixPath, ...],
    meta: Mapping[str, str] | None = None,
    *,
    scripts: tuple[str, ...] = (),
) -> MadePage:
    rendered = render_page(view, shared)
    if len(description) > _LONGEST_DESCRIPTION:
        description = description[:_LONGEST_DESCRIPTION].rsplit(" ", 1)[0] + " …"
    return MadePage(
        address=view.address,
        title=title,
        html=rendered.html,
        outline=rendered.outline,
        description=description,
        sources=sources,
        meta=meta or {},
        scripts=SCRIPTS[type(view)] + scripts,
        styles=STYLES[type(view)],
    )
