"""
How long a large workshop takes to load: `python -m tests.benchmarks.records [BUILDS] [RECORDS_EACH]`.

The workshop is written into a temporary folder, with records the size of the demo's smaller ones.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

from buildlog.records.loading import read_workshop
from tests.records.sites import BROKEN, put

CALLOUT = "      - at: [0.{:03}, 0.{:03}]\n        text: Planks, laid from the keel up and trenailed.\n"
PHOTO = "  - file: {}/{}.jpg\n    view: port bow\n    caption: The planking from ahead.\n    alt: Bare planks, {}.\n"


def a_record(number: int, day: date) -> str:
    """Write a record with four features, five photos and twenty callouts."""
    lines = [
        f"date: {day}\nstage: hull\ntitle: Session {number}\nsummary: >\n  Two more strakes a side, and dry by night.\n"
    ]
    lines.append(f"done:\n  - {{id: planking, share: {number} %}}\nhours: {{planking: 3.5}}\nfeatures:\n")
    lines.extend(
        f"  - id: strake-{number}-{feature}\n    name: Strake {feature}\n    area: Bow\n    origin: scratch-built\n"
        "    method: steamed and trenailed\n    parts: [lamp]\n    paints: [red]\n    state: fitted\n"
        "    measures:\n      - {what: Width, full_size: 150 mm, measured: 9.4 mm}\n"
        for feature in range(4)
    )
    lines.append("photos:\n")
    for photo in range(5):
        lines.append(PHOTO.format(day, photo, photo) + "    callouts:\n")
        lines.extend(CALLOUT.format(photo * 100 + place, place * 100) for place in range(4))
    return "".join(lines)


def main(builds: int, each: int) -> None:
    """Write a workshop, load it, and say how long that took."""
    with tempfile.TemporaryDirectory() as folder:
        content = Path(folder)
        for path in ("workshop.yml", *(f"library/{name}.yml" for name in ("parts", "paints", "sources", "notes"))):
            put(content, path, (BROKEN / "good" / path).read_bytes())
        build = (BROKEN / "good/builds/heron/build.yml").read_bytes()
        size = 0
        for number in range(builds):
            slug = f"builds/build-{number:05}"
            put(content, f"{slug}/build.yml", build)
            for record in range(each):
                day = date(2026, 2, 1) + timedelta(days=record * 7)
                text = a_record(record, day)
                size += len(text)
                put(content, f"{slug}/stages/{day}-session.yml", text)
                for photo in range(5):
                    put(content, f"{slug}/photos/{day}/{photo}.jpg", b"")

        begun, busy = time.perf_counter(), time.process_time()
        loaded = read_workshop(content)
        waited, worked = time.perf_counter() - begun, time.process_time() - busy

    assert loaded.workshop, "\n".join(map(str, loaded.problems[:10]))
    records = builds * each
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{builds:,} builds, {records:,} records, {size / 1e6:.1f} MB of YAML, {records * 5:,} photos")
    print(f"loaded in {waited:.1f} s; {worked:.1f} s of one core, {1000 * worked / records:.2f} ms a record")
    print(f"{len(loaded.problems)} problems; {memory:.0f} MB at most")


if __name__ == "__main__":
    main(*(int(word) for word in [*sys.argv[1:], "1000", "10"][:2]))
