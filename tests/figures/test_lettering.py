"""Words measured by the shipped face: widths, breaks and heights, held to the font file and to a browser."""

import html
import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildlog.figures.lettering import (
    FACES,
    TABLE,
    Face,
    LabelStyle,
    Lettering,
    Words,
    label_room,
    lines,
    text_width,
)
from buildlog.figures.lettering_table import FONT, render_table

PLAIN = Face(400, 100)

SENTENCES = [
    "Sprayed through a cut stencil, white over black. Letters 340 mm high at full size, 14.2 mm here.",
    "Red lens behind a full-length screen, often fitted bare; it should show over 112.5 degrees.",
    "AVAST To Te Ty WAVE office fjord waffle flat affair fluff",
    "“Port” – ‘starboard’ — 12–14 mm, 1/24; left/right, and/or the load-line ring (as fitted)",
    "Own stencil · Signal white · Lamp 12 × 2 · mirrored",
    "Ærøskøbing, façade, naïve, Übermaß, señor, 3 °C, ½ in, 37′ 6″",
    "Draught marks",
    "1:24 0123456789 37 ft 6 3/16 in",
]


def test_widths_are_what_the_font_says():
    """The kept widths are, to the last digit, those in the font that ships with the site."""
    assert TABLE.read_text(encoding="utf-8") == render_table(FONT)


def test_every_face_of_a_label_is_kept():
    """Each cut that labels are set in has its widths."""
    style = LabelStyle()
    used = {value.face for value in vars(style).values() if isinstance(value, Lettering)}

    assert used <= set(FACES)
    assert all(text_width("x", face, 16) > 0 for face in FACES)


def test_unknown_face_is_refused():
    """A cut without kept widths is named, with those there are."""
    with pytest.raises(ValueError, match=r"no widths of weight 500 at 100 %; known are 400 at 100 %"):
        text_width("x", Face(500, 100), 16)


def test_kerning_draws_letters_together():
    """A pair the font kerns is narrower than its letters apart; figures all take the same width."""
    assert text_width("AV", PLAIN, 100) < text_width("A", PLAIN, 100) + text_width("V", PLAIN, 100)
    assert {round(text_width(figure, PLAIN, 100), 6) for figure in "0123456789"} == {text_width("0", PLAIN, 100)}


@pytest.mark.parametrize(
    ("text", "em"),
    [
        pytest.param("日本", 2.0, id="wide letters"),
        pytest.param("Ω", 0.56, id="another alphabet"),
        pytest.param("x\u0306", None, id="a mark over a letter"),
        pytest.param("\u200d", 0.0, id="no width"),
        pytest.param("", 0.0, id="nothing"),
    ],
)
def test_letters_the_font_lacks(text, em):
    """Letters of other scripts count a stated width, marks on a letter nothing."""
    expected = text_width("x", PLAIN, 1) if em is None else em

    assert text_width(text, PLAIN, 1) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("text", "broken"),
    [
        pytest.param("one two", ["one", "two"], id="space"),
        pytest.param("one-two", ["one-", "two"], id="hyphen"),
        pytest.param("-12", ["-12"], id="minus"),
        pytest.param("one–two", ["one–", "two"], id="dash"),
        pytest.param("1\u00a0mm 2", ["1\u00a0mm", "2"], id="no-break space"),
        pytest.param("onetwo", ["onet", "wo"], id="word too long"),
        pytest.param("日本語", ["日本", "語"], id="wide letters"),
        pytest.param("  one \n two  ", ["one", "two"], id="spaces fold"),
        pytest.param("", [], id="nothing"),
    ],
)
def test_where_lines_break(text, broken):
    """A line ends at a space, after a hyphen or dash, between wide letters, and in a word only where it must."""
    assert lines(text, PLAIN, 16, 40) == broken


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=200), st.floats(60, 400))
def test_wrapping_loses_nothing(text, width):
    """Every letter stands on some line, in order, and every line fits its width."""
    broken = lines(text, PLAIN, 16, width)

    assert "".join("".join(broken).split()) == "".join(text.split())
    assert all(text_width(line, PLAIN, 16) <= width * 1.001 + 0.1 for line in broken)


