"""
What one record says against what the others say: references, order in time, photos and figures.

Each check answers one question and yields what it finds. Where a file could not be read, nothing is called unknown
that may well stand in it.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections import defaultdict
from collections.abc import Callable, Collection, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import pairwise
from pathlib import PurePosixPath
from typing import Any

from buildlog.figures.accuracy import keeps_within
from buildlog.figures.quantities import Quantity
from buildlog.figures.scale import Scale, check_law, default_law, to_model
from buildlog.figures.tolerance import Tolerance, allowed
from buildlog.records.fields import is_id, nearest
from buildlog.records.models import (
    AccuracyEntry,
    BuildRecord,
    FeatureEntry,
    FeatureState,
    FolderEntry,
    LibraryNote,
    Outcome,
    PhotoEntry,
    SpecRow,
    StageRecord,
    Status,
    TurntableEntry,
)
from buildlog.records.problems import Problem, shown
from buildlog.records.reading import KeyPath
from buildlog.records.sheets import BuildSheets, Sheet, StageSheet, WorkshopSheets
from buildlog.records.telling import SoFar, Turn, in_turn, merged, no_wider_than
from buildlog.words import OWN_ANCHORS, anchor

OWN_PATTERN = "own pattern"
"""What the maker of a workshop's own part is called; the workshop's name will do as well."""

Found = Iterator[Problem]


def check_workshop(sheets: WorkshopSheets) -> Found:
    """Check everything that was read against everything else."""
    library = Library(sheets)
    yield from check_library_ids(sheets)
    yield from check_note_sources(sheets, library)
    yield from check_paint_sources(sheets, library)
    yield from check_parts_for_sale(sheets)
    if sheets.workshop.record:
        yield from _once(sheets.workshop, _ids(("stages",), sheets.workshop.record.stages), "the stage")
    yield from check_former_build_names(sheets)
    yield from check_build_titles(sheets)
    for build in sheets.builds:
        yield from check_build(build, library)


# --- what can be referred to ---------------------------------------------------------------------


class Known:
    """The ids that a reference may name."""

    def __init__(
        self, what: str, where: str, ids: Iterable[str], *, but: Collection[str] = (), open_: bool = False
    ) -> None:
        """
        Args:
            what: Such as "part".
            where: Such as "library/parts.yml".
            ids: Those that are understood.
            but: Words that may be ids, from parts of records that could not be understood.
            open_: Whether there may be others, since a file could not be read.
        """
        self.what = what
        self.where = where
        self.ids = tuple(dict.fromkeys(ids))
        self._set = {*self.ids, *but}
        self._meant = (*self.ids, *(word for word in sorted(but) if is_id(word)))
        self._open = open_

    def __contains__(self, word: str) -> bool:
        return self._open or word in self._set

    def unknown(self, word: str) -> str:
        """Say that a word is none of these, and what may have been meant."""
        return f'there is no {self.what} "{shown(word, 60)}" in {self.where}; {self.hint(word)}'

    def hint(self, word: str) -> str:
        """Say what may have been meant."""
        if guess := nearest(word, self._meant):
            return f'did you mean "{guess}"?'
        if not self.ids:
            return "none is listed there yet, so add it"
        if len(self.ids) <= 12:
            return f"known: {', '.join(self.ids)}"
        return "add it there, or use the id of one that is there"

    @property
    def accepted(self) -> str:
        """What is accepted, in words."""
        return ", ".join(self.ids[:40]) + (", …" if len(self.ids) > 40 else "")


class Library:
    """What the library and the workshop offer to every build."""

    def __init__(self, sheets: WorkshopSheets) -> None:
        def known(what: str, sheet: Sheet[Any]) -> Known:
            ids = (item.id for item in sheet.record or ())
            return Known(what, str(sheet.path), ids, but=sheet.words_left_out, open_=sheet.record is None)

        self.parts = known("part", sheets.parts)
        self.paints = known("paint", sheets.paints)
        self.sources = known("source", sheets.sources)
        self.notes = known("note", sheets.notes)
        self.note_of: Mapping[str, LibraryNote] = {note.id: note for note in sheets.notes.record or ()}
        self.workshop = sheets.workshop


def _refer(sheet: Sheet[Any], path: KeyPath, word: str, known: Known) -> Found:
    if word not in known:
        yield sheet.problem(path, known.unknown(word), found=word, accepted=known.accepted)


def _ids(path: KeyPath, items: Iterable[Any]) -> Iterator[tuple[KeyPath, str]]:
    for index, item in enumerate(items):
        yield (*path, index, "id"), item.id


def _folded(word: str) -> str:
    return unicodedata.normalize("NFC", word.casefold())


def _as_address(word: str) -> str:
    """What words have in common that a reader, or an address made of them, cannot tell apart."""
    return re.sub(r"[-_]+", "-", anchor(word).casefold())


def _once(
    sheet: Sheet[Any],
    named: Iterable[tuple[KeyPath, str]],
    what: str,
    remedy: str = "keep one, or give this one another id",
) -> Found:
    """Report what is listed twice, or would share an address with another: told apart by capitals or signs alone."""
    seen: dict[str, tuple[KeyPath, str]] = {}
    for path, word in named:
        first = seen.setdefault(_as_address(word), (path, word))
        if first[0] == path:
            continue
        line = sheet.document.place(sheet.in_file(first[0])).line
        if first[1] == word:
            message = f'{what} "{word}" is listed already on line {line}; {remedy}'
        else:
            message = f'{what} "{word}" differs from "{first[1]}" on line {line} by capitals or signs alone; {remedy}'
        yield sheet.problem(path, message, found=word)


# --- the library ---------------------------------------------------------------------------------


def check_library_ids(sheets: WorkshopSheets) -> Found:
    """An id stands once in its file."""
    libraries: tuple[tuple[str, Sheet[Any]], ...] = (
        ("the part", sheets.parts),
        ("the paint", sheets.paints),
        ("the source", sheets.sources),
        ("the note", sheets.notes),
    )
    for what, sheet in libraries:
        yield from _once(sheet, _ids((), sheet.record or ()), what)


def check_note_sources(sheets: WorkshopSheets, library: Library) -> Found:
    """A library note cites a source that is there."""
    for index, note in enumerate(sheets.notes.record or ()):
        if note.source:
            yield from _refer(sheets.notes, (index, "source"), note.source.id, library.sources)


def check_paint_sources(sheets: WorkshopSheets, library: Library) -> Found:
    """A paint's reference colour cites a source that is there."""
    for index, paint in enumerate(sheets.paints.record or ()):
        if paint.reference and paint.reference.source:
            yield from _refer(sheets.paints, (index, "reference", "source"), paint.reference.source.id, library.sources)


