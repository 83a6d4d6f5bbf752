"""
What could be added to records that are right as they stand: claims that name no source, sources that nothing cites,
words that `buildlog start` wrote and nobody has written since.

These are no warnings. A claim is often written at the bench and looked up at home, and a library is filled ahead of its
use; a warning for each would hide the ones that matter, and `--strict` would stop a good site for them. So they are
told by `buildlog check` alone, in a list at its end.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from buildlog.records.problems import Problem, Severity, shown
from buildlog.records.reading import KeyPath
from buildlog.records.sheets import Sheet, WorkshopSheets

NO_SOURCE = "a claim without a source; add source: and who says so"
NEVER_CITED = "a source that nothing cites; name it where it is used, or take it out"
TO_BE_WRITTEN = "the words of a new workshop still stand here; write your own"
SAMPLE_STANDS = "the sample record stands among your own; delete the file, and its picture with it"

SUBJECT_TO_WRITE = "What it is a model of"
"""What a new build says of its subject, until somebody does."""
SAMPLE_TITLE = "Where the words go"
"""The title of a new workshop's sample record."""


def remarks_on(sheets: WorkshopSheets) -> tuple[Problem, ...]:
    """
    Say what could be added, by file, then line.

    Args:
        sheets: Everything that was read, without an error in it.
    """
    found = {*_claims_without_source(sheets), *_sources_never_cited(sheets), *_words_to_be_written(sheets)}
    return tuple(sorted(found))


def _remark(sheet: Sheet[Any], path: KeyPath, message: str, found: str) -> Problem:
    return replace(sheet.problem(path, message, found=shown(found)), severity=Severity.REMARK)


def _words_to_be_written(sheets: WorkshopSheets) -> Iterator[Problem]:
    """Words of a new workshop that would be published as they are."""
    for build in sheets.builds:
        record = build.build.record
        if record and record.subject.name == SUBJECT_TO_WRITE:
            yield _remark(build.build, ("subject", "name"), TO_BE_WRITTEN, record.subject.name)
        for stage, session in build.in_time:
            if session.title == SAMPLE_TITLE and len(build.in_time) > 1:
                yield _remark(stage.sheet, ("title",), SAMPLE_STANDS, session.title)


def _claims_without_source(sheets: WorkshopSheets) -> Iterator[Problem]:
    """A claim of the library, or of a build in whichever of its records, that no record gives a source."""
    for index, note in enumerate(sheets.notes.record or ()):
        if note.source is None:
            yield _remark(sheets.notes, (index, "claim"), NO_SOURCE, note.claim)
    for build in sheets.builds:
        said: dict[str, tuple[Sheet[Any], KeyPath, str]] = {}
        sourced: set[str] = set()
        for stage, record in build.in_time:
            for index, entry in enumerate(record.accuracy):
                if entry.claim:
                    said[entry.key] = (stage.sheet, ("accuracy", index, "claim"), entry.claim)
                if entry.source:
                    sourced.add(entry.key)
        for key, (sheet, path, claim) in said.items():
            if key not in sourced:
                yield _remark(sheet, path, NO_SOURCE, claim)


def _sources_never_cited(sheets: WorkshopSheets) -> Iterator[Problem]:
    cited = set(_cited(sheets))
    for index, source in enumerate(sheets.sources.record or ()):
        if source.id not in cited:
            yield _remark(sheets.sources, (index, "id"), NEVER_CITED, source.id)


def _cited(sheets: WorkshopSheets) -> Iterator[str]:
    """Every source that a note, a marking or a paint's reference colour names."""
    for note in sheets.notes.record or ():
        if note.source:
            yield note.source.id
    for paint in sheets.paints.record or ():
        if paint.reference and paint.reference.source:
            yield paint.reference.source.id
    for build in sheets.builds:
        for marking in build.build.record.markings if build.build.record else ():
            if marking.source:
                yield marking.source.id
        for _, record in build.understood:
            for entry in record.accuracy:
                if entry.source:
                    yield entry.source.id
