"""The walkaround as a film: order, words, time, and whoever drives it."""

from __future__ import annotations

import itertools
import re

import pytest

from tests.demo.test_access import AXE, JUDGE, SCREENS

PAGE = "builds/corriemoor/2026-08-15-markings/"
SHORT = "builds/kestrin-38/2026-07-11-primer/"
BREATH = 1000
LEAST = 3000
SLOWEST_MOVE = 3400
FRAME = 17
"""Milliseconds."""

pytestmark = pytest.mark.browser

TOLD_ON_PAGE = """() => [...document.querySelectorAll('.plate')].flatMap(plate => {
    const name = plate.querySelector('.plate-name').textContent;
    return [name, ...[...plate.querySelectorAll('.callout')].map(one => one.querySelector('h4')?.textContent ?? name)];
})"""
TITLE = """() => {
    const title = document.querySelector('.film-title').cloneNode(true);
    title.querySelector('.number')?.remove();
    return title.textContent.trim();
}"""
CAPTION = """() => {
    const live = document.querySelector('.film-live');
    const numbers = [...live.querySelectorAll('.number')];
    numbers.forEach(one => one.hidden = true);
    const said = live.innerText;
    numbers.forEach(one => one.hidden = false);
    return said;
}"""
WHERE = """() => {
    const stage = document.querySelector('.film-stage'), words = document.querySelector('.film-words');
    const box = element => { const b = element.getBoundingClientRect(); return [b.left, b.top, b.right, b.bottom]; };
    const lit = stage.querySelector('[data-lit]');
    return {stage: box(stage), words: box(words), mark: lit && box(lit), picture: box(stage.querySelector('img')),
            line: document.querySelector('.film-leader').hasAttribute('data-drawn')};
}"""


def at(page):
    """Number of the stop that is shown, and how many there are."""
    return tuple(map(int, re.match(r"(\d+) of (\d+)", page.locator(".film-count").inner_text()).groups()))


def needed(page, pace=200):
    """Milliseconds that the caption needs at a pace: a second, and the time its words take to read."""
    words = [word for word in re.split(r"\s+", page.evaluate(CAPTION)) if re.search(r"\w", word)]
    return max(LEAST, BREATH + len(words) * 60000 / pace)


def play(page):
    page.locator(".film-open").click()


@pytest.fixture
def still_film(open_demo):
    """The film standing at its first stop, with cuts for moves."""

    def open_film(where=PAGE, *sizes, **options):
        page = open_demo(where, *sizes, reduced_motion="reduce", **options)
        page.locator(".film-step").click()
        return page

    return open_film


@pytest.fixture
def timed_film(open_demo):
    """The film just begun, in a time that stands still until a test lets it run."""

    def open_film(motion="reduce", where=PAGE):
        page = open_demo(where, clock=True, reduced_motion=motion)
        page.clock.pause_at(page.evaluate("Date.now()") / 1000 + 1)
        play(page)
        page.clock.run_for(FRAME)
        return page

    return open_film


@pytest.mark.parametrize("where", [PAGE, SHORT], ids=["long", "short"])
def test_the_film_tells_all_in_the_order_of_the_page(still_film, where):
    """Each picture as a whole, then each of its callouts, in the record's order."""
    page = still_film(where)
    told = page.evaluate(TOLD_ON_PAGE)
    shown = []
    for _ in told:
        shown.append(page.evaluate(TITLE))
        page.keyboard.press("ArrowRight")

    assert shown == told
    assert at(page) == (len(told), len(told))


def test_captions_say_what_the_page_says(still_film):
    """Words, how it was made and its outcome; nothing that can be pressed, and no id twice."""
    page = still_film()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")

    said = page.evaluate(CAPTION)
    assert "Red lens fitted outside the screen." in said
    assert "Signal red" in said
    assert "Simplified" in said
    assert page.locator(".film-live :is(a, button, [id])").count() == 0


