"""
The record format: one model for each file and each thing in it, all immutable.

Every field's docstring is what the guide and the editors show, so it is written for the person at the bench. A key that
is new here is private until `buildlog.pages.audience` names it.
"""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Annotated, Any, ClassVar, Literal, Self, cast

from pydantic import BaseModel, BeforeValidator, ConfigDict, Discriminator, Field, Tag, model_validator

from buildlog.figures.scale import ScalingLaw
from buildlog.records.fields import (
    BoxField,
    Count,
    Date,
    Email,
    Hex,
    Hours,
    Id,
    LabField,
    Language,
    Length,
    Line,
    Link,
    MomentField,
    Path,
    PlannedHours,
    PointField,
    QuantityField,
    ScaleField,
    Share,
    Text,
    TimeZone,
    ToleranceField,
    Weight,
    Word,
    YesNo,
    nearest,
    refuse,
)


class Record(BaseModel):
    """What every model shares: immutable, and a key it does not know is a mistake."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        populate_by_name=True,
        use_attribute_docstrings=True,
        arbitrary_types_allowed=True,
    )

    shorthand: ClassVar[str] = ""
    """The key that a plain value in place of the mapping stands for; empty where none may."""


def _from_plain(cls: type[Record], value: Any) -> Any:
    return {cls.shorthand: value} if isinstance(value, str) else value


_PLAIN_VALUE: Any = model_validator(mode="before")(cast("Any", classmethod(_from_plain)))
"""Lets a plain value stand for a mapping with the model's `shorthand` key alone: `hull` for `{id: hull}`."""


# --- closed sets of words ------------------------------------------------------------------------


class Units(StrEnum):
    """Which system comes first; both are always shown."""

    METRIC = "metric"
    IMPERIAL = "imperial"


class SharedWith(StrEnum):
    """Who sees something of a build that is shown."""

    NOBODY = "nobody"
    CLIENT = "client"
    EVERYBODY = "everybody"


class AudienceWord(StrEnum):
    """Who may see a build or a record."""

    DRAFT = "draft"
    CLIENT = "client"
    PUBLIC = "public"


class Status(StrEnum):
    """How far a commission is."""

    ENQUIRY = "enquiry"
    IN_PROGRESS = "in progress"
    FINISHED = "finished"
    DELIVERED = "delivered"


class Origin(StrEnum):
    """Where a feature comes from."""

    KIT = "kit"
    KIT_IMPROVED = "kit improved"
    BOUGHT_IN = "bought in"
    SCRATCH_BUILT = "scratch-built"
    PRINTED = "printed"
    CAST = "cast"


class FeatureState(StrEnum):
    """How far a feature is, in order."""

    BEGUN = "begun"
    FITTED = "fitted"
    PAINTED = "painted"
    FINISHED = "finished"


class SourceKind(StrEnum):
    """What sort of thing a source is."""

    STANDARD = "standard"
    BOOK = "book"
    DRAWING = "drawing"
    PHOTOGRAPH = "photograph"
    VISIT = "visit"
    LETTER = "letter"


class Outcome(StrEnum):
    """What a model does about something that is true of its subject."""

    AS_FULL_SIZE = "as full size"
    SIMPLIFIED = "simplified"
    DEPARTS = "departs"
    UNKNOWN = "unknown"


# --- workshop.yml --------------------------------------------------------------------------------


class WorkStage(Record):
    """One of the usual stages of work."""

    id: Id
    """Short name, used by records and work items."""
    name: Line
    """As shown."""
    weight: Weight = Decimal(1)
    """Its share of the labour, in any unit; percentages are convenient."""


class Shares(Record):
    """Who sees what of a build that is shown. What is not named here stays with the builder."""

    hours: Annotated[SharedWith, Word()] = SharedWith.NOBODY
    """Hours at the bench."""
    forecast: Annotated[SharedWith, Word()] = SharedWith.NOBODY
    """When the build is likely to be finished."""
    due: Annotated[SharedWith, Word()] = SharedWith.NOBODY
    """The agreed date."""


class PictureChoices(Record):
    """How the web pictures are made. The defaults serve nearly everybody."""

    avif: YesNo = False
    """Also make AVIF pictures: smaller, but slower to make."""
    copyright: Line | None = None
    """Written into every published picture; nothing else is."""
    creator: Line | None = None
    """Written into every published picture as its maker."""