def check_parts_for_sale(sheets: WorkshopSheets) -> Found:
    """Only the workshop's own parts are offered for sale."""
    workshop = sheets.workshop
    if workshop.record is None or workshop.lacks("name"):
        return
    own = (OWN_PATTERN, workshop.record.name)
    for index, part in enumerate(sheets.parts.record or ()):
        if part.for_sale is None or sheets.parts.lacks(index, "maker"):
            continue
        if part.maker is None or part.maker.casefold() not in {name.casefold() for name in own}:
            by = f'is made by "{shown(part.maker, 60)}"' if part.maker else "names no maker"
            message = (
                f'is for your own parts only, but "{part.id}" {by}; write maker: {OWN_PATTERN}, or leave for_sale out'
            )
            yield sheets.parts.problem((index, "for_sale"), message, found=part.for_sale, warning=True)


# --- a build -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Context:
    """One build with what its records may refer to."""

    sheets: BuildSheets
    library: Library
    stages: Known
    work: Known
    features: Known
    photos: Mapping[PurePosixPath, None]
    shown: frozenset[PurePosixPath]
    """Photos that some record names by themselves."""
    folders: Mapping[PurePosixPath, tuple[PurePosixPath, ...]]
    turns: tuple[Turn, ...]
    """The records in the order of time."""

    @property
    def record(self) -> BuildRecord | None:
        return self.sheets.build.record


def _context(build: BuildSheets, library: Library) -> _Context:
    record, workshop = build.build.record, library.workshop
    left_out = build.words_left_out
    own = record is not None and bool(record.stages)
    offered = record.stages if record and own else workshop.record.stages if workshop.record else ()
    stages = Known(
        "stage",
        str(build.build.path if own else workshop.path),
        (stage.id for stage in offered),
        but=left_out | workshop.words_left_out,
        open_=build.build.lost("stages") or (not own and workshop.lost("stages")),
    )
    if record is not None and not record.work and not build.build.lacks("work"):
        work = stages
    else:
        ids = (item.id for item in record.work) if record else ()
        work = Known("work item", str(build.build.path), ids, but=left_out, open_=build.build.lost("work"))
    named: dict[str, None] = {}
    for _, stage in build.understood:
        for feature in stage.features:
            named[feature.id] = None
            if feature.mirrored and feature.mirrored.id:
                named[feature.mirrored.id] = None
    features = Known("feature", "this build's records", named, but=left_out, open_=not build.stages_known)
    folders: dict[PurePosixPath, list[PurePosixPath]] = {folder: [] for folder in build.photo_folders}
    for photo in build.photos:
        folders.setdefault(photo.parent, []).append(photo)
    return _Context(
        build,
        library,
        stages,
        work,
        features,
        dict.fromkeys(build.photos),
        frozenset(
            entry.file for _, stage in build.understood for entry in stage.photos if isinstance(entry, PhotoEntry)
        ),
        {folder: tuple(inside) for folder, inside in folders.items()},
        in_turn(build),
    )


_BuildCheck = Callable[[_Context, Sheet[BuildRecord], BuildRecord], Found]
_StageCheck = Callable[[_Context, Sheet[StageRecord], StageRecord], Found]
_HistoryCheck = Callable[[_Context], Found]


def check_build(build: BuildSheets, library: Library) -> Found:
    """Check one build and all its records."""
    context = _context(build, library)
    record = build.build.record
    if record is not None:
        for check in _BUILD_CHECKS:
            yield from check(context, build.build, record)
    for stage, inner in build.understood:
        for check_stage in _STAGE_CHECKS:
            yield from check_stage(context, stage.sheet, inner)
    for check_history in _HISTORY_CHECKS:
        yield from check_history(context)


def check_build_ids(context: _Context, sheet: Sheet[BuildRecord], record: BuildRecord) -> Found:
    """Stages and work items are listed once; so are areas and views."""
    yield from _once(sheet, _ids(("stages",), record.stages), "the stage")
    yield from _once(sheet, _ids(("work",), record.work), "the work item")
    yield from _once(sheet, (((*("areas", i),), word) for i, word in enumerate(record.areas)), "the area", "keep one")
    yield from _once(sheet, (((*("views", i),), word) for i, word in enumerate(record.views)), "the view", "keep one")


def check_work_items(context: _Context, sheet: Sheet[BuildRecord], record: BuildRecord) -> Found:
    """A work item belongs to a stage, and is due after it came into the plan."""
    for index, item in enumerate(record.work):
        path: KeyPath = ("work", index)
        yield from _refer(sheet, (*path, "stage"), item.stage, context.stages)
        if item.due and item.added and item.due < item.added:
            message = f"is due on {item.due}, before it came into the plan on {item.added}; correct one of them"
            yield sheet.problem((*path, "due"), message, found=str(item.due))


def check_build_dates(context: _Context, sheet: Sheet[BuildRecord], record: BuildRecord) -> Found:
    """Ordered, finished and delivered follow one another, and stand there when the status says so."""
    steps = [("ordered", record.ordered), ("finished", record.finished), ("delivered", record.delivered)]
    written = [(name, day) for name, day in steps if day]
    for (before, earlier), (after, later) in pairwise(written):
        if later < earlier:
            message = f"{later} is before {earlier}, when it was {before}; correct one of them"
            yield sheet.problem((after,), message, found=str(later))
    if record.ordered and record.due and record.due < record.ordered:
        message = f"{record.due} is before {record.ordered}, when it was ordered; correct one of them"
        yield sheet.problem(("due",), message, found=str(record.due))
    if sheet.lacks("status"):
        return
    undated = not (record.finished or record.delivered or sheet.lacks("finished") or sheet.lacks("delivered"))
    if undated and record.status in {Status.FINISHED, Status.DELIVERED}:
        message = f"is {record.status}, but no date says when; write {record.status}: 2026-09-12"
        yield sheet.problem(("status",), message, warning=True)
    done = [name for name, day in steps[1:] if day]
    if done and record.status in {Status.ENQUIRY, Status.IN_PROGRESS}:
        message = f'is "{record.status}", though a date says it is {done[-1]}; write status: {done[-1]}'
        yield sheet.problem(("status",), message, warning=True)
    if record.delivered and record.status is Status.FINISHED:
        message = 'is "finished", though a date says it is delivered; write status: delivered'
        yield sheet.problem(("status",), message, warning=True)


def check_spec(context: _Context, sheet: Sheet[BuildRecord], record: BuildRecord) -> Found:
    """A spec row's figures are of one dimension, and its law and tolerance fit that."""
    for index, row in enumerate(record.spec):
        yield from _check_spec_row(sheet, ("spec", index), row, None if sheet.lacks("scale") else record.scale)


