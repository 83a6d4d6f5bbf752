"""The plugin: takes MkDocs' options, calls the core, hands back what MkDocs wants."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from mkdocs.config import config_options as opt
from mkdocs.config.base import Config
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, event_priority

from buildlog.console import err, folded, in_one_line, progress
from buildlog.photos.store import StoreError
from buildlog.publish.making import MadeSite, make_site
from buildlog.publish.putting import SiteError
from buildlog.records.problems import RecordError
from buildlog_mkdocs.dates import date_pages
from buildlog_mkdocs.files import add_assets, keep_home, link_files, strays_in_words
from buildlog_mkdocs.look import set_look, valid_shell
from buildlog_mkdocs.pages import add_pages, default_nav
from buildlog_mkdocs.preview import keep_serving, watch_sources
from buildlog_mkdocs.redirects import add_redirects
from buildlog_mkdocs.replacing import Replacement

if TYPE_CHECKING:
    import jinja2
    from mkdocs.config.defaults import MkDocsConfig
    from mkdocs.livereload import LiveReloadServer
    from mkdocs.structure.files import Files
    from mkdocs.structure.pages import Page

    from buildlog.photos.store import Progress

log = logging.getLogger("mkdocs.plugins.buildlog")


class BuildlogConfig(Config):
    """What mkdocs.yml may say about the plugin."""

    content = opt.Optional(opt.Dir(exists=True))
    """Folder of the records, from mkdocs.yml on. Left out, it is docs_dir."""
    store = opt.Dir(default=".buildlog/pictures")
    """Folder of made pictures, from mkdocs.yml on. May be deleted at any time; the next run makes them again."""


class BuildlogPlugin(BasePlugin[BuildlogConfig]):
    """Makes a workshop's site out of its records and photos, whole or not at all."""

    def __init__(self) -> None:
        super().__init__()
        self.show_progress: Callable[[Progress], None] | None = None
        """Told how far the pictures are. Left out, it shows on the terminal."""
        self.verify = False
        """Whether to read every photo whole, to find one that changed behind the same size and time."""
        self._is_preview = False
        self._replacement: Replacement | None = None
        self._made: MadeSite | None = None
        self._records = Path()

    @property
    def made(self) -> MadeSite:
        """What the core has made in this run."""
        if self._made is None:
            raise PluginError("the site is asked for before it is made; on_pre_build makes it")
        return self._made

    def on_startup(self, *, command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
        """Learn whether the site is only looked at on this machine; being here keeps the plugin from run to run."""
        self._is_preview = command == "serve"

    @event_priority(100)  # before all others, so that they see the folder in which the site is made
    def on_config(self, config: MkDocsConfig) -> None:
        """Dress the theme, and begin the site in a fresh folder."""
        self._made = None
        self._records = self._content(config)
        set_look(config)
        with self._mistakes_told():
            self._replacement = Replacement(config)

    def on_pre_build(self, *, config: MkDocsConfig) -> None:
        """Let the core make everything, and pass on its doubts."""
        with self._mistakes_told(), self._progress_shown() as step:
            self._made = make_site(
                self._content(config),
                self._store(config),
                site_url=config.site_url or "",
                for_preview=self._is_preview,
                verify=self.verify,
                on_progress=step,
            )
        for line, number in folded(self.made.warnings, self._content(config)):
            log.warning(line, extra={"number": number})
        config.extra["buildlog"] = self.made.frame

    def on_files(self, files: Files, *, config: MkDocsConfig) -> None:
        """Keep records and photos at home, and add what the core has made."""
        if strays := keep_home(files, self._content(config), config):
            log.warning(strays_in_words(strays))
        for address in add_pages(self.made.pages, files, config):
            log.info(f"/{address} is a page of your own, and takes the place of the one made from the records")
        add_redirects(self.made.redirects, self.made.frame.language, files, config)
        add_assets(files, config, for_preview=self._is_preview)
        with self._mistakes_told():
            link_files(self.made.files, Path(config.site_dir), may_point=self._is_preview)
        if config.nav is None:
            config.nav = default_nav(self.made.pages, files)

    def on_env(self, env: jinja2.Environment, *, config: MkDocsConfig, files: Files) -> None:
        """Date every page by the records, so that the same records give the same bytes."""
        date_pages(files)

    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:
        """Leave out of a page's shell what HTML does not allow."""
        return valid_shell(output)

    def on_post_template(self, output_content: str, *, template_name: str, config: MkDocsConfig) -> str:
        """Do the same for pages that stand for themselves, such as the one for a wrong address."""
        return valid_shell(output_content)

    @event_priority(-1000)  # after all others, so that nothing is missing from the site that is put in place
    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """Put the finished site in place, unless strict mode is about to refuse it."""
        if self._replacement and not self._replacement.will_be_refused():
            with self._mistakes_told():
                self._replacement.put_in_place()

    def on_build_error(self, *, error: Exception) -> None:
        """Throw the unfinished site away; the last good one stays."""
        self._discard()

    def on_shutdown(self) -> None:
        """Throw away what an interrupted run has left."""
        self._discard()

    def on_serve(self, server: LiveReloadServer, *, config: MkDocsConfig, builder: Callable[..., None]) -> None:
        """Make the site again when a source changes, and go on serving the last good one after a mistake."""
        watch_sources(server, (self._content(config), *self.made.sources), Path(config.docs_dir))
        keep_serving(server)

    def _content(self, config: MkDocsConfig) -> Path:
        return Path(self.config.content or config.docs_dir)

    def _store(self, config: MkDocsConfig) -> Path:
        store = Path(self.config.store)
        for source in (self._content(config), Path(config.docs_dir)):
            if store.resolve().is_relative_to(source.resolve()):
                raise PluginError(f"store: {store} lies among the sources; let it lie beside {source.name}/")
        return store

    def _discard(self) -> None:
        if self._replacement:
            self._replacement.discard()
            self._replacement = None

    @contextmanager
    def _mistakes_told(self) -> Iterator[None]:
        """Turn a person's mistake into what MkDocs shows without a traceback."""
        try:
            yield
        except (RecordError, SiteError, StoreError) as error:
            raise PluginError(mistake_in_words(error, self._records)) from error

    @contextmanager
    def _progress_shown(self) -> Iterator[Callable[[Progress], None]]:
        if self.show_progress:
            yield self.show_progress
        else:
            with progress(err(), "Pictures") as step:
                yield step


def mistake_in_words(error: RecordError | SiteError | StoreError, content: Path) -> str:
    """Say every problem on its line, and that nothing has been lost."""
    if not isinstance(error, RecordError):
        return f"{error}\nThe last good site is as it was."
    errors = [problem for problem in error.problems if problem.is_error]
    lines = "\n".join(in_one_line(problem, content) for problem in errors)
    return f"{lines}\n{len(errors)} {'problem' if len(errors) == 1 else 'problems'}; the last good site is as it was."
