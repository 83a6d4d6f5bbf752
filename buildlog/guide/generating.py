"""Writes the guide's pages of records and commands out of the models and the commands themselves."""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import click
import yaml
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from buildlog.cli import cli
from buildlog.records import models
from buildlog.records.fields import Reads, Word

_EXAMPLES = files("buildlog.guide") / "examples"
_MADE = "<!-- This page is generated: change the models or the commands, then run  python -m buildlog.guide  -->"
Found = Mapping[type[BaseModel], list[dict[str, Any]]]


@dataclass(frozen=True)
class _File:
    """One kind of file the workshop writes."""

    title: str
    model: type[BaseModel]
    example: str
    is_list: bool = False


FILES = (
    _File("content/workshop.yml", models.WorkshopRecord, "workshop"),
    _File("content/library/parts.yml", models.Part, "parts", is_list=True),
    _File("content/library/paints.yml", models.Paint, "paints", is_list=True),
    _File("content/library/sources.yml", models.Source, "sources", is_list=True),
    _File("content/library/notes.yml", models.LibraryNote, "notes", is_list=True),
    _File("content/builds/NAME/build.yml", models.BuildRecord, "build"),
    _File("content/builds/NAME/stages/NAME.yml", models.StageRecord, "stage"),
)

_IN_WORDS: Mapping[type[BaseModel], str] = {
    models.SessionHours: "hours for the whole session, such as `6`; or a work item on each line, with its hours",
    models.Mirrored: "`yes`; or the keys below",
}
"""Forms that are no plain list or mapping of keys."""


def write_guide(folder: Path) -> list[Path]:
    """
    Write the generated pages.

    Raises:
        OSError: They cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, text in render_guide().items():
        path = folder / name
        path.write_text(text, encoding="utf-8", newline="\n")
        written.append(path)
    return written


def render_guide() -> dict[str, str]:
    """Give the generated pages by their file names."""
    return {"records.md": render_records(), "commands.md": render_commands()}


# --- records -------------------------------------------------------------------------------------


@dataclass
class _Page:
    """What has been said so far, so that a thing used twice is told once."""

    lines: list[str] = field(default_factory=list)
    told: dict[type[BaseModel], str] = field(default_factory=dict)
    """Anchor of each model's section."""


def render_records() -> str:
    """Write the page of every key of every record."""
    page = _Page()
    page.lines += [
        _MADE,
        "",
        "# Every key of every record",
        "",
        "A record is a text file of keys and values: a word, a colon, a space, and what you have to say. What belongs",
        "to a key stands below it, set in by two spaces; entries of a list begin with a hyphen. Everything after",
        "a `#` is a remark for yourself.",
        "",
        "```yaml",
        "name: Corriemoor              # a key and its value",
        "subject:                      # a key with keys of its own",
        "  name: Harbour tug",
        "areas:                        # a key with a list",
        "  - Bow",
        "  - Hull",
        "summary: >                    # longer words: on lines of their own, set in",
        "  A harbour tug in working dress:",
        "  built for a private collection.",
        "```",
        "",
        "- A key that is marked *needed* must be there; every other may be left out.",
        '- Put a text in `"quotes"` when it has a colon and a space, or a space and a `#` in it; or write it below the',
        "  key as in `summary` above.",
        "- Lengths are written as people write them: `28.30 m`, `3.2 mm`, `7 ft 6 in`, `3/8 in`.",
        "- Dates are year-month-day: `2026-08-15`.",
        "- What can be computed is never written: percent complete, sizes at scale, what has changed.",
        "- An *id* is a short name by which other records refer to a thing; it is never shown.",
        "",
    ]
    for file in FILES:
        _render_file(page, file)
    return "\n".join(page.lines).rstrip() + "\n"


def _render_file(page: _Page, file: _File) -> None:
    text = (_EXAMPLES / f"{file.example}.yml").read_text(encoding="utf-8")
    found: dict[type[BaseModel], list[dict[str, Any]]] = {}
    data = yaml.load(text, Loader=yaml.BaseLoader)  # noqa: S506 - reads plain text alone, and our own file
    _collect(file.model, data, found)
    page.lines += [f"## `{file.title}` {{#{_anchor(file.title)}}}", "", _sentence(file.model), ""]
    page.lines += ["A list; each entry has these keys.", ""] if file.is_list else []
    nested = _render_keys(page, file.model, found, "")
    page.lines += ["All of it, as it would stand in the file:", "", "```yaml", text.rstrip(), "```", ""]
    for model, path in nested:
        _render_nested(page, model, found, path)


