"""Clearing the store of made pictures of what no record shows any more."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from buildlog.pages.audience import Audience, see
from buildlog.pages.gallery import photos_shown
from buildlog.photos.store import PictureStore, Progress, Tidied
from buildlog.publish.making import picture_settings
from buildlog.records.workshop import Workshop


def tidy_store(workshop: Workshop, store: Path, on_progress: Callable[[Progress], None] | None = None) -> Tidied:
    """
    Remove every made file that no page needs, neither a public one nor a client's.

    A photo that cannot be read now keeps nothing; its pictures are made again once it can.

    Args:
        workshop: All the records.
        store: The folder of made pictures.
        on_progress: Told as pictures are looked at; one that is missing is made on the way.

    Raises:
        StoreError: Another run is using the store, or the folder may not be changed.
    """
    with PictureStore(store, picture_settings(workshop.record)) as pictures:
        in_use, _ = pictures.make(photos_shown(see(workshop, Audience.CLIENT)), on_progress=on_progress)
        return pictures.tidy(in_use.values())
