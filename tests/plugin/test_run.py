"""The command's way to a site: make it, or serve it while it is written."""

from __future__ import annotations

import gc
import http.client
import logging
import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from importlib.metadata import entry_points
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from mkdocs.exceptions import Abort, ConfigurationError

from buildlog.publish.putting import SiteError
from buildlog.records.problems import RecordError
from buildlog_mkdocs import run
from buildlog_mkdocs.preview import keep_serving, watch_sources
from tests.plugin.sites import DOUBT, MISTAKES


def test_found_by_the_command():
    """The command finds the generator by its entry point, and the two functions it calls are there."""
    (entry,) = entry_points(group="buildlog.generator")
    generator = entry.load()

    assert generator is run
    assert callable(generator.make)
    assert callable(generator.serve)


# --- make ----------------------------------------------------------------------------------------


def test_make(site, core, capsys):
    """Making a site gives its folder and says nothing when there is nothing to say."""
    lines = []

    folder = run.make(site.config_file, on_line=lines.append)

    assert folder == site.made
    assert (folder / "builds/heron/index.html").is_file()
    assert lines == []
    assert capsys.readouterr() == ("", "")


def test_make_tells_warnings(site, core, capsys):
    """Warnings are told one by one, in plain words; without a listener they go to the error stream."""
    core.give(warnings=(DOUBT,))
    site.write("guide/index.md", "[nowhere](nowhere.md)\n")
    lines = []

    run.make(site.config_file, on_line=lines.append)
    run.make(site.config_file)

    assert lines == [
        f"warning: {site.content.as_posix()}/builds/heron/build.yml:3:1: areas: nothing lies there",
        "warning: Doc file 'guide/index.md' contains a link 'nowhere.md', but the target 'guide/nowhere.md' is not "
        "found among documentation files.",
    ]
    assert capsys.readouterr().err.splitlines() == lines


def test_strict_counts_as_the_check_does(site, core, monkeypatch):
    """Warnings that share a line are counted one by one, and files are named as they can be opened from here."""
    monkeypatch.chdir(site.root)
    core.give(warnings=tuple(replace(DOUBT, line=line) for line in (3, 5, 8)))
    lines = []

    with pytest.raises(SiteError, match="3 warnings stop a strict run"):
        run.make(site.config_file, strict=True, on_line=lines.append)

    assert lines == ["warning: content/builds/heron/build.yml: lines 3, 5, 8: areas: nothing lies there"]


def test_preview_tells_a_warning_once():
    """After each save only what is new is told; what holds as before is counted, wherever its line has moved."""
    lines = []
    ours, served = logging.getLogger("mkdocs.plugins.buildlog"), logging.getLogger("mkdocs.plugins.buildlog.preview")

    with run._told_by(lines.append):
        ours.warning("a.yml: 3 places still to fill in (alt): lines 4, 5, 6", extra={"number": 3})
        served.info("Serving")
        ours.warning("a.yml: 3 places still to fill in (alt): lines 5, 6, 7", extra={"number": 3})
        served.info("Made again")
        ours.warning("a.yml: 2 places still to fill in (alt): lines 5, 6", extra={"number": 2})
        served.info("Made again")
        served.info("Made again")
        ours.warning("a.yml: 2 places still to fill in (alt): lines 5, 6", extra={"number": 2})
        served.info("Made again")

    told = "warning: a.yml: 2 places still to fill in (alt): lines 5, 6"
    assert lines == [
        "warning: a.yml: 3 places still to fill in (alt): lines 4, 5, 6",
        "Serving",
        "Made again; 3 warnings hold as before",
        told,
        "Made again",
        "Made again",
        told,
        "Made again",
    ]


def test_make_passes_progress_on(site, core):
    """Who wants to know how far the pictures are is told by the core itself."""
    told = []

    run.make(site.config_file, on_progress=told.append)

    assert core.asked[0]["on_progress"] == told.append


def test_make_with_mistakes(site, core):
    """Mistakes in the records reach the command as they are, with file and line."""
    core.mistakes = MISTAKES

    with pytest.raises(RecordError) as caught:
        run.make(site.config_file)

    assert caught.value.problems == MISTAKES
    assert not site.made.exists()


def test_make_strict(site, core):
    """A strict run with warnings says how many, and makes nothing."""
    core.give(warnings=(DOUBT,))
    lines = []

    with pytest.raises(SiteError, match="a warning stops a strict run; the last good site is as it was"):
        run.make(site.config_file, strict=True, on_line=lines.append)

    assert len(lines) == 1
    assert not site.made.exists()


