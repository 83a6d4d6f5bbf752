"""What one file says against what the others say: references, order, photos and figures."""

from __future__ import annotations

from collections.abc import Iterator

from buildlog.records.problems import Problem
from buildlog.records.sheets import WorkshopSheets


def check_workshop(sheets: WorkshopSheets) -> Iterator[Problem]:
    """Check everything that was read against everything else."""
    yield from ()