def _check_spec_row(sheet: Sheet[BuildRecord], path: KeyPath, row: SpecRow, scale: Scale | None) -> Found:
    size = row.full_size or row.measured
    if size is None:
        return
    if row.full_size and row.measured and row.full_size.dimension != row.measured.dimension:
        message = (
            f'"{row.measured.text}" is a {row.measured.dimension}, but full_size is a {row.full_size.dimension}; '
            "write both in units of the same kind"
        )
        yield sheet.problem((*path, "measured"), message, found=row.measured.text)
        return
    if row.scales_as is not None:
        try:
            check_law(size.dimension, row.scales_as)
        except ValueError as error:
            yield sheet.problem((*path, "scales_as"), str(error), found=row.scales_as.value)
            return
    law = row.scales_as or default_law(size.dimension)
    if row.tolerance and row.full_size:
        if law.value == "none":
            message = (
                f"a {size.dimension} does not scale unless scales_as says so, so nothing can be held against this; "
                f"write scales_as: {size.dimension}, or leave the tolerance out"
            )
            yield sheet.problem((*path, "tolerance"), message, found=row.tolerance.text)
            return
        if scale is None:
            return
        try:
            allowed(row.tolerance, to_model(row.full_size, scale, law).value, size.dimension)
        except ValueError as error:
            yield sheet.problem((*path, "tolerance"), str(error), found=row.tolerance.text)


def check_markings(context: _Context, sheet: Sheet[BuildRecord], record: BuildRecord) -> Found:
    """A marking cites a source that is there, and its stroke is thinner than the whole."""
    for index, marking in enumerate(record.markings):
        path: KeyPath = ("markings", index)
        if marking.source:
            yield from _refer(sheet, (*path, "source"), marking.source.id, context.library.sources)
        if marking.stroke and marking.stroke.value > marking.full_size.value:
            message = f"a stroke of {marking.stroke.text} is wider than the marking itself, {marking.full_size.text}"
            yield sheet.problem((*path, "stroke"), f"{message}; correct one of them", found=marking.stroke.text)


def check_cover(context: _Context, sheet: Sheet[BuildRecord], record: BuildRecord) -> Found:
    """The cover is a picture that is there."""
    if record.cover:
        yield from _photo(context, sheet, ("cover",), record.cover)


def check_former_names(context: _Context, sheet: Sheet[BuildRecord], record: BuildRecord) -> Found:
    """A record's former name is nobody else's name, now or formerly."""
    owners = {_folded(stage.name): stage for stage in context.sheets.stages}
    former: dict[str, StageSheet] = {}
    for stage, inner in context.sheets.understood:
        for index, name in enumerate(inner.formerly):
            other = owners.get(_folded(name))
            path: KeyPath = ("formerly", index)
            if other is stage:
                yield stage.sheet.problem(path, f'"{name}" is the record\'s name now; leave it out', found=name)
            elif other:
                message = f'"{name}" is the name of another record, {other.sheet.path.name}, which keeps its address'
                yield stage.sheet.problem(path, f"{message}; leave it out here", found=name)
            elif (first := former.setdefault(_folded(name), stage)) is not stage:
                message = f'"{name}" was formerly the name of {first.sheet.path.name} too; keep it in one of them'
                yield stage.sheet.problem(path, message, found=name)


def check_former_build_names(sheets: WorkshopSheets) -> Found:
    """A build's former name is nobody else's name, now or formerly."""
    owners = {_folded(build.slug): build for build in sheets.builds}
    former: dict[str, BuildSheets] = {}
    for build in sheets.builds:
        for index, name in enumerate(build.build.record.formerly if build.build.record else ()):
            other = owners.get(_folded(name))
            path: KeyPath = ("formerly", index)
            if other is build:
                yield build.build.problem(path, f'"{name}" is the folder\'s name now; leave it out', found=name)
            elif other:
                message = f'"{name}" is the folder of another build, which keeps its address; leave it out here'
                yield build.build.problem(path, message, found=name)
            elif (first := former.setdefault(_folded(name), build)) is not build:
                message = f'"{name}" was formerly the folder of {first.slug} too; keep it in one of them'
                yield build.build.problem(path, message, found=name)


def check_build_titles(sheets: WorkshopSheets) -> Found:
    """Two builds have two names, so that a reader can tell them apart."""
    first: dict[str, BuildSheets] = {}
    for build in sheets.builds:
        if build.build.record is None or build.build.lacks("name"):
            continue
        name = build.build.record.name
        if (other := first.setdefault(_folded(name), build)) is not build:
            message = f'"{shown(name, 60)}" is the name of {other.build.path} too; tell the two apart, as by a year'
            yield build.build.problem(("name",), message, found=name, warning=True)


# --- a stage record by itself --------------------------------------------------------------------


def check_stage_and_date(context: _Context, sheet: Sheet[StageRecord], record: StageRecord) -> Found:
    """A record belongs to a stage of work, is no older than the order, and is dated as its file's name says."""
    if not sheet.lacks("stage"):
        yield from _refer(sheet, ("stage",), record.stage, context.stages)
    if sheet.lacks("date"):
        return
    ordered = context.record.ordered if context.record else None
    if ordered and record.date.day < ordered:
        message = f"{record.date.day} is before the build was ordered on {ordered}; correct one of them"
        yield sheet.problem(("date",), message, found=str(record.date.day))
    elif (named := _date_in_name(sheet.path.stem)) and named != record.date.day:
        message = (
            f"{record.date.day} is not the date that the file's name begins with, {named}; correct the date, or rename "
            "the file (and name the old one under formerly, if the page has been published)"
        )
        yield sheet.problem(("date",), message, found=str(record.date.day), warning=True)
    if record.next and record.next.date and record.next.date < record.date.day:
        message = f"the next update is on {record.next.date}, before this record's own date, {record.date.day}"
        yield sheet.problem(("next", "date"), f"{message}; correct one of them", warning=True)


def _date_in_name(name: str) -> date | None:
    """Find the date that a record's name begins with."""
    match = re.match(r"\d{4}-\d{2}-\d{2}(?!\d)", name, re.ASCII)
    try:
        return date.fromisoformat(match[0]) if match else None
    except ValueError:
        return None


def check_audience(context: _Context, sheet: Sheet[StageRecord], record: StageRecord) -> Found:
    """A record narrows its build's audience, never widens it."""
    build = context.record
    if build is None or record.audience is None or context.sheets.build.lacks("audience"):
        return
    accepted = no_wider_than(build.audience)
    if record.audience not in accepted:
        narrower = " or ".join(word.value for word in accepted)
        message = (
            f'"{record.audience}" is wider than the build\'s own audience, {build.audience}; write {narrower}, '
            "leave it out, or widen the build's"
        )
        yield sheet.problem(("audience",), message, found=record.audience.value, accepted=narrower)