class WorkshopRecord(Record):
    """`workshop.yml`: the workshop, its defaults and the usual stages."""

    format: Literal["1"]
    """The record format's version; always 1 for now."""
    name: Line
    """The workshop's name, at the head of every page."""
    strapline: Line | None = None
    """A few words under the name."""
    units: Annotated[Units, Word()] = Units.METRIC
    """Which system comes first; both are always shown."""
    time_zone: TimeZone = "UTC"
    """Where the workshop's clock is."""
    language: Language = "en"
    """The language the records are written in."""
    contact: Email | None = None
    """Where "Ask about this" writes to."""
    enquiries: Line | None = None
    """What a next client should know, such as when there is room on the bench."""
    notice: Line | None = None
    """A line at the foot of every page."""
    finest_stroke: Length | None = None
    """The narrowest line this workshop can cut or paint."""
    shares: Shares = Shares()
    """Who sees what of a build that is shown: nobody, client (kept for client pages, off the site), everybody."""
    pictures: PictureChoices = PictureChoices()
    """How the web pictures are made."""
    stages: Annotated[tuple[WorkStage, ...], Field(min_length=1)]
    """The usual order of work; weight = share of the labour."""


# --- library/ ------------------------------------------------------------------------------------


class Part(Record):
    """`library/parts.yml`: a part, bought in or made here, used across builds."""

    id: Id
    """Short name, used by features."""
    name: Line
    """As shown."""
    maker: Line | None = None
    """Who makes it; `own pattern`, or the workshop's name, for your own."""
    material: Line | None = None
    """What it is made of."""
    for_sale: Link | None = None
    """Where your own part can be bought; own parts only."""
    note: Text | None = None
    """Anything worth knowing in two years."""


class Citation(Record):
    """A source, and the place in it."""

    id: Id
    """A source of `library/sources.yml`."""
    where: Line | None = None
    """Rule, page, sheet."""

    shorthand = "id"
    _expand = _PLAIN_VALUE


class ReferenceColour(Record):
    """The colour that the full-size subject should have; how far the paint lies from it is computed."""

    name: Line
    """What it was taken from: a sample, a chip, a number of a colour standard."""
    colour: Hex | None = None
    """As seen on a screen (sRGB); in quotes, since `#` begins a comment."""
    lab: LabField | None = None
    """As measured or published: CIELAB L*, a*, b* for the 2° observer."""
    illuminant: Annotated[Literal["D65", "D50", "A", "C"], Field()] = "D65"
    """The light the Lab values hold under."""
    source: Citation | None = None
    """Who says so."""

    @model_validator(mode="after")
    def _one_colour(self) -> Self:
        if self.colour and self.lab:
            refuse("has both colour and lab; keep the one you trust", "either colour or lab")
        if not (self.colour or self.lab):
            refuse("has no colour; give colour or lab", "colour or lab")
        return self


class Paint(Record):
    """`library/paints.yml`: a paint or finish, with its colour."""

    id: Id
    """Short name, used by features."""
    name: Line
    """As shown."""
    kind: Line | None = None
    """Such as acrylic, enamel, lacquer, wash, pigment."""
    finish: Line | None = None
    """Such as matt, satin, gloss."""
    colour: Hex | None = None
    """As seen on a screen (sRGB); in quotes, since `#` begins a comment."""
    lab: LabField | None = None
    """As measured: CIELAB L*, a*, b*."""
    illuminant: Annotated[Literal["D65", "D50", "A", "C"], Field()] = "D65"
    """The light the Lab values were taken under."""
    reference: ReferenceColour | None = None
    """The colour that the full-size subject should have."""
    note: Text | None = None
    """Thinning, pressure, how it wears."""

    @model_validator(mode="after")
    def _one_colour(self) -> Self:
        if self.colour and self.lab:
            refuse("has both colour and lab; keep the one you trust", "either colour or lab")
        return self


class Source(Record):
    """`library/sources.yml`: what accuracy notes cite."""

    id: Id
    """Short name, used by notes and markings."""
    name: Line
    """Title and year, as it should be cited."""
    kind: Annotated[SourceKind, Word()]
    """What sort of thing it is."""
    link: Link | None = None
    """Where it can be read."""
    note: Text | None = None
    """Edition, where it is kept, how far to trust it."""


