"""What the builder is told of a session's photos, and which view a new photo shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from buildlog.photos.facts import PhotoFacts

Kind = Literal["near-duplicate", "blurred", "no time", "clock", "position", "owner", "frames"]


@dataclass(frozen=True)
class Finding:
    """Something to look at in a session's photos. None of it stops a run."""

    kind: Kind
    paths: tuple[Path, ...]
    """The photos concerned, in record order."""
    message: str


def check_session(facts: Sequence[PhotoFacts]) -> list[Finding]:
    """List what is worth a look among one session's photos, given in record order."""
    return []


def propose_view(new: PhotoFacts, earlier: Mapping[str, Sequence[PhotoFacts]]) -> tuple[str, float] | None:
    """Propose which of a build's views a new photo shows."""
    return None
