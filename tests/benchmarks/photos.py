"""
Measure the making of pictures beside the time that its codecs take whatever one does.

Run by hand, on a quiet machine, from the top of the tree:

    python -m tests.benchmarks.photos

The pictures are made here: detail at every scale, sensor noise, Exif, every third one portrait. The floor is
what cannot be left out: one decoding (at the reduced scale that the JPEG decoder offers for nothing), one WebP
encoding for each width, one JPEG encoding; each timed by itself, the best of three.

Floor and one worker are given in seconds of processor time, which other programs on the machine hardly touch; the
gain of a second worker is a matter of the clock on the wall, and needs the machine for itself.
"""

from __future__ import annotations

import argparse
import io
import json
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

KINDS = {"12 MP": (4000, 3000), "24 MP": (6000, 4000)}


def make_photo(path: Path, width: int, height: int, seed: int) -> None:
    """Write a JPEG as a camera would: a model-like scene, noise, quality 93, 4:2:2, Exif, perhaps turned."""
    rng = np.random.default_rng(seed)
    scene = np.zeros((height, width, 3), np.float32)
    for edge, weight in ((6, 90), (24, 45), (96, 28), (384, 12), (1536, 5)):
        layer = rng.normal(0, weight, (edge * height // width + 1, edge, 3)).clip(-127, 127) + 127
        grown = Image.fromarray(layer.astype(np.uint8)).resize((width, height), Image.Resampling.BICUBIC)
        scene += np.asarray(grown, np.float32) - 127
    rows, columns = np.mgrid[0:height, 0:width].astype(np.float32)
    for _ in range(12):
        x, y, size = rng.uniform(0, width), rng.uniform(0, height), rng.uniform(width / 30, width / 6)
        inside = (np.abs(columns - x) < size) & (np.abs(rows - y) < size / 2)
        scene[inside] += rng.uniform(-70, 70, 3)
    scene += 118 + rng.normal(0, 2.5, scene.shape).astype(np.float32)
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Invented", "Bench camera"
    exif[0x0112] = 6 if seed % 3 == 2 else 1
    exif.get_ifd(0x8769)[0x9003] = f"2026:08:15 14:{seed % 60:02}:00"
    exif.get_ifd(0x8825)[2] = (0.0, 30.0, 0.0)
    image = Image.fromarray(scene.clip(0, 255).astype(np.uint8))
    image.save(path, "JPEG", quality=93, subsampling=1, exif=exif.tobytes())


def time_floor(path: Path, scratch: Path, *, avif: bool) -> float:
    """Give the seconds that the codecs alone take for one photo."""
    from buildlog.photos.opening import Size
    from buildlog.photos.pictures import plan_files
    from buildlog.photos.settings import PictureSettings

    settings = PictureSettings(avif=avif)
    content = path.read_bytes()
    with Image.open(path) as header:
        stored = Size(*header.size)
        turned = header.getexif().get(0x0112) == 6
    upright = Size(stored.height, stored.width) if turned else stored

    def decoded() -> Image.Image:
        image = Image.open(io.BytesIO(content))
        image.draft("RGB", stored.within(settings.longest_edge))
        image.load()
        return image

    total = _best(decoded)
    whole = decoded()
    if turned:
        whole = whole.transpose(Image.Transpose.ROTATE_270)
    for file in plan_files("", upright, settings):
        sized = whole.resize(file.size, Image.Resampling.LANCZOS)
        sized.info = {}
        target = scratch / f"floor.{file.kind}"

        def encode(sized: Image.Image = sized, target: Path = target, kind: str = file.kind) -> None:
            if kind == "webp":
                sized.save(target, "WEBP", quality=settings.webp_quality, method=settings.webp_method)
            elif kind == "avif":
                quality, speed = settings.avif_quality, settings.avif_speed
                sized.save(target, "AVIF", quality=quality, speed=speed, max_threads=1)
            else:
                sized.save(target, "JPEG", quality=settings.jpeg_quality)

        total += _best(encode)
    return total


def _best(work: Any, times: int = 3) -> float:
    best = float("inf")
    for _ in range(times):
        begun = time.process_time()
        work()
        best = min(best, time.process_time() - begun)
    return best


def measure_make(photos: list[Path], *, vips: bool, workers: int, avif: bool) -> dict[str, float]:
    """Make pictures in a fresh interpreter; give its seconds, processor seconds, and peak memory above the start."""
    order = {"photos": [str(photo) for photo in photos], "vips": vips, "workers": workers, "avif": avif}
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.photos", "--one", json.dumps(order)],
        check=True,
        capture_output=True,
        text=True,
    )
    result: dict[str, float] = json.loads(done.stdout)
    return result


def _make_once(order: dict[str, Any]) -> None:
    """Do what `measure_make` asked for, in this interpreter."""
    if not order["vips"]:
        sys.modules["pyvips"] = None  # type: ignore[assignment]
    from buildlog.photos.settings import PictureSettings
    from buildlog.photos.shrinking import engine_name
    from buildlog.photos.store import PictureStore

    if order["vips"] != engine_name().startswith("libvips"):
        raise SystemExit(f"asked for another library than {engine_name()}")
    if order["workers"] == 1 and hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    photos = [Path(photo) for photo in order["photos"]]
    with (
        tempfile.TemporaryDirectory() as folder,
        PictureStore(Path(folder), PictureSettings(avif=order["avif"])) as store,
    ):
        before = _memory("VmRSS")
        begun, used = time.perf_counter(), time.process_time()
        pictures, errors = store.make(photos, workers=order["workers"])
        seconds, processor = time.perf_counter() - begun, time.process_time() - used
        peak = _memory("VmHWM")
    if errors or len(pictures) != len(photos):
        raise SystemExit(f"not all were made: {errors}")
    print(json.dumps({"seconds": seconds, "processor": processor, "memory": peak - before}))


def _memory(field: str) -> int:
    for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
        if line.startswith(f"{field}:"):
            return int(line.split()[1]) * 1024
    raise SystemExit(f"{field} is not told by this system")


def time_unchanged(count: int, folder: Path) -> tuple[float, float]:
    """
    Give the seconds that a run over unchanged photos takes: the first after a change, and any later one.

    The store is filled by hand: with empty files in place of pictures, but with every row and every file.
    """
    import hashlib

    from buildlog.photos.opening import Size
    from buildlog.photos.pictures import MadeFile, plan_files, recipe_digest
    from buildlog.photos.settings import PictureSettings
    from buildlog.photos.store import PictureStore
    from buildlog.photos.tables import FileRow, write_picture

    model = folder / "model.jpg"
    make_photo(model, 1200, 800, 1)
    settings = PictureSettings()
    recipe = recipe_digest(settings)
    photos: list[Path] = []
    with PictureStore(folder / "store", settings) as store:
        pictures, _ = store.make([model])
        row = store.read_rows([pictures[model].facts.digest])[pictures[model].facts.digest]
        assert store._tables is not None
        with store._tables.changing() as change:
            for number in range(count):
                photo = folder / f"builds/{number // 1000}/photos/{number // 50}/{number}.jpg"
                if number % 50 == 0:
                    photo.parent.mkdir(parents=True)
                photo.write_bytes(str(number).encode())
                photos.append(photo)
                digest = hashlib.sha256(str(number).encode()).hexdigest()
                planned = plan_files(digest, Size(6000, 4000), settings)
                for file in planned:
                    made = store.files / file.name
                    made.parent.mkdir(exist_ok=True)
                    made.touch()
                state = photo.stat()
                source = (str(photo), state.st_size, state.st_mtime_ns, digest, recipe)
                change.execute("INSERT INTO sources VALUES (?, ?, ?, ?, ?)", source)
                change.execute("INSERT INTO facts SELECT ?, version, body FROM facts LIMIT 1", (digest,))
                body = write_picture((file.kind, MadeFile(file.name, *file.size, 0)) for file in planned)
                change.execute("INSERT INTO pictures VALUES (?, ?, ?)", (digest, recipe, body))
                rows = [FileRow(file.name, 0, digest) for file in planned]
                change.executemany("INSERT INTO files VALUES (?, ?, ?)", rows)
                folders = {(file.name[:2],) for file in planned}
                change.executemany("INSERT OR IGNORE INTO folders VALUES (?, 0)", folders)
    assert row.picture
    time.sleep(4)  # a folder's time is believed only when it has settled
    taken = []
    for _ in range(4):
        fresh = [Path(str(photo)) for photo in photos]
        begun = time.perf_counter()
        with PictureStore(folder / "store", settings) as store:
            pictures, errors = store.make(fresh)
        taken.append(time.perf_counter() - begun)
        if errors or len(pictures) != count:
            raise SystemExit("an unchanged photo was not found")
    return taken[0], statistics.median(taken[1:])


def main() -> None:
    """Measure everything and print the table."""
    from buildlog.photos.shrinking import engine_name

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--one", help=argparse.SUPPRESS)
    parser.add_argument("--count", type=int, default=8, help="photos of each size")
    parser.add_argument("--tries", type=int, default=2, help="times that each is measured; the best counts")
    parser.add_argument("--unchanged", type=int, default=50_000, help="photos in the run that changes nothing")
    chosen = parser.parse_args()
    if chosen.one:
        _make_once(json.loads(chosen.one))
        return
    if not engine_name().startswith("libvips"):
        raise SystemExit("pyvips is missing; install buildlog-site[vips] to measure both libraries")
    cores = len(os.sched_getaffinity(0))
    print(f"{_processor()}, {cores} cores, {platform.system()}, Python {platform.python_version()}, ", end="")
    print(f"Pillow {Image.__version__}, {engine_name()}\n")  # type: ignore[attr-defined]
    print(
        "|Photos|Library|Floor, s a picture|One worker, s a picture|Times the floor|Two workers, times as fast|", end=""
    )
    print("Memory a worker, MB: one, two|")
    print("|---|---|---|---|---|---|---|")
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        for name, (width, height) in KINDS.items():
            photos = []
            for number in range(chosen.count):
                photos.append(folder / f"{width}-{number}.jpg")
                make_photo(photos[-1], width, height, number)
            for avif in (False, True):
                floor = statistics.mean(time_floor(photo, folder, avif=avif) for photo in photos)
                for vips in (False, True):
                    tries = [
                        [measure_make(photos, vips=vips, workers=workers, avif=avif) for workers in (1, 2)]
                        for _ in range(chosen.tries)
                    ]
                    each = min(one["processor"] for one, _ in tries) / len(photos)
                    gain = min(one["seconds"] for one, _ in tries) / min(two["seconds"] for _, two in tries)
                    memory = [max(found[place]["memory"] for found in tries) / 1e6 for place in (0, 1)]
                    print(
                        f"|{name}{', with AVIF' * avif}|{'libvips' if vips else 'Pillow'}|{floor:.3f}|{each:.3f}|"
                        f"{each / floor:.2f}|{gain:.2f}|{memory[0]:.0f}, {memory[1] / 2:.0f}|",
                        flush=True,
                    )
        first, later = time_unchanged(chosen.unchanged, folder)
        print(f"\n{chosen.unchanged:,} unchanged photos: {later:.2f} s; {first:.2f} s in the first run after a change")


def _processor() -> str:
    with Path("/proc/cpuinfo").open(encoding="utf-8") as lines:
        for line in lines:
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.machine()


if __name__ == "__main__":
    main()
