"""The walkaround's callouts in a browser: leaders, numbers, light, addresses, and all of it without a script."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.plates import broken_laws, read_plates

PAGE = "builds/corriemoor/2026-08-15-markings/"
LIT = "[...document.querySelectorAll('.callout[data-lit]')].map(words => words.dataset.callout)"
IN_SIGHT = """element => {
    const box = element.getBoundingClientRect(), x = (box.left + box.right) / 2, y = (box.top + box.bottom) / 2;
    const there = document.elementFromPoint(x, y);
    return box.top >= 0 && box.bottom <= innerHeight && (element.contains(there) || there?.contains(element));
}"""
STILL = """() => new Promise(done => {
    let last = scrollY, same = 0;
    const look = () => {
        same = scrollY === last ? same + 1 : 0;
        last = scrollY;
        same > 12 ? done() : requestAnimationFrame(look);
    };
    requestAnimationFrame(look);
})"""
PHONE = {"width": 390, "height": 844, "has_touch": True, "is_mobile": True}
TABLET = {"width": 820, "height": 1180, "has_touch": True, "is_mobile": True}

pytestmark = pytest.mark.browser


@pytest.fixture(scope="session")
def updates(demo_site: Path) -> list[str]:
    """Addresses of every page of the demo that shows callouts."""
    pages = sorted(demo_site.glob("builds/*/*/index.html"))
    found = [page.parent.relative_to(demo_site).as_posix() + "/" for page in pages if "callouts" in page.read_text()]
    assert len(found) >= 9
    return found


@pytest.mark.parametrize("width", [820, 1100, 1360, 1920])
def test_every_plate_of_the_demo_keeps_the_laws(open_demo, updates, width):
    """No crossing, no overlap, no leader over another's point, no words off their plate, on every page."""
    wrong, margins = [], set()
    for where in updates:
        page = open_demo(where, width)
        for number, plate in enumerate(read_plates(page), start=1):
            margins.add(plate["margins"])
            wrong += [f"{where} picture {number}: {law}" for law in broken_laws(plate)]
        page.context.close()

    assert wrong == []
    assert margins == ({2} if width >= 1360 else {0, 1})


def test_the_picture_stays_the_subject(open_demo):
    """At 1360 px a picture with words in both margins is at least 720 px wide."""
    plates = read_plates(open_demo(PAGE))

    assert all(plate["shot"][2] - plate["shot"][0] >= 720 for plate in plates)


@pytest.mark.parametrize("screen", [pytest.param(PHONE, id="phone"), pytest.param(TABLET, id="tablet")])
def test_tapping_a_point_shows_the_pair(open_demo, screen):
    """A tap on a point brings its words into sight, leaves the point there, lights both, and is in the address."""
    page = open_demo(PAGE, **screen)
    read_plates(page)
    point = page.locator(".plate").first.locator(".shot [data-callout='8']")
    point.scroll_into_view_if_needed()

    point.tap()
    page.evaluate(STILL)

    words = page.locator(".plate").first.locator(".callout[data-callout='8']")
    assert page.evaluate(LIT) == ["8"]
    assert point.evaluate(IN_SIGHT)
    assert words.evaluate(IN_SIGHT)
    assert re.search(r"#funnel-band-[0-9a-f]{8}$", page.url)


def test_tapping_an_entry_shows_the_pair(open_demo):
    """A tap on words lights their point, which stays in sight above the list."""
    page = open_demo(PAGE, **PHONE)
    read_plates(page)
    words = page.locator(".plate").first.locator(".callout[data-callout='7']")
    page.locator(".plate").first.locator(".callout[data-callout='8']").scroll_into_view_if_needed()
    page.evaluate(STILL)

    words.locator("h4").tap()
    page.evaluate(STILL)

    assert page.evaluate(LIT) == ["7"]
    assert page.locator(".plate").first.locator(".shot [data-callout='7']").evaluate(IN_SIGHT)
    assert words.locator("h4").evaluate(IN_SIGHT)


@pytest.mark.parametrize(
    "screen", [pytest.param(PHONE, id="phone"), pytest.param({"width": 1360, "height": 900}, id="desk")]
)
@pytest.mark.parametrize(
    ("anchor", "plate", "key"),
    [
        pytest.param("load-line", 0, "5", id="first-of-several"),
        pytest.param("whistle", 3, "5", id="own-id"),
        pytest.param("searchlight", 4, "5", id="words-alone"),
    ],
)
def test_the_address_opens_the_page_at_a_callout(open_demo, screen, anchor, plate, key):
    """With `#callout-id` the words and the point are in sight and lit; both together, as far as the window is tall."""
    page = open_demo(f"{PAGE}#{anchor}", **screen)
    read_plates(page)
    page.evaluate(STILL)

    pair = page.locator(".plate").nth(plate)
    assert page.evaluate(LIT) == [key]
    assert pair.locator(f".callout[data-callout='{key}']").evaluate(IN_SIGHT)
    assert pair.locator(f".shot [data-callout='{key}']").evaluate(IN_SIGHT)


def test_a_point_leads_to_its_words_by_keyboard(open_demo):
    """Enter on a point takes the focus to its words, so that what comes next is read from there; Back comes back."""
    page = open_demo(PAGE)
    read_plates(page)
    before = page.url
    page.locator(".plate").first.locator(".shot [data-callout='3']").focus()

    page.keyboard.press("Enter")

    assert page.evaluate("document.activeElement.dataset.callout") == "3"
    assert page.evaluate("document.activeElement.matches('.callout')")
    assert re.fullmatch(re.escape(before) + r"#port-sidelight-[0-9a-f]{8}", page.url)
    page.go_back()
    page.wait_for_function(f"({LIT}).length === 0 || document.activeElement.dataset.callout === '3'")
    assert page.url == before


