"""Where everything stands: the address of each page and anchor, from the site's root."""

from __future__ import annotations

from buildlog.pages.text import anchor

HOME = ""
CATALOGUE = "catalogue/"
PICTURES = "pictures/"
ACCURACY = "~is-it-right"
"""Anchor of a page's accuracy notes; no id of a record begins with such a sign."""


def build_address(slug: str) -> str:
    """The page of a build."""
    return f"builds/{slug}/"


def update_address(slug: str, name: str) -> str:
    """The progress page of one record."""
    return f"builds/{slug}/{name}/"


def feature_anchor(feature: str) -> str:
    """A feature's anchor on its build's page."""
    return f"feature-{anchor(feature)}"


def part_anchor(part: str) -> str:
    """A part's anchor on a build's page."""
    return f"part-{anchor(part)}"


def paint_anchor(paint: str) -> str:
    """A paint's anchor on a build's page."""
    return f"paint-{anchor(paint)}"


def note_anchor(note: str) -> str:
    """An accuracy note's anchor, on a progress page and on the build's page."""
    return f"note-{anchor(note)}"


def decision_anchor(decision: str) -> str:
    """A decision's anchor, on a progress page and on the build's page."""
    return f"decision-{anchor(decision)}"
