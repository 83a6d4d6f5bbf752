from __future__ import annotations

import dataclasses
import itertools
import re
from collections.abc import Iterator
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import pytest
from jinja2 import UndefinedError

from buildlog.pages import render
from buildlog.pages.addresses import relative
from buildlog.pages.render import Heading, View, render_page, render_view
from buildlog.pages.views import CataloguePage, Link, ProgressPage
from tests.pages import samples

EVERY_VIEW = [pytest.param(view, id=name) for name, view in samples.VIEWS.items()]
VOID = {"area", "br", "col", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}
STYLES = Path(render.__file__).parent / "assets" / "sheet.css"


@dataclasses.dataclass
class Element:
    """An element of a page, with the words in it."""

    tag: str
    attributes: dict[str, str]
    around: tuple[str, ...]
    """Tags it stands in."""
    text: str = ""


class Reader(HTMLParser):
    """Lists a page's elements, and refuses tags that do not pair."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.elements: list[Element] = []
        self.open: list[Element] = []
        self.feed(html)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(names) == len(set(names)), f"<{tag}> says an attribute twice: {names}"
        around = tuple(element.tag for element in self.open)
        element = Element(tag, {name: value or "" for name, value in attrs}, around)
        self.elements.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_endtag(self, tag: str) -> None:
        assert self.open
        assert self.open.pop().tag == tag

    def handle_data(self, data: str) -> None:
        for element in self.open:
            element.text += data


def elements(view: View, *tags: str) -> list[Element]:
    """The elements of a rendered view, in their order."""
    return [e for e in Reader(render_view(view, samples.FRAME)).elements if not tags or e.tag in tags]


def flat(headings: tuple[Heading, ...]) -> Iterator[Heading]:
    """Every heading, in the order of the page."""
    for heading in headings:
        yield heading
        yield from flat(heading.children)


@pytest.mark.parametrize(
    ("here", "there", "link"),
    [
        pytest.param("", "", "./", id="home-to-itself"),
        pytest.param("", "catalogue/", "catalogue/", id="home-to-page"),
        pytest.param("catalogue/", "", "../", id="page-to-home"),
        pytest.param("builds/tug/", "builds/tug/", "./", id="page-to-itself"),
        pytest.param("builds/tug/", "builds/tug/#bow", "#bow", id="place-on-the-same-page"),
        pytest.param("builds/tug/", "builds/tug/2026/#bow", "2026/#bow", id="deeper"),
        pytest.param("builds/tug/2026/", "builds/tug/#bow", "../#bow", id="up"),
        pytest.param("builds/tug/2026/", "builds/loco/", "../../loco/", id="aside"),
        pytest.param("builds/tug/", "pictures/a.960w.webp", "../../pictures/a.960w.webp", id="file"),
        pytest.param("catalogue/", "#bow", "../#bow", id="place-on-home"),
        pytest.param("", "#bow", "#bow", id="place-on-home-from-home"),
        pytest.param("", "builds/fähre/#mast öl", "builds/f%C3%A4hre/#mast%20%C3%B6l", id="letters-encoded"),
        pytest.param("builds/fähre/", "builds/fähre/2026/", "2026/", id="letters-shared"),
        pytest.param("", "a:b/?c%d", "a%3Ab/%3Fc%25d", id="nothing-reads-as-scheme-or-query"),
        pytest.param("404.html", "catalogue/", "catalogue/", id="from-a-file"),
    ],
)
def test_relative_link(here: str, there: str, link: str) -> None:
    """A link leads from where it stands, whatever folder the site lies in."""
    assert relative(here, there) == link


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_headings_in_order(view: View) -> None:
    """A page has one title, and no heading skips a level."""
    levels = [int(e.tag[1]) for e in elements(view, "h1", "h2", "h3", "h4", "h5", "h6")]

    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in itertools.pairwise(levels))


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_outline_is_what_the_page_says(view: View) -> None:
    """The table of contents lists the page's headings that can be led to, in their order and with their words."""
    page = render_page(view, samples.FRAME)
    said = [
        (int(e.tag[1]), e.attributes["id"], e.text)
        for e in elements(view)
        if re.fullmatch("h[1-6]", e.tag) and "id" in e.attributes
    ]

    assert [(h.level, h.id, h.title) for h in flat(page.outline)] == said
    assert [h.level for h in page.outline] == [1]


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_ids_and_their_links(view: View) -> None:
    """Every id stands once, and every link or reference within the page finds its place."""
    page = elements(view)
    ids = [e.attributes["id"] for e in page if "id" in e.attributes]
    wanted = {e.attributes["href"][1:] for e in page if e.attributes.get("href", "").startswith("#")}
    wanted |= {e.attributes["aria-labelledby"] for e in page if "aria-labelledby" in e.attributes}

    assert sorted(ids) == sorted(set(ids))
    assert wanted
    assert wanted <= set(ids)


