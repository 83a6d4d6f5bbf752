"""
JSON Schemas of every record file, so that an editor completes keys and underlines mistakes.

Made from the models: `python -m buildlog.records.schemas` writes them anew. An editor reads a plain value by YAML's own
rules (`3.5` is a number to it, `true` a truth value), so the schemas accept each form that the loader reads as text.
What spans several keys or files is left to `buildlog check`.
"""

from __future__ import annotations

import json
import re
import types
from collections.abc import Mapping
from enum import Enum
from pathlib import Path
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from buildlog.records.fields import Hours, Id, Reads
from buildlog.records.models import (
    BuildRecord,
    LibraryNote,
    Mirrored,
    Paint,
    Part,
    Record,
    SessionHours,
    Source,
    StageRecord,
    WorkshopRecord,
)

DIALECT = "https://json-schema.org/draft/2020-12/schema"
FOLDER = Path(__file__).resolve().parent.parent / "schemas"
"""Where the schemas are kept."""
FILES: Mapping[str, type[Record]] = {
    "workshop": WorkshopRecord,
    "build": BuildRecord,
    "stage": StageRecord,
}
"""Files that hold one record, by the name of their schema."""
LISTS: Mapping[str, type[Record]] = {"parts": Part, "paints": Paint, "sources": Source, "notes": LibraryNote}
"""Files that hold a list of records, by the name of their schema."""


def make_schemas() -> dict[str, dict[str, Any]]:
    """Make the schema of every file, by its name without `.schema.json`."""
    made = {}
    for name, model in FILES.items():
        schemas = _Schemas()
        made[name] = schemas.file(name, schemas.model(model))
    for name, model in LISTS.items():
        schemas = _Schemas()
        # A library file with nothing but comments in it is an empty list, and null to an editor.
        made[name] = schemas.file(name, {"type": ["array", "null"], "items": schemas.model(model)})
    return made


def render_schema(schema: Mapping[str, Any]) -> str:
    """Render a schema as it stands in its file."""
    return json.dumps(schema, ensure_ascii=False, indent=2) + "\n"


def write_schemas(folder: Path = FOLDER) -> list[Path]:
    """Write every schema into a folder."""
    written = []
    for name, schema in make_schemas().items():
        path = folder / f"{name}.schema.json"
        path.write_text(render_schema(schema), encoding="utf-8", newline="\n")
        written.append(path)
    return written


class _Schemas:
    """The schemas of one file's models."""

    def __init__(self) -> None:
        self._defs: dict[str, dict[str, Any]] = {}

    def file(self, name: str, schema: Mapping[str, Any]) -> dict[str, Any]:
        return {"$schema": DIALECT, "title": f"{name} record", **schema, "$defs": dict(sorted(self._defs.items()))}

    def model(self, model: type[BaseModel]) -> dict[str, Any]:
        name = model.__name__
        if name not in self._defs:
            self._defs[name] = {}  # claims the name, should the model stand within itself
            self._defs[name] = self._object(model)
        reference = {"$ref": f"#/$defs/{name}"}
        shorthand = issubclass(model, Record) and model.shorthand
        if shorthand:
            return {"anyOf": [self._value(model.model_fields[shorthand].rebuild_annotation()), reference]}
        if model is SessionHours:
            return self._hours()
        if model is Mirrored:
            return {"anyOf": [_truth(), reference]}
        return reference

    def _hours(self) -> dict[str, Any]:
        del self._defs["SessionHours"], self._defs["WorkHours"]
        hours = self._value(Hours)
        by_work = {"type": "object", "propertyNames": self._key(Id), "additionalProperties": hours}
        return {"anyOf": [*hours["anyOf"], by_work], "description": hours["description"]}

    def _key(self, annotation: Any) -> dict[str, Any]:
        return {"description": self._value(annotation)["description"]}

    def _object(self, model: type[BaseModel]) -> dict[str, Any]:
        properties, required = {}, []
        for name, info in model.model_fields.items():
            key = info.alias or name
            properties[key] = self._property(info)
            if info.is_required():
                required.append(key)
        return {
            "type": "object",
            "description": _paragraphs(model.__doc__ or ""),
            "properties": properties,
            **({"required": required} if required else {}),
            "additionalProperties": False,
        }

    def _property(self, info: FieldInfo) -> dict[str, Any]:
        schema = self._value(info.rebuild_annotation())
        meaning = _paragraphs(info.description or "")
        accepts = schema.pop("description", "")
        described = "\n\n".join(filter(None, [meaning, f"Accepts {accepts.rstrip('.')}." if accepts else ""]))
        default = info.default.value if isinstance(info.default, Enum) else info.default
        if isinstance(default, (str, bool)):
            schema["default"] = default
        if any(getattr(mark, "min_length", None) for mark in info.metadata):
            schema["minItems"] = 1
        return {"description": described, **schema}

    def _value(self, annotation: Any) -> dict[str, Any]:
        origin = get_origin(annotation)
        if origin is Annotated:
            inner, *marks = get_args(annotation)
            for mark in marks:
                if isinstance(mark, Reads):
                    examples = {"examples": [mark.example.strip('"')]} if mark.example and not mark.whole else {}
                    return {**mark.schema, "description": mark.accepts, **examples}
            return self._value(inner)
        if origin is Literal:
            return _literal(get_args(annotation))
        if origin is tuple:
            return {"type": "array", "items": self._value(get_args(annotation)[0])}
        if origin in {Union, types.UnionType}:
            kinds = [self._value(kind) for kind in get_args(annotation) if kind is not type(None)]
            return kinds[0] if len(kinds) == 1 else {"anyOf": kinds}
        if isinstance(annotation, type) and issubclass(annotation, BaseModel):
            return self.model(annotation)
        if isinstance(annotation, type) and issubclass(annotation, Enum):
            return _words([member.value for member in annotation])
        raise TypeError(f"no schema is known for {annotation}")


def _paragraphs(text: str) -> str:
    return "\n\n".join(" ".join(block.split()) for block in re.split(r"\n\s*\n", text.strip()))


def _any_case(word: str) -> str:
    return "".join(f"[{c.upper()}{c.lower()}]" if c.isalpha() else re.escape(c) for c in word).replace(r"\ ", r"\s+")


def _words(words: list[str]) -> dict[str, Any]:
    """Offer words for completion, and accept them in any capitals."""
    pattern = "|".join(map(_any_case, words))
    return {
        "anyOf": [{"enum": words}, {"type": "string", "pattern": rf"^\s*(?:{pattern})\s*$"}],
        "description": f"one of: {', '.join(words)}",
    }


def _literal(words: tuple[Any, ...]) -> dict[str, Any]:
    numbers = [int(word) for word in words if str(word).isdecimal()]
    return {"enum": [*numbers, *words], "description": " or ".join(map(str, words))}


def _truth() -> dict[str, Any]:
    return {"anyOf": [{"const": True}, {"type": "string", "pattern": "^(?:[Tt]rue|[Yy]es|[Oo]n|TRUE|YES|ON)$"}]}


if __name__ == "__main__":
    for path in write_schemas():
        print(path.relative_to(Path.cwd()) if path.is_relative_to(Path.cwd()) else path)  # noqa: T201 - a command
