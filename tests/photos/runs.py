"""Runs in processes of their own, to be killed, doubled and starved. Each is small, so that many fit a test."""

from __future__ import annotations

import multiprocessing
import multiprocessing.context
import os
import signal
import sys
from collections.abc import Sequence
from pathlib import Path

from buildlog.photos.settings import PictureSettings
from buildlog.photos.store import PictureStore, StoreError

SMALL = PictureSettings(widths=(80, 160, 320, 480), jpeg_width=320)

# A clean process that forks one child for each run: starting an interpreter every time would take most of the time.
_CONTEXT = multiprocessing.get_context("forkserver")
_CONTEXT.set_forkserver_preload(["buildlog.photos.store", "tests.photos.runs"])

FULL = 3
"""Exit status of a run that said that the disk is full."""
OTHER = 4
"""Exit status of a run that could not use its store and said anything else."""


def start(folder: Path, photos: Sequence[Path], *, most_bytes: int | None = None) -> multiprocessing.Process:
    """Begin a run; with `most_bytes`, one that can write no file longer than that, as on a full disk."""
    process = _CONTEXT.Process(target=_run, args=(folder, list(photos), most_bytes))
    process.start()
    return process  # type: ignore[return-value]


def _run(folder: Path, photos: list[Path], most_bytes: int | None) -> None:
    if most_bytes is not None:
        import resource

        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, most_bytes))
    try:
        with PictureStore(folder, SMALL) as store:
            errors = store.make(photos, workers=2)[1]
    except StoreError as error:
        os._exit(FULL if "the disk is full or failing; make room and run again" in str(error) else OTHER)
    sys.exit(1 if errors else 0)
