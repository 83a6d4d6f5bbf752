"""What the plugin's tests share: a workshop, and a core that stands in for the real one."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from buildlog.pages.views import Frame
from buildlog.publish.making import MadeSite
from tests.plugin.sites import CATALOGUE, HERON, HOME, PHOTO, UPDATE, Core, Site


@pytest.fixture
def site(tmp_path: Path) -> Site:
    """A workshop of one build with one photo, and a guide of one page."""
    site = Site(tmp_path / "workshop", {})
    site.write("workshop.yml", "format: 1\nname: Tern Quay Models\n")
    site.write("library/paints.yml", "- {id: red, name: Red, kind: acrylic}\n")
    site.write("builds/heron/build.yml", "name: Heron\n")
    site.write("builds/heron/stages/2026-03-14-hull.yml", "date: 2026-03-14\n")
    site.write("builds/heron/hours.csv", "date,work,hours,note\n")
    site.write("guide/index.md", "# The guide\n\nSee [Heron's hull](../builds/heron/index.md#hull).\n")
    (site.content / PHOTO).parent.mkdir(parents=True)
    Image.new("RGB", (32, 20), "navy").save(site.content / PHOTO)
    site.set(
        site_name="Tern Quay Models",
        site_url="https://models.example.org/quay/",
        docs_dir="content",
        plugins=["buildlog", "search"],
        theme={"name": "material"},
        nav=[
            {"On the bench": "index.md"},
            {"Catalogue": "catalogue/index.md"},
            {"Guide": ["guide/index.md"]},
        ],
    )
    return site


@pytest.fixture
def core(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Core:
    """A core in place of the real one, so that only the plugin is at work."""
    store = tmp_path / "made"
    store.mkdir()
    Image.new("RGB", (32, 20), "navy").save(store / "a.320w.webp")
    core = Core(
        MadeSite(
            pages=(HOME, CATALOGUE, HERON, UPDATE),
            files={"pictures/a.320w.webp": store / "a.320w.webp"},
            redirects={},
            warnings=(),
            frame=Frame("Tern Quay Models", "Built to order", "", "", None, "en"),
            sources=(),
        )
    )
    monkeypatch.setattr("buildlog_mkdocs.plugin.make_site", core.make_site)
    return core


@pytest.fixture(autouse=True)
def log_as_before() -> Iterator[None]:
    """MkDocs' log is as it was, whatever a test does to it."""
    log = logging.getLogger("mkdocs")
    before = log.handlers[:], log.level, log.propagate
    yield
    log.handlers, log.propagate = before[0], before[2]
    log.setLevel(before[1])