def test_a_label_grows_by_whole_lines():
    """A longer text adds lines of the style's leading; the leader meets the underline of the title."""
    style = LabelStyle()
    short = label_room(Words("Bow name", ("White over black.",)), style)
    long = label_room(Words("Bow name", ("White over black. " * 10,)), style)
    count = len(lines("White over black. " * 10, style.text.face, style.text.size, style.width))

    assert short.port == long.port == pytest.approx(16.32 * 1.3 + style.shelf)
    assert long.height - short.height == pytest.approx((count - 1) * 15.04 * 1.4)


def test_a_label_without_a_title_is_met_at_its_top():
    """Words without a title hang from their own line, which the leader runs into."""
    room = label_room(Words(text=("White over black.",)))

    assert room.port == 0.5
    assert room.height == pytest.approx(LabelStyle().under_shelf + 15.04 * 1.4)


def test_each_kind_of_words_adds_its_height():
    """How it was made, measures, marks and the request each make a label taller, marks side by side but once."""
    words = Words("Ring", ("Cut.",))
    heights = [
        label_room(each).height
        for each in (
            words,
            replace(words, made="Own stencil"),
            replace(words, made="Own stencil", measures=("Screen: 38 mm",)),
            replace(words, made="Own stencil", measures=("Screen: 38 mm",), marks=("As full size",)),
            replace(words, made="Own stencil", measures=("Screen: 38 mm",), marks=("As full size", "Simplified")),
        )
    ]

    assert heights[0] < heights[1] < heights[2] < heights[3] == heights[4]


def paragraphs():
    """Texts of 1 to 45 words, drawn from the sentences."""
    source = random.Random(7)
    words = " ".join(SENTENCES).split()
    return [" ".join(source.choice(words) for _ in range(source.randint(1, 45))) for _ in range(120)]


@pytest.fixture(scope="module")
def measured(tmp_path_factory, browser):
    """What Chromium makes of the same words: widths at 100 px by face, and lines at the sizes of a label."""
    page_file = tmp_path_factory.mktemp("lettering") / "words.html"
    spans = "".join(
        f'<span style="font-weight: {face.weight}; font-stretch: {face.width}%">{html.escape(text)}</span><br>'
        for face in FACES
        for text in SENTENCES
    )
    columns = "".join(
        f'<p style="font-size: {style.size}px; font-weight: {style.face.weight}; font-stretch: {style.face.width}%">'
        f"{html.escape(text)}</p>"
        for style in (LabelStyle().text, LabelStyle().made, LabelStyle().title)
        for text in paragraphs()
    )
    page_file.write_text(
        '<!doctype html><meta charset="utf-8"><style>'
        f'@font-face {{ font-family: Face; src: url("{FONT.as_uri()}"); font-weight: 100 900; font-stretch: 62% 125% }}'
        "body { font: 100px/20px Face; font-variant-numeric: tabular-nums lining-nums } span { white-space: pre }"
        "p { width: 240px; overflow-wrap: break-word; text-wrap: pretty }</style>" + spans + columns,
        encoding="utf-8",
    )
    page = browser.new_page()
    page.goto(page_file.as_uri())
    page.evaluate("document.fonts.ready")
    loaded = page.evaluate("[...document.fonts].every((face) => face.status === 'loaded')")
    widths = page.evaluate("[...document.querySelectorAll('span')].map((e) => e.getBoundingClientRect().width)")
    counts = page.evaluate("[...document.querySelectorAll('p')].map((e) => Math.round(e.offsetHeight / 20))")
    page.close()
    assert loaded
    return widths, counts


@pytest.mark.browser
def test_widths_agree_with_a_browser(measured):
    """Every sentence in every face is as wide as Chromium sets it, to 0.05 %."""
    widths, _ = measured

    mine = [text_width(text, face, 100) for face in FACES for text in SENTENCES]

    assert mine == pytest.approx(widths, rel=5e-4)


@pytest.mark.browser
def test_lines_agree_with_a_browser(measured):
    """Of 360 paragraphs in a margin at least 99 in 100 take as many lines as in Chromium, and none is off by two."""
    _, counts = measured
    style = LabelStyle()

    mine = [
        len(lines(text, each.face, each.size, 240))
        for each in (style.text, style.made, style.title)
        for text in paragraphs()
    ]

    off = [abs(a - b) for a, b in zip(mine, counts, strict=True)]
    assert max(off) <= 1
    assert sum(off) <= 0.01 * len(off)