@pytest.mark.parametrize("pace", [140, 200, 300], ids=["slower", "normal", "faster"])
def test_each_stop_lasts_as_long_as_its_words_take_to_read(timed_film, pace):
    """A second and the words at the stated pace, never under three seconds; to the frame."""
    page = timed_film()
    page.locator(".film-pace select").select_option(str(pace))

    for stop in (1, 2, 3, 4):
        page.clock.run_for(needed(page, pace) - 4 * FRAME)
        assert at(page)[0] == stop
        frames = 0
        while at(page)[0] == stop and frames < 20:
            page.clock.run_for(FRAME)
            frames += 1
        assert at(page)[0] == stop + 1
        assert frames <= 6


def test_reading_begins_when_the_picture_has_moved_there(timed_film):
    """A move takes from one to three seconds; the words stand from its beginning and their time runs from its end."""
    page = timed_film("no-preference")
    page.clock.run_for(needed(page) + 4 * FRAME)
    assert at(page)[0] == 2
    before = page.evaluate(WHERE)["picture"]

    page.clock.run_for(400)
    moving = page.evaluate(WHERE)["picture"]
    page.clock.run_for(SLOWEST_MOVE)
    there = page.evaluate(WHERE)["picture"]
    page.clock.run_for(500)

    assert before != moving != there
    assert there == page.evaluate(WHERE)["picture"]
    page.clock.run_for(needed(page) - SLOWEST_MOVE - 500 - 400)
    assert at(page)[0] == 2
    page.clock.run_for(SLOWEST_MOVE)
    assert at(page)[0] == 3


def test_moves_are_gentle(timed_film):
    """From frame to frame the picture neither jumps nor jerks: no step is over a fifteenth of the stage."""
    page = timed_film("no-preference")
    page.keyboard.press("ArrowRight")
    steps = []
    for _ in range(90):
        steps.append(page.evaluate(WHERE)["picture"])
        page.clock.run_for(34)

    width = page.evaluate(WHERE)["stage"][2]
    jumps = [max(abs(a - b) for a, b in zip(one, two, strict=True)) for one, two in itertools.pairwise(steps)]
    assert max(jumps) > 1
    assert max(jumps) < width / 15
    assert jumps[0] < 4
    assert jumps[-1] == 0


def test_with_reduced_motion_the_film_cuts(timed_film):
    """A stop is in its place at once, and nothing moves afterwards."""
    page = timed_film("reduce")
    page.keyboard.press("ArrowRight")
    at_once = page.evaluate(WHERE)["picture"]
    page.clock.run_for(1500)

    assert page.evaluate(WHERE)["picture"] == at_once
    assert page.evaluate("document.querySelector('.film').getAnimations({subtree: true}).length") == 0


def test_the_end_is_the_end_unless_asked(timed_film):
    """After the last stop it stands still and can be played again; with the box ticked it goes on at the first."""
    page = timed_film()
    page.keyboard.press("End")
    page.clock.run_for(needed(page) + 100)
    last, count = at(page)
    assert last == count
    assert page.locator(".film-play").inner_text() == "Play again"

    page.locator(".film-loop input").check()
    page.locator(".film-play").click()
    assert at(page)[0] == 1
    page.locator(".film-words").focus()
    page.keyboard.press("End")
    page.clock.run_for(needed(page) + 100)

    assert at(page)[0] == 1
    assert page.locator(".film-play").inner_text() == "Pause"


def test_paused_time_does_not_count(timed_film):
    """What was read before a pause stays read, and nothing goes on in it."""
    page = timed_film()
    hold = needed(page)
    page.clock.run_for(hold - 1000)
    page.keyboard.press("Space")
    page.clock.run_for(60000)
    assert at(page)[0] == 1
    assert page.locator(".film-play").inner_text() == "Play"

    page.keyboard.press("Space")
    page.clock.run_for(900)
    assert at(page)[0] == 1
    page.clock.run_for(200)

    assert at(page)[0] == 2