def check_work_named(context: _Context, sheet: Sheet[StageRecord], record: StageRecord) -> Found:
    """Hours and shares are of work items, or of stages where there is no plan; each is named once."""
    spent = record.hours.by_work if record.hours else ()
    for entry in spent:
        if entry.work not in context.work:
            yield sheet.problem(
                ("hours", entry.work), context.work.unknown(entry.work), found=entry.work, key=True,
                accepted=context.work.accepted,
            )  # fmt: skip
    for index, done in enumerate(record.done):
        yield from _refer(sheet, ("done", index), done.id, context.work)
    yield from _once(sheet, ((("done", i), done.id) for i, done in enumerate(record.done)), "the work item", "keep one")


def check_feature_entries(context: _Context, sheet: Sheet[StageRecord], record: StageRecord) -> Found:
    """Features are named once, made of known parts and paints, and stand in a listed area."""
    yield from _once(sheet, _ids(("features",), record.features), "the feature", "keep one")
    areas = context.record.areas if context.record else ()
    for index, feature in enumerate(record.features):
        path: KeyPath = ("features", index)
        for number, part in enumerate(feature.parts):
            yield from _refer(sheet, (*path, "parts", number), part.id, context.library.parts)
        for number, paint in enumerate(feature.paints):
            yield from _refer(sheet, (*path, "paints", number), paint, context.library.paints)
        if feature.mirrored:
            for number, paint in enumerate(feature.mirrored.paints):
                yield from _refer(sheet, (*path, "mirrored", "paints", number), paint, context.library.paints)
        if feature.area:
            yield from _listed(sheet, (*path, "area"), feature.area, areas, "areas")


def check_features_named(context: _Context, sheet: Sheet[StageRecord], record: StageRecord) -> Found:
    """Callouts and accuracy notes name features that some record of the build tells of."""
    for path, word in _features_named(record):
        yield from _refer(sheet, path, word, context.features)


def _features_named(record: StageRecord) -> Iterator[tuple[KeyPath, str]]:
    for index, entry in enumerate(record.photos):
        for number, callout in enumerate(() if isinstance(entry, FolderEntry) else entry.callouts):
            if callout.feature:
                yield ("photos", index, "callouts", number, "feature"), callout.feature
    for index, note in enumerate(record.accuracy):
        for number, feature in enumerate(note.features):
            yield ("accuracy", index, "features", number), feature


def _listed(sheet: Sheet[Any], path: KeyPath, word: str, listed: Sequence[str], key: str) -> Found:
    if listed and word not in listed:
        guess = nearest(word, listed)
        hint = f'did you mean "{guess}"?' if guess else f"add it there, or use one of: {', '.join(listed)}"
        message = f'"{shown(word, 60)}" is not among the build\'s {key}; {hint}'
        yield sheet.problem(path, message, found=word, accepted=", ".join(listed), warning=True)


def check_accuracy_entries(context: _Context, sheet: Sheet[StageRecord], record: StageRecord) -> Found:
    """Accuracy notes are named once, and refer to notes and sources that are there."""
    library = context.library
    named = [(("accuracy", i, "id" if note.id else "use"), note.key) for i, note in enumerate(record.accuracy)]
    yield from _once(sheet, named, "the accuracy note", "keep one")
    for index, note in enumerate(record.accuracy):
        path: KeyPath = ("accuracy", index)
        if note.use:
            yield from _refer(sheet, (*path, "use"), note.use, library.notes)
            yield from _check_kind(context, sheet, (*path, "use"), library.note_of.get(note.use))
        elif note.id and note.id in library.note_of:
            message = f'"{note.id}" is a note of {library.notes.where}; write use: {note.id}, or choose another id'
            yield sheet.problem((*path, "id"), message, found=note.id)
        if note.source:
            yield from _refer(sheet, (*path, "source"), note.source.id, library.sources)


def _check_kind(context: _Context, sheet: Sheet[StageRecord], path: KeyPath, note: LibraryNote | None) -> Found:
    kind = context.record.subject.kind if context.record and not context.sheets.build.lacks("subject") else None
    if note and kind and note.kind.casefold() != kind.casefold():
        message = f'"{note.id}" speaks of the kind "{note.kind}", but this build is of the kind "{kind}"'
        yield sheet.problem(path, f"{message}; see whether it holds here", found=note.id, warning=True)


def check_decision_pictures(context: _Context, sheet: Sheet[StageRecord], record: StageRecord) -> Found:
    """Decisions are named once, and their pictures are there."""
    yield from _once(sheet, _ids(("decisions",), record.decisions), "the decision", "keep one")
    for index, decision in enumerate(record.decisions):
        for number, picture in enumerate(decision.pictures):
            yield from _photo(context, sheet, ("decisions", index, "pictures", number), picture)
        if decision.answered and not decision.answer:
            message = "says when it was answered, but not what; write answer: beside it"
            yield sheet.problem(("decisions", index, "answered"), message, warning=True)


# --- photos --------------------------------------------------------------------------------------


def _photo(context: _Context, sheet: Sheet[Any], path: KeyPath, photo: PurePosixPath) -> Found:
    """Report a picture that is not there, with the one most likely meant."""
    if photo in context.photos:
        return
    found = str(photo)
    meant = _photo_meant(context, photo)
    if meant and _folded(str(meant)) == _folded(found):
        message = f'there is "{meant}", but capitals count; write it so'
    elif photo in context.folders:
        message = f'"{found}" is a folder; write folder: {found} to show all of it'
    elif meant:
        message = f'there is no photo "{found}"; did you mean "{meant}"?'
    else:
        message = f'there is no photo "{found}" in the build\'s photos folder; {_folder_hint(context, photo.parent)}'
    yield sheet.problem(path, message, found=found, accepted="a picture in the build's photos folder")


def _photo_meant(context: _Context, photo: PurePosixPath) -> PurePosixPath | None:
    """Find the picture that one which is not there was most likely meant to be."""
    inside = context.folders.get(photo.parent, ())
    if same := next((one for one in context.photos if _folded(str(one)) == _folded(str(photo))), None):
        return same
    named = {one.name for one in inside if one in context.shown}
    if guess := _nearest_file(photo.name, [one.name for one in inside[:500]], named):
        return photo.parent / guess
    return next((one for one in context.photos if one.name == photo.name), None)


def _nearest_file(name: str, names: Sequence[str], named: Collection[str] = ()) -> str | None:
    """
    Find the file name most like another: by its letters in their places, then by its number.

    Args:
        name: As written.
        names: What is there.
        named: Those of them that are written somewhere already, and are less likely to be meant.
    """
    alike = difflib.get_close_matches(name.casefold(), {one.casefold(): None for one in names}, n=20, cutoff=0.6)

    def distance(one: str) -> tuple[int, bool, int, str]:
        same = sum(a == b for a, b in zip(one.casefold(), name.casefold(), strict=False))
        return -same, one in named, abs(_number_in(one) - _number_in(name)), one

    return min((one for one in names if one.casefold() in alike), key=distance, default=None)


