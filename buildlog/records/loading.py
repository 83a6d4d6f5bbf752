"""From the content folder to a checked `Workshop`, with every mistake of every file reported at once."""

from __future__ import annotations

import csv
import difflib
import gc
import os
import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path, PurePosixPath
from types import MappingProxyType
from typing import Any, Literal, TypeVar

from pydantic import BaseModel, TypeAdapter

from buildlog.records.checks import check_workshop
from buildlog.records.fields import is_id, nearest, read_date, read_hours, read_id
from buildlog.records.models import (
    BuildRecord,
    LibraryNote,
    Paint,
    Part,
    Record,
    Source,
    StageRecord,
    WorkshopRecord,
)
from buildlog.records.problems import Problem, Severity, shown
from buildlog.records.reading import Document, link_out_of, read_document, read_text, want
from buildlog.records.remarks import remarks_on
from buildlog.records.sheets import BuildSheets, Sheet, StageSheet, WorkshopSheets
from buildlog.records.understanding import understand
from buildlog.records.workshop import Build, HoursRow, Update, Workshop

PICTURE_SUFFIXES = frozenset(
    {".jpg", ".jpeg", ".jpe", ".png", ".webp", ".avif", ".tif", ".tiff", ".heic", ".heif", ".mpo"}
)
"""File endings, in small letters, of what counts as a photo."""
RAW_SUFFIXES = frozenset({".arw", ".cr2", ".cr3", ".dng", ".nef", ".nrw", ".orf", ".pef", ".raf", ".rw2", ".srw"})
"""File endings, in small letters, of what a camera keeps before it makes a picture; from memory."""
EXPORT = "export the picture as JPEG"
"""What to do with such a file."""

T = TypeVar("T")
M = TypeVar("M", bound=Record)


@dataclass(frozen=True)
class Loaded:
    """What a content folder holds, and what is wrong with it."""

    workshop: Workshop | None
    """`None` where there are errors."""
    problems: tuple[Problem, ...]
    """By file, then line."""
    documents: Mapping[PurePosixPath, Document] = field(default_factory=dict, repr=False)
    """The stage records as read, by file: they tell where in it something is written. Empty where there are errors."""
    builds: tuple[Build, ...] = ()
    """Every build, by folder name, with what could be understood of it. Where there are errors, this is good for
    looking at the photos, and for nothing else."""
    remarks: tuple[Problem, ...] = ()
    """What could be added to records that are right as they stand, by file, then line; empty where there are errors."""

    @property
    def errors(self) -> tuple[Problem, ...]:
        """What must be mended before the site can be made."""
        return tuple(problem for problem in self.problems if problem.is_error)


def read_workshop(content: Path, *, on_progress: Callable[[int, int], None] | None = None) -> Loaded:
    """
    Read and check all records of a workshop.

    Args:
        content: The folder that holds `workshop.yml`.
        on_progress: Called after each build with the number of builds read and of all builds.

    Returns:
        The workshop, or the errors that stand in its way; warnings beside either. Bad input never raises.
    """
    with _no_sweeping():
        return _read(Path(content), on_progress)


