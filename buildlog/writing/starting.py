"""`buildlog start` and `buildlog commission`: a new workshop, and a new build in it, with explained records."""

from __future__ import annotations

import contextlib
import re
import shutil
import tempfile
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path, PurePosixPath
from zoneinfo import available_timezones

from buildlog.figures.scale import parse_scale
from buildlog.records.fields import read_email
from buildlog.records.workshop import Workshop
from buildlog.writing import WritingError
from buildlog.writing.files import write_new
from buildlog.writing.sample import draw_sample
from buildlog.writing.yamltext import line, scalar, slug

SCHEMA_FOLDER = ".schemas"
"""Beside the workshop's settings: what an editor needs to complete keys and underline mistakes."""
_TEMPLATE = files("buildlog.writing") / "template"
_UTC = {"Etc/UTC", "Etc/UCT", "Etc/Universal", "Etc/Zulu", "UCT", "Universal", "Zulu"}
_COMMENTED = re.compile(r"(.*?@.*\S)\s+# (.*)")
"""A line of a template with a word to put in and a comment, which stays in its column."""
_SCHEMA_OF = {
    "workshop.yml": "workshop",
    "parts.yml": "parts",
    "paints.yml": "paints",
    "sources.yml": "sources",
    "notes.yml": "notes",
    "build.yml": "build",
}


@dataclass(frozen=True)
class Started:
    """A new workshop."""

    folder: Path
    build: str
    """The first build's address."""
    sample: Path
    """The sample record."""


def start_workshop(
    folder: Path,
    *,
    name: str = "",
    contact: str = "",
    build: str = "First build",
    scale: str = "1:24",
    today: date,
    time_zone: str | None = None,
) -> Started:
    """
    Write a new workshop into a folder that is empty or not there yet; it appears whole or not at all.

    Args:
        folder: Made with those above it.
        name: The workshop's; left out, the folder's name.
        contact: A mail address.
        build: The first build's name.
        scale: The first build's.
        today: The sample record is dated a year before, so that it stands below everything that is added.
        time_zone: Left out, this machine's.

    Raises:
        WritingError: The folder is in use, or a value will not do.
    """
    target = folder.absolute()
    _check_free(target, folder)
    name = name or target.name.replace("-", " ").replace("_", " ").strip() or "My workshop"
    address = slug(build)
    if not address:
        raise WritingError(f'"{build}" has no letter or digit; name the build in words.')
    day = today.replace(year=today.year - 1, day=min(today.day, 28) if today.month == 2 else today.day)
    words = {
        "NAME": scalar(name),
        "CONTACT_LINE": _contact_line(contact),
        "TIME_ZONE": time_zone or local_time_zone(),
        **_build_words(build, address, scale, "public"),
        "DAY": str(day),
        "FULL_SIZE": f"{round(12 * _ratio(scale))} mm",
    }
    is_there = target.is_dir()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        # Beside the folder, or inside it where somebody may be standing in it already.
        fresh = Path(tempfile.mkdtemp(prefix=".starting-", dir=target if is_there else target.parent))
    except OSError as error:
        raise WritingError(f"{folder} cannot be made: {error.strerror}; nothing was written.") from None
    try:
        _fill(_TEMPLATE, fresh, words, PurePosixPath())
        (fresh / "gitignore").rename(fresh / ".gitignore")
        home = fresh / "content" / "builds" / address
        (fresh / "content" / "builds" / "first").rename(home)
        (home / "stages" / "sample.yml").rename(home / "stages" / f"{day}-sample.yml")
        (home / "photos" / str(day)).mkdir(parents=True)
        draw_sample(home / "photos" / str(day) / "sample-sheet.jpg", day)
        write_schemas(fresh / SCHEMA_FOLDER)
        if is_there:
            for entry in fresh.iterdir():
                entry.rename(target / entry.name)
        else:
            fresh.chmod(0o755)  # a temporary folder is made for its owner alone
            fresh.rename(target)
    except OSError as error:
        raise WritingError(f"{error.filename}: {error.strerror}; nothing was written.") from None
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
    sample = folder / "content" / "builds" / address / "stages" / f"{day}-sample.yml"
    return Started(folder=folder, build=address, sample=sample)


