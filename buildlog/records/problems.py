"""What can be wrong with a record, and how it is said."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import PurePosixPath


class Severity(StrEnum):
    """How much a problem matters to a run."""

    ERROR = "error"
    """The site is not made until this is mended."""
    WARNING = "warning"
    """A doubt; the site is made all the same."""
    REMARK = "remark"
    """Nothing wrong, but something could be added; told by `buildlog check` alone, and never counted."""


def shown(text: str, most: int = 80) -> str:
    """
    Make text that somebody wrote fit to show in a message: on one line, not too long, nothing invisible.

    Args:
        text: As found in a file.
        most: Characters kept; what is left out is marked by an ellipsis.
    """
    if len(text) > most:
        text = text[: most - 1] + "…"
    if text.isprintable():
        return text
    return "".join(map(_visible, text))


def _visible(letter: str) -> str:
    if letter.isprintable():
        return letter
    # A line end or a no-break space is a space to a reader.
    return " " if letter == "\n" or unicodedata.category(letter) == "Zs" else f"\\u{ord(letter):04x}"


@dataclass(frozen=True, order=True)
class Problem:
    """One thing a person must mend, and where."""

    path: PurePosixPath
    """File at fault, relative to the content folder."""
    line: int
    """First line concerned, counting from 1; 0 where the file as a whole is meant."""
    column: int
    """First column concerned, counting from 1; 0 where the line as a whole is meant."""
    field: str
    """Place inside the record, such as `photos[2].callouts[0].at`; empty for the whole file."""
    message: str
    """What is wrong, then what would be right."""
    found: str = ""
    """The value found, as written; empty where the message says it all."""
    accepted: str = ""
    """What would be accepted, in words; empty where the message says it all."""
    severity: Severity = Severity.ERROR

    def __str__(self) -> str:
        """The problem on one line: `builds/heron/build.yml:14:7: scale: …`."""
        place = ":".join([str(self.path), *(str(n) for n in (self.line, self.column) if n)])
        return ": ".join(filter(None, [place, self.field, self.message]))

    def in_file(self, path: PurePosixPath) -> Problem:
        """The same, said of another file or folder as a whole."""
        return replace(self, path=path, line=0, column=0, field="")

    @property
    def is_error(self) -> bool:
        """Whether a run must stop for it."""
        return self.severity is Severity.ERROR


class RecordError(Exception):
    """The workshop's records cannot be used. Carries every problem found."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__(problems)
        self.problems = tuple(problems)

    def __str__(self) -> str:
        return "\n".join(map(str, self.problems))
