"""The promise: from nothing to a published page, with only words to write."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from PIL import Image

WORDS = {
    "title": "The hull goes together",
    "summary": "Both halves are joined: the keel is straight.",
    "view": "front left",  # another than the sample's, which the page would show beside it
    "caption": "Seen *from the side*, number {n}.",
    "alt": "The bare hull from its port side, number {n}.",
}


class Links(HTMLParser):
    """Every address that a page has its reader's browser fetch or follow."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Gather the addresses of one element."""
        for name, value in attrs:
            if name in {"href", "src"} and value:
                self.found.append(value)
            elif name == "srcset" and value:
                self.found += [candidate.split()[0] for candidate in value.split(",")]


def write_words(record: Path) -> None:
    """Write words behind every key that was left open, as a person would, and nothing else."""
    lines = record.read_text(encoding="utf-8").splitlines()
    number = 0
    for place, line in enumerate(lines):
        if match := re.fullmatch(r"( *)(title|summary|view|caption|alt):(?: .*)?", line):
            indent, key = match.groups()
            number += key == "caption"
            words = WORDS[key].format(n=number)
            lines[place] = f'{indent}{key}: "{words}"' if ": " in words else f"{indent}{key}: {words}"
    record.write_text("\n".join(lines) + "\n", encoding="utf-8")


@pytest.fixture
def evening(tmp_path, monkeypatch, run, ten_photos):
    """A workshop made by the command, ten photos added by the command, words written, the site made by the command."""
    monkeypatch.chdir(tmp_path)
    began = run("start", "workshop", "--name", "Tern Quay Models", "--contact", "workshop@example.org")
    monkeypatch.chdir(tmp_path / "workshop")
    added = run("add", "first-build", *ten_photos)
    record = Path("content", "builds", "first-build", "stages", "2026-08-15-assembly.yml")
    write_words(record)
    made = run("site", "--strict")
    assert (began.exit_code, added.exit_code, made.exit_code) == (0, 0, 0), made.output
    return tmp_path / "workshop" / "site"


def test_a_page_of_which_only_the_words_were_written(evening):
    """The published page holds the words, a picture for each of the ten photos, and no link that leads nowhere."""
    folder = evening / "builds" / "first-build" / "2026-08-15-assembly"
    page = (folder / "index.html").read_text(encoding="utf-8")

    links = Links()
    links.feed(page)
    assert "The hull goes together" in page
    assert "Both halves are joined: the keel is straight." in page
    for number in range(1, 11):
        assert f"Seen <em>from the side</em>, number {number}." in page
        assert f'alt="The bare hull from its port side, number {number}."' in page
    pictures = {link for link in links.found if "pictures/" in link and link.endswith(".jpg")}
    assert len({Path(link).name.partition(".")[0] for link in pictures}) == 10  # some stand there in two widths
    for link in links.found:
        target = link.partition("#")[0].partition("?")[0]
        if target and not re.match(r"[a-z]+:", target):
            path = (folder / target).resolve()
            assert path.is_relative_to(evening), link
            assert path.exists(), link


def test_nothing_of_the_originals_is_published(evening, ten_photos):
    """The site holds neither a record, nor an original, nor what a camera wrote into one."""
    originals = {path.read_bytes() for path in ten_photos}

    for path in evening.rglob("*"):
        assert path.suffix not in {".yml", ".csv"}, path
        assert "IMG_1" not in path.name
        if path.is_file():
            assert path.read_bytes() not in originals
    for path in evening.glob("pictures/**/*.jpg"):
        with Image.open(path) as picture:
            assert not picture.getexif()


def test_a_mistake_leaves_the_last_site(evening, run):
    """With a mistake in the record the run says its line, and the site of before is untouched."""
    before = {path: path.stat().st_mtime_ns for path in evening.rglob("*")}
    record = evening.parent / "content" / "builds" / "first-build" / "stages" / "2026-08-15-assembly.yml"
    record.write_text(record.read_text(encoding="utf-8").replace("stage: assembly", "stage: assmbly"), encoding="utf-8")

    result = run("site")

    assert result.exit_code == 1
    assert "2026-08-15-assembly.yml:6:8: error: stage: " in result.stderr
    assert 'did you mean "assembly"?' in result.stderr
    assert {path: path.stat().st_mtime_ns for path in evening.rglob("*")} == before