def test_make_into_a_folder_of_somebody(site, core):
    """A place that cannot be replaced is said in the words of the one who found it."""
    site.made.mkdir()
    (site.made / "thesis.odt").write_text("years of work")

    with pytest.raises(SiteError, match="holds files that buildlog has not made"):
        run.make(site.config_file)


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        pytest.param("site_name: x\nplugins: [\n", "parsing the configuration file", id="no-yaml"),
        pytest.param("docs_dir: content\n", "'site_name': Required", id="nothing-in-it"),
        pytest.param("site_name: x\ndocs_dir: nowhere\n", "nowhere", id="no-content"),
        pytest.param("site_name: x\ndocs_dir: content\n", "add `- buildlog` under `plugins:`", id="plugin-not-named"),
        pytest.param("site_name: x\ndocs_dir: content\nplugins: [buildlog]\n", "theme material", id="other-theme"),
    ],
)
def test_make_with_settings_that_cannot_be(site, core, settings, said):
    """Mistakes in mkdocs.yml end the run in one error that says what MkDocs said."""
    site.config_file.write_text(settings)

    with pytest.raises(SiteError, match=said):
        run.make(site.config_file)


def test_make_on_a_full_disk(site, core, monkeypatch):
    """A disk that takes no more is said, without a traceback, and nothing is left behind."""

    def refuse(*_, **__):
        raise OSError(28, "No space left on device", "index.html")

    monkeypatch.setattr("mkdocs.utils.write_file", refuse)

    with pytest.raises(SiteError, match="No space left on device"):
        run.make(site.config_file)

    assert {path.name for path in site.root.iterdir()} == {"content", "mkdocs.yml"}


def test_log_is_given_back(site, core):
    """A run takes MkDocs' log over and gives it back, however it ends."""
    log = logging.getLogger("mkdocs")
    before = log.handlers[:], log.level, log.propagate
    core.mistakes = MISTAKES

    with pytest.raises(RecordError):
        run.make(site.config_file)

    assert (log.handlers, log.level, log.propagate) == before


# --- serve ---------------------------------------------------------------------------------------


class Server:
    """Stands in for MkDocs' server."""

    url = "http://127.0.0.1:8000/"

    def __init__(self, builder=lambda: None):
        self.builder = builder
        self.watched = []

    def watch(self, path):
        self.watched.append(Path(path))


def test_what_is_watched(tmp_path):
    """Sources are watched once each, those in docs_dir not again, and never what is missing."""
    docs, records = tmp_path / "content", tmp_path / "records"
    for folder in (docs / "builds", records / "builds"):
        folder.mkdir(parents=True)
    server = Server()

    watch_sources(server, (docs, docs / "builds", records, records / "builds", tmp_path / "gone"), docs)

    names = {path.name for path in server.watched}
    assert {"records", "templates", "assets"} <= names
    assert not names & {"content", "builds", "gone"}
    assert len(server.watched) == len(set(server.watched))


@pytest.mark.parametrize(
    ("error", "said"),
    [
        pytest.param(Abort("told by MkDocs"), "The last good site is served", id="mistake"),
        pytest.param(ConfigurationError("a bracket is open"), "a bracket is open", id="mistake-in-the-settings"),
        pytest.param(ZeroDivisionError(), "Traceback", id="bug"),
    ],
)
def test_failed_run_is_told_and_survived(caplog, error, said):
    """A run that fails while serving is told and does not end the server, which would hold its answers back."""

    def fail():
        raise error

    server = Server(fail)
    keep_serving(server)

    server.builder()

    assert said in caplog.text
    assert "The last good site is served until this is mended." in caplog.text


def test_recovered_run_is_told(caplog):
    """A run that goes well says so."""
    caplog.set_level(logging.INFO, "mkdocs")
    server = Server()
    keep_serving(server)

    server.builder()

    assert caplog.messages[0].startswith("Made again in ")


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")  # MkDocs leaves its socket open
def test_serve_with_mistakes_at_the_start(site, core):
    """With mistakes at the start there is nothing to serve: they reach the command as they are."""
    core.mistakes = MISTAKES

    with pytest.raises(RecordError):
        run.serve(site.config_file)

    gc.collect()