def _number_in(name: str) -> int:
    return int("".join(letter for letter in name if letter in "0123456789")[:30] or 0)


def _folder_meant(context: _Context, folder: PurePosixPath) -> PurePosixPath | None:
    """Find the folder that one which is not there was most likely meant to be."""
    guess = nearest(str(folder), [str(one) for one in sorted(context.folders) if str(one) != "."])
    return PurePosixPath(guess) if guess else None


def _folder_hint(context: _Context, folder: PurePosixPath) -> str:
    names = [str(one) for one in sorted(context.folders) if str(one) != "."]
    if folder in context.folders and str(folder) != ".":
        return "put it there, or correct the name"
    if meant := _folder_meant(context, folder):
        return f'did you mean the folder "{meant}"?'
    if not names:
        return "it holds no folder yet"
    return f"its folders are {', '.join(names)}" if len(names) <= 8 else "correct the folder's name"


def _folder(context: _Context, sheet: Sheet[Any], path: KeyPath, folder: PurePosixPath) -> Found:
    """Report a folder of pictures that is not there or is empty."""
    if context.folders.get(folder):
        return
    if folder in context.folders:
        deeper = [str(one) for one in sorted(context.folders) if one.parent == folder and context.folders[one]]
        hint = f'its pictures lie in "{deeper[0]}"' if deeper else "put the pictures there, or correct the name"
        message = f'the folder "{folder}" has no picture in it; {hint}'
    elif folder in context.photos:
        message = f'"{folder}" is a picture; write file: {folder}'
    else:
        message = f'there is no folder "{folder}" in the build\'s photos folder; {_folder_hint(context, folder)}'
    yield sheet.problem(path, message, found=str(folder), accepted="a folder in the build's photos folder")


def check_photo_entries(context: _Context, sheet: Sheet[StageRecord], record: StageRecord) -> Found:
    """Every picture, folder and left-out name of a record is there."""
    views = context.record.views if context.record else ()
    for index, entry in enumerate(record.photos):
        path: KeyPath = ("photos", index)
        if isinstance(entry, PhotoEntry):
            yield from _photo(context, sheet, (*path, "file"), entry.file)
            if entry.view:
                yield from _listed(sheet, (*path, "view"), entry.view, views, "views")
        elif isinstance(entry, FolderEntry):
            yield from _folder(context, sheet, (*path, "folder"), entry.folder)
            inside = [photo.name for photo in context.folders.get(entry.folder, ())]
            for number, name in enumerate(entry.except_):
                if (inside and name.name not in inside) or len(name.parts) > 1:
                    yield sheet.problem(
                        (*path, "except", number), _no_such_name(name, inside, entry.folder), found=str(name)
                    )
        else:
            yield from _folder(context, sheet, (*path, "turntable"), entry.turntable)


def _no_such_name(name: PurePosixPath, inside: Sequence[str], folder: PurePosixPath) -> str:
    if name.name in inside:
        return f'leave the folder out and write "{name.name}" alone'
    guess = _nearest_file(name.name, inside)
    hint = f'did you mean "{guess}"?' if guess else "leave it out, or correct the name"
    return f'there is no "{shown(str(name), 60)}" in the folder "{folder}"; {hint}'


def check_callouts(context: _Context, sheet: Sheet[StageRecord], record: StageRecord) -> Found:
    """Callouts have ids of their own on the page, and frames on turntables alone."""
    ids = []
    for index, entry in enumerate(record.photos):
        if isinstance(entry, FolderEntry):
            continue
        for number, callout in enumerate(entry.callouts):
            path: KeyPath = ("photos", index, "callouts", number)
            if callout.id:
                ids.append(((*path, "id"), callout.id))
                yield from _own_anchor(sheet, (*path, "id"), callout.id)
            if isinstance(entry, TurntableEntry):
                yield from _frame(context, sheet, path, entry, callout.frame)
            elif callout.frame:
                message = "only a callout on a turntable names a frame; leave it out"
                yield sheet.problem((*path, "frame"), message, found=str(callout.frame))
    yield from _once(sheet, ids, "the callout")


def _own_anchor(sheet: Sheet[StageRecord], path: KeyPath, word: str) -> Found:
    """A callout's address is none of those that pages make for other things."""
    if own := next((start for start in OWN_ANCHORS if anchor(word).startswith(start)), None):
        message = (
            f'a callout\'s id cannot begin with "{own}", as pages use that for addresses of their own; choose another'
        )
        yield sheet.problem(path, message, found=word)


def _frame(
    context: _Context, sheet: Sheet[StageRecord], path: KeyPath, entry: TurntableEntry, frame: PurePosixPath | None
) -> Found:
    inside = [photo.name for photo in context.folders.get(entry.turntable, ())]
    if frame is None:
        example = f", such as frame: {inside[0]}" if inside else ""
        yield sheet.problem(
            path, f"names no frame; a callout on a turntable says on which picture it is shown{example}"
        )
    elif inside and (frame.name not in inside or len(frame.parts) > 1):
        yield sheet.problem((*path, "frame"), _no_such_name(frame, inside, entry.turntable), found=str(frame))


_EMPTY_ALTS = {"photo", "picture", "image", "img", "a photo", "a picture", "an image", "alt", "todo", "-", "model"}


def check_alt(context: _Context, sheet: Sheet[StageRecord], record: StageRecord) -> Found:
    """A picture has words for somebody who cannot see it, and they describe it."""
    for index, entry in enumerate(record.photos):
        if isinstance(entry, FolderEntry):
            continue
        path: KeyPath = ("photos", index, "alt")
        there = sheet.in_file(path)
        if there in sheet.document.empty or sheet.lacks(*there):
            continue  # reported already
        if entry.alt is None:
            if isinstance(entry, TurntableEntry):
                continue  # a page can say of itself that it shows the model from all sides
            message = "has no alt; describe in a sentence what the picture shows, for somebody who cannot see it"
            yield sheet.problem(path[:-1], message, warning=True)
            continue
        alt = _plain(entry.alt)
        name = entry.file if isinstance(entry, PhotoEntry) else entry.turntable
        if alt in {_plain(name.name), _plain(name.stem), _plain(str(name))}:
            message = "only repeats the file's name; describe what the picture shows"
        elif entry.caption and alt == _plain(entry.caption):
            message = "only repeats the caption; describe what the picture shows"
        elif alt in _EMPTY_ALTS:
            message = "says nothing of what the picture shows; describe it in a sentence"
        else:
            continue
        yield sheet.problem(path, message, found=entry.alt, warning=True)


