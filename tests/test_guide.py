"""The guide says all there is, and says it as it is."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from datetime import date
from importlib.resources import files
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner
from pydantic import BaseModel, TypeAdapter

from buildlog.cli import cli
from buildlog.figures.colour import CLOSE_BELOW, SAME_BELOW, Difference
from buildlog.figures.scale import ScalingLaw, divisor, parse_scale
from buildlog.guide.generating import FILES, render_guide
from buildlog.records import models
from buildlog.records.loading import read_workshop
from buildlog.writing.starting import start_workshop
from tests.tools.guide_steps import take_steps

GUIDE = Path(__file__).parents[1] / "content" / "guide"
PAGES = sorted(GUIDE.glob("*.md"))


def every_model() -> Iterator[type[BaseModel]]:
    """Every model of the records but those that only hold what a shorter form says."""
    for model in vars(models).values():
        if isinstance(model, type) and issubclass(model, models.Record) and model is not models.Record:
            yield model


@pytest.mark.parametrize("name", sorted(render_guide()))
def test_generated_pages_are_current(name):
    """The pages in the repository are those that `python -m buildlog.guide` writes."""
    assert (GUIDE / name).read_text(encoding="utf-8") == render_guide()[name], "run: python -m buildlog.guide"


@pytest.mark.parametrize("model", list(every_model()), ids=lambda model: model.__name__)
def test_every_key_is_told(model):
    """Each key of each record has a row with its meaning, what to write and an example."""
    text = render_guide()["records.md"]

    for name, info in model.model_fields.items():
        if model in {models.SessionHours, models.WorkHours}:  # written as a number or as a mapping of work items
            continue
        meaning = " ".join((info.description or "").split()).replace("*", "\\*").replace("|", "\\|")
        rows = [line for line in text.splitlines() if line.startswith(f"| `{info.alias or name}`") and meaning in line]
        assert meaning, f"{model.__name__}.{name} has no docstring"
        assert rows, f"{model.__name__}.{name} is not in the guide"
        for row in rows:
            cells = re.split(r"(?<!\\)\|", row)[1:-1]
            assert len(cells) == 4
            assert all(cell.strip() for cell in cells)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.example)
def test_examples_are_records(file):
    """Each whole example is a record that its model takes as it stands."""
    text = (files("buildlog.guide") / "examples" / f"{file.example}.yml").read_text(encoding="utf-8")
    data = yaml.load(text, Loader=yaml.BaseLoader)  # noqa: S506 - reads plain text alone, as the loader does

    read = TypeAdapter(list[file.model] if file.is_list else file.model).validate_python(data)

    assert read


def test_every_command_and_option_is_told():
    """Each command has a section, and each of its options a row with its meaning."""
    text = render_guide()["commands.md"]

    for name, command in cli.commands.items():
        section = text.partition(f"## `buildlog {name}`")[2].partition("\n## ")[0]
        assert section, name
        for option in command.params:
            for written in option.opts if option.param_type_name == "option" else [option.make_metavar(None)]:
                assert written.rstrip(".") in section, f"{name} {written}"


def test_links_between_pages_lead_somewhere():
    """Every link of a page to another, and to a heading of it, is one that exists."""
    for page in PAGES:
        for target, _, anchor in re.findall(r"\]\(([^)#:]*)(#([^)]+))?\)", page.read_text(encoding="utf-8")):
            path = page if not target else page.parent / target
            assert path.is_file(), f"{page.name}: {target}"
            if anchor:
                assert f"{{#{anchor}}}" in path.read_text(encoding="utf-8"), f"{page.name}: {target}#{anchor}"


def test_every_page_is_listed():
    """The guide's first page leads to all the others."""
    text = (GUIDE / "index.md").read_text(encoding="utf-8")

    assert {page.name for page in PAGES} - {"index.md"} == set(re.findall(r"\]\(([\w-]+\.md)\)", text))


def test_commands_in_the_guide_exist():
    """Every command that a page tells the reader to type is one that the tool knows."""
    for page in PAGES:
        for name in re.findall(
            r"buildlog ([a-z]+)\b", re.sub(r"pip install[^\n]*", "", page.read_text(encoding="utf-8"))
        ):
            assert name in cli.commands, f"{page.name}: buildlog {name}"


def test_terminal_blocks_are_what_the_commands_print(tmp_path):
    """Taken one by one, the steps of the first update print what the page shows."""
    page = (GUIDE / "first-update.md").read_text(encoding="utf-8")
    blocks = [" ".join(block.split()) for block in re.findall(r"```text\n(.*?)```", page, re.DOTALL)]

    shown = [" ".join(text.split()) for text in take_steps(tmp_path)]

    assert len(blocks) == len(shown) == 5
    for block, text in zip(blocks, shown, strict=True):
        assert re.sub(r"made in \d+ s", "made in 4 s", block) in re.sub(r"made in \d+ s", "made in 4 s", text)


RECORD = """\
date: 2026-08-15
stage: primer
title: Primer
features:
  - id: lamp
    change: Again.
photos:
  - file: 2025-08-20/sample-sheet.jpg
    alt: The sheet, again, on another day.
    view: left side
    callouts:
      - at: [0.1, 0.2]
        text: Here.
"""

