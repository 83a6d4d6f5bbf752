"""The pieces that many pages share: title block, stage bar, ledger rows, cards, what is left to do."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction

from buildlog.figures.forecast import chance_in_words, forecast_in_words
from buildlog.figures.progress import State, whole_percent
from buildlog.figures.quantities import Dimension
from buildlog.figures.scale import runs_on_rails
from buildlog.figures.spec import compute_spec
from buildlog.pages.audience import Audience, SeenUpdate
from buildlog.pages.desk import Desk
from buildlog.pages.gallery import cover, shot_alt
from buildlog.pages.text import markdown_html, sentence
from buildlog.pages.views import Card, Cell, LedgerRow, Link, PictureView, StageBarPart, TitleBlock, ToDo
from buildlog.records.models import AudienceWord, Status
from buildlog.words import day_month, day_words, month_year


def stage_bar(desk: Desk, state: State | None, before: State | None, current: str) -> tuple[StageBarPart, ...]:
    """
    How far each stage of work is, and how far it was.

    Args:
        state: Progress now; `None` before the first record.
        before: Progress at the update before.
        current: Id of the stage the newest session belonged to.
    """
    if state is None:
        return ()
    order = [stage.id for stage in desk.build.build.stages]
    was = {stage.stage: stage.share for stage in before.stages(order)} if before else {}
    names = desk.build.build.stage_names
    stages = state.stages(order)
    whole = sum(stage.weight for stage in stages)
    return tuple(
        StageBarPart(
            name=names[stage.stage],
            weight=float(round(stage.weight * 100 / whole, 1)),  # a share: the hours themselves are the builder's
            before=whole_percent(min(was.get(stage.stage, Fraction(0)), stage.share)),
            now=whole_percent(stage.share),
            is_current=stage.stage == current,
        )
        for stage in stages
    )


def since_words(update: SeenUpdate, before: SeenUpdate) -> str:
    """When the update before was: "since 6 June", or what can be said of two on one day."""
    if before.update.day == update.update.day:
        return "since the update before"
    return f"since {day_month(before.update.day, update.update.day)}"


def finished_on(desk: Desk) -> date | None:
    """When a build was finished, as far as it is written: finished, else delivered, else its last update."""
    record = desk.build.record
    if not desk.is_finished:
        return None
    return record.finished or record.delivered or (desk.build.updates[-1].update.day if desk.build.updates else None)


def change_in_words(state: State, before: SeenUpdate | None, update: SeenUpdate) -> str:
    """What became of percent complete: "complete, up 13 since 6 June"."""
    moved = state.moved_since(before.state) if before else None
    if before is None or moved is None:
        return "complete"
    when = since_words(update, before)
    if not moved:
        return f"complete, unchanged {when}"
    return f"complete, {'up' if moved > 0 else 'down'} {abs(moved)} {when}"


def _outlook(desk: Desk, newest: SeenUpdate) -> Iterator[str]:
    """What is to come, as of the newest update: the end, where this reader may know, and the next update."""
    if desk.is_finished:
        return
    if desk.build.forecast:
        chance = chance_in_words(desk.build.forecast.chance)
        yield f"{forecast_in_words(desk.build.forecast)}, {chance}"
    if newest.record.next and newest.record.next.date:
        yield f"next update about {day_month(newest.record.next.date, newest.update.day)}"


def update_block(desk: Desk, update: SeenUpdate, before: SeenUpdate | None) -> TitleBlock:
    """The title block of a progress page."""
    notes = [change_in_words(update.state, before, update)]
    if update is desk.build.updates[-1]:
        notes += _outlook(desk, update)
    scale = desk.build.record.scale
    return TitleBlock(
        title=update.record.title,
        lede_html=markdown_html(update.record.summary),
        percent=update.state.percent,
        percent_notes=tuple(notes),
        stage_bar=stage_bar(desk, update.state, before.state if before else None, update.record.stage),
        cells=(
            Cell("Build", Link(desk.build.record.name, desk.address)),
            Cell("Subject", Link(desk.subject)),
            Cell("Scale", Link(str(scale))),
            Cell("Stage", Link(desk.build.build.stage_names.get(update.record.stage, update.record.stage))),
            Cell("Date", Link(day_words(update.update.day))),
            Cell("Update", Link(f"{update.number} of {len(desk.build.updates)}")),
        ),
        withheld=_withheld(desk, update.audience),
    )


def build_block(desk: Desk) -> TitleBlock:
    """The title block of a build's page."""
    record = desk.build.record
    newest = desk.build.updates[-1] if desk.build.updates else None
    before = desk.build.updates[-2] if len(desk.build.updates) > 1 else None
    notes: list[str] = []
    if newest and desk.build.state:
        told = desk.build.state == newest.state  # else more has been done than this reader was told of
        notes.append(f"complete on {day_words(newest.update.day)}" if told else "complete")
    if newest:
        notes += _outlook(desk, newest)
    names = record.scale.called(on_rails=runs_on_rails(record.subject.kind))
    cells = [Cell("Subject", Link(desk.subject)), Cell("Scale", Link(str(record.scale)), names)]
    if length := model_length(desk):
        cells.append(Cell(*length))
    if record.basis:
        cells.append(Cell("Basis", Link(sentence(record.basis))))
    if record.subject.period:
        cells.append(Cell("Period", Link(record.subject.period)))
    begun = record.ordered or (desk.build.updates[0].update.day if newest else None)
    if record.delivered or record.finished:
        done = "Delivered" if record.delivered else "Finished"
        cells.append(Cell(done, Link(month_year(record.delivered or record.finished or begun))))  # type: ignore[arg-type]
    elif begun:
        cells.append(Cell("Ordered" if record.ordered else "Begun", Link(month_year(begun))))
    if record.due is not None and not desk.is_finished:
        cells.append(Cell("Due", Link(day_words(record.due))))
    cells.append(Cell("Updates", Link(str(len(desk.build.updates)))))
    return TitleBlock(
        title=record.name,
        lede_html=markdown_html(record.summary),
        percent=desk.build.state.percent if desk.build.state else None,
        percent_notes=tuple(notes),
        stage_bar=stage_bar(
            desk, desk.build.state, before.state if before else None, newest.record.stage if newest else ""
        ),
        cells=tuple(cells),
        withheld=_withheld(desk, record.audience),
    )


