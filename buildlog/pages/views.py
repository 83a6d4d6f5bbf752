"""
What each page says, as plain values: the templates only say it.

A view holds nothing its reader may not see: that is decided in `audience`, before any view is made. Texts ending in
`_html` are safe HTML made from Markdown; all others are plain text. Addresses lead from the site's root
(`builds/corriemoor/2026-08-15-markings/#port-sidelight`); the template's `to()` turns one into a link.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

# --- small things that many pages share -----------------------------------------------------------


@dataclass(frozen=True)
class Link:
    """Words that lead somewhere; without an address they are only words."""

    text: str
    address: str = ""
    outside: bool = False
    """Whether the address is on another host."""


@dataclass(frozen=True)
class Made:
    """One made file of a picture."""

    address: str
    width: int
    """Pixels."""


@dataclass(frozen=True)
class PictureView:
    """A picture as the pages need it: upright, with its made sizes."""

    width: int
    height: int
    """Pixels of the largest made size; only their ratio matters to a layout."""
    webp: tuple[Made, ...]
    avif: tuple[Made, ...]
    jpeg: str
    """Address of the one JPEG."""
    placeholder: str
    """A tiny blurred stand-in as a `data:` address; empty where there is none."""
    alt: str

    @property
    def largest(self) -> str:
        """Address of the largest made size."""
        return self.webp[-1].address if self.webp else self.jpeg


@dataclass(frozen=True)
class Mark:
    """A state in words, with a tone that colour may repeat."""

    text: str
    tone: Literal["ok", "apart", "open", "plain"] = "plain"
    """ok: as it should be. apart: differs on purpose. open: not settled."""


@dataclass(frozen=True)
class StageBarPart:
    """One stage of work in the stage bar."""

    name: str
    weight: float
    """Its share of the bar's width, in any unit."""
    before: int
    """Percent done at the update before; equal to `now` where nothing has changed."""
    now: int
    """Percent done."""
    is_current: bool


@dataclass(frozen=True)
class Cell:
    """One ruled cell of a title block."""

    label: str
    value: Link
    note: str = ""
    """A few words below it, such as what the trade calls a scale."""


@dataclass(frozen=True)
class TitleBlock:
    """The ruled box that heads every page of a build."""

    title: str
    lede_html: str
    percent: int | None
    """Percent complete; `None` where nothing has been planned or stated."""
    percent_notes: tuple[str, ...]
    """Short lines under the figure, such as "complete, up 13 since 6 June"."""
    stage_bar: tuple[StageBarPart, ...]
    cells: tuple[Cell, ...]
    withheld: str = ""
    """Before publishing, that a page will not be published, or for whom alone; else empty."""


@dataclass(frozen=True)
class Ask:
    """ "Ask about this": a mail to the workshop that names the page."""

    mailto: str
    label: str = "Ask about this"


@dataclass(frozen=True)
class LedgerRow:
    """One update in a list of updates."""

    title: str
    address: str
    day: date
    picture: PictureView | None
    note: str
    """Such as "Harbour tug · 1:24", or "3 finished, 2 carried on"."""
    percent: int | None


@dataclass(frozen=True)
class Card:
    """One build in the catalogue."""

    name: str
    address: str
    subject: str
    picture: PictureView | None
    kind: str
    scale: str
    length: str
    """The model's length or its first dimension, such as "612 mm"; empty where unknown."""
    year: str
    """Year finished; empty while on the bench."""
    basis: str
    period: str
    state: str = "on the bench"
    """What it is while it is not finished."""


@dataclass(frozen=True)
class ViewpointShot:
    """One viewpoint at one time."""

    picture: PictureView
    stage: str
    day: date
    address: str


@dataclass(frozen=True)
class Comparison:
    """The same view at two updates."""

    id: str
    """Its anchor on the page."""
    view: str
    before: ViewpointShot
    after: ViewpointShot


# --- progress page --------------------------------------------------------------------------------