@contextmanager
def _no_sweeping() -> Iterator[None]:
    """Keep Python from looking for garbage among ten thousand records again and again: a third of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _read(content: Path, on_progress: Callable[[int, int], None] | None) -> Loaded:
    reader = _Reader(content, on_progress)
    sheets = reader.read()
    if sheets is None:
        return Loaded(None, tuple(sorted(set(reader.problems), key=_order)))
    problems = tuple(sorted({*reader.problems, *check_workshop(sheets)}, key=_order))
    builds = tuple(_builds(sheets))
    if any(problem.is_error for problem in problems):
        return Loaded(None, problems, builds=builds)
    documents = {stage.sheet.path: stage.sheet.document for build in sheets.builds for stage in build.stages}
    return Loaded(_workshop(sheets, builds), problems, documents, builds, remarks_on(sheets))


def _order(problem: Problem) -> tuple[str, int, int, str, str]:
    return (str(problem.path), problem.line, problem.column, problem.field, problem.message)


# --- folders -------------------------------------------------------------------------------------

_IGNORED = {"thumbs.db", "ehthumbs.db", "desktop.ini", "__macosx", "icon\r"}
_IGNORED_ENDINGS = ("~", ".swp", ".swo", ".bak", ".tmp", ".orig")
_SIDECARS = {".xmp", ".aae", ".thm", ".pp3"}
_MOST_PHOTO_LEVELS = 6


def is_ignored(name: str) -> bool:
    """Whether a file is hidden, or left behind by an editor or a file manager, so that nobody meant it as a record."""
    low = name.casefold()
    return name.startswith((".", "~$", "#")) or low in _IGNORED or low.endswith(_IGNORED_ENDINGS)


def address_for(name: str) -> str:
    """Make the nearest name that can stand in an address; empty where nothing of it can."""
    name = unicodedata.normalize("NFC", name)
    kept = "".join(c if unicodedata.category(c)[0] in "LNM" or c in "-_." else "-" for c in name)
    name = re.sub(r"-{2,}", "-", kept).strip("-_.")[:100].rstrip("-_.")
    return name if name and is_id(name) else ""


@dataclass(frozen=True)
class _Entry:
    name: str
    path: PurePosixPath
    is_folder: bool


class _Reader:
    """Reads one content folder, and gathers what is wrong on the way."""

    def __init__(self, root: Path, on_progress: Callable[[int, int], None] | None) -> None:
        self.root = root
        self.problems: list[Problem] = []
        self._on_progress = on_progress

    def _report(self, path: PurePosixPath, message: str, *, line: int = 0, warning: bool = False) -> None:
        severity = Severity.WARNING if warning else Severity.ERROR
        self.problems.append(Problem(path, line, 0, "", message, severity=severity))

    def _entries(self, folder: PurePosixPath) -> list[_Entry]:
        """List a folder by name, without what nobody meant; links out of the content folder are reported."""
        entries = []
        try:
            with os.scandir(self.root / folder) as found:
                for entry in sorted(found, key=lambda one: one.name):
                    path = folder / entry.name
                    if is_ignored(entry.name):
                        continue
                    if not entry.name.isprintable():
                        self._report(folder, f'"{shown(entry.name)}" has invisible letters in its name; rename it')
                        continue
                    if entry.is_symlink() and (reason := link_out_of(self.root, self.root / path)):
                        self._report(path, reason)
                        continue
                    entries.append(_Entry(entry.name, path, entry.is_dir()))
        except OSError as error:
            reason = (error.strerror or "unknown reason").lower()
            self._report(folder, f"the folder can't be read: {reason}")
        return entries

    def read(self) -> WorkshopSheets | None:
        """Read everything; `None` where there is no content folder."""
        if not self.root.is_dir():
            self._report(
                PurePosixPath("."),
                f'there is no folder "{shown(self.root.name)}" to read; give the folder that holds workshop.yml',
            )
            return None
        path = PurePosixPath("workshop.yml")
        names = self._top(self._entries(PurePosixPath()))
        if "workshop.yml" in names:
            workshop = self._mapping(path, WorkshopRecord, "format: 1")
        else:
            workshop = Sheet[WorkshopRecord](Document(path))
            if not any(_is_yaml(problem.path.name) or problem.path == path for problem in self.problems):
                self._report(path, "there is no workshop.yml; write one that begins with the line format: 1")
        library = self._library_files() if "library" in names else set()
        return WorkshopSheets(
            self.root,
            workshop,
            self._list("parts.yml", Part, library),
            self._list("paints.yml", Paint, library),
            self._list("sources.yml", Source, library),
            self._list("notes.yml", LibraryNote, library),
            tuple(self._builds()) if "builds" in names else (),
        )

    def _known(self, entries: list[_Entry], known: Mapping[str, bool]) -> tuple[set[str], list[_Entry]]:
        """
        Tell what is read of a folder from what is not, and report what was meant to be read but has another name.

        Args:
            entries: What the folder holds.
            known: The names that are read, and whether each is a folder.

        Returns:
            The known names that are there, and the entries that mean nothing known.
        """
        names = {entry.name for entry in entries}
        there, others = set(), []
        for entry in entries:
            if entry.name in known:
                if entry.is_folder == known[entry.name]:
                    there.add(entry.name)
                else:
                    what = "folder" if known[entry.name] else "file"
                    self._report(entry.path, f"is meant to be a {what}; put a {what} of this name in its place")
            elif (right := _meant(entry, known)) and right not in names:
                save = right.endswith(".csv") and not entry.name.casefold().endswith(".csv")
                what = f"save it as {right}" if save else f"rename it to {right}"
                self._report(entry.path, f"is not read under this name; {what}")
            elif right:
                self._report(entry.path, f"is not read under this name; put what it holds into {right}")
            else:
                others.append(entry)
        return there, others

    def _top(self, entries: list[_Entry]) -> set[str]:
        # Beside the records the folder may hold whatever else the site is made of.
        known = {"workshop.yml": False, "library": True, "builds": True}
        theirs = [one for one in entries if not one.is_folder or one.name in known or _meant(one, known)]
        there, others = self._known(theirs, known)
        for entry in others:
            if not entry.is_folder and _is_yaml(entry.name):
                self._report(
                    entry.path,
                    "is no record that is read here; records stand in workshop.yml, library/ and builds/",
                )
        return there

    # --- library ---

    def _library_files(self) -> set[str]:
        known = dict.fromkeys(["parts.yml", "paints.yml", "sources.yml", "notes.yml"], False)
        there, others = self._known(self._entries(PurePosixPath("library")), known)
        for entry in others:
            if not entry.is_folder and _is_yaml(entry.name):
                self._report(entry.path, "is no library file; use parts.yml, paints.yml, sources.yml or notes.yml")
            else:
                self._report(entry.path, "is no record, so nothing reads it; keep it outside the library", warning=True)
        return there

    def _list(self, name: str, model: type[M], present: set[str]) -> Sheet[tuple[M, ...]]:
        path = PurePosixPath("library", name)
        if name not in present:
            return Sheet(Document(path, []), ())
        return self._sheet(path, _list_adapter(model), model, "list", "- id: lamp-12")

    def _mapping(self, path: PurePosixPath, model: type[M], begins: str) -> Sheet[M]:
        return self._sheet(path, _adapter(model), model, "mapping", begins)

    def _sheet(
        self,
        path: PurePosixPath,
        adapter: TypeAdapter[T],
        model: type[BaseModel],
        kind: Literal["mapping", "list"],
        begins: str,
    ) -> Sheet[T]:
        sheet = understand(adapter, model, want(read_document(self.root, path), kind, begins))
        self.problems.extend(sheet.problems)
        return sheet

    # --- builds ---

    def _builds(self) -> Iterator[BuildSheets]:
        entries = self._entries(PurePosixPath("builds"))
        folders = []
        for entry in entries:
            if entry.is_folder:
                folders.append(entry)
            elif _is_yaml(entry.name):
                slug = address_for(PurePosixPath(entry.name).stem) or "name"
                self._report(entry.path, f"a build is a folder; put this file in builds/{slug}/build.yml")
            else:
                self._report(entry.path, "is no build's folder, so nothing reads it; keep it elsewhere", warning=True)
        self._check_names([(entry.path, entry.name) for entry in folders], "folder")
        for number, entry in enumerate(folders, 1):
            yield self._build(entry)
            if self._on_progress:
                self._on_progress(number, len(folders))

    def _check_names(self, named: list[tuple[PurePosixPath, str]], what: str) -> None:
        """Report names that can't be addresses, or that would share one."""
        seen: dict[str, str] = {}
        for path, name in named:
            plain = unicodedata.normalize("NFC", name)
            if not is_id(plain):
                right = address_for(name)
                hint = f'rename it to "{right}"' if right else "use letters, digits and hyphens"
                self._report(
                    path,
                    f"the {what}'s name becomes the page's address, and "
                    f'"{shown(name)}" can\'t be one (letters, digits, -, _ and . can); {hint}',
                )
                continue
            folded = unicodedata.normalize("NFC", plain.casefold())
            if folded in seen:
                self._report(
                    path,
                    f'has the same address as "{shown(seen[folded])}" but for capitals or accents; rename one of them',
                )
            seen.setdefault(folded, name)

    def _build(self, entry: _Entry) -> BuildSheets:
        slug = unicodedata.normalize("NFC", entry.name)
        entries = self._entries(entry.path)
        known = {"build.yml": False, "stages": True, "photos": True, "hours.csv": False}
        reported = len(self.problems)
        there, others = self._known(entries, known)
        for other in others:
            if not other.is_folder and _is_yaml(other.name):
                self._report(
                    other.path,
                    "is no record that is read here; a build has build.yml, and its stage records stand in stages/",
                )
            else:
                self._report(
                    other.path,
                    "nothing reads this; a build's folder holds build.yml, stages, photos and hours.csv",
                    warning=True,
                )
        path = entry.path / "build.yml"
        if "build.yml" in there:
            build = self._mapping(path, BuildRecord, f"name: {slug}")
        else:
            build = Sheet(Document(path))
            if not any(
                "build.yml" in (problem.path.name, problem.message[-9:]) for problem in self.problems[reported:]
            ):
                self._report(path, "there is no build.yml in this folder; it begins with name: and the model's name")
        stages = list(self._stages(entry.path / "stages")) if "stages" in there else []
        stages.sort(key=lambda one: (*_when(one), one.name))
        photos: list[PurePosixPath] = []
        folders: set[PurePosixPath] = set()
        if "photos" in there:
            self._photos(entry.path / "photos", PurePosixPath(), photos, folders, 0)
        hours = self._hours(entry.path / "hours.csv") if "hours.csv" in there else ()
        return BuildSheets(
            slug,
            self.root / entry.path,
            build,
            tuple(stages),
            tuple(sorted(photos)),
            frozenset(folders),
            hours,
        )

    def _stages(self, folder: PurePosixPath) -> Iterator[StageSheet]:
        entries = self._entries(folder)
        names = []
        for entry in entries:
            path = PurePosixPath(entry.name)
            if entry.is_folder:
                self._report(entry.path, "is a folder; stage records stand in stages/ itself, one file each")
            elif path.suffix == ".yml":
                names.append((entry.path, path.stem))
            elif _is_yaml(entry.name):
                self._report(entry.path, f"is not read under this name; rename it to {path.stem}.yml")
            else:
                self._report(
                    entry.path, "is no stage record, so nothing reads it; a record's name ends in .yml", warning=True
                )
        self._check_names(names, "file")
        for path, stem in names:
            begins = "date: 2026-08-15"
            yield StageSheet(unicodedata.normalize("NFC", stem), self._mapping(path, StageRecord, begins))

    def _photos(
        self,
        top: PurePosixPath,
        inner: PurePosixPath,
        photos: list[PurePosixPath],
        folders: set[PurePosixPath],
        level: int,
    ) -> None:
        others = []
        for entry in self._entries(top / inner):
            plain = unicodedata.normalize("NFC", entry.name)
            if plain != entry.name and not (self.root / top / inner / plain).exists():
                self._report(
                    entry.path, f"its accents are written as letters of their own; rename it by typing {plain} afresh"
                )
                continue
            if entry.is_folder:
                if level >= _MOST_PHOTO_LEVELS:
                    self._report(entry.path, "lies too deep; keep photos in folders directly under photos/")
                    continue
                folders.add(inner / plain)
                self._photos(top, inner / plain, photos, folders, level + 1)
            elif PurePosixPath(plain).suffix.casefold() in PICTURE_SUFFIXES:
                if (self.root / entry.path).is_file():
                    photos.append(inner / plain)
                else:
                    self._report(entry.path, "is not an ordinary file; put the picture itself there")
            elif PurePosixPath(plain).suffix.casefold() not in _SIDECARS:
                others.append(entry.name)
        shown_as = {(path.parent, path.stem) for path in photos}
        raw = [name for name in others if PurePosixPath(name).suffix.casefold() in RAW_SUFFIXES]
        others = [name for name in others if name not in raw]
        raw = [name for name in raw if (inner, unicodedata.normalize("NFC", PurePosixPath(name).stem)) not in shown_as]
        if raw:
            names = ", ".join(shown(name, 40) for name in raw[:3]) + (", …" if len(raw) > 3 else "")
            what = "1 file is a camera's raw file" if len(raw) == 1 else f"{len(raw)} files are a camera's raw files"
            self._report(top / inner, f"{what} and can't be shown ({names}); {EXPORT}", warning=True)
        if others:
            names = ", ".join(shown(name, 40) for name in others[:3]) + (", …" if len(others) > 3 else "")
            count = "1 file is" if len(others) == 1 else f"{len(others)} files are"
            self._report(
                top / inner,
                f"{count} of a kind that can't be shown ({names}); pictures are JPEG, PNG, TIFF, WebP, AVIF or HEIC",
                warning=True,
            )

    # --- hours.csv ---

    def _hours(self, path: PurePosixPath) -> tuple[HoursRow, ...]:
        text, problems = read_text(self.root, path)
        self.problems.extend(problems)
        return tuple(self._hours_rows(path, text)) if text is not None else ()

    def _hours_rows(self, path: PurePosixPath, text: str) -> Iterator[HoursRow]:
        header, _, _ = text.partition("\n")
        separator = ";" if header.count(";") > header.count(",") else ","
        rows = csv.reader(text.splitlines(keepends=True), delimiter=separator, strict=True)
        columns: list[str] = []
        line = 1
        try:
            for row in rows:
                cells = [cell.strip() for cell in row]
                if any(cells):
                    if not columns:
                        columns = [cell.casefold() for cell in cells]
                        if not self._check_columns(path, columns, cells, line):
                            return
                    elif found := self._hours_row(
                        path, dict(zip(columns, cells, strict=False)), len(cells), columns, line
                    ):
                        yield found
                line = rows.line_num + 1
        except csv.Error:
            self._report(
                path,
                "this line is no row of a table; check its quotes: one that opens is closed, and one inside a note is "
                "written twice",
                line=line,
            )
        if not columns:
            self._report(path, "is empty; its first line is date,work,hours,note")

    def _check_columns(self, path: PurePosixPath, columns: list[str], written: list[str], line: int) -> bool:
        known = ("date", "work", "hours", "note")
        if not set(columns) & set(known):
            self._report(path, "the first line must name the columns; write date,work,hours,note there", line=line)
            return False
        good = True
        for column, name in zip(columns, written, strict=True):
            if column not in known:
                guess = nearest(column, known)
                hint = f'did you mean "{guess}"?' if guess else "the columns are date, work, hours and note"
                self._report(path, f'unknown column "{shown(name, 40)}"; {hint}', line=line)
                good = False
        missing = [name for name in known[:3] if name not in columns]
        if good and missing:
            self._report(
                path, f"the first line lacks {' and '.join(missing)}; write date,work,hours,note there", line=line
            )
            good = False
        if good and len(set(columns)) < len(columns):
            self._report(path, "the first line names a column twice; write date,work,hours,note there", line=line)
            good = False
        return good

    def _hours_row(
        self, path: PurePosixPath, cells: dict[str, str], count: int, columns: list[str], line: int
    ) -> HoursRow | None:
        if count > len(columns):
            self._report(
                path,
                f"has {count} values for {len(columns)} columns; put a note that has a comma in quotes, and write "
                "hours with a point",
                line=line,
            )
            return None
        values: dict[str, Any] = {}
        for name, read in (("date", read_date), ("work", read_id), ("hours", read_hours)):
            text = cells.get(name, "")
            try:
                if not text:
                    raise ValueError("is empty; every line has a date, a work item and hours")
                values[name] = read(text)
            except ValueError as error:
                self.problems.append(
                    Problem(
                        path, line, 0, name, str(error).replace(text, shown(text)) if text else str(error), shown(text)
                    )
                )
        if len(values) < 3:
            return None
        return HoursRow(values["date"], values["work"], values["hours"], cells.get("note", ""), line)


