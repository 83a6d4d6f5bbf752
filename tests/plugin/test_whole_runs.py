"""A run ends with the whole site in place, or with the last good one untouched and all mistakes said."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace

import pytest
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.exceptions import Abort

from buildlog.photos.store import StoreError
from buildlog.publish.putting import FreshFolder, SiteError
from tests.plugin.sites import DOUBT, HERON, MISTAKES


@pytest.fixture
def last_good(site, core):
    """A site that a run has put in place, as bytes by path."""
    site.build()
    return lambda: {path: (site.made / path).read_bytes() for path in site.files()}


def around(site):
    """What lies beside the records, hidden or not."""
    return {path.name for path in site.root.iterdir()} - {".buildlog"}


# --- mistakes ------------------------------------------------------------------------------------


def test_mistakes_in_records(site, core, last_good, caplog):
    """Every mistake is said on its line, the run ends, and the last good site stays."""
    before, content = last_good(), site.content.as_posix()
    core.mistakes = MISTAKES

    with pytest.raises(Abort):
        site.build()

    assert caplog.messages == [
        f"{content}/builds/heron/build.yml:14:8: scale: 1-24 is no scale; write 1:24\n"
        f"{content}/library/paints.yml:2:3: entry 1, colour: red is no colour; write it as #b3202a\n"
        "2 problems; the last good site is as it was."
    ]
    assert last_good() == before
    assert around(site) == {"content", "mkdocs.yml", "site"}


def test_recovery_after_mistakes(site, core, last_good):
    """Once mended, the next run of the same process makes the site."""
    core.mistakes = MISTAKES
    with pytest.raises(Abort):
        site.build()
    core.mistakes = ()
    core.give(pages=(*core.made.pages[:2], replace(HERON, html="<p>mended</p>")))

    site.build()

    assert "<p>mended</p>" in site.read("builds/heron/index.html")
    assert around(site) == {"content", "mkdocs.yml", "site"}


def test_store_that_cannot_be_used(site, core, monkeypatch, caplog):
    """A folder of pictures that cannot be used ends the run in words."""

    def refuse(*_, **__):
        raise StoreError("the store is full")

    monkeypatch.setattr("buildlog_mkdocs.plugin.make_site", refuse)

    with pytest.raises(Abort):
        site.build()

    assert caplog.messages == ["the store is full\nThe last good site is as it was."]


def test_bug_keeps_its_traceback(site, core, last_good, monkeypatch):
    """A fault of ours is not dressed up as a mistake of theirs; the last good site stays all the same."""
    before = last_good()

    def fail(*_, **__):
        raise ZeroDivisionError

    monkeypatch.setattr("buildlog_mkdocs.plugin.make_site", fail)

    with pytest.raises(ZeroDivisionError):
        site.build()

    assert last_good() == before
    assert around(site) == {"content", "mkdocs.yml", "site"}


def test_interrupted_run(site, core, last_good, monkeypatch):
    """Ctrl-C in the middle of a run leaves the last good site, and nothing else."""
    before = last_good()

    def interrupt(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("mkdocs.commands.build._build_page", interrupt)

    with pytest.raises(KeyboardInterrupt):
        site.build()

    assert last_good() == before
    assert around(site) == {"content", "mkdocs.yml", "site"}


def test_failure_at_the_end(site, core, last_good):
    """Another plugin that fails after everything was written costs nothing."""
    before = last_good()
    core.give(pages=core.made.pages[:1])

    def fail(*_, **__):
        raise ZeroDivisionError

    config = load_config(str(site.config_file))
    events = config.plugins.events["post_build"]
    events.insert(len(events) - 1, fail)  # the plugin's own event comes last
    with pytest.raises(ZeroDivisionError):
        build(config)

    assert last_good() == before
    assert around(site) == {"content", "mkdocs.yml", "site"}


# --- strict --------------------------------------------------------------------------------------


def test_doubt_is_a_warning(site, core, caplog):
    """A doubt of the core is a warning, and the site is made."""
    core.give(warnings=(DOUBT,))

    site.build()

    assert caplog.messages == [f"{site.content.as_posix()}/builds/heron/build.yml:3:1: areas: nothing lies there"]
    assert caplog.records[0].name == "mkdocs.plugins.buildlog"
    assert (site.made / "index.html").exists()


@pytest.mark.parametrize("where", ["records", "guide", "stray"])
def test_strict_run_with_a_warning(site, core, last_good, where):
    """A strict run with any warning, of ours or of MkDocs, leaves the last good site in place."""
    before = last_good()
    if where == "records":
        core.give(warnings=(DOUBT,))
    elif where == "guide":
        site.write("guide/index.md", "[nowhere](nowhere.md)\n")
    else:
        site.write("stray.pdf")
    core.give(pages=(*core.made.pages[:3],))

    with pytest.raises(Abort, match="1 warnings in strict mode"):
        site.build(strict=True)

    assert last_good() == before
    assert around(site) == {"content", "mkdocs.yml", "site"}


def test_strict_run_without_a_warning(site, core, last_good):
    """A strict run that has nothing to warn of puts the site in place."""
    core.give(pages=core.made.pages[:3])
    site.set(nav=[{"Home": "index.md"}, {"Guide": "guide/index.md"}])

    site.build(strict=True)

    assert "builds/heron/2026-03-14-hull/index.html" not in last_good()


# --- the site's place ----------------------------------------------------------------------------


def test_who_builds_without_startup(site, core):
    """A program that calls MkDocs' build alone gets its site, and its settings back."""
    config = load_config(str(site.config_file))

    build(config)

    assert (site.made / "index.html").exists()
    assert config.site_dir == str(site.made)
    assert around(site) == {"content", "mkdocs.yml", "site"}


