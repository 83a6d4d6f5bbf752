"""Tolerances as people write them, and what keeps within them."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.figures.quantities import Dimension
from buildlog.figures.tolerance import ToleranceClass, ToleranceKind, allowed, is_within, parse_tolerance

MM = Fraction(1, 1000)


@pytest.mark.parametrize(
    ("written", "kind", "amount", "tidy"),
    [
        pytest.param("0.5 %", ToleranceKind.percent, "0.005", "0.5 %", id="percent"),
        pytest.param("0,5%", ToleranceKind.percent, "0.005", "0.5 %", id="percent with comma"),
        pytest.param("10 per cent", ToleranceKind.percent, "0.1", "10 %", id="per cent"),
        pytest.param("1/2 percent", ToleranceKind.percent, "0.005", "1/2 %", id="percent as a word"),
        pytest.param("1 mm", ToleranceKind.length, "0.001", "1 mm", id="millimetre"),
        pytest.param("± 1 mm", ToleranceKind.length, "0.001", "1 mm", id="plus or minus"),
        pytest.param("+/- 1 mm", ToleranceKind.length, "0.001", "1 mm", id="plus or minus, typed"),
        pytest.param("1/32 in", ToleranceKind.length, "0.00079375", "1/32 in", id="inch"),
        pytest.param("ISO 2768-m", ToleranceKind.iso_2768, "0", "ISO 2768-m", id="class"),
        pytest.param("ISO 2768-1 m", ToleranceKind.iso_2768, "0", "ISO 2768-m", id="class with the part"),
        pytest.param("iso2768-M", ToleranceKind.iso_2768, "0", "ISO 2768-m", id="class in other letters"),
        pytest.param("ISO 2768 very coarse", ToleranceKind.iso_2768, "0", "ISO 2768-v", id="class in words"),
    ],
)
def test_tolerances_are_read(written, kind, amount, tidy):
    """A tolerance is read as a percentage, a length or a class, and shows in one spelling."""
    tolerance = parse_tolerance(written)

    assert tolerance.kind is kind
    assert tolerance.amount == Fraction(amount)
    assert str(tolerance).replace("\N{NO-BREAK SPACE}", " ") == tidy
    assert tolerance.text == written


@pytest.mark.parametrize(
    ("written", "message"),
    [
        pytest.param("5", '"5" has no unit; write a tolerance', id="no unit"),
        pytest.param("5 kg", '"5 kg" is a mass; write a tolerance', id="mass"),
        pytest.param("-1 mm", '"-1 mm" is below zero; write a tolerance', id="below zero"),
        pytest.param("0 mm", '"0 mm" is nothing at all; write a tolerance', id="zero length"),
        pytest.param("0 %", '"0 %" is no tolerance; write more than 0 % and less than 100 %', id="zero percent"),
        pytest.param("100 %", '"100 %" is no tolerance; write more than 0 % and less than 100 %', id="everything"),
        pytest.param("few %", '"few %" is not understood; write a tolerance', id="words"),
        pytest.param("ISO 2768", '"ISO 2768" names no class of ISO 2768-1', id="no class"),
        pytest.param("ISO 2768-mK", '"ISO 2768-mK" names no class of ISO 2768-1', id="second part of the standard"),
        pytest.param("ISO 286-h7", '"ISO 286-h7" names no class of ISO 2768-1', id="another standard"),
        pytest.param("", "nothing is written here; write a tolerance", id="empty"),
        pytest.param("9" * 10_000_000 + "%", "is too long; write a tolerance", id="ten million digits"),
    ],
)
def test_what_is_no_tolerance_is_refused(written, message):
    """What is no tolerance is refused with what was found and what to write instead."""
    with pytest.raises(ValueError, match="write") as refused:
        parse_tolerance(written)

    assert message in str(refused.value)


def test_the_edge_is_within():
    """A measure exactly at the edge of its tolerance is within it, and the least bit more is not."""
    tolerance = parse_tolerance("1 mm")

    assert is_within(tolerance, 38 * MM, 39 * MM)
    assert is_within(tolerance, 38 * MM, 37 * MM)
    assert not is_within(tolerance, 38 * MM, 39 * MM + Fraction(1, 10**12))
    assert not is_within(tolerance, 38 * MM, 37 * MM - Fraction(1, 10**12))


def test_a_percentage_is_of_the_target():
    """Half a percent of 1200 mm is 6 mm, whatever was measured."""
    assert allowed(parse_tolerance("0.5 %"), 1200 * MM) == 6 * MM


def test_a_percentage_suits_any_kind():
    """A mass may be held to a percentage."""
    assert is_within(parse_tolerance("5 %"), Fraction(20), Fraction(21), Dimension.mass)


@pytest.mark.parametrize("written", [pytest.param("1 mm", id="length"), pytest.param("ISO 2768-m", id="class")])
def test_lengths_alone_have_tolerances_in_millimetres(written):
    """A mass cannot be held to a length or a class, and the message says what to write."""
    with pytest.raises(ValueError, match="is a tolerance for lengths; for a mass write it in %"):
        allowed(parse_tolerance(written), Fraction(20), Dimension.mass)


@pytest.mark.parametrize(
    ("written", "nominal_mm", "message"),
    [
        pytest.param("ISO 2768-m", "0.4999", "begins at 0.5 mm", id="too small"),
        pytest.param("ISO 2768-m", "4000.001", "ends at 4000 mm", id="too large"),
        pytest.param("ISO 2768-f", "2000.001", "has no value above 2000 mm", id="fine and large"),
        pytest.param("ISO 2768-v", "3", "has no value up to 3 mm", id="very coarse and small"),
    ],
)
def test_classes_without_a_value_are_refused(written, nominal_mm, message):
    """Where the class has no value for a size the tolerance is refused, with what to write instead."""
    with pytest.raises(ValueError, match=f"{message} on the model; write a tolerance such as"):
        allowed(parse_tolerance(written), Fraction(nominal_mm) * MM)


@given(st.fractions(min_value=Fraction(3, 1000) + Fraction(1, 10**6), max_value=2), st.sampled_from(ToleranceClass))
def test_coarser_classes_allow_more(nominal, tolerance_class):
    """At any size a class allows no more than the next coarser one."""
    order = list(ToleranceClass)
    coarser = order[min(order.index(tolerance_class) + 1, 3)]

    here, there = (allowed(parse_tolerance(f"ISO 2768-{one}"), nominal) for one in (tolerance_class, coarser))

    assert here <= there


@given(st.text(alphabet="0123456789.,/% ±+-ISOisommfcv", max_size=24))
def test_any_text_is_a_tolerance_or_refused(text):
    """Whatever is written is a tolerance whose one spelling is read alike, or is refused."""
    try:
        tolerance = parse_tolerance(text)
    except ValueError:
        return
    again = parse_tolerance(str(tolerance))

    assert (again.kind, again.amount, again.tolerance_class) == (
        tolerance.kind,
        tolerance.amount,
        tolerance.tolerance_class,
    )
