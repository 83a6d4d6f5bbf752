"""
What each reader may see, decided once, before any page is made.

`see` gives a workshop from which everything withheld is gone: builds, records, and fields. Nothing downstream asks who
is reading. A field that `_SHOWN` does not name is withheld, so a new field is private until it is put there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import Enum
from pathlib import PurePosixPath
from types import MappingProxyType
from typing import Any, TypeVar

from buildlog.bench import build_states, forecast_build
from buildlog.figures.accuracy import keeps_within
from buildlog.figures.forecast import Forecast
from buildlog.figures.progress import State
from buildlog.figures.scale import Scale
from buildlog.records.models import (
    AccuracyEntry,
    AudienceWord,
    BuildRecord,
    Callout,
    Citation,
    Decision,
    Done,
    FeatureEntry,
    FolderEntry,
    LibraryNote,
    Marking,
    Measure,
    Mirrored,
    Next,
    Outcome,
    Paint,
    Part,
    PartUse,
    PhotoEntry,
    PictureChoices,
    Record,
    ReferenceColour,
    SessionHours,
    SharedWith,
    Shares,
    Source,
    SpecRow,
    StageRecord,
    Status,
    Subject,
    TurntableEntry,
    WorkHours,
    WorkItem,
    WorkshopRecord,
    WorkStage,
)
from buildlog.records.telling import merged, record_audience
from buildlog.records.workshop import Build, Update, Workshop


class Audience(Enum):
    """Who reads: a visitor of the public site, the client of one build, or the builder."""

    VISITOR = "visitor"
    CLIENT = "client"
    BUILDER = "builder"
    PREVIEW = "preview"
    """The builder before publishing: every build and record as a visitor would see it, with what is withheld marked."""


# --- the one table of what is shown ----------------------------------------------------------------


def _fields(names: str) -> frozenset[str]:
    return frozenset(names.split())


_SHOWN: Mapping[type[Record], frozenset[str]] = {
    WorkshopRecord: _fields(
        "format name strapline units time_zone language contact enquiries notice finest_stroke shares pictures stages"
    ),
    Shares: _fields("hours forecast due"),
    PictureChoices: _fields("avif copyright creator"),
    WorkStage: _fields("id name weight"),
    Part: _fields("id name maker material for_sale"),
    Paint: _fields("id name kind finish colour lab illuminant reference"),
    ReferenceColour: _fields("name colour lab illuminant source"),
    Source: _fields("id name kind link"),
    Citation: _fields("id where"),
    LibraryNote: _fields("id kind claim often_missed holds_for source"),
    Subject: _fields("name kind variant period"),
    BuildRecord: _fields(
        "name subject scale status audience summary ordered finished delivered cover basis"
        " areas views stages work spec markings shown care formerly"
    ),
    WorkItem: _fields("id name stage added"),
    SpecRow: _fields("name full_size measured tolerance scales_as text"),
    Marking: _fields("name full_size stroke method colour source"),
    StageRecord: _fields("date stage title summary audience done features photos accuracy decisions next formerly"),
    SessionHours: _fields("session by_work"),
    WorkHours: _fields("work hours"),
    Done: _fields("id share redo"),
    FeatureEntry: _fields("id name area origin method replaces why parts paints measures mirrored change state redo"),
    PartUse: _fields("id count"),
    Measure: _fields("what full_size measured"),
    Mirrored: _fields("id name paints"),
    PhotoEntry: _fields("file view caption alt callouts"),
    FolderEntry: _fields("folder except_"),
    TurntableEntry: _fields("turntable caption alt callouts"),
    Callout: _fields("at box id feature text frame"),
    AccuracyEntry: _fields(
        "id use claim often_missed holds_for source full_size measured tolerance model outcome features"
    ),
    Decision: _fields("id ask options pictures needed_by public answer answered"),
    Next: _fields("text date"),
}
"""What everybody who sees a build sees of it. What `shares` lets out is added by `_shared`."""


def _enough(audience: Audience) -> set[SharedWith]:
    """Words in `shares` that let this reader see."""
    return {SharedWith.EVERYBODY} | ({SharedWith.CLIENT} if audience is Audience.CLIENT else set())


def _shared(shares: Shares, audience: Audience) -> Mapping[type[Record], frozenset[str]]:
    """Fields that `shares` in workshop.yml lets this reader see."""
    enough = _enough(audience)
    more: dict[type[Record], frozenset[str]] = {}
    if shares.hours in enough:
        more[StageRecord] = frozenset({"hours"})
        more[WorkItem] = frozenset({"hours"})
    if shares.due in enough:
        more[BuildRecord] = frozenset({"due"})
        more[WorkItem] = more.get(WorkItem, frozenset()) | {"due"}
    return more


_ANY = TypeVar("_ANY")
_RECORD = TypeVar("_RECORD", bound=Record)


class _Sight:
    """What one reader sees of single records."""

    def __init__(self, shares: Shares, audience: Audience) -> None:
        self.audience = audience
        self.sees_drafts = audience in (Audience.BUILDER, Audience.PREVIEW)
        self.sees_forecast = audience is Audience.BUILDER or shares.forecast in _enough(audience)
        self._more = _shared(shares, audience)

    def of(self, value: _ANY) -> _ANY:
        """
        The same value without what is withheld.

        A withheld field has its default; one without a default is missing, so that to read it is an error.
        """
        if self.audience is Audience.BUILDER:
            return value
        stripped: _ANY = self._strip(value)
        return stripped

    def _strip(self, value: Any) -> Any:
        if isinstance(value, tuple) and not hasattr(value, "_fields"):
            return tuple(self._strip(item) for item in value)
        if not isinstance(value, Record):
            return value
        kind = type(value)
        shown = _SHOWN.get(kind, frozenset()) | self._more.get(kind, frozenset())
        return kind.model_construct(**{name: self._strip(getattr(value, name)) for name in shown})

    def sees_build(self, build: Build) -> bool:
        """Whether the build exists for this reader."""
        return self._sees(build.record.audience)

    def sees_update(self, build: Build, update: Update) -> bool:
        """Whether a record of a build exists for this reader."""
        return self._sees(record_audience(build.record, update.record))

    def _sees(self, word: AudienceWord) -> bool:
        if self.sees_drafts:
            return True
        if self.audience is Audience.CLIENT:
            return word is not AudienceWord.DRAFT
        return word is AudienceWord.PUBLIC

    def sees_decision(self, decision: Decision) -> bool:
        """Whether a decision is this reader's business."""
        return self.audience in (Audience.CLIENT, Audience.BUILDER) or decision.public