def test_copy_link_copies_the_callouts_own_address(open_demo):
    """The control copies the stable address, says so, aloud too, and is itself again after a while."""
    page = open_demo(PAGE, clock=True, permissions=["clipboard-read", "clipboard-write"])
    page.clock.run_for(1000)
    copy = page.locator(".plate").first.locator(".callout[data-callout='7'] button")

    copy.focus()
    copy.press("Enter")
    page.wait_for_function("document.querySelector('[role=status].unseen').textContent === 'Copied'")

    assert copy.inner_text().startswith("Copied")
    copied = page.evaluate("navigator.clipboard.readText()")
    assert re.fullmatch(re.escape(page.url) + r"#bow-fender-[0-9a-f]{8}", copied)
    page.clock.run_for(3000)
    assert copy.inner_text().startswith("Copy link")


def test_copy_link_is_not_offered_where_it_cannot_be_done(open_demo, browser, address):
    """Without a clipboard there is no control for it."""
    context = browser.new_context()
    page = context.new_page()
    page.add_init_script("Object.defineProperty(navigator, 'clipboard', {value: undefined})")

    page.goto(address + PAGE, wait_until="networkidle")

    assert page.get_by_role("button", name=re.compile("Copy link")).count() == 0
    assert page.locator(".callout .actions a").count() > 40
    context.close()


def test_requests_are_quiet_until_looked_at(open_demo):
    """With a mouse, asking and copying show beside the words that are hovered or focused; with fingers always."""
    desk, phone = open_demo(PAGE), open_demo(PAGE, **PHONE)
    read_plates(desk)
    opacity = "all => all.map(line => getComputedStyle(line).opacity)"
    quiet = desk.locator(".plate .actions").evaluate_all(opacity)
    words = desk.locator(".plate").first.locator(".callout[data-callout='5']")
    words.locator("h4").hover()

    assert set(quiet) == {"0"}
    assert words.locator(".actions").evaluate("line => getComputedStyle(line).opacity") == "1"
    assert set(phone.locator(".plate .actions").evaluate_all(opacity)) == {"1"}


@pytest.mark.parametrize("width", [390, 1360])
def test_without_scripts_points_are_numbered_and_the_list_is_complete(open_demo, width):
    """Every point shows its number, and every entry of the list its number and its words, below the picture."""
    page = open_demo(PAGE, width, java_script_enabled=False)
    plate = page.locator(".plate").first

    numbers = [str(number) for number in range(1, 9)]
    assert plate.locator(".shot .number:visible").all_inner_texts() == numbers
    assert plate.locator(".callout > .number:visible").all_inner_texts() == numbers
    assert plate.locator(".callout h4:visible").count() == 8
    figure = plate.locator("figure").bounding_box()
    assert plate.locator(".callout").first.bounding_box()["y"] >= figure["y"] + figure["height"]


def test_print_shows_numbers_and_the_whole_list(open_demo):
    """On paper points are numbered, the list stands below its picture, and no leader or control is left."""
    page = open_demo(PAGE)
    read_plates(page)

    page.emulate_media(media="print")

    plate = page.locator(".plate").first
    numbers = [str(number) for number in range(1, 9)]
    assert plate.locator(".shot .number:visible").all_inner_texts() == numbers
    assert plate.locator(".callout > .number:visible").all_inner_texts() == numbers
    assert page.locator(".plate > .leaders:visible, .plate .actions:visible").count() == 0
    figure = plate.locator("figure").bounding_box()
    assert plate.locator(".callout").first.bounding_box()["y"] >= figure["y"] + figure["height"] - 1


def test_leaders_follow_the_window(open_demo):
    """Made narrow, leaders give way to numbers; made wide, they come back where they were."""
    page = open_demo(PAGE)
    first = read_plates(page)
    page.set_viewport_size({"width": 390, "height": 844})
    page.wait_for_function("!document.querySelector('.plate[data-leaders]')")
    narrow = read_plates(page)
    page.set_viewport_size({"width": 1360, "height": 900})
    page.wait_for_function("document.querySelector('.plate').matches('[data-leaders]')")

    assert {plate["margins"] for plate in narrow} == {0}
    for before, after in zip(first, read_plates(page), strict=True):
        for one, other in zip(before["callouts"], after["callouts"], strict=True):
            assert one["kind"] == other["kind"]
            assert one["words"] == pytest.approx(other["words"], abs=1)


def test_a_feature_told_before_says_where(open_demo):
    """The second callout of a feature is short and leads to the first, where it is told in full."""
    page = open_demo(PAGE)
    link = page.locator(".plate").nth(2).get_by_role("link", name="In full at picture 1").first

    link.click()
    page.wait_for_url(re.compile("#"))

    assert (
        page.evaluate("document.querySelector('.callout[data-lit]').closest('.plate').querySelector('h3').textContent")
        == "Port bow"
    )


def test_larger_text_keeps_the_laws(open_demo, updates):
    """At 200 % zoom, and with text alone twice as large, plates keep their laws and nothing scrolls sideways."""
    zoomed = open_demo(updates[0], 680, 450, device_scale_factor=2)
    large = open_demo(PAGE)
    large.add_style_tag(content=":root, html { --u: 1.4rem !important }")
    large.wait_for_timeout(300)

    for page in (zoomed, large):
        assert [law for plate in read_plates(page) for law in broken_laws(plate)] == []
        assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
