"""The store: nothing made twice, nothing half made believed, whatever happens to a run."""

from __future__ import annotations

import errno
import hashlib
import os
import random
import sqlite3
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from buildlog.photos import store as store_module
from buildlog.photos.facts import PhotoError
from buildlog.photos.pictures import Picture
from buildlog.photos.settings import PictureSettings
from buildlog.photos.store import PictureStore, Progress, StoreError
from tests.photos.cameras import exif_block, scene, write_photo
from tests.photos.runs import FULL, SMALL, start


@pytest.fixture
def photos(tmp_path: Path) -> list[Path]:
    """Six photos of one session, each different."""
    folder = tmp_path / "photos" / "2026-08-15"
    folder.mkdir(parents=True)
    made = []
    for number in range(6):
        image = scene(600, 400)
        image.paste((40 * number, 90, 200), (200, 150, 260 + 20 * number, 250))
        made.append(write_photo(folder / f"IMG_{number}.jpg", image, exif=exif_block()))
    return made


class Looked:
    """Counts the photos that a run had to look at."""

    def __init__(self) -> None:
        self.steps: list[Progress] = []

    def __call__(self, progress: Progress) -> None:
        self.steps.append(progress)

    def __len__(self) -> int:
        return len(self.steps)


def make(folder: Path, photos: list[Path], settings: PictureSettings = SMALL, *, verify: bool = False) -> int:
    """Make pictures of these photos, which must all succeed, and give how many had to be looked at."""
    looked = Looked()
    with PictureStore(folder, settings) as store:
        pictures, errors = store.make(photos, verify=verify, on_progress=looked)
    assert not errors
    assert list(pictures) == photos
    return len(looked)


def contents(folder: Path) -> dict[str, str]:
    """Give the digest of every file that a store has made, by name."""
    files = folder / "files"
    return {
        str(path.relative_to(files)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in files.rglob("*")
        if path.is_file()
    }


def names(picture: Picture) -> set[str]:
    """Give the names of a picture's files."""
    return {file.name for file in (*picture.webp, *picture.avif, picture.jpeg)}


def check_whole(folder: Path, photos: list[Path], expected: dict[str, str]) -> None:
    """Check that the next run makes everything right, whatever is there."""
    make(folder, photos)
    found = contents(folder)
    assert {name: found.get(name) for name in expected} == expected
    with PictureStore(folder, SMALL) as store:
        pictures, errors = store.make(photos, verify=True)
        assert not errors
        for path in photos:
            for file in (*pictures[path].webp, pictures[path].jpeg):
                assert (store.files / file.name).stat().st_size == file.bytes
    assert make(folder, photos) == 0


@pytest.fixture
def expected(tmp_path: Path, photos: list[Path]) -> dict[str, str]:
    """What a run that nothing happens to makes."""
    make(tmp_path / "undisturbed", photos)
    return contents(tmp_path / "undisturbed")


def test_second_run_makes_nothing(tmp_path: Path, photos: list[Path]) -> None:
    """Unchanged photos are not looked at again, and give the same pictures."""
    with PictureStore(tmp_path / "store", SMALL) as store:
        first = dict(store.make(photos)[0])
    before = {path: path.stat().st_mtime_ns for path in (tmp_path / "store" / "files").rglob("*")}

    looked = make(tmp_path / "store", photos)
    with PictureStore(tmp_path / "store", SMALL) as store:
        second = store.make(photos)[0]

    assert looked == 0
    assert {path: path.stat().st_mtime_ns for path in (tmp_path / "store" / "files").rglob("*")} == before
    assert dict(second) == first  # read after the store was closed
    assert [picture.facts.path for picture in second.values()] == photos


def test_pictures_are_as_told(tmp_path: Path, photos: list[Path]) -> None:
    """Every made file is there, with the size in pixels and bytes that its picture says."""
    with PictureStore(tmp_path / "store", SMALL) as store:
        picture = store.make(photos)[0][photos[0]]
        for file in (*picture.webp, picture.jpeg):
            with Image.open(store.files / file.name) as image:
                assert image.size == (file.width, file.height)
            assert (store.files / file.name).stat().st_size == file.bytes

    assert [file.width for file in picture.webp] == [80, 160, 320, 480]
    assert picture.jpeg.width == 320
    assert picture.size == (480, 320)


def test_same_bytes_from_two_runs(tmp_path: Path, photos: list[Path], expected: dict[str, str]) -> None:
    """Output is a function of input: another store, another order and another number of workers give the same bytes."""
    with PictureStore(tmp_path / "other", SMALL) as store:
        store.make(list(reversed(photos)), workers=1)

    assert contents(tmp_path / "other") == expected


def test_touched_photo(tmp_path: Path, photos: list[Path]) -> None:
    """A photo whose time changed but not its content is looked at, not made again."""
    make(tmp_path / "store", photos)
    before = {path: path.stat().st_mtime_ns for path in (tmp_path / "store" / "files").rglob("*.webp")}
    os.utime(photos[0], (1_000_000_000, 1_000_000_000))

    assert make(tmp_path / "store", photos) == 1
    assert {path: path.stat().st_mtime_ns for path in (tmp_path / "store" / "files").rglob("*.webp")} == before
    assert make(tmp_path / "store", photos) == 0


def test_moved_photo(tmp_path: Path, photos: list[Path]) -> None:
    """A photo under another name is known by its content."""
    make(tmp_path / "store", photos)
    before = contents(tmp_path / "store")
    moved = photos[0].rename(photos[0].with_name("renamed.jpg"))

    make(tmp_path / "store", [moved])

    assert contents(tmp_path / "store") == before


def test_changed_photo(tmp_path: Path, photos: list[Path]) -> None:
    """A photo with other content gets other files under other names."""
    with PictureStore(tmp_path / "store", SMALL) as store:
        before = names(store.make(photos)[0][photos[0]])
        write_photo(photos[0], scene(640, 400))
        after = names(store.make(photos)[0][photos[0]])

    assert not before & after


def test_changed_behind_its_time(tmp_path: Path, photos: list[Path]) -> None:
    """A photo that changed under the same size and time is found when everything is verified."""
    path = photos[0]
    state = path.stat()
    with PictureStore(tmp_path / "store", SMALL) as store:
        before = store.make(photos)[0][path]
        content = bytearray(path.read_bytes())
        middle = len(content) // 2
        content[middle] ^= 1
        path.write_bytes(content)
        os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns))
        unseen = store.make(photos)[0][path]
        seen = store.make(photos, verify=True)[0][path]

    assert unseen == before
    assert seen.facts.digest != before.facts.digest


