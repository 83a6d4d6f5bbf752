"""
What the command shows a person, and how.

On a terminal: colour, excerpts, a progress bar. Elsewhere (a file, a pipe, a continuous-integration log): plain lines,
one for each thing said. `NO_COLOR` is honoured everywhere.
"""

from __future__ import annotations

import json
import re
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from itertools import groupby
from pathlib import Path
from typing import IO, TYPE_CHECKING, Protocol

from rich.console import Console
from rich.text import Text

if TYPE_CHECKING:
    from buildlog.records.problems import Problem

PATIENCE = 1.0
"""Seconds of work before a progress bar appears on a terminal."""
LINE_EVERY = 5.0
"""Seconds between two progress lines elsewhere."""
_MOST_LINES_NAMED = 8
"""Line numbers that are spelled out where one warning holds for many lines."""


class Step(Protocol):
    """How far a piece of work is, as the picture store tells it."""

    @property
    def done(self) -> int:
        """How many are done."""

    @property
    def total(self) -> int:
        """How many there are."""


class Output:
    """
    One stream and how it is written to.

    Every text passes as it is: nothing in it is read as markup, and nothing is highlighted by guesswork.
    """

    def __init__(self, stream: IO[str]) -> None:
        self.stream = stream
        self.console = Console(file=stream, highlight=False, markup=False, emoji=False)

    @property
    def is_terminal(self) -> bool:
        """Whether a person is looking at it, and not a file or another program."""
        return self.console.is_terminal

    def say(self, *words: str | tuple[str, str], indent: int = 0) -> None:
        """
        Write a paragraph; on a terminal it is wrapped at words.

        Args:
            words: Texts, or texts with a style.
            indent: Columns.
        """
        text = Text.assemble(*words)
        lines = text.wrap(self.console, self.console.width - indent) if self.is_terminal else [text]
        for line in lines:
            line.rstrip()
            self.console.print(Text(" " * indent) + line, soft_wrap=True)

    def fixed(self, *words: str | tuple[str, str]) -> None:
        """Write one line that is never wrapped; on a terminal it is cut at the edge."""
        text = Text.assemble(*words)
        if self.is_terminal:
            self.console.print(text, no_wrap=True, overflow="crop", crop=True)
        else:
            self.console.print(text, soft_wrap=True)

    def blank(self) -> None:
        """Write an empty line, on a terminal only."""
        if self.is_terminal:
            self.console.print()


def out() -> Output:
    """Give the stream for what a command was asked for."""
    return Output(sys.stdout)


def err() -> Output:
    """Give the stream for what went wrong and for progress."""
    return Output(sys.stderr)


# --- problems ------------------------------------------------------------------------------------


