"""When a page was last changed: a matter of the records, not of the day of the run."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from buildlog_mkdocs.pages import ReadyPage

if TYPE_CHECKING:
    from mkdocs.structure.files import Files

    from buildlog.publish.making import MadePage

NO_DAY = "1970-01-01"
"""Stands in the site map of a workshop that has not dated anything yet."""


def date_pages(files: Files) -> None:
    """
    Give every page the day of the newest update on it or below it; others the newest of the site.

    SOURCE_DATE_EPOCH prevails where it is set (https://reproducible-builds.org/specs/source-date-epoch/): MkDocs has
    used it already.
    """
    if "SOURCE_DATE_EPOCH" in os.environ:
        return
    pages = [file.page for file in files.documentation_pages() if file.page is not None]
    days = newest_days(page.made for page in pages if isinstance(page, ReadyPage))
    for page in pages:
        address = page.made.address if isinstance(page, ReadyPage) else ""
        page.update_date = days.get(address) or days.get("") or NO_DAY


def newest_days(pages: Iterable[MadePage]) -> dict[str, str]:
    """
    Find the newest day told of on a page or below it, by the page's address; "" is the whole site.

    Only pages with a `date` in their metadata (`2026-08-15`) have a day of their own.
    """
    days: dict[str, str] = {}
    for made in pages:
        day = made.meta.get("date", "")
        for address in _upwards(made.address):
            days[address] = max(day, days.get(address, ""))
    return days


def _upwards(address: str) -> Iterator[str]:
    """Give an address and those above it: `builds/hull/`, `builds/`, and the site's own."""
    parts = address.split("/")[:-1]
    for length in range(len(parts), -1, -1):
        yield "".join(f"{part}/" for part in parts[:length])
