"""The large picture: opened, zoomed, moved and closed by mouse, touch and keys, with its callouts on it."""

from __future__ import annotations

import pytest

from tests.demo.test_access import AXE, JUDGE, SCREENS

PAGE = "builds/corriemoor/2026-08-15-markings/"

pytestmark = pytest.mark.browser

SEEN = """() => {
    const stage = document.querySelector('.large-stage').getBoundingClientRect();
    const img = [...document.querySelectorAll('.large-stage > img')].at(-1).getBoundingClientRect();
    return {zoom: img.width / Math.min(stage.width, stage.height * img.width / img.height),
            x: img.left - stage.left, y: img.top - stage.top, width: img.width, height: img.height, stage: stage.width};
}"""
MARKS = """() => {
    const img = [...document.querySelectorAll('.large-stage > img')].at(-1).getBoundingClientRect();
    return [...document.querySelectorAll('.large .stage-point')].map(mark => {
        const box = mark.getBoundingClientRect(), x = (box.left + box.right) / 2, y = (box.top + box.bottom) / 2;
        return [(x - img.left) / img.width, (y - img.top) / img.height];
    });
}"""
ON_PAGE = """() => [...document.querySelector('.plate').querySelectorAll('.point')].map(
    point => ['--across', '--down'].map(name => parseFloat(point.style.getPropertyValue(name)) / 100))"""


def zoom(page):
    return page.evaluate(SEEN)["zoom"]


def middle(page):
    box = page.locator(".large-stage").bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def place_under(page, x, y):
    """Which place of the picture lies under a place of the window, in shares."""
    seen, box = page.evaluate(SEEN), page.locator(".large-stage").bounding_box()
    return (x - box["x"] - seen["x"]) / seen["width"], (y - box["y"] - seen["y"]) / seen["height"]


@pytest.fixture
def open_large(open_demo):
    """The first picture opened large, with cuts for moves."""

    def open_it(*sizes, **options):
        page = open_demo(PAGE, *sizes, **{"reduced_motion": "reduce", **options})
        page.locator(".plate .full").first.click()
        page.locator("dialog.large").wait_for()
        return page

    return open_it


def test_the_link_and_the_picture_open_it(open_demo):
    """Both open the picture they belong to; its viewer is fetched when it is first opened."""
    page = open_demo(PAGE, reduced_motion="reduce")
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.locator(".plate .shot img").nth(1).click(position={"x": 5, "y": 5})
    page.locator("dialog.large").wait_for()

    assert page.locator(".large-name").inner_text() == page.locator(".plate-name").nth(1).inner_text()
    assert any(url.endswith("modules/viewer.js") for url in asked)
    page.keyboard.press("Escape")
    page.locator(".plate .full").nth(2).focus()
    page.keyboard.press("Enter")
    page.locator("dialog.large").wait_for()
    assert page.locator(".large-name").inner_text() == page.locator(".plate-name").nth(2).inner_text()


def test_escape_closes_and_gives_the_focus_back(open_large):
    """Also after going on to another picture, to the link that opened it."""
    page = open_large()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Escape")

    assert not page.locator("dialog.large").is_visible()
    assert page.evaluate("document.activeElement === document.querySelector('.plate .full')")


def test_without_scripts_the_link_leads_to_the_largest_picture(open_demo):
    """The link holds the widest of the picture's files."""
    page = open_demo(PAGE, java_script_enabled=False)
    plate = page.locator(".plate").first
    files = [one.split() for one in plate.locator("source").first.get_attribute("srcset").split(", ")]

    assert plate.locator(".full").get_attribute("href") == max(files, key=lambda file: int(file[1][:-1]))[0]


def test_keys_zoom_and_move(open_large):
    """Plus, minus and nought zoom; arrows move what is larger than the window."""
    page = open_large()
    assert zoom(page) == pytest.approx(1, abs=0.01)

    page.keyboard.press("+")
    assert zoom(page) == pytest.approx(1.5, abs=0.01)
    before = page.evaluate(SEEN)
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    after = page.evaluate(SEEN)
    assert after["x"] < before["x"]
    assert after["y"] < before["y"]
    page.keyboard.press("+")
    page.keyboard.press("-")
    assert zoom(page) == pytest.approx(1.5, abs=0.01)
    page.keyboard.press("0")

    assert zoom(page) == pytest.approx(1, abs=0.01)


