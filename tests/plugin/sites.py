"""A small workshop on disk, and a core that has made four pages of it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path, PurePosixPath
from typing import Any

import yaml
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig

from buildlog.pages.render import Heading
from buildlog.publish.making import MadePage, MadeSite
from buildlog.records.problems import Problem, RecordError, Severity

PHOTO = "builds/heron/photos/2026-03-14/IMG_0001.jpg"

HOME = MadePage(
    address="",
    title="Tern Quay Models",
    html='<h1 id="title">On the bench</h1>\n'
    '<p><a href="builds/heron/">Heron</a>, <a href="catalogue/#tugs">tugs</a>.</p>'
    '<p><a href="#title">Top</a>, <a href="mailto:a@example.org">mail</a>, <a href="https://example.org/x/">shop</a>.</p>',
    outline=(Heading(1, "title", "On the bench"),),
    description="What is on the bench now.",
    sources=(PurePosixPath("workshop.yml"),),
)
CATALOGUE = MadePage(
    address="catalogue/",
    title="Finished commissions",
    html='<h1 id="title">Finished</h1>\n<h2 id="tugs">Tugs &amp; tenders</h2>\n'
    '<p>Two of them. <a href="../">Home</a></p>',
    outline=(Heading(1, "title", "Finished", (Heading(2, "tugs", "Tugs & tenders"),)),),
    description="",
    sources=(PurePosixPath("workshop.yml"),),
)
HERON = MadePage(
    address="builds/heron/",
    title="Heron",
    html='<h1 id="title">Heron</h1>\n<h2 id="hull">Hull</h2>\n<p>Clinker planked in limewood.</p>\n'
    '<img src="../../pictures/a.320w.webp" alt="The hull." width="32" height="20"><a href="2026-03-14-hull/">First</a>',
    outline=(Heading(1, "title", "Heron", (Heading(2, "hull", "Hull"),)),),
    description="A harbour tug.",
    sources=(PurePosixPath("builds/heron/build.yml"),),
    scripts=("walkaround.js",),
)
UPDATE = MadePage(
    address="builds/heron/2026-03-14-hull/",
    title="The hull · Heron",
    html='<h1 id="title">The hull</h1>\n<p>Planked.</p><a href="../">Heron</a> <a href="./#title">Top</a>',
    outline=(Heading(1, "title", "The hull"),),
    description="",
    sources=(PurePosixPath("builds/heron/stages/2026-03-14-hull.yml"),),
    meta={"date": "2026-03-14"},
)

DOUBT = Problem(PurePosixPath("builds/heron/build.yml"), 3, 1, "areas", "nothing lies there", severity=Severity.WARNING)
MISTAKES = (
    Problem(PurePosixPath("builds/heron/build.yml"), 14, 8, "scale", "1-24 is no scale; write 1:24"),
    Problem(PurePosixPath("library/paints.yml"), 2, 3, "[0].colour", "red is no colour; write it as #b3202a"),
    DOUBT,
)


@dataclass
class Core:
    """Stands in for the core: gives what it is told to, and remembers what it was asked for."""

    made: MadeSite
    mistakes: tuple[Problem, ...] = ()
    asked: list[dict[str, Any]] = field(default_factory=list)

    def make_site(self, content: Path, store: Path, **options: Any) -> MadeSite:
        """Answer as `buildlog.publish.making.make_site` does."""
        self.asked.append({"content": content, "store": store, **options})
        if self.mistakes:
            raise RecordError(self.mistakes)
        return self.made

    def give(self, **changes: Any) -> None:
        """Change what is made from now on."""
        self.made = replace(self.made, **changes)


@dataclass
class Site:
    """A workshop's folder, and ways to make its site."""

    root: Path
    settings: dict[str, Any]

    @property
    def config_file(self) -> Path:
        """The workshop's mkdocs.yml."""
        return self.root / "mkdocs.yml"

    @property
    def content(self) -> Path:
        """The folder of the records."""
        return self.root / "content"

    @property
    def made(self) -> Path:
        """The folder of the site."""
        return self.root / "site"

    def set(self, **settings: Any) -> None:
        """Change mkdocs.yml; `None` takes a key out."""
        self.settings |= settings
        kept = {key: value for key, value in self.settings.items() if value is not None}
        self.config_file.write_text(yaml.safe_dump(kept, sort_keys=False), encoding="utf-8")

    def write(self, path: str, text: str = "x") -> Path:
        """Write a file of the content folder."""
        target = self.content / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text, encoding="utf-8")
        return target

    def build(self, **options: Any) -> MkDocsConfig:
        """Make the site as `mkdocs build` does."""
        config = load_config(str(self.config_file), **options)
        config.plugins.on_startup(command="build", dirty=False)
        try:
            build(config)
        finally:
            config.plugins.on_shutdown()
        return config

    def files(self) -> set[str]:
        """Everything in the site, but what the theme brings."""
        found = {path.relative_to(self.made).as_posix() for path in self.made.rglob("*") if path.is_file()}
        return {path for path in found if not path.startswith("assets/")}

    def read(self, path: str) -> str:
        """Read a page of the site."""
        return (self.made / path).read_text(encoding="utf-8")
