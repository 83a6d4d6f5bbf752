"""Nothing that tells of a place, a person or a camera leaves the workshop in a picture."""

from __future__ import annotations

import base64
import io
from pathlib import Path

import pytest
from PIL import Image

from buildlog.photos.colour import named_profile
from buildlog.photos.pictures import Picture
from buildlog.photos.settings import PictureSettings
from buildlog.photos.store import PictureStore
from tests.photos.cameras import FORMATS, POSITION_BYTES, SECRETS, XMP, exif_block, scene, write_photo
from tests.photos.parsing import avif_items, jpeg_segments, webp_chunks

# What a JPEG needs (ITU-T T.81): JFIF's own segment, tables, frame, Huffman tables, scan.
NEEDED = {"e0", "db", "c0", "c4", "da"}


def _planted_profile() -> bytes:
    """Give a profile whose description holds something to be found."""
    return named_profile("Display P3") + b"PLANTED-PROFILE"


def _made(store: PictureStore, picture: Picture) -> list[bytes]:
    files = (*picture.webp, *picture.avif, picture.jpeg)
    return [(store.files / file.name).read_bytes() for file in files]


@pytest.mark.parametrize("kind", FORMATS)
def test_planted_secrets(kind: str, tmp_path: Path) -> None:
    """Position, owner, serials, comments, XMP, IPTC, maker notes, thumbnails and trailers come out of no format."""
    path = write_photo(
        tmp_path / f"IMG_4711.{kind}", scene(2000, 1300), exif=exif_block(), planted=True, profile=_planted_profile()
    )
    content = path.read_bytes()
    planted = [secret for secret in (*SECRETS, *POSITION_BYTES) if secret in content]
    with PictureStore(tmp_path / "store", PictureSettings(avif=True)) as store:
        pictures, errors = store.make([path])
        made = _made(store, pictures[path])
        stand_in = base64.b64decode(pictures[path].placeholder.partition(",")[2])

    assert not errors
    assert len(planted) >= 7
    assert XMP in content or kind == "png"
    for output in (*made, stand_in):
        assert not [secret for secret in (*SECRETS, *POSITION_BYTES) if secret in output]
        assert b"PLANTED" not in output
        assert b"IMG_4711" not in output


@pytest.mark.parametrize("kind", FORMATS)
def test_nothing_but_pixels(kind: str, tmp_path: Path) -> None:
    """A made file holds its picture and nothing beside it, by its own bytes."""
    path = write_photo(
        tmp_path / f"photo.{kind}", scene(700, 500), exif=exif_block(6), planted=True, profile=_planted_profile()
    )
    with PictureStore(tmp_path / "store", PictureSettings(avif=True)) as store:
        picture = store.make([path])[0][path]
        segments = jpeg_segments((store.files / picture.jpeg.name).read_bytes())
        chunks = [webp_chunks((store.files / file.name).read_bytes()) for file in picture.webp]
        items = [avif_items((store.files / file.name).read_bytes()) for file in picture.avif]

    assert {name for name, _ in segments} == NEEDED
    assert [len(body) for name, body in segments if name == "e0"] == [14]
    assert [[name for name, _ in found] for found in chunks] == [["VP8 "]] * len(chunks)
    for kinds, properties in items:
        assert kinds == ["av01"]
        assert "colr nclx" in properties
        assert not {"colr prof", "colr rICC"} & set(properties)


def test_whitelist(tmp_path: Path) -> None:
    """Copyright and creator are written where the workshop wants them, and nothing of the photo's own comes along."""
    path = write_photo(tmp_path / "photo.jpg", scene(700, 500), exif=exif_block(), planted=True)
    settings = PictureSettings(avif=True, copyright="© 2026 Tern Quay Models", creator="Tern Quay Models")
    with PictureStore(tmp_path / "store", settings) as store:
        picture = store.make([path])[0][path]
        made = _made(store, picture)
        tags = [dict(Image.open(io.BytesIO(output)).getexif()) for output in made]

    assert all("© 2026 Tern Quay Models".encode() in output for output in made)
    assert all(set(found) == {0x013B, 0x8298} for found in tags)
    assert not [secret for secret in (*SECRETS, *POSITION_BYTES) for output in made if secret in output]


def test_names_tell_nothing(tmp_path: Path) -> None:
    """The name of a made file holds nothing of the original's name or folder."""
    folder = tmp_path / "Mrs Example, 4 Quay Street"
    folder.mkdir()
    path = write_photo(folder / "birthday-0001.jpg", scene())
    with PictureStore(tmp_path / "store") as store:
        picture = store.make([path])[0][path]

    for file in (*picture.webp, picture.jpeg):
        stem, width, _ = file.name.split("/")[1].split(".")
        assert set(stem) <= set("0123456789abcdef")
        assert len(stem) == 24
        assert width == f"{file.width}w"