def test_keys_turn_to_the_next_picture_and_back(open_large):
    """Left and right while the whole picture is seen, page up and down always."""
    page = open_large()
    names = page.locator(".plate-name").all_inner_texts()
    name = page.locator(".large-name")

    page.keyboard.press("ArrowRight")
    assert name.inner_text() == names[1]
    page.keyboard.press("+")
    page.keyboard.press("PageDown")
    assert name.inner_text() == names[2]
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("PageUp")
    assert name.inner_text() == names[0]
    page.keyboard.press("PageUp")

    assert name.inner_text() == names[0]
    assert page.locator(".large-count").inner_text() == f"Picture 1 of {len(names)}"


def test_the_wheel_zooms_where_the_pointer_is(open_large):
    """What lies under the pointer stays there, and the picture never becomes smaller than whole."""
    page = open_large()
    x, y = middle(page)
    page.mouse.move(x + 150, y + 60)
    page.mouse.wheel(0, -100)
    before = place_under(page, x + 150, y + 60)
    page.mouse.wheel(0, -300)
    page.wait_for_timeout(100)

    assert zoom(page) > 1.3
    assert place_under(page, x + 150, y + 60) == pytest.approx(before, abs=0.01)
    page.mouse.wheel(0, 5000)
    page.wait_for_timeout(100)
    assert zoom(page) == pytest.approx(1, abs=0.01)


def test_dragging_moves_the_picture_with_the_pointer(open_large):
    """The place that was taken stays under the pointer, up to the picture's edge."""
    page = open_large()
    page.keyboard.press("+")
    page.keyboard.press("+")
    x, y = middle(page)
    held = place_under(page, x, y)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 100, y - 40, steps=6)
    page.mouse.up()

    assert place_under(page, x - 100, y - 40) == pytest.approx(held, abs=0.01)
    page.mouse.down()
    page.mouse.move(x + 5000, y + 5000, steps=4)
    page.mouse.up()
    assert page.evaluate(SEEN)["x"] == pytest.approx(0, abs=1)


def test_two_fingers_zoom(open_large, fingers):
    """Drawn apart the picture grows about the place between them; drawn together it becomes whole again."""
    page = open_large(390, 844, has_touch=True, is_mobile=True)
    hand, (x, y) = fingers(page), middle(page)
    between = place_under(page, x, y)
    hand.pinch(((x - 30, y), (x + 30, y)), ((x - 75, y), (x + 75, y)))

    assert zoom(page) == pytest.approx(2.5, abs=0.15)
    assert place_under(page, x, y) == pytest.approx(between, abs=0.02)
    hand.pinch(((x - 150, y), (x + 150, y)), ((x - 20, y), (x + 20, y)))
    assert zoom(page) == pytest.approx(1, abs=0.01)


def test_a_double_tap_zooms_and_a_swipe_turns(open_large, fingers):
    """Twice on a place shows it nearer, twice again the whole; a swipe on the whole goes to the next picture."""
    page = open_large(390, 844, has_touch=True, is_mobile=True)
    hand, (x, y) = fingers(page), middle(page)
    for _ in range(2):
        page.touchscreen.tap(x + 40, y - 20)
    assert zoom(page) == pytest.approx(2.5, abs=0.05)
    page.wait_for_timeout(400)
    for _ in range(2):
        page.touchscreen.tap(x + 40, y - 20)
    assert zoom(page) == pytest.approx(1, abs=0.01)
    page.wait_for_timeout(400)

    hand.swipe((x + 100, y), (x - 100, y))

    assert page.locator(".large-count").inner_text().startswith("Picture 2 of")


def test_a_tap_moves_without_dragging(open_large):
    """A place that is tapped comes to the middle, for those who cannot drag (WCAG 2.2, 2.5.7)."""
    page = open_large()
    page.keyboard.press("+")
    page.keyboard.press("+")
    x, y = middle(page)
    wanted = place_under(page, x + 120, y + 50)
    page.mouse.click(x + 120, y + 50)
    page.wait_for_timeout(500)

    assert place_under(page, x, y) == pytest.approx(wanted, abs=0.01)


