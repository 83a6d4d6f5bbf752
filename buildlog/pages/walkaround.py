"""The walkaround: each picture of a record with its callouts."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from pathlib import PurePosixPath

from buildlog.pages.audience import SeenUpdate
from buildlog.pages.desk import Desk, feature_name
from buildlog.pages.features import made_links, measure_view, outcome_marks
from buildlog.pages.gallery import Shot, shot_alt, turntable_frames
from buildlog.pages.text import anchor, inline_html, markdown_html, plain, sentence
from buildlog.pages.views import CalloutView, Link, Plate, TurntableView
from buildlog.records.models import Callout, FeatureEntry, TurntableEntry

_WORDS_IN_ANCHOR = 6


def plates(desk: Desk, update: SeenUpdate, introduced: frozenset[str]) -> tuple[Plate, ...]:
    """
    The pictures of an update in its order.

    Args:
        introduced: Ids of the features this update introduces; their callouts say why they were made so.
    """
    shots = desk.gallery.shots(desk.build.build, update.record)
    anchors = callout_anchors(shots)
    return tuple(_plate(desk, update, shot, number, anchors, introduced) for number, shot in enumerate(shots, start=1))


def _plate(
    desk: Desk,
    update: SeenUpdate,
    shot: Shot,
    number: int,
    anchors: Mapping[tuple[PurePosixPath, int], tuple[str, ...]],
    introduced: frozenset[str],
) -> Plate:
    sides = margin_sides(shot.callouts)
    return Plate(
        id=_plate_anchor(shot.path),
        number=number,
        picture=desk.gallery.picture(desk.build.build, shot.path, sentence(shot_alt(desk.build.build, shot))),
        view=shot.view,
        caption_html=inline_html(shot.caption),
        callouts=tuple(
            _callout(desk, update, callout, index + 1, anchors[shot.path, index], sides[index], introduced)
            for index, callout in enumerate(shot.callouts)
        ),
    )


def _plate_anchor(path: PurePosixPath) -> str:
    """A picture's anchor: made from its name, but telling nothing of it."""
    return f"picture-{_digest(path)}"


def _digest(path: PurePosixPath) -> str:
    return hashlib.sha256(str(path).encode()).hexdigest()[:8]


def callout_anchors(shots: Iterable[Shot]) -> dict[tuple[PurePosixPath, int], tuple[str, ...]]:
    """
    Give each callout of a page its stable anchor: its `id`, else its feature, else its words; never its position.

    What is called out on several pictures carries its picture in the anchor, and the first of them answers to the short
    one as well.

    Returns:
        For each picture and index of a callout on it, its anchor and then any further ones.
    """
    wanted = [
        ((shot.path, index), _wanted_anchor(callout)) for shot in shots for index, callout in enumerate(shot.callouts)
    ]
    often = Counter(name for _, name in wanted)
    taken: set[str] = set(often)
    anchors: dict[tuple[PurePosixPath, int], tuple[str, ...]] = {}
    met: set[str] = set()
    for (path, index), name in wanted:
        if often[name] == 1:
            anchors[path, index] = (name,)
            continue
        own = base = f"{name}-{_digest(path)}"
        repeat = 1
        while own in taken:
            repeat += 1
            own = f"{base}-{repeat}"
        taken.add(own)
        anchors[path, index] = (own,) if name in met else (own, name)
        met.add(name)
    return anchors


def _wanted_anchor(callout: Callout) -> str:
    if callout.id or callout.feature:
        return anchor(callout.id or callout.feature or "")
    words = anchor(plain(callout.text)).split("-")
    return "-".join(words[:_WORDS_IN_ANCHOR]) or "callout"


def callout_point(callout: Callout) -> tuple[float, float]:
    """The point a leader leads to, as shares of the picture: the point itself, or a region's middle."""
    if callout.at:
        return callout.at
    assert callout.box is not None  # noqa: S101 - the model lets nothing through without a place
    return callout.box.left + callout.box.width / 2, callout.box.top + callout.box.height / 2


