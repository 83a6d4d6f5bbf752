"""A dated progress page, made from one stage record."""

from __future__ import annotations

from buildlog.pages.audience import SeenUpdate
from buildlog.pages.blocks import to_do, update_block
from buildlog.pages.cautions import cautions
from buildlog.pages.changes import changes, introduced_features, since
from buildlog.pages.comparing import comparisons
from buildlog.pages.desk import Desk
from buildlog.pages.features import by_area, feature_view
from buildlog.pages.notes import accuracy_view, decision_view
from buildlog.pages.text import plain
from buildlog.pages.turning import turntables
from buildlog.pages.views import Link, ProgressPage
from buildlog.pages.walkaround import callout_places, plates
from buildlog.words import day_month


def progress_page(desk: Desk, update: SeenUpdate) -> ProgressPage:
    """Say what one update has to say."""
    record = update.record
    updates = desk.build.updates
    before = updates[update.number - 2] if update.number > 1 else None
    after = updates[update.number] if update.number < len(updates) else None
    introduced = introduced_features(update, before)
    walkaround = plates(desk, update, introduced)
    places = callout_places(desk, update, walkaround)
    features = tuple(
        feature_view(desk, update, feature, places.get(feature.id, ()), introduce=feature.id in introduced)
        for feature in record.features
    )
    address = desk.update_address(update)
    return ProgressPage(
        address=address,
        block=update_block(desk, update, before),
        build=Link(desk.build.record.name, desk.address),
        day=update.update.day,
        number=update.number,
        count=len(updates),
        since=since(update, before),
        changes=changes(desk, update, before, places),
        plates=walkaround,
        comparisons=comparisons(desk, update),
        turntables=turntables(desk, update, places),
        features=by_area(desk, features),
        accuracy=tuple(accuracy_view(desk, update, note) for note in record.accuracy),
        decisions=tuple(decision_view(desk, update, decision) for decision in record.decisions),
        to_do=to_do(desk, update.state),
        next_text=(record.next.text or "") if record.next else "",
        next_day=record.next.date if record.next else None,
        earlier=_neighbour(desk, before, update),
        later=_neighbour(desk, after, update),
        hours=_hours(update),
        ask=desk.ask(f"{desk.build.record.name}: {record.title}", address),
        cautions=cautions(*_words(update)),
    )


def _neighbour(desk: Desk, update: SeenUpdate | None, beside: SeenUpdate) -> Link | None:
    """The update before or after, by title and date."""
    if update is None:
        return None
    words = f"{update.record.title}, {day_month(update.update.day, beside.update.day)}"
    return Link(words, desk.update_address(update))


def _hours(update: SeenUpdate) -> str:
    """Hours at the bench, where they are shared."""
    hours = update.record.hours
    if hours is None:
        return ""
    return f"{hours.total.normalize():f} {'hour' if hours.total == 1 else 'hours'}"


def _words(update: SeenUpdate) -> list[str]:
    """Everything written in a record that could touch something dangerous."""
    record = update.record
    words = [record.title, plain(record.summary), record.next.text or "" if record.next else ""]
    for feature in record.features:
        words += [feature.name or "", feature.method or "", plain(feature.change), plain(feature.why)]
    for entry in record.photos:
        words.append(plain(getattr(entry, "caption", None)))
        words += [plain(callout.text) for callout in getattr(entry, "callouts", ())]
    words += [plain(note.model) for note in record.accuracy]
    return words
