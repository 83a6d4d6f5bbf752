"""The demo's site as files: valid, complete, whole, and nothing in it that should have stayed home."""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
import sys
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urljoin, urlsplit

import yaml

from tests.conftest import ROOT
from tests.photos.parsing import jpeg_segments, webp_chunks

VNU = Path(sys.prefix) / "tools" / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"


def html_files(site: Path) -> list[Path]:
    return sorted(site.rglob("*.html"))


def our_pages(site: Path) -> list[Path]:
    """Pages whose HTML the core makes."""
    return [site / "index.html", site / "catalogue" / "index.html", *sorted((site / "builds").rglob("index.html"))]


class Page(HTMLParser):
    """Links, sources and anchors of a page."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.links: list[str] = []
        self.anchors: list[str] = []
        self.feed(path.read_text(encoding="utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if not value:
                continue
            if name == "id" or (name == "name" and tag == "a"):
                self.anchors.append(value)
            elif name in ("href", "src"):
                self.links.append(value)
            elif name == "srcset":
                self.links += [part.split()[0] for part in value.split(",")]


def test_pages_are_valid_html(demo_site):
    """The Nu HTML checker finds no error on any page, whoever made it."""
    found = subprocess.run(
        ["java", "-jar", str(VNU), "--errors-only", "--format", "json", *map(str, html_files(demo_site))],
        capture_output=True,
        text=True,
        check=False,
    )

    messages = json.loads(found.stderr)["messages"]
    assert [f"{one['url']}:{one.get('lastLine')}: {one['message']}" for one in messages] == []


def test_every_link_leads_somewhere(demo_site):
    """Every link, picture and fragment within the site exists, and nothing is loaded from elsewhere."""
    pages = {path: Page(path) for path in html_files(demo_site)}
    base = "https://site.invalid/"
    wrong = []
    for path, page in pages.items():
        here = urljoin(base, path.relative_to(demo_site).as_posix())
        if path.name == "404.html":
            continue
        for link in page.links:
            if urlsplit(link).scheme in ("http", "https", "mailto", "data"):
                continue
            target = urlsplit(urljoin(here, link))
            file = demo_site / unquote(target.path).lstrip("/")
            file = file / "index.html" if file.is_dir() else file
            fragment = unquote(target.fragment)
            if not file.is_file():
                wrong.append(f"{path}: {link} leads nowhere")
            elif fragment and file in pages and fragment not in pages[file].anchors:
                wrong.append(f"{path}: {link} has no such place")

    assert wrong == []


def test_no_anchor_stands_twice(demo_site):
    """An anchor leads to one place."""
    for path in html_files(demo_site):
        anchors = Page(path).anchors

        assert sorted({one for one in anchors if anchors.count(one) > 1}) == [], path


def originals() -> list[Path]:
    return [path for path in (ROOT / "content" / "builds").rglob("*") if path.suffix.lower() in (".jpg", ".png")]


def test_no_original_is_published(demo_site):
    """Neither by its bytes nor by its name, and no record, sheet of hours or library file either."""
    digests = {hashlib.sha256(path.read_bytes()).digest() for path in originals()}
    names = {path.name for path in originals()}

    for path in demo_site.rglob("*"):
        if path.is_file():
            assert path.name not in names
            assert path.suffix not in (".yml", ".yaml", ".csv")
            assert hashlib.sha256(path.read_bytes()).digest() not in digests


def private_words() -> Iterator[str]:
    """Every value under `private:` in the demo, and words that only its draft and its client's record have."""
    for path in (ROOT / "content" / "builds").glob("*/build.yml"):
        yield from map(str, (yaml.safe_load(path.read_text(encoding="utf-8")).get("private") or {}).values())
    yield from ("Quince-marmalade", "Oystercatcher", "petrel", "case-and-plate")


def test_no_private_value_draft_or_client_text_is_published(demo_site):
    """What is private, a draft, or the client's alone is in no file of the site, whatever its kind."""
    words = [re.sub(r"\s+", " ", word).encode() for word in private_words()]
    assert len(words) > 10

    for path in demo_site.rglob("*"):
        if path.is_file():
            whole = re.sub(rb"\s+", b" ", path.read_bytes())
            assert [word for word in words if word.lower() in whole.lower()] == [], path


def test_pictures_carry_nothing(demo_site):
    """Read byte by byte, a published picture is pixels and nothing else: no block in which a camera could tell."""
    pictures = [path for path in (demo_site / "pictures").rglob("*") if path.is_file()]
    assert len(pictures) > 100

    for path in pictures:
        content = path.read_bytes()
        if path.suffix == ".webp":
            assert {kind for kind, _ in webp_chunks(content)} <= {"VP8 ", "VP8L"}, path
        else:
            assert path.suffix == ".jpg"
            kinds = {kind for kind, _ in jpeg_segments(content)}
            assert kinds <= {"e0", "db", "c0", "c2", "c4", "da", "dd"}, path


def test_two_runs_give_the_same_bytes(make_demo, demo_site):
    """The site is a function of the records and photos alone."""
    again = make_demo()

    def digests(site: Path) -> dict[str, str]:
        return {
            path.relative_to(site).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
            for path in sorted(site.rglob("*"))
            if path.is_file()
        }

    assert digests(again) == digests(demo_site)


def test_the_site_says_that_the_workshop_is_invented(demo_site):
    """Every page the core makes says so at its foot."""
    for path in our_pages(demo_site):
        html = path.read_text(encoding="utf-8")
        if 'http-equiv="refresh"' not in html:
            assert "is an invented workshop; its pictures are renderings" in html, path
