"""The sample pages in a browser: leaders, numbers, filters; what only a laid-out page can show."""

from __future__ import annotations

import base64
import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route

from buildlog.figures.lettering import label_room
from buildlog.pages import render
from buildlog.pages.plate_layout import STYLE, callout_words, margin_orders
from buildlog.pages.views import CataloguePage
from tests.pages import samples
from tests.pages.made_plates import made_plates
from tests.plates import broken_laws, read_plates

pytestmark = pytest.mark.browser

ASSETS = Path(render.__file__).parent / "assets"
HOST = "http://sheet.test/"
PIXEL = base64.b64decode("R0lGODlhAQABAIAAAAAAAP///yH5BAEAAAAALAAAAAABAAEAAAIBRAA7")
KINDS = {".css": "text/css", ".js": "text/javascript", ".woff2": "font/woff2"}


@pytest.fixture
def open_page(browser: Browser) -> Iterator[Callable[..., Page]]:
    """Open a view at a width, in the plainest shell there is."""
    contexts = []

    def open_it(view: render.View, width: int, *, scripts: bool = True, after: str = "") -> Page:
        inner = render.render_view(view, samples.FRAME)
        modules = "".join(f'<script type="module" src="/{name}.js"></script>' for name in ("walkaround", "catalogue"))
        html = (
            '<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">'
            f'<title>Sheet</title><link rel="stylesheet" href="/sheet.css"><main>{inner}</main>{modules}</html>'
        )

        def answer(route: Route) -> None:
            path = route.request.url.removeprefix(HOST).partition("?")[0]
            if path == view.address:
                route.fulfill(body=html, content_type="text/html")
            elif (ASSETS / path).is_file():
                route.fulfill(body=(ASSETS / path).read_bytes(), content_type=KINDS[Path(path).suffix])
            else:
                route.fulfill(body=PIXEL, content_type="image/gif")

        context = browser.new_context(viewport={"width": width, "height": 900}, java_script_enabled=scripts)
        contexts.append(context)
        page = context.new_page()
        page.route(HOST + "**", answer)
        page.goto(HOST + view.address + after)
        if scripts:
            page.evaluate("document.fonts.ready.then(() => new Promise(requestAnimationFrame))")
        return page

    yield open_it
    for context in contexts:
        context.close()


def held_to_their_laws(page: Page) -> tuple[list[str], set[int]]:
    """What is wrong with the plates of a page, and how many margins they have."""
    plates = read_plates(page)
    wrong = [f"picture {k}: {law}" for k, plate in enumerate(plates, start=1) for law in broken_laws(plate)]
    return wrong, {plate["margins"] for plate in plates}


@pytest.mark.parametrize(
    ("width", "margins"), [(820, {0, 1}), (1100, {0, 1}), (1360, {0, 2}), (1920, {0, 2})], ids=lambda value: str(value)
)
def test_any_plate_keeps_the_laws(open_page, width, margins):
    """Fifty made plates: no crossing, no overlap, no leader over another's point, no words off their plate."""
    page = open_page(replace(samples.PROGRESS, plates=tuple(made_plates(11, 50)), turntables=()), width)

    assert held_to_their_laws(page) == ([], margins)


def test_labels_are_as_tall_as_was_reckoned(open_page):
    """Of the labels of 50 made plates at 1360 px at least 95 in 100 stand as tall as reckoned, to 2 px."""
    plates = [plate for plate in made_plates(11, 50) if plate.orders.left or plate.orders.right]
    page = open_page(replace(samples.PROGRESS, plates=tuple(plates), turntables=()), 1360)
    stand = [one["words"][3] - one["words"][1] for plate in read_plates(page) for one in plate["callouts"]]
    reckoned = [label_room(callout_words(one), STYLE).height for plate in plates for one in plate.callouts]

    off = [abs(a - b) for a, b in zip(stand, reckoned, strict=True)]
    assert len(off) > 200
    assert sum(each <= 2 for each in off) >= 0.95 * len(off)


