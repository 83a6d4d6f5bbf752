"""The turntable: turned by hand, by keys and by itself; what it fetches and when; its callouts and their frames."""

from __future__ import annotations

import pytest

PAGE = "builds/corriemoor/2026-10-10-turntable/"

pytestmark = pytest.mark.browser


def frame(page):
    return int(page.locator(".turn-count").inner_text().split(" of ")[0])


def bring(page):
    """Scroll to the turntable and wait until its frames have come."""
    page.evaluate("document.querySelector('.turntable .shot').scrollIntoView({block: 'center', behavior: 'instant'})")
    page.wait_for_function("!document.querySelector('.turntable .shot source')")


@pytest.fixture
def turntable(open_demo):
    """The turntable in view with all its frames, standing still."""

    def open_it(*sizes, **options):
        page = open_demo(PAGE, *sizes, **{"reduced_motion": "reduce", **options})
        bring(page)
        return page

    return open_it


def test_frames_are_fetched_when_it_comes_near(open_demo):
    """Far down the page it asks for nothing; once it is near, for one file of each frame and no more."""
    page = open_demo(PAGE, 1360, 500, reduced_motion="reduce")
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.evaluate("document.body.style.paddingBottom = '1px'")
    page.wait_for_timeout(300)
    assert asked == []

    bring(page)
    listed = page.evaluate(
        """() => [...document.querySelectorAll('.turntable .frames picture')].map(picture =>
            [...picture.querySelectorAll('source')].flatMap(source => source.srcset.split(', '))
                .map(entry => new URL(entry.split(' ')[0], document.baseURI).href))"""
    )
    assert len(listed) == 24
    # a frame which the walkaround shows as well may be at hand already
    fetched = [len([url for url in asked if url in files]) for files in listed]
    assert max(fetched) == 1
    assert sum(fetched) > 18


def test_keys_turn_it_round_and_round(turntable):
    """An arrow is a frame; before the first comes the last."""
    page = turntable()
    page.locator(".turn-bar input").focus()
    shown = [page.keyboard.press(key) or frame(page) for key in ("ArrowRight", "ArrowRight", "ArrowLeft")]
    assert shown == [2, 3, 2]

    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    assert frame(page) == 24
    page.keyboard.press("ArrowRight")

    assert frame(page) == 1
    assert page.locator(".turn-bar input").get_attribute("aria-valuetext").startswith("frame 1 of 24, Rust")


def test_each_frame_shows_its_picture(turntable):
    """What is seen is the file of the frame that is named."""
    page = turntable()
    page.locator(".turn-bar input").focus()
    files = page.evaluate("[...document.querySelectorAll('.turntable .frames picture')].map(one => one.innerHTML)")
    for number in (2, 3, 4):
        page.keyboard.press("ArrowRight")
        name = page.locator(".turntable .shot img").get_attribute("src").rsplit("/", 1)[1]

        assert name in files[number - 1]


def test_the_mouse_turns_it(turntable):
    """Drawn over four fifths of its width it turns once; halfway, half of it."""
    page = turntable()
    box = page.locator(".turntable .shot").bounding_box()
    x, y = box["x"] + box["width"] * 0.25, box["y"] + box["height"] * 0.2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + box["width"] * 0.4, y, steps=8)
    page.mouse.up()

    assert frame(page) == 13
    page.mouse.move(x, y)
    assert frame(page) == 13


def test_a_finger_turns_it(turntable, fingers):
    """A swipe to the left turns it back."""
    page = turntable(390, 844, has_touch=True, is_mobile=True)
    box = page.locator(".turntable .shot").bounding_box()
    x, y = box["x"] + box["width"] * 0.5, box["y"] + box["height"] * 0.2

    fingers(page).swipe((x, y), (x - box["width"] * 0.2, y))

    assert frame(page) == 19


