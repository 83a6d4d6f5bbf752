"""Turntables: folders of frames taken around the model, with places that show on one frame each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from buildlog.pages.audience import SeenUpdate
from buildlog.pages.desk import Desk
from buildlog.pages.text import anchor, inline_html, markdown_html, plain
from buildlog.pages.views import Link, TurntableCallout, TurntableView
from buildlog.pages.walkaround import callout_point, callout_title, path_digest
from buildlog.records.models import Callout, FeatureEntry, TurntableEntry
from buildlog.records.workshop import turntable_frames

_WORDS_IN_ANCHOR = 6


def turntables(
    desk: Desk, update: SeenUpdate, places: Mapping[str, Sequence[Link]] | None = None
) -> tuple[TurntableView, ...]:
    """
    The turntables of an update.

    Args:
        places: Where each feature is called out on a picture, by the feature's id.
    """
    return tuple(
        _turntable(desk, update, entry, places or {})
        for entry in update.record.photos
        if isinstance(entry, TurntableEntry)
    )


def _turntable(
    desk: Desk, update: SeenUpdate, entry: TurntableEntry, places: Mapping[str, Sequence[Link]]
) -> TurntableView:
    alt = entry.alt or plain(entry.caption) or f"{desk.build.record.name}, turned through a circle"
    id_ = f"turntable-{path_digest(entry.turntable)}"
    frames = turntable_frames(desk.build.build, entry)
    numbers = {path.name: number for number, path in enumerate(frames, start=1)}
    anchors = _anchors(id_, entry.callouts)
    return TurntableView(
        id=id_,
        frames=tuple(
            desk.gallery.picture(desk.build.build, path, f"{alt} Frame {number} of {len(frames)}.")
            for number, path in enumerate(frames, start=1)
        ),
        caption_html=inline_html(entry.caption),
        alt=alt,
        callouts=tuple(
            _callout(desk, update, callout, number, numbers[callout.frame.name], own, places, is_first=is_first)
            for number, (callout, own, is_first) in enumerate(
                zip(entry.callouts, anchors, _is_first(entry.callouts), strict=True), start=1
            )
            if callout.frame and callout.frame.name in numbers
        ),
    )


def _callout(
    desk: Desk,
    update: SeenUpdate,
    callout: Callout,
    number: int,
    frame: int,
    own: str,
    places: Mapping[str, Sequence[Link]],
    *,
    is_first: bool,
) -> TurntableCallout:
    feature = desk.feature(update, callout.feature) if callout.feature else None
    across, down = callout_point(callout)
    told = places.get(feature.id) if feature else None
    return TurntableCallout(
        id=own,
        number=number,
        frame=frame,
        across=across,
        down=down,
        box=callout.box,
        title=callout_title(feature, callout.feature),
        text_html=markdown_html(callout.text or (_words(update, feature) if feature and is_first else "")),
        told=told[0] if told else None,
    )


def _is_first(callouts: Sequence[Callout]) -> Iterator[bool]:
    """Whether each callout is the first of its feature; a later one does not say the same again."""
    met: set[str] = set()
    for callout in callouts:
        yield not (callout.feature and callout.feature in met)
        met.add(callout.feature or "")


def _words(update: SeenUpdate, feature: FeatureEntry) -> str:
    """What is said of a feature in short: what was done to it this time, else why it is so."""
    worked_on = next((entry for entry in update.record.features if entry.id == feature.id), None)
    return (worked_on.change if worked_on else None) or feature.why or ""


def _anchors(turntable: str, callouts: Sequence[Callout]) -> Iterator[str]:
    """
    Give each callout its stable anchor: its turntable with its `id`, else its feature, else its words; never its place.

    One that is called out on several frames carries the frame as well.
    """
    wanted = [_wanted(callout) for callout in callouts]
    taken: set[str] = set()
    for callout, name in zip(callouts, wanted, strict=True):
        own = base = f"{turntable}-{name}"
        if wanted.count(name) > 1 and callout.frame:
            own = base = f"{base}-{path_digest(callout.frame)}"
        repeat = 1
        while own in taken:
            repeat += 1
            own = f"{base}-{repeat}"
        taken.add(own)
        yield own


def _wanted(callout: Callout) -> str:
    if name := callout.id or callout.feature:
        return anchor(name)
    return "-".join(anchor(plain(callout.text)).split("-")[:_WORDS_IN_ANCHOR]) or "callout"
