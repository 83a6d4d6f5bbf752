"""How many of a part a build takes."""

from __future__ import annotations

from collections.abc import Iterable


def how_many(uses: Iterable[tuple[int, bool]]) -> int:
    """
    Count a part over everything it is used for, in pieces.

    Args:
        uses: For each feature, how many it takes and whether it is mirrored; a mirrored one takes as many again for its
            other side.
    """
    return sum(2 * count if mirrored else count for count, mirrored in uses)