def _is_yaml(name: str) -> bool:
    return PurePosixPath(name).suffix.casefold() in {".yml", ".yaml"}


def _meant(entry: _Entry, known: Mapping[str, bool]) -> str | None:
    """
    Find which of the names that are read a file or folder was most likely meant to have.

    Only the names without their endings are compared, and with all that are known, so that `paint.yml` is near to
    `paints.yml` alone.

    Args:
        entry: Under a name that is not read.
        known: The names that are read, and whether each is a folder.

    Returns:
        The known name; `None` where none is near enough to be sure.
    """
    path = PurePosixPath(entry.name.casefold())
    stem = path.stem if not entry.is_folder else path.name
    fitting = {
        PurePosixPath(name).stem: name
        for name, is_folder in known.items()
        if is_folder == entry.is_folder
        and (is_folder or path.suffix == PurePosixPath(name).suffix or (name.endswith(".yml") and _is_yaml(entry.name)))
    }
    sheet = next((name for name in known if name.endswith(".csv") and PurePosixPath(name).stem == stem), None)
    if sheet and not entry.is_folder:
        return sheet  # a spreadsheet of that name
    best = max(fitting, key=lambda one: _likeness(stem, one), default=None)
    return fitting[best] if best is not None and _likeness(stem, best) >= _NEAR else None


