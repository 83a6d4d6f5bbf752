"""Words as they stand in a YAML file that a person will go on editing."""

from __future__ import annotations

import json
import re
import unicodedata

_PLAIN = re.compile(r"[^\W_](?:[^\x00-\x1f\x7f-\x9f\u2028\u2029\ufeff]*\S)?")
_COMMENT_COLUMN = 30


def scalar(text: str) -> str:
    """Write a text on one line: plain where YAML reads it as it is, otherwise in quotes."""
    if _PLAIN.fullmatch(text) and ": " not in text and " #" not in text and not text.endswith(":"):
        return text
    return json.dumps(text, ensure_ascii=False)


def line(text: str, comment: str = "") -> str:
    """Write a line with a comment at the column where the others stand."""
    return f"{text:<{_COMMENT_COLUMN - 1}} # {comment}" if comment else text


def slug(text: str) -> str:
    """
    Make a folder's or file's name of words: letters of any script in lower case, digits, and hyphens between.

    Returns:
        May be empty, where the words hold neither letter nor digit.
    """
    words = unicodedata.normalize("NFC", text).lower()
    return re.sub(r"[\W_]+", "-", words).strip("-")[:80].rstrip("-")