def test_serve_at_an_address_in_use(site, core):
    """An address that is in use is said in words."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]

        with pytest.raises(SiteError, match=f"127.0.0.1:{port} cannot be used"):
            run.serve(site.config_file, address=f"127.0.0.1:{port}")


def test_serve_with_settings_that_cannot_be(site, core, tmp_path, monkeypatch):
    """Mistakes in mkdocs.yml are said before anything is begun; no temporary folder stays behind."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    before = sorted(tmp_path.iterdir())
    site.config_file.write_text("docs_dir: content\n")

    with pytest.raises(SiteError, match="'site_name': Required"):
        run.serve(site.config_file)

    assert sorted(tmp_path.iterdir()) == before


@pytest.mark.parametrize("address", ["nonsense", ":8000", "127.0.0.1:http", "127.0.0.1:99999"])
def test_serve_at_no_address(site, core, address):
    """What is no host and port is refused before anything is made."""
    with pytest.raises(SiteError, match=f"{address} is no address to serve at"):
        run.serve(site.config_file, address=address)

    assert core.asked == []


@pytest.fixture
def served(site, tmp_path):
    """The workshop served by another process with the real core; gives its address and what it says."""
    site.write("workshop.yml", "format: 1\nname: Tern Quay Models\nstages:\n  - {id: a, name: Assembly, weight: 100}\n")
    site.write("builds/heron/build.yml", BUILD)
    site.write(
        "builds/heron/stages/2026-03-14-hull.yml", "date: 2026-03-14\nstage: a\ntitle: The hull\nsummary: Done.\n"
    )
    with socket.create_server(("127.0.0.1", 0)) as free:
        address = f"127.0.0.1:{free.getsockname()[1]}"
    code = (
        "import signal, sys; from pathlib import Path; from buildlog_mkdocs.run import serve;"
        "signal.signal(signal.SIGINT, signal.default_int_handler);"
        "serve(Path(sys.argv[1]), address=sys.argv[2])"
    )
    said = tmp_path / "said.txt"
    environment = {**os.environ, "TMPDIR": str(tmp_path / "tmp")}
    (tmp_path / "tmp").mkdir()
    with said.open("w") as stream:
        process = subprocess.Popen(
            [sys.executable, "-c", code, str(site.config_file), address], stderr=stream, stdout=stream, env=environment
        )
    yield f"http://{address}/quay/builds/heron/", said, process
    process.kill()
    process.wait()


BUILD = "name: Heron\nsubject: {name: Harbour tug, kind: vessel}\nscale: 1:24\nstatus: in progress\naudience: public\n"


def wait_for(condition, process=None):
    """Wait until something holds; polling watchers and busy machines take their time."""
    end = time.monotonic() + 60
    while not condition():
        assert time.monotonic() < end, "waited for a minute"
        assert process is None or process.poll() is None, "the server has ended"
        time.sleep(0.1)


def page_at(url):
    """Read a page; empty while nothing answers."""
    parts = urlsplit(url)
    connection = http.client.HTTPConnection(parts.netloc, timeout=10)
    try:
        connection.request("GET", parts.path)
        return connection.getresponse().read().decode()
    except (OSError, http.client.HTTPException):
        return ""
    finally:
        connection.close()


def test_preview(site, served, tmp_path):
    """A preview follows a change, survives a mistake with the last good site, recovers, and leaves nothing behind."""
    url, said, process = served
    wait_for(lambda: "Harbour tug" in page_at(url), process)

    site.write("builds/heron/build.yml", BUILD.replace("Harbour tug", "Steam pinnace"))
    wait_for(lambda: "Steam pinnace" in page_at(url), process)

    site.write("builds/heron/build.yml", BUILD.replace("1:24", "1-24"))
    wait_for(lambda: "until this is mended" in said.read_text(), process)
    assert "builds/heron/build.yml:3" in said.read_text()
    assert "Traceback" not in said.read_text()
    assert "Steam pinnace" in page_at(url)

    site.write("builds/heron/build.yml", BUILD.replace("Harbour tug", "Lightship tender"))
    wait_for(lambda: "Lightship tender" in page_at(url), process)

    process.send_signal(signal.SIGINT)
    process.wait(timeout=30)
    assert {path.name for path in site.root.iterdir()} == {".buildlog", "content", "mkdocs.yml"}
    assert list((tmp_path / "tmp").iterdir()) == []
