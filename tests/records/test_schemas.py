"""The schemas that editors check records by: current, complete, and no stricter than the loader."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from buildlog.records.models import BuildRecord, StageRecord
from buildlog.records.schemas import FOLDER, make_schemas, render_schema, write_schemas
from tests.records.sites import BROKEN, DEMO, REPOSITORY, SITES


class _Core(yaml.SafeLoader):
    """YAML as an editor reads it: by the core schema of YAML 1.2."""

    yaml_implicit_resolvers: dict[str, list[tuple[str, re.Pattern[str]]]] = {}  # noqa: RUF012 - as its parent has it


# YAML 1.2.2, section 10.3.2 (core schema, tag resolution); from memory.
for _tag, _pattern, _first in (
    ("bool", r"^(?:true|True|TRUE|false|False|FALSE)$", "tTfF"),
    ("int", r"^(?:[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+)$", "-+0123456789"),
    (
        "float",
        r"^(?:[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?|[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN))$",
        "-+0123456789.",
    ),
    ("null", r"^(?:null|Null|NULL|~|)$", "nN~\0"),
):
    _Core.add_implicit_resolver(
        f"tag:yaml.org,2002:{_tag}", re.compile(_pattern), ["" if c == "\0" else c for c in _first]
    )


def as_an_editor_reads(text: str) -> Any:
    return yaml.load(text, _Core)  # noqa: S506 - a safe loader


def schema_of(path: Path) -> str:
    return "stage" if path.parent.name == "stages" else path.stem


def validator(name: str) -> Draft202012Validator:
    return Draft202012Validator(json.loads((FOLDER / f"{name}.schema.json").read_text(encoding="utf-8")))


def records(root: Path) -> list[Path]:
    patterns = ("workshop.yml", "library/*.yml", "builds/*/build.yml", "builds/*/stages/*.yml")
    return [path for pattern in patterns for path in sorted(root.glob(pattern))]


GOOD = [*records(SITES / "format-page"), *records(BROKEN / "good"), *records(DEMO)]


def test_schemas_are_current(tmp_path: Path) -> None:
    """The schemas in the repository are what the models say; else run `python -m buildlog.records.schemas`."""
    write_schemas(tmp_path)

    kept = {path.name: path.read_text(encoding="utf-8") for path in FOLDER.glob("*.json")}
    made = {path.name: path.read_text(encoding="utf-8") for path in tmp_path.glob("*.json")}
    assert kept == made


@pytest.mark.parametrize("name", sorted(make_schemas()))
def test_schema_is_valid(name: str) -> None:
    """Each is a JSON Schema of draft 2020-12."""
    schema = json.loads(render_schema(make_schemas()[name]))

    Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == Draft202012Validator.META_SCHEMA["$id"]


@pytest.mark.parametrize("path", [pytest.param(path, id=path.relative_to(REPOSITORY).as_posix()) for path in GOOD])
def test_good_records_are_not_underlined(path: Path) -> None:
    """A record that loads is valid to an editor: the demo's, and every example of the format."""
    data = as_an_editor_reads(path.read_text(encoding="utf-8"))

    assert [error.message for error in validator(schema_of(path)).iter_errors(data)] == []