# --- a workshop as one reader sees it --------------------------------------------------------------


@dataclass(frozen=True)
class SeenUpdate:
    """A record as one reader sees it."""

    update: Update
    """Every feature, note and decision in its record is said in full, whatever was said before: all that is known of it
    so far; a feature's `change`, `state` and `redo` are this session's."""
    number: int
    """Counting from 1 over the records this reader sees."""
    state: State
    """Progress after it, over every record that is not a draft."""
    features: Mapping[str, FeatureEntry]
    """Every feature this reader has met by then, in the order met; `state` is the last one told."""
    notes: Mapping[str, AccuracyEntry]
    """Every accuracy note this reader has met by then, the outcome settled."""
    audience: AudienceWord
    """Who it is published for."""

    @property
    def record(self) -> StageRecord:
        """The record itself."""
        return self.update.record


@dataclass(frozen=True)
class SeenBuild:
    """A build as one reader sees it."""

    build: Build
    updates: tuple[SeenUpdate, ...]
    """Oldest first."""
    state: State | None
    """Progress now, over every record that is not a draft; `None` before the first."""
    forecast: Forecast | None
    """When it is likely to be finished, as of the newest record; `None` where that is withheld or cannot be told."""

    @property
    def record(self) -> BuildRecord:
        """Its `build.yml`."""
        return self.build.record