def test_the_keyboard_drives_the_film(still_film):
    """Every key of the list does what the list says, wherever the focus stands but in a field."""
    page = still_film()
    page.locator(".film-words").focus()
    count = at(page)[1]

    keys = ["ArrowRight", "ArrowRight", "ArrowLeft", "End", "Home", "PageDown", "PageUp"]
    shown = [page.keyboard.press(key) or at(page)[0] for key in keys]

    second_picture = 2 + page.locator(".plate").first.locator(".callout").count()
    assert shown == [2, 3, 2, count, 1, second_picture, 1]
    page.keyboard.press("+")
    assert page.locator(".film-pace select").input_value() == "300"
    page.keyboard.press("-")
    page.keyboard.press("-")
    assert page.locator(".film-pace select").input_value() == "140"
    page.keyboard.press("?")
    assert page.locator(".film-keys").is_visible()
    assert page.locator(".film-ask-keys").get_attribute("aria-expanded") == "true"
    page.keyboard.press("Space")
    assert page.locator(".film-play").inner_text() == "Pause"
    page.keyboard.press("Escape")
    assert not page.locator("dialog.film").is_visible()


def test_left_and_resumed(still_film):
    """Leaving gives the focus back; the button then says where it goes on, and does."""
    page = still_film()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Escape")

    assert page.evaluate("document.activeElement.matches('.film-step')")
    assert page.locator(".film-open").inner_text() == f"Go on with the walkaround, 3 of {stops(page)}"
    play(page)
    assert at(page)[0] == 3
    assert page.evaluate("document.activeElement.matches('.film-play')")
    assert page.locator(".film-play").inner_text() == "Pause"


def stops(page):
    return len(page.evaluate(TOLD_ON_PAGE))


def test_focus_stays_in_the_film(still_film):
    """It is a dialog with a name; the page behind it cannot be reached with Tab."""
    page = still_film()
    reached = set()
    for _ in range(24):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.closest('dialog.film, body').tagName"))

    assert reached <= {"DIALOG", "BODY"}
    assert page.get_by_role("dialog", name="Walkaround").count() == 1
    assert page.evaluate("document.activeElement.matches('main *:not(dialog *)')") is False


def test_screen_readers_get_each_caption(still_film):
    """The words stand in a region that is read out when it changes, as a whole."""
    page = still_film()
    live = page.locator(".film-live")

    assert (live.get_attribute("aria-live"), live.get_attribute("aria-atomic")) == ("polite", "true")
    assert page.evaluate(TITLE) in live.inner_text()


def test_touch_drives_the_film(still_film, fingers):
    """A tap pauses and goes on, a swipe to the left is the next stop, to the right the one before."""
    page = still_film(PAGE, 390, 844, has_touch=True, is_mobile=True)
    hand = fingers(page)
    box = page.locator(".film-stage").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    hand.swipe((x + 90, y), (x - 90, y))
    assert at(page)[0] == 2
    hand.swipe((x + 90, y), (x - 90, y))
    hand.swipe((x - 90, y), (x + 90, y))
    assert at(page)[0] == 2
    page.touchscreen.tap(x, y)
    assert page.locator(".film-play").inner_text() == "Pause"
    page.touchscreen.tap(x, y)
    assert page.locator(".film-play").inner_text() == "Play"
    page.locator(".film-steps button").last.tap()
    assert at(page)[0] == 3


@pytest.mark.parametrize("size", [(390, 844), (820, 1180), (1360, 900), (844, 390)], ids=str)
def test_every_callout_is_framed_and_never_covered(still_film, size):
    """Its point lies well inside the stage, a leader is drawn to it, and no word stands over the stage."""
    page = still_film(PAGE, *size)
    for _ in range(24):
        page.keyboard.press("ArrowRight")
        seen = page.evaluate(WHERE)
        left, top, right, bottom = seen["stage"]
        words_left, words_top, _, _ = seen["words"]
        assert words_left >= right - 1 or words_top >= bottom - 1
        if seen["mark"] is None:
            continue
        a, b, c, d = seen["mark"]
        assert left + 8 <= (a + c) / 2 <= right - 8
        assert top + 8 <= (b + d) / 2 <= bottom - 8
        assert seen["line"]
        # nothing beside the picture is shown that need not be
        p = seen["picture"]
        assert p[2] - p[0] < right - left + 1 or (p[0] <= left + 1 and p[2] >= right - 1)
        assert p[3] - p[1] < bottom - top + 1 or (p[1] <= top + 1 and p[3] >= bottom - 1)

    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0