def margin_sides(callouts: Sequence[Callout]) -> list[str]:
    """The margin each callout's words stand in: the left half of the points to the left, the rest to the right."""
    if len(callouts) == 1:
        return ["left" if callout_point(callouts[0])[0] < 0.5 else "right"]
    by_place = sorted(range(len(callouts)), key=lambda index: callout_point(callouts[index]))
    left = set(by_place[: len(callouts) // 2])
    return ["left" if index in left else "right" for index in range(len(callouts))]


def _callout(
    desk: Desk,
    update: SeenUpdate,
    callout: Callout,
    number: int,
    anchors: tuple[str, ...],
    side: str,
    introduced: frozenset[str],
) -> CalloutView:
    feature = desk.feature(update, callout.feature) if callout.feature else None
    across, down = callout_point(callout)
    title = _title(feature, callout.feature)
    about = title or plain(callout.text)
    where = f"{desk.update_address(update)}#{anchors[0]}"
    is_twin = feature is not None and callout.feature != feature.id
    return CalloutView(
        id=anchors[0],
        also=anchors[1:],
        number=number,
        across=across,
        down=down,
        box=callout.box,
        title=title,
        text_html="".join(markdown_html(text) for text in _words(update, callout, feature, introduced)),
        made=made_links(desk, feature, is_twin) if feature else (),
        measures=tuple(measure_view(desk, measure) for measure in feature.measures) if feature else (),
        marks=tuple(mark for mark, _ in outcome_marks(desk, update, feature.id)) if feature else (),
        side="left" if side == "left" else "right",
        ask=desk.ask(f"{desk.build.record.name}, {update.record.title}: {about[:80]}", where),
    )


def _title(feature: FeatureEntry | None, name: str | None) -> str:
    """A callout's heading: its feature's name, or the mirrored twin's."""
    if feature is None:
        return ""
    if feature.mirrored and feature.mirrored.id == name and feature.mirrored.name:
        return feature.mirrored.name
    return feature_name(feature)


def _words(
    update: SeenUpdate, callout: Callout, feature: FeatureEntry | None, introduced: frozenset[str]
) -> Iterable[str]:
    """What a callout says: its own words, what was done to its feature this time, and once, why it was made so."""
    if callout.text:
        yield callout.text
    if feature is None:
        return
    told = next((entry for entry in update.record.features if entry.id == feature.id), None)
    if told and told.change:
        yield told.change
    if feature.id in introduced or (not callout.text and not (told and told.change)):
        if feature.replaces:
            yield f"In place of {feature.replaces}."
        if feature.why:
            yield feature.why


def turntables(desk: Desk, update: SeenUpdate) -> tuple[TurntableView, ...]:
    """The turntables of an update."""
    return tuple(turntable(desk, entry) for entry in update.record.photos if isinstance(entry, TurntableEntry))


def turntable(desk: Desk, entry: TurntableEntry) -> TurntableView:
    """A folder of frames around the model."""
    alt = entry.alt or plain(entry.caption) or f"{desk.build.record.name}, turned through a circle"
    frames = turntable_frames(desk.build.build, entry)
    return TurntableView(
        id=f"turntable-{_digest(entry.turntable)}",
        frames=tuple(
            desk.gallery.picture(desk.build.build, path, f"{alt} Frame {number} of {len(frames)}.")
            for number, path in enumerate(frames, start=1)
        ),
        caption_html=inline_html(entry.caption),
        alt=alt,
    )


def callout_places(desk: Desk, update: SeenUpdate, shown: Sequence[Plate]) -> Mapping[str, tuple[Link, ...]]:
    """Where each feature is called out on an update's pictures."""
    places: dict[str, list[Link]] = {}
    shots = desk.gallery.shots(desk.build.build, update.record)
    for plate, shot in zip(shown, shots, strict=True):
        for view, callout in zip(plate.callouts, shot.callouts, strict=True):
            feature = desk.feature(update, callout.feature) if callout.feature else None
            if feature:
                words = sentence(plate.view) or f"Picture {plate.number}"
                places.setdefault(feature.id, []).append(Link(words, f"{desk.update_address(update)}#{view.id}"))
    return {key: tuple(links) for key, links in places.items()}