@dataclass(frozen=True)
class ChangeEntry:
    """One thing that changed since the update before."""

    name: str
    address: str
    """Where on the site it is told; may be empty."""
    note: str = ""
    """What changed, in a few words."""
    mark: Mark | None = None


@dataclass(frozen=True)
class ChangeGroup:
    """Changes of one sort: finished, carried on, begun, work done, settled."""

    title: str
    entries: tuple[ChangeEntry, ...]
    count: int
    """How many changed; more than there are entries where these are told by number."""


@dataclass(frozen=True)
class MeasureView:
    """A measure of a feature, both ways."""

    what: str
    on_model: str
    full_size: str
    computed: Literal["model", "full size", "neither"]
    """Which of the two was computed from the other."""
    note: str = ""
    on_model_other: str = ""
    """In the other system of units."""
    full_size_other: str = ""


@dataclass(frozen=True)
class CalloutView:
    """A place on a picture, and all there is to say about it."""

    id: str
    """Its anchor on the page; stable."""
    also: tuple[str, ...]
    """Further anchors it answers to, for links made while it was the only one of its name."""
    number: int
    """Counting from 1 on its picture."""
    across: float
    down: float
    """The point its leader leads to, as shares of the upright picture."""
    box: tuple[float, float, float, float] | None
    """left, top, width, height as shares, where a region was marked."""
    title: str
    """May be empty, where only words were written."""
    text_html: str
    made: tuple[Link, ...]
    """How it was made, from what: origin, method, parts, paints."""
    measures: tuple[MeasureView, ...]
    marks: tuple[Mark, ...]
    """Outcomes of the accuracy notes that speak of it."""
    ask: Ask | None
    told: Link | None = None
    """Where on the page the same feature has been told in full before; then `made` and `measures` are empty."""


@dataclass(frozen=True)
class MarginOrders:
    """In which margin a plate's words stand, from the top, by their callouts' numbers; empty where they make a list."""

    left: tuple[int, ...] = ()
    right: tuple[int, ...] = ()
    one: tuple[int, ...] = ()
    """On a page that has room for one margin alone."""


@dataclass(frozen=True)
class CalloutLine:
    """Where in its record a callout's place is written."""

    first: int
    last: int
    """Lines, from and to."""
    before: str
    """What stands before it on the first, such as "      - "."""
    after: str
    """What stands after it on the last."""


@dataclass(frozen=True)
class Pointing:
    """Where in its record a picture's callouts are written. For a preview alone."""

    record: str
    """The file, from the content folder on."""
    after: int
    """The line after which a further callout goes."""
    begin: tuple[str, ...]
    """Lines that must come before it, since the record has none such yet."""
    indent: str
    """What stands before its dash."""
    callouts: tuple[CalloutLine, ...]
    """In the order they are told."""


@dataclass(frozen=True)
class Plate:
    """One picture of the walkaround with its callouts."""

    id: str
    number: int
    """Counting from 1 on the page."""
    picture: PictureView
    view: str
    caption_html: str
    callouts: tuple[CalloutView, ...]
    """In the order they are told."""
    orders: MarginOrders = MarginOrders()
    """Where their words stand on a page that is wide enough."""
    pointing: Pointing | None = None
    """Where they are written; `None` in all that is published."""


@dataclass(frozen=True)
class TurntableCallout:
    """A place on one frame of a turntable, seen only while that frame is."""

    id: str
    """Its anchor on the page; stable."""
    number: int
    """Counting from 1 on its turntable."""
    frame: int
    """Counting from 1."""
    across: float
    down: float
    """The point, as shares of the upright frame."""
    box: tuple[float, float, float, float] | None
    """left, top, width, height as shares, where a region was marked."""
    title: str
    """May be empty, where only words were written."""
    text_html: str
    told: Link | None
    """Where the feature is called out on a picture, with all there is to say about it."""


@dataclass(frozen=True)
class TurntableView:
    """Frames taken around the model."""

    id: str
    frames: tuple[PictureView, ...]
    caption_html: str
    alt: str
    callouts: tuple[TurntableCallout, ...]
    """In the order they are told."""