class LibraryNote(Record):
    """`library/notes.yml`: an accuracy note that holds for a kind of subject, to be used by many builds."""

    id: Id
    """Short name, used by `accuracy` entries as `use`."""
    kind: Line
    """The kind of subject it speaks of."""
    claim: Text
    """What is true of the full-size subject."""
    often_missed: Text | None = None
    """How models usually get it wrong."""
    holds_for: Line | None = None
    """Which subjects, from when."""
    source: Citation | None = None
    """Who says so."""


# --- build.yml -----------------------------------------------------------------------------------


class Subject(Record):
    """The full-size subject."""

    name: Line
    """What it is, such as `Harbour tug`."""
    kind: Line
    """Any word; the catalogue groups by it."""
    variant: Line | None = None
    """Which of them, such as `as refitted in 1978`."""
    period: Line | None = None
    """When it was as modelled."""


class Private(Record):
    """What never leaves this file: not on a page, in an index, a feed or a client's pages."""

    client: Line | None = None
    """Who ordered it."""
    email: Line | None = None
    """Where to write to."""
    phone: Line | None = None
    """Where to ring."""
    address: Text | None = None
    """Where it goes."""
    price: Line | None = None
    """What was agreed."""
    note: Text | None = None
    """Anything else to remember."""


class WorkItem(Record):
    """One item of the plan; progress and forecast are computed from these."""

    id: Id
    """Short name, used by `done` and `hours`."""
    name: Line
    """As shown under "Left to do"."""
    stage: Id
    """The stage it belongs to."""
    hours: PlannedHours
    """Hours planned, above 0."""
    due: Date | None = None
    """When it should be finished."""
    added: Date | None = None
    """When it came into the plan, if later than the rest."""


class SpecRow(Record):
    """One row of the spec table: full size and, once it can be taken, the measure off the model."""

    name: Line
    """Such as `Length overall`."""
    full_size: QuantityField | None = None
    """Of the full-size subject, with its unit."""
    measured: QuantityField | None = None
    """Off the model, with its unit."""
    tolerance: ToleranceField | None = None
    """How far the model may be off: percent, a length at model size, or an ISO 2768-1 class."""
    scales_as: Annotated[ScalingLaw, Word()] | None = None
    """The law it scales by; left out, a length scales as a length, an area as an area and a volume as a volume."""
    text: Line | None = None
    """Words, for what is no number."""

    @model_validator(mode="after")
    def _figure_or_words(self) -> Self:
        if self.text and (self.full_size or self.measured):
            refuse("has both text and a figure; keep one", "text, or full_size and measured")
        if not (self.text or self.full_size or self.measured):
            refuse("says nothing; give full_size, measured or text", "text, or full_size and measured")
        if self.tolerance and not self.full_size:
            refuse("has a tolerance but no full_size to hold it against", "full_size beside tolerance")
        return self


class Marking(Record):
    """Lettering, lines and badges: their true size, and how they are put on."""

    name: Line
    """What it is."""
    full_size: Length
    """Height or diameter on the full-size subject."""
    stroke: Length | None = None
    """Thickness of its narrowest line, at full size."""
    method: Line | None = None
    """Such as stencil, transfer, brush."""
    colour: Line | None = None
    """In words."""
    source: Citation | None = None
    """Who says so."""


