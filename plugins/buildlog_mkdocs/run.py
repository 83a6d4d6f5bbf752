"""A whole run of MkDocs, as the command `buildlog` asks for it: make the site, or serve it while it is written."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click
from mkdocs.commands.build import build
from mkdocs.commands.serve import serve as serve_with_mkdocs
from mkdocs.config import load_config
from mkdocs.exceptions import Abort, MkDocsException

from buildlog.photos.store import StoreError
from buildlog.publish.address import check_free, read_address
from buildlog.publish.putting import SiteError
from buildlog.records.problems import RecordError
from buildlog_mkdocs import preview
from buildlog_mkdocs.plugin import BuildlogPlugin
from buildlog_mkdocs.plugin import log as our_log

_LINES = re.compile(r"lines [\d, ]+(?: and \d+ more)?|(?<=:)\d+(?::\d+)?(?=:)")

if TYPE_CHECKING:
    from mkdocs.config.defaults import MkDocsConfig

    from buildlog.photos.store import Progress


def make(
    config_file: Path,
    *,
    strict: bool = False,
    verify: bool = False,
    on_progress: Callable[[Progress], None] | None = None,
    on_line: Callable[[str], None] | None = None,
) -> Path:
    """
    Make the site and put it in place.

    Args:
        config_file: The workshop's mkdocs.yml.
        strict: A warning, too, keeps the site from being put in place.
        verify: Every photo is read whole, to find one that changed behind the same size and time.
        on_progress: Told how far the pictures are.
        on_line: Told each warning. Left out, it goes to the error stream.

    Returns:
        The folder of the site.

    Raises:
        RecordError: The records or photos have mistakes.
        SiteError: mkdocs.yml, a written page or the site's folder does not allow it. The last good site is as it was.
    """
    with _told_by(on_line) as teller, _mistakes_raised(teller):
        config = load_config(str(config_file), strict=strict or None)
        plugin = _our_plugin(config)
        plugin.show_progress, plugin.verify = on_progress, verify
        config.plugins.on_startup(command="build", dirty=False)
        try:
            build(config)
        finally:
            config.plugins.on_shutdown()
            plugin.show_progress, plugin.verify = None, False
    return Path(config.site_dir)


def serve(
    config_file: Path,
    *,
    address: str = "127.0.0.1:8000",
    open_browser: bool = False,
    on_line: Callable[[str], None] | None = None,
) -> None:
    """
    Serve the site on this machine until interrupted, and make it again whenever a source changes.

    A mistake made meanwhile is told, and the last good site is served until it is mended.

    Args:
        config_file: The workshop's mkdocs.yml.
        address: Host and port, or one of them.
        open_browser: Show it in the browser.
        on_line: Told each warning, error and change. Left out, it goes to the error stream.

    Raises:
        RecordError: The records or photos have mistakes at the start.
        SiteError: The site cannot be made at the start, or the address cannot be used.
    """
    host, port = read_address(address)
    check_free(host, port)
    where = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    # Looked at first, since MkDocs leaves a temporary folder behind where its settings cannot be used.
    with _told_by(lambda line: None) as teller, _mistakes_raised(teller):
        _our_plugin(load_config(str(config_file)))
    with _told_by(on_line) as teller, _mistakes_raised(teller):
        try:
            serve_with_mkdocs(str(config_file), dev_addr=where, open_in_browser=open_browser)
        except OSError as error:  # somebody was quicker
            raise SiteError(
                f"{where} cannot be used ({error.strerror}); end what uses it, or give another address"
            ) from error


def _our_plugin(config: MkDocsConfig) -> BuildlogPlugin:
    for plugin in config.plugins.values():
        if isinstance(plugin, BuildlogPlugin):
            return plugin
    raise SiteError(f"{config.config_file_path} does not name the plugin; add `- buildlog` under `plugins:`")


class _Teller(logging.Handler):
    """
    Passes on what matters of MkDocs' log, in plain words.

    Errors are gathered for the exception that ends the run; once the site is served nothing ends it, and they are told.
    """

    def __init__(self, tell: Callable[[str], None]) -> None:
        super().__init__()
        self.tell = tell
        self.errors: list[str] = []
        self.warnings = 0
        self._is_serving = False
        self._told: set[str] = set()
        self._told_before: set[str] = set()
        self._repeated = 0

    def emit(self, record: logging.LogRecord) -> None:
        """Tell a record, keep it or drop it."""
        if record.name == "mkdocs.livereload":
            return  # what browsers ask for and do not find
        self._is_serving = self._is_serving or record.name == preview.log.name
        text = self.format(record)
        if record.levelno >= logging.ERROR and not self._is_serving:
            self.errors.append(text)
        elif record.levelno >= logging.ERROR or (record.name == preview.log.name and record.levelno >= logging.WARNING):
            self.tell(f"{record.levelname.lower()}: {text}")
        elif record.levelno >= logging.WARNING:
            number = getattr(record, "number", 1)
            self.warnings += number
            self._tell_once(f"{record.levelname.lower()}: {text}", number)
        elif record.name == preview.log.name:
            self.tell(self._with_repeated(text))
        elif record.name == our_log.name:
            self.tell(text)

    def _tell_once(self, line: str, number: int) -> None:
        """Tell a warning, unless the run before told the same, be it of other lines."""
        what = _LINES.sub("", line)
        self._told.add(what)
        if what in self._told_before:
            self._repeated += number
        else:
            self.tell(line)

    def _with_repeated(self, text: str) -> str:
        """At the end of a run that went well, say how many warnings were told before and still hold."""
        self._told_before, self._told = self._told, set()
        repeated, self._repeated = self._repeated, 0
        if not repeated:
            return text
        return f"{text}; {'1 warning holds' if repeated == 1 else f'{repeated} warnings hold'} as before"

    def reason(self, error: MkDocsException) -> str:
        """Say why a run ended: by its errors, or in strict mode by its warnings."""
        if self.errors:
            return "\n".join(self.errors)
        if isinstance(error, Abort) and self.warnings:
            counted = "a warning stops" if self.warnings == 1 else f"{self.warnings} warnings stop"
            return f"{counted} a strict run; the last good site is as it was"
        return error.format_message()


@contextmanager
def _told_by(on_line: Callable[[str], None] | None) -> Iterator[_Teller]:
    """Take MkDocs' log over, and give it back afterwards."""
    log = logging.getLogger("mkdocs")
    before = log.handlers[:], log.level, log.propagate
    teller = _Teller(on_line or _to_stderr)
    log.handlers, log.propagate = [teller], False
    log.setLevel(logging.INFO)
    try:
        yield teller
    finally:
        log.handlers, log.propagate = before[0], before[2]
        log.setLevel(before[1])


@contextmanager
def _mistakes_raised(teller: _Teller) -> Iterator[None]:
    """Raise the core's own errors in place of MkDocs' ones, which say only that there was one."""
    try:
        yield
    except MkDocsException as error:
        if mistake := _mistake_behind(error):
            raise mistake from None
        raise SiteError(teller.reason(error)) from None
    except OSError as error:
        raise SiteError(f"the site could not be written: {error}") from error


def _mistake_behind(error: BaseException | None) -> RecordError | SiteError | None:
    while error is not None:
        if isinstance(error, RecordError | SiteError):
            return error
        if isinstance(error, StoreError):
            return SiteError(str(error))
        error = error.__cause__ or error.__context__
    return None


def _to_stderr(line: str) -> None:
    click.echo(line, err=True)
