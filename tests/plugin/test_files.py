"""What stays home, and what reaches the site without being copied."""

from __future__ import annotations

import errno
import os
import re
from pathlib import PurePosixPath

import pytest
from PIL import Image

from buildlog.publish.putting import MARKER, SiteError
from buildlog_mkdocs.files import is_open, link_files
from tests.plugin.sites import PHOTO

OURS = {
    MARKER,
    "404.html",
    "index.html",
    "catalogue/index.html",
    "builds/heron/index.html",
    "builds/heron/2026-03-14-hull/index.html",
    "guide/index.html",
    "pictures/a.320w.webp",
    "search/search_index.json",
    "sitemap.xml",
    "sitemap.xml.gz",
}


def test_nothing_of_the_records_is_published(site, core):
    """Of records, time sheets, library and photos not one file reaches the site, nor does their text."""
    site.build(strict=True)

    assert site.files() == OURS
    photo = (site.content / PHOTO).read_bytes()
    assert not any(path.read_bytes() == photo for path in site.made.rglob("*.*"))


@pytest.mark.parametrize(
    "path",
    [
        pytest.param("builds/heron/notes.md", id="markdown-among-the-records"),
        pytest.param("builds/README.md", id="markdown-above-the-builds"),
        pytest.param("library/index.md", id="markdown-in-the-library"),
        pytest.param("Library/index.md", id="other-case"),
        pytest.param("builds/heron/plan.pdf", id="drawing-of-a-build"),
        pytest.param("builds/heron/page.html", id="html-of-a-build"),
        pytest.param(".env", id="hidden"),
        pytest.param("files/.git/config", id="hidden-folder"),
        pytest.param("files/.htpasswd", id="hidden-in-an-open-folder"),
        pytest.param("files/client-keys.yml", id="keys-of-clients"),
        pytest.param("guide/Server.KEY", id="private-key"),
        pytest.param("guide/plan.md~", id="left-by-an-editor"),
        pytest.param("guide/Thumbs.db", id="left-by-a-desktop"),
    ],
)
def test_kept_home_in_silence(site, core, caplog, path):
    """What nobody expects on the site stays home without a word."""
    site.write(path, "secret words")

    site.build()

    assert site.files() == OURS
    assert "kept out" not in caplog.text


@pytest.mark.parametrize("path", ["plan.pdf", "about.jpg", "clients.csv", "notes/list.txt", "extra.yml"])
def test_stray_file(site, core, caplog, path):
    """A file that is no record and lies in no open folder stays home, and that is said once."""
    site.write(path, "secret words")

    site.build()

    assert site.files() == OURS
    assert caplog.messages == [
        f"1 file is kept out of the site: {path}. Put what visitors may have into files/, and remove the rest."
    ]


def test_many_strays_are_said_once(site, core, caplog):
    """Hundreds of stray files give one line, not hundreds."""
    for number in range(200):
        site.write(f"scans/{number:03}.png")

    site.build()

    assert len(caplog.messages) == 1
    assert caplog.messages[0].startswith("200 files are kept out of the site: scans/000.png, scans/001.png, ")


def test_files_that_the_settings_exclude(site, core, caplog):
    """A file that the workshop itself excludes is no stray."""
    site.write("old/plan.pdf")
    site.set(exclude_docs="old/\n")

    site.build()

    assert caplog.messages == []


def test_open_files_are_published(site, core):
    """Written pages, and what lies in the open folders, is published as it is."""
    for path in ("files/plan.pdf", "files/a/b/c.csv", "guide/step.png", "guide/example/workshop.yml"):
        site.write(path, "as it is")
    site.write("about.md", "# About us\n")

    site.build()

    published = {"files/plan.pdf", "files/a/b/c.csv", "guide/step.png", "guide/example/workshop.yml"}
    assert site.files() == OURS | published | {"about/index.html"}
    assert site.read("files/a/b/c.csv") == "as it is"


def test_files_that_the_settings_name(site, core):
    """A style, a script and a logo that mkdocs.yml names are published from wherever they lie."""
    site.write("look/own.css", "a{}")
    site.write("look/own.js", "1")
    Image.new("RGB", (8, 8)).save(site.content / "look" / "logo.png")
    site.set(
        extra_css=["look/own.css"],
        extra_javascript=["look/own.js"],
        theme={"name": "material", "logo": "look/logo.png"},
    )

    site.build(strict=True)

    assert site.files() == OURS | {"look/own.css", "look/own.js", "look/logo.png"}


@pytest.mark.parametrize(
    "leads_to",
    [
        pytest.param(f"../{PHOTO}", id="original-photo"),
        pytest.param("../builds/heron/build.yml", id="record"),
        pytest.param("../../outside.png", id="outside-the-content-folder"),
    ],
)
def test_link_out_of_an_open_folder(site, core, caplog, leads_to):
    """A link in an open folder does not publish what stays home; it is told, since its writer expects it."""
    site.write("guide/plain.txt")
    (site.root / "outside.png").write_text("a secret")
    (site.content / "guide" / "shown.png").symlink_to(leads_to)

    site.build()

    assert site.files() == OURS | {"guide/plain.txt"}
    assert "kept out of the site: guide/shown.png" in caplog.text


def test_linked_folder(site, core):
    """A whole folder of photos that is linked into an open folder stays home too."""
    (site.content / "guide" / "photos").symlink_to("../builds/heron/photos", target_is_directory=True)

    site.build()

    assert site.files() == OURS


