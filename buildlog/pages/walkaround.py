"""The walkaround: each picture of a record with its callouts."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import PurePosixPath

from buildlog.pages.audience import SeenUpdate
from buildlog.pages.desk import Desk, feature_name
from buildlog.pages.features import made_links, measure_view, outcome_marks, paint_links
from buildlog.pages.gallery import Shot, shot_alt
from buildlog.pages.plate_layout import margin_orders
from buildlog.pages.pointing import pointing
from buildlog.pages.text import anchor, inline_html, markdown_html, plain, sentence
from buildlog.pages.views import CalloutView, Link, Plate
from buildlog.records.models import Callout, FeatureEntry
from buildlog.words import OWN_ANCHORS

_WORDS_IN_ANCHOR = 6


def plates(desk: Desk, update: SeenUpdate, introduced: frozenset[str]) -> tuple[Plate, ...]:
    """
    The pictures of an update in its order. A feature shown on several of them is told in full on the first.

    Args:
        introduced: Ids of the features this update introduces; their callouts say why they were made so.
    """
    shots = desk.gallery.shots(desk.build.build, update.record)
    teller = _Teller(desk, update, callout_anchors(shots), introduced)
    return tuple(
        _plate(desk, update, shot, number, teller.callouts(shot, number)) for number, shot in enumerate(shots, start=1)
    )


def _plate(desk: Desk, update: SeenUpdate, shot: Shot, number: int, callouts: tuple[CalloutView, ...]) -> Plate:
    document = desk.documents.get(update.update.path)
    picture = desk.gallery.picture(desk.build.build, shot.path, sentence(shot_alt(desk.build.build, shot)))
    return Plate(
        id=plate_anchor(shot.path),
        number=number,
        picture=picture,
        view=shot.view,
        caption_html=inline_html(shot.caption),
        callouts=callouts,
        orders=margin_orders(picture, callouts),
        pointing=pointing(document, shot) if document else None,
    )


def plate_anchor(path: PurePosixPath) -> str:
    """A picture's anchor: made from its name, but telling nothing of it."""
    return f"picture-{path_digest(path)}"


def path_digest(path: PurePosixPath) -> str:
    """Eight signs that stand for a path in anchors, and tell nothing of it."""
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
        own = base = f"{name}-{path_digest(path)}"
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
        wanted = anchor(callout.id or callout.feature or "")
    else:
        wanted = "-".join(anchor(plain(callout.text)).split("-")[:_WORDS_IN_ANCHOR]) or "callout"
    return f"callout-{wanted}" if wanted.startswith(OWN_ANCHORS) else wanted


def callout_point(callout: Callout) -> tuple[float, float]:
    """The point a leader leads to, as shares of the picture: the point itself, or a region's middle."""
    if callout.at:
        return callout.at
    assert callout.box is not None  # noqa: S101 - the model lets nothing through without a place
    return callout.box.left + callout.box.width / 2, callout.box.top + callout.box.height / 2


class _Teller:
    """Tells the callouts of a page, one picture after the other."""

    def __init__(
        self,
        desk: Desk,
        update: SeenUpdate,
        anchors: Mapping[tuple[PurePosixPath, int], tuple[str, ...]],
        introduced: frozenset[str],
    ) -> None:
        self._desk = desk
        self._update = update
        self._anchors = anchors
        self._introduced = introduced
        self._told: dict[str, Link] = {}
        """Features told in full so far, and where."""

    def callouts(self, shot: Shot, plate: int) -> tuple[CalloutView, ...]:
        """The callouts of one picture, in the record's order."""
        return tuple(
            self._callout(callout, index + 1, self._anchors[shot.path, index], plate)
            for index, callout in enumerate(shot.callouts)
        )

    def _callout(self, callout: Callout, number: int, anchors: tuple[str, ...], plate: int) -> CalloutView:
        desk, update = self._desk, self._update
        feature = desk.feature(update, callout.feature) if callout.feature else None
        across, down = callout_point(callout)
        title = callout_title(feature, callout.feature)
        where = f"{desk.update_address(update)}#{anchors[0]}"
        told = self._told.get(feature.id) if feature else None
        is_twin = feature is not None and callout.feature != feature.id
        in_full = feature is not None and told is None
        if feature and in_full:
            self._told[feature.id] = Link(f"In full at picture {plate}", where)
        words = self._words(callout, feature) if told is None else filter(None, [callout.text])
        return CalloutView(
            id=anchors[0],
            also=anchors[1:],
            number=number,
            across=across,
            down=down,
            box=callout.box,
            title=title,
            text_html="".join(map(markdown_html, words)),
            made=self._made(feature, is_twin, in_full) if feature else (),
            measures=tuple(measure_view(desk, one) for one in feature.measures) if feature and in_full else (),
            marks=tuple(mark for mark, _ in outcome_marks(desk, update, feature.id)) if feature else (),
            ask=desk.ask(
                f"{desk.build.record.name}, {update.record.title}: {(title or plain(callout.text))[:80]}", where
            ),
            told=told,
        )

    def _made(self, feature: FeatureEntry, is_twin: bool, in_full: bool) -> tuple[Link, ...]:
        """How a feature was made; of a twin whose fellow has been told, only the paints that differ."""
        if in_full:
            return made_links(self._desk, feature, is_twin)
        return paint_links(self._desk, feature.mirrored.paints) if is_twin and feature.mirrored else ()

    def _words(self, callout: Callout, feature: FeatureEntry | None) -> Iterator[str]:
        """What a callout says: its own words, what was done to its feature this time, and once, why it is so."""
        if callout.text:
            yield callout.text
        if feature is None:
            return
        told = next((entry for entry in self._update.record.features if entry.id == feature.id), None)
        change = told.change if told else None
        if change:
            yield change
        if feature.id in self._introduced or not (callout.text or change):
            if feature.replaces:
                yield f"In place of {feature.replaces}."
            if feature.why:
                yield feature.why


def callout_title(feature: FeatureEntry | None, name: str | None) -> str:
    """A callout's heading: its feature's name, or the mirrored twin's."""
    if feature is None:
        return ""
    if feature.mirrored and feature.mirrored.id == name and feature.mirrored.name:
        return feature.mirrored.name
    return feature_name(feature)


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