def test_callouts_stay_on_their_places(open_large):
    """Whatever the zoom, each point lies where the record says."""
    page = open_large()
    wanted = page.evaluate(ON_PAGE)
    assert wanted

    for key in ("+", "+", "ArrowLeft", "ArrowDown"):
        page.keyboard.press(key)
        assert [value for pair in page.evaluate(MARKS) for value in pair] == pytest.approx(
            [value for pair in wanted for value in pair], abs=0.004
        )


@pytest.mark.parametrize("size", [(390, 844), (1360, 900)], ids=str)
def test_words_are_shown_on_demand_and_never_over_their_point(open_large, size):
    """A point shows its words when it is pressed, and hides them when it is pressed again."""
    page = open_large(*size)
    points = page.locator(".large .stage-marks > *")
    words = page.locator(".large-words")
    assert not words.is_visible()

    for index in range(points.count()):
        point = points.nth(index)
        point.focus()
        page.keyboard.press("Enter")
        assert point.get_attribute("aria-expanded") == "true"
        box, mark = words.bounding_box(), point.locator(".number").bounding_box()
        x, y = mark["x"] + mark["width"] / 2, mark["y"] + mark["height"] / 2
        inside = box["x"] < x < box["x"] + box["width"] and box["y"] < y < box["y"] + box["height"]
        assert not inside
    page.keyboard.press("Enter")

    assert not words.is_visible()


def test_points_can_be_put_away(open_large):
    """So that the picture alone is seen."""
    page = open_large()
    page.get_by_role("button", name="Hide points").click()

    assert page.locator(".large .stage-marks > *:visible").count() == 0
    page.get_by_role("button", name="Show points").click()
    assert page.locator(".large .stage-marks > *:visible").count() > 0


def test_a_point_off_the_stage_comes_when_it_is_reached(open_large):
    """Tab brings what lies outside into view."""
    page = open_large()
    for _ in range(4):
        page.keyboard.press("+")
    points = page.locator(".large .stage-point")
    for index in range(points.count()):
        points.nth(index).focus()
        box, stage = points.nth(index).bounding_box(), page.locator(".large-stage").bounding_box()
        assert stage["x"] - 15 <= box["x"] <= stage["x"] + stage["width"] - 15
        assert stage["y"] - 15 <= box["y"] <= stage["y"] + stage["height"] - 15


def test_zooming_fetches_the_larger_picture(open_large):
    """Near enough, the largest file is shown."""
    page = open_large()
    for _ in range(4):
        page.keyboard.press("+")

    page.wait_for_function("[...document.querySelectorAll('.large-stage > img')].at(-1).naturalWidth === 2400")


@pytest.mark.parametrize("screen", SCREENS.values(), ids=SCREENS.keys())
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_barrier_is_found(open_large, scheme, screen):
    """axe-core finds nothing in the large picture, with the words of a point shown."""
    page = open_large(color_scheme=scheme, **screen)
    page.add_script_tag(content=AXE.read_text(encoding="utf-8"))
    page.locator(".large .stage-point").first.focus()
    page.keyboard.press("Enter")

    assert page.evaluate(JUDGE) == []


def test_it_fits_every_window(open_large):
    """Nothing scrolls sideways, and every control is there and 24 px and more."""
    for size in ((390, 844), (820, 1180), (1360, 900), (844, 390)):
        page = open_large(*size)
        boxes = page.evaluate(
            """() => [...document.querySelectorAll('.large :is(button)')].filter(one => one.offsetParent).map(one => {
                const box = one.getBoundingClientRect();
                const beyond = [box.left, innerWidth - box.right, innerHeight - box.bottom];
                return [one.textContent.trim(), box.width, box.height, ...beyond];
            }).filter(([name]) => !/^\\d+$/.test(name))"""
        )

        assert len(boxes) == 7
        assert [box for box in boxes if min(box[1:3]) < 24 or min(box[3:]) < 0] == []
        assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
