"""When a page was last changed: a matter of the records, not of the day of the run."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mkdocs.structure.files import Files

NO_DAY = "1970-01-01"
"""Stands in the site map of a workshop that has not dated anything yet."""


def date_pages(files: Files) -> None:
    """
    Give every page the day of the newest record it tells of; pages that tell of none get the newest of the site.

    The core gives that day as `date` in a page's metadata (`2026-08-15`). SOURCE_DATE_EPOCH prevails where it is set
    (https://reproducible-builds.org/specs/source-date-epoch/): MkDocs has used it already.
    """
    if "SOURCE_DATE_EPOCH" in os.environ:
        return
    pages = [file.page for file in files.documentation_pages() if file.page is not None]
    own = [str(page.meta.get("date") or "")[:10] for page in pages]
    newest = max(own, default="") or NO_DAY
    for page, day in zip(pages, own, strict=True):
        page.update_date = day or newest
