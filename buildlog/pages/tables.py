"""The tables of a build's page: spec, markings, parts and paints."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Literal

from buildlog.figures.colour import Difference
from buildlog.figures.markings import compute_marking
from buildlog.figures.paint import HOW_DIFFERENCES_ARE_TOLD, PaintFigures, compute_paint, stated_colour
from buildlog.figures.parts import how_many
from buildlog.figures.rounding import show
from buildlog.figures.spec import Both, SpecFigures, compute_spec
from buildlog.pages.addresses import feature_anchor, paint_anchor, part_anchor
from buildlog.pages.desk import Desk, both_names
from buildlog.pages.features import feature_paints
from buildlog.pages.text import sentence
from buildlog.pages.views import Link, Mark, MarkingRow, PaintReference, SpecRowView, UsedPaint, UsedPart
from buildlog.records.models import FeatureEntry, Marking, Paint, ReferenceColour, SpecRow


def spec_rows(desk: Desk) -> tuple[SpecRowView, ...]:
    """The spec table."""
    return tuple(_spec_row(desk, row) for row in desk.build.record.spec)


def _spec_row(desk: Desk, row: SpecRow) -> SpecRowView:
    if row.text:
        return SpecRowView(row.name, "", "", "", "", "", "", "", "", "", None, row.text)
    figures = compute_spec(
        row.full_size, row.measured, row.tolerance, desk.build.record.scale, row.scales_as, desk.units_first
    )
    full_size, full_size_other = _both(figures.full_size)
    model, model_other = _both(figures.target)
    measured, measured_other = _both(figures.measured)
    return SpecRowView(
        name=row.name,
        full_size=full_size,
        full_size_other=full_size_other,
        model=model,
        model_other=model_other,
        model_note=figures.note or "",
        measured=measured,
        measured_other=measured_other,
        off_by=_off_by(figures),
        off_by_note=f"{figures.deviation.full_size.first} at full size" if figures.deviation else "",
        tolerance=_tolerance_mark(figures),
        text="",
    )


def _both(figure: Both | None) -> tuple[str, str]:
    return (figure.first, figure.second or "") if figure else ("", "")


def _off_by(figures: SpecFigures) -> str:
    return f"{figures.deviation.size.first}, {figures.deviation.percent}" if figures.deviation else ""


def _tolerance_mark(figures: SpecFigures) -> Mark | None:
    if figures.tolerance is None:
        return None
    words = figures.tolerance + (f" ({figures.allowed})" if figures.allowed else "")
    if figures.within is None:
        return Mark(words, "plain")
    return Mark(f"within {words}", "ok") if figures.within else Mark(f"outside {words}", "apart")


def marking_rows(desk: Desk) -> tuple[MarkingRow, ...]:
    """The markings table."""
    return tuple(_marking_row(desk, marking) for marking in desk.build.record.markings)


def _marking_row(desk: Desk, marking: Marking) -> MarkingRow:
    figures = compute_marking(
        marking.full_size,
        marking.stroke,
        desk.build.record.scale,
        desk.workshop.record.finest_stroke,
        desk.units_first,
    )
    source = desk.workshop.sources.get(marking.source.id) if marking.source else None
    can = None
    if figures.words is not None:
        can = Mark(sentence(figures.words), "ok" if figures.can_be_made else "apart")
    full_size, full_size_other = _both(figures.true_size)
    model, model_other = _both(figures.model_size)
    stroke, stroke_other = _both(figures.true_stroke)
    stroke_model, stroke_model_other = _both(figures.model_stroke)
    return MarkingRow(
        name=marking.name,
        full_size=full_size,
        full_size_other=full_size_other,
        model=model,
        model_other=model_other,
        stroke=stroke,
        stroke_other=stroke_other,
        stroke_model=stroke_model,
        stroke_model_other=stroke_model_other,
        can_be_made=can,
        method=marking.method or "",
        colour=marking.colour or "",
        source=Link(source.name, source.link or "", outside=bool(source.link)) if source else None,
        where=(marking.source.where or "") if marking.source else "",
    )


def finest_stroke(desk: Desk) -> str:
    """The narrowest line the workshop can make, as shown; empty where it is not stated."""
    finest = desk.workshop.record.finest_stroke
    return show(finest, system=desk.units_first, on_model=True) if finest else ""


def used_parts(desk: Desk, features: Iterable[FeatureEntry]) -> tuple[UsedPart, ...]:
    """Every part of the library that a build uses, with what it was used for."""
    uses: dict[str, list[tuple[FeatureEntry, int]]] = {}
    for feature in features:
        for use in feature.parts:
            uses.setdefault(use.id, []).append((feature, use.count))
    found = []
    for part_id, used in uses.items():
        part = desk.workshop.parts[part_id]
        note = ", ".join(filter(None, [part.maker, part.material]))
        found.append(
            UsedPart(
                id=part_anchor(part_id),
                name=part.name,
                note=sentence(note),
                count=how_many((count, feature.mirrored is not None) for feature, count in used),
                for_sale=part.for_sale or "",
                features=tuple(_feature_link(desk, feature) for feature, _ in used),
            )
        )
    return tuple(sorted(found, key=lambda part: part.name.casefold()))


def used_paints(desk: Desk, features: Iterable[FeatureEntry]) -> tuple[UsedPaint, ...]:
    """Every paint of the library that a build uses, with its colour and what it was used for."""
    uses: dict[str, list[FeatureEntry]] = {}
    for feature in features:
        for paint_id in dict.fromkeys((*feature.paints, *feature_paints(feature, twin=True))):
            uses.setdefault(paint_id, []).append(feature)
    found = [_used_paint(desk, desk.workshop.paints[paint_id], used) for paint_id, used in uses.items()]
    return tuple(sorted(found, key=lambda paint: paint.name.casefold()))


def _used_paint(desk: Desk, paint: Paint, used: Iterable[FeatureEntry]) -> UsedPaint:
    reference = paint.reference
    figures = compute_paint(
        stated_colour(paint.colour, paint.lab, paint.illuminant),
        stated_colour(reference.colour, reference.lab, reference.illuminant) if reference else None,
    )
    return UsedPaint(
        id=paint_anchor(paint.id),
        name=paint.name,
        note=sentence(", ".join(filter(None, [paint.kind, paint.finish]))),
        swatch=figures.colour.swatch if figures.colour else "",
        lab=figures.colour.lab if figures.colour else "",
        fits_screen=figures.colour is None or figures.colour.fits_screen,
        reference=_reference(desk, reference, figures) if reference else None,
        features=tuple(_feature_link(desk, feature) for feature in used),
    )


_DIFFERENCE_TONES: Mapping[Difference, Literal["ok", "apart"]] = {
    Difference.same: "ok",
    Difference.close: "ok",
    Difference.visible: "apart",
}


def _reference(desk: Desk, reference: ReferenceColour, figures: PaintFigures) -> PaintReference:
    source = desk.workshop.sources.get(reference.source.id) if reference.source else None
    mark = None
    if figures.words:
        mark = Mark(f"{sentence(figures.words)}, {figures.difference}", _DIFFERENCE_TONES[figures.words])
    return PaintReference(
        name=reference.name,
        swatch=figures.reference.swatch if figures.reference else "",
        lab=figures.reference.lab if figures.reference else "",
        source=Link(source.name, source.link or "", outside=bool(source.link)) if source else None,
        where=(reference.source.where or "") if reference.source else "",
        difference=mark,
    )


def paint_key(paints: Iterable[UsedPaint]) -> str:
    """How differences of colour are told; empty where no paint has one."""
    told = any(paint.reference and paint.reference.difference for paint in paints)
    return HOW_DIFFERENCES_ARE_TOLD if told else ""


def _feature_link(desk: Desk, feature: FeatureEntry) -> Link:
    return Link(both_names(feature), f"{desk.address}#{feature_anchor(feature.id)}")
