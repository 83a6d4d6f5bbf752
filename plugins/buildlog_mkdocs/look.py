"""How the site gets the workshop's look: theme folder and styles. Each page names the scripts it loads."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from mkdocs.exceptions import PluginError

from buildlog_mkdocs.files import ASSETS

if TYPE_CHECKING:
    from mkdocs.config.defaults import MkDocsConfig

THEME_FOLDER = Path(__file__).parent / "theme"
"""Templates that dress Material's shell."""
STYLES = "sheet.css"
"""The style sheet that brings in the rest."""

PALETTE = (
    {
        "media": "(prefers-color-scheme)",
        "scheme": "default",
        "toggle": {"icon": "material/brightness-auto", "name": "Use the light look"},
    },
    {
        "media": "(prefers-color-scheme: light)",
        "scheme": "default",
        "toggle": {"icon": "material/brightness-7", "name": "Use the dark look"},
    },
    {
        "media": "(prefers-color-scheme: dark)",
        "scheme": "slate",
        "toggle": {"icon": "material/brightness-4", "name": "Follow the system"},
    },
)
"""Light and dark as the reader's system has it, until they choose; for sites that give no palette."""


def set_look(config: MkDocsConfig) -> None:
    """
    Dress Material in the sheets' look, and keep every other host out of the pages.

    The workshop's own `custom_dir`, palette, styles and scripts keep the last word.
    """
    if config.theme.name != "material":
        raise PluginError(f"theme: the sheets need the theme material; mkdocs.yml has {config.theme.name or 'none'}")
    if str(THEME_FOLDER) not in config.theme.dirs:
        config.theme.dirs.insert(1 if config.theme.custom_dir else 0, str(THEME_FOLDER))
    config.theme["font"] = False
    config.theme["palette"] = config.theme.get("palette") or [dict(choice) for choice in PALETTE]
    if ASSETS + STYLES not in config.extra_css:
        config.extra_css.insert(0, ASSETS + STYLES)


_CHECK_BOX = re.compile(r'(<input\b[^>]*\btype="checkbox"[^>]*?) autocomplete="off"')


def valid_shell(html: str) -> str:
    """Take from Material's check boxes an attribute that HTML allows only where something is typed."""
    return _CHECK_BOX.sub(r"\1", html)