def _render_nested(page: _Page, model: type[BaseModel], found: Found, path: str) -> None:
    if model in page.told:
        return
    page.told[model] = _anchor(path)
    title = " › ".join(f"`{step}`" for step in path.split("."))
    page.lines += [f"### {title} {{#{page.told[model]}}}", "", _sentence(model), ""]
    if "_expand" in model.__pydantic_decorators__.model_validators:
        page.lines += ["Its id alone will do when there is no more to say.", ""]
    for inner, inner_path in _render_keys(page, model, found, path):
        _render_nested(page, inner, found, inner_path)


def _render_keys(page: _Page, model: type[BaseModel], found: Found, path: str) -> list[tuple[type[BaseModel], str]]:
    """Write a table of a model's keys, and give the models that its keys hold."""
    page.lines += ["| Key | Meaning | What to write | Example |", "| --- | --- | --- | --- |"]
    nested: list[tuple[type[BaseModel], str]] = []
    for name, info in model.model_fields.items():
        key = info.alias or name
        inner_path = f"{path}.{key}".lstrip(".")
        inside = [(held, _path_of(held, inner_path)) for held in _held(info.annotation)]
        nested += [(held, where) for held, where in inside if held is not models.SessionHours]
        written = _accepted(page, info, inside)
        cells = (
            f"`{key}`{' *needed*' if info.is_required() else ''}",
            _literal(" ".join((info.description or "").split())),
            _literal(written),
            _example(model, key, info, found),
        )
        page.lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    page.lines.append("")
    return nested


def _literal(text: str) -> str:
    """Keep a star from being read as emphasis: `L*, a*, b*`."""
    return text.replace("*", "\\*")


def _path_of(model: type[BaseModel], path: str) -> str:
    """Tell the three sorts of entries under `photos` apart by the key they begin with."""
    kinds = {models.PhotoEntry: "file", models.FolderEntry: "folder", models.TurntableEntry: "turntable"}
    return f"{path}.{kinds[model]}" if model in kinds else path


def _accepted(page: _Page, info: FieldInfo, inside: list[tuple[type[BaseModel], str]]) -> str:
    """Say in words what may stand after a key."""
    annotation = Annotated[info.annotation, *info.metadata] if info.metadata else info.annotation
    words = _words_for(annotation)
    links = [f"[{_last(where)}](#{page.told.get(held) or _anchor(where)})" for held, where in inside]
    if not inside:
        return words
    special = next((_IN_WORDS[held] for held, _ in inside if held in _IN_WORDS), "")
    if special:
        return special if inside[0][0] is models.SessionHours else f"{special}: {links[0]}"
    kind = "a list; the keys of each entry" if _is_list(annotation) else "the keys below it"
    return f"{kind}: {' or '.join(links)}"


def _last(path: str) -> str:
    return f"`{path.rpartition('.')[2]}`"


def _words_for(annotation: Any) -> str:
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *metadata = get_args(annotation)
        for mark in metadata:
            if isinstance(mark, Reads):
                return mark.accepts
            if isinstance(mark, Word):
                return " or ".join(_and_or([f"`{member.value}`" for member in inner]))
        return _words_for(inner)
    if origin is Literal:
        return " or ".join(_and_or([f"`{word}`" for word in get_args(annotation)]))
    if origin in (Union, types.UnionType):
        return next((words for arg in get_args(annotation) if (words := _words_for(arg))), "")
    if origin is tuple:
        return f"a list; each entry {_words_for(get_args(annotation)[0])}"
    return ""


def _and_or(words: list[str]) -> list[str]:
    return [", ".join(words[:-1]), words[-1]] if len(words) > 1 else words


def _is_list(annotation: Any) -> bool:
    if get_origin(annotation) is Annotated:
        return _is_list(get_args(annotation)[0])
    return get_origin(annotation) is tuple


