"""The same view at several times: before and after, and the strip of a viewpoint through all stages."""

from __future__ import annotations

from collections.abc import Iterator

from buildlog.pages.audience import SeenUpdate
from buildlog.pages.desk import Desk
from buildlog.pages.gallery import shot_alt
from buildlog.pages.text import anchor, sentence
from buildlog.pages.views import Comparison, Viewpoint, ViewpointShot
from buildlog.pages.walkaround import plate_anchor


def viewpoints(desk: Desk) -> tuple[Viewpoint, ...]:
    """The same view through time, in the order of the build's views; views with one picture are no comparison."""
    shots: dict[str, list[ViewpointShot]] = {view: [] for view in desk.build.record.views}
    for update in desk.build.updates:
        for view, shot in _shots(desk, update):
            shots.setdefault(view, []).append(shot)
    return tuple(
        Viewpoint(f"view-{anchor(view) or index}", view, tuple(found))
        for index, (view, found) in enumerate(shots.items(), start=1)
        if len(found) > 1
    )


def comparisons(desk: Desk, update: SeenUpdate) -> tuple[Comparison, ...]:
    """
    An update's picture of each view beside the newest one that this reader saw in an earlier update.

    In the order of the build's views, then of the update's pictures. Where an update has a view twice, its first
    picture stands for it.
    """
    after = _first_of_each(desk, update)
    before: dict[str, ViewpointShot] = {}
    for earlier in desk.build.updates[: update.number - 1]:
        before |= _first_of_each(desk, earlier)
    order = dict.fromkeys((*desk.build.record.views, *after))
    return tuple(
        Comparison(f"~compared-{anchor(view) or index}", view, before[view], after[view])
        for index, view in enumerate(order, start=1)
        if view in after and view in before
    )


def _first_of_each(desk: Desk, update: SeenUpdate) -> dict[str, ViewpointShot]:
    """The first picture of each view in an update."""
    found: dict[str, ViewpointShot] = {}
    for view, shot in _shots(desk, update):
        found.setdefault(view, shot)
    return found


def _shots(desk: Desk, update: SeenUpdate) -> Iterator[tuple[str, ViewpointShot]]:
    """The pictures of an update that belong to a view, in its order."""
    build = desk.build.build
    for shot in desk.gallery.shots(build, update.record):
        if shot.view:
            yield (
                shot.view,
                ViewpointShot(
                    picture=desk.gallery.picture(build, shot.path, sentence(shot_alt(build, shot))),
                    stage=build.stage_names.get(update.record.stage, update.record.stage),
                    day=update.update.day,
                    address=f"{desk.update_address(update)}#{plate_anchor(shot.path)}",
                ),
            )
