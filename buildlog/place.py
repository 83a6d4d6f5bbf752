"""Where a workshop lies on disk: its settings, its records, and what is made from them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import yaml

SETTINGS_NAMES = ("mkdocs.yml", "mkdocs.yaml")
"""The file at the top of a workshop's folder."""


class PlaceError(Exception):
    """There is no workshop where one was looked for. Its text says what to do."""


@dataclass(frozen=True)
class Place:
    """One workshop's folders."""

    settings: Path
    """The site's settings, at the top of the workshop's folder."""
    content: Path
    """The folder of the records."""
    store: Path
    """Where made pictures are kept; may be deleted at any time."""
    site: Path
    """Where the site is put."""

    @property
    def root(self) -> Path:
        """The workshop's folder."""
        return self.settings.parent


def find_place(folder: Path | None = None) -> Place:
    """
    Find the workshop that a folder belongs to.

    Args:
        folder: A workshop's folder or its settings file. Left out, the current folder and those above it are searched.

    Raises:
        PlaceError: There is none, or its settings cannot be read.
    """
    if folder is None:
        here = Path.cwd()
        for candidate in (here, *here.parents):
            if settings := _settings_in(candidate):
                return _read_place(settings)
        raise PlaceError(
            "There is no workshop here: neither this folder nor one above it has a mkdocs.yml.\n"
            "Go to your workshop's folder, name it with --workshop FOLDER, or begin one: buildlog start FOLDER"
        )
    if folder.is_file():
        return _read_place(folder.absolute())
    if not folder.exists():
        raise PlaceError(f"{folder} does not exist; give the folder that holds your workshop's mkdocs.yml.")
    if settings := _settings_in(folder):
        return _read_place(settings.absolute())
    raise PlaceError(
        f"{folder} is no workshop: it has no mkdocs.yml.\nBegin one there with: buildlog start {folder}"
        if not any(folder.iterdir())
        else f"{folder} is no workshop: it has no mkdocs.yml. Give the folder that has one."
    )


def _settings_in(folder: Path) -> Path | None:
    return next((folder / name for name in SETTINGS_NAMES if (folder / name).is_file()), None)


def _read_place(settings: Path) -> Place:
    """Read what is needed of the settings; the rest is the site generator's, tags and all."""
    try:
        root = yaml.compose(settings.read_text(encoding="utf-8-sig"), Loader=yaml.SafeLoader)
    except UnicodeDecodeError:
        raise PlaceError(f"{settings} is not UTF-8 text; save it as UTF-8.") from None
    except OSError as error:
        raise PlaceError(f"{settings} cannot be read: {error.strerror}.") from None
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        line = f":{mark.line + 1}" if mark else ""
        raise PlaceError(
            f"{settings}{line}: this is not YAML that can be read: {getattr(error, 'problem', error)}."
        ) from None
    folder = settings.parent
    own = _plugin_options(_value(root, "plugins"))
    docs = folder / (_text(_value(root, "docs_dir")) or "docs")
    return Place(
        settings=settings,
        content=folder / (_text(_value(own, "content")) or docs),
        store=folder / (_text(_value(own, "store")) or ".buildlog/pictures"),
        site=folder / (_text(_value(root, "site_dir")) or "site"),
    )


def _entries(node: yaml.Node | None) -> Iterator[tuple[str, yaml.Node]]:
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if isinstance(key, yaml.ScalarNode):
                yield key.value, value


def _value(node: yaml.Node | None, name: str) -> yaml.Node | None:
    return next((value for key, value in _entries(node) if key == name), None)


def _text(node: yaml.Node | None) -> str:
    return node.value if isinstance(node, yaml.ScalarNode) and not node.tag.startswith("!") else ""


def _plugin_options(plugins: yaml.Node | None) -> yaml.Node | None:
    """Find the options of `buildlog` in the plugins, which may be a list or a mapping."""
    if isinstance(plugins, yaml.SequenceNode):
        return next((found for entry in plugins.value if (found := _value(entry, "buildlog"))), None)
    return _value(plugins, "buildlog")
