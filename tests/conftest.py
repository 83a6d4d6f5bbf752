"""What many tests share: the demo workshop's site, made once."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser

# No test is judged by its speed: a busy machine is no mistake.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def make_demo(tmp_path_factory: pytest.TempPathFactory) -> Callable[[], Path]:
    """Make the demo workshop's site into a folder of its own, with the pictures that are already made."""
    from buildlog_mkdocs.run import make

    def make_site() -> Path:
        folder = tmp_path_factory.mktemp("demo")
        config = (ROOT / "mkdocs.yml").read_text(encoding="utf-8")
        assert "docs_dir: content\n" in config
        assert "  - buildlog\n" in config
        config = config.replace("docs_dir: content\n", f"docs_dir: {ROOT / 'content'}\n")
        config = config.replace("  - buildlog\n", f"  - buildlog:\n      store: {ROOT / '.buildlog' / 'pictures'}\n")
        (folder / "mkdocs.yml").write_text(config, encoding="utf-8")
        return make(folder / "mkdocs.yml", strict=True, on_progress=lambda _: None, on_line=lambda _: None)

    return make_site


@pytest.fixture(scope="session")
def demo_site(make_demo: Callable[[], Path]) -> Path:
    """The demo workshop's site; read it, never write to it."""
    return make_demo()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium, one for all tests: a second one at the same time is refused by Playwright."""
    from playwright.sync_api import sync_playwright

    quiet = ["--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox", "--allow-file-access-from-files", *quiet]
        )
        yield chromium
        chromium.close()
