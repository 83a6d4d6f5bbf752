"""
The steps of `content/guide/first-update.md`, taken for real: what the terminal shows, and pictures of the pages.

`python tests/tools/guide_steps.py` makes the pictures anew and prints what the terminal showed at each step; it needs
Debian's chromium. Run it when the pages' look has changed.
"""

from __future__ import annotations

import functools
import http.server
import os
import pty
import re
import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

ROOT = Path(__file__).parents[2]
PICTURES = ROOT / "content" / "guide" / "pictures"
PHOTOS = ROOT / "content" / "builds" / "corriemoor" / "photos" / "2026-03-14"
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
    handler = functools.partial(http.server.SimpleHTTPRequestHandler, directory=str(site))
    handler.log_message = lambda *_: None  # type: ignore[attr-defined]
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_address[1]}/"
        server.shutdown()


def take_picture(address: str, name: str, height: int) -> None:
    """Take a picture of the top of a page."""
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


def main() -> None:
    """Take every step, in the order of the page."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as temporary:
        top = Path(temporary)
        shutil.copytree(PHOTOS, top / "tonight")
        workshop = top / "my-workshop"
        steps = [
            (top, ("start", "my-workshop", "--name", "Tern Quay Models", "--build", "Corriemoor", "--scale", "1:24")),
            (workshop, ("add", "corriemoor", "../tonight")),
            (workshop, ("check",)),
            (workshop, ("site",)),
        ]
        for folder, words in steps:
            sys.stdout.write(f"$ buildlog {' '.join(words)}\n{run(folder, *words)}\n")
            if words[0] == "add":
                record = next((workshop / "content" / "builds" / "corriemoor" / "stages").glob("2026-03-14-*"))
                fill_in(record)
        with served(workshop / "site") as address:
            sample = next((workshop / "site" / "builds" / "corriemoor").glob("*-sample"))
            take_picture(f"{address}builds/corriemoor/{sample.name}/", "sample.webp", 1330)
            take_picture(f"{address}builds/corriemoor/{record.stem}/", "update.webp", 1330)
        record.write_text(record.read_text(encoding="utf-8").replace("at: [0.584", "at: [1.584"), encoding="utf-8")
        sys.stdout.write(f"$ buildlog check\n{run(workshop, 'check')}\n")


if __name__ == "__main__":
    main()