def _plain(text: str) -> str:
    return " ".join(text.casefold().split()).rstrip(".!")


def check_photos_once(context: _Context, sheet: Sheet[StageRecord], record: StageRecord) -> Found:
    """A picture is shown once in a record."""
    seen: dict[Hashable, KeyPath] = {}
    for index, entry in enumerate(record.photos):
        key = "file" if isinstance(entry, PhotoEntry) else "folder" if isinstance(entry, FolderEntry) else "turntable"
        path: KeyPath = ("photos", index, key)
        name: PurePosixPath = getattr(entry, key)
        first = seen.setdefault((key, name), path)
        if first != path:
            line = sheet.document.place(sheet.in_file(first)).line
            both = "; keep one" if key == "folder" else "; keep one, and put all its callouts there"
            message = f'"{name}" is shown already on line {line} of this record{both}'
            yield sheet.problem(path, message, found=str(name))


def _pictures_named(context: _Context, build: BuildRecord) -> Iterator[PurePosixPath]:
    """Find every picture that is shown or left out on purpose; for one that is not there, the one most likely meant."""

    def one(photo: PurePosixPath) -> PurePosixPath | None:
        return photo if photo in context.photos else _photo_meant(context, photo)

    def all_in(folder: PurePosixPath) -> Iterable[PurePosixPath]:
        meant = folder if folder in context.folders else _folder_meant(context, folder)
        return context.folders.get(meant, ()) if meant else ()

    single = [build.cover] if build.cover else []
    for _, record in context.sheets.understood:
        for entry in record.photos:
            if isinstance(entry, PhotoEntry):
                single.append(entry.file)
            else:
                # What `except` names is left out on purpose.
                yield from all_in(entry.folder if isinstance(entry, FolderEntry) else entry.turntable)
        single.extend(picture for decision in record.decisions for picture in decision.pictures)
    yield from (meant for photo in single if (meant := one(photo)))


def check_photos_used(context: _Context) -> Found:
    """Say which photos nothing shows, folder by folder."""
    build = context.sheets
    if not build.stages_known or build.build.record is None:
        return
    used = set(_pictures_named(context, build.build.record))
    lost = build.words_left_out
    idle: defaultdict[PurePosixPath, list[str]] = defaultdict(list)
    for photo in build.photos:
        if photo not in used and str(photo) not in lost and str(photo.parent) not in lost:
            idle[photo.parent].append(photo.name)
    top = build.build.path.parent / "photos"
    for folder, names in idle.items():
        count = "1 photo is" if len(names) == 1 else f"{len(names)} photos are"
        some = ", ".join(names[:3]) + (", …" if len(names) > 3 else "")
        message = (
            f"{count} shown nowhere ({some}); name {'it' if len(names) == 1 else 'them'} in a record, list "
            f"{'it' if len(names) == 1 else 'them'} under except, or delete {'it' if len(names) == 1 else 'them'}"
        )
        yield build.build.problem((), message, warning=True).in_file(top / folder)


# --- all records of a build, in the order of time ------------------------------------------------


def check_one_record_a_day(context: _Context) -> Found:
    """Two records of one stage are not of the same date."""
    seen: dict[tuple[date, str], list[tuple[StageSheet, StageRecord]]] = {}
    for stage, record in context.sheets.in_time:
        if stage.sheet.lacks("stage"):
            continue
        others = seen.setdefault((record.date.day, record.stage), [])
        for other, earlier in others:
            if record.date.clock is None or earlier.date.clock is None or record.date.clock == earlier.date.clock:
                day = record.date.day
                message = (
                    f"{other.sheet.path.name} has the same date and stage; put both in one record, or give each its "
                    f"own time, such as date: {day} 14:30"
                )
                yield stage.sheet.problem(("date",), message, found=str(day))
                break
        others.append((stage, record))


def check_shares(context: _Context) -> Found:
    """A share falls only where `redo` says why, and `redo` stands only where it falls."""
    so_far = SoFar[tuple[Fraction, str]](context.turns)
    lost = context.sheets.in_doubt
    for turn in context.turns:
        sheet = turn.stage.sheet
        for index, done in enumerate(turn.record.done):
            path: KeyPath = ("done", index)
            before, where = so_far.before(turn).get(done.id, (Fraction(0), ""))
            fell = done.share < before
            if done.id not in lost and context.sheets.stages_known:
                if fell and not done.redo:
                    message = (
                        f'the share of "{done.id}" falls from {_percent(before)} in {where} to {_percent(done.share)}; '
                        "say why with redo:, or correct the share"
                    )
                    yield sheet.problem(path, message, found=_percent(done.share))
                elif done.redo and not fell and done.share >= so_far.by_all.get(done.id, (Fraction(0), ""))[0]:
                    message = f'"{done.id}" has not fallen, so redo has nothing to explain; leave it out'
                    yield sheet.problem((*path, "redo"), message, found=done.redo, warning=True)
            for known in so_far.after(turn):
                known[done.id] = (done.share, sheet.path.name)


def _percent(share: Fraction) -> str:
    return f"{float(share * 100):.4g} %"


_ORDER = {state: place for place, state in enumerate(FeatureState)}


_Place = tuple[Sheet[StageRecord], KeyPath]
"""A record, and where in it something is said."""


def _draft_at(place: _Place) -> str:
    """Name the draft that says something, and the line."""
    sheet, path = place
    return f"{sheet.path.name}, line {sheet.document.place(sheet.in_file(path)).line}"


@dataclass(frozen=True)
class _Met:
    """What is known of a feature at one time."""

    first: _Place
    """Where it was told first."""
    state: FeatureState | None = None
    where: str = ""
    """The record that gave the state."""


def _fell(feature: FeatureEntry, before: _Met | None) -> bool:
    return bool(before and before.state and feature.state and _ORDER[feature.state] < _ORDER[before.state])


def check_feature_history(context: _Context) -> Found:
    """A feature is said in full when first met, and its state goes back only where `redo` says why."""
    so_far = SoFar[_Met](context.turns)
    lost = context.sheets.in_doubt
    known = context.sheets.stages_known
    for turn in context.turns:
        sheet = turn.stage.sheet
        for index, feature in enumerate(turn.record.features):
            path: KeyPath = ("features", index)
            before = so_far.before(turn).get(feature.id)
            if known and feature.id not in lost:
                if before is None:
                    yield from _check_introduced(context, sheet, path, feature, so_far.before(turn), so_far.by_all)
                if before and _fell(feature, before) and not feature.redo:
                    message = (
                        f'"{feature.id}" was {before.state} in {before.where} and is {feature.state} here; say why '
                        "with redo:, or correct the state"
                    )
                    yield sheet.problem((*path, "state"), message, found=str(feature.state))
                elif feature.redo and not (_fell(feature, before) or _fell(feature, so_far.by_all.get(feature.id))):
                    message = f'"{feature.id}" has not gone back, so redo has nothing to explain; leave it out'
                    yield sheet.problem((*path, "redo"), message, found=feature.redo, warning=True)
            for met in so_far.after(turn):
                one = met.get(feature.id) or _Met((sheet, (*path, "id")))
                met[feature.id] = _Met(one.first, feature.state, sheet.path.name) if feature.state else one
                if feature.mirrored and feature.mirrored.id:
                    met.setdefault(feature.mirrored.id, _Met((sheet, (*path, "mirrored", "id"))))
        if known:
            yield from _check_told(sheet, turn.record, context, so_far.before(turn), so_far.by_all)


