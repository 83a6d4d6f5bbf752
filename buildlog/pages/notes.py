"""Accuracy notes and decisions as pages tell them."""

from __future__ import annotations

from collections.abc import Iterable

from buildlog.figures.accuracy import how_they_stand
from buildlog.figures.spec import SpecFigures, compute_spec
from buildlog.pages.addresses import decision_anchor, feature_anchor, note_anchor
from buildlog.pages.audience import SeenUpdate
from buildlog.pages.desk import Desk, both_names
from buildlog.pages.text import inline_html, sentence
from buildlog.pages.views import AccuracyView, Ask, DecisionView, Link, Mark
from buildlog.records.models import AccuracyEntry, Decision, Outcome
from buildlog.words import day_words

_TONES = {
    Outcome.AS_FULL_SIZE: "ok",
    Outcome.SIMPLIFIED: "apart",
    Outcome.DEPARTS: "apart",
    Outcome.UNKNOWN: "open",
}


def outcome_mark(desk: Desk, note: AccuracyEntry) -> Mark:
    """How a note stands, in words; with the deviation in percent where it was measured and is not as full size."""
    outcome = note.outcome or Outcome.UNKNOWN
    words = "Not yet known" if outcome is Outcome.UNKNOWN else sentence(outcome.value)
    off_by = _figures(desk, note).deviation
    if off_by and outcome in (Outcome.SIMPLIFIED, Outcome.DEPARTS):
        words += f", {off_by.percent}"
    return Mark(words, _TONES[outcome])  # type: ignore[arg-type]  # the tones are those of Mark


def _figures(desk: Desk, note: AccuracyEntry) -> SpecFigures:
    """What a note's full size and measure come to; its tolerance bears only on a measure."""
    tolerance = note.tolerance if note.measured else None
    return compute_spec(note.full_size, note.measured, tolerance, desk.build.record.scale, None, desk.units_first)


def note_figures(desk: Desk, note: AccuracyEntry) -> tuple[str, ...]:
    """What a note's measures come to, in words: full size, what that is on the model, what was measured."""
    figures = _figures(desk, note)
    words = []
    if figures.full_size:
        words.append(f"{figures.full_size} at full size is {figures.target} at {desk.build.record.scale}")
    if figures.measured:
        off_by = f", {figures.deviation.percent}" if figures.deviation else ""
        words.append(f"measured {figures.measured}{off_by}")
    if figures.within is not None:
        words.append(f"{'within' if figures.within else 'outside'} a tolerance of {figures.tolerance}")
    return tuple(words)


def accuracy_view(desk: Desk, update: SeenUpdate, note: AccuracyEntry) -> AccuracyView:
    """A note as it stands at an update."""
    source = desk.workshop.sources.get(note.source.id) if note.source else None
    return AccuracyView(
        id=note_anchor(note.key),
        claim_html=inline_html(note.claim),
        often_missed_html=inline_html(note.often_missed),
        holds_for=note.holds_for or "",
        source=Link(source.name, source.link or "", outside=bool(source.link)) if source else None,
        where=(note.source.where or "") if note.source else "",
        model_html=inline_html(note.model),
        figures=note_figures(desk, note),
        outcome=outcome_mark(desk, note),
        settled=_settled(desk, note),
        features=tuple(_feature_links(desk, update, note)),
    )


def _feature_links(desk: Desk, update: SeenUpdate, note: AccuracyEntry) -> Iterable[Link]:
    features = (desk.feature(update, name) for name in note.features)
    for feature in {one.id: one for one in features if one}.values():
        yield Link(both_names(feature), f"{desk.address}#{feature_anchor(feature.id)}")


def is_settled(note: AccuracyEntry | None) -> bool:
    """Whether a note's outcome is known."""
    return note is not None and note.outcome not in (None, Outcome.UNKNOWN)


def _settled(desk: Desk, note: AccuracyEntry) -> Link | None:
    """The update since which a note has stood as it does."""
    if not is_settled(note):
        return None
    settled = None
    for update in desk.build.updates:
        known = update.notes.get(note.key)
        if known is None or known.outcome is not note.outcome:
            settled = None
        elif settled is None:
            settled = update
    return Link(day_words(settled.update.day), desk.update_address(settled)) if settled else None


def outcome_counts(notes: Iterable[AccuracyEntry]) -> tuple[tuple[str, int], ...]:
    """How many notes stand how, in the order of the outcomes; outcomes without a note are left out."""
    counted = how_they_stand((note.outcome or Outcome.UNKNOWN for note in notes), list(Outcome))
    names = {Outcome.UNKNOWN.value: "Not yet known"}
    return tuple((names.get(outcome, sentence(outcome)), count) for outcome, count in counted)


def decision_view(desk: Desk, update: SeenUpdate, decision: Decision) -> DecisionView:
    """A decision as it stands now, on old pages too, with a ready-made mail while it is open."""
    later = (one for seen in desk.build.updates for one in seen.record.decisions if one.id == decision.id)
    decision = next((one for one in reversed([decision, *later]) if one.answer), decision)
    question = decision.ask or decision.id
    reply: Ask | None = None
    if not decision.answer:
        about = f"{desk.build.record.name}: {question}"
        reply = desk.ask(about, f"{desk.update_address(update)}#{decision_anchor(decision.id)}")
    return DecisionView(
        id=decision_anchor(decision.id),
        ask=question,
        options=decision.options,
        pictures=tuple(
            desk.gallery.picture(desk.build.build, path, f"{desk.build.record.name}: {question}")
            for path in decision.pictures
        ),
        needed_by=decision.needed_by,
        answer=decision.answer or "",
        answered=decision.answered,
        reply=Ask(reply.mailto, "Answer by mail") if reply else None,
    )
