"""Pointing at a place in a preview: lines on the clipboard, with file and line; and nothing of it where published."""

from __future__ import annotations

import re
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from pathlib import Path
from threading import Thread

import pytest
from mkdocs.commands.build import build
from mkdocs.config import load_config

from tests.conftest import ROOT

PAGE = "builds/corriemoor/2026-08-15-markings/"
RECORD = "builds/corriemoor/stages/2026-08-15-markings.yml"
TOOLS = files("buildlog.pages") / "preview"

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def preview(demo_site, tmp_path_factory):
    """Where a preview of the demo is served."""
    folder = tmp_path_factory.mktemp("preview")
    (folder / "mkdocs.yml").write_bytes((demo_site.parent / "mkdocs.yml").read_bytes())
    config = load_config(str(folder / "mkdocs.yml"))
    config.plugins.on_startup(command="serve", dirty=False)
    build(config)
    config.plugins.on_shutdown()

    class Quiet(SimpleHTTPRequestHandler):
        def log_message(self, *words):
            """Say nothing of what is asked for."""

    with ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=config.site_dir)) as server:
        Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/"
        server.shutdown()


@pytest.fixture
def pointed(browser, preview):
    """A page of the preview, its first picture pointed at."""
    context = browser.new_context(
        viewport={"width": 1360, "height": 900}, permissions=["clipboard-read", "clipboard-write"]
    )
    page = context.new_page()
    page.goto(preview + PAGE, wait_until="networkidle")
    page.get_by_role("button", name="Point", exact=True).first.click()
    page.locator(".plate .shot").first.evaluate("shot => shot.scrollIntoView({block: 'center', behavior: 'instant'})")
    yield page
    context.close()


def place(page, across, down):
    box = page.locator(".plate .shot").first.bounding_box()
    return box["x"] + across * box["width"], box["y"] + down * box["height"]


def copied(page, where):
    """What stands on the clipboard once the page has said where it goes."""
    page.locator(".pointing-said", has_text=f"Copied, for {where}").wait_for()
    return page.evaluate("navigator.clipboard.readText()")


def line_of(text):
    return (ROOT / "content" / RECORD).read_text(encoding="utf-8").split("\n").index(text) + 1


def numbers(text):
    return [float(number) for number in re.search(r"\[(.*)\]", text)[1].split(", ")]


def test_a_click_gives_a_points_lines(pointed):
    """A click copies `at` and an open `text`, for the line after the picture's last callout."""
    pointed.mouse.click(*place(pointed, 0.9, 0.1))
    last = line_of("  - file: 2026-08-15/IMG_1028.jpg") - 1
    text = copied(pointed, f"{RECORD}, after line {last}")

    assert re.fullmatch(r"      - at: \[\d\.\d{3}, \d\.\d{3}\]\n        text: >-\n          \n", text)
    assert numbers(text) == pytest.approx([0.9, 0.1], abs=0.002)
    assert pointed.locator(".pointing-lines").inner_text().rstrip() == text.rstrip()


def test_a_drag_gives_a_regions_lines(pointed):
    """A drag, in whatever direction, copies `box`."""
    pointed.mouse.move(*place(pointed, 0.95, 0.3))
    pointed.mouse.down()
    pointed.mouse.move(*place(pointed, 0.8, 0.1), steps=5)
    pointed.mouse.up()
    text = copied(pointed, RECORD)

    assert text.startswith("      - box: [")
    assert numbers(text) == pytest.approx([0.8, 0.1, 0.15, 0.2], abs=0.004)


def test_arrow_keys_and_enter_give_lines_too(pointed):
    """Without a mouse: arrows move a place from the middle, Enter copies it."""
    pointed.locator(".pointing-pad").focus()
    for key in ("ArrowRight", "Shift+ArrowRight", "ArrowUp", "Enter"):
        pointed.keyboard.press(key)

    assert numbers(copied(pointed, RECORD)) == [0.512, 0.498]


def test_a_mark_can_be_dragged(pointed):
    """A callout's ring, dragged, copies its line with the new place, for the line it stands on."""
    box = pointed.locator(".plate .shot [data-callout='7']").first.bounding_box()
    pointed.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    pointed.mouse.down()
    pointed.mouse.move(*place(pointed, 0.06, 0.2), steps=5)
    pointed.mouse.up()
    text = copied(pointed, f"{RECORD}, in place of line {line_of('      - at: [0.160, 0.575]')}")

    assert text.startswith("      - at: [")
    assert numbers(text) == pytest.approx([0.06, 0.2], abs=0.005)


@pytest.mark.parametrize(
    ("key", "line", "moved"),
    [
        pytest.param("7", "      - at: [0.160, 0.575]", [0.158, 0.585], id="point"),
        pytest.param("1", "      - box: [0.350, 0.600, 0.130, 0.050]", [0.348, 0.61, 0.13, 0.05], id="region"),
    ],
)
def test_a_mark_can_be_moved_with_the_arrow_keys(pointed, key, line, moved):
    """A callout's mark in focus moves by the arrow keys, and by more with Shift."""
    pointed.locator(f".plate .shot a[data-callout='{key}']").first.focus()
    pointed.keyboard.press("ArrowLeft")
    pointed.keyboard.press("Shift+ArrowDown")
    text = copied(pointed, f"{RECORD}, in place of line {line_of(line)}")

    assert text.startswith(line.partition("[")[0])
    assert numbers(text) == moved


def test_pointing_stays_on_when_the_page_is_made_anew(pointed):
    """After a reload the picture is still pointed at; switched off, a click on a point is a link again."""
    pointed.reload(wait_until="networkidle")
    switch = pointed.get_by_role("button", name="Point", exact=True).first
    before = switch.get_attribute("aria-pressed")
    switch.click()
    pointed.locator(".plate .shot [data-callout='7']").first.click()

    assert before == "true"
    assert pointed.url.partition("#")[2].startswith("bow-fender")
    assert pointed.locator(".pointing-pad").count() == 0


def test_nothing_of_it_is_published(demo_site):
    """Neither the tools, nor their names, nor where anything stands in a record, are in any file of the site."""
    tools = {Path(tool.name).name: tool.read_bytes() for tool in TOOLS.iterdir()}
    assert set(tools) == {"pointing.js", "pointing.css"}

    for path in demo_site.rglob("*"):
        if not path.is_file():
            continue
        assert path.name not in tools
        assert path.read_bytes() not in tools.values()
        if path.suffix in (".html", ".js", ".css", ".json", ".xml"):
            text = path.read_text(encoding="utf-8")
            for word in ("pointing-", "pointing.js", "data-record", "data-after", "data-first"):
                assert word not in text, path