def write_build(workshop: Workshop, name: str, *, root: Path, scale: str = "1:24", kind: str = "") -> Path:
    """
    Write the explained `build.yml` of a new build, which nobody sees until its audience is changed.

    Args:
        workshop: All the records.
        name: The model's; its folder is named after it.
        root: The workshop's folder.
        scale: As in a record.
        kind: The kind of subject.

    Returns:
        The new file.

    Raises:
        WritingError: There is such a build, or a value will not do.
    """
    address = slug(name)
    if not address:
        raise WritingError(f'"{name}" has no letter or digit; name the build in words.')
    for build in workshop.builds:
        if address.casefold() in {former.casefold() for former in (build.slug, *build.record.formerly)}:
            raise WritingError(f'There is a build "{build.slug}" already; give the new one another name.')
    path = workshop.folder / "builds" / address / "build.yml"
    if path.parent.exists():
        raise WritingError(f"{path.parent} is there already; move it away, or give the new build another name.")
    words = _build_words(name, address, scale, "draft", kind)
    source = _TEMPLATE / "content" / "builds" / "first" / "build.yml"
    text = _with_words(source.read_text(encoding="utf-8"), words)
    try:
        write_new(path, "\n".join([*schema_comment(root, path, "build"), text]))
    except OSError as error:
        raise WritingError(f"{error.filename}: {error.strerror}; nothing was written.") from None
    return path


def schema_comment(root: Path, path: Path, schema: str) -> list[str]:
    """Give the line that ties a file to its schema for editors; none where the workshop keeps no schemas."""
    if not (root / SCHEMA_FOLDER / f"{schema}.schema.json").is_file():
        return []
    try:
        up = len(path.parent.absolute().relative_to(root.absolute()).parts)
    except ValueError:
        return []
    return [_schema_line(up, schema)]


def write_schemas(folder: Path) -> None:
    """
    Copy the schemas that belong to this version into a workshop.

    Raises:
        OSError: They cannot be written.
    """
    folder.mkdir(exist_ok=True)
    for schema in (files("buildlog") / "schemas").iterdir():
        if schema.name.endswith(".json"):
            (folder / schema.name).write_bytes(schema.read_bytes())


def refresh_schemas(root: Path) -> None:
    """Bring a workshop's schemas up to this version, where it keeps any; failing is no harm, they only help editors."""
    folder = root / SCHEMA_FOLDER
    if not folder.is_dir():
        return
    with contextlib.suppress(OSError):
        for schema in (files("buildlog") / "schemas").iterdir():
            known = folder / schema.name
            if schema.name.endswith(".json") and not (known.is_file() and known.read_bytes() == schema.read_bytes()):
                known.write_bytes(schema.read_bytes())


def local_time_zone() -> str:
    """Name this machine's time zone, or UTC where it does not say."""
    try:
        parts = Path("/etc/localtime").resolve().parts
    except OSError:
        return "UTC"
    if "zoneinfo" not in parts:
        return "UTC"
    name = "/".join(parts[parts.index("zoneinfo") + 1 :])
    return name if name in available_timezones() and name not in _UTC else "UTC"


def _check_free(target: Path, shown: Path) -> None:
    if not target.exists():
        return
    if not target.is_dir():
        raise WritingError(f"{shown} is a file; give the name of a folder that is not there yet.")
    if any(target.iterdir()):
        raise WritingError(f"{shown} is not empty, and nothing in it is touched; give the name of a new folder.")


def _contact_line(contact: str) -> str:
    if contact:
        try:
            read_email(contact)
        except ValueError as error:
            raise WritingError(f"--contact: {error}") from None
        return line(f"contact: {scalar(contact)}", '"Ask about this" writes to this address; it is published')
    return line("# contact: you@example.org", '"Ask about this" writes to this address; it is published')


def _ratio(scale: str) -> Fraction:
    try:
        return parse_scale(scale).ratio
    except ValueError as error:
        raise WritingError(f"--scale: {error}") from None


def _build_words(build: str, address: str, scale: str, audience: str, kind: str = "") -> dict[str, str]:
    _ratio(scale)
    return {
        "BUILD": scalar(build),
        "SLUG": address,
        "SCALE": scalar(scale),
        "KIND": scalar(kind or "vessel"),
        "AUDIENCE": audience,
    }


def _fill(source: Traversable, target: Path, words: dict[str, str], inside: PurePosixPath) -> None:
    """Write the template's files with the words put in, each tied to its schema."""
    for entry in source.iterdir():
        if entry.is_dir():
            (target / entry.name).mkdir()
            _fill(entry, target / entry.name, words, inside / entry.name)
            continue
        text = _with_words(entry.read_text(encoding="utf-8"), words)
        schema = "stage" if inside.name == "stages" else _SCHEMA_OF.get(entry.name)
        head = [_schema_line(len(inside.parts), schema)] if schema else []
        (target / entry.name).write_text("\n".join([*head, text]), encoding="utf-8", newline="\n")


def _with_words(text: str, words: dict[str, str]) -> str:
    lines = []
    for written in text.splitlines():
        code, comment = match.groups() if (match := _COMMENTED.fullmatch(written)) else (written, "")
        for word, value in words.items():
            code = code.replace(f"@{word}@", value)
        lines.append(line(code, comment))
    return "\n".join(lines) + "\n"


def _schema_line(up: int, schema: str) -> str:
    return f"# yaml-language-server: $schema={'../' * up}{SCHEMA_FOLDER}/{schema}.schema.json"