@pytest.mark.parametrize("width", [1180, 1360, 1920])
def test_every_callout_has_its_leader(open_page, width):
    """On a wide page all words of the sample stand in the margins, each with a leader."""
    page = open_page(samples.PROGRESS, width)
    plate = read_plates(page)[0]

    assert broken_laws(plate) == []
    assert [one["kind"] for one in plate["callouts"]] == ["straight"] * 7


def test_picture_stays_the_subject(open_page):
    """At 1360 pixels the picture of a walkaround is at least 720 wide."""
    page = open_page(samples.PROGRESS, 1360)

    assert page.locator(".plate .shot").first.bounding_box()["width"] >= 720


def test_points_closer_than_a_finger_are_told_apart(open_page):
    """Two callouts of one point stand 24 px apart, and the later is tied to where it belongs."""
    twins = [samples.callout(n, f"twin-{n}", f"Twin {n}", "Of two.", (0.5, 0.5)) for n in (1, 2)]
    plate = replace(samples.PLATES[0], callouts=tuple(twins), orders=margin_orders(samples.BOW, twins))
    page = open_page(replace(samples.PROGRESS, plates=(plate,), turntables=()), 1360)
    laid_out = read_plates(page)[0]

    one, other = (
        [(a + c) / 2 for a, c in zip(each["mark"], each["mark"][2:], strict=False)] for each in laid_out["callouts"]
    )
    assert broken_laws(laid_out) == []
    assert math.dist(one, other) >= 23.9
    assert page.locator(".leaders .tie").count() == 1


@pytest.mark.parametrize("width", [390, 820, 1360])
def test_more_than_twelve_callouts_are_numbered_with_a_list(open_page, width):
    """Thirteen callouts make numbers on the picture, told apart, and a list; on a wide page in two columns."""
    many = [samples.callout(n, f"m-{n}", f"Item {n}", "One of many.", (0.4 + n / 100, 0.5)) for n in range(1, 14)]
    plate = replace(samples.PLATES[0], callouts=tuple(many), orders=margin_orders(samples.BOW, many))
    page = open_page(replace(samples.PROGRESS, plates=(plate,), turntables=()), width)
    laid_out = read_plates(page)[0]

    assert laid_out["margins"] == 0
    assert broken_laws(laid_out) == []
    assert len({one["words"][0] for one in laid_out["callouts"]}) == (1 if width == 390 else 2)
    assert all(one["words"][1] >= laid_out["figure"][3] for one in laid_out["callouts"])


@pytest.mark.parametrize("width", [390, 640])
def test_numbers_on_a_picture_stay_apart(open_page, width):
    """On a narrow page every point has a number on the picture, and no number lies on another or far off the edge."""
    page = open_page(samples.PROGRESS, width)
    laid_out = read_plates(page)[0]
    left, top, right, bottom = laid_out["shot"]
    numbers = [one["number"] for one in laid_out["callouts"]]

    assert broken_laws(laid_out) == []
    for box in numbers:
        assert left <= (box[0] + box[2]) / 2 <= right
        assert top <= (box[1] + box[3]) / 2 <= bottom


def test_leaders_follow_the_width(open_page):
    """When the window is made narrow the leaders go and the numbers come, and back again."""
    page = open_page(samples.PROGRESS, 1360)
    stubs = page.locator(".plate").first.locator(".stub")
    seen = [stubs.count()]
    for width, wanted in ((390, 0), (1360, 7)):
        page.set_viewport_size({"width": width, "height": 900})
        page.wait_for_function(f"document.querySelector('.plate').querySelectorAll('.stub').length === {wanted}")
        seen.append(stubs.count())

    assert seen == [7, 0, 7]


@pytest.mark.parametrize("width", [390, 1360])
def test_without_scripts_points_are_numbered(open_page, width):
    """Without scripts every point and every callout shows its number."""
    page = open_page(samples.PROGRESS, width, scripts=False)
    plate = page.locator(".plate").first

    assert plate.locator(".shot .number:visible").all_inner_texts() == list("1234567")
    assert plate.locator(".callout > .number:visible").all_inner_texts() == list("1234567")


