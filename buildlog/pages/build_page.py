"""The page of one build: its whole history."""

from __future__ import annotations

from buildlog.pages.blocks import build_block, ledger_row, to_do
from buildlog.pages.changes import changes, counts
from buildlog.pages.chart import progress_chart
from buildlog.pages.comparing import viewpoints
from buildlog.pages.desk import Desk
from buildlog.pages.features import area_views
from buildlog.pages.gallery import cover
from buildlog.pages.notes import accuracy_view, decision_view, outcome_counts
from buildlog.pages.tables import finest_stroke, marking_rows, paint_key, spec_rows, used_paints, used_parts
from buildlog.pages.text import markdown_html
from buildlog.pages.turning import turntables
from buildlog.pages.views import BuildPage, ChartPoint, DecisionView, LedgerRow


def build_page(desk: Desk) -> BuildPage:
    """Say all there is to say of a build."""
    record = desk.build.record
    updates = desk.build.updates
    newest = updates[-1] if updates else None
    features = tuple(newest.features.values()) if newest else ()
    notes = tuple(newest.notes.values()) if newest else ()
    points = tuple(
        ChartPoint(update.update.day, update.state.percent, desk.update_address(update), update.record.title)
        for update in updates
        if update.state.percent is not None
    )
    paints = used_paints(desk, features)
    turns = [turn for update in reversed(updates) for turn in turntables(desk, update)]
    return BuildPage(
        address=desk.address,
        block=build_block(desk),
        cover=cover(desk.build, desk.gallery),
        is_finished=desk.is_finished,
        viewpoints=viewpoints(desk),
        turntable=turns[0] if turns else None,
        spec=spec_rows(desk),
        scale=str(record.scale),
        markings=marking_rows(desk),
        finest_stroke=finest_stroke(desk),
        progress=points,
        chart_svg=progress_chart(points, record.ordered),
        accuracy=tuple(accuracy_view(desk, newest, note) for note in notes) if newest else (),
        outcomes=outcome_counts(notes),
        areas=area_views(desk),
        parts=used_parts(desk, features),
        paints=paints,
        paint_key=paint_key(paints),
        decisions=_decisions(desk),
        to_do=to_do(desk, desk.build.state),
        updates=_ledger(desk),
        shown=record.shown,
        care_html=markdown_html(record.care),
        ask=desk.ask(record.name, desk.address),
    )


def _decisions(desk: Desk) -> tuple[DecisionView, ...]:
    """Every decision as it stands now, open ones first."""
    latest = {decision.id: (update, decision) for update in desk.build.updates for decision in update.record.decisions}
    views = [decision_view(desk, update, decision) for update, decision in latest.values()]
    return tuple(sorted(views, key=lambda view: bool(view.answer)))


def _ledger(desk: Desk) -> tuple[LedgerRow, ...]:
    """Every update, newest first, with what became of its features."""
    rows = []
    before = None
    names = desk.build.build.stage_names
    for update in desk.build.updates:
        told = counts(changes(desk, update, before, {}))
        note = " · ".join(filter(None, [names.get(update.record.stage, update.record.stage), told]))
        rows.append(ledger_row(desk, update, note, name_build=False))
        before = update
    return tuple(reversed(rows))