def _held(annotation: Any) -> Iterator[type[BaseModel]]:
    """Find the models within a type."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        if not isinstance(inner, str):
            yield from _held(inner)


def _collect(annotation: Any, data: Any, found: dict[type[BaseModel], list[dict[str, Any]]]) -> None:
    """Gather what an example says for each model, walking types and data side by side."""
    held = list(_held(annotation))
    for item in data if isinstance(data, list) else [data]:
        if not isinstance(item, dict):
            continue
        model = next(model for model in held if len(held) == 1 or next(iter(item)) in model.model_fields)
        found.setdefault(model, []).append(item)
        for name, info in model.model_fields.items():
            key = info.alias or name
            if key in item and any(_held(info.annotation)):
                _collect(info.annotation, item[key], found)


def _example(model: type[BaseModel], key: str, info: FieldInfo, found: Found) -> str:
    """Give the first example of a key, as it would stand in the record."""
    value = next((item[key] for item in found.get(model, []) if key in item), None)
    if value is None:
        raise LookupError(f"buildlog/guide/examples: no example for {model.__name__}.{key}")
    if isinstance(value, str):
        text = " ".join(value.split())
        return f'`"{text}"`' if text.startswith("#") else f"`{text}`"
    if isinstance(value, list) and all(isinstance(entry, str) for entry in value):
        whole = next((mark for mark in info.metadata if isinstance(mark, Reads)), None) or _reads(info.annotation)
        if whole and whole.whole:
            return f"`[{', '.join(value)}]`"
        return "<br>".join(f"`- {entry}`" for entry in value)
    if isinstance(value, dict) and all(isinstance(entry, str) for entry in value.values()) and len(value) == 1:
        return "<br>".join(f"`{name}: {entry}`" for name, entry in value.items())
    return "see below" if model in {file.model for file in FILES} else "see above"


def _reads(annotation: Any) -> Reads | None:
    """Find the reader within an optional type."""
    if get_origin(annotation) is Annotated:
        return next((mark for mark in get_args(annotation)[1:] if isinstance(mark, Reads)), None)
    return next((reads for inner in get_args(annotation) if (reads := _reads(inner))), None)


def _sentence(model: type[BaseModel]) -> str:
    text = " ".join((model.__doc__ or "").split())
    head, colon, rest = text.partition(": ")
    text = rest if colon and head.startswith("`") else text
    return text[:1].upper() + text[1:]


def _anchor(text: str) -> str:
    return "-".join(part for part in "".join(c if c.isalnum() else " " for c in text.lower()).split())


# --- commands ------------------------------------------------------------------------------------


def render_commands() -> str:
    """Write the page of every command and option."""
    root = click.Context(cli, info_name="buildlog", **cli.context_settings)
    lines = [
        _MADE,
        "",
        "# Every command",
        "",
        "Commands are typed into a terminal, in the workshop's folder or below it. `buildlog COMMAND --help` says in",
        "the terminal what stands here. A command ends with status 0 when all is well, with 1 when something has to be",
        "mended, and with 2 when it was mistyped.",
        "",
        "| Command | What it does |",
        "| --- | --- |",
    ]
    names = cli.list_commands(root)
    lines += [f"| [`buildlog {name}`](#{name}) | {cli.commands[name].get_short_help_str(200)} |" for name in names]
    for name in names:
        lines += _render_command(cli.commands[name], root)
    lines += ["", "## Options of `buildlog` itself {#options}", "", *_render_options(cli, root)]
    return "\n".join(lines).rstrip() + "\n"


def _render_command(command: click.Command, parent: click.Context) -> list[str]:
    name = command.name or ""
    context = click.Context(command, info_name=name, parent=parent)
    usage = " ".join([f"buildlog {name}", *command.collect_usage_pieces(context)])
    lines = ["", f"## `buildlog {name}` {{#{name}}}", "", "```text", usage, "```", ""]
    for paragraph in (command.help or "").split("\n\n"):
        lines += [" ".join(paragraph.split()), ""]
    lines += _render_options(command, context)
    examples = [line.strip() for line in (command.epilog or "").splitlines() if line.startswith("  ")]
    return [*lines, "", "```sh", *examples, "```"]


def _render_options(command: click.Command, context: click.Context) -> list[str]:
    lines = ["| Option | Meaning |", "| --- | --- |"]
    for option in command.get_params(context):
        record = option.get_help_record(context)
        if isinstance(option, click.Option) and record:
            written, meaning = record
            cells = (f"`{written}`", " ".join(meaning.split()))
            lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return lines