def test_site_dir_for_what_follows(site, core):
    """What follows a run, such as `mkdocs gh-deploy`, finds the site in site_dir, whether the run went well or not."""
    config = site.build(site_dir=str(site.root / "public"))

    assert config.site_dir == str(site.root / "public")
    core.mistakes = MISTAKES
    config = load_config(str(site.config_file))
    with pytest.raises(Abort):
        build(config)
    assert config.site_dir == str(site.made)


def test_folder_of_somebody(site, core, caplog):
    """A site_dir with somebody's files is refused before anything is read, and nothing in it is lost."""
    (site.made).mkdir()
    (site.made / "thesis.odt").write_text("years of work")

    with pytest.raises(Abort):
        site.build()

    assert "holds files that buildlog has not made (thesis.odt)" in caplog.text
    assert site.read("thesis.odt") == "years of work"
    assert core.asked == []


def test_two_runs_at_once(site, core, last_good, caplog):
    """A second run meanwhile is refused in words."""
    first = FreshFolder(site.made)

    with pytest.raises(Abort):
        site.build()

    assert "another run is making" in caplog.text
    first.discard()


def test_place_that_is_taken_at_the_last_moment(site, core, last_good, monkeypatch, caplog):
    """When the finished site cannot take its place, the run fails and the last one stays."""
    before = last_good()

    def refuse(fresh):
        raise SiteError("it is in use")

    monkeypatch.setattr(FreshFolder, "put_in_place", refuse)

    with pytest.raises(Abort):
        site.build()

    assert "it is in use\nThe last good site is as it was." in caplog.text
    assert last_good() == before
    assert around(site) == {"content", "mkdocs.yml", "site"}


# --- settings ------------------------------------------------------------------------------------


