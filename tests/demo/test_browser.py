"""The demo's site in a browser: every kind of page, at the widths of a phone, a tablet and a desk."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

PAGES = {
    "home": "",
    "catalogue": "catalogue/",
    "build in progress": "builds/corriemoor/",
    "finished build": "builds/bramble/",
    "progress page": "builds/corriemoor/2026-08-15-markings/",
    "turntable": "builds/corriemoor/2026-10-10-turntable/",
    "first update": "builds/kestrin-38/2026-07-11-primer/",
    "guide": "guide/",
    "guide to keys": "guide/records/",
}
WIDTHS = {"phone": 390, "tablet": 820, "desk": 1360}

pytestmark = pytest.mark.browser


@pytest.fixture(params=WIDTHS.values(), ids=WIDTHS.keys())
def page(request: pytest.FixtureRequest, browser: Browser) -> Iterator[Page]:
    """A page of each width."""
    context = browser.new_context(viewport={"width": request.param, "height": 900})
    yield context.new_page()
    context.close()


@pytest.mark.parametrize("where", PAGES.values(), ids=PAGES.keys())
def test_a_page_stands_by_itself(page, address, where):
    """It fits its width, says nothing on the console, and asks nothing of another host."""
    said: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: said.append(message.text) if message.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))

    page.goto(address + where, wait_until="networkidle")

    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0
    assert said == []
    assert [url for url in asked if not url.startswith((address, "data:", "blob:"))] == []


@pytest.mark.parametrize("where", PAGES.values(), ids=PAGES.keys())
def test_every_picture_shows(page, address, where):
    """Scrolled through, every picture of the page has come."""
    page.goto(address + where, wait_until="networkidle")
    page.evaluate(
        """async () => {
            document.querySelectorAll('details').forEach(one => one.open = true);
            document.querySelectorAll('img').forEach(img => img.loading = 'eager');
            await Promise.all([...document.images].map(img => img.decode().catch(() => null)));
        }"""
    )

    broken = page.evaluate("[...document.images].filter(i => !(i.complete && i.naturalWidth)).map(i => i.currentSrc)")
    assert broken == []


@pytest.mark.parametrize("where", PAGES.values(), ids=PAGES.keys())
def test_a_page_is_complete_without_scripts(browser, address, where):
    """What is said does not depend on a script: the words of the page are the same without."""
    context = browser.new_context(java_script_enabled=False)
    silent = context.new_page()

    silent.goto(address + where)

    assert silent.locator("main h1").count() == 1
    assert silent.locator("main").inner_text().strip()
    context.close()


@pytest.mark.parametrize("density", [1, 2])
@pytest.mark.parametrize("where", PAGES.values(), ids=PAGES.keys())
def test_no_picture_is_much_larger_than_its_place(browser, address, where, density):
    """What the browser fetches is at most 1.8 times as wide as the picture stands, but for the narrowest made."""
    too_wide = []
    for width in WIDTHS.values():
        context = browser.new_context(viewport={"width": width, "height": 900}, device_scale_factor=density)
        shown = context.new_page()
        shown.goto(address + where)
        shown.evaluate(
            """async () => {
                document.querySelectorAll('img').forEach(img => img.loading = 'eager');
                await Promise.all([...document.images].map(img => img.decode().catch(() => null)));
            }"""
        )
        too_wide += shown.evaluate(
            """([width, density]) => {
                const largest = new Map();  // a browser shows what it has already fetched for a larger place
                for (const img of document.images) {
                    const made = img.currentSrc.match(/pictures\\/(.+?)\\.(\\d+)w\\./);
                    if (!made || !img.clientWidth) continue;
                    const one = largest.get(made[1]) ?? {fetched: 0, needed: 0};
                    one.fetched = Math.max(one.fetched, Number(made[2]));
                    one.needed = Math.max(one.needed, img.clientWidth * density);
                    largest.set(made[1], one);
                }
                return [...largest.values()]
                    .filter(({fetched, needed}) => fetched > 320 && fetched / needed > 1.8)
                    .map(({fetched, needed}) => `${width}: ${fetched} wide for ${needed}`);
            }""",
            [width, density],
        )
        context.close()

    assert too_wide == []
