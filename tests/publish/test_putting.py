"""A made site takes its place whole or not at all, and nothing of a person's is lost on the way."""

from __future__ import annotations

import errno
import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from buildlog.publish.putting import MARKER, FreshFolder, SiteError


@pytest.fixture
def last_good(tmp_path):
    """A site that an earlier run has put in place."""
    with FreshFolder(tmp_path / "site") as fresh:
        (fresh.path / "index.html").write_text("last good")
        (fresh.path / "old.html").write_text("gone from the next")
    return tmp_path / "site"


def fill(fresh: FreshFolder, text: str = "fresh") -> None:
    """Make a site of one page."""
    (fresh.path / "index.html").write_text(text)


def names_in(folder: Path) -> list[str]:
    """What lies at the top of a folder."""
    return sorted(path.name for path in folder.iterdir())


def everything_in(folder: Path) -> list[str]:
    """What lies in a folder at any depth."""
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*"))


def run_and_die(target: Path, *lines: str) -> int:
    """Make a site in another process that runs `lines` and is then killed as the system kills."""
    code = [
        "import os, signal",
        "from pathlib import Path",
        "from buildlog.publish import putting",
        "die = lambda *_, **__: os.kill(os.getpid(), signal.SIGKILL)",
        f"fresh = putting.FreshFolder(Path({str(target)!r}))",
        "(fresh.path / 'index.html').write_text('half made')",
        *lines,
        "die()",
    ]
    root = Path(__file__).parents[2]
    return subprocess.run([sys.executable, "-c", "\n".join(code)], cwd=root, check=False).returncode


# --- when all goes well --------------------------------------------------------------------------


def test_first_site(tmp_path):
    """A site is put in place where none was, with the folders above it, and nothing else is left behind."""
    with FreshFolder(tmp_path / "out" / "of" / "site") as fresh:
        fill(fresh)

    assert everything_in(tmp_path) == [
        "out",
        "out/of",
        "out/of/site",
        f"out/of/site/{MARKER}",
        "out/of/site/index.html",
    ]


def test_next_site_replaces_the_last(last_good):
    """The next site stands alone: nothing of the last one is mixed into it."""
    with FreshFolder(last_good) as fresh:
        fill(fresh)

    assert everything_in(last_good) == [MARKER, "index.html"]
    assert (last_good / "index.html").read_text() == "fresh"
    assert names_in(last_good.parent) == ["site"]


def test_last_site_stands_until_the_end(last_good):
    """While a site is being made the last one is whole."""
    with FreshFolder(last_good) as fresh:
        fill(fresh)

        assert (last_good / "index.html").read_text() == "last good"


def test_hidden_files_are_carried_over(last_good):
    """Hidden files at the top belong to the person, as a git checkout does; the fresh site's own prevail."""
    (last_good / ".git" / "refs").mkdir(parents=True)
    (last_good / ".nojekyll").write_text("the person's")

    with FreshFolder(last_good) as fresh:
        fill(fresh)
        (fresh.path / ".nojekyll").write_text("the run's")

    assert everything_in(last_good) == [MARKER, ".git", ".git/refs", ".nojekyll", "index.html"]
    assert (last_good / ".nojekyll").read_text() == "the run's"


def test_folder_of_hidden_files_alone(tmp_path):
    """A folder that holds nothing but a git checkout's own files may become the site."""
    (tmp_path / "site" / ".git").mkdir(parents=True)

    with FreshFolder(tmp_path / "site") as fresh:
        fill(fresh)

    assert everything_in(tmp_path / "site") == [MARKER, ".git", "index.html"]


def test_link_to_a_folder(last_good, tmp_path):
    """Where the site's place is a link, the folder it leads to is replaced and the link stays."""
    link = tmp_path / "elsewhere" / "public"
    link.parent.mkdir()
    link.symlink_to(last_good)

    with FreshFolder(link) as fresh:
        fill(fresh)

    assert link.is_symlink()
    assert (link / "index.html").read_text() == "fresh"
    assert fresh.path.parent.parent == last_good.parent


def test_permissions_stay(last_good):
    """A site that a group may write to stays so."""
    last_good.chmod(0o775)

    with FreshFolder(last_good) as fresh:
        fill(fresh)

    assert last_good.stat().st_mode & 0o777 == 0o775


def test_folder_that_cannot_be_renamed_is_copied_away(last_good, monkeypatch):
    """A disk that refuses to rename a folder (one of a container's image) still gets the new site."""
    rename = Path.rename

    def refuse(source, target):
        if source == last_good:
            raise OSError(errno.EXDEV, os.strerror(errno.EXDEV))
        return rename(source, target)

    monkeypatch.setattr(Path, "rename", refuse)

    with FreshFolder(last_good) as fresh:
        fill(fresh)

    assert everything_in(last_good) == [MARKER, "index.html"]
    assert names_in(last_good.parent) == ["site"]


