"""Before and after, and a viewpoint through all stages: by mouse, touch and keys, without scripts and in print."""

from __future__ import annotations

import pytest

PAGE = "builds/corriemoor/2026-08-15-markings/"
BUILD = "builds/corriemoor/"

pytestmark = pytest.mark.browser

SHOWN = "[...document.querySelectorAll('{}')].filter(one => one.offsetParent).length"
SPLIT = """() => {
    const pair = [...document.querySelectorAll('.pair-of-shots')].find(one => one.offsetParent);
    const line = pair.querySelector('.divider').getBoundingClientRect();
    const box = pair.querySelector('.shot-after img').getBoundingClientRect();
    return ((line.left + line.right) / 2 - box.left) / box.width;
}"""


def slider(page):
    return page.locator(".comparison:not([data-put-by]) input")


def scrubber(page):
    return page.locator(".viewpoint:not([data-put-by]) input")


def stage_said(page):
    return page.locator(".viewpoint:not([data-put-by]) .scrub-said b").inner_text()


def test_one_comparison_at_a_time(open_demo):
    """With a choice of view, in the order of the build's views."""
    page = open_demo(PAGE)
    choices = page.locator(".compared .choice label").all_inner_texts()
    assert choices[:3] == ["Port bow", "Starboard quarter", "Port broadside"]
    assert page.evaluate(SHOWN.format(".comparison")) == 1

    page.get_by_role("radio", name="Port bow").nth(0).focus()
    page.keyboard.press("ArrowRight")

    assert page.evaluate(SHOWN.format(".comparison")) == 1
    assert slider(page).get_attribute("aria-label") == "Before and after: Starboard quarter"


def test_both_dates_are_shown(open_demo):
    """The date of each picture stands below it, and the earlier one leads to its update."""
    page = open_demo(PAGE)
    first = page.locator(".comparison").first

    assert first.locator(".shot-before time").get_attribute("datetime") == "2026-06-06"
    assert first.locator(".shot-after time").get_attribute("datetime") == "2026-08-15"
    assert "2026-06-06" in first.locator(".shot-before a").get_attribute("href")


def test_keys_move_the_slider(open_demo):
    """Arrows by one, home and end to the sides; the line stands where the value says, and says it in words."""
    page = open_demo(PAGE)
    slider(page).focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    assert slider(page).get_attribute("aria-valuetext") == "55 % before, 45 % after"
    assert page.evaluate(SPLIT) == pytest.approx(0.55, abs=0.005)

    page.keyboard.press("End")
    assert page.evaluate(SPLIT) == pytest.approx(1, abs=0.005)
    page.keyboard.press("Home")

    assert page.evaluate(SPLIT) == pytest.approx(0, abs=0.005)


def test_the_mouse_moves_the_slider(open_demo):
    """The line follows the pointer wherever the picture is taken."""
    page = open_demo(PAGE)
    slider(page).scroll_into_view_if_needed()
    box = slider(page).bounding_box()
    page.mouse.move(box["x"] + box["width"] * 0.3, box["y"] + 40)
    page.mouse.down()
    assert page.evaluate(SPLIT) == pytest.approx(0.3, abs=0.01)
    page.mouse.move(box["x"] + box["width"] * 0.8, box["y"] + 60, steps=4)
    page.mouse.up()

    assert page.evaluate(SPLIT) == pytest.approx(0.8, abs=0.01)


def test_a_finger_moves_the_slider(open_demo, fingers):
    """Sideways the line follows the finger."""
    page = open_demo(PAGE, 390, 844, has_touch=True, is_mobile=True)
    slider(page).scroll_into_view_if_needed()
    box = slider(page).bounding_box()
    y = box["y"] + box["height"] / 2

    fingers(page).swipe((box["x"] + box["width"] * 0.5, y), (box["x"] + box["width"] * 0.2, y))

    assert page.evaluate(SPLIT) == pytest.approx(0.2, abs=0.03)


@pytest.mark.parametrize("how", ["without scripts", "in print"])
def test_both_pictures_stand_side_by_side(open_demo, how):
    """Every comparison is there, its pictures beside one another with their dates and nothing over them."""
    page = open_demo(PAGE, java_script_enabled=how == "in print")
    if how == "in print":
        page.emulate_media(media="print")
    pairs = page.locator(".pair-of-shots")
    assert pairs.count() >= 5

    for index in range(pairs.count()):
        before = pairs.nth(index).locator(".shot-before img").bounding_box()
        after = pairs.nth(index).locator(".shot-after img").bounding_box()
        assert before["x"] + before["width"] < after["x"]
        assert before["y"] == pytest.approx(after["y"], abs=1)
        assert pairs.nth(index).locator("figcaption:visible").count() == 2
        assert pairs.nth(index).locator("input:visible, .divider:visible").count() == 0


