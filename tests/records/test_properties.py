"""Laws of the loader: what is written is read, and nothing that is written can break it."""

from __future__ import annotations

import shutil
import tempfile
from functools import cache
from pathlib import Path, PurePosixPath
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter

from buildlog.records.fields import is_id
from buildlog.records.loading import address_for, read_workshop
from buildlog.records.models import BuildRecord, LibraryNote, Paint, Part, Source, StageRecord, WorkshopRecord
from buildlog.records.problems import Problem
from buildlog.records.reading import Document, parse_document, read_document, want
from buildlog.records.sheets import Sheet
from buildlog.records.understanding import understand
from tests.records.plain import as_plain, as_yaml
from tests.records.sites import BROKEN, DEMO, SITES, demo, heron

PATH = PurePosixPath("record.yml")
KINDS: dict[str, tuple[TypeAdapter[Any], type[Any]]] = {
    "workshop": (TypeAdapter(WorkshopRecord), WorkshopRecord),
    "build": (TypeAdapter(BuildRecord), BuildRecord),
    "stage": (TypeAdapter(StageRecord), StageRecord),
    "parts": (TypeAdapter(tuple[Part, ...]), Part),
    "paints": (TypeAdapter(tuple[Paint, ...]), Paint),
    "sources": (TypeAdapter(tuple[Source, ...]), Source),
    "notes": (TypeAdapter(tuple[LibraryNote, ...]), LibraryNote),
}
LIBRARY = {"parts", "paints", "sources", "notes"}


def kind_of(path: Path) -> str:
    return "stage" if path.parent.name == "stages" else path.stem


def read_as(kind: str, text: str) -> Sheet[Any]:
    adapter, model = KINDS[kind]
    shape = "list" if kind in LIBRARY else "mapping"
    return understand(adapter, model, want(parse_document(PATH, text), shape, "id: x"))  # type: ignore[arg-type]


@cache
def good_files() -> tuple[Path, ...]:
    patterns = ("workshop.yml", "library/*.yml", "builds/*/build.yml", "builds/*/stages/*.yml")
    return tuple(
        path
        for root in (DEMO, SITES / "format-page", BROKEN / "good")
        for pattern in patterns
        for path in sorted(root.glob(pattern))
    )


STYLES = st.fixed_dictionaries(
    {
        "default_flow_style": st.sampled_from([True, False, None]),
        "default_style": st.sampled_from([None, '"', "'", "|"]),
        "width": st.sampled_from([20, 80, 10_000]),
        "indent": st.integers(2, 8),
    }
)
# Characters that a YAML text may hold as they are.
LETTERS = st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Co", "Cn"], exclude_characters="\ufeff")
WORDS = st.text(LETTERS, max_size=40)
PLAIN = st.recursive(
    WORDS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(WORDS.filter(bool), inner, max_size=4),
    max_leaves=20,
)


# --- what is written is read ---------------------------------------------------------------------


@given(data=st.dictionaries(WORDS.filter(bool), PLAIN, min_size=1, max_size=4), style=STYLES)
@settings(max_examples=200, deadline=None)
def test_any_data_in_any_style_is_read_back(data: dict[str, Any], style: dict[str, Any]) -> None:
    """Text, lists and mappings come back as they were written, in blocks or braces, plain or in quotes."""
    text = as_yaml(data, **style)
    # PyYAML's writer breaks some long lines in quotes wrongly; its own reader tells.
    assume(yaml.load(text, yaml.BaseLoader) == data)  # noqa: S506 - the base loader makes nothing but text

    document = parse_document(PATH, text)

    assert document.problems == ()
    assert document.data == data


@given(path=st.sampled_from(good_files()), style=STYLES)
@settings(max_examples=120, deadline=None)
def test_records_in_any_style_mean_the_same(path: Path, style: dict[str, Any]) -> None:
    """A record written out anew in another style of YAML is the same record."""
    kind = kind_of(path)
    record = read_as(kind, path.read_text(encoding="utf-8")).record

    again = read_as(kind, as_yaml(as_plain(record), **style))

    assert again.problems == ()
    assert again.record == record


@given(path=st.sampled_from(good_files()), style=STYLES, data=st.data())
@settings(max_examples=100, deadline=None)
def test_every_value_is_found_where_it_stands(path: Path, style: dict[str, Any], data: st.DataObject) -> None:
    """The place of a plain value is where its text begins."""
    text = as_yaml(read_document(path.parent, PurePosixPath(path.name)).data, **{**style, "default_style": None})
    document = parse_document(PATH, text)
    value: Any = document.data
    way: tuple[str | int, ...] = ()
    while not isinstance(value, str):
        step = data.draw(st.sampled_from(list(value) if isinstance(value, dict) else list(range(len(value)))))
        way, value = (*way, step), value[step]

    place = document.place(way)

    rest = text.splitlines()[place.line - 1][place.column - 1 :]
    assert rest.lstrip("'\"")[:1] == value.replace("'", "''")[:1] or rest[0] in "'\"|>"


# --- nothing that is written breaks it -----------------------------------------------------------


def assert_sound(problems: tuple[Problem, ...]) -> None:
    """Every problem can be shown to a person: on one line, of bearable length, nothing invisible in it."""
    for problem in problems:
        said = str(problem)
        assert said.isprintable(), ascii(said)
        assert len(said) < 1600
        assert problem.message
        assert problem.line >= 0
        assert problem.column >= 0
        assert "pydantic" not in said


