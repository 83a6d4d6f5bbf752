"""Looking at the site while it is written: what is watched, and what a mistake does."""

from __future__ import annotations

import logging
import time
from collections.abc import Iterable
from importlib.resources import files as resources
from pathlib import Path
from typing import TYPE_CHECKING

from mkdocs.exceptions import Abort, MkDocsException

from buildlog_mkdocs.look import THEME_FOLDER

if TYPE_CHECKING:
    from mkdocs.livereload import LiveReloadServer

log = logging.getLogger("mkdocs.plugins.buildlog.preview")
"""Speaks only once the site is served."""

_KEPT = "The last good site is served until this is mended."


def watch_sources(server: LiveReloadServer, sources: Iterable[Path], docs: Path) -> None:
    """
    Watch what the site is made from; never what is written.

    Args:
        server: Watches docs_dir already, and everything below a folder it watches.
        sources: Files and folders of the records.
        docs: docs_dir.
    """
    watched = [docs.resolve()]
    for source in sorted({path.resolve() for path in (*sources, *_own_sources())}):
        if source.exists() and not any(source.is_relative_to(folder) for folder in watched):
            server.watch(str(source))
            watched.append(source)
    log.info(f"Serving {server.url}")


def keep_serving(server: LiveReloadServer) -> None:
    """
    Go on serving the last good site when a run fails, and recover by the next one.

    MkDocs' own server holds every answer back until a failed run has been mended.
    """
    make_again = server.builder

    def make_or_keep() -> None:
        began = time.monotonic()
        try:
            make_again()
        except Abort:
            # MkDocs has said what is wrong.
            log.warning(_KEPT)
        except MkDocsException as error:
            log.error(f"{error.format_message()}\n{_KEPT}")
        except Exception:
            log.exception(_KEPT)
        else:
            log.info(f"Made again in {time.monotonic() - began:.1f} s")

    server.builder = make_or_keep


def _own_sources() -> Iterable[Path]:
    """Give the folders of templates and styles, where they lie on disk."""
    pages = resources("buildlog.pages")
    return (Path(str(pages / "templates")), Path(str(pages / "assets")), Path(str(pages / "preview")), THEME_FOLDER)
