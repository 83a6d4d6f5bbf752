"""What changed since the update before, as this reader saw it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from buildlog.figures.progress import whole_percent
from buildlog.pages.addresses import ACCURACY, feature_anchor, note_anchor
from buildlog.pages.audience import SeenUpdate
from buildlog.pages.blocks import since_words
from buildlog.pages.desk import Desk, both_names, in_short
from buildlog.pages.notes import is_settled, outcome_counts, outcome_mark
from buildlog.pages.text import sentence
from buildlog.pages.views import ChangeEntry, ChangeGroup, Link
from buildlog.records.models import AccuracyEntry, FeatureEntry, FeatureState

_TOLD_ONE_BY_ONE = 5
"""Longer lists of changes are told by name, or by number, alone."""


def since(update: SeenUpdate, before: SeenUpdate | None) -> str:
    """The heading over what changed."""
    return sentence(since_words(update, before)) if before else "To begin with"


def introduced_features(update: SeenUpdate, before: SeenUpdate | None) -> frozenset[str]:
    """Features this reader meets for the first time in an update."""
    return frozenset(update.features) - (frozenset(before.features) if before else frozenset())


def changes(
    desk: Desk, update: SeenUpdate, before: SeenUpdate | None, places: Mapping[str, tuple[Link, ...]]
) -> tuple[ChangeGroup, ...]:
    """
    Everything that changed, in groups; a group without entries is left out.

    Args:
        before: The update this reader saw before; `None` for the first.
        places: Where each feature is called out on this update's page.
    """
    known = before.features if before else {}
    finished: list[ChangeEntry] = []
    carried_on: list[ChangeEntry] = []
    begun: list[ChangeEntry] = []
    for feature in update.record.features:
        entry = _feature_entry(desk, update, feature, places)
        was = known[feature.id].state if feature.id in known else None
        if feature.state is FeatureState.FINISHED and was is not FeatureState.FINISHED:
            finished.append(entry)
        elif feature.id in known:
            carried_on.append(entry)
        else:
            begun.append(entry)
    work, settled = work_done(update, before), newly_settled(update, before)
    groups = (
        ChangeGroup("Finished", _brief(finished), len(finished)),
        ChangeGroup("Carried on", _brief(carried_on), len(carried_on)),
        ChangeGroup("Begun", _brief(begun), len(begun)),
        ChangeGroup("Work done", work, len(work)),
        ChangeGroup("Settled", _settled(desk, update, settled), len(settled)),
    )
    return tuple(group for group in groups if group.entries)


def _brief(entries: list[ChangeEntry]) -> tuple[ChangeEntry, ...]:
    """Leave a long list to its names; what was done stands with each on the page."""
    if len(entries) <= _TOLD_ONE_BY_ONE:
        return tuple(entries)
    return tuple(replace(entry, note="") for entry in entries)


def counts(groups: tuple[ChangeGroup, ...]) -> str:
    """The groups in a line, such as "3 finished, 2 carried on, 1 begun"."""
    told = ("Finished", "Carried on", "Begun")
    return ", ".join(f"{group.count} {group.title.lower()}" for group in groups if group.title in told)


def _feature_entry(
    desk: Desk, update: SeenUpdate, feature: FeatureEntry, places: Mapping[str, tuple[Link, ...]]
) -> ChangeEntry:
    shown = places.get(feature.id)
    address = shown[0].address if shown else f"{desk.update_address(update)}#{feature_anchor(feature.id)}"
    note = in_short(feature.change) or (feature.state.value if feature.state else "")
    if feature.redo:
        note = f"{note}, done again: {feature.redo}" if note else f"done again: {feature.redo}"
    return ChangeEntry(both_names(feature), address, "" if feature.state is FeatureState.FINISHED else note)


def work_done(update: SeenUpdate, before: SeenUpdate | None) -> tuple[ChangeEntry, ...]:
    """The work items this session moved, with how far each is and where it stood."""
    names = {item.id: item.name for item in update.state.items}
    entries = []
    for done in update.record.done:
        was = before.state.share_of(done.id) if before else Fraction(0)
        if done.share == was or done.id not in names:
            continue
        now = "finished" if done.share == 1 else f"{whole_percent(done.share)} %"
        note = f"{now}, from {whole_percent(was)} %" if was else now
        if done.redo and done.share < was:
            note = f"back to {now}: {done.redo}"
        entries.append(ChangeEntry(names[done.id], "", note))
    return tuple(entries)


def newly_settled(update: SeenUpdate, before: SeenUpdate | None) -> list[AccuracyEntry]:
    """The notes this session settled, or settled otherwise than before."""
    settled = []
    for note in update.record.accuracy:
        was = before.notes.get(note.key) if before else None
        if is_settled(note) and (not is_settled(was) or was is None or was.outcome is not note.outcome):
            settled.append(note)
    return settled


def _settled(desk: Desk, update: SeenUpdate, settled: list[AccuracyEntry]) -> tuple[ChangeEntry, ...]:
    """Settled notes, each by its claim; many of them by how they stand."""
    here = desk.update_address(update)
    if len(settled) > _TOLD_ONE_BY_ONE:
        return tuple(
            ChangeEntry(f"{count} {'note' if count == 1 else 'notes'}", f"{here}#{ACCURACY}", outcome.lower())
            for outcome, count in outcome_counts(settled)
        )
    return tuple(
        ChangeEntry(in_short(note.claim), f"{here}#{note_anchor(note.key)}", "", outcome_mark(desk, note))
        for note in settled
    )