def test_it_turns_once_slowly_and_rests(open_demo):
    """Once it is seen it turns by itself, shows every frame in order, and stands where it began."""
    page = open_demo(PAGE, clock=True)
    bring(page)
    page.wait_for_function("document.querySelector('.turn-play').textContent === 'Stop'")
    page.clock.pause_at(page.evaluate("Date.now()") / 1000 + 0.1)
    shown = []
    for _ in range(80):
        shown.append(frame(page))
        page.clock.run_for(200)

    turned = [number for number, before in zip(shown, [0, *shown], strict=False) if number != before]
    assert turned == [*range(turned[0], 25), 1]
    assert page.locator(".turn-play").inner_text() == "Turn slowly"


@pytest.mark.parametrize("by", ["touch", "button", "key"])
def test_it_stops_when_it_is_touched(open_demo, by):
    """A finger on it, its button or a key of its slider stop it, and it stays stopped."""
    page = open_demo(PAGE)
    bring(page)
    page.wait_for_function("document.querySelector('.turn-play').textContent === 'Stop'")
    if by == "touch":
        page.locator(".turntable .shot").click(position={"x": 20, "y": 20})
    elif by == "button":
        page.locator(".turn-play").click()
    else:
        page.locator(".turn-bar input").focus()
        page.keyboard.press("ArrowRight")
    stood = frame(page)
    page.wait_for_timeout(1500)

    assert frame(page) == stood
    assert page.locator(".turn-play").inner_text() == "Turn slowly"


def test_with_reduced_motion_it_stands_still(turntable):
    """Nothing turns by itself, and nothing offers to."""
    page = turntable()
    page.wait_for_timeout(1200)

    assert frame(page) == 1
    assert not page.locator(".turn-play").is_visible()


def test_callouts_show_on_their_frame_alone(turntable):
    """Each frame shows its own points and no others, and its words are marked in the list."""
    page = turntable()
    wanted = page.evaluate(
        "[...document.querySelectorAll('.frame-callout')].map(one => [one.dataset.callout, Number(one.dataset.frame)])"
    )
    assert len(wanted) == 4
    page.locator(".turn-bar input").focus()

    for number in range(1, 25):
        shown = page.locator(".turntable .shot [data-callout]:visible")
        assert shown.evaluate_all("all => all.map(one => one.dataset.callout)") == [
            callout for callout, its in wanted if its == number
        ]
        page.keyboard.press("ArrowRight")


def test_a_callout_of_the_list_turns_to_its_frame(turntable):
    """By its button, and by its address."""
    page = turntable()
    page.locator(".frame-callout[data-frame='13'] button").click()
    assert frame(page) == 13

    page.evaluate("location.hash = document.querySelector('.frame-callout[data-frame=\"7\"]').id")
    page.wait_for_function("document.querySelector('.turn-count').textContent.startsWith('7 ')")

    assert page.locator(".frame-callout[data-lit]").get_attribute("data-frame") == "7"


def test_without_scripts_a_still_the_strip_and_the_list(open_demo):
    """The first frame with its own points, every frame in the strip, every callout with its frame's number."""
    page = open_demo(PAGE, java_script_enabled=False)

    assert page.locator(".turntable .frames li:visible").count() == 24
    assert page.locator(".turntable .shot [data-callout]:visible").count() == 1
    frames = page.locator(".frame-callout .aside").all_inner_texts()
    assert [words.split(" of ")[0] for words in frames] == ["Frame 1", "Frame 7", "Frame 13", "Frame 19"]
    assert page.locator(".turn-bar").count() == 0


@pytest.mark.parametrize("width", [390, 820, 1360])
def test_controls_are_large_enough(turntable, width):
    """24 px and more both ways, and nothing scrolls sideways."""
    page = turntable(width)
    sizes = page.evaluate(
        """() => [...document.querySelectorAll('.turn-bar input, .turntable button')].filter(one => one.offsetParent)
            .map(one => [one.offsetWidth, one.offsetHeight])"""
    )

    assert len(sizes) == 5
    assert [size for size in sizes if min(size) < 24] == []
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
