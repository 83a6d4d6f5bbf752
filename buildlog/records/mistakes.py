"""What is wrong with the writing of a YAML file, in words for a person who does not know YAML."""

from __future__ import annotations

import re
from collections.abc import Callable

import yaml

from buildlog.records.problems import shown

_QUOTES = "put the words in quotes or on lines of their own"


def explain(error: Exception, text: str) -> tuple[int, str]:
    """
    Say in plain words what a YAML parser stumbled on.

    Returns:
        The character's index in the text, and what is wrong and what would be right.
    """
    if not isinstance(error, yaml.MarkedYAMLError):
        return int(getattr(error, "position", 0) or 0), "holds a character that text files do not have; delete it"
    mark = error.problem_mark or error.context_mark
    index = mark.index if mark else 0
    context_mark = error.context_mark
    start = context_mark.index if context_mark else index
    problem = error.problem or ""
    context = error.context or ""
    flow = "flow" in context
    if cut := _comment_that_cuts(text, start if flow else index, index):
        return cut
    if not flow and (glued := _dash_without_space(text, index)):
        return glued
    if "quoted scalar" in context and "end of stream" in problem:
        return start, _quote_never_closed(text, start)
    if "escape" in problem:
        return (
            index,
            'a backslash in double quotes is not taken as it stands; write it in single quotes, or twice: "\\\\"',
        )
    for test, explained in _EXPLANATIONS:
        if test in problem:
            found = explained(text, index, start, flow)
            if found:
                return found
    if flow:
        return _in_flow(text, index, start)
    return _out_of_line(text, index, start)


_GLUED_DASH = re.compile(r"( *)-((?!-)[\w][\w-]*:(?: .*)?)")


def _dash_without_space(text: str, index: int) -> tuple[int, str] | None:
    """Find a dash that touches its key, on the line of a mistake or the one before."""
    for at, line in (_line_of(text, index), _line_before(text, index)):
        if match := _GLUED_DASH.fullmatch(line):
            return at + len(match[1]), f"put a space after the dash: - {shown(match[2].rstrip(), 60)}"
    return None


def _quote_never_closed(text: str, start: int) -> str:
    """Say how a quote is closed; or how words are written that begin with an apostrophe."""
    sign = text[start : start + 1] or '"'
    said = f"the quote {sign} that opens here is never closed; write {sign} after the last word"
    words = text[start:].partition("\n")[0].rstrip()
    if sign == "'" and re.match(r"'\w", words) and '"' not in words:
        return f'{said}; or, if it is an apostrophe, put the whole in double quotes: "{shown(words, 60)}"'
    return said


def _after_closing(value: str) -> str:
    """Say what to do with words after a closing quote; the advice hangs on which quote it is."""
    if value.lstrip().startswith('"'):
        return (
            'words stand after the closing quote; write \\" for each quote inside the words, or put the whole in '
            "single quotes, or on lines of its own below a > after the colon"
        )
    return (
        "words stand after the closing quote; put the whole in double quotes, or write '' for each ' inside the words"
    )


def _line_of(text: str, index: int) -> tuple[int, str]:
    """Find the start of the line that holds an index, and the line."""
    start = text.rfind("\n", 0, index) + 1
    return start, text[start:].partition("\n")[0]


def _line_before(text: str, index: int) -> tuple[int, str]:
    """Find the last line before an index's own that is neither blank nor a comment."""
    start, _ = _line_of(text, index)
    while start > 0:
        start, line = _line_of(text, start - 1)
        if line.strip() and not line.lstrip().startswith("#"):
            return start, line
    return 0, ""