MISTAKES = {
    "takes for another key": ("title: Primer", "title: Primer: the first"),
    "is taken as a comment and would be lost": ("title: Primer", "title: Primer #2"),
    "inside braces a comma ends the value": ("title: Primer", "next: {text: Paint, then wait}\ntitle: Primer"),
    "a space is missing after the colon": ("title: Primer", "title:Primer"),
    "a tab stands in the indentation": ("    change: Again.", "\tchange: Again."),
    "is never closed": ("title: Primer", 'title: "Primer'),
    "unknown key": ("title: Primer", "titel: Primer"),
    "stands on line": ("title: Primer", "title: Primer\ntitle: Primer"),
    "so it counts as not written": ("    change: Again.", "    change:"),
    "is not known here": ("    change: Again.", "    state: finnished"),
    "is not a date": ("date: 2026-08-15", "date: 15/8/2026"),
    "has no unit": ("    change: Again.", "    measures:\n      - what: Height\n        measured: 12"),
    "is past the right edge": ("at: [0.1, 0.2]", "at: [1.1, 0.2]"),
    "there is no photo": ("sample-sheet.jpg", "sample-shot.jpg"),
    "there is no paint": ("    change: Again.", "    paints:\n      - signal-rod"),
    "is met here for the first time": ("id: lamp", "id: bollard"),
    "say why with redo:": ("title: Primer", "title: Primer\ndone:\n  - id: assembly\n    share: 5 %"),
    "has the same date and stage": ("date: 2026-08-15\nstage: primer", "date: 2025-08-20\nstage: assembly"),
    "before the build was ordered": ("date: 2026-08-15", "date: 2024-08-15"),
    "outside the tolerance": (
        "title: Primer",
        "title: Primer\naccuracy:\n  - id: rail\n    claim: So high.\n    full_size: 240 mm\n"
        "    measured: 12 mm\n    tolerance: 1 %\n    outcome: as full size",
    ),
    "is not among the build's views": ("view: left side", "view: top"),
    "shown nowhere": ("", ""),
    "has no alt": ("    alt: The sheet, again, on another day.\n", ""),
}
"""What `refused.md` quotes of a message, and the mistake that earns it: words of `RECORD`, and what they become."""


@pytest.mark.parametrize("quoted", list(MISTAKES))
def test_quoted_messages_are_what_the_check_says(quoted, tmp_path):
    """A message that the guide explains is one that the mistake it speaks of really earns."""
    started = start_workshop(tmp_path / "w", today=date(2026, 8, 20))
    home = started.sample.parents[1]
    build = home / "build.yml"
    build.write_text(
        build.read_text(encoding="utf-8").replace("# ordered: 2026-01-20", "ordered: 2025-01-20"), encoding="utf-8"
    )
    before, after = MISTAKES[quoted]
    assert before in RECORD
    (home / "stages" / "new.yml").write_text(RECORD.replace(before, after), encoding="utf-8")
    if quoted == "shown nowhere":
        (home / "photos" / "unused.jpg").touch()

    problems = read_workshop(tmp_path / "w" / "content").problems

    assert f"`{quoted}`" in (GUIDE / "refused.md").read_text(encoding="utf-8")
    assert any(quoted in problem.message for problem in problems), problems


def test_the_record_without_a_mistake_earns_no_message(tmp_path):
    """The record that the mistakes are planted in is right by itself."""
    started = start_workshop(tmp_path / "w", today=date(2026, 8, 20))
    (started.sample.parent / "new.yml").write_text(RECORD, encoding="utf-8")

    assert read_workshop(tmp_path / "w" / "content").problems == ()


FIGURES = (GUIDE / "figures.md").read_text(encoding="utf-8")


def rows_of(section: str) -> list[list[str]]:
    """The cells of the table in a section of the page on figures."""
    text = FIGURES.partition(f"{{#{section}}}")[2].partition("\n## ")[0]
    rows = [line for line in text.splitlines() if line.startswith("| ")]
    return [[cell.strip() for cell in row.strip("|").split("|")] for row in rows[2:]]


@pytest.mark.parametrize("row", [pytest.param(row, id=row[0]) for row in rows_of("scales")])
def test_scales_are_called_as_the_guide_says(row):
    """Each scale of the table has the names that the pages give it."""
    scale = parse_scale(row[0])

    assert [str(scale), scale.trade_name or "", scale.railway_name or ""] == row


def test_figures_scale_as_the_guide_says():
    """The table of laws has every law there is, and what it divides by at 1:16."""
    at = parse_scale("1:16")
    worth = {"N": 16, "N²": 256, "N³": 4096, "√N": 4}

    rows = {row[0].strip("`"): row[1] for row in rows_of("laws")}
    assert list(rows) == [law.value for law in ScalingLaw]
    assert {law: worth[by] for law, by in rows.items() if by} == {
        law.value: divisor(at, law) for law in ScalingLaw if law is not ScalingLaw.none
    }


def test_colours_differ_as_the_guide_says():
    """The words for differences of colour have the limits that the pages use."""
    rows = rows_of("colour")

    assert [row[0] for row in rows] == [word.value for word in Difference]
    assert [row[1] for row in rows] == [f"below {SAME_BELOW:g}", f"below {CLOSE_BELOW:g}", f"{CLOSE_BELOW:g} and more"]


def test_sums_in_the_guide_come_out_so():
    """A command on the page of figures answers what stands under it."""
    shown = re.findall(r"\$ buildlog (.+)\n(.+)\n", FIGURES)

    assert len(shown) == 2
    for command, answer in shown:
        assert CliRunner().invoke(cli, shlex.split(command)).stdout == f"{answer}\n"
