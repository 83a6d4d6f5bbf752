"""What `buildlog scale` answers: one size in a line, many in a table of 80 columns or as CSV."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from buildlog.figures.quantities import NO_BREAK, Quantity, parse_quantity, quoted
from buildlog.figures.scale import Scale, ScalingLaw, default_law
from buildlog.figures.spec import Both, compute_spec
from buildlog.figures.units import Dimension, System

CSV_HEAD = ("written", "full_size", "full_size_other", "model", "model_other")
"""Columns of the CSV: as it was written; full size and size on the model, each in the units that come first and in the
others."""

_GAP = "   "


@dataclass(frozen=True)
class Answer:
    """One size at full size and on the model."""

    given: Quantity
    full_size: Both
    model: Both
    note: str
    """What must be known about it, such as "by Froude's law"; may be empty."""


def scaled(text: str, scale: Scale, law: ScalingLaw | None, units_first: System, *, from_model: bool) -> Answer:
    """
    Work out a size on the model from the full-size one, or the other way round.

    Args:
        text: As a person writes it, such as `7 ft 6 in`.
        scale: Of the model.
        law: How it scales; `None` for a length, an area or a volume by itself.
        units_first: The system whose units come first.
        from_model: Whether the size given is the model's.

    Raises:
        ValueError: What is wrong and what to write instead, in one sentence.
    """
    given = parse_quantity(text, Dimension(law.value) if law else None)
    law = law or default_law(given.dimension)
    if law is ScalingLaw.none:
        raise ValueError(_unscaled(given))
    if from_model:
        figures = compute_spec(None, given, None, scale, law, units_first)
        full_size, model = figures.measured_at_full_size, figures.measured
    else:
        figures = compute_spec(given, None, None, scale, law, units_first)
        full_size, model = figures.full_size, figures.target
    assert full_size is not None  # noqa: S101 - a size that scales has both
    assert model is not None  # noqa: S101
    froude = law in (ScalingLaw.speed, ScalingLaw.time)
    return Answer(given, full_size, model, "by Froude's law" if froude else "")


def _unscaled(given: Quantity) -> str:
    if given.dimension in {law.value for law in ScalingLaw}:
        return (
            f"{quoted(given.text)} is a {given.dimension}, which scales only when asked to; add --as {given.dimension}"
        )
    return f"{quoted(given.text)} is a {given.dimension}, for which no law of scale is known here; leave it out"


def in_one_line(answer: Answer, scale: Scale, *, from_model: bool) -> str:
    """Say an answer in a sentence, with what the trade and railway modellers call the scale beside it."""
    names = scale.called(on_rails=True)
    wanted = answer.full_size if from_model else answer.model
    said = f"{answer.given} at {scale}{f' ({names})' if names else ''} is {_both(wanted)}"
    said += f" {'at full size' if from_model else 'on the model'}"
    return _spaced(f"{said}, {answer.note}" if answer.note else said)


def _both(figure: Both) -> str:
    return f"{figure.first} ({figure.second})" if figure.second else figure.first


def _spaced(text: str) -> str:
    """With plain spaces, so that what is printed can be searched for and typed again."""
    return text.replace(NO_BREAK, " ")


def csv_row(answer: Answer) -> tuple[str, ...]:
    """Give an answer as the columns of `CSV_HEAD`."""
    return (" ".join(answer.given.text.split()), *_cells(answer))


def _cells(answer: Answer) -> tuple[str, str, str, str]:
    full, model = answer.full_size, answer.model
    return _spaced(full.first), _spaced(full.second or ""), _spaced(model.first), _spaced(model.second or "")


def table_lines(answers: Sequence[Answer], scale: Scale) -> Iterator[tuple[str, bool]]:
    """Give the lines of a table, each with whether it is a heading, in columns as wide as they need to be."""
    names = scale.called(on_rails=True)
    yield f"{scale}{f', {names}' if names else ''}", True
    rows = [_cells(answer) for answer in answers]
    heads = ("Full size", "", f"At {scale}", "")
    widths = [max(map(len, column)) for column in zip(heads, *rows, strict=True)]
    yield _line(heads, widths), True
    for answer, row in zip(answers, rows, strict=True):
        yield _GAP.join(filter(None, [_line(row, widths), answer.note])), False


def _line(cells: Iterable[str], widths: Iterable[int]) -> str:
    return _GAP.join(f"{cell:<{width}}" for cell, width in zip(cells, widths, strict=True)).rstrip()