def test_only_larger_pictures_are_fetched(open_demo):
    """A tour asks for nothing but the page's own pictures, at the width the page has them or larger."""
    page = open_demo(SHORT, reduced_motion="reduce")
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.locator(".film-step").click()
    for _ in range(40):
        page.keyboard.press("ArrowRight")
        page.wait_for_timeout(30)
    page.wait_for_load_state("networkidle")

    widths = page.evaluate(
        """() => Object.fromEntries([...document.querySelectorAll('.plate .shot picture')].flatMap(picture => {
            const listed = [...picture.querySelectorAll('source')].flatMap(source => source.srcset.split(', '))
                .map(entry => [new URL(entry.split(' ')[0], document.baseURI).href, parseInt(entry.split(' ')[1])]);
            const has = listed.find(([url]) => url === picture.querySelector('img').currentSrc)[1];
            return listed.map(([url, width]) => [url, [width, has]]);
        }))"""
    )
    assert asked
    assert [url for url in asked if url not in widths or widths[url][0] < widths[url][1]] == []
    assert any(widths[url][0] > widths[url][1] for url in asked)


def test_the_whole_screen(still_film):
    """A button fills the screen and leaves it again."""
    page = still_film()
    assert page.evaluate("document.fullscreenEnabled")

    page.locator(".film-full").click()
    page.wait_for_function("document.fullscreenElement?.matches('.film-room')")
    assert page.locator(".film-full").inner_text() == "Leave full screen"
    page.locator(".film-words").focus()
    page.keyboard.press("f")

    page.wait_for_function("!document.fullscreenElement")
    assert page.locator("dialog.film").is_visible()


def test_without_scripts_there_is_no_film(open_demo):
    """Nothing offers what cannot be done."""
    page = open_demo(PAGE, java_script_enabled=False)

    assert page.locator(".film-ways, dialog").count() == 0
    assert page.get_by_text("Play the walkaround").count() == 0


@pytest.mark.parametrize("screen", SCREENS.values(), ids=SCREENS.keys())
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_barrier_is_found(open_demo, scheme, screen):
    """axe-core finds nothing in the film, at a picture and at a callout, with its keys shown."""
    page = open_demo(PAGE, color_scheme=scheme, reduced_motion="reduce", **screen)
    page.add_script_tag(content=AXE.read_text(encoding="utf-8"))
    page.locator(".film-step").click()
    at_picture = page.evaluate(JUDGE)
    page.keyboard.press("ArrowRight")
    page.keyboard.press("?")

    assert at_picture == []
    assert page.evaluate(JUDGE) == []


def test_keys_work_on_at_either_end(still_film):
    """A control that has nothing left to do keeps the focus, so that the keys go on."""
    page = still_film(SHORT)
    count = at(page)[1]
    page.keyboard.press("End")
    page.locator(".film-steps button").last.focus()
    page.keyboard.press("Enter")
    assert at(page)[0] == count
    page.keyboard.press("ArrowLeft")
    assert at(page)[0] == count - 1
    page.keyboard.press("Home")

    assert page.locator(".film-steps button").first.get_attribute("aria-disabled") == "true"
    assert page.evaluate("document.activeElement.textContent") == "Next"


def test_controls_are_large_enough(still_film):
    """Each control is 24 px and more both ways, and has a name (WCAG 2.2, 2.5.8 and 4.1.2)."""
    page = still_film(PAGE, 390, 844)
    boxes = page.evaluate(
        """() => [...document.querySelectorAll('.film :is(button, select, label)')].filter(one => one.offsetParent)
            .map(one => [one.textContent.trim(), one.offsetWidth, one.offsetHeight])"""
    )

    assert len(boxes) > 5
    assert [box for box in boxes if not box[0] or min(box[1:]) < 24] == []
