"""What is shown on a terminal and what goes elsewhere."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

import pytest

from buildlog import console
from buildlog.console import Output, folded, in_words, progress, show_problems, way_in_words
from buildlog.records.problems import Problem, Severity
from buildlog.records.reading import parse_document


class Terminal(io.StringIO):
    """A stream that a person looks at."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        """Say that it is a terminal."""
        return True


@dataclass(frozen=True)
class Step:
    """How far some work is."""

    done: int
    total: int


@pytest.fixture(autouse=True)
def plain_surroundings(monkeypatch):
    """A terminal of 80 columns that knows colours, and nothing that says otherwise."""
    for name in ("NO_COLOR", "FORCE_COLOR", "TTY_COMPATIBLE", "TTY_INTERACTIVE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLUMNS", "80")


@pytest.fixture
def content(tmp_path):
    """A content folder with one record."""
    (tmp_path / "a.yml").write_text(
        "name: Tug\nscale: 1;24   # large\n\tat: [1.3, 0.5]\nview:\nview:\n", encoding="utf-8"
    )
    return tmp_path


def a_problem(line: int, column: int, message: str = "is wrong", *, found: str = "", field: str = "scale", **more):
    """Make a problem of `a.yml`."""
    return Problem(PurePosixPath("a.yml"), line, column, field, message, found, **more)


def on_terminal(problems, content) -> str:
    """Show problems on a terminal, and give its text without colours."""
    stream = Terminal()
    show_problems(Output(stream), problems, content)
    return re.sub(r"\x1b\[[0-9;]*m", "", stream.getvalue())


def test_a_problem_on_a_terminal(content):
    """The line at fault is shown with carets under what was found, and the message below it."""
    shown = on_terminal([a_problem(2, 8, "is no scale; write 1:24", found="1;24")], content)

    assert "  error at 2:8, scale\n    2 │ scale: 1;24   # large\n      │        ^^^^\n    is no scale" in shown


def test_terminals_without_line_drawing(content):
    """Where the encoding has no bar, a plain one is drawn."""
    stream = Terminal()
    stream.encoding = "ascii"

    show_problems(Output(stream), [a_problem(2, 8, found="1;24")], content)

    assert "2 | " in stream.getvalue()
    assert "│" not in stream.getvalue()


def test_a_long_line_is_moved_into_view(tmp_path):
    """The place at fault is seen even when it stands far to the right."""
    (tmp_path / "a.yml").write_text("text: " + "x" * 300 + "HERE" + "y" * 300, encoding="utf-8")

    shown = on_terminal([a_problem(1, 307, found="HERE")], tmp_path)

    excerpt, carets = (line for line in shown.splitlines() if "│" in line)
    assert len(excerpt) <= 80
    assert excerpt.index("HERE") == carets.index("^^^^")


def test_wide_letters_keep_the_caret_in_place(tmp_path):
    """Letters that take two columns are counted as two."""
    (tmp_path / "a.yml").write_text("漢字: x", encoding="utf-8")

    shown = on_terminal([a_problem(1, 5, found="x")], tmp_path)

    assert "1 │ 漢字: x\n      │       ^" in shown


def test_a_problem_of_a_whole_file(tmp_path):
    """Without a line, as for a photo, no excerpt is shown and the file may be missing or no text."""
    (tmp_path / "a.yml").write_bytes(b"\xff\xd8\xff")

    shown = on_terminal([a_problem(0, 0, "is cut short"), a_problem(3, 1, "is odd")], tmp_path)

    assert "is cut short" in shown
    assert "│" not in shown


def test_warnings_that_say_the_same_are_said_once(content):
    """Many keys left open are one warning with their lines; errors are always shown one by one."""
    open_keys = [
        a_problem(line, 1, "is not written", field=f"photos[{line}].view", severity=Severity.WARNING)
        for line in range(4, 24)
    ]

    shown = on_terminal([*open_keys, a_problem(2, 8), a_problem(3, 8)], content)

    assert shown.count("is not written") == 1
    assert "warning at lines 4, 5, 6, 7, 8, 9, 10, 11 and 12 more, view" in shown
    assert shown.count("is wrong") == 2


def test_elsewhere_each_problem_is_one_line(content, monkeypatch):
    """In a log every problem stands whole on one line, however long."""
    monkeypatch.setenv("COLUMNS", "40")
    stream = io.StringIO()

    show_problems(Output(stream), [a_problem(2, 8, "is wrong " * 30)], content)

    assert stream.getvalue().count("\n") == 1
    assert "a.yml:2:8: error: scale: is wrong" in stream.getvalue()


def test_warnings_in_a_few_lines():
    """Where each problem is one line, warnings that say the same of a file are one line together; errors never are."""
    open_keys = [
        a_problem(line, 1, "is not written", field=f"photos[{line}].{key}", severity=Severity.WARNING)
        for line in range(1, 7)
        for key in ("view", "alt")
    ]
    alone = a_problem(9, 2, "is odd", severity=Severity.WARNING)

    lines = folded([*open_keys, alone, a_problem(2, 8), a_problem(3, 8)], Path("content"))

    assert lines == [
        ("content/a.yml: lines 1, 2, 3, 4, 5, 6: view, alt: is not written", 12),
        ("content/a.yml:9:2: scale: is odd", 1),
        ("content/a.yml:2:8: scale: is wrong", 1),
        ("content/a.yml:3:8: scale: is wrong", 1),
    ]


def test_open_keys_are_one_short_line():
    """Keys that were left open are one line for their file: how many places, which keys, which lines."""
    text = "title: x\n" + "".join(f"k{number}:\n" for number in range(10))
    document = parse_document(PurePosixPath("a.yml"), text)

    ((line, number),) = folded(document.problems, Path("content"))

    assert number == 10
    assert line.startswith("content/a.yml: 10 places still to fill in (k0, k1,")
    assert line.endswith("): lines 2, 3, 4, 5, 6, 7, 8, 9 and 2 more")


@pytest.mark.parametrize(
    ("field", "words"),
    [
        pytest.param("photos[0].callouts[1].at", "photos 1, callouts 2, at", id="lists"),
        pytest.param("[0].colour", "entry 1, colour", id="library"),
        pytest.param("subject.kind", "subject, kind", id="keys"),
        pytest.param('hours["two words"]', 'hours, "two words"', id="odd-key"),
        pytest.param("", "", id="whole-file"),
    ],
)
def test_people_count_from_one(field, words):
    """A person is told the first entry as the first; programs get the path as it is."""
    assert way_in_words(field) == words


def test_what_is_accepted_is_said_once(content):
    """What would be accepted is added to a message that does not say it."""
    silent = a_problem(2, 8, "is wrong", accepted="1:24")
    telling = a_problem(2, 8, "is wrong; use 1:24", accepted="1:24")
    stream = io.StringIO()

    show_problems(Output(stream), [silent, telling], content)

    first, second = stream.getvalue().splitlines()
    assert first.endswith("is wrong (accepted: 1:24)")
    assert second.endswith("is wrong; use 1:24")


def test_words_in_brackets_are_not_taken_as_markup():
    """A file name or a key with brackets is printed as it is."""
    stream = io.StringIO()

    Output(stream).say("photos[0].at [red]x[/red] :tug:")

    assert stream.getvalue() == "photos[0].at [red]x[/red] :tug:\n"


@pytest.mark.parametrize(
    ("variable", "has_colour"),
    [pytest.param({}, True, id="plain"), pytest.param({"NO_COLOR": "1"}, False, id="no-colour")],
)
def test_no_color(content, monkeypatch, variable, has_colour):
    """NO_COLOR leaves the words and takes the colours away."""
    for name, value in variable.items():
        monkeypatch.setenv(name, value)
    stream = Terminal()

    show_problems(Output(stream), [a_problem(2, 8)], content)

    assert bool(re.search(r"\x1b\[[0-9;]*3[0-7]m", stream.getvalue())) is has_colour
    assert "is wrong" in stream.getvalue()


def test_short_work_shows_no_progress():
    """Work that is over within a second shows nothing, on a terminal or elsewhere."""
    terminal, log = Terminal(), io.StringIO()

    for stream in (terminal, log):
        with progress(Output(stream), "Reading photos") as step:
            for done in range(1, 4):
                step(Step(done, 3))

    assert terminal.getvalue() == ""
    assert log.getvalue() == ""


def test_long_work_shows_a_bar_on_a_terminal(monkeypatch):
    """After a second a bar says what is done, and it is gone at the end."""
    monkeypatch.setattr(console, "PATIENCE", 0.0)
    stream = Terminal()

    with progress(Output(stream), "Reading photos") as step:
        step(Step(1, 30))
        step(Step(2, 30))

    assert "Reading photos" in stream.getvalue()
    assert "2 of 30" in stream.getvalue()
    assert "a second, about" in stream.getvalue()
    assert stream.getvalue().endswith("\x1b[2K")


def test_long_work_writes_a_line_now_and_then_elsewhere(monkeypatch):
    """In a log there is a line every few seconds and not one for each photo."""
    clock = iter(range(0, 100))
    monkeypatch.setattr(console.time, "monotonic", lambda: float(next(clock)))
    stream = io.StringIO()

    with progress(Output(stream), "Reading photos") as step:
        for done in range(1, 21):
            step(Step(done, 40))

    lines = stream.getvalue().splitlines()
    assert lines[0] == "Reading photos: 5 of 40, 1.0 a second, about 35 s left"
    assert len(lines) == 4


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0.4, "0 s"), (89, "89 s"), (90, "2 min"), (3540, "59 min"), (4800, "1 h 20 min")],
)
def test_durations_in_words(seconds, words):
    """Seconds are given in the unit that suits."""
    assert in_words(seconds) == words
