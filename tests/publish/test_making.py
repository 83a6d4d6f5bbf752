"""From the content folder to the site: what is said when something stands in the way."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.publish.making import make_site
from buildlog.records.problems import RecordError
from tests.records.sites import heron, put

MORE = """date: 2026-04-01
stage: hull
title: More planks
photos:
  - {file: 2026-04-01/d.jpg, alt: The launch from ahead.}
"""


def _said(content: Path, tmp_path: Path, *, for_preview: bool = False) -> list[str]:
    with pytest.raises(RecordError) as caught:
        make_site(content, tmp_path / "store", for_preview=for_preview)
    return [f"{problem.path}: {problem.message}" for problem in caught.value.problems if problem.is_error]


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """A public build with a photo that is none, shown by one of its records."""
    content = heron(tmp_path)
    build = content / "builds/heron/build.yml"
    build.write_text(build.read_text().replace("audience: client", "audience: public"))
    put(content, "builds/heron/stages/2026-04-01-more.yml", MORE)
    put(content, "builds/heron/photos/2026-04-01/d.jpg", b"no picture at all")
    return content


def _spoil(content: Path, path: str, old: str, new: str) -> None:
    target = content / path
    text = target.read_text()
    assert old in text
    target.write_text(text.replace(old, new, 1))


@pytest.mark.parametrize(
    ("path", "old", "new"),
    [
        pytest.param("workshop.yml", "name:", "unts: metric\nname:", id="workshop"),
        pytest.param("builds/heron/build.yml", "scale: 1:16", "scale: big", id="build"),
        pytest.param("builds/heron/stages/2026-04-01-more.yml", "stage: hull", "stage: hul", id="the record itself"),
    ],
)
def test_mistakes_in_records_and_photos_are_told_in_one_run(
    path: str, old: str, new: str, content: Path, tmp_path: Path
) -> None:
    """A photo that cannot be used is told beside the mistakes in the records, not after they are mended."""
    _spoil(content, path, old, new)

    said = _said(content, tmp_path)

    assert len(said) == 2
    assert any(line.startswith("builds/heron/photos/2026-04-01/d.jpg: ") for line in said)
    assert any(line.startswith(path) for line in said)


def test_a_photo_that_is_not_there_is_told_once(content: Path, tmp_path: Path) -> None:
    """The records' check has told it already."""
    (content / "builds/heron/photos/2026-04-01/d.jpg").unlink()

    (only,) = _said(content, tmp_path)

    assert 'there is no photo "2026-04-01/d.jpg"' in only


@pytest.mark.parametrize(
    ("for_preview", "told"), [pytest.param(False, 1, id="site"), pytest.param(True, 2, id="preview")]
)
def test_photos_of_drafts_stop_no_site(for_preview: bool, told: int, content: Path, tmp_path: Path) -> None:
    """What a draft shows is read for a preview alone."""
    _spoil(content, "builds/heron/stages/2026-04-01-more.yml", "stage: hull", "stage: hull\naudience: draft")
    _spoil(content, "builds/heron/build.yml", "scale: 1:16", "scale: big")

    assert len(_said(content, tmp_path, for_preview=for_preview)) == told
