"""
From plain data to typed records, and from what the models refuse to problems in plain words.

What cannot be understood is left out of the record and remembered, so that the rest of the file can still be checked
and every mistake is reported in one run, none of them twice.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import Annotated, Any, Literal, TypeVar, Union, cast, get_args, get_origin

from pydantic import BaseModel, Tag, TypeAdapter, ValidationError

from buildlog.records.fields import Id, Reads, nearest
from buildlog.records.models import Mirrored, SessionHours
from buildlog.records.problems import Problem, shown
from buildlog.records.reading import Document, KeyPath, key_path
from buildlog.records.sheets import Sheet, clean

T = TypeVar("T")

_ROUNDS = 12


def understand(adapter: TypeAdapter[T], model: type[BaseModel], document: Document) -> Sheet[T]:
    """
    Make a typed record of a document.

    Args:
        adapter: Of the whole file.
        model: Of the whole file, or of each item of its list.
        document: As read; its own problems are taken over.
    """
    if document.data is None:
        return Sheet(document, problems=document.problems)
    try:
        record = adapter.validate_python(document.data)
        return Sheet(document.without_data(), record, document.problems)
    except ValidationError as error:
        first = error
    problems = list(_problems(first, model, document))
    shown_empty = {problem.field for problem in problems}
    own = [old for old in document.problems if old.is_error or old.field not in shown_empty]
    salvaged, left_out, places = _salvage(adapter.validate_python, model, document.data, first)
    words = frozenset(word for path in left_out for word in (*_words(document.at(path)), *_ids_above(document, path)))
    return Sheet(document.without_data(), salvaged, (*own, *problems), tuple(left_out), words, places)


def _words(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield key
            yield from _words(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _words(inner)


def _ids_above(document: Document, path: KeyPath) -> Iterator[str]:
    """Find the ids of the things that lack something, whose history is then in doubt."""
    for end in range(len(path)):
        holder = document.at(path[:end])
        if isinstance(holder, dict):
            yield from (holder[key] for key in ("id", "use") if isinstance(holder.get(key), str))


def _copy(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copy(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_copy(inner) for inner in value]
    return value


def _salvage(
    validate: Callable[[Any], T], model: type[BaseModel], data: Any, error: ValidationError
) -> tuple[T | None, list[KeyPath], dict[KeyPath, tuple[int, ...]]]:
    """Leave out what cannot be understood until the rest can be."""
    data = _copy(data)
    left_out: list[KeyPath] = []
    places: dict[KeyPath, tuple[int, ...]] = {}

    def original(path: KeyPath) -> KeyPath:
        found: KeyPath = ()
        for step in path:
            if isinstance(step, int) and found in places:
                step = places[found][step]
            found = (*found, step)
        return found

    for _ in range(_ROUNDS):
        bad = set()
        for path, missing in _bad_paths(error, data):
            if missing and len(path) == 1 and isinstance(data, dict):
                key = str(path[0])
                data[key] = _stand_in(model.model_fields[key].rebuild_annotation())
                left_out.append(path)
            else:
                bad.add(path[:-1] if missing else path)
        if () in bad:
            break
        # From the end of each list backwards, so that the places before stay as they are.
        for path in sorted(bad, key=lambda path: [(isinstance(step, str), step) for step in path], reverse=True):
            holder = data
            try:
                for step in path[:-1]:
                    holder = holder[step]
            except (KeyError, IndexError, TypeError):
                continue
            there = original(path)
            last = path[-1]
            if isinstance(holder, list) and isinstance(last, int) and last < len(holder):
                parent = there[:-1]
                kept = list(places.get(parent, range(len(holder))))
                del kept[last], holder[last]
                places[parent] = tuple(kept)
                left_out.append(there)
            elif isinstance(holder, dict) and last in holder:
                del holder[last]
                left_out.append(there)
        try:
            return validate(data), left_out, places
        except ValidationError as again:
            error = again
    return None, [*left_out, ()], places


def _bad_paths(error: ValidationError, data: Any) -> Iterator[tuple[KeyPath, bool]]:
    for entry in error.errors(include_url=False, include_context=False, include_input=False):
        yield _in_data(entry["loc"], data)[0], entry["type"] == "missing"


def _stand_in(annotation: Any) -> Any:
    """Make an example of what a record must have, so that the rest of it can be checked."""
    origin = get_origin(annotation)
    if origin is tuple:
        return [_stand_in(get_args(annotation)[0])]
    if models := _models_in(annotation):
        fields = models[0][1].model_fields
        return {key: _stand_in(info.rebuild_annotation()) for key, info in fields.items() if info.is_required()}
    said = next(reads_of(annotation))
    if isinstance(said, Reads):
        return said.example or "…"
    return said if isinstance(said, str) else next(iter(said.__members__.values())).value


def _in_data(loc: Sequence[str | int], data: Any) -> tuple[KeyPath, bool]:
    """
    Turn pydantic's way to an error into the way in the file.

    Returns:
        The way, and whether the key itself is meant.
    """
    if loc[:1] == ("hours",) and len(loc) > 1 and isinstance(data, dict):
        hours = data.get("hours")
        if len(loc) > 3 and isinstance(hours, dict) and isinstance(loc[2], int):
            return ("hours", list(hours)[loc[2]]), loc[3] == "work"
        return ("hours",), False
    path: list[str | int] = []
    value = data
    tagged = False
    for step in loc:
        if isinstance(value, str):
            break  # a plain value that stands for a mapping with one key
        if not tagged and path[-2:-1] == ["photos"] and isinstance(path[-1], int) and step in _TAGS:
            tagged = True
            continue
        tagged = False
        path.append(step)
        try:
            value = value[step]
        except (KeyError, IndexError, TypeError):
            value = None
    return tuple(path), False


_TAGS = ("file", "folder", "turntable")

# --- what pydantic found, in plain words ---------------------------------------------------------


def _problems(error: ValidationError, model: type[BaseModel], document: Document) -> Iterator[Problem]:
    entries = error.errors(include_url=False)
    data = document.data
    guessed: set[KeyPath] = set()
    for entry in entries:
        if entry["type"] == "extra_forbidden":
            path, _ = _in_data(entry["loc"], data)
            inner = _model_at(model, entry["loc"][:-1])
            if inner and (guess := nearest(str(path[-1]), _keys(inner))):
                guessed.add((*path[:-1], guess))
    reported = tuple(problem.field for problem in document.problems if problem.is_error and problem.field)
    for entry in entries:
        loc = entry["loc"]
        path, of_key = _in_data(loc, data)
        if _is_reported(key_path(path), reported):
            continue
        kind = entry["type"]
        value = document.at(path)
        written = value if isinstance(value, str) else ""
        if kind == "missing":
            if path in guessed:
                continue  # it is there, misspelt, and reported as such
            message, accepted = _missing(model, loc, empty=path in document.empty)
            at = document.place(path, key=True)
            yield Problem(document.path, *at, key_path(path), clean(message), "", accepted)
            continue
        if kind == "extra_forbidden":
            message, accepted = _unknown(model, loc, str(path[-1]))
            written, of_key = str(path[-1]), True
        elif kind == "refused":
            context = entry["ctx"]
            message, accepted = context["message"], context["accepted"]
            if len(written) > 80:
                message = message.replace(written.strip(), shown(written.strip()))
        else:
            message, accepted = _wrong_shape(model, loc, kind, value, entry.get("ctx", {}))
        if isinstance(value, (dict, list)):
            at_key, at = document.place(path, key=True), document.place(path)
            at = at if at.line == at_key.line else at_key  # a block that stands under its key
            if kind in {"tuple_type", "list_type"} and (glued := _glued_dash(value)):
                at = document.place((*path, glued), key=True)
            if kind == "refused" and (sign := document.begins(path)) in "[{" and message.startswith("found "):
                message = f"{message} (words that begin with {sign} go in quotes)"
        else:
            at = document.place(path, key=of_key)
        yield Problem(document.path, *at, key_path(path), clean(message), shown(written), shown(accepted, 300))


def _is_reported(field: str, reported: Sequence[str]) -> bool:
    """Whether something is wrong with the writing of a value or of what it holds, which then says enough."""
    return any(one == field or (field and one.startswith((f"{field}[", f"{field}."))) for one in reported)


def _keys(model: type[BaseModel]) -> list[str]:
    return [info.alias or name for name, info in model.model_fields.items()]


def _unknown(model: type[BaseModel], loc: Sequence[str | int], key: str) -> tuple[str, str]:
    inner = _model_at(model, loc[:-1])
    known = _keys(inner) if inner else []
    accepted = ", ".join(known)
    guess = nearest(key, known)
    if guess and guess != key:
        return f'unknown key "{shown(key)}"; did you mean "{guess}"?', accepted
    return f'unknown key "{shown(key)}"; known here: {accepted}', accepted


def _missing(model: type[BaseModel], loc: Sequence[str | int], *, empty: bool) -> tuple[str, str]:
    inner = _model_at(model, loc[:-1])
    key = str(loc[-1])
    accepted = _accepts(inner, key) if inner else ""
    meaning = _meaning(inner, key) if inner else ""
    state = "has nothing after it" if empty else "is missing"
    example = _example(inner, key) if inner else ""
    write = f"write {key}: {example}" if example else f"write {key}: and {accepted.partition(':')[0] or 'a value'}"
    return f"{state}; {write}{f' ({meaning})' if meaning else ''}", accepted


def _wrong_shape(
    model: type[BaseModel], loc: Sequence[str | int], kind: str, value: Any, context: Mapping[str, Any]
) -> tuple[str, str]:
    inner = _model_at(model, loc)
    if kind in {"literal_error"}:
        words = str(context.get("expected", "")).replace("'", "")
        guess = nearest(str(value), words.replace(" or ", ", ").split(", ")) if isinstance(value, str) else None
        hint = f'did you mean "{guess}"? ' if guess else ""
        return f'"{shown(str(value))}" is not known here; {hint}write {words}', words
    if kind == "too_short":
        return "is an empty list; write at least one item", "at least one item"
    if kind in {"tuple_type", "list_type"}:
        accepted = "a list: each item on a line of its own after a dash, or [one, two] on one line"
        if isinstance(value, str):
            if value.startswith("-"):
                first = value[1:].partition(" - ")[0].strip()
                return f'found "{shown(value, 60)}"; put a space after the dash: - {shown(first, 60)}', accepted
            else:
                hint = f"[{shown(value, 60)}], or each item on a line of its own after a dash"
            return f'found "{shown(value, 60)}"; write a list: {hint}', accepted
        if glued := _glued_dash(value):
            return f"put a space after the dash: - {shown(glued[1:], 40)}: …", accepted
        return "found keys where a list is meant; begin each item with a dash", accepted
    if inner is not None and inner in _IN_WORDS:
        accepted = _IN_WORDS[inner]
        return f"found {'a list' if isinstance(value, list) else 'this'}; write {accepted}", accepted
    if inner is not None:
        keys = ", ".join(_keys(inner))
        accepted = f"keys: {keys}"
        if isinstance(value, str):
            return f'found "{shown(value, 60)}" alone; write it with its keys: {keys}', accepted
        if isinstance(value, list):
            return f"found a list; write keys instead: {keys}", accepted
    accepted = _accepts(_model_at(model, loc[:-1]), str(loc[-1])) if loc else ""
    found = f'"{shown(value)}"' if isinstance(value, str) else "a list" if isinstance(value, list) else "keys"
    return f"found {found}; write {accepted or 'what the guide shows for this key'}", accepted


def _glued_dash(value: Any) -> str:
    """Find a key that begins with a dash, which was meant to begin an item of a list; empty where there is none."""
    return next((key for key in value if key.startswith("-")), "") if isinstance(value, dict) else ""


_IN_WORDS: Mapping[type[BaseModel], str] = {
    SessionHours: "one number for the session, such as 4, or hours for each work item, such as {hull: 3.5}",
    Mirrored: "true, or the id and name of the other one",
}

# --- what the models say of themselves -----------------------------------------------------------


def _model_at(model: type[BaseModel], loc: Sequence[str | int]) -> type[BaseModel] | None:
    """Find the model that stands at pydantic's way to an error; `None` where a plain value does."""
    current: type[BaseModel] | None = model
    choices: tuple[tuple[str | None, type[BaseModel]], ...] = ((None, model),)
    for step in loc:
        if isinstance(step, int):
            continue
        if len(choices) > 1:
            current = next((inner for tag, inner in choices if tag == step), None)
            choices = ((None, current),) if current else ()
            continue
        if current is None:
            return None
        info = next((f for name, f in current.model_fields.items() if step in {name, f.alias}), None)
        choices = _models_in(info.rebuild_annotation()) if info else ()
        current = choices[0][1] if len(choices) == 1 else None
    return current