@dataclass(frozen=True)
class SeenWorkshop:
    """The workshop as one reader sees it."""

    workshop: Workshop
    audience: Audience
    builds: tuple[SeenBuild, ...]


def see(workshop: Workshop, audience: Audience, only: str | None = None) -> SeenWorkshop:
    """
    Take away everything a reader may not see.

    Args:
        only: The one build a client's pages are about; left out, every build the reader may see.
    """
    sight = _Sight(workshop.record.shares, audience)
    builds = [build for build in workshop.builds if sight.sees_build(build) and only in (None, build.slug)]
    shown = replace(
        workshop,
        record=sight.of(workshop.record),
        parts=_library(workshop.parts, sight),
        paints=_library(workshop.paints, sight),
        sources=_library(workshop.sources, sight),
        notes=_library(workshop.notes, sight),
        builds=(),
    )
    seen = tuple(
        replace(_see_build(build, shown, sight), forecast=_forecast(build, workshop, sight)) for build in builds
    )
    return SeenWorkshop(replace(shown, builds=tuple(one.build for one in seen)), audience, seen)


def _library(entries: Mapping[str, _RECORD], sight: _Sight) -> Mapping[str, _RECORD]:
    return MappingProxyType({key: sight.of(entry) for key, entry in entries.items()})


def _see_build(build: Build, workshop: Workshop, sight: _Sight) -> SeenBuild:
    counted = [
        update
        for update in build.updates
        if sight.sees_drafts or record_audience(build.record, update.record) is not AudienceWord.DRAFT
    ]
    following = dict(zip((update.name for update in counted), build_states(build, counted), strict=True))
    everything = _Memory(workshop, build.record.scale)
    remembered = _Memory(workshop, build.record.scale)
    withheld = _pictures_withheld(build, sight)
    seen: list[SeenUpdate] = []
    for update in counted:
        everything.take_in(update.record)
        if not sight.sees_update(build, update):
            continue
        remembered.introduce(update.record, everything)
        remembered.take_in(update.record)
        record = _without_pictures(remembered.said_in_full(update.record), withheld)
        decisions = tuple(decision for decision in record.decisions if sight.sees_decision(decision))
        record = sight.of(record.model_copy(update={"decisions": decisions}))
        seen.append(
            SeenUpdate(
                update=replace(update, record=record),
                number=len(seen) + 1,
                state=following[update.name],
                features=MappingProxyType({key: sight.of(one) for key, one in remembered.features.items()}),
                notes=MappingProxyType({key: sight.of(one) for key, one in remembered.settled_notes().items()}),
                audience=record_audience(build.record, update.record),
            )
        )
    shown_build = replace(
        build,
        record=sight.of(build.record),
        updates=tuple(one.update for one in seen),
        stages=sight.of(build.stages),
        hours=build.hours if sight.audience is Audience.BUILDER else (),
    )
    return SeenBuild(shown_build, tuple(seen), following[counted[-1].name] if counted else None, None)


def _forecast(build: Build, workshop: Workshop, sight: _Sight) -> Forecast | None:
    """When a build on the bench is likely to be finished, where `shares` lets this reader know."""
    if not sight.sees_forecast or build.record.status is not Status.IN_PROGRESS:
        return None
    counted = [
        update for update in build.updates if record_audience(build.record, update.record) is not AudienceWord.DRAFT
    ]
    return forecast_build(build, workshop, updates=counted)


def _pictures_withheld(build: Build, sight: _Sight) -> frozenset[PurePosixPath]:
    """Pictures that only withheld records or decisions name; a `folder` entry must not let them out."""
    named: set[PurePosixPath] = set()
    told: set[PurePosixPath] = set()
    for update in build.updates:
        is_seen = sight.sees_update(build, update)
        files = {entry.file for entry in update.record.photos if isinstance(entry, PhotoEntry)}
        (told if is_seen else named).update(files)
        for decision in update.record.decisions:
            (told if is_seen and sight.sees_decision(decision) else named).update(decision.pictures)
    return frozenset(named - told)