@pytest.mark.parametrize("settled", [False, True], ids=["just made", "settled"])
def test_missing_file(settled: bool, tmp_path: Path, photos: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    """A made file that was deleted is made again, whether its folder had to be listed or its time was trusted."""
    if settled:
        monkeypatch.setattr(store_module, "_SETTLED", -1)
    make(tmp_path / "store", photos)
    make(tmp_path / "store", photos)
    before = contents(tmp_path / "store")
    gone = sorted((tmp_path / "store" / "files").rglob("*.webp"))[5]
    gone.unlink()

    assert make(tmp_path / "store", photos) == 1
    assert contents(tmp_path / "store") == before


def test_missing_folder(tmp_path: Path, photos: list[Path], expected: dict[str, str]) -> None:
    """A whole folder of made files that was deleted is made again."""
    make(tmp_path / "store", photos)
    for path in (tmp_path / "store" / "files").iterdir():
        path.rename(tmp_path / "store" / "unfinished" / path.name)

    check_whole(tmp_path / "store", photos, expected)


def test_folders_are_trusted_only_when_settled(
    tmp_path: Path, photos: list[Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Once settled, a folder is not listed again until a name is added to it or taken away."""
    monkeypatch.setattr(store_module, "_SETTLED", -1)
    make(tmp_path / "store", photos)
    make(tmp_path / "store", photos)
    listed: list[str] = []
    scandir = os.scandir

    def noted(path: object) -> object:
        if path != tmp_path / "store" / "unfinished":
            listed.append(str(path))
        return scandir(path)  # type: ignore[call-overload]

    monkeypatch.setattr(os, "scandir", noted)
    make(tmp_path / "store", photos)

    assert listed == [f"{photos[0].parent}{os.sep}"]


def test_damaged_file(tmp_path: Path, photos: list[Path], expected: dict[str, str]) -> None:
    """A made file whose bytes have changed is found and made again when everything is verified."""
    make(tmp_path / "store", photos)
    damaged = sorted((tmp_path / "store" / "files").rglob("*.webp"))[0]
    damaged.write_bytes(b"\0" * damaged.stat().st_size)

    make(tmp_path / "store", photos, verify=True)

    assert contents(tmp_path / "store") == expected


@pytest.mark.parametrize(
    ("change", "kinds"),
    [
        pytest.param({"jpeg_quality": 70}, {"jpg"}, id="JPEG quality"),
        pytest.param({"webp_quality": 60}, {"webp"}, id="WebP quality"),
        pytest.param({"avif": True}, {"avif"}, id="AVIF as well"),
        pytest.param({"widths": (80, 160, 240, 320, 480)}, {"webp"}, id="one width more"),
        pytest.param({"creator": "Tern Quay Models"}, {"jpg", "webp"}, id="creator"),
        pytest.param({"most_pixels": 1_000_000}, set(), id="limit"),
    ],
)
def test_changed_settings(
    change: dict[str, object], kinds: set[str], tmp_path: Path, photos: list[Path], expected: dict[str, str]
) -> None:
    """Other settings make only what they touch, and going back to the old ones makes nothing."""
    make(tmp_path / "store", photos)

    make(tmp_path / "store", photos, replace(SMALL, **change))  # type: ignore[arg-type]
    new = set(contents(tmp_path / "store")) - set(expected)

    assert {name.rpartition(".")[2] for name in new} == kinds
    assert make(tmp_path / "store", photos) == 0
    assert {name: contents(tmp_path / "store")[name] for name in expected} == expected


def test_new_version_of_the_facts(tmp_path: Path, photos: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    """A version of this code that finds other facts takes them again, and makes no file again."""
    make(tmp_path / "store", photos)
    before = {path: path.stat().st_mtime_ns for path in (tmp_path / "store" / "files").rglob("*.webp")}
    monkeypatch.setattr("buildlog.photos.tables.FACTS_VERSION", 99)
    monkeypatch.setattr("buildlog.photos.pictures.FACTS_VERSION", 99)

    assert make(tmp_path / "store", photos) == len(photos)
    assert {path: path.stat().st_mtime_ns for path in (tmp_path / "store" / "files").rglob("*.webp")} == before
    assert make(tmp_path / "store", photos) == 0


@pytest.mark.parametrize(
    "spoil",
    [
        pytest.param(lambda path: path.write_bytes(b"not a database" * 100), id="nonsense"),
        pytest.param(lambda path: path.write_bytes(path.read_bytes()[:5000]), id="cut short"),
        pytest.param(lambda path: path.unlink(), id="deleted"),
        pytest.param(lambda path: _set_version(path, 999), id="a later version's"),
    ],
)
def test_spoilt_tables(
    spoil: Callable[[Path], object], tmp_path: Path, photos: list[Path], expected: dict[str, str]
) -> None:
    """Tables that are damaged, gone or not ours are made anew."""
    make(tmp_path / "store", photos)
    spoil(tmp_path / "store" / "store.sqlite")

    check_whole(tmp_path / "store", photos, expected)


def _set_version(path: Path, version: int) -> None:
    connection = sqlite3.connect(path)
    connection.execute(f"PRAGMA user_version = {version}")
    connection.close()


def test_bad_photos_stop_no_others(tmp_path: Path, photos: list[Path]) -> None:
    """A photo that cannot be used is an error of its own, in the order asked for; all others are made."""
    photos[1].write_bytes(photos[1].read_bytes()[:900])
    photos[4].write_bytes(b"")
    with PictureStore(tmp_path / "store", SMALL) as store:
        pictures, errors = store.make([*photos, tmp_path / "missing.jpg"])

    assert [error.path.name for error in errors] == ["IMG_1.jpg", "IMG_4.jpg", "missing.jpg"]
    assert all(isinstance(error, PhotoError) for error in errors)
    assert list(pictures) == [photos[0], photos[2], photos[3], photos[5]]
    assert photos[1] not in pictures


def test_one_photo_twice(tmp_path: Path, photos: list[Path]) -> None:
    """Two copies of one photo share their files, and each is told of under its own name."""
    copy = photos[0].with_name("copy.jpg")
    copy.write_bytes(photos[0].read_bytes())
    with PictureStore(tmp_path / "store", SMALL) as store:
        pictures, errors = store.make([photos[0], copy, photos[0]], workers=2)

    assert not errors
    assert names(pictures[copy]) == names(pictures[photos[0]])
    assert pictures[copy].facts.path == copy


def test_relative_paths(tmp_path: Path, photos: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    """A photo asked for by a relative path is the same as by its full one, and answers to the path asked for."""
    make(tmp_path / "store", photos)
    monkeypatch.chdir(photos[0].parent)

    assert make(tmp_path / "store", [Path("IMG_0.jpg")]) == 0


def test_facts_alone(tmp_path: Path, photos: list[Path], expected: dict[str, str]) -> None:
    """Facts are read without making files, are the same as a picture's, and are remembered."""
    first, second = Looked(), Looked()
    with PictureStore(tmp_path / "store", SMALL) as store:
        facts = store.read_facts(photos, on_progress=first)[0]
        made_first = contents(tmp_path / "store")
        again = store.read_facts(photos, on_progress=second)[0]
        pictures = store.make(photos)[0]
        after = store.read_facts(photos)[0]

    assert made_first == {}
    assert (len(first), len(second)) == (6, 0)
    assert facts == again == after == {path: pictures[path].facts for path in photos}
    assert contents(tmp_path / "store") == expected


def test_progress(tmp_path: Path, photos: list[Path]) -> None:
    """Progress counts up to the photos that had to be looked at, with a rate and the time left."""
    looked = Looked()
    with PictureStore(tmp_path / "store", SMALL) as store:
        store.make(photos[:2])
        store.make(photos, on_progress=looked)

    assert [(step.done, step.total) for step in looked.steps] == [(1, 4), (2, 4), (3, 4), (4, 4)]
    assert looked.steps[-1].seconds_left == 0
    assert Progress(2, 10, 4.0).pictures_per_second == 0.5
    assert Progress(2, 10, 4.0).seconds_left == 16
    assert Progress(0, 10, 0.0).seconds_left is None


def test_interrupted(tmp_path: Path, photos: list[Path], expected: dict[str, str]) -> None:
    """A run that is interrupted keeps what it has finished."""
    seen = 0

    def interrupt(progress: Progress) -> None:
        nonlocal seen
        seen = progress.done
        if progress.done == 3:
            raise KeyboardInterrupt

    with PictureStore(tmp_path / "store", SMALL) as store, pytest.raises(KeyboardInterrupt):
        store.make(photos, on_progress=interrupt, workers=2)

    assert make(tmp_path / "store", photos) <= len(photos) - 3
    assert seen >= 3
    check_whole(tmp_path / "store", photos, expected)


def test_killed_at_any_moment(tmp_path: Path, photos: list[Path], expected: dict[str, str]) -> None:
    """After a run that was killed at any of 50 random moments, the next one is right."""
    rng = random.Random(4)
    killed = 0
    for number in range(50):
        folder = tmp_path / f"killed-{number}"
        process = start(folder, photos)
        # Anywhere from before the first file to after the last but a few, and then anywhere within that step.
        awaited = rng.randrange(len(expected) - 2)
        while process.is_alive() and sum(1 for _ in folder.glob("files/*/*")) < awaited:
            process.join(0.001)
        process.join(rng.uniform(0, 0.02))
        process.kill()
        process.join()
        killed += process.exitcode != 0
        found = contents(folder) if folder.exists() else {}

        assert found.items() <= expected.items()  # under its name, a file is never a part of itself
        check_whole(folder, photos, expected)
    assert killed >= 10


def test_killed_in_one_store(tmp_path: Path, photos: list[Path], expected: dict[str, str]) -> None:
    """Runs that are killed again and again in one store still come to an end, and what they leave can be tidied."""
    rng = random.Random(5)
    for _ in range(12):
        process = start(tmp_path / "store", photos)
        process.join(rng.uniform(0, 0.15))
        process.kill()
        process.join()
    (tmp_path / "store" / "unfinished" / "123-left").write_bytes(b"a part")

    check_whole(tmp_path / "store", photos, expected)
    with PictureStore(tmp_path / "store", SMALL) as store:
        store.tidy(store.make(photos)[0].values())
    assert contents(tmp_path / "store") == expected
    assert list((tmp_path / "store" / "unfinished").iterdir()) == []


def test_abandoned_parts(tmp_path: Path, photos: list[Path]) -> None:
    """What a stopped run left is removed by a run on a later day; what is new may be another run's and stays."""
    make(tmp_path / "store", photos)
    old, new = (tmp_path / "store" / "unfinished" / name for name in ("1-old", "2-new"))
    old.write_bytes(b"a part")
    new.write_bytes(b"a part")
    os.utime(old, (time.time() - 100_000, time.time() - 100_000))

    make(tmp_path / "store", photos)

    assert not old.exists()
    assert new.exists()


def test_two_runs_at_once(tmp_path: Path, photos: list[Path], expected: dict[str, str]) -> None:
    """Two runs that make the same pictures in one store both succeed, and the pictures are right."""
    runs = [start(tmp_path / "store", photos if number else photos[::-1]) for number in range(2)]
    for process in runs:
        process.join()

    assert [process.exitcode for process in runs] == [0, 0]
    assert contents(tmp_path / "store") == expected
    check_whole(tmp_path / "store", photos, expected)


@pytest.mark.parametrize("most_bytes", [0, 500, 3_000, 8_000, 40_000])
def test_full_disk(most_bytes: int, tmp_path: Path, photos: list[Path], expected: dict[str, str]) -> None:
    """A disk that fills up at any point stops the run with one clear error, and the next run is right."""
    process = start(tmp_path / "store", photos, most_bytes=most_bytes)
    process.join()

    assert process.exitcode == FULL
    check_whole(tmp_path / "store", photos, expected)


@pytest.mark.parametrize(
    ("number", "words"),
    [
        pytest.param(errno.ENOSPC, "the disk is full or failing; make room and run again", id="full"),
        pytest.param(errno.EROFS, "may not be written to; change its permissions", id="read-only"),
    ],
)
def test_failing_disk(
    number: int, words: str, tmp_path: Path, photos: list[Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that refuses a made file is told of as the store's fault, never as a photo's."""

    def refuse(path: Path, target: Path) -> Path:
        raise OSError(number, os.strerror(number), str(path))

    monkeypatch.setattr(Path, "replace", refuse)

    with PictureStore(tmp_path / "store", SMALL) as store, pytest.raises(StoreError, match=words):
        store.make(photos, workers=1)
    monkeypatch.undo()
    assert list((tmp_path / "store" / "unfinished").iterdir()) == []
    assert make(tmp_path / "store", photos) == len(photos)


def test_folder_that_is_none(tmp_path: Path) -> None:
    """A store whose place is taken by a file says so."""
    (tmp_path / "store").write_text("a file")

    with pytest.raises(StoreError, match="cannot be used"), PictureStore(tmp_path / "store"):
        pass


def test_tidy(tmp_path: Path, photos: list[Path]) -> None:
    """Tidying removes exactly what no picture needs, says how much, and leaves the rest known."""
    with PictureStore(tmp_path / "store", SMALL) as store:
        pictures = store.make(photos)[0]
        kept = [pictures[path] for path in photos[:4]]
        needed = set().union(*map(names, kept))
        before = contents(tmp_path / "store")
        dropped = sum((store.files / name).stat().st_size for name in before.keys() - needed)

        tidied = store.tidy(iter(kept))

        assert tidied == (len(before) - len(needed), dropped)
        assert set(contents(tmp_path / "store")) == needed
        assert store.tidy(kept) == (0, 0)
    assert make(tmp_path / "store", photos[:4]) == 0
    assert make(tmp_path / "store", photos) == 2


def test_tidy_leaves_other_runs_alone(tmp_path: Path, photos: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is removed while another run may be about to use it."""
    monkeypatch.setattr(store_module, "_PATIENCE", 0.1)
    with PictureStore(tmp_path / "store", SMALL) as store, PictureStore(tmp_path / "store", SMALL) as other:
        pictures = other.make(photos)[0]
        with pytest.raises(StoreError, match="another run is using it"):
            store.tidy([])
        assert len(contents(tmp_path / "store")) == 5 * len(photos)
        other.__exit__(None, None, None)

        assert store.tidy(pictures[path] for path in photos) == (0, 0)


def test_closed(tmp_path: Path) -> None:
    """A store is used inside its block only; a picture that was tidied away in between is told of."""
    with pytest.raises(RuntimeError, match="outside its `with` block"):
        PictureStore(tmp_path / "store").make([])


def test_tidied_away(tmp_path: Path, photos: list[Path]) -> None:
    """A picture that another run removed before it was first asked for is an error in words."""
    make(tmp_path / "store", photos)
    with PictureStore(tmp_path / "store", SMALL) as store:
        pictures = store.make(photos)[0]
    with PictureStore(tmp_path / "store", SMALL) as store:
        store.tidy([])

    with pytest.raises(StoreError, match="a picture was removed while it was needed; run again"):
        pictures[photos[0]]