def count(number: int, one: str, many: str | None = None) -> str:
    """Say how many: `1 error`, `2 errors`, `1,204 pictures`."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def problems_as_json(problems: Iterable[Problem], content: Path) -> str:
    """Write problems for an editor: a list of objects, with paths that hold from the current folder."""
    return json.dumps(
        [
            {
                "file": _shown_path(content, problem),
                "line": problem.line,
                "column": problem.column,
                "key": problem.field,
                "message": problem.message,
                "found": problem.found,
                "accepted": problem.accepted,
                "severity": problem.severity.value,
            }
            for problem in problems
        ],
        ensure_ascii=False,
        indent=2,
    )


def show_problems(output: Output, problems: Sequence[Problem], content: Path) -> None:
    """
    Show problems: on a terminal grouped by file with the line at fault, elsewhere one line each.

    Warnings that say the same of many lines of a file are said once.

    Args:
        output: Where to.
        problems: Sorted by path and line.
        content: The folder their paths start from.
    """
    for _, group in groupby(problems, key=lambda problem: problem.path):
        of_file = list(group)
        if not output.is_terminal:
            for problem in of_file:
                output.fixed(_on_one_line(problem, content))
            continue
        output.say((_shown_path(content, of_file[0]), "bold underline"))
        source = _source_lines(content / of_file[0].path)
        for alike in _alike(of_file):
            output.blank()
            _show_on_terminal(output, alike, source)
        output.blank()


def show_remarks(output: Output, remarks: Sequence[Problem], content: Path) -> None:
    """
    List what could be added, one line each, the same thing said of several places once.

    Args:
        output: Where to.
        remarks: Sorted by path and line.
        content: The folder their paths start from.
    """
    for message, group in groupby(sorted(remarks, key=lambda remark: remark.message), key=lambda it: it.message):
        of_kind = list(group)
        what, _, remedy = message.partition("; ")
        times = f", {len(of_kind)} times" if len(of_kind) > 1 else ""
        output.say(("Worth a look: ", "bold"), f"{what}{times}. {remedy[:1].upper()}{remedy[1:]}.")
        for remark in of_kind[:_MOST_LINES_NAMED]:
            output.fixed(f"  {_shown_path(content, remark)}:{remark.line}: {remark.found}")
        if len(of_kind) > _MOST_LINES_NAMED:
            output.say(f"  and {len(of_kind) - _MOST_LINES_NAMED} more; buildlog check --json lists them all")
        output.blank()


def folded(problems: Iterable[Problem], content: Path) -> list[tuple[str, int]]:
    """
    Put problems on one line each; warnings that say the same of many lines of a file are one line together.

    Args:
        problems: Sorted by path and line.
        content: The folder their paths start from.

    Returns:
        Each line, and how many problems it tells of, so that all who count them come to the same number.
    """
    groups: dict[object, list[Problem]] = {}
    for number, problem in enumerate(problems):
        groups.setdefault(number if problem.is_error else (problem.path, problem.message), []).append(problem)
    return [
        (in_one_line(alike[0], content) if len(alike) == 1 else _for_many_lines(alike, content), len(alike))
        for alike in groups.values()
    ]


def in_one_line(problem: Problem, content: Path) -> str:
    """Write a problem on one line, its file named as it can be opened from the current folder."""
    place = ":".join([_shown_path(content, problem), *(str(n) for n in (problem.line, problem.column) if n)])
    return ": ".join(filter(None, [place, way_in_words(problem.field), problem.message]))


def way_in_words(field: str) -> str:
    """Write the way to a key for a person, who counts from 1: `photos 1, callouts 2, at`."""
    words: list[str] = []
    for step in _STEPS.findall(field):
        if step.startswith("[") and step[1:-1].isdecimal():
            words.append(f"{words.pop() if words else 'entry'} {int(step[1:-1]) + 1}")
        else:
            words.append(step.removeprefix("[").removesuffix("]"))
    return ", ".join(words)


_STEPS = re.compile(r'\[\d+\]|\["[^"]*"\]|[^.\[\]]+')


def _for_many_lines(alike: Sequence[Problem], content: Path) -> str:
    path, lines = _shown_path(content, alike[0]), f"lines {_line_numbers(alike)}"
    keys = ", ".join(dict.fromkeys(problem.field.rpartition(".")[2] for problem in alike if problem.field))
    if "counts as not written" in alike[0].message:
        return f"{path}: {len(alike)} places still to fill in ({keys}): {lines}"
    return ": ".join(filter(None, [path, lines, keys, alike[0].message]))


def _line_numbers(alike: Sequence[Problem]) -> str:
    lines = list(dict.fromkeys(str(problem.line) for problem in alike))
    more = f" and {len(lines) - _MOST_LINES_NAMED} more" if len(lines) > _MOST_LINES_NAMED else ""
    return ", ".join(lines[:_MOST_LINES_NAMED]) + more


def summary_of(problems: Sequence[Problem]) -> str:
    """Count errors and warnings in words: `3 errors and 1 warning in 2 files`."""
    errors = sum(problem.is_error for problem in problems)
    warnings = len(problems) - errors
    counted = [count(number, word) for number, word in ((errors, "error"), (warnings, "warning")) if number]
    files = len({problem.path for problem in problems})
    return f"{' and '.join(counted)} in {count(files, 'file')}"


def _shown_path(content: Path, problem: Problem) -> str:
    """Give a path that can be opened from the current folder, with `/` on every system."""
    path = content / problem.path
    try:
        return path.absolute().relative_to(Path.cwd()).as_posix()
    except ValueError:
        return path.as_posix()


def _on_one_line(problem: Problem, content: Path) -> str:
    place = ":".join([_shown_path(content, problem), *(str(n) for n in (problem.line, problem.column) if n)])
    said = [place, problem.severity.value, way_in_words(problem.field), _whole_message(problem)]
    return ": ".join(filter(None, said))


def _whole_message(problem: Problem) -> str:
    """Join what is accepted to a message that does not say it already."""
    message = problem.message
    if not problem.accepted or problem.accepted.casefold() in message.casefold() or _SAYS_WHAT_TO_DO.search(message):
        return message
    return f"{message} (accepted: {problem.accepted})"


_SAYS_WHAT_TO_DO = re.compile(r"\b(write|use|begin|put)\b")


def _alike(problems: Sequence[Problem]) -> list[list[Problem]]:
    """Gather warnings that say the same of the same key, wherever in the file they stand."""
    groups: dict[object, list[Problem]] = {}
    for number, problem in enumerate(problems):
        key = number if problem.is_error else (problem.field.rpartition(".")[2], problem.message)
        groups.setdefault(key, []).append(problem)
    return list(groups.values())


def _show_on_terminal(output: Output, alike: Sequence[Problem], source: Sequence[str]) -> None:
    first = alike[0]
    tone = "bold red" if first.is_error else "bold yellow"
    if len(alike) > 1:
        key = first.field.rpartition(".")[2]
        output.say("  ", (first.severity.value, tone), f" at lines {_line_numbers(alike)}", *_key(key))
    else:
        place = f" at {first.line}:{first.column}" if first.column else f" at line {first.line}" if first.line else ""
        output.say("  ", (first.severity.value, tone), place, *_key(way_in_words(first.field)))
        _show_excerpt(output, first, source)
    output.say(_whole_message(first), indent=4)


def _key(field: str) -> tuple[str | tuple[str, str], ...]:
    return (", ", (field, "bold")) if field else ()


def _show_excerpt(output: Output, problem: Problem, source: Sequence[str]) -> None:
    """Show the line at fault with a caret under what was found, shifted left where it would run off the terminal."""
    if not 0 < problem.line <= len(source):
        return
    text = source[problem.line - 1].expandtabs(1).rstrip()
    if not text:
        return
    bar = "│" if output.console.encoding.lower().startswith("utf") else "|"
    number = str(problem.line)
    room = max(20, output.console.width - len(number) - 8)
    start = max(0, problem.column - 1)
    shift = max(0, start - room * 2 // 3) if len(text) > room else 0
    shown = text[shift : shift + room]
    output.fixed("    ", (f"{number} {bar} ", "dim"), shown)
    if problem.column:
        width = len(problem.found) if problem.found and text[start : start + len(problem.found)] == problem.found else 1
        width = max(1, min(width, room - (start - shift)))
        pad = Text(shown[: start - shift]).cell_len
        tone = "red" if problem.is_error else "yellow"
        output.fixed("    ", (f"{' ' * len(number)} {bar} ", "dim"), " " * pad, ("^" * width, tone))


def _source_lines(path: Path) -> list[str]:
    try:
        return path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError):
        return []


# --- progress ------------------------------------------------------------------------------------


@contextmanager
def progress(output: Output, what: str) -> Iterator[Callable[[Step], None]]:
    """
    Show how far a piece of work is.

    On a terminal a bar appears once the work has taken a second and goes away at its end; elsewhere a line is written
    every few seconds. Work that is over sooner shows nothing.

    Args:
        output: Where to.
        what: Such as `Pictures`.
    """
    if output.is_terminal:
        with _bar(output, what) as step:
            yield step
    else:
        yield _Lines(output, what)


@contextmanager
def _bar(output: Output, what: str) -> Iterator[Callable[[Step], None]]:
    from rich.progress import BarColumn, Progress, TextColumn

    bar = Progress(
        TextColumn("{task.description}"),
        BarColumn(bar_width=None, complete_style="blue", finished_style="blue"),
        TextColumn("{task.fields[told]}"),
        console=output.console,
        transient=True,
        expand=True,
    )
    task = bar.add_task(what, total=None, told="")
    began = time.monotonic()

    def step(at: Step) -> None:
        seconds = time.monotonic() - began
        bar.update(task, completed=at.done, total=at.total, told=_how_far(at, seconds))
        if at.done >= at.total:
            bar.stop()
        elif not bar.live.is_started and seconds > PATIENCE:
            bar.start()

    try:
        yield step
    finally:
        bar.stop()


def _how_far(at: Step, seconds: float) -> str:
    """Say how much is done, how fast it goes, and how long the rest will take at that speed."""
    said = f"{at.done:,} of {at.total:,}"
    if not at.done or seconds <= 0:
        return said
    left = seconds / at.done * (at.total - at.done)
    return f"{said}, {at.done / seconds:.1f} a second, about {in_words(left)} left"


class _Lines:
    """Progress as plain lines, every few seconds."""

    def __init__(self, output: Output, what: str) -> None:
        self.output = output
        self.what = what
        self.began = self.last = time.monotonic()

    def __call__(self, at: Step) -> None:
        """Write a line if the last is long enough ago."""
        now = time.monotonic()
        if now - self.last < LINE_EVERY or not at.done:
            return
        self.last = now
        self.output.say(f"{self.what}: {_how_far(at, now - self.began)}")


def in_words(seconds: float) -> str:
    """Say how long: `40 s`, `3 min`, `1 h 20 min`."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60} min"