class BuildRecord(Record):
    """`builds/<slug>/build.yml`: one commission."""

    name: Line
    """The model's name."""
    subject: Subject
    """The full-size subject."""
    scale: ScaleField
    """As `1:24`, `1/24` or `1/2 in = 1 ft`."""
    status: Annotated[Status, Word()]
    """enquiry, in progress, finished or delivered."""
    audience: Annotated[AudienceWord, Word()] = AudienceWord.DRAFT
    """draft (nobody), client (kept off the site, for client pages) or public."""
    summary: Text | None = None
    """Markdown, one to three sentences about the model as a whole."""
    ordered: Date | None = None
    """When it was ordered; no record is older."""
    due: Date | None = None
    """When it should be finished."""
    finished: Date | None = None
    """When it was finished."""
    delivered: Date | None = None
    """When it went to the client."""
    cover: Path | None = None
    """The picture that stands for the build, from its `photos` folder. Left out: the newest record's first."""
    basis: Line | None = None
    """What it was made from, such as `scratch-built`."""
    areas: tuple[Line, ...] = ()
    """Where things are on the model; lists and indexes follow this order."""
    views: tuple[Line, ...] = ()
    """Viewpoints that are photographed again and again."""
    stages: tuple[WorkStage, ...] = ()
    """This build's own order of work, where it differs from the workshop's."""
    private: Private | None = None
    """What never leaves this file."""
    work: tuple[WorkItem, ...] = ()
    """The plan. Without it, `done` names stages."""
    spec: tuple[SpecRow, ...] = ()
    """Full size and measure, row by row."""
    markings: tuple[Marking, ...] = ()
    """Lettering, lines and badges."""
    shown: tuple[Line, ...] = ()
    """Exhibitions and awards, in words."""
    care: Text | None = None
    """How to handle and show it; Markdown."""
    formerly: tuple[Id, ...] = ()
    """Folder names this build had before; each leaves a redirect."""


# --- stages/<name>.yml ---------------------------------------------------------------------------


class WorkHours(Record):
    """Hours spent on one work item or stage."""

    work: Id
    """The work item, or the stage where there is no plan."""
    hours: Hours
    """Hours spent."""


class SessionHours(Record):
    """Hours at the bench for one record: a number for the session, or hours for each work item."""

    session: Hours | None = None
    """The session's hours, not divided."""
    by_work: tuple[WorkHours, ...] = ()
    """Hours for each work item."""

    @property
    def total(self) -> Decimal:
        """All the hours of the session."""
        return sum((entry.hours for entry in self.by_work), self.session or Decimal(0))


class Done(Record):
    """How far a work item is after this session; named alone, it is finished."""

    id: Id
    """A work item, or a stage where the build has no plan."""
    share: Share = Fraction(1)
    """The state after this session, so 50 % now and 80 % next time."""
    redo: Line | None = None
    """Why the share has fallen."""

    shorthand = "id"
    _expand = _PLAIN_VALUE


class PartUse(Record):
    """A part of the library, and how many."""

    id: Id
    """A part of `library/parts.yml`."""
    count: Count = 1
    """How many there are now; a later record that names the part again replaces it."""

    shorthand = "id"
    _expand = _PLAIN_VALUE


class Measure(Record):
    """Something measured on the model or known of the subject; the other side is computed."""

    what: Line
    """What was measured."""
    full_size: Length | None = None
    """On the full-size subject."""
    measured: Length | None = None
    """On the model."""

    @model_validator(mode="after")
    def _one_side(self) -> Self:
        if not (self.full_size or self.measured):
            refuse("has no length; give full_size, measured or both", "full_size or measured")
        return self


class Mirrored(Record):
    """The same feature on the other side of the model."""

    id: Id | None = None
    """Its own id, so that callouts can name it."""
    name: Line | None = None
    """Its own name."""
    paints: tuple[Id, ...] = ()
    """Its paints, where they differ."""

    @model_validator(mode="before")
    @classmethod
    def _plain_yes(cls, value: Any) -> Any:
        if isinstance(value, str):
            if value.strip().casefold() in {"true", "yes", "on"}:
                return {}
            refuse(
                f'"{value}" says nothing; write true, or the id and name of the other one, or leave the key out',
                "true, or {id: …, name: …}",
            )
        return value


class FeatureEntry(Record):
    """What was worked on: said in full the first time, later by id with what changed."""

    id: Id
    """Short name; the same in every record."""
    name: Line | None = None
    """As shown; needed the first time."""
    area: Line | None = None
    """Where it is, one of the build's areas; needed the first time."""
    origin: Annotated[Origin, Word()] | None = None
    """kit, kit improved, bought in, scratch-built, printed or cast."""
    method: Line | None = None
    """How it was made."""
    replaces: Line | None = None
    """What it stands in place of."""
    why: Text | None = None
    """Why it was done so."""
    parts: tuple[PartUse, ...] = ()
    """Parts used, and how many there are now: a later record adds parts, and one that it names again has its new count.
    A mirrored feature takes as many again for its other side."""
    paints: tuple[Id, ...] = ()
    """Paints used, of `library/paints.yml`; a later record adds to them."""
    measures: tuple[Measure, ...] = ()
    """On the model, full size is computed, and the other way round; a later record adds to them."""
    mirrored: Mirrored | None = None
    """true, or the id, name and paints of the same feature on the other side."""
    change: Text | None = None
    """What was done this time."""
    state: Annotated[FeatureState, Word()] | None = None
    """begun, fitted, painted or finished; it only moves forward unless `redo` says why."""
    redo: Line | None = None
    """Why the state has gone back."""