@dataclass(frozen=True)
class AccuracyView:
    """One accuracy note and what this model does about it."""

    id: str
    claim_html: str
    often_missed_html: str
    holds_for: str
    source: Link | None
    where: str
    """Place in the source."""
    model_html: str
    figures: tuple[str, ...]
    """Such as "25 mm at full size would be 1.04 mm; measured 1.2 mm, 15 % over"."""
    outcome: Mark
    settled: Link | None
    """The update that settled it."""
    features: tuple[Link, ...]


@dataclass(frozen=True)
class DecisionView:
    """Something for the client to decide, or decided."""

    id: str
    ask: str
    options: tuple[str, ...]
    pictures: tuple[PictureView, ...]
    needed_by: date | None
    answer: str
    answered: date | None
    reply: Ask | None
    """A ready-made mail with the answer; `None` once it is answered or without a contact."""


@dataclass(frozen=True)
class ToDo:
    """One work item that is not finished."""

    name: str
    stage: str
    percent: int


@dataclass(frozen=True)
class FeatureView:
    """A feature introduced or carried on, told in full for those who have no picture of it."""

    id: str
    name: str
    twin: str
    """The mirrored one's name; empty where there is none."""
    area: str
    state: Mark | None
    text_html: str
    """What changed this time, and why it was done so."""
    made: tuple[Link, ...]
    replaces: str
    measures: tuple[MeasureView, ...]
    marks: tuple[Mark, ...]
    places: tuple[Link, ...]
    """Callouts that show it."""


@dataclass(frozen=True)
class ProgressPage:
    """A dated progress page: one stage record."""

    address: str
    block: TitleBlock
    build: Link
    day: date
    number: int
    """Update `number` of `count`, as this reader counts them."""
    count: int
    since: str
    """Heading of what changed: "Since 6 June", or "To begin with"."""
    changes: tuple[ChangeGroup, ...]
    plates: tuple[Plate, ...]
    comparisons: tuple[Comparison, ...]
    """Views of this update that an earlier one showed too, in the order of the build's views."""
    turntables: tuple[TurntableView, ...]
    features: tuple[FeatureView, ...]
    """Everything worked on, by area."""
    accuracy: tuple[AccuracyView, ...]
    decisions: tuple[DecisionView, ...]
    to_do: tuple[ToDo, ...]
    next_text: str
    next_day: date | None
    earlier: Link | None
    later: Link | None
    hours: str
    """Hours at the bench for this session; empty unless shared."""
    ask: Ask | None
    cautions: tuple[str, ...]
    """The usual cautions for what the page describes."""


# --- build page -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Viewpoint:
    """The same view through time, oldest first."""

    id: str
    name: str
    shots: tuple[ViewpointShot, ...]


@dataclass(frozen=True)
class SpecRowView:
    """One row of the spec table. An empty string is an honest blank."""

    name: str
    full_size: str
    full_size_other: str
    """In the other system of units."""
    model: str
    model_other: str
    model_note: str
    """Such as "by Froude's law"."""
    measured: str
    measured_other: str
    off_by: str
    off_by_note: str
    """Such as "5 mm at full size"."""
    tolerance: Mark | None
    text: str
    """Words in place of figures."""


@dataclass(frozen=True)
class MarkingRow:
    """One row of the markings table."""

    name: str
    full_size: str
    full_size_other: str
    """In the other system of units; so are all that end so."""
    model: str
    model_other: str
    stroke: str
    """The narrowest line at full size."""
    stroke_other: str
    stroke_model: str
    stroke_model_other: str
    can_be_made: Mark | None
    """Against the workshop's finest stroke."""
    method: str
    colour: str
    source: Link | None
    where: str


@dataclass(frozen=True)
class FeatureHistoryStep:
    """What one update did to a feature."""

    update: Link
    day: date
    state: str
    change_html: str


