"""Pages that stand where a page used to be, and lead on."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from typing import TYPE_CHECKING

from mkdocs.structure.files import File, InclusionLevel

from buildlog.pages.addresses import relative
from buildlog_mkdocs.pages import name_index_file

if TYPE_CHECKING:
    from mkdocs.config.defaults import MkDocsConfig
    from mkdocs.structure.files import Files

# With scripts the place on the page (#port-sidelight) is kept; without them the page alone is found.
_PAGE = """<!doctype html>
<html lang="{language}">
<head>
<meta charset="utf-8">
<title>Moved</title>
<meta name="robots" content="noindex">
<link rel="canonical" href="{link}">
<noscript><meta http-equiv="refresh" content="0; url={link}"></noscript>
<script>location.replace(document.querySelector("link").href + location.search + location.hash)</script>
</head>
<body><p>This page has moved: <a href="{link}">it is now here</a>.</p></body>
</html>
"""


def add_redirects(redirects: Mapping[str, str], language: str, files: Files, config: MkDocsConfig) -> None:
    """
    Leave a page that leads on at every old address, outside search and the site map.

    Args:
        redirects: New addresses by old ones.
        language: Of the site, such as `en`.
        files: Changed in place. A page that stands at an old address by now is left alone.
        config: Says whether links name files.
    """
    taken = {file.dest_uri for file in files}
    for old, new in redirects.items():
        uri = f"{old}index.html"
        if uri not in taken:
            link = relative(old, new) if config.use_directory_urls else name_index_file(relative(old, new))
            page = _PAGE.format(link=escape(link), language=escape(language))
            files.append(File.generated(config, uri, content=page, inclusion=InclusionLevel.NOT_IN_NAV))