@cache
def _models_in(annotation: Any, tag: str | None = None) -> tuple[tuple[str | None, type[BaseModel]], ...]:
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *marks = get_args(annotation)
        named = next((mark.tag for mark in marks if isinstance(mark, Tag)), tag)
        return _models_in(inner, named)
    if origin in {Union, types.UnionType, tuple, list}:
        return tuple(found for part in get_args(annotation) for found in _models_in(part, tag))
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return ((tag, annotation),)
    return ()


def reads_of(annotation: Any) -> Iterator[Any]:
    """Find what each plain value in an annotation says of itself: a `Reads`, an enum or the words of a `Literal`."""
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *marks = get_args(annotation)
        reads = [mark for mark in marks if isinstance(mark, Reads)]
        yield from reads or reads_of(inner)
    elif origin is Literal:
        yield " or ".join(get_args(annotation))
    elif origin in {Union, types.UnionType, tuple, list}:
        for part in get_args(annotation):
            yield from reads_of(part)
    elif isinstance(annotation, type) and issubclass(annotation, (str, BaseModel)):
        yield annotation


def _info(model: type[BaseModel], key: str) -> Any:
    return next((info for name, info in model.model_fields.items() if key in {name, info.alias}), None)


def _accepts(model: type[BaseModel] | None, key: str) -> str:
    info = _info(model, key) if model else None
    if info is None:
        return ""
    said: list[str] = []
    for reads in reads_of(info.rebuild_annotation()):
        if isinstance(reads, Reads):
            said.append(reads.accepts)
        elif isinstance(reads, str):
            said.append(reads)
        elif issubclass(reads, BaseModel):
            said.append("its keys: " + ", ".join(_keys(reads)))
        elif members := getattr(reads, "__members__", None):
            said.append("one of: " + ", ".join(cast("Iterable[str]", members.values())))
    return " or ".join(said)


def _example(model: type[BaseModel], key: str) -> str:
    info = _info(model, key)
    if info is None or info.rebuild_annotation() == Id or _models_in(info.rebuild_annotation()):
        return ""  # an id of some other thing would mislead
    return next((r.example for r in reads_of(info.rebuild_annotation()) if isinstance(r, Reads)), "")


def _meaning(model: type[BaseModel], key: str) -> str:
    info = _info(model, key)
    words = (info.description or "") if info else ""
    words = " ".join(words.split()).rstrip(".")
    return words[:1].lower() + words[1:] if words[1:2].islower() or words[1:2] == " " else words