def test_own_ids_cannot_be_those_of_records() -> None:
    """An id the templates give holds a sign that no id of a record can."""
    own = re.findall(r'heading\(\d, "[^"]+", "([^"]+)"', "".join(p.read_text() for p in TEMPLATES.glob("*.html")))

    assert len(own) > 20
    assert all(id.startswith("~") for id in own)


TEMPLATES = Path(render.__file__).parent / "templates"


def test_every_module_is_loaded_by_some_page() -> None:
    """Each module that lies at the top of the assets is named for a sort of page, and each name has its module."""
    named = {name for names in render.SCRIPTS.values() for name in names}

    assert named == {path.name for path in STYLES.parent.glob("*.js")}
    assert set(render.SCRIPTS) == set(render.TEMPLATES)


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_no_script_and_no_style_in_the_page(view: View) -> None:
    """A page holds no script of its own, and styles only as custom properties."""
    for element in elements(view):
        assert element.tag not in {"script", "style"}
        assert not [name for name in element.attributes if name.startswith("on")]
        for rule in filter(None, map(str.strip, re.split(r";(?![^(]*\))", element.attributes.get("style", "")))):
            assert rule.startswith("--")


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_pictures(view: View) -> None:
    """Every picture keeps its place, has words, and waits until it is near; the first of a page does not wait."""
    pictures = elements(view, "img")

    for picture in pictures:
        assert {"src", "alt", "width", "height", "style"} <= picture.attributes.keys()
        assert picture.around[-1] == "picture"
    assert pictures[0].attributes["fetchpriority"] == "high"
    assert "loading" not in pictures[0].attributes
    assert {p.attributes["loading"] for p in pictures[1:]} == {"lazy"}
    assert {p.attributes["decoding"] for p in pictures[1:]} == {"async"}


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_picture_sizes_are_offered(view: View) -> None:
    """Each made size is offered with its width, newer kinds first, and the layout's width is said."""
    sources = elements(view, "source")

    assert [s.attributes["type"] for s in sources[:2]] == ["image/avif", "image/webp"]
    for source in sources:
        assert source.attributes["sizes"]
        for one in source.attributes["srcset"].split(","):
            address, width = one.split()
            assert width in address


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_tables_can_be_read_aloud(view: View) -> None:
    """Every table has a caption, and every heading in it says what it heads."""
    page = elements(view)
    tables = [e for e in page if e.tag == "table"]
    captions = [e for e in page if e.tag == "caption"]

    assert len(captions) == len(tables)
    assert all(caption.text for caption in captions)
    assert all(e.attributes.get("scope") in {"col", "row"} for e in page if e.tag == "th")


def test_words_are_escaped_and_markdown_is_not() -> None:
    """Plain words may hold any sign; only fields of safe HTML reach the page as HTML."""
    block = dataclasses.replace(samples.BLOCK, title="<b>Hull & keel</b>", lede_html="<p><em>Well</em></p>")
    html = render_view(dataclasses.replace(samples.PROGRESS, block=block), samples.FRAME)

    assert "&lt;b&gt;Hull &amp; keel&lt;/b&gt;</h1>" in html
    assert "<p><em>Well</em></p>" in html


def test_word_in_an_attribute_cannot_break_out() -> None:
    """Words in an attribute keep their quotes to themselves."""
    picture = dataclasses.replace(samples.BOW, alt='Bow" onload="alert(1)')
    plate = dataclasses.replace(samples.PLATES[1], picture=picture)
    pictures = elements(dataclasses.replace(samples.PROGRESS, plates=(plate,)), "img")

    assert 'Bow" onload="alert(1)' in [p.attributes["alt"] for p in pictures]