def _properties(schema: Any, where: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    if isinstance(schema, dict):
        for key, inner in schema.get("properties", {}).items():
            yield f"{where}.{key}", inner
        for key, inner in schema.items():
            yield from _properties(inner, f"{where}.{key}")
    elif isinstance(schema, list):
        for inner in schema:
            yield from _properties(inner, where)


def test_every_key_is_described() -> None:
    """An editor says of every key what it means."""
    bare = [
        f"{name}{where}"
        for name, schema in make_schemas().items()
        for where, inner in _properties(schema)
        if not inner.get("description")
    ]

    assert bare == []


def test_schemas_know_every_key() -> None:
    """Keys stand in the schema as they stand in the file."""
    stage, build = make_schemas()["stage"]["$defs"], make_schemas()["build"]["$defs"]

    assert set(stage["StageRecord"]["properties"]) == set(StageRecord.model_fields)
    assert set(build["BuildRecord"]["properties"]) == set(BuildRecord.model_fields)
    assert set(stage["FolderEntry"]["properties"]) == {"folder", "except"}


HEAD = "date: 2026-08-15\nstage: hull\ntitle: Planks\n"


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("hours: 4\n", id="hours as a number"),
        pytest.param("hours: 3.5 h\n", id="hours with a unit"),
        pytest.param("hours: {hull: 3.5, 017: '2,5'}\n", id="hours by work"),
        pytest.param("done:\n  - hull\n  - 017\n  - {id: deck, share: 50 %}\n", id="done in both forms"),
        pytest.param("features:\n  - {id: a, mirrored: true, state: Finished}\n", id="mirrored, and capitals"),
        pytest.param("features:\n  - {id: a, mirrored: {id: b}, parts: [x, {id: y, count: 2}]}\n", id="parts"),
        pytest.param("features:\n  - {id: a, mirrored: yes, parts: [{id: y, count: '2'}]}\n", id="text for numbers"),
        pytest.param("decisions:\n  - {id: a, ask: 1999, options: [yes, no, 7, 1.5, true], public: yes}\n", id="words"),
        pytest.param("photos:\n  - {file: a.jpg, callouts: [{at: ['0.5', 1], text: 12}]}\n", id="places as text"),
        pytest.param("accuracy:\n  - {id: a, source: 017, outcome: AS FULL SIZE}\n", id="a source by its id"),
        pytest.param("formerly: [2024, old]\nsummary: 12\n", id="numbers for words"),
    ],
)
def test_every_form_is_accepted(text: str) -> None:
    """Each form that the loader reads is valid to an editor."""
    assert [error.message for error in validator("stage").iter_errors(as_an_editor_reads(HEAD + text))] == []


@pytest.mark.parametrize("name", ["parts", "paints", "sources", "notes"])
@pytest.mark.parametrize("text", [pytest.param("[]\n", id="empty"), pytest.param("# none yet\n", id="comments")])
def test_empty_library_is_accepted(name: str, text: str) -> None:
    """A library may have nothing in it yet."""
    assert [error.message for error in validator(name).iter_errors(as_an_editor_reads(text))] == []


@pytest.mark.parametrize(
    "fault",
    [
        "misspelt-key",
        "misspelt-key-deep",
        "misspelt-required-key",
        "strange-key",
        "missing-keys",
        "misspelt-word",
        "plain-value-for-list",
        "keys-for-list",
        "words-for-keys",
        "list-for-words",
        "share-without-sign",
        "hours-in-words",
        "hours-of-work-in-words",
        "callout-off-photo",
        "callout-with-one-number",
        "photo-misspelt",
        "photo-as-plain-value",
        "mirrored-no",
        "not-a-count",
        "date-in-other-order",
    ],
)
def test_mistakes_are_underlined(fault: str) -> None:
    """What an editor can see by itself it underlines."""
    path = BROKEN / fault / "builds/heron/stages/2026-04-01-more.yml"
    data = as_an_editor_reads(path.read_text(encoding="utf-8"))

    assert list(validator("stage").iter_errors(data))


@pytest.mark.parametrize("hours", [pytest.param("0", id="none"), pytest.param("3", id="some")])
def test_planned_hours_are_above_none(hours: str) -> None:
    """An item of the plan that takes no hours is underlined."""
    text = (
        "name: Heron\nsubject: {name: Launch, kind: vessel}\nscale: '1:16'\nstatus: in progress\n"
        f"work: [{{id: a, name: A, stage: hull, hours: {hours}}}]\n"
    )

    assert bool(list(validator("build").iter_errors(as_an_editor_reads(text)))) == (hours == "0")