def _withheld(desk: Desk, audience: AudienceWord) -> str:
    """What the builder must know of a page that visitors will not see."""
    if desk.seen.audience is not Audience.PREVIEW or audience is AudienceWord.PUBLIC:
        return ""
    if audience is AudienceWord.CLIENT:
        return "For the client alone: not on the public site."
    return "Draft: nobody but you sees this page."


def model_length(desk: Desk) -> tuple[str, Link] | None:
    """The first length of the spec table on the model, measured where it has been: its label and figure."""
    for row in desk.build.record.spec:
        known = row.full_size or row.measured
        if known is None or known.dimension is not Dimension.length:
            continue
        figures = compute_spec(
            row.full_size, row.measured, None, desk.build.record.scale, row.scales_as, desk.units_first
        )
        if shown := figures.measured or figures.target:
            name = "Length" if row.name.casefold().startswith("length") else row.name
            return name, Link(shown.first)
    return None


def update_picture(desk: Desk, update: SeenUpdate) -> PictureView | None:
    """The picture that stands for an update in a list: its first."""
    shots = desk.gallery.shots(desk.build.build, update.record)
    if not shots:
        return None
    return desk.gallery.picture(desk.build.build, shots[0].path, sentence(shot_alt(desk.build.build, shots[0])))


def ledger_row(desk: Desk, update: SeenUpdate, note: str, *, name_build: bool) -> LedgerRow:
    """An update in a list of updates."""
    title = f"{desk.build.record.name}: {update.record.title}" if name_build else update.record.title
    return LedgerRow(
        title=title,
        address=desk.update_address(update),
        day=update.update.day,
        picture=update_picture(desk, update),
        note=note,
        percent=update.state.percent,
    )


def subject_and_scale(desk: Desk) -> str:
    """What a build is, in a line of a list."""
    return f"{desk.build.record.subject.name} · {desk.build.record.scale}"


def card(desk: Desk) -> Card:
    """A build in the catalogue."""
    record = desk.build.record
    length = model_length(desk)
    done = finished_on(desk)
    return Card(
        name=record.name,
        address=desk.address,
        subject=desk.subject,
        picture=cover(desk.build, desk.gallery),
        kind=record.subject.kind,
        scale=str(record.scale),
        length=length[1].text if length else "",
        year=str(done.year) if done else "",
        basis=record.basis or "",
        period=record.subject.period or "",
        state="enquiry" if record.status is Status.ENQUIRY else "on the bench",
    )


def to_do(desk: Desk, state: State | None) -> tuple[ToDo, ...]:
    """Work that is not finished, in the plan's order."""
    if state is None or desk.is_finished:
        return ()
    names = desk.build.build.stage_names
    return tuple(
        ToDo(item.name, names.get(item.stage, item.stage), whole_percent(state.share_of(item.id)))
        for item in state.left
    )