def test_link_to_another_host_must_be_harmless() -> None:
    """A script never becomes a link, even if a record let it through."""
    source = Link("A book", "javascript:alert(1)", outside=True)
    note = dataclasses.replace(samples.ACCURACY[0], source=source)

    with pytest.raises(ValueError, match="cannot be led to"):
        render_view(dataclasses.replace(samples.PROGRESS, accuracy=(note,)), samples.FRAME)


def test_missing_value_stops_the_page() -> None:
    """A template that asks for what a view does not hold fails, and writes no gap."""

    class Short:
        address = ""

    template = render._environment().from_string("{{ view.nothing }}")

    with pytest.raises(UndefinedError):
        template.render(view=Short())


def test_links_can_be_made_otherwise() -> None:
    """Every address of a page, of pictures too, goes through the one maker of links."""

    class Sealed:
        def to(self, address: str) -> str:
            return f"sealed:{address}"

    page = Reader(render_view(samples.PROGRESS, samples.FRAME, Sealed())).elements
    links = [e.attributes[name] for e in page for name in ("href", "src") if name in e.attributes]
    links += [part.split()[0] for e in page if "srcset" in e.attributes for part in e.attributes["srcset"].split(", ")]

    assert len(links) > 100
    assert {link.split(":")[0] for link in links} == {"sealed", "mailto", "https"}


def test_callouts_are_told_in_the_record_order() -> None:
    """The words of a picture stand in the order the record tells them, numbered like their points."""
    page = elements(dataclasses.replace(samples.PROGRESS, plates=samples.PLATES[:1], turntables=()))
    words = [e.attributes["value"] for e in page if e.tag == "li" and "data-callout" in e.attributes]
    marks = [e.attributes["data-callout"] for e in page if e.tag == "a" and "data-callout" in e.attributes]

    assert words == marks == ["1", "2", "3", "4", "5", "6", "7"]


def test_callout_answers_to_every_anchor() -> None:
    """A callout is found under its anchor and under the ones it had before, with a title or without."""
    page = elements(samples.PROGRESS)
    ids = {e.attributes["id"]: e.tag for e in page if "id" in e.attributes}

    assert ids["port-sidelight"] == "h4"
    assert ids["sidelight"] == "span"
    assert ids["tyres"] == "li"


def test_feature_without_a_picture_is_told_in_full() -> None:
    """What no callout shows is told below the pictures; what one shows is not told twice."""
    html = render_view(samples.PROGRESS, samples.FRAME)
    told = html[html.index('id="~worked-on"') : html.index('id="~is-it-right"')]

    assert "Towing hook" in told
    assert "the moulded hook, part 31" in told
    assert "Port sidelight" not in told


@pytest.mark.parametrize(
    ("computed", "said"),
    [
        pytest.param("model", "915 mm at full size, so 38.1 mm here", id="model"),
        pytest.param("full size", "38.1 mm, which is 915 mm at full size", id="full-size"),
        pytest.param("neither", "915 mm at full size, 38.1 mm here", id="both-measured"),
    ],
)
def test_measure_says_which_was_computed(computed: str, said: str) -> None:
    """A measure names both sizes, and which of them follows from the other."""
    measure = dataclasses.replace(
        samples.HOOK.measures[0], on_model="38.1 mm", full_size="915 mm", computed=computed, note=""
    )
    feature = dataclasses.replace(samples.HOOK, measures=(measure,))
    page = elements(dataclasses.replace(samples.PROGRESS, plates=(), features=(feature,)), "li")

    assert f"Length: {said}" in [e.text for e in page]


def test_open_decision_comes_before_the_walkaround() -> None:
    """What the client must decide stands near the top; what is decided stands lower, with its answer."""
    html = render_view(samples.PROGRESS, samples.FRAME)

    assert html.index("New manila or weathered rope?") < html.index('id="~walkaround"')
    assert html.index("Blue or white funnel band?") > html.index('id="~walkaround"')
    assert '<b>Blue</b>, decided on <time datetime="2026-06-02">2 June 2026</time>' in html


def test_bars_are_said_in_words() -> None:
    """What a bar shows stands beside it as text."""
    page = elements(samples.PROGRESS, "li")
    texts = [" ".join(e.text.split()) for e in page]

    assert "Markings 80 % done, 20 % before" in texts
    assert "Bulwark tyres Fitting out 25 % done" in texts


