"""What the builder is told of a session's photos, and which view a new photo shows."""

from __future__ import annotations

import statistics
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Literal

from buildlog.photos.camera import OWNER, POSITION
from buildlog.photos.facts import PhotoFacts
from buildlog.photos.likeness import hash_distance, outline_likeness

NEAR_DUPLICATE = 4
SAME_OUTLINE = 0.96
"""
Bits, of 64, by which the hashes of near-duplicates may differ, and the least likeness of their outlines.

On the demo's renderings two frames from a camera that was hardly moved differ by 0 and 2 bits, with a likeness of 0.99.
Either measure alone would not do: bow and stern of a model on a turntable are as alike as 0.97 in outline
(6 bits), and its two quarters differ by 4 bits (likeness 0.93).
"""

BLURRED = 0.25
"""
Share of the median sharpness of a session's other photos below which a photo is called blurred.

On the demo's renderings the frame that is out of focus has 0.1 of it, and the least sharp of the good ones,
which shows a plain smokebox front, 0.4.
"""

SURE = 0.7
"""
Likeness of outlines, of at most 1, below which no view is proposed.

On the demo's renderings photos of a view that was shown before have at least 0.8 with it, photos of a new
view at most 0.68 with any other.
"""

Kind = Literal["near-duplicate", "blurred", "no time", "clock", "carries", "frames"]


@dataclass(frozen=True)
class Finding:
    """Something to look at in a session's photos. None of it stops a run."""

    kind: Kind
    paths: tuple[Path, ...]
    """The photos concerned, in record order."""
    message: str
    """Names the photos by their file names."""


def check_session(facts: Sequence[PhotoFacts]) -> list[Finding]:
    """
    List what is worth a look among one session's photos.

    Args:
        facts: In record order, without the frames of a turntable, which are alike on purpose.
    """
    return [
        *_near_duplicates(facts),
        *_blurred(facts),
        *_without_time(facts),
        *_clock(facts),
        *_carried(facts),
        *_more_frames(facts),
    ]


def _near_duplicates(facts: Sequence[PhotoFacts]) -> list[Finding]:
    groups: list[list[PhotoFacts]] = []
    for photo in facts:
        near = [group for group in groups if any(_alike(photo, other) for other in group)]
        groups = [group for group in groups if group not in near]
        groups.append([*(other for group in near for other in group), photo])
    found = []
    for group in groups:
        if len(group) > 1:
            best = max(group, key=lambda photo: photo.sharpness)
            message = f"{_names(group)} are nearly the same picture; {best.path.name} is the sharpest"
            if len(group) == 2:
                message = f"{_names(group)} are nearly the same picture; {best.path.name} is the sharper"
            found.append(Finding("near-duplicate", _paths(group), message))
    return found


def _alike(one: PhotoFacts, other: PhotoFacts) -> bool:
    return (
        hash_distance(one.perceptual_hash, other.perceptual_hash) <= NEAR_DUPLICATE
        and outline_likeness(one.outline, other.outline) >= SAME_OUTLINE
    )


def _blurred(facts: Sequence[PhotoFacts]) -> list[Finding]:
    found = []
    for photo in facts:
        others = [other.sharpness for other in facts if other is not photo]
        if len(others) < 2:
            continue
        usual = statistics.median(others)
        if photo.sharpness < BLURRED * usual:
            share = photo.sharpness / usual
            message = f"{photo.path.name} is far less sharp than the session's other photos ({share:.0%} of the usual)"
            found.append(Finding("blurred", (photo.path,), message))
    return found


def _without_time(facts: Sequence[PhotoFacts]) -> list[Finding]:
    without = [photo for photo in facts if photo.taken is None]
    if not without:
        return []
    verb = "does" if len(without) == 1 else "do"
    message = f"{_names(without)} {verb} not say when it was taken; its file's time is used for the order"
    if len(without) > 1:
        message = f"{_names(without)} do not say when they were taken; their files' times are used for the order"
    return [Finding("no time", _paths(without), message)]


def _clock(facts: Sequence[PhotoFacts]) -> list[Finding]:
    astray: list[PhotoFacts] = []
    # Times with and without a zone cannot be compared: each kind is looked at by itself.
    for aware in (True, False):
        timed = [(photo, photo.taken) for photo in facts if photo.taken and (photo.taken.tzinfo is not None) == aware]
        kept = _longest_rising([time for _, time in timed])
        astray += [photo for place, (photo, _) in enumerate(timed) if place not in kept]
    if not astray:
        return []
    astray = [photo for photo in facts if photo in astray]
    verb = "was" if len(astray) == 1 else "were"
    message = f"by the camera's clock {_names(astray)} {verb} not taken in this order; check the clock or the order"
    return [Finding("clock", _paths(astray), message)]


def _longest_rising(times: Sequence[datetime]) -> set[int]:
    """Give the places of a longest part of the times that never falls."""
    ends: list[datetime] = []
    places: list[int] = []
    before: list[int] = []
    for place, time in enumerate(times):
        length = bisect_right(ends, time)
        before.append(places[length - 1] if length else -1)
        ends[length : length + 1] = [time]
        places[length : length + 1] = [place]
    kept: set[int] = set()
    place = places[-1] if places else -1
    while place >= 0:
        kept.add(place)
        place = before[place]
    return kept


def _carried(facts: Sequence[PhotoFacts]) -> list[Finding]:
    words = {POSITION: "where they were taken", OWNER: "an owner's name"}
    found = []
    for kind, what in words.items():
        carrying = [photo for photo in facts if kind in photo.carries]
        if carrying:
            verb = "carries" if len(carrying) == 1 else "carry"
            what = "where it was taken" if kind == POSITION and len(carrying) == 1 else what
            message = f"{_names(carrying)} {verb} {what}; it is never published"
            found.append(Finding("carries", _paths(carrying), message))
    return found


def _more_frames(facts: Sequence[PhotoFacts]) -> list[Finding]:
    return [
        Finding("frames", (photo.path,), f"{photo.path.name} holds {photo.frames} pictures; only the first is shown")
        for photo in facts
        if photo.frames > 1
    ]


def _paths(photos: Sequence[PhotoFacts]) -> tuple[Path, ...]:
    return tuple(photo.path for photo in photos)


def _names(photos: Sequence[PhotoFacts]) -> str:
    names = [photo.path.name for photo in photos]
    if len(names) > 6:
        names = [*names[:5], f"{len(names) - 5} more"]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def propose_view(new: PhotoFacts, earlier: Mapping[str, Sequence[PhotoFacts]]) -> tuple[str, float] | None:
    """
    Propose which of a build's views a new photo shows: that of the earlier photo with the most similar outline.

    Args:
        new: A photo of this build.
        earlier: The build's photos so far, by their view.

    Returns:
        The view, and how sure it is (at most 1); None below `SURE`.
    """
    likeness = {
        view: max(outline_likeness(new.outline, photo.outline) for photo in photos)
        for view, photos in earlier.items()
        if photos
    }
    best = max(likeness, key=lambda view: likeness[view], default=None)
    if best is None or likeness[best] < SURE:
        return None
    return best, round(likeness[best], 3)