_NEAR = 0.85
"""How like two names must be for one to be a slip of the other: a letter too many or too few, or two changed about."""


def _likeness(stem: str, known: str) -> float:
    """How like a name is to a known one, from 0 to 1; the same letters in another order are a slip of the fingers."""
    if sorted(stem) == sorted(known):
        return 1.0
    return difflib.SequenceMatcher(None, stem, known, autojunk=False).ratio()


def _when(stage: StageSheet) -> tuple[Any, ...]:
    record = stage.sheet.record
    return (1,) if record is None or stage.sheet.lacks("date") else (0, record.date.order)


@cache
def _adapter(model: type[M]) -> TypeAdapter[M]:
    return TypeAdapter(model)


@cache
def _list_adapter(model: type[M]) -> TypeAdapter[tuple[M, ...]]:
    return TypeAdapter(tuple[model, ...])  # type: ignore[valid-type]


# --- the workshop --------------------------------------------------------------------------------


def _builds(sheets: WorkshopSheets) -> Iterator[Build]:
    """Put together every build whose file could be read."""
    usual = sheets.workshop.record.stages if sheets.workshop.record else ()
    for build in sheets.builds:
        if build.build.record is not None:
            yield Build(
                build.slug,
                build.folder,
                build.build.path,
                build.build.record,
                tuple(Update(stage.name, stage.sheet.path, update) for stage, update in build.understood),
                build.build.record.stages or usual,
                build.photos,
                build.hours,
            )


def _workshop(sheets: WorkshopSheets, builds: tuple[Build, ...]) -> Workshop:
    """Put the workshop together; every sheet is whole."""
    record = sheets.workshop.record
    assert record is not None  # noqa: S101 - there are no errors, so it was read
    return Workshop(
        sheets.folder,
        record,
        MappingProxyType({part.id: part for part in sheets.parts.record or ()}),
        MappingProxyType({paint.id: paint for paint in sheets.paints.record or ()}),
        MappingProxyType({source.id: source for source in sheets.sources.record or ()}),
        MappingProxyType({note.id: note for note in sheets.notes.record or ()}),
        builds,
    )
