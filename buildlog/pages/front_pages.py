"""The pages that lead to all others: home and the catalogue."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from buildlog.pages.addresses import CATALOGUE, HOME
from buildlog.pages.blocks import card, finished_on, ledger_row, subject_and_scale, update_block, update_picture
from buildlog.pages.desk import Desk, ask
from buildlog.pages.gallery import cover
from buildlog.pages.text import anchor, sentence
from buildlog.pages.views import CataloguePage, HomePage, KindGroup, Lead
from buildlog.records.models import Status, WorkshopRecord

_UPDATES_ON_HOME = 6
_FINISHED_ON_HOME = 6


def home_page(desks: Sequence[Desk]) -> HomePage:
    """What is on the bench now, the latest updates, a few finished commissions."""
    on_bench = [desk for desk in desks if desk.build.record.status is Status.IN_PROGRESS]
    newest = sorted(
        ((desk, update) for desk in desks for update in desk.build.updates),
        key=lambda pair: (pair[1].record.date.order, pair[0].slug),
        reverse=True,
    )
    lead = next((desk for desk, _ in newest if desk in on_bench), None)
    listed = [*on_bench, *(desk for desk in desks if desk.build.record.status is Status.ENQUIRY)]
    told = lead.build.updates[-1] if lead else None
    rows = [
        ledger_row(desk, update, subject_and_scale(desk), name_build=True)
        for desk, update in newest
        if update is not told
    ]
    return HomePage(
        address=HOME,
        lead=_lead(lead) if lead else None,
        bench=tuple(map(card, listed)) if any(desk is not lead for desk in listed) else (),
        updates=tuple(rows[:_UPDATES_ON_HOME]),
        finished=tuple(card(desk) for desk in _finished(desks)[:_FINISHED_ON_HOME]),
    )


def _lead(desk: Desk) -> Lead:
    """A build's newest update with its first picture, else the build's cover."""
    newest = desk.build.updates[-1]
    before = desk.build.updates[-2] if len(desk.build.updates) > 1 else None
    return Lead(
        block=update_block(desk, newest, before),
        picture=update_picture(desk, newest) or cover(desk.build, desk.gallery),
        address=desk.update_address(newest),
    )


def _finished(desks: Sequence[Desk]) -> list[Desk]:
    """Finished commissions, the newest first; of one day by name."""
    finished = sorted((desk for desk in desks if desk.is_finished), key=lambda desk: desk.build.record.name.casefold())
    return sorted(finished, key=lambda desk: finished_on(desk) or date.min, reverse=True)


def catalogue_page(desks: Sequence[Desk], workshop: WorkshopRecord) -> CataloguePage:
    """Finished commissions, grouped by kind."""
    groups: dict[str, list[Desk]] = {}
    for desk in _finished(desks):
        groups.setdefault(desk.build.record.subject.kind.casefold(), []).append(desk)
    return CataloguePage(
        address=CATALOGUE,
        groups=tuple(
            KindGroup(
                id=f"kind-{anchor(kind) or index}",
                name=sentence(found[0].build.record.subject.kind),
                cards=tuple(replace(card(desk), kind=sentence(desk.build.record.subject.kind)) for desk in found),
            )
            for index, (kind, found) in enumerate(sorted(groups.items()), start=1)
        ),
        enquiries=workshop.enquiries or "",
        ask=ask(workshop, "A commission", label="Ask about a commission"),
    )