# --- when it does not ----------------------------------------------------------------------------


@pytest.mark.parametrize("error", [ValueError, KeyboardInterrupt], ids=["bug", "ctrl-c"])
def test_failed_run(last_good, error):
    """A run that fails or is interrupted leaves the last site as it was, and nothing else."""
    before = everything_in(last_good)

    def fail():
        with FreshFolder(last_good) as fresh:
            fill(fresh)
            raise error

    with pytest.raises(error):
        fail()

    assert everything_in(last_good) == before
    assert names_in(last_good.parent) == ["site"]


def test_failed_first_run(tmp_path):
    """A first run that fails takes away the folders it has made."""
    with pytest.raises(ValueError, match="bug"), FreshFolder(tmp_path / "a" / "b" / "site"):
        raise ValueError("bug")

    assert everything_in(tmp_path) == []


def test_swap_that_fails_half_way(last_good, monkeypatch):
    """When the fresh folder cannot take the place, the last site is put back."""
    rename = Path.rename

    def refuse(source, target):
        if source.name == "new":
            raise PermissionError(errno.EACCES, "Permission denied")
        return rename(source, target)

    monkeypatch.setattr(Path, "rename", refuse)
    before = everything_in(last_good)

    with (
        pytest.raises(SiteError, match=r"could not be replaced \(Permission denied\)"),
        FreshFolder(last_good) as fresh,
    ):
        fill(fresh)

    assert everything_in(last_good) == before
    assert names_in(last_good.parent) == ["site"]


@pytest.mark.parametrize(
    ("lines", "left"),
    [
        pytest.param([], "last good", id="while-making"),
        pytest.param(["Path.rename = die", "fresh.put_in_place()"], "last good", id="before-the-last-site-is-aside"),
        pytest.param(
            [
                "rename = Path.rename",
                "Path.rename = lambda a, b: die() if a.name == 'new' else rename(a, b)",
                "fresh.put_in_place()",
            ],
            "last good",
            id="between-the-two-renames",
        ),
        pytest.param(["putting.shutil.rmtree = die", "fresh.put_in_place()"], "half made", id="before-clearing-away"),
    ],
)
def test_killed_run(last_good, lines, left):
    """Whenever a run is killed, the next one finds a whole site and clears away what was left."""
    assert run_and_die(last_good, *lines) == -signal.SIGKILL
    assert (last_good.parent / ".site.making").exists()

    fresh = FreshFolder(last_good)

    assert (last_good / "index.html").read_text() == left
    assert everything_in(fresh.path) == []
    fresh.discard()
    assert names_in(last_good.parent) == ["site"]


def test_killed_after_the_swap_keeps_hidden_files(last_good):
    """Hidden files that a killed run has not carried over yet are carried over by the next."""
    (last_good / ".git").mkdir()
    run_and_die(
        last_good,
        "rename = Path.rename",
        "Path.rename = lambda a, b: die() if a.name == '.git' else rename(a, b)",
        "fresh.put_in_place()",
    )

    FreshFolder(last_good).discard()

    assert everything_in(last_good) == [MARKER, ".git", "index.html"]


def test_copying_away_that_is_killed(last_good):
    """A last site that was half removed when the run was killed is put back whole from its copy."""
    run_and_die(
        last_good,
        "rename = Path.rename",
        "def refuse(a, b):",
        "    if a.name == 'site': raise OSError(18, 'Invalid cross-device link')",
        "    return rename(a, b)",
        "Path.rename = refuse",
        "rmtree = putting.shutil.rmtree",
        "def remove(folder, **how):",
        "    (folder / 'old.html').unlink()",
        "    die()",
        "putting.shutil.rmtree = remove",
        "putting.errno.EXDEV = 18",
        "fresh.put_in_place()",
    )
    assert not (last_good / "old.html").exists()

    FreshFolder(last_good).discard()

    assert everything_in(last_good) == [MARKER, "index.html", "old.html"]


# --- what is refused -----------------------------------------------------------------------------


def test_folder_of_somebody(tmp_path):
    """A folder of files that no run has made is refused before anything is made, and named."""
    (tmp_path / "Documents").mkdir()
    (tmp_path / "Documents" / "thesis.odt").write_text("years of work")

    with pytest.raises(SiteError, match=r"holds files that buildlog has not made \(thesis\.odt\)"):
        FreshFolder(tmp_path / "Documents")

    assert everything_in(tmp_path) == ["Documents", "Documents/thesis.odt"]


def test_files_that_come_meanwhile(tmp_path):
    """Files that somebody puts into an empty place while a site is being made are not lost."""
    (tmp_path / "site").mkdir()
    fresh = FreshFolder(tmp_path / "site")
    fill(fresh)
    (tmp_path / "site" / "thesis.odt").write_text("years of work")

    with pytest.raises(SiteError, match="thesis"):
        fresh.put_in_place()

    assert everything_in(tmp_path) == ["site", "site/thesis.odt"]


