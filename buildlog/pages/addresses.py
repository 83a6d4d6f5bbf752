"""
Where every page and anchor of the site stands, and how one place leads to another.

An address leads from the site's root: "" is the home page, a page ends in "/", a file does not, and "#" begins a
fragment. It holds any Unicode letters, and is percent-encoded only where it becomes a link.
"""

from __future__ import annotations

from urllib.parse import quote

from buildlog.words import anchor

HOME = ""
CATALOGUE = "catalogue/"
PICTURES = "pictures/"
ACCURACY = "~is-it-right"
"""Anchor of a page's accuracy notes; no id of a record begins with such a sign."""
SAFE = "!$&'()*+,;=@~"
"""What may stand in a path or a fragment as it is (RFC 3986, section 3.3), but ":", which could read as a scheme."""


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


def relative(from_address: str, to_address: str) -> str:
    """
    Make the link that leads from one place of the site to another.

    Works under any sub-path, since it never names the site's root.

    Args:
        from_address: The page the link stands on.
        to_address: Where it leads; a page, a file, or a place on a page.

    Returns:
        A percent-encoded relative reference; never empty, since an empty one means the page and its query.
    """
    path, mark, fragment = to_address.partition("#")
    encoded = quote(fragment, safe=SAFE + "/:?")
    page = from_address.partition("#")[0]
    if path == page and mark:
        return f"#{encoded}"
    here = page.split("/")[:-1]
    *folders, last = path.split("/")
    shared = 0
    while shared < min(len(here), len(folders)) and here[shared] == folders[shared]:
        shared += 1
    steps = [".."] * (len(here) - shared) + [quote(part, safe=SAFE) for part in folders[shared:]]
    way = "/".join([*steps, quote(last, safe=SAFE)])
    return f"{way or './'}{mark}{encoded}"