def test_a_link_shows_the_comparison_it_leads_to(open_demo):
    """Also one that had been put by."""
    page = open_demo(PAGE + "#~compared-stern")
    assert page.locator("[id='~compared-stern']").evaluate("one => !one.closest('[data-put-by]')")

    page.evaluate("location.hash = '~compared-deckhouse'")
    page.wait_for_function("!document.getElementById('~compared-deckhouse').closest('[data-put-by]')")

    assert page.evaluate(SHOWN.format(".comparison")) == 1


def test_one_viewpoint_at_a_time(open_demo):
    """The build's page shows one, at its newest stage, with a choice of the others."""
    page = open_demo(BUILD)

    assert page.locator(".viewpoints .choice label").count() == page.locator(".viewpoint").count() == 7
    assert page.evaluate(SHOWN.format(".viewpoint")) == 1
    assert stage_said(page) == "Weathering"


def test_keys_scrub_through_the_stages(open_demo):
    """Each arrow is a stage; the large picture, the words and the link are that stage's."""
    page = open_demo(BUILD)
    scrubber(page).focus()
    said = [stage_said(page)]
    for _ in range(4):
        page.keyboard.press("ArrowLeft")
        said.append(stage_said(page))

    assert said == ["Weathering", "Markings", "Base coat", "Primer", "Assembly"]
    assert scrubber(page).get_attribute("aria-valuetext") == "Assembly 14 March 2026, 1 of 5"
    viewpoint = page.locator(".viewpoint:not([data-put-by])")
    assert "2026-03-14" in viewpoint.locator(".scrub-way").get_attribute("href")
    assert viewpoint.locator(".scrub-shot picture:visible").count() == 1
    small = viewpoint.locator(".strip img").first.get_attribute("src")
    assert viewpoint.locator(".scrub-shot picture:visible img").get_attribute("src") == small


@pytest.mark.parametrize("touch", [False, True], ids=["mouse", "finger"])
def test_the_strip_is_scrubbed(open_demo, fingers, touch):
    """Drawn along the strip, the stage is the one under the pointer."""
    page = open_demo(BUILD, 390, 844, has_touch=touch, is_mobile=touch)
    strip = page.locator(".viewpoint:not([data-put-by]) .strip")
    strip.scroll_into_view_if_needed()
    box = strip.bounding_box()
    y = box["y"] + 20
    first, third = box["x"] + box["width"] * 0.1, box["x"] + box["width"] * 0.5
    if touch:
        fingers(page).swipe((third, y), (first, y))
        assert stage_said(page) == "Assembly"
        fingers(page).swipe((first, y), (third, y))
    else:
        page.mouse.move(first, y)
        page.mouse.down()
        assert stage_said(page) == "Assembly"
        page.mouse.move(third, y, steps=5)
        page.mouse.up()

    assert stage_said(page) == "Base coat"


@pytest.mark.parametrize("how", ["without scripts", "in print"])
def test_every_strip_stands_by_itself(open_demo, how):
    """All viewpoints with all their stages, each leading to its update."""
    page = open_demo(BUILD, java_script_enabled=how == "in print")
    if how == "in print":
        page.emulate_media(media="print")

    assert page.locator(".viewpoint:visible").count() == 7
    assert page.locator(".viewpoint .strip a:visible").count() == page.locator(".viewpoint .strip a").count() > 20
    assert page.locator(".viewpoint h3:visible").count() == 7
    assert page.locator(".viewpoint input:visible, .scrub:visible, .choice:visible").count() == 0


def test_only_the_viewpoint_that_is_seen_fetches_its_large_picture(open_demo):
    """The others wait until they are chosen, a stage until it is scrubbed to."""
    page = open_demo(BUILD)
    assert page.locator(".scrub-shot picture").count() == 1

    page.get_by_role("radio", name="Stern").first.check(force=True)
    assert page.locator(".scrub-shot picture").count() == 2
    scrubber(page).focus()
    page.keyboard.press("ArrowLeft")

    assert page.locator(".viewpoint:not([data-put-by]) .scrub-shot picture").count() == 5


@pytest.mark.parametrize("width", [390, 820, 1360])
@pytest.mark.parametrize("where", [PAGE, BUILD], ids=["progress", "build"])
def test_controls_are_large_enough_and_nothing_scrolls_sideways(open_demo, where, width):
    """Choices and sliders are 24 px and more both ways."""
    page = open_demo(where, width)
    sizes = page.evaluate(
        """() => [...document.querySelectorAll('.choice label, .is-laid input, .strip-room')]
            .filter(one => one.offsetParent).map(one => [one.offsetWidth, one.offsetHeight])"""
    )

    assert len(sizes) > 4
    assert [size for size in sizes if min(size) < 24] == []
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