class Callout(Record):
    """A place on a picture, and what there is to say about it."""

    at: PointField | None = None
    """Across, then down, as shares of the upright picture; [0, 0] is top left."""
    box: BoxField | None = None
    """Left, top, width, height: a region in place of a point."""
    id: Id | None = None
    """Keeps the link when the words change."""
    feature: Id | None = None
    """The feature it shows; its words are used."""
    text: Text | None = None
    """Words; with a feature, in addition to what the record says of it."""
    frame: Path | None = None
    """On a turntable: the file of the frame it is shown on."""

    @model_validator(mode="after")
    def _place_and_words(self) -> Self:
        if (self.at is None) == (self.box is None):
            refuse("needs one place: at, or box", "at: [0.508, 0.310] or box: [0.44, 0.56, 0.16, 0.10]")
        if not (self.feature or self.text):
            refuse("says nothing; name a feature or write a text", "feature or text")
        return self


class PhotoEntry(Record):
    """One picture of the walkaround."""

    file: Path
    """From the build's `photos` folder."""
    view: Line | None = None
    """One of the build's views: ties the same viewpoint together through time."""
    caption: Text | None = None
    """What it shows, in a sentence."""
    alt: Line | None = None
    """The picture described for somebody who cannot see it."""
    callouts: tuple[Callout, ...] = ()
    """Places on it, in the order they are told."""


class FolderEntry(Record):
    """All the rest of a folder, by the time the pictures were taken."""

    folder: Path
    """A folder in the build's `photos` folder."""
    except_: Annotated[tuple[Path, ...], Field(alias="except")] = ()
    """File names to leave out."""


class TurntableEntry(Record):
    """A folder of frames taken around the model, in the order of their names."""

    turntable: Path
    """A folder in the build's `photos` folder."""
    caption: Text | None = None
    """What it shows, in a sentence."""
    alt: Line | None = None
    """The model described for somebody who cannot see it."""
    callouts: tuple[Callout, ...] = ()
    """Places on single frames; each names its frame."""


_PHOTO_KEYS = {"file": PhotoEntry, "folder": FolderEntry, "turntable": TurntableEntry}


def _which_photo(value: Any) -> str | None:
    if isinstance(value, Record):
        return next((key for key, model in _PHOTO_KEYS.items() if isinstance(value, model)), None)
    return next((key for key in _PHOTO_KEYS if key in value), None) if isinstance(value, dict) else None


def _one_photo_key(value: Any) -> Any:
    """Refuse an entry that does not say, or says twice, what it shows."""
    accepted = "file, folder or turntable"
    if isinstance(value, Record):
        return value
    if isinstance(value, str):
        refuse(f'found "{value}" alone; write file: {value}', accepted)
    if not isinstance(value, dict):
        refuse("found a list; begin each item with file:, folder: or turntable:", accepted)
    given = [key for key in _PHOTO_KEYS if key in value]
    if len(given) > 1:
        refuse(f"names both {' and '.join(given)}; make an item of its own for each", accepted)
    if not given:
        for key in value:
            if guess := nearest(key, _PHOTO_KEYS):
                refuse(f'unknown key "{key}"; did you mean "{guess}"?', accepted)
        refuse("names no picture; begin it with file:, folder: or turntable:", accepted)
    return value


Photos = Annotated[
    Annotated[
        Annotated[PhotoEntry, Tag("file")]
        | Annotated[FolderEntry, Tag("folder")]
        | Annotated[TurntableEntry, Tag("turntable")],
        Discriminator(_which_photo),
    ],
    BeforeValidator(_one_photo_key),
]


