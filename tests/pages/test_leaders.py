"""The sample pages in a browser: leaders, numbers, filters; what only a laid-out page can show."""

from __future__ import annotations

import base64
import itertools
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route

from buildlog.pages import render
from buildlog.pages.views import CataloguePage
from tests.pages import samples

pytestmark = pytest.mark.browser

ASSETS = Path(render.__file__).parent / "assets"
HOST = "http://sheet.test/"
PIXEL = base64.b64decode("R0lGODlhAQABAIAAAAAAAP///yH5BAEAAAAALAAAAAABAAEAAAIBRAA7")
KINDS = {".css": "text/css", ".js": "text/javascript", ".woff2": "font/woff2"}

LAID_OUT = """plate => {
    const at = path => path.getAttribute('d').match(/-?[\\d.]+/g).map(Number);
    const corner = plate.getBoundingClientRect();
    const edges = element => {
        const box = element.getBoundingClientRect();
        return [box.left - corner.left, box.top - corner.top, box.right - corner.left, box.bottom - corner.top];
    };
    return {
        leaders: [...plate.querySelectorAll('.leaders g')].map(g => ({
            callout: g.dataset.callout,
            start: g.querySelector('.stub') ? at(g.querySelector('.stub')).slice(0, 2) : null,
            knee: g.querySelector('.stub') ? at(g.querySelector('.stub')).slice(2, 4) : null,
            tip: at(g.querySelector('.lead')).slice(-2),
        })),
        words: [...plate.querySelectorAll('.callout')].map(edges),
        numbers: [...plate.querySelectorAll('.shot .number')].filter(n => n.offsetParent).map(edges),
        shot: edges(plate.querySelector('.shot')),
    };
}"""


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


def crosses(a: dict[str, list[float]], b: dict[str, list[float]]) -> bool:
    """Whether two straight leaders cross, from knee to tip."""

    def side(p: list[float], q: list[float], r: list[float]) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return (
        side(a["knee"], a["tip"], b["knee"]) * side(a["knee"], a["tip"], b["tip"]) < 0
        and side(b["knee"], b["tip"], a["knee"]) * side(b["knee"], b["tip"], a["tip"]) < 0
    )


def overlap(a: list[float], b: list[float]) -> bool:
    """Whether two boxes of left, top, right and bottom share more than an edge."""
    return a[0] < b[2] - 1 and b[0] < a[2] - 1 and a[1] < b[3] - 1 and b[1] < a[3] - 1


@pytest.mark.parametrize("width", [1180, 1360, 1920])
def test_leaders_of_a_margin_do_not_cross(open_page, width):
    """On a wide page every callout has a leader, words stand clear of each other, and no leaders of a margin cross."""
    page = open_page(samples.PROGRESS, width)
    laid_out = page.locator(".plate").first.evaluate(LAID_OUT)
    leaders, words, shot = laid_out["leaders"], laid_out["words"], laid_out["shot"]
    margins = [[one for one in leaders if (one["start"][0] < shot[0]) is left] for left in (True, False)]

    assert sorted(one["callout"] for one in leaders) == list("1234567")
    assert [len(margin) for margin in margins] == [3, 4]
    assert not [pair for margin in margins for pair in itertools.combinations(margin, 2) if crosses(*pair)]
    assert not [pair for pair in itertools.combinations([*words, shot], 2) if overlap(*pair)]


def test_picture_stays_the_subject(open_page):
    """At 1360 pixels the picture of a walkaround is at least 720 wide."""
    page = open_page(samples.PROGRESS, 1360)

    assert page.locator(".plate .shot").first.bounding_box()["width"] >= 720


@pytest.mark.parametrize("width", [390, 820])
def test_numbers_on_a_picture_stay_apart(open_page, width):
    """On a narrow page every point has a number on the picture, and no number lies on another or beyond the edge."""
    page = open_page(samples.PROGRESS, width)
    laid_out = page.locator(".plate").first.evaluate(LAID_OUT)
    left, top, right, bottom = laid_out["shot"]

    assert len(laid_out["numbers"]) == 7
    assert not [pair for pair in itertools.combinations(laid_out["numbers"], 2) if overlap(*pair)]
    for box in laid_out["numbers"]:
        assert left - 2 <= box[0]
        assert box[2] <= right + 2
        assert top - 2 <= box[1]
        assert box[3] <= bottom + 2


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
    """Coming to a point by keyboard lights its words and its leader; leaving it puts the light out."""
    page = open_page(samples.PROGRESS, 1360)
    plate = page.locator(".plate").first
    plate.locator(".point").first.focus()
    lit = plate.locator("[data-lit]").evaluate_all("all => all.map(e => e.dataset.callout)")
    page.locator("a").first.focus()

    assert lit == ["1", "1", "1"]
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
