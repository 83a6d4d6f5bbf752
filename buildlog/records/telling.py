"""
What has been said so far: who a record is told to, how a later entry adds to an earlier one, and what drafts leave out.

Pages and checks share these rules, so that what passes the checks is also told whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from buildlog.records.models import AudienceWord, BuildRecord, Record, StageRecord
from buildlog.records.sheets import BuildSheets, StageSheet

_RECORD = TypeVar("_RECORD", bound=Record)
_SAID = TypeVar("_SAID")

# --- audiences -------------------------------------------------------------------------------------

_WIDTH = {AudienceWord.DRAFT: 0, AudienceWord.CLIENT: 1, AudienceWord.PUBLIC: 2}


def record_audience(build: BuildRecord, record: StageRecord) -> AudienceWord:
    """The audience of a record: its build's, which it may narrow and never widens."""
    return min(build.audience, record.audience or AudienceWord.PUBLIC, key=_WIDTH.__getitem__)


def no_wider_than(audience: AudienceWord) -> tuple[AudienceWord, ...]:
    """The audiences that a record of a build may have, the build's own among them; narrowest first."""
    return tuple(word for word in _WIDTH if _WIDTH[word] <= _WIDTH[audience])


# --- later entries over earlier ones ---------------------------------------------------------------

_GROWING = {"parts": "id", "paints": None, "measures": "what", "features": None, "pictures": None}
"""Lists that a later record adds to, and by what their entries are told apart."""


def merged(known: _RECORD | None, entry: _RECORD) -> _RECORD:
    """
    Put what a later entry says over what was said before.

    A list that grows keeps what it had and gets what is new; an entry that is named again, such as a part with another
    count, takes the place of the earlier one.

    Args:
        known: What was said before; `None` where nothing was.
        entry: What is said now; keys that are not written in it change nothing.
    """
    if known is None:
        return entry
    update: dict[str, Any] = {}
    for name in entry.model_fields_set:
        value = getattr(entry, name)
        if name in _GROWING:
            key = _GROWING[name]
            new = {getattr(item, key) if key else item for item in value}
            kept = tuple(item for item in getattr(known, name) if (getattr(item, key) if key else item) not in new)
            value = kept + tuple(value)
        if value is not None:
            update[name] = value
    return known.model_copy(update=update)


# --- the order in which a build is told ------------------------------------------------------------


@dataclass(frozen=True)
class Turn:
    """One record in the order of time, and which of the records before it bear on it."""

    stage: StageSheet
    record: StageRecord
    after_drafts: bool
    """Whether what drafts said before counts for it: it is a draft itself, or may be one."""
    is_told: bool
    """Whether what it says counts for later records that are no drafts."""


def in_turn(build: BuildSheets) -> tuple[Turn, ...]:
    """
    The records of a build whose date can be relied on, by date.

    The records that are no drafts are one history, for nobody but the builder reads the drafts between them; each draft
    stands on top of all that was written before it. The records of a build that is a draft are one history as well, and
    so is all whose audience could not be understood.
    """
    one_history = (
        build.build.record is None or build.build.lacks("audience") or build.build.record.audience is AudienceWord.DRAFT
    )
    return tuple(
        Turn(
            stage,
            record,
            after_drafts=one_history or stage.sheet.lacks("audience") or record.audience is AudienceWord.DRAFT,
            is_told=one_history or stage.sheet.lacks("audience") or record.audience is not AudienceWord.DRAFT,
        )
        for stage, record in build.in_time
    )


class SoFar(Generic[_SAID]):
    """What was said so far of each id, by all the records and by those that are no drafts."""

    def __init__(self, turns: Sequence[Turn]) -> None:
        self.by_all: dict[str, _SAID] = {}
        self._told: dict[str, _SAID] = self.by_all if all(turn.is_told for turn in turns) else {}

    def before(self, turn: Turn) -> dict[str, _SAID]:
        """What counts for a record."""
        return self.by_all if turn.after_drafts else self._told

    def after(self, turn: Turn) -> Iterator[dict[str, _SAID]]:
        """Where what a record says is to be noted."""
        yield self.by_all
        if turn.is_told and self._told is not self.by_all:
            yield self._told
