"""
The steps of `content/guide/first-update.md`, taken for real: what the terminal shows, and pictures of the pages.

`python -m tests.tools.guide_steps` makes the pictures anew and prints what the terminal showed at each step; it needs
Debian's chromium. Run it when the pages' look has changed.
"""

from __future__ import annotations

import functools
import http.server
import os
import re
import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]
PICTURES = ROOT / "content" / "guide" / "pictures"
PHOTOS = ROOT / "content" / "builds" / "corriemoor" / "photos" / "2026-03-14"
BUILD = "corriemoor"
WIDTH, SHOWN = 1360, 1200
"""Pixels of the browser's window, and of the pictures."""


def fill_in(record: Path) -> None:
    """Write the words that the guide suggests, as a person would, after the keys that were left open."""
    text = record.read_text(encoding="utf-8")
    page = (ROOT / "content" / "guide" / "first-update.md").read_text(encoding="utf-8")
    words = page.partition("Write after the colons:")[2].partition("```yaml\n")[2].partition("```")[0]
    place = page.partition("from 0 to 1:")[2].partition("```yaml\n")[2].partition("```")[0]
    head, _, first = words.partition("photos:\n")
    text = re.sub(r"title: .*\nsummary:.*\n", lambda _: head.rstrip() + "\n", text)
    text = re.sub(r"  - file: .*\n    view:.*\n    caption:\n    alt:\n", lambda _: first + place, text, count=1)
    record.write_text(text, encoding="utf-8")


def run(folder: Path, *words: str) -> str:
    """Run a command on a terminal of 80 columns, and give what it shows without its colours."""
    import pty

    reader, writer = pty.openpty()
    environment = {**os.environ, "COLUMNS": "80", "TERM": "xterm"}
    process = subprocess.Popen(
        [sys.executable, "-m", "buildlog", *words], cwd=folder, stdout=writer, stderr=writer, env=environment
    )
    os.close(writer)
    shown = b""
    try:
        while chunk := os.read(reader, 65536):
            shown += chunk
    except OSError:
        pass  # the other side is closed: the process has ended
    process.wait()
    os.close(reader)
    return re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", shown.decode()).replace("\r\n", "\n").replace("\r", "")


@contextmanager
def served(site: Path) -> Iterator[str]:
    """Serve a folder on this machine, and give its address."""

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *words: object) -> None:
            """Say nothing of what is asked for."""

    handler = functools.partial(Quiet, directory=str(site))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_address[1]}/"
        server.shutdown()


def take_picture(address: str, name: str, height: int) -> None:
    """Take a picture of the top of a page."""
    from PIL import Image
    from playwright.sync_api import sync_playwright

    with sync_playwright() as tools, tempfile.TemporaryDirectory() as folder:
        browser = tools.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": WIDTH, "height": height}, color_scheme="light")
        page.goto(address)
        page.wait_for_load_state("networkidle")
        page.screenshot(path=f"{folder}/page.png")
        browser.close()
        with Image.open(f"{folder}/page.png") as picture:
            small = picture.convert("RGB").resize((SHOWN, round(picture.height * SHOWN / picture.width)))
    small.save(PICTURES / name, quality=72, method=6)


def take_steps(top: Path) -> list[str]:
    """
    Take every step of the page in a folder: begin a workshop, add, check, make a mistake and mend it, make the site.

    Returns:
        What the terminal showed at each.
    """
    shutil.copytree(PHOTOS, top / "tonight")
    workshop = top / "my-workshop"
    build = workshop / "content" / "builds" / BUILD
    shown = [run(top, "start", "my-workshop", "--name", "Tern Quay Models", "--build", "Corriemoor", "--scale", "1:24")]
    shown.append(run(workshop, "add", BUILD, "../tonight"))
    record = next((build / "stages").glob("2026-03-14-*"))
    fill_in(record)
    replace(build / "build.yml", "What it is a model of", "Harbour tug")
    shown.append(run(workshop, "check"))
    replace(record, "at: [0.584", "at: [1.584")
    shown.append(run(workshop, "check"))
    replace(record, "at: [1.584", "at: [0.584")
    shown.append(run(workshop, "site"))
    return shown


def replace(file: Path, before: str, after: str) -> None:
    """Change a text file as a person would in an editor."""
    text = file.read_text(encoding="utf-8")
    if before not in text:
        raise ValueError(f"{file.name} does not hold {before}")
    file.write_text(text.replace(before, after), encoding="utf-8")


def main() -> None:
    """Take every step, print what was shown, and take the pictures."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as temporary:
        top = Path(temporary)
        sys.stdout.write("\n".join(take_steps(top)))
        site = top / "my-workshop" / "site"
        with served(site) as address:
            for name, page in (("sample", "*-sample"), ("update", "2026-03-14-*")):
                folder = next((site / "builds" / BUILD).glob(page))
                take_picture(f"{address}builds/{BUILD}/{folder.name}/", f"{name}.webp", 1330)


if __name__ == "__main__":
    main()