def _check_introduced(
    context: _Context,
    sheet: Sheet[StageRecord],
    path: KeyPath,
    feature: FeatureEntry,
    met: Mapping[str, _Met],
    met_by_all: Mapping[str, _Met],
) -> Found:
    """A feature that is met for the first time has its name and area."""
    missing = [key for key in ("name", "area") if not getattr(feature, key)]
    if not missing:
        return
    areas = context.record.areas if context.record else ()
    among = f" (areas: {', '.join(areas)})" if "area" in missing and areas else ""
    if draft := met_by_all.get(feature.id):
        message = (
            f'"{feature.id}" is told only in a draft ({_draft_at(draft.first)}); say it in full here, with its '
            f"{' and '.join(missing)}{among}"
        )
    else:
        guess = nearest(feature.id, met, cutoff=0.75)
        hint = f'; or did you mean "{guess}"?' if guess else ""
        message = f'"{feature.id}" is met here for the first time; write its {" and ".join(missing)}{among}{hint}'
    yield sheet.problem((*path, "id"), message, found=feature.id)


def _check_told(
    sheet: Sheet[StageRecord],
    record: StageRecord,
    context: _Context,
    met: Mapping[str, _Met],
    met_by_all: Mapping[str, _Met],
) -> Found:
    """A feature is told no later than it is pointed at, and not in a draft alone."""
    for path, word in _features_named(record):
        if word not in context.features.ids or word in met or word in context.sheets.in_doubt:
            continue
        if draft := met_by_all.get(word):
            message = (
                f'"{word}" is told only in a draft ({_draft_at(draft.first)}); say it in full here, under features, '
                "with its name and area"
            )
        else:
            message = f'"{word}" is told only in a later record; list it under features here, with its name and area'
        yield sheet.problem(path, message, found=word)


def check_mirrored(context: _Context) -> Found:
    """The other side of a feature is the other side of that feature alone."""
    owners: dict[str, str] = {}
    for stage, record in context.sheets.understood:
        for index, feature in enumerate(record.features):
            other = feature.mirrored.id if feature.mirrored else None
            path: KeyPath = ("features", index, "mirrored", "id")
            if other == feature.id:
                message = (
                    f'"{other}" is the feature itself; give the other one an id of its own, or write mirrored: true'
                )
                yield stage.sheet.problem(path, message, found=other)
            elif other and (owner := owners.setdefault(other, feature.id)) != feature.id:
                message = f'"{other}" is the other side of "{owner}" already; give this one another id'
                yield stage.sheet.problem(path, message, found=other)


def check_note_history(context: _Context) -> Found:
    """An accuracy note is said in full when first met, and its outcome agrees with its figures."""
    so_far = SoFar[tuple[AccuracyEntry, _Place]](context.turns)
    lost = context.sheets.in_doubt
    for turn in context.turns:
        sheet = turn.stage.sheet
        for index, note in enumerate(turn.record.accuracy):
            path: KeyPath = ("accuracy", index)
            before = so_far.before(turn)
            first = note.key not in before
            known = note.key in lost or note.key in context.library.note_of or not context.sheets.stages_known
            if first and note.id and not note.claim and not known:
                if draft := so_far.by_all.get(note.key):
                    message = (
                        f'the note "{note.id}" is told only in a draft ({_draft_at(draft[1])}); say it in full here, '
                        "with its claim"
                    )
                else:
                    guess = nearest(note.id, (*before, *context.library.note_of), cutoff=0.75)
                    hint = f'; or did you mean "{guess}"?' if guess else ""
                    message = f'the note "{note.id}" is met here for the first time; write its claim{hint}'
                yield sheet.problem((*path, "id"), message, found=note.id)
            whole = merged(None if first else before[note.key][0], note)
            if context.record and note.key not in lost and not context.sheets.build.lacks("scale"):
                yield from _check_outcome(sheet, path, note, whole, context.record.scale)
            for said in so_far.after(turn):
                entry, place = said.get(note.key, (None, (sheet, path)))
                said[note.key] = (merged(entry, note), place)


def _check_outcome(
    sheet: Sheet[StageRecord], path: KeyPath, note: AccuracyEntry, whole: AccuracyEntry, scale: Scale
) -> Found:
    size, measured, tolerance = whole.full_size, whole.measured, whole.tolerance
    if note.tolerance and not whole.full_size:
        message = "has a tolerance but no full_size to hold it against; write full_size beside it"
        yield sheet.problem((*path, "tolerance"), message, found=note.tolerance.text)
    if not (size and measured and tolerance):
        return
    if not note.model_fields_set & {"full_size", "measured", "tolerance", "outcome"}:
        return
    try:
        within = keeps_within(size, measured, tolerance, scale)
    except ValueError as error:
        yield sheet.problem((*path, "tolerance" if note.tolerance else "id"), str(error), found=tolerance.text)
        return
    where: KeyPath = (*path, "outcome") if note.outcome else path
    written = whole.outcome
    if within and written not in {None, Outcome.AS_FULL_SIZE}:
        remedy = 'write "as full size", or leave outcome out' if note.outcome else "write outcome: as full size here"
        message = (
            f'"{written}" does not agree with the figures: {_against(size, measured, tolerance, scale)}, which is '
            f"inside the tolerance; {remedy}"
        )
        yield sheet.problem(where, message, found=str(written), accepted="as full size")
    elif not within and written not in {Outcome.SIMPLIFIED, Outcome.DEPARTS}:
        said = f'"{written}" does not agree with the figures: ' if written else "has no outcome, and "
        message = (
            f"{said}{_against(size, measured, tolerance, scale)}, which is outside the tolerance; write outcome: "
            "simplified or outcome: departs"
        )
        yield sheet.problem(where, message, found=str(written or ""), accepted="simplified, departs")


def _against(size: Quantity, measured: Quantity, tolerance: Tolerance, scale: Scale) -> str:
    target = float(size.value / scale.ratio * 1000)
    return f"{measured.text} measured against {target:.4g} mm on the model ({tolerance.text})"


