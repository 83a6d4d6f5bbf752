"""The demo's site in a browser: every kind of page, at the widths of a phone, a tablet and a desk."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

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
CHROMIUM = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]

pytestmark = pytest.mark.browser


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        """Say nothing of each request."""


@pytest.fixture(scope="session")
def address(demo_site: Path) -> Iterator[str]:
    """Where the demo's site is served while the tests run."""
    with ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(demo_site))) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}/"
        server.shutdown()
        thread.join()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium."""
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=CHROMIUM)
        yield chromium
        chromium.close()


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