@dataclass(frozen=True)
class FeatureOnBuild:
    """A feature with its whole history."""

    feature: FeatureView
    history: tuple[FeatureHistoryStep, ...]


@dataclass(frozen=True)
class AreaView:
    """All the features of one area."""

    id: str
    name: str
    features: tuple[FeatureOnBuild, ...]


@dataclass(frozen=True)
class UsedPart:
    """A part used on a build."""

    id: str
    """Its anchor on the page."""
    name: str
    note: str
    """Maker and material."""
    count: int
    """How many."""
    for_sale: str
    """Where it can be bought; empty where it cannot."""
    features: tuple[Link, ...]


@dataclass(frozen=True)
class PaintReference:
    """The colour that the full-size subject should have, beside a paint."""

    name: str
    swatch: str
    """As `#rrggbb`."""
    lab: str
    source: Link | None
    where: str
    """Place in the source."""
    difference: Mark | None
    """How far the paint lies from it, in words and by CIEDE2000; `None` where the paint's own colour is not stated."""


@dataclass(frozen=True)
class UsedPaint:
    """A paint used on a build."""

    id: str
    """Its anchor on the page."""
    name: str
    note: str
    """Kind and finish."""
    swatch: str
    """As `#rrggbb`; empty where its colour is not stated."""
    lab: str
    """CIE L*a*b* in words; empty where its colour is not stated."""
    fits_screen: bool
    """Whether a screen can show it."""
    reference: PaintReference | None
    features: tuple[Link, ...]


@dataclass(frozen=True)
class ChartPoint:
    """Percent complete on a day."""

    day: date
    percent: int
    address: str
    title: str


@dataclass(frozen=True)
class BuildPage:
    """The whole history of one build on one page."""

    address: str
    block: TitleBlock
    cover: PictureView | None
    is_finished: bool
    viewpoints: tuple[Viewpoint, ...]
    turntable: TurntableView | None
    spec: tuple[SpecRowView, ...]
    scale: str
    markings: tuple[MarkingRow, ...]
    finest_stroke: str
    progress: tuple[ChartPoint, ...]
    chart_svg: str
    """The progress chart as safe SVG; empty with fewer than two points."""
    accuracy: tuple[AccuracyView, ...]
    outcomes: tuple[tuple[str, int], ...]
    """How many notes stand how, such as ("as full size", 9)."""
    areas: tuple[AreaView, ...]
    parts: tuple[UsedPart, ...]
    paints: tuple[UsedPaint, ...]
    paint_key: str
    """How differences of colour are told; empty where none is."""
    decisions: tuple[DecisionView, ...]
    to_do: tuple[ToDo, ...]
    updates: tuple[LedgerRow, ...]
    """Newest first."""
    shown: tuple[str, ...]
    care_html: str
    ask: Ask | None


# --- catalogue, home ------------------------------------------------------------------------------


@dataclass(frozen=True)
class KindGroup:
    """The finished commissions of one kind."""

    id: str
    name: str
    cards: tuple[Card, ...]


@dataclass(frozen=True)
class CataloguePage:
    """Finished commissions."""

    address: str
    groups: tuple[KindGroup, ...]
    enquiries: str
    ask: Ask | None

    @property
    def cards(self) -> tuple[Card, ...]:
        """All of them, group by group."""
        return tuple(card for group in self.groups for card in group.cards)


@dataclass(frozen=True)
class Lead:
    """The newest update of what is on the bench, told large."""

    block: TitleBlock
    picture: PictureView | None
    address: str


@dataclass(frozen=True)
class HomePage:
    """What is on the bench now, the latest updates, a few finished commissions."""

    address: str
    lead: Lead | None
    bench: tuple[Card, ...]
    """Every build on the bench, when there is more than one."""
    updates: tuple[LedgerRow, ...]
    finished: tuple[Card, ...]


@dataclass(frozen=True)
class Frame:
    """What every page of the site shares."""

    workshop: str
    strapline: str
    enquiries: str
    notice: str
    contact: Ask | None
    language: str