def check_finished_notes(context: _Context) -> Found:
    """A build that is finished leaves no accuracy note unknown."""
    record = context.record
    build = context.sheets.build
    if record is None or record.status not in {Status.FINISHED, Status.DELIVERED}:
        return
    if not context.sheets.stages_known or build.lacks("status"):
        return
    last: dict[str, tuple[Sheet[StageRecord], KeyPath, AccuracyEntry]] = {}
    for turn in context.turns:
        for index, note in enumerate(turn.record.accuracy if turn.is_told else ()):
            whole = merged(last[note.key][2] if note.key in last else None, note)
            last[note.key] = (turn.stage.sheet, ("accuracy", index), whole)
    for key, (sheet, path, whole) in last.items():
        computed = whole.outcome is None and whole.full_size and whole.measured and whole.tolerance
        if whole.outcome in {None, Outcome.UNKNOWN} and not computed and key not in context.sheets.in_doubt:
            message = (
                f'"{key}" is still unknown, though the build is {record.status}; write its outcome here or in a later '
                "record: as full size, simplified or departs"
            )
            yield sheet.problem((*path, "outcome"), message, warning=True)


def check_decision_history(context: _Context) -> Found:
    """A decision is asked before it is answered."""
    so_far = SoFar[_Place](context.turns)
    lost = context.sheets.in_doubt
    for turn in context.turns:
        sheet = turn.stage.sheet
        for index, decision in enumerate(turn.record.decisions):
            path: KeyPath = ("decisions", index, "id")
            asked = so_far.before(turn)
            new = decision.id not in asked and decision.id not in lost
            if new and not decision.ask and context.sheets.stages_known:
                if draft := so_far.by_all.get(decision.id):
                    message = (
                        f'the decision "{decision.id}" is told only in a draft ({_draft_at(draft)}); say it in full '
                        "here, with ask: and the question"
                    )
                else:
                    guess = nearest(decision.id, asked, cutoff=0.75)
                    hint = f'; or did you mean "{guess}"?' if guess else ""
                    what = "is answered but was never asked" if decision.answer else "is met here for the first time"
                    message = f'the decision "{decision.id}" {what}; write ask: and the question{hint}'
                yield sheet.problem(path, message, found=decision.id)
            for told in so_far.after(turn):
                told.setdefault(decision.id, (sheet, path))


def check_anchors(context: _Context) -> Found:
    """Features, notes and decisions of a build have an address each, whichever records tell of them."""
    for what, named in (
        ("feature", _features_told),
        ("accuracy note", _notes_told),
        ("decision", _decisions_told),
    ):
        seen: dict[str, tuple[str, Sheet[StageRecord], bool]] = {}
        for stage, record in context.sheets.understood:
            for path, word, in_list in named(record):
                first, there, listed_there = seen.setdefault(_as_address(word), (word, stage.sheet, in_list))
                if first == word or (there is stage.sheet and in_list and listed_there):
                    continue  # the second is told by the checks of one record
                where = "" if there is stage.sheet else f" in {there.path.name}"
                message = (
                    f'the {what} "{word}" differs from "{first}"{where} by capitals or signs alone, so both would have '
                    f'one address; write "{first}" if it is meant, or give this one another id'
                )
                yield stage.sheet.problem(path, message, found=word)


def _features_told(record: StageRecord) -> Iterator[tuple[KeyPath, str, bool]]:
    """Every id under which a record tells of a feature, and whether it is the entry's own."""
    for index, feature in enumerate(record.features):
        if feature.name:  # without a name it speaks of one that is told already
            yield ("features", index, "id"), feature.id, True
        if feature.mirrored and feature.mirrored.id:
            yield ("features", index, "mirrored", "id"), feature.mirrored.id, False


def _notes_told(record: StageRecord) -> Iterator[tuple[KeyPath, str, bool]]:
    for index, note in enumerate(record.accuracy):
        if note.use or note.claim:
            yield ("accuracy", index, "use" if note.use else "id"), note.key, True


def _decisions_told(record: StageRecord) -> Iterator[tuple[KeyPath, str, bool]]:
    for index, decision in enumerate(record.decisions):
        if decision.ask:
            yield ("decisions", index, "id"), decision.id, True


def check_finished_work(context: _Context) -> Found:
    """A build that is finished has its work done."""
    record = context.record
    build = context.sheets.build
    if record is None or record.status not in {Status.FINISHED, Status.DELIVERED}:
        return
    if not context.sheets.stages_known or build.lacks("status") or build.lacks("work") or build.lacks("stages"):
        return
    shares = {done.id: done.share for turn in context.turns if turn.is_told for done in turn.record.done}
    workshop = context.library.workshop.record
    stages = record.stages or (workshop.stages if workshop else ())
    items = {item.id: item.name for item in record.work or (stages if shares else ())}
    left = [
        name for id_, name in items.items() if shares.get(id_, Fraction(0)) < 1 and id_ not in context.sheets.in_doubt
    ]
    if left:
        some = ", ".join(left[:3]) + (", …" if len(left) > 3 else "")
        what = "1 work item is" if len(left) == 1 else f"{len(left)} work items are"
        if not record.work:
            what = what.replace("work item", "stage")
        message = f"the build is {record.status}, but {what} below 100 % ({some}); name them under done in a record"
        yield context.sheets.build.problem(("status",), message, found=record.status.value, warning=True)


def check_time_sheet(context: _Context) -> Found:
    """The time sheet speaks of work items, and of days since the order."""
    ordered = context.record.ordered if context.record else None
    path = context.sheets.build.path.parent / "hours.csv"
    for row in context.sheets.hours:
        if row.work not in context.work:
            message = context.work.unknown(row.work)
            yield Problem(path, row.line, 0, "work", message, shown(row.work), shown(context.work.accepted, 300))
        if ordered and row.day < ordered:
            message = f"{row.day} is before the build was ordered on {ordered}; correct one of them"
            yield Problem(path, row.line, 0, "date", message, str(row.day))


_BUILD_CHECKS: tuple[_BuildCheck, ...] = (
    check_build_ids,
    check_work_items,
    check_build_dates,
    check_spec,
    check_markings,
    check_cover,
    check_former_names,
)
_STAGE_CHECKS: tuple[_StageCheck, ...] = (
    check_stage_and_date,
    check_audience,
    check_work_named,
    check_feature_entries,
    check_features_named,
    check_accuracy_entries,
    check_decision_pictures,
    check_photo_entries,
    check_callouts,
    check_alt,
    check_photos_once,
)
_HISTORY_CHECKS: tuple[_HistoryCheck, ...] = (
    check_photos_used,
    check_one_record_a_day,
    check_shares,
    check_feature_history,
    check_mirrored,
    check_note_history,
    check_finished_notes,
    check_decision_history,
    check_anchors,
    check_finished_work,
    check_time_sheet,
)
