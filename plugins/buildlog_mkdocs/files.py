"""What is kept out of the site, and what the core adds to it."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator, Mapping, Sequence
from importlib.resources import files as resources
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from mkdocs.structure.files import File, InclusionLevel
from mkdocs.utils import is_markdown_file

from buildlog.publish.putting import SiteError

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

    from mkdocs.config.defaults import MkDocsConfig
    from mkdocs.structure.files import Files

RECORDS = ("builds", "library", "workshop.yml")
"""What lies at the top of the content folder and never leaves it."""
OPEN_FOLDERS = ("guide", "files")
"""Folders at the top of the content folder whose files are published as they are."""
ASSETS = "assets/buildlog/"
"""Where on the site the core's styles, scripts and fonts lie."""

_SECRET = ("client-keys.*", "*.key", "*.pem", "*.p12", "*.pfx")
_NAMES_SHOWN = 5
_LITTER = ("*~", "*.bak", "*.swp", "*.tmp", "thumbs.db", "desktop.ini")


def keep_home(files: Files, content: Path, config: MkDocsConfig) -> tuple[str, ...]:
    """
    Take out of a run all that MkDocs would publish by itself from the content folder but should not.

    What stays: Markdown pages, files of the open folders, and files that mkdocs.yml itself names; none of them when it
    is a link to a place that stays home.

    Args:
        files: Changed in place. Files of themes and other plugins, and those outside the content folder, stay.
        content: The folder of the records.
        config: Names styles, scripts, logo and favicon.

    Returns:
        Files which are neither published nor records, relative to the content folder: somebody may miss them.
    """
    content = content.resolve()
    docs = Path(config.docs_dir).resolve()
    named = set(_named_files(config))
    strays = []
    for file in list(files):
        if file.src_dir != config.docs_dir:
            continue
        lies = docs / file.src_uri
        if not lies.is_relative_to(content):
            continue
        path = PurePosixPath(lies.relative_to(content).as_posix())
        if is_open(path, named=file.src_uri in named) and not _leads_home(lies, docs, content):
            continue
        files.remove(file)
        if file.inclusion.is_included() and not (_is_record(path) or _is_never_published(path)):
            strays.append(str(path))
    return tuple(strays)


def strays_in_words(strays: Sequence[str]) -> str:
    """Say which files stayed home though somebody may want them on the site."""
    named = ", ".join(strays[:_NAMES_SHOWN]) + (", …" if len(strays) > _NAMES_SHOWN else "")
    return (
        f"{len(strays)} {'file is' if len(strays) == 1 else 'files are'} kept out of the site: {named}. "
        "Put what visitors may have into files/, and remove the rest."
    )


def is_open(path: PurePosixPath, *, named: bool = False) -> bool:
    """
    Say whether a file of the content folder may be published as it is.

    Args:
        path: Relative to the content folder.
        named: Whether mkdocs.yml names it, as a style or a logo.
    """
    if _is_record(path) or _is_never_published(path):
        return False
    return named or is_markdown_file(path.name) or (len(path.parts) > 1 and path.parts[0] in OPEN_FOLDERS)


def add_assets(files: Files, config: MkDocsConfig, *, for_preview: bool = False) -> None:
    """Add the core's styles, scripts and fonts to the files of a run; for a preview, its tools too."""
    for name, asset in core_assets(for_preview=for_preview):
        uri = ASSETS + name
        if files.get_file_from_path(uri) is None:
            files.append(File.generated(config, uri, content=asset.read_bytes(), inclusion=InclusionLevel.NOT_IN_NAV))


def core_assets(*, for_preview: bool = False) -> Iterator[tuple[str, Traversable]]:
    """Give the core's styles, scripts and fonts by their names below `ASSETS`, in order; on request a preview's too."""
    pages = resources("buildlog.pages")
    yield from sorted(_walk(pages / "assets"), key=lambda pair: pair[0])
    if for_preview:
        yield from sorted(_walk(pages / "preview", "preview/"), key=lambda pair: pair[0])


def link_files(made: Mapping[str, Path], site: Path, *, may_point: bool = False) -> None:
    """
    Let the site hold the core's made files, without copying them where the disk allows that.

    Args:
        made: Files by their addresses on the site.
        site: The folder of the site.
        may_point: Symbolic links will do, since the site is only looked at on this machine.

    Raises:
        SiteError: One could neither be linked nor copied.
    """
    folders: set[Path] = set()
    for address, source in made.items():
        target = site / address
        try:
            if target.parent not in folders:
                target.parent.mkdir(parents=True, exist_ok=True)
                folders.add(target.parent)
            _link(source, target, may_point)
        except OSError as error:
            raise SiteError(f"{address} could not be put into the site ({error.strerror})") from error


def _link(source: Path, target: Path, may_point: bool) -> None:
    try:
        os.link(source, target)
    except OSError:
        try:
            if not may_point:
                raise
            target.symlink_to(source.absolute())
        except OSError:
            shutil.copyfile(source, target)


def _walk(folder: Traversable, above: str = "") -> Iterator[tuple[str, Traversable]]:
    for entry in folder.iterdir():
        if entry.name.startswith((".", "__")):
            continue
        if entry.is_dir():
            yield from _walk(entry, f"{above}{entry.name}/")
        else:
            yield above + entry.name, entry


def _named_files(config: MkDocsConfig) -> Iterator[str]:
    yield from map(str, (*config.extra_css, *config.extra_javascript, *config.extra_templates))
    yield from (value for key in ("logo", "favicon") if isinstance(value := config.theme.get(key), str))


def _leads_home(lies: Path, docs: Path, content: Path) -> bool:
    """Say whether a path is a link to a record, an original photo or something outside the site's sources."""
    real = lies.resolve()
    if real == lies:
        return False
    if real.is_relative_to(content):
        return not is_open(PurePosixPath(real.relative_to(content).as_posix()))
    return not real.is_relative_to(docs)


def _is_record(path: PurePosixPath) -> bool:
    # A disk that ignores case lets `Builds/` be the folder of the builds.
    return path.parts[0].casefold() in RECORDS


def _is_never_published(path: PurePosixPath) -> bool:
    """Say whether nobody can expect it on the site: hidden files, keys, what editors and desktops leave."""
    if any(part.startswith(".") for part in path.parts):
        return True
    name = PurePosixPath(path.name.casefold())
    return any(name.match(pattern) for pattern in (*_SECRET, *_LITTER))
