"""What the store remembers between runs: tables in one SQLite file, every row of which can be learnt again."""

from __future__ import annotations

import contextlib
import json
import sqlite3
import threading
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from buildlog.photos.camera import CameraSettings
from buildlog.photos.facts import FACTS_VERSION, PhotoFacts
from buildlog.photos.opening import Size
from buildlog.photos.pictures import MadeFile, Picture

# Raised when the tables change shape. The old ones are then dropped, and learnt again.
_TABLES_VERSION = 1

# A picture's row stands for files that were all there when it was written, and a file's row is written after
# its file. Both go when a file is found to be missing.
_TABLES = (
    "CREATE TABLE sources (path TEXT PRIMARY KEY, bytes INTEGER, modified INTEGER, digest TEXT, recipe TEXT)"
    " WITHOUT ROWID",
    "CREATE TABLE facts (digest TEXT PRIMARY KEY, version INTEGER, body TEXT)",
    "CREATE TABLE pictures (digest TEXT, recipe TEXT, body TEXT, PRIMARY KEY (digest, recipe))",
    "CREATE TABLE files (name TEXT PRIMARY KEY, bytes INTEGER, digest TEXT) WITHOUT ROWID",
    # When a folder of made files was last changed, and whole; 0 for not known.
    "CREATE TABLE folders (name TEXT PRIMARY KEY, modified INTEGER) WITHOUT ROWID",
)


class SourceRow(NamedTuple):
    """A photo's file, as it was when its pictures were made."""

    bytes: int
    modified: int
    """Nanoseconds."""
    digest: str
    recipe: str
    """Of the picture that is whole; empty when only the facts are known."""


class FileRow(NamedTuple):
    """One made file."""

    name: str
    bytes: int
    digest: str
    """SHA-256 of its content."""


class PictureRow(NamedTuple):
    """The facts of a photo and the files made of it, as text that is read only when asked for."""

    facts: str
    picture: str
    """Empty when only the facts were wanted."""


class Tables:
    """The tables, for one run. May be used from several threads."""

    def __init__(self, path: Path) -> None:
        """
        Open the tables, anew when they are missing, damaged or of another version.

        Raises:
            sqlite3.Error: The file cannot be used.
            OSError: A damaged file cannot be removed.
        """
        self._lock = threading.RLock()
        try:
            self._connection = self._open(path)
        except sqlite3.OperationalError:
            raise
        except sqlite3.DatabaseError:
            # Not a database, or a damaged one.
            for ending in ("", "-wal", "-shm"):
                Path(f"{path}{ending}").unlink(missing_ok=True)
            self._connection = self._open(path)

    @staticmethod
    def _open(path: Path) -> sqlite3.Connection:
        connection = sqlite3.connect(path, timeout=30, isolation_level=None, check_same_thread=False)
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute("PRAGMA synchronous = NORMAL")
            connection.execute("BEGIN IMMEDIATE")
            if connection.execute("PRAGMA user_version").fetchone()[0] != _TABLES_VERSION:
                old = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
                for (name,) in old:
                    connection.execute(f'DROP TABLE "{name}"')
                for statement in _TABLES:
                    connection.execute(statement)
                connection.execute(f"PRAGMA user_version = {_TABLES_VERSION}")
            connection.execute("COMMIT")
        except BaseException:
            connection.close()
            raise
        return connection

    def close(self) -> None:
        """Close the file. Whatever was not committed is gone."""
        with self._lock, contextlib.suppress(sqlite3.Error):
            self._connection.close()

    @contextlib.contextmanager
    def changing(self) -> Iterator[sqlite3.Connection]:
        """Change rows, all or none. Another run's change is waited for."""
        with self._lock:
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield self._connection
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise

    def sources(self) -> dict[str, tuple[str, int, int, str, str]]:
        """Give all photos' files by path: path, bytes, nanoseconds, digest, recipe (see `SourceRow`)."""
        with self._lock:
            rows = self._connection.execute("SELECT path, bytes, modified, digest, recipe FROM sources").fetchall()
        return {row[0]: row for row in rows}

    def facts(self, digest: str) -> str | None:
        """Give the facts of a photo's content, if they are known as this version would find them."""
        with self._lock:
            row = self._connection.execute(
                "SELECT body FROM facts WHERE digest = ? AND version = ?", (digest, FACTS_VERSION)
            ).fetchone()
        return None if row is None else str(row[0])

    def picture(self, digest: str, recipe: str) -> PictureRow | None:
        """Give what is known of a photo's content, if its picture is whole."""
        with self._lock:
            row = self._connection.execute(
                "SELECT facts.body, pictures.body FROM pictures JOIN facts USING (digest)"
                " WHERE digest = ? AND recipe = ? AND version = ?",
                (digest, recipe, FACTS_VERSION),
            ).fetchone()
        return None if row is None else PictureRow(*row)

    def file(self, name: str) -> FileRow | None:
        """Give a made file's row."""
        with self._lock:
            row = self._connection.execute("SELECT * FROM files WHERE name = ?", (name,)).fetchone()
        return None if row is None else FileRow(*row)

    def names_in(self, folder: str) -> list[str]:
        """Give the names of the made files that should be in a folder of the store, without the folder's."""
        with self._lock:
            rows = self._connection.execute(
                "SELECT substr(name, ?) FROM files WHERE name > ? AND name < ?",
                (len(folder) + 2, f"{folder}/", f"{folder}0"),  # "0" comes after "/"
            ).fetchall()
        return [name for (name,) in rows]

    def folders(self) -> list[tuple[str, int]]:
        """Give the folders of made files, each with the time at which it was last whole, or 0."""
        with self._lock:
            return self._connection.execute("SELECT name, modified FROM folders").fetchall()

    def enter(self, path: str, source: SourceRow, row: PictureRow, made: Iterable[FileRow]) -> None:
        """Write down one finished photo. From here on, a killed run has lost nothing of it."""
        made = list(made)
        with self.changing() as change:
            change.executemany("INSERT OR REPLACE INTO files VALUES (?, ?, ?)", made)
            folders = {(file.name.partition("/")[0],) for file in made}
            change.executemany("INSERT OR IGNORE INTO folders VALUES (?, 0)", folders)
            change.execute("INSERT OR REPLACE INTO facts VALUES (?, ?, ?)", (source.digest, FACTS_VERSION, row.facts))
            if row.picture:
                picture = (source.digest, source.recipe, row.picture)
                change.execute("INSERT OR REPLACE INTO pictures VALUES (?, ?, ?)", picture)
            change.execute("INSERT OR REPLACE INTO sources VALUES (?, ?, ?, ?, ?)", (path, *source))

    def adopt(self, paths: Sequence[str], recipe: str) -> None:
        """Write down that the pictures of these photos are whole under a recipe that was last used otherwise."""
        if paths:
            with self.changing() as change:
                rows = [(recipe, path) for path in paths]
                change.executemany("UPDATE sources SET recipe = ? WHERE path = ?", rows)

    def enter_folders(self, whole: Sequence[tuple[str, int]], missing: Sequence[str]) -> None:
        """
        Write down what a look at the folders showed.

        Args:
            whole: Folders in which nothing is missing any longer, with the time of their last change.
            missing: Names of files that are gone; every picture they belong to is forgotten.
        """
        if not whole and not missing:
            return
        with self.changing() as change:
            if missing:
                gone = set(missing)
                change.executemany("DELETE FROM files WHERE name = ?", [(name,) for name in missing])
                pictures = change.execute("SELECT digest, recipe, body FROM pictures").fetchall()
                broken = [(d, recipe) for d, recipe, body in pictures if not gone.isdisjoint(_names_of(body))]
                change.executemany("DELETE FROM pictures WHERE digest = ? AND recipe = ?", broken)
                change.executemany("UPDATE sources SET recipe = '' WHERE digest = ? AND recipe = ?", broken)
            change.executemany("UPDATE folders SET modified = ? WHERE name = ?", [(t, name) for name, t in whole])

    def keep_only(self, digests: set[str], names: set[str], recipe: str) -> None:
        """Forget every photo but those with these digests, every file but these, and every other recipe."""
        with self.changing() as change:
            for select, delete, kept in (
                ("SELECT digest FROM sources", "DELETE FROM sources WHERE digest = ?", digests),
                ("SELECT digest FROM facts", "DELETE FROM facts WHERE digest = ?", digests),
                ("SELECT digest FROM pictures", "DELETE FROM pictures WHERE digest = ?", digests),
                ("SELECT recipe FROM pictures", "DELETE FROM pictures WHERE recipe = ?", {recipe}),
                ("SELECT name FROM files", "DELETE FROM files WHERE name = ?", names),
            ):
                gone = {row for row in change.execute(select) if row[0] not in kept}
                change.executemany(delete, gone)
            change.execute("UPDATE sources SET recipe = '' WHERE recipe <> ?", (recipe,))
            change.execute("DELETE FROM folders")
            folders = {(name.partition("/")[0],) for name in names}
            change.executemany("INSERT INTO folders VALUES (?, 0)", folders)