def test_what_the_core_is_told(site, core):
    """The core is told where the records lie, where made pictures go, and where the site will stand."""
    site.build()

    (asked,) = core.asked
    assert asked["content"] == site.content
    assert asked["store"] == site.root / ".buildlog" / "pictures"
    assert asked["site_url"] == "https://models.example.org/quay/"


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        pytest.param(
            {"plugins": [{"buildlog": {"store": "content/made"}}]}, "lies among the sources", id="store-in-content"
        ),
        pytest.param({"theme": {"name": "mkdocs"}}, "the sheets need the theme material", id="other-theme"),
    ],
)
def test_settings_that_cannot_be(site, core, caplog, settings, said):
    """Settings that would go wrong later are refused at once."""
    site.set(**settings)

    with pytest.raises(Abort):
        site.build()

    assert said in caplog.text
    assert not site.made.exists()


@pytest.mark.parametrize(
    "options",
    [
        pytest.param({"content": "nowhere"}, id="no-such-folder"),
        pytest.param({"contents": "content"}, id="misspelt"),
    ],
)
def test_options_are_checked(site, core, options):
    """Options of the plugin are checked by MkDocs, as strictly as its own."""
    site.set(plugins=[{"buildlog": options}])

    with pytest.raises(Abort):
        load_config(str(site.config_file), strict=True)


def test_own_templates_have_the_last_word(site, core):
    """A workshop's own custom_dir comes before the sheets' templates."""
    (site.root / "own").mkdir()
    (site.root / "own" / "sheet.html").write_text("own {{ config.extra.buildlog.workshop }}: {{ page.content }}")
    site.set(theme={"name": "material", "custom_dir": "own"})

    site.build()

    assert site.read("builds/heron/index.html").startswith("own Tern Quay Models: <h1")


# --- the real thing ------------------------------------------------------------------------------


def mkdocs(site, *arguments):
    """Run MkDocs' own command, as a person does."""
    environment = {**os.environ, "NO_MKDOCS_2_WARNING": "1", "NO_COLOR": "1"}
    return subprocess.run(
        [sys.executable, "-m", "mkdocs", *arguments, "-f", str(site.config_file)],
        capture_output=True,
        text=True,
        env=environment,
        check=False,
    )


def test_command_with_a_mistake(site):
    """MkDocs' own command, with the real core: mistakes on their lines, status 1, no traceback, nothing written."""
    site.write("builds/heron/build.yml", "name: Heron\nscale: 1-24\ncolour: red\n")

    done = mkdocs(site, "build")

    assert done.returncode == 1
    assert "builds/heron/build.yml:2" in done.stderr
    assert "builds/heron/build.yml:3" in done.stderr
    assert "Traceback" not in done.stdout + done.stderr
    assert around(site) == {"content", "mkdocs.yml"}


def test_command_with_a_small_workshop(site):
    """MkDocs' own command makes a small workshop's site with the real core, and nothing private is in it."""
    site.write(
        "workshop.yml",
        "format: 1\nname: Tern Quay Models\nstages:\n  - {id: assembly, name: Assembly, weight: 100}\n",
    )
    site.write(
        "builds/heron/build.yml",
        "name: Heron\nsubject: {name: Harbour tug, kind: vessel}\nscale: 1:24\nstatus: in progress\naudience: public\n"
        "views: [port bow]\nprivate: {client: Zebulon Quartermain, email: z@example.org}\n",
    )
    site.write(
        "builds/heron/stages/2026-03-14-hull.yml",
        "date: 2026-03-14\nstage: assembly\ntitle: The hull\nsummary: Planked.\nphotos:\n"
        "  - file: 2026-03-14/IMG_0001.jpg\n    view: port bow\n    alt: The port bow, planked.\n",
    )

    done = mkdocs(site, "build", "--strict")

    assert done.returncode == 0, done.stderr
    assert "The hull" in site.read("builds/heron/2026-03-14-hull/index.html")
    suffixes = {path.suffix for path in site.made.rglob("*") if path.is_file()}
    assert not suffixes & {".yml", ".yaml", ".csv"}
    assert not [path for path in site.made.rglob("*") if path.is_file() and b"Quartermain" in path.read_bytes()]