@pytest.mark.parametrize("view", EVERY_VIEW)
def test_every_mark_has_words(view: View) -> None:
    """A state is never shown by colour or shape alone."""
    marks = [e for e in elements(view, "span") if "mark" in e.attributes.get("class", "").split()]

    assert all(e.text.strip() for e in marks)


def test_catalogue_without_scripts() -> None:
    """Without scripts the filters are hidden, and every commission is there as a card and in the table."""
    page = elements(samples.CATALOGUE)
    rows = [e for e in page if e.tag == "tr" and "data-kind" in e.attributes]
    cards = [e for e in page if e.tag == "li" and "data-kind" in e.attributes]

    assert ["hidden" in e.attributes for e in page if e.tag == "form"] == [True]
    assert len(rows) == len(cards) == len(samples.CARDS)
    assert not [e for e in (*rows, *cards) if "hidden" in e.attributes]


@pytest.mark.parametrize(
    "view",
    [
        pytest.param(samples.EMPTY_HOME, id="home"),
        pytest.param(samples.EMPTY_CATALOGUE, id="catalogue"),
        pytest.param(CataloguePage("catalogue/", (), "Open in March", samples.ASK), id="catalogue-with-enquiries"),
    ],
)
def test_page_of_an_empty_workshop(view: View) -> None:
    """A workshop that has shown nothing yet has pages with a title and no empty parts."""
    page = elements(view)

    assert [e.tag for e in page if re.fullmatch("h[1-6]", e.tag)] == ["h1"]
    assert not [e for e in page if e.tag in {"ul", "ol", "table", "dl"}]


def test_progress_page_with_nothing_but_a_title() -> None:
    """A record of a date and a title is a page without empty parts."""
    block = dataclasses.replace(samples.BLOCK, lede_html="", percent=None, percent_notes=(), stage_bar=(), cells=())
    view = ProgressPage(
        address="builds/heron/2026-01-02/",
        block=block,
        build=Link("Heron"),
        day=date(2026, 1, 2),
        number=1,
        count=1,
        since="",
        changes=(),
        plates=(),
        comparisons=(),
        turntables=(),
        features=(),
        accuracy=(),
        decisions=(),
        to_do=(),
        next_text="",
        next_day=None,
        earlier=None,
        later=None,
        hours="",
        ask=None,
        cautions=(),
    )

    assert {e.tag for e in elements(view)} == {"div", "header", "h1"}


def test_build_page_lists_its_parts() -> None:
    """A long page begins with links to each of its parts."""
    page = render_page(samples.BUILD, samples.FRAME)
    parts = [h.id for h in page.outline[0].children]
    listed = re.search(r'<nav class="contents".*?</nav>', page.html, re.DOTALL)

    assert listed
    assert re.findall(r'href="#([^"]+)"', listed[0]) == parts


@pytest.mark.parametrize(
    ("value", "said"),
    [
        pytest.param(date(2026, 8, 5), "5 August 2026", id="no-leading-zero"),
        pytest.param(date(1999, 12, 31), "31 December 1999", id="last-month"),
        pytest.param(date(2024, 1, 1), "1 January 2024", id="first-month"),
    ],
)
def test_dates_in_words(value: date, said: str) -> None:
    """A date is read in English, and by machines."""
    assert render.day(value) == f'<time datetime="{value.isoformat()}">{said}</time>'
    assert render.day_month(value) == f'<time datetime="{value.isoformat()}">{said[:-5]}</time>'


def luminance(colour: str) -> float:
    """Relative luminance. Source: WCAG 2.2, definition of relative luminance."""
    channels = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio. Source: WCAG 2.2, definition of contrast ratio."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("scheme", [pytest.param(0, id="light"), pytest.param(1, id="dark")])
@pytest.mark.parametrize("ground", ["ground", "panel", "tint"])
@pytest.mark.parametrize("words", ["ink", "ink-2", "blue", "ok", "apart"])
def test_words_stand_out_from_their_ground(scheme: int, ground: str, words: str) -> None:
    """Words of every colour can be read on every ground, by day and by night. Source: WCAG 2.2, 1.4.3, at least 4.5."""
    tokens = re.findall(r"--([\w-]+): light-dark\((#\w{6}), (#\w{6})\)", STYLES.read_text())
    colours = {name: pair[scheme] for name, *pair in tokens}

    assert contrast(colours[words], colours[ground]) >= 4.5
