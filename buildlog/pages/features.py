"""Features as pages tell them: how each was made, from what, how large it is, and whether it is right."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buildlog.figures.scale import ScalingLaw
from buildlog.figures.spec import compute_spec
from buildlog.pages.addresses import feature_anchor, paint_anchor, part_anchor
from buildlog.pages.audience import SeenUpdate
from buildlog.pages.desk import Desk, feature_name
from buildlog.pages.notes import outcome_mark
from buildlog.pages.text import markdown_html, sentence
from buildlog.pages.views import (
    AreaView,
    FeatureHistoryStep,
    FeatureOnBuild,
    FeatureView,
    Link,
    Mark,
    MeasureView,
)
from buildlog.records.models import FeatureEntry, FeatureState, Measure, Outcome

_ELSEWHERE = "Elsewhere"
"""Heading for features whose area no record names."""


def made_links(desk: Desk, feature: FeatureEntry, twin: bool = False) -> tuple[Link, ...]:
    """How a feature was made and from what: origin, method, parts, paints, and whether it is mirrored."""
    links: list[Link] = []
    if feature.origin:
        links.append(Link(sentence(feature.origin.value)))
    if feature.method:
        links.append(Link(sentence(feature.method)))
    for use in feature.parts:
        part = desk.workshop.parts.get(use.id)
        name = part.name if part else use.id
        count = f" × {use.count}" if use.count > 1 else ""
        links.append(Link(f"{name}{count}", f"{desk.address}#{part_anchor(use.id)}"))
    links += paint_links(desk, feature_paints(feature, twin))
    if feature.mirrored:
        links.append(Link("Mirrored"))
    return tuple(links)


def paint_links(desk: Desk, paints: Iterable[str]) -> tuple[Link, ...]:
    """Paints by name, each leading to where the build's page lists it."""
    known = desk.workshop.paints
    return tuple(
        Link(known[paint].name if paint in known else paint, f"{desk.address}#{paint_anchor(paint)}")
        for paint in paints
    )


def feature_paints(feature: FeatureEntry, twin: bool = False) -> tuple[str, ...]:
    """Ids of a feature's paints, or of its mirrored twin's where they differ."""
    return (feature.mirrored.paints if twin and feature.mirrored else ()) or feature.paints


def measure_view(desk: Desk, measure: Measure) -> MeasureView:
    """A measure both ways: what was not written is computed by the build's scale."""
    figures = compute_spec(
        measure.full_size, measure.measured, None, desk.build.record.scale, ScalingLaw.length, desk.units_first
    )
    on_model = figures.measured or figures.target
    full_size = figures.full_size or figures.measured_at_full_size
    both = measure.full_size is not None and measure.measured is not None
    return MeasureView(
        what=measure.what,
        on_model=on_model.first if on_model else "",
        on_model_other=(on_model.second or "") if on_model else "",
        full_size=full_size.first if full_size else "",
        full_size_other=(full_size.second or "") if full_size else "",
        computed="neither" if both else "full size" if measure.measured else "model",
        note=f"{figures.target.first} would be exact" if both and figures.target else "",
    )


def outcome_marks(desk: Desk, update: SeenUpdate, *names: str) -> tuple[tuple[Mark, str], ...]:
    """How the settled accuracy notes about a feature stand at an update, each with its note's id."""
    found = []
    for note in update.notes.values():
        about = {desk.twins.get(name, name) for name in note.features} | set(note.features)
        if about & set(names) and note.outcome not in (None, Outcome.UNKNOWN):
            found.append((outcome_mark(desk, note), note.key))
    return tuple(found)


def state_mark(state: FeatureState | None) -> Mark | None:
    """How far a feature is, in words."""
    if state is None:
        return None
    return Mark(sentence(state.value), "ok" if state is FeatureState.FINISHED else "open")


def feature_view(
    desk: Desk, update: SeenUpdate, feature: FeatureEntry, places: Sequence[Link] = (), *, introduce: bool = True
) -> FeatureView:
    """A feature told in full; `introduce` adds why it was done so."""
    words = [feature.change, feature.why if introduce else None, feature.redo and f"Done again: {feature.redo}"]
    return FeatureView(
        id=feature_anchor(feature.id),
        name=feature_name(feature),
        twin=(feature.mirrored.name or "") if feature.mirrored else "",
        area=feature.area or _ELSEWHERE,
        state=state_mark(feature.state),
        text_html="".join(markdown_html(text) for text in words if text),
        made=made_links(desk, feature),
        replaces=feature.replaces or "",
        measures=tuple(measure_view(desk, measure) for measure in feature.measures),
        marks=tuple(mark for mark, _ in outcome_marks(desk, update, feature.id)),
        places=tuple(places),
    )


def by_area(desk: Desk, features: Iterable[FeatureView]) -> tuple[FeatureView, ...]:
    """Features in the order of the build's areas, and as they were told within each."""
    order = {area: index for index, area in enumerate(desk.build.record.areas)}
    return tuple(sorted(features, key=lambda feature: order.get(feature.area, len(order))))


def area_views(desk: Desk) -> tuple[AreaView, ...]:
    """Every feature of a build with its history, area by area."""
    if not desk.build.updates:
        return ()
    newest = desk.build.updates[-1]
    told: dict[str, list[FeatureHistoryStep]] = {}
    for update in desk.build.updates:
        for entry in update.record.features:
            words = [entry.change, entry.redo and f"Done again: {entry.redo}"]
            told.setdefault(entry.id, []).append(
                FeatureHistoryStep(
                    update=Link(update.record.title, f"{desk.update_address(update)}"),
                    day=update.update.day,
                    state=sentence(entry.state.value) if entry.state else "",
                    change_html="".join(markdown_html(text) for text in words if text),
                )
            )
    grouped: dict[str, list[FeatureOnBuild]] = {}
    for feature in newest.features.values():
        view = feature_view(desk, newest, feature.model_copy(update={"change": None, "redo": None}))
        grouped.setdefault(view.area, []).append(FeatureOnBuild(view, tuple(told.get(feature.id, ()))))
    order = [*desk.build.record.areas, *grouped]
    return tuple(
        AreaView(f"area-{index}", area, tuple(grouped[area]))
        for index, area in enumerate(dict.fromkeys(order), start=1)
        if area in grouped
    )