def _comment_that_cuts(text: str, start: int, index: int) -> tuple[int, str] | None:
    """Find a ` #` without a space after it that swallowed the end of a line just before a mistake."""
    first, _ = _line_before(text, index) if start >= index else _line_of(text, start)
    last, line = _line_of(text, index)
    if last - first > 20_000:
        first = last
    for piece in re.finditer(r".*\n?", text[first : last + len(line)]):
        outside = re.sub(r'"(?:[^"\\]|\\.)*"|(?<=[\s\[{,])\'[^\']*\'', lambda m: "x" * len(m[0]), piece[0])
        cut = re.search(r"(?<=\S)[ \t]+#(?=\S)", outside)
        before = outside[: cut.start()].lstrip() if cut else ""
        if cut and not before.startswith("#"):
            at = first + piece.start() + cut.start() + 1
            rest = piece[0][cut.end() - 1 :].strip()
            return (
                at,
                f'everything from "{shown(rest, 40)}" on is taken as a comment; put the value in quotes, '
                'or write "# " with a space for a comment',
            )
    return None


def _tab(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    at, line = _line_of(text, index)
    indent = line[: len(line) - len(line.lstrip())]
    if "\t" in indent:
        return at + indent.index("\t"), "a tab stands in the indentation; YAML wants spaces there, two for each level"
    if text[index : index + 1] == "\t":
        return index, "a tab stands here; write spaces"
    return None


def _odd_start(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    sign = text[index : index + 1]
    if sign == "\t":
        return _tab(text, index, start, flow)
    return index, f"words cannot begin with {sign} unless they are in quotes; {_QUOTES}"


def _colon(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    at, line = _line_of(text, index)
    before = line[: index - at]
    _, above = _line_before(text, index)
    deeper = len(line) - len(line.lstrip()) > len(above) - len(above.lstrip())
    first = re.match(r"""\s*(?:- +)*[^\s'"#\[{][^:]*:\s+\S""", before)
    if index - at > 1000 and ": " not in before:
        return at, "these words before a colon are over 1,000 characters, too long for a key; check the quotes"
    if first:
        return index, f'the value has ": " in it, which YAML takes for another key; {_QUOTES}'
    if deeper and above.rstrip():
        return (
            at + len(line) - len(line.lstrip()),
            "this line is indented deeper than the one above, which has its value already; line it up with the others",
        )
    return index, f"a colon stands where none is meant; if it belongs to the words, {_QUOTES}"


def _no_colon(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    at, line = _line_of(text, start)
    words = line[start - at :].strip()
    glued = re.match(r"([\w-]+):(?=\S)", words)
    if glued:
        return start, f"a space is missing after the colon; write {glued[1]}: and then the value"
    if line.lstrip().startswith(("'", '"')) or words.startswith(("'", '"')):
        return (
            start,
            f"words stand after the closing quote; put all of {shown(words, 40)} in one pair of quotes, or write a "
            "colon after a key",
        )
    return (
        start,
        f'"{shown(words, 40)}" is neither a key with its colon nor part of the value above; write a colon and a space '
        "after a key, or indent the words deeper than the key they belong to",
    )


def _dash(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    at, line = _line_of(text, index)
    if ":" in line[: index - at]:
        return index, f"a list cannot begin beside its key; begin each item on a line of its own, or {_QUOTES}"
    return index, "a list item stands where none is meant; line its dash up with the dashes above"


def _no_content(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    sign = text[index : index + 1]
    if sign == ",":
        if flow:
            return index, "nothing stands before this comma; delete it, or put the words in quotes"
        return index, f"words cannot begin with a comma; {_QUOTES}"
    if sign and sign in "]}":
        return index, f"{sign} closes nothing; delete it, or put the words in quotes"
    opens = max(text.rfind("[", 0, index), text.rfind("{", 0, index))
    if flow and not sign.strip() and opens >= 0:
        return opens, _never_closed(text[opens])
    return index, f"a value is missing here; write it, or {_QUOTES}"


def _block_header(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    sign = text[start : start + 1]
    return index, f"after {sign} nothing may stand on the same line; begin the words on the next line, indented"


def _directive(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    return start, "a line that begins with % is an instruction to YAML, and none is wanted here; delete it"


def _name_missing(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    sign = text[start : start + 1]
    return start, f"words cannot begin with {sign} unless they are in quotes; {_QUOTES}"


def _second_top(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    at, line = _line_of(text, index)
    if line.startswith("%"):
        return _directive(text, index, at, flow)
    _, above = _line_before(text, index)
    if above.strip() in {"...", "---"}:
        return at, f"words stand after the line {above.strip()}; delete that line"
    return at, "this line is indented less than the first key of the file; line the keys up at the left edge"


def _tag(text: str, index: int, start: int, flow: bool) -> tuple[int, str] | None:
    return start, "a tag (a word that begins with !) is not allowed; delete it, or put the words in quotes"


_Explained = Callable[[str, int, int, bool], tuple[int, str] | None]
_EXPLANATIONS: tuple[tuple[str, _Explained], ...] = (
    ("tag handle", _tag),
    ("tab character", _tab),
    ("cannot start any token", _odd_start),
    ("mapping values are not allowed", _colon),
    ("could not find expected ':'", _no_colon),
    ("sequence entries are not allowed", _dash),
    ("comment or line break", _block_header),
    ("comment or a line break", _block_header),
    ("directive", _directive),
    ("incompatible YAML", _directive),
    ("alphabetic or numeric", _name_missing),
    ("node content", _no_content),
    ("<document start>", _second_top),
    ("document start", _second_top),
)


def _never_closed(opens: str) -> str:
    closes = "}" if opens == "{" else "]"
    return f"the {opens} that opens here is never closed; write {closes} after the last item"


def _in_flow(text: str, index: int, start: int) -> tuple[int, str]:
    opens = text[start : start + 1]
    braces = opens == "{"
    closes, name = ("}", "braces") if braces else ("]", "brackets")
    _, here = _line_of(text, index)
    first, _ = _line_of(text, index)
    _, opened = _line_of(text, start)
    sign = text[index : index + 1]
    if first > start and closes not in opened[opened.find(opens) :]:
        return start, _never_closed(opens)
    if index >= len(text):
        return start, _never_closed(opens)
    if sign == "?" or (sign == ":" and here):
        what = "a question mark" if sign == "?" else "a colon with a space"
        return index, f"inside {name} {what} breaks the value; {_QUOTES}"
    if sign in "\"'" or text[max(index - 2, 0) : index].strip()[-1:] in {'"', "'"}:
        return index, f"words stand beside a quoted value inside {name}; put all of them in one pair of quotes"
    ends = "a comma, a question mark or a colon ends the value" if braces else "a comma ends the value"
    return index, f"inside {name} {ends}; {_QUOTES}"


def _out_of_line(text: str, index: int, start: int) -> tuple[int, str]:
    at, line = _line_of(text, index)
    before = line[: index - at]
    if before.strip() and not re.fullmatch(r"\s*(?:- *)*", before):
        sign = text[index : index + 1]
        if before.rstrip().endswith(("'", '"')) or re.search(r":\s+[\"']", before):
            value = re.search(r"(?:^|:\s+|-\s+)([\"'].*)", before)
            return index, _after_closing(value[1] if value else before)
        if sign and sign in "]}":
            return index, f"{sign} closes nothing; delete it, or put the words in quotes"
        return index, f"the value ended before this; {_QUOTES}"
    if line.startswith(("---", "...")):
        return at, f"the line {line[:3]} stands inside a value; delete it, and close the quote above if one is open"
    _, above = _line_before(text, index)
    indent, other = len(line) - len(line.lstrip()), len(above) - len(above.lstrip())
    if line.lstrip().startswith("- ") or line.strip() == "-":
        if not above.lstrip().startswith("- ") and indent >= other:
            return (
                at + indent,
                "a list item stands among keys; indent it under the key it belongs to, or delete the dash",
            )
        return at + indent, "this dash does not line up with the dashes above; give it the same indentation"
    if indent != other:
        return (
            at + indent,
            "the indentation of this line fits nothing above; line a key up with the other keys of the same thing, and "
            "the lines of a longer text with its first line",
        )
    if above.lstrip().startswith("- "):
        return at + indent, "a key stands where a list item is meant; begin it with a dash, or indent it under the item"
    return (
        at + indent,
        "this line does not fit in here; check the indentation, colons and quotes of it and the one above",
    )