def test_place_that_is_a_file(tmp_path):
    """A file in the site's place is refused and stays."""
    (tmp_path / "site").write_text("a note")

    with pytest.raises(SiteError, match="is a file"):
        FreshFolder(tmp_path / "site")

    assert (tmp_path / "site").read_text() == "a note"


@pytest.mark.parametrize(
    ("place", "said"),
    [
        pytest.param("note.txt/site", r"note\.txt is a file", id="below-a-file"),
        pytest.param("loop", "leads nowhere", id="link-in-a-circle"),
    ],
)
def test_place_that_cannot_be(tmp_path, place, said):
    """A place that cannot hold a folder is refused in words."""
    (tmp_path / "note.txt").write_text("a note")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")

    with pytest.raises(SiteError, match=said):
        FreshFolder(tmp_path / place)


def test_top_of_a_disk():
    """The top of a disk is refused."""
    with pytest.raises(SiteError, match="top of a disk"):
        FreshFolder(Path(Path.cwd().anchor))


def test_mounted_disk(last_good, monkeypatch):
    """A mounted disk cannot be renamed: refused at the start, with the way out."""
    monkeypatch.setattr(Path, "is_mount", lambda path: path == last_good)

    with pytest.raises(SiteError, match=r"name a folder inside it .*site.site"):
        FreshFolder(last_good)


def test_folder_above_that_may_not_be_written(last_good, monkeypatch):
    """Where the folder above is closed to us, that is said at the start and the site stays."""

    def refuse(path, *_, **__):
        raise PermissionError(errno.EACCES, "Permission denied")

    before = everything_in(last_good)
    monkeypatch.setattr(Path, "mkdir", refuse)

    with pytest.raises(SiteError, match=r"cannot be written to \(Permission denied\); name another folder"):
        FreshFolder(last_good)

    assert everything_in(last_good) == before


def test_site_that_may_not_be_replaced(last_good, monkeypatch):
    """A site folder that we may not write to is refused at the start, and nothing is left behind."""
    monkeypatch.setattr("buildlog.publish.putting.os.access", lambda path, mode: Path(path) != last_good)
    before = everything_in(last_good)

    with pytest.raises(SiteError, match="your permissions do not let you replace it; give yourself the right"):
        FreshFolder(last_good)

    assert everything_in(last_good) == before
    assert names_in(last_good.parent) == ["site"]


def test_permissions_that_are_taken_away_meanwhile(last_good, monkeypatch):
    """When the site cannot be moved at the end, the reason is said, and the fresh folder goes, closed as it may be."""
    rename, rmtree = Path.rename, shutil.rmtree

    def refuse(source, target):
        if source == last_good:
            raise PermissionError(errno.EACCES, "Permission denied")
        return rename(source, target)

    def as_a_user_would(path, ignore_errors=False):
        new = Path(path) / "new"
        if not new.exists() or new.stat().st_mode & 0o200:  # who runs the tests may be allowed everything
            rmtree(path, ignore_errors=ignore_errors)

    monkeypatch.setattr(Path, "rename", refuse)
    monkeypatch.setattr("buildlog.publish.putting.shutil.rmtree", as_a_user_would)
    last_good.chmod(0o555)

    with (
        pytest.raises(SiteError, match=r"could not be replaced \(Permission denied\); .* permissions let you"),
        FreshFolder(last_good) as fresh,
    ):
        fill(fresh)

    assert names_in(last_good.parent) == ["site"]


def test_left_over_of_somebody_else(last_good, monkeypatch):
    """What a killed run of another person has left, and we may not remove, is named with what to do."""
    (last_good.parent / ".site.making" / "new").mkdir(parents=True)

    def refuse(path, ignore_errors=False):
        if not ignore_errors:
            raise PermissionError(errno.EACCES, "Permission denied", path)

    monkeypatch.setattr("buildlog.publish.putting.shutil.rmtree", refuse)

    with pytest.raises(SiteError, match=r"\.site\.making cannot be cleared \(Permission denied\); remove it"):
        FreshFolder(last_good)


def test_two_runs_at_once(last_good):
    """A second run of the same site is refused while the first goes on, and welcome after it."""
    first = FreshFolder(last_good)
    fill(first, "the first")

    with pytest.raises(SiteError, match="another run is making"):
        FreshFolder(last_good)

    first.put_in_place()
    assert (last_good / "index.html").read_text() == "the first"
    with FreshFolder(last_good) as second:
        fill(second, "the second")
    assert (last_good / "index.html").read_text() == "the second"


def test_two_processes_at_once(last_good):
    """The same holds between two processes, which is how it happens."""
    with FreshFolder(last_good) as first:
        fill(first)
        code = run_and_die(last_good)

    assert code == 1  # refused with an error before it could be killed
    assert (last_good / "index.html").read_text() == "fresh"