def test_link_among_open_files(site, core):
    """A link from one open file to another is published."""
    site.write("files/a.txt", "shared")
    (site.content / "guide" / "a.txt").symlink_to("../files/a.txt")

    site.build()

    assert site.read("guide/a.txt") == "shared"


def test_records_apart_from_the_pages(site, core):
    """Records may lie in a folder of their own; then docs_dir is an ordinary folder of pages and files."""
    (site.root / "pages").mkdir()
    (site.root / "pages" / "plan.pdf").write_text("open")
    (site.root / "pages" / "more.md").write_text("# More\n")
    site.set(docs_dir="pages", plugins=[{"buildlog": {"content": "content"}}, "search"], nav=None)

    site.build()

    assert site.files() == OURS - {"guide/index.html"} | {"plan.pdf", "more/index.html"}
    assert core.asked[0]["content"] == site.content


@pytest.mark.parametrize(
    ("path", "may"),
    [
        pytest.param("index.md", True, id="page"),
        pytest.param("guide/a/b.png", True, id="open-folder"),
        pytest.param("files", False, id="file-named-like-an-open-folder"),
        pytest.param("guides/a.png", False, id="folder-with-another-name"),
        pytest.param("a/guide/b.png", False, id="open-folder-further-down"),
        pytest.param("workshop.yml", False, id="record"),
        pytest.param("WORKSHOP.YML", False, id="record-in-capitals"),
    ],
)
def test_what_is_open(path, may):
    """The list of what may be published is short, and holds for the top of the content folder."""
    assert is_open(PurePosixPath(path)) is may


# --- the core's files ------------------------------------------------------------------------------


def test_made_files_are_linked(site, core):
    """A made picture reaches the site without being copied."""
    site.build()

    made = core.made.files["pictures/a.320w.webp"]
    assert (site.made / "pictures/a.320w.webp").samefile(made)


def test_made_files_are_copied_where_links_fail(site, core, monkeypatch):
    """On another disk the picture is copied."""

    def refuse(source, target):
        raise OSError(errno.EXDEV, "Invalid cross-device link")

    monkeypatch.setattr(os, "link", refuse)
    site.build()

    made, shown = core.made.files["pictures/a.320w.webp"], site.made / "pictures/a.320w.webp"
    assert shown.read_bytes() == made.read_bytes()
    assert not shown.samefile(made)


def test_preview_points_at_made_files(core, tmp_path, monkeypatch):
    """A preview, which lies on another disk on many machines, points at the pictures and copies none."""

    def refuse(source, target):
        raise OSError(errno.EXDEV, "Invalid cross-device link")

    monkeypatch.setattr(os, "link", refuse)

    link_files(core.made.files, tmp_path, may_point=True)

    shown = tmp_path / "pictures/a.320w.webp"
    assert shown.is_symlink()
    assert shown.samefile(core.made.files["pictures/a.320w.webp"])


def test_made_file_that_is_gone(tmp_path):
    """A made file that has vanished from the store ends the run in words."""
    with pytest.raises(SiteError, match=r"pictures/a\.webp could not be put into the site \(No such file"):
        link_files({"pictures/a.webp": tmp_path / "gone.webp"}, tmp_path / "site")


def test_styles_and_scripts(site, core, monkeypatch, tmp_path):
    """The core's assets reach the site: one style sheet, before the workshop's own, and the modules a page names."""
    assets = tmp_path / "package" / "assets"
    (assets / "fonts").mkdir(parents=True)
    for name in ("sheet.css", "tokens.css", "walkaround.js", "other.js", "fonts/a.woff2", ".hidden", "__init__.py"):
        (assets / name).write_text(f"/* {name} */")
    monkeypatch.setattr("buildlog_mkdocs.files.resources", lambda package: tmp_path / "package")
    site.write("files/own.css", "a{}")
    site.set(extra_css=["files/own.css"])
    site.build()

    folder = site.made / "assets/buildlog"
    made = {path.relative_to(folder).as_posix() for path in folder.rglob("*.*")}
    assert made >= {"sheet.css", "tokens.css", "walkaround.js", "fonts/a.woff2"}
    assert not made & {".hidden", "__init__.py"}
    page = site.read("builds/heron/index.html")
    assert page.index("../../assets/buildlog/sheet.css") < page.index("../../files/own.css")
    assert "tokens.css" not in page
    assert re.findall(r'<script type="module" src="(.*?)"', page) == ["../../assets/buildlog/walkaround.js"]
    assert 'type="module"' not in site.read("builds/heron/2026-03-14-hull/index.html")


def test_light_and_dark(site, core):
    """A site follows the reader's system between light and dark and offers the choice; its own palette prevails."""
    site.build()
    usual = site.read("index.html")
    site.set(theme={"name": "material", "palette": {"scheme": "slate"}})
    site.build()
    own = site.read("index.html")

    assert re.findall(r'data-md-color-media="(.*?)" data-md-color-scheme="(.*?)"', usual) == [
        ("(prefers-color-scheme)", "default"),
        ("(prefers-color-scheme: light)", "default"),
        ("(prefers-color-scheme: dark)", "slate"),
    ]
    assert '<body dir="ltr" data-md-color-scheme="slate"' in own
    assert "data-md-color-media" not in own


def test_no_other_host(site, core):
    """No page loads anything from another host, whatever the theme's own defaults are."""
    site.set(theme={"name": "material", "font": {"text": "Roboto"}})

    site.build()

    for page in site.made.rglob("*.html"):
        text = page.read_text(encoding="utf-8")
        assert "fonts.googleapis" not in text
        assert 'src="http' not in text
        assert 'rel="stylesheet" href="http' not in text
