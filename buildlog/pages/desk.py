"""What every page of one build is made from: the build as its reader sees it, and the words that many pages share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import PurePosixPath
from urllib.parse import quote

from buildlog.figures.units import System
from buildlog.pages.addresses import build_address, update_address
from buildlog.pages.audience import SeenBuild, SeenUpdate, SeenWorkshop
from buildlog.pages.gallery import Gallery
from buildlog.pages.text import first_sentence, plain
from buildlog.pages.views import Ask, Link
from buildlog.records.models import FeatureEntry, Status, WorkshopRecord
from buildlog.records.reading import Document
from buildlog.records.workshop import Workshop


@dataclass(frozen=True)
class Desk:
    """One build, its workshop and its pictures."""

    seen: SeenWorkshop
    build: SeenBuild
    gallery: Gallery
    site: str = ""
    """The published site's address, ending in `/`; empty where it is not known."""
    documents: Mapping[PurePosixPath, Document] = field(default_factory=dict)
    """The stage records as read, for a preview alone."""

    @property
    def workshop(self) -> Workshop:
        """The workshop and its library."""
        return self.seen.workshop

    @property
    def slug(self) -> str:
        """The build's address part."""
        return self.build.build.slug

    @property
    def address(self) -> str:
        """The build's page."""
        return build_address(self.slug)

    @property
    def is_finished(self) -> bool:
        """Whether it has left the bench."""
        return is_finished(self.build)

    def update_address(self, update: SeenUpdate) -> str:
        """The page of one of its records."""
        return update_address(self.slug, update.update.name)

    def update_link(self, update: SeenUpdate) -> Link:
        """An update, by its title."""
        return Link(update.record.title, self.update_address(update))

    @property
    def subject(self) -> str:
        """Subject and variant in a line."""
        subject = self.build.record.subject
        return ", ".join(filter(None, [subject.name, subject.variant]))

    @property
    def units_first(self) -> System:
        """The system that comes first."""
        return self.workshop.record.units.value

    @cached_property
    def twins(self) -> Mapping[str, str]:
        """Mirrored features' own ids, with the feature each mirrors."""
        return {
            feature.mirrored.id: key
            for update in self.build.updates
            for key, feature in update.features.items()
            if feature.mirrored and feature.mirrored.id
        }

    def feature(self, update: SeenUpdate, name: str) -> FeatureEntry | None:
        """A feature as known at an update, by its own id or its twin's."""
        return update.features.get(self.twins.get(name, name))

    def ask(self, about: str, address: str) -> Ask | None:
        """A mail to the workshop that names a page or a thing on it; `None` where the workshop gives no address."""
        return ask(self.workshop.record, about, f"{self.site}{address}" if self.site else "")


def ask(workshop: WorkshopRecord, about: str, page: str = "", label: str = "Ask about this") -> Ask | None:
    """A mail to the workshop with its subject filled in, and the page's address where it is known."""
    if not workshop.contact:
        return None
    body = f"&body={quote(f'About {page}', safe='')}%0A%0A" if page else ""
    return Ask(f"mailto:{quote(workshop.contact, safe='@')}?subject={quote(about, safe='')}{body}", label)


def is_finished(build: SeenBuild) -> bool:
    """Whether a build has left the bench."""
    return build.record.status in (Status.FINISHED, Status.DELIVERED)


def feature_name(feature: FeatureEntry) -> str:
    """A feature's name; its id where none was written."""
    return feature.name or feature.id


def both_names(feature: FeatureEntry) -> str:
    """A feature's name with its mirrored twin's."""
    twin = feature.mirrored.name if feature.mirrored else None
    return f"{feature_name(feature)} and {twin[:1].lower() + twin[1:]}" if twin else feature_name(feature)


def in_short(text: str | None) -> str:
    """The first sentence of some Markdown, without its full stop, for a list."""
    return first_sentence(plain(text)).removesuffix(".")
