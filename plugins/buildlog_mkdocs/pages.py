"""How a page that the core has made becomes a page of MkDocs, and which of them the navigation shows."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from html import escape
from typing import TYPE_CHECKING, Any

from mkdocs.structure.files import File, InclusionLevel
from mkdocs.structure.pages import Page
from mkdocs.structure.toc import get_toc
from mkdocs.utils import nest_paths

from buildlog_mkdocs.files import ASSETS

if TYPE_CHECKING:
    from mkdocs.config.defaults import MkDocsConfig
    from mkdocs.structure.files import Files

    from buildlog.pages.render import Heading
    from buildlog.publish.making import MadePage

TEMPLATE = "sheet.html"
"""The theme's template for pages that the core has made."""

# Only links the core has made are touched: text never holds a bare "<", so a match is always a tag.
_HREF = re.compile(r'(<(?:a|area|link)\s[^>]*?\bhref=")([^"]*)(")')
_ID = re.compile(r'<[^>]*?\sid="([^"]+)"')
_ELSEWHERE = re.compile(r"[a-z][a-z0-9+.-]*:|//|#", re.IGNORECASE)


class ReadyPage(Page):
    """A page whose HTML the core has made; no Markdown is read for it."""

    made: MadePage

    def read_source(self, config: MkDocsConfig) -> None:
        """Take what the core says of the page in place of a file's front matter."""
        self.markdown = ""
        self.meta = {
            **self.made.meta,
            "template": TEMPLATE,
            "styles": [ASSETS + name for name in self.made.styles],
            "scripts": [ASSETS + name for name in self.made.scripts],
        }
        if self.made.description:
            self.meta["description"] = self.made.description
        if self.made.title != config.site_name:
            self.meta["title"] = self.made.title

    def render(self, config: MkDocsConfig, files: Files) -> None:
        """Take the core's HTML in place of rendered Markdown."""
        html = self.made.html
        self.content = html if config.use_directory_urls else name_index_files(html)
        self.toc = get_toc([_toc_token(heading) for heading in self.made.outline])
        self.present_anchor_ids = set(_ID.findall(html))


def add_pages(pages: Iterable[MadePage], files: Files, config: MkDocsConfig) -> tuple[str, ...]:
    """
    Add the core's pages to the files of a run, outside the navigation but for those that `nav` names.

    Returns:
        Addresses of pages that were left out, since the workshop has written one of its own in their place.
    """
    titles = dict(nav_titles(config.nav))
    written = {file.dest_uri for file in files if file.is_documentation_page() and file.inclusion.is_included()}
    left_out = []
    for made in pages:
        file = File.generated(config, source_uri(made.address), content="", inclusion=InclusionLevel.NOT_IN_NAV)
        if file.dest_uri in written:
            left_out.append(made.address)
            continue
        page = ReadyPage(titles.get(file.src_uri, made.title), file, config)
        page.made = made
        files.append(file)
    return tuple(left_out)


def default_nav(pages: Sequence[MadePage], files: Files) -> list[Any]:
    """Make the navigation of a site that gives none: the home page and other top pages, then the written pages."""
    top = [source_uri(made.address) for made in pages if made.address.count("/") <= 1]
    written = (file.src_uri for file in files.documentation_pages() if file.inclusion.is_in_nav())
    return [*sorted(top, key=lambda uri: uri != "index.md"), *nest_paths(uri for uri in written if uri not in top)]


def nav_titles(nav: Any) -> Iterator[tuple[str, str]]:
    """Find the titles that `nav` gives to pages, as pairs of source and title."""
    if isinstance(nav, list):
        for entry in nav:
            yield from nav_titles(entry)
    elif isinstance(nav, dict):
        for title, entry in nav.items():
            if isinstance(entry, str):
                yield entry, title
            else:
                yield from nav_titles(entry)


def source_uri(address: str) -> str:
    """Say where in docs_dir the page would lie, were it a file: `builds/corriemoor/index.md`."""
    return f"{address}index.md"


def name_index_files(html: str) -> str:
    """Let links to pages of the site name their files, for sites that are read without a server."""
    return _HREF.sub(lambda found: f"{found[1]}{name_index_file(found[2])}{found[3]}", html)


def name_index_file(link: str) -> str:
    """Turn a link to a page, such as `../hull/#bow`, into one to its file: `../hull/index.html#bow`."""
    if _ELSEWHERE.match(link):
        return link
    path, mark, rest = re.match(r"([^?#]*)([?#]?)(.*)", link, re.DOTALL).groups()  # type: ignore[union-attr]
    return f"{path}index.html{mark}{rest}" if path.endswith("/") else link


def _toc_token(heading: Heading) -> Any:
    return {
        "level": heading.level,
        "id": heading.id,
        "name": escape(heading.title, quote=False),
        "children": [_toc_token(child) for child in heading.children],
    }