def _without_pictures(record: StageRecord, withheld: frozenset[PurePosixPath]) -> StageRecord:
    photos = tuple(
        entry.model_copy(
            update={
                "except_": entry.except_
                + tuple(
                    path.relative_to(entry.folder) for path in sorted(withheld) if path.is_relative_to(entry.folder)
                )
            }
        )
        if isinstance(entry, FolderEntry)
        else entry
        for entry in record.photos
    )
    return record.model_copy(update={"photos": photos})


# --- saying later entries in full ------------------------------------------------------------------


class _Memory:
    """What has been said so far of each feature, note and decision of a build."""

    def __init__(self, workshop: Workshop, scale: Scale) -> None:
        self._workshop = workshop
        self._scale = scale
        self.features: dict[str, FeatureEntry] = {}
        self.notes: dict[str, AccuracyEntry] = {}
        self.decisions: dict[str, Decision] = {}

    def take_in(self, record: StageRecord) -> None:
        """Remember everything a record says."""
        for feature in record.features:
            self.features[feature.id] = merged(self.features.get(feature.id), feature)
        for note in record.accuracy:
            self.notes[note.key] = merged(self.notes.get(note.key), self._from_library(note))
        for decision in record.decisions:
            self.decisions[decision.id] = merged(self.decisions.get(decision.id), decision)

    def introduce(self, record: StageRecord, everything: _Memory) -> None:
        """
        Take over from `everything` what a record speaks of and this reader has not met.

        What was met before stays as this reader was told it.
        """
        twins = {
            feature.mirrored.id: feature.id
            for feature in everything.features.values()
            if feature.mirrored and feature.mirrored.id
        }
        spoken_of = [feature.id for feature in record.features]
        spoken_of += [c.feature for entry in record.photos for c in getattr(entry, "callouts", ()) if c.feature]
        spoken_of += [feature for note in record.accuracy for feature in note.features]
        for name in spoken_of:
            key = twins.get(name, name)
            if key not in self.features and key in everything.features:
                self.features[key] = everything.features[key].model_copy(
                    update={"change": None, "redo": None, "state": None}
                )
        for note in record.accuracy:
            self.notes.setdefault(note.key, everything.notes[note.key])
        for decision in record.decisions:
            self.decisions.setdefault(decision.id, everything.decisions[decision.id])

    def said_in_full(self, record: StageRecord) -> StageRecord:
        """The record with all that is known of each thing it speaks of."""
        features = tuple(
            self.features[entry.id].model_copy(
                update={"change": entry.change, "state": entry.state, "redo": entry.redo}
            )
            for entry in record.features
        )
        accuracy = tuple(self._settled(self.notes[entry.key]) for entry in record.accuracy)
        decisions = tuple(self.decisions[entry.id] for entry in record.decisions)
        return record.model_copy(update={"features": features, "accuracy": accuracy, "decisions": decisions})

    def settled_notes(self) -> Mapping[str, AccuracyEntry]:
        """Every note so far with its outcome."""
        return {key: self._settled(note) for key, note in self.notes.items()}

    def _from_library(self, note: AccuracyEntry) -> AccuracyEntry:
        known = self._workshop.notes.get(note.use or "")
        if known is None:
            return note
        taken = {name: getattr(known, name) for name in ("claim", "often_missed", "holds_for", "source")}
        return note.model_copy(update=taken)

    def _settled(self, note: AccuracyEntry) -> AccuracyEntry:
        """Fill in the outcome: the one written, else "as full size" where the measure is within tolerance."""
        if note.outcome is not None:
            return note
        outcome = Outcome.UNKNOWN
        if (
            note.full_size
            and note.measured
            and note.tolerance
            and keeps_within(note.full_size, note.measured, note.tolerance, self._scale)
        ):
            outcome = Outcome.AS_FULL_SIZE
        return note.model_copy(update={"outcome": outcome})
