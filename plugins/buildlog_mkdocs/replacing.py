"""One run's site folder: MkDocs writes to a fresh one, which takes the place of `site_dir` at the end."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import TYPE_CHECKING

from mkdocs.utils import CountHandler

from buildlog.publish.putting import FreshFolder

if TYPE_CHECKING:
    from mkdocs.config.defaults import MkDocsConfig

log = logging.getLogger("mkdocs.plugins.buildlog.replacing")


class Replacement:
    """
    Leads MkDocs to a fresh folder, and back to `site_dir` once that holds the finished site.

    Raises:
        SiteError: The site's place cannot be replaced.
    """

    def __init__(self, config: MkDocsConfig) -> None:
        self._config = config
        self._place = config.site_dir
        self._fresh = FreshFolder(Path(self._place))
        config.site_dir = str(self._fresh.path)

    def will_be_refused(self) -> bool:
        """Say whether strict mode is about to refuse the run: MkDocs looks at its own counter after the last event."""
        handlers = logging.getLogger("mkdocs").handlers
        return self._config.strict and any(
            handler.get_counts() for handler in handlers if isinstance(handler, CountHandler)
        )

    def put_in_place(self) -> None:
        """
        Let the fresh folder take the site's place.

        Raises:
            SiteError: It could not; the last site is as it was.
        """
        self._config.site_dir = self._place
        self._fresh.put_in_place()
        log.info(f"The site is in place: {self._place}")

    def discard(self) -> None:
        """Throw the fresh folder away, where it has not been put in place."""
        self._config.site_dir = self._place
        self._fresh.discard()
