"""
Views to HTML: the inner part of a page, which any shell can put between its own head and foot.

The templates decide nothing but the words and their order; what differs between readers was decided when the view was
made.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from typing import Protocol

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from buildlog import words
from buildlog.pages.addresses import relative
from buildlog.pages.views import BuildPage, CataloguePage, Frame, HomePage, ProgressPage

View = ProgressPage | BuildPage | CataloguePage | HomePage

TEMPLATES: dict[type[View], str] = {
    ProgressPage: "progress.html",
    BuildPage: "build.html",
    CataloguePage: "catalogue.html",
    HomePage: "home.html",
}
"""The template that says each sort of view."""

SCRIPTS: dict[type[View], tuple[str, ...]] = {
    ProgressPage: ("walkaround.js", "film.js", "large.js", "compare.js", "turntable.js"),
    BuildPage: ("strip.js", "turntable.js"),
    CataloguePage: ("catalogue.js",),
    HomePage: (),
}
"""The modules in `assets` that each sort of page loads; every page is complete without them."""

PREVIEW_SCRIPTS = ("preview/pointing.js",)
"""What a progress page loads besides while it is only previewed; it lies in a folder of its own, beside `assets`."""

STYLES: dict[type[View], tuple[str, ...]] = {
    ProgressPage: ("film.css",),
    BuildPage: ("film.css",),
    CataloguePage: (),
    HomePage: (),
}
"""The style sheets in `assets` that a sort of page needs beside `sheet.css`."""

OUTSIDE = ("https://", "http://", "mailto:")
"""The only ways a link may leave the site."""


class Links(Protocol):
    """Makes every link of a page. Another one is given where addresses must not show."""

    def to(self, address: str) -> str:
        """Turn an address of the site into what `href` or `src` holds."""
        ...


@dataclass(frozen=True)
class RelativeLinks:
    """Links relative to the page they stand on."""

    page: str
    """Address of the page being rendered."""

    def to(self, address: str) -> str:
        """Turn an address of the site into a relative link."""
        return relative(self.page, address)


@dataclass(frozen=True)
class Heading:
    """A heading of a page that can be led to."""

    level: int
    """1 for the page's title."""
    id: str
    title: str
    children: tuple[Heading, ...] = ()


@dataclass(frozen=True)
class RenderedPage:
    """A page's inner HTML, and its headings."""

    html: str
    outline: tuple[Heading, ...]
    """The title, with all other headings below it."""


def render_page(view: View, frame: Frame, links: Links | None = None) -> RenderedPage:
    """
    Render a view into what stands inside `<main>`, and gather its headings.

    Args:
        view: What the page says.
        frame: What every page of the site shares.
        links: Makes the links; by default they are relative to the view's own address.
    """
    desk = _Desk(links or RelativeLinks(view.address))
    template = _environment().get_template(TEMPLATES[type(view)])
    html = template.render(
        view=view,
        frame=frame,
        to=desk.links.to,
        heading=desk.heading,
        headings=desk.headings,
        is_first_picture=desk.is_first_picture,
    )
    return RenderedPage(html, _nested(desk.headings))


def render_view(view: View, frame: Frame, links: Links | None = None) -> str:
    """Render a view into what stands inside `<main>`; see `render_page`."""
    return render_page(view, frame, links).html


def outline(view: View, frame: Frame) -> tuple[Heading, ...]:
    """Gather a page's headings for a table of contents. It costs a rendering; `render_page` gives both at once."""
    return render_page(view, frame).outline


def day(value: date) -> Markup:
    """Show a date as "15 August 2026"."""
    return _time(value, words.day_words(value))


def day_month(value: date) -> Markup:
    """Show a date as "15 August", where the year is plain."""
    return _time(value, words.day_month(value))


def capitalised(text: str) -> str:
    """Begin with a capital and leave the rest alone, so that names within keep theirs."""
    return text[:1].upper() + text[1:]


def share(value: float) -> str:
    """Show a share of a picture as a percentage for CSS, to a hundredth of a percent."""
    return f"{round(value * 100, 2):g}%"


def outside(address: str) -> str:
    """
    Let an address on another host through, when it is of a harmless sort.

    Raises:
        ValueError: It is a script or another sort of address, which the records should have refused.
    """
    if not address.casefold().startswith(OUTSIDE):
        raise ValueError(f'"{address}" cannot be led to; an address begins with {", ".join(OUTSIDE)}')
    return address


def distinct(values: Iterable[str]) -> list[str]:
    """List each word once, sorted, without the empty ones: what a filter offers."""
    return sorted({value for value in values if value}, key=str.casefold)


@dataclass
class _Desk:
    """What one rendering remembers."""

    links: Links
    headings: list[Heading] = field(default_factory=list)
    pictures: int = 0

    def heading(self, level: int, title: str, id: str, classes: str = "") -> Markup:
        """Write a heading down and give its HTML."""
        self.headings.append(Heading(level, id, title))
        styled = Markup(' class="{}"').format(classes) if classes else ""
        return Markup('<h{0} id="{1}"{2}>{3}</h{0}>').format(level, id, styled, title)

    def is_first_picture(self) -> bool:
        """Say whether no picture was shown before; the first one is not put off until it is scrolled to."""
        self.pictures += 1
        return self.pictures == 1


def _time(value: date, text: str) -> Markup:
    return Markup('<time datetime="{}">{}</time>').format(value.isoformat()[:10], text)


def _nested(headings: Sequence[Heading]) -> tuple[Heading, ...]:
    nested: list[Heading] = []
    start = 0
    while start < len(headings):
        first = headings[start]
        end = start + 1
        while end < len(headings) and headings[end].level > first.level:
            end += 1
        nested.append(Heading(first.level, first.id, first.title, _nested(headings[start + 1 : end])))
        start = end
    return tuple(nested)


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("buildlog.pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        auto_reload=False,
    )
    environment.filters.update(
        day=day,
        day_month=day_month,
        capitalised=capitalised,
        share=share,
        outside=outside,
        distinct=distinct,
    )
    return environment
