"""`buildlog site` and `buildlog preview`: what they ask of the site's maker, and what they say."""

from __future__ import annotations

import socket
from collections.abc import Callable
from pathlib import Path, PurePosixPath
from types import SimpleNamespace
from typing import Any

import pytest

from buildlog.photos.store import Progress, StoreError
from buildlog.publish.putting import SiteError
from buildlog.records.problems import Problem, RecordError


class Maker:
    """Stands in for what makes the site: remembers what it was asked, and does as it is told."""

    def __init__(self) -> None:
        self.asked: dict[str, Any] = {}
        self.mistake: BaseException | None = None
        self.lines: list[str] = []

    def make(
        self,
        config_file: Path,
        *,
        strict: bool,
        verify: bool,
        on_progress: Callable[[Progress], None],
        on_line: Callable[[str], None],
    ) -> Path:
        """Pretend to make the site."""
        self.asked = {"config_file": config_file, "strict": strict, "verify": verify}
        on_progress(Progress(1, 2, 0.1))
        for line in self.lines:
            on_line(line)
        if self.mistake:
            raise self.mistake
        return config_file.parent / "site"

    def serve(self, config_file: Path, *, address: str, open_browser: bool, on_line: Callable[[str], None]) -> None:
        """Pretend to serve until interrupted."""
        self.asked = {"config_file": config_file, "address": address, "open_browser": open_browser}
        for line in self.lines:
            on_line(line)
        raise self.mistake or KeyboardInterrupt


@pytest.fixture
def maker(monkeypatch):
    """The site's maker, found as the command finds it: by its entry point."""
    maker = Maker()
    monkeypatch.setattr("importlib.metadata.entry_points", lambda group: [SimpleNamespace(load=lambda: maker)])
    return maker


def test_site_says_where_it_is(workshop, run, maker):
    """The folder of the site and how to look at it are printed."""
    result = run("site", "--strict")

    assert result.exit_code == 0
    assert "The site is in site, made in" in result.stdout
    assert "To look at it: buildlog preview" in result.stdout
    assert "the folder site can be copied to any web server" in result.stdout
    assert maker.asked == {"config_file": workshop / "mkdocs.yml", "strict": True, "verify": False}


def test_site_passes_warnings_on(workshop, run, maker):
    """What the maker has to say goes to the error stream, so that it can be told from the result."""
    maker.lines = ["warning: a.yml:1: something"]

    result = run("site")

    assert "warning: a.yml:1: something" in result.stderr
    assert "warning" not in result.stdout


@pytest.mark.parametrize("command", ["site", "preview"])
def test_mistakes_in_records_are_shown(workshop, run, maker, command):
    """Mistakes are shown as the check shows them, and the exit status is 1."""
    maker.mistake = RecordError([Problem(PurePosixPath("workshop.yml"), 3, 7, "name", "is empty; write some words")])

    result = run(command)

    assert result.exit_code == 1
    assert "content/workshop.yml:3:7: error: name: is empty; write some words" in result.stderr.replace("\\", "/")
    assert "Nothing was written" in result.stderr


@pytest.mark.parametrize(
    "mistake",
    [
        pytest.param(SiteError("site is a file; move it away"), id="site"),
        pytest.param(StoreError("site is a file; move it away"), id="store"),
    ],
)
def test_what_stands_in_the_way_is_said_in_words(workshop, run, maker, mistake):
    """A folder that cannot be written to is a plain sentence and no traceback."""
    maker.mistake = mistake

    result = run("site")

    assert result.exit_code == 1
    assert result.stderr == "Error: site is a file; move it away\n"


def test_a_bug_keeps_its_traceback(workshop, run, maker):
    """An exception that is no person's mistake is not swallowed."""
    maker.mistake = ZeroDivisionError("ours")

    with pytest.raises(ZeroDivisionError):
        run("site")


def test_preview_ends_quietly(workshop, run, maker):
    """Ctrl-C, which is named at the start, ends the preview with status 130 and without a word."""
    result = run("preview", "--no-open", "--address", "127.0.0.1:8123")

    assert result.exit_code == 130
    assert result.output == "Making the pages; they are then served until you press Ctrl-C.\n"
    assert maker.asked == {
        "config_file": workshop / "mkdocs.yml",
        "address": "127.0.0.1:8123",
        "open_browser": False,
    }


@pytest.mark.parametrize("address", ["nonsense", "127.0.0.1:http"])
def test_preview_at_no_address(workshop, run, maker, address):
    """An address that is none is refused before a word is said of pages or serving."""
    result = run("preview", "--address", address)

    assert result.exit_code == 1
    assert result.output.startswith(f"Error: {address} is no address to serve at; write host and port")
    assert maker.asked == {}


def test_preview_at_an_address_in_use(workshop, run, maker):
    """A port that is taken is said at once, and nothing is said of serving."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]

        result = run("preview", "--address", str(port))

    assert result.exit_code == 1
    assert result.output.startswith(f"Error: 127.0.0.1:{port} cannot be used")
    assert maker.asked == {}


def test_site_that_is_stopped(workshop, run, maker):
    """Ctrl-C ends the run with status 130 and says that the last site has not suffered."""
    maker.mistake = KeyboardInterrupt()

    result = run("site")

    assert result.exit_code == 130
    assert result.stderr == "Stopped; the last good site is as it was.\n"
    assert result.stdout == ""


def test_without_a_maker(workshop, run, monkeypatch):
    """An installation that lacks what makes the site says how to mend it."""
    monkeypatch.setattr("importlib.metadata.entry_points", lambda group: [])

    result = run("site")

    assert result.exit_code == 1
    assert "from its folder: pip install ." in result.stderr