class AccuracyEntry(Record):
    """
    What is true of the full-size subject, and what the model does about it.

    Said in full the first time, later by id (or `use`) with what changed.
    """

    id: Id | None = None
    """Short name of this note."""
    use: Id | None = None
    """A note of `library/notes.yml`: its claim and source, never its outcome."""
    claim: Text | None = None
    """What is true of the full-size subject; needed the first time."""
    often_missed: Text | None = None
    """How models usually get it wrong."""
    holds_for: Line | None = None
    """Which subjects, from when."""
    source: Citation | None = None
    """Who says so."""
    full_size: Length | None = None
    """With `measured` and `tolerance`, whether it is within tolerance is computed."""
    measured: Length | None = None
    """On the model."""
    tolerance: ToleranceField | None = None
    """How far the model may be off."""
    model: Text | None = None
    """What this model does about it."""
    outcome: Annotated[Outcome, Word()] | None = None
    """as full size, simplified, departs or unknown. Left out: computed where it can be, else unknown."""
    features: tuple[Id, ...] = ()
    """The features it speaks of."""

    @property
    def key(self) -> str:
        """What later records name it by."""
        return self.id or self.use or ""

    @model_validator(mode="after")
    def _own_or_library(self) -> Self:
        if not (self.id or self.use):
            refuse("needs an id, or use with a note of library/notes.yml", "id or use")
        if self.id and self.use:
            refuse("has both id and use; a note of the library keeps its own id, so leave id out", "id or use")
        if self.use and (self.claim or self.often_missed or self.holds_for or self.source):
            refuse(
                "takes its claim and source from the library; leave claim, often_missed, holds_for and source out",
                "use",
            )
        return self


class Decision(Record):
    """Something for the client to decide; a later record repeats the id with the answer."""

    id: Id
    """Short name."""
    ask: Line | None = None
    """The question; needed the first time."""
    options: tuple[Line, ...] = ()
    """What can be chosen."""
    pictures: tuple[Path, ...] = ()
    """Pictures that help to choose."""
    needed_by: Date | None = None
    """When the answer is needed."""
    public: YesNo = False
    """Shown to everybody; otherwise kept for the client, off the public site."""
    answer: Line | None = None
    """What was decided."""
    answered: Date | None = None
    """When."""


class Next(Record):
    """What comes next, and when the next update is meant to come."""

    text: Line | None = None
    """In a sentence."""
    date: Date | None = None
    """The next update's date."""

    @model_validator(mode="after")
    def _something(self) -> Self:
        if not (self.text or self.date):
            refuse("says nothing; give text, date or both", "text or date")
        return self


class StageRecord(Record):
    """`builds/<slug>/stages/<name>.yml`: one dated stage record = one progress page."""

    date: MomentField
    """The session's day, or day and time; pages follow one another by it."""
    stage: Id
    """The stage of work this session belonged to."""
    title: Line
    """The page's heading."""
    summary: Text | None = None
    """Markdown, two or three sentences: what a visitor would be told first."""
    audience: Annotated[AudienceWord, Word()] | None = None
    """Narrows the build's audience for this record; never widens it."""
    hours: SessionHours | None = None
    """Hours by work item, or one number for the session; private unless shared."""
    done: tuple[Done, ...] = ()
    """How far work items are after this session."""
    features: tuple[FeatureEntry, ...] = ()
    """What was worked on."""
    photos: tuple[Photos, ...] = ()
    """In this order the model is walked round."""
    accuracy: tuple[AccuracyEntry, ...] = ()
    """What is true of the full-size subject, and what the model does about it."""
    decisions: tuple[Decision, ...] = ()
    """For the client."""
    next: Next | None = None
    """What comes next."""
    formerly: tuple[Id, ...] = ()
    """File names this record had before; each leaves a redirect."""

    @model_validator(mode="before")
    @classmethod
    def _hours_by_work(cls, value: Any) -> Any:
        """Read `hours: 4` and `hours: {hull: 3.5}` into one form."""
        if not isinstance(value, dict):
            return value
        hours = value.get("hours")
        if isinstance(hours, str):
            return {**value, "hours": {"session": hours}}
        if isinstance(hours, dict):
            return {
                **value,
                "hours": {"by_work": [{"work": key, "hours": spent} for key, spent in hours.items()]},
            }
        return value