def test_words_and_point_light_together(open_page):
    """Coming to a point by keyboard lights its words and its whole leader; leaving it puts the light out."""
    page = open_page(samples.PROGRESS, 1360)
    plate = page.locator(".plate").first
    plate.locator(".point").first.focus()
    lit = plate.locator("[data-lit]").evaluate_all("all => all.map(e => e.dataset.callout)")
    page.locator("a").first.focus()

    assert lit == ["1", "1", "1", "1"]
    assert plate.locator("[data-lit]").count() == 0


@pytest.mark.parametrize("anchor", ["port-sidelight", "sidelight", "tyres"])
def test_callout_in_the_address_is_lit(open_page, anchor):
    """A link to a callout lights it, by any of its anchors."""
    page = open_page(samples.PROGRESS, 1360, after=f"#{anchor}")
    lit = page.locator(".callout[data-lit]")

    assert lit.count() == 1
    assert page.evaluate(f"document.querySelector('.callout[data-lit]').contains(document.getElementById('{anchor}'))")


def catalogue_shows(page: Page) -> list[str]:
    """Names in the order shown."""
    return page.locator("[data-show]:not([hidden]) :is(.card h3, tbody th):visible").all_inner_texts()


def test_catalogue_reads_the_address(open_page):
    """What the address chooses is chosen, and a word it does not know is left aside."""
    page = open_page(samples.CATALOGUE, 1360, after="?year=2025&show=table&sort=-length&kind=submarine")

    assert catalogue_shows(page) == ["Bramble", "Kestrin 38"]
    assert page.locator("[data-count]").inner_text() == "2"


def test_catalogue_writes_the_address(open_page):
    """What is chosen can be sent on as an address."""
    page = open_page(samples.CATALOGUE, 1360)
    page.locator("select[name=kind]").select_option("vessel")
    page.get_by_text("as a table", exact=True).click()
    page.get_by_role("button", name="Length").click()

    assert page.url == f"{HOST}catalogue/?kind=vessel&show=table&sort=length"
    assert catalogue_shows(page) == ["Corriemoor"]


@pytest.mark.parametrize(
    ("key", "order"),
    [
        pytest.param("length", ["Kestrin 38", "Bramble", "Corriemoor"], id="length-by-size"),
        pytest.param("scale", ["Bramble", "Kestrin 38", "Corriemoor"], id="scale-by-ratio"),
        pytest.param("basis", ["Corriemoor", "Bramble", "Kestrin 38"], id="blank-last"),
        pytest.param("-basis", ["Bramble", "Corriemoor", "Kestrin 38"], id="blank-last-downwards-too"),
    ],
)
def test_catalogue_sorts_by_worth(open_page, key, order):
    """Sizes and scales are sorted by what they mean, and what is not known comes last."""
    page = open_page(samples.CATALOGUE, 1360, after=f"?show=table&sort={key}")

    assert catalogue_shows(page) == order


def test_catalogue_says_when_nothing_fits(open_page):
    """Filters that leave nothing say so, and leave no empty heading."""
    page = open_page(samples.CATALOGUE, 1360, after="?kind=vessel&scale=1:8")

    assert page.get_by_text("Nothing here fits all of these.").is_visible()
    assert page.locator("h2:visible").count() == 0


def test_catalogue_of_nothing_runs(open_page):
    """A catalogue without commissions is a page without a mistake."""
    said: list[str] = []
    page = open_page(CataloguePage("catalogue/", (), "", None), 390)
    page.on("pageerror", lambda error: said.append(str(error)))
    page.reload()

    assert said == []


@pytest.mark.parametrize("width", [320, 390, 820, 1360, 1920])
@pytest.mark.parametrize("name", samples.VIEWS)
def test_pages_fit_their_width(open_page, name, width):
    """No page scrolls sideways, down to 320 pixels. Source: WCAG 2.2, 1.4.10 Reflow."""
    page = open_page(samples.VIEWS[name], width)

    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_print_says_everything(open_page):
    """On paper points are numbered, leaders and filters are gone, and what is folded away is told."""
    progress, build = open_page(samples.PROGRESS, 1360), open_page(samples.BUILD, 1360)
    for page in (progress, build):
        page.emulate_media(media="print")

    assert progress.locator(".plate .callout > .number:visible").count() == 8
    assert progress.locator(".leaders:visible").count() == 0
    assert build.locator("details table").bounding_box()["height"] > 50