# Rows and what they stand for


def write_facts(facts: PhotoFacts, placeholder: str) -> str:
    """Give the body of a row of facts."""
    return json.dumps(
        {
            "size": facts.size,
            "taken": facts.taken.isoformat() if facts.taken else None,
            "sharpness": facts.sharpness,
            "perceptual_hash": facts.perceptual_hash,
            "outline": facts.outline.hex(),
            "camera": asdict(facts.camera),
            "carries": sorted(facts.carries),
            "frames": facts.frames,
            "placeholder": placeholder,
        },
        separators=(",", ":"),
    )


def read_size(body: str) -> Size:
    """Give a photo's size from its row of facts."""
    return Size(*json.loads(body)["size"])


def read_facts_row(body: str, path: Path, digest: str) -> PhotoFacts:
    """Give a photo's facts from their row."""
    values = json.loads(body)
    return PhotoFacts(
        path=path,
        digest=digest,
        size=Size(*values["size"]),
        taken=datetime.fromisoformat(values["taken"]) if values["taken"] else None,
        sharpness=values["sharpness"],
        perceptual_hash=values["perceptual_hash"],
        outline=bytes.fromhex(values["outline"]),
        camera=CameraSettings(**values["camera"]),
        carries=frozenset(values["carries"]),
        frames=values["frames"],
    )


def write_picture(files: Iterable[tuple[str, MadeFile]]) -> str:
    """Give the body of a picture's row from its files and their kinds, widest first."""
    rows = [(kind, file.name, file.width, file.height, file.bytes) for kind, file in files]
    return json.dumps(rows, separators=(",", ":"))


def _names_of(body: str) -> list[str]:
    return [row[1] for row in json.loads(body)]


def read_picture_row(row: PictureRow, path: Path, digest: str) -> Picture:
    """Give a picture from its row."""
    made: dict[str, list[MadeFile]] = {"webp": [], "avif": [], "jpeg": []}
    for kind, *values in reversed(json.loads(row.picture)):
        made[kind].append(MadeFile(*values))
    largest = made["webp"][-1]
    return Picture(
        facts=read_facts_row(row.facts, path, digest),
        size=Size(largest.width, largest.height),
        webp=tuple(made["webp"]),
        avif=tuple(made["avif"]),
        jpeg=made["jpeg"][0],
        placeholder=json.loads(row.facts)["placeholder"],
    )
