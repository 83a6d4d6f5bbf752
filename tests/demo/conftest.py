"""The demo's site in a browser."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        """Say nothing of each request."""


@pytest.fixture(scope="session")
def address(demo_site: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where the demo's site is served while the tests run: below a path, as many hosts do."""
    host = tmp_path_factory.mktemp("host")
    (host / "workshop").symlink_to(demo_site)
    with ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(host))) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}/workshop/"
        server.shutdown()
        thread.join()


class Fingers:
    """Fingers on a touch screen, as the browser's own events."""

    def __init__(self, page: Page) -> None:
        self._page = page
        self._browser = page.context.new_cdp_session(page)

    def _touch(self, kind: str, *places: tuple[float, float]) -> None:
        points = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(places)]
        self._browser.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def swipe(self, start: tuple[float, float], end: tuple[float, float], steps: int = 8) -> None:
        """Draw one finger over the screen."""
        self.pinch((start,), (end,), steps)

    def pinch(self, start: Sequence[tuple[float, float]], end: Sequence[tuple[float, float]], steps: int = 8) -> None:
        """Draw several fingers over the screen at once."""
        self._touch("touchStart", *start)
        for step in range(1, steps + 1):
            part = step / steps
            moved = [(a + (c - a) * part, b + (d - b) * part) for (a, b), (c, d) in zip(start, end, strict=True)]
            self._touch("touchMove", *moved)
        self._touch("touchEnd")


@pytest.fixture
def fingers() -> Callable[[Page], Fingers]:
    """Give the fingers for a page that has touch."""
    return Fingers


@pytest.fixture
def open_demo(browser: Browser, address: str) -> Iterator[Callable[..., Page]]:
    """
    Open a page of the demo at a width, and refuse anything said on the console or asked of another host.

    Further keywords are those of a browser's context, such as `color_scheme`. With `clock`, time stands still until
    the test lets it run.
    """
    contexts = []
    wrong: list[str] = []

    def open_it(where: str, width: int = 1360, height: int = 900, *, clock: bool = False, **options: Any) -> Page:
        context = browser.new_context(viewport={"width": width, "height": height}, **options)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda said: wrong.append(said.text) if said.type in ("error", "warning") else None)
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on(
            "request",
            lambda asked: None if asked.url.startswith((address, "data:", "blob:")) else wrong.append(asked.url),
        )
        if clock:
            page.clock.install()
        page.goto(address + where, wait_until="networkidle")
        return page

    yield open_it
    for context in contexts:
        context.close()
    assert wrong == []
