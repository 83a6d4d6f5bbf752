"""Words for pages."""

import re
from pathlib import Path

import pytest

from buildlog import pages
from buildlog.pages.text import anchor, first_sentence, inline_html, markdown_html, plain
from buildlog.photos.facts import PHOTO_SUFFIXES
from buildlog.records.loading import PICTURE_SUFFIXES
from buildlog.words import OWN_ANCHORS


@pytest.mark.parametrize(
    ("words", "made"),
    [
        pytest.param("Bow name, both sides", "bow-name-both-sides", id="plain"),
        pytest.param("port_light.v2", "port_light-v2", id="signs"),
        pytest.param("E\N{COMBINING ACUTE ACCENT}trave", "étrave", id="composed"),
        pytest.param("नाव की", "नाव-की", id="marks kept"),
        pytest.param("舷灯", "舷灯", id="no alphabet"),
        pytest.param(" -- ", "", id="nothing"),
    ],
)
def test_anchors_keep_the_letters_of_any_script(words, made):
    """Letters, digits and their marks stay; everything else is one hyphen."""
    assert anchor(words) == made


def test_addresses_of_the_pages_own_are_kept_free():
    """Every beginning that the code of the pages gives to an anchor is one that no callout may have."""
    code = "".join(path.read_text(encoding="utf-8") for path in Path(pages.__file__).parent.glob("*.py"))
    made = set(re.findall(r'f"([a-z]+-)\{(?:anchor\(|path_digest\(|index\})', code))

    assert made - {"callout-"} == set(OWN_ANCHORS)


@pytest.mark.parametrize(
    ("markdown", "html"),
    [
        pytest.param("Plain.", "Plain.", id="one paragraph loses its tags"),
        pytest.param("*In* and **out**", "<em>In</em> and <strong>out</strong>", id="emphasis"),
        pytest.param("One.\n\nTwo.", "<p>One.</p>\n<p>Two.</p>", id="two paragraphs keep them"),
        pytest.param(None, "", id="nothing"),
    ],
)
def test_a_single_paragraph_stands_inline(markdown, html):
    """A caption of one paragraph has no paragraph of its own."""
    assert inline_html(markdown) == html


def test_headings_and_pictures_of_a_record_do_not_reach_a_page():
    """A heading would break the page's outline, a picture would load from another host; their words stay."""
    assert markdown_html("# Big\n\n![A hull](https://example.org/x.jpg)") == "Big\n<p></p>"


def test_plain_takes_the_bare_words():
    """Without marks, entities or line ends."""
    assert plain("**Salt** & pepper,\n[here](https://example.org)") == "Salt & pepper, here"


def test_a_long_sentence_is_cut_between_words():
    """The first sentence, else as many whole words as fit."""
    assert first_sentence("Short. And more.") == "Short."
    assert first_sentence("word " * 60, longest=20) == "word word word word …"


def test_the_loader_knows_a_photo_by_the_same_endings():
    """What the records take for a photo is what the pictures are made from."""
    assert PICTURE_SUFFIXES == PHOTO_SUFFIXES