YAML_PIECES = st.sampled_from(
    [
        *"[]{},:?-#&*!|>'\"%@`~=<\t\n ",
        *(": ", "- ", "? ", " #", "<<: ", "---\n", "...\n", "&a ", "*a ", "!!str ", "!x ", "%TAG", "|-\n", ">+\n"),
        *(
            "\n  ",
            "\n    ",
            "a",
            "id",
            "date",
            "photos",
            "file",
            "callouts",
            "at",
            "0.5",
            "2026-08-15",
            "hours",
            "done",
        ),
        *("é", "\u2028", "\x85", "\U0001f6a2", "'", "\\", "\\x", "null", "50 %"),
    ]
)


@given(text=st.lists(YAML_PIECES, max_size=40).map("".join), kind=st.sampled_from(sorted(KINDS)))
@settings(max_examples=600, deadline=None)
def test_scraps_of_yaml(text: str, kind: str) -> None:
    """Any sequence of YAML's signs is either read or reported."""
    sheet = read_as(kind, text)

    assert_sound(sheet.problems)
    assert sheet.record is not None or sheet.problems


@given(content=st.binary(max_size=200))
@settings(max_examples=200, deadline=None)
def test_bytes(content: bytes) -> None:
    """Any bytes are either read or reported."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "record.yml").write_bytes(content)
        document = read_document(Path(folder), PATH)

    assert_sound(document.problems)
    assert document.data is None or not any(problem.line == 0 for problem in document.problems)


@given(
    data=st.recursive(
        st.text(max_size=8) | st.sampled_from(["yes", "1:24", "50 %", "2026-08-15", "../x", "[", "{}"]),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(
                st.sampled_from(
                    [
                        *StageRecord.model_fields,
                        *BuildRecord.model_fields,
                        "id",
                        "file",
                        "folder",
                        "except",
                        "at",
                        "use",
                        "what",
                    ]
                )
                | st.text(min_size=1, max_size=5),
                inner,
                max_size=5,
            )
        ),
        max_leaves=30,
    ),
    kind=st.sampled_from(sorted(KINDS)),
)
@settings(max_examples=300, deadline=None)
def test_data_of_any_shape(data: Any, kind: str) -> None:
    """Whatever stands where, it is either understood or reported, and the rest is kept."""
    document = want(Document(PATH, data, (), frozenset(), "a: b\n"), "list" if kind in LIBRARY else "mapping", "id: x")
    adapter, model = KINDS[kind]

    sheet = understand(adapter, model, document)

    assert_sound(sheet.problems)
    assert sheet.record is not None or sheet.problems


@cache
def base() -> Path:
    """Keep one copy of the demo for all mutations of a run."""
    folder = Path(tempfile.mkdtemp(prefix="records-"))
    return demo(folder)


@pytest.fixture(scope="module", autouse=True)
def _tidy() -> Any:
    yield
    shutil.rmtree(base().parent)
    base.cache_clear()


@st.composite
def mutations(draw: st.DrawFn) -> tuple[str, bytes]:
    """Draw a file of the demo with some of its bytes or lines changed."""
    path = draw(
        st.sampled_from(
            sorted(p.relative_to(base()).as_posix() for p in base().rglob("*") if p.suffix in {".yml", ".csv"})
        )
    )
    content = (base() / path).read_bytes()
    for _ in range(draw(st.integers(1, 4))):
        lines = content.split(b"\n")
        at = draw(st.integers(0, len(lines) - 1))
        how = draw(st.sampled_from(["drop", "double", "swap", "indent", "bytes", "piece", "cut", "value"]))
        if how == "drop":
            del lines[at]
        elif how == "double":
            lines.insert(at, lines[at])
        elif how == "swap":
            other = draw(st.integers(0, len(lines) - 1))
            lines[at], lines[other] = lines[other], lines[at]
        elif how == "indent":
            lines[at] = draw(st.sampled_from([b"  ", b"\t", b" ", b"- "])) + lines[at]
        elif how == "bytes":
            lines[at] += draw(st.binary(max_size=4))
        elif how == "piece":
            place = draw(st.integers(0, len(lines[at])))
            lines[at] = lines[at][:place] + draw(YAML_PIECES).encode() + lines[at][place:]
        elif how == "value":
            key, colon, _ = lines[at].partition(b":")
            lines[at] = (
                key
                + colon
                + b" "
                + draw(st.sampled_from([b"", b"[]", b"{}", b"x", b"-1", b"1e400", b"[[1]]", b"9" * 400]))
            )
        else:
            lines = lines[:at]
        content = b"\n".join(lines)
    return path, content


@given(mutation=mutations())
@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_the_demo_with_damage(mutation: tuple[str, bytes]) -> None:
    """However a file of the demo is damaged, the loader reports and never fails, and its answer is always the same."""
    path, content = mutation
    kept = (base() / path).read_bytes()
    try:
        (base() / path).write_bytes(content)
        loaded = read_workshop(base())
        again = read_workshop(base())
    finally:
        (base() / path).write_bytes(kept)

    assert_sound(loaded.problems)
    assert loaded.problems == again.problems
    assert (loaded.workshop is None) == bool(loaded.errors)


@given(content=st.binary(max_size=300) | st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace")))
@settings(max_examples=60, deadline=None)
def test_time_sheet_of_anything(content: bytes) -> None:
    """Any bytes for a time sheet are either read or reported."""
    with tempfile.TemporaryDirectory() as folder:
        workshop = heron(Path(folder))
        (workshop / "builds/heron/hours.csv").write_bytes(content)
        loaded = read_workshop(workshop)

    assert_sound(loaded.problems)


@given(name=st.text(max_size=120))
def test_address_for_any_name(name: str) -> None:
    """The address proposed for a name can always be one, and stays as it is when asked again."""
    address = address_for(name)

    assert not address or is_id(address)
    assert address_for(address) == address
