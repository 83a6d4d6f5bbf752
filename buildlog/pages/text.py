"""Words for pages: Markdown made safe, dates and counts in words, anchors made from words."""

from __future__ import annotations

import html
import re
from functools import lru_cache

import markdown
import nh3

from buildlog.words import anchor

__all__ = ["anchor", "first_sentence", "inline_html", "markdown_html", "plain", "sentence"]

_TAGS = frozenset(
    [
        "a",
        "abbr",
        "b",
        "blockquote",
        "br",
        "code",
        "del",
        "em",
        "i",
        "kbd",
        "li",
        "ol",
        "p",
        "pre",
        "s",
        "strong",
        "sub",
        "sup",
        "table",
        "tbody",
        "td",
        "th",
        "thead",
        "tr",
        "ul",
    ]
)
_ATTRIBUTES = {"a": {"href", "title"}, "abbr": {"title"}, "td": {"align"}, "th": {"align"}}


def _keep_attribute(tag: str, attribute: str, value: str) -> str | None:
    """Keep links that lead to a whole address or within the page; a relative one would break on another page."""
    if attribute == "href" and not re.match(r"(?:https?://|mailto:|#)", value, re.IGNORECASE):
        return None
    return value


_CLEANER = nh3.Cleaner(
    tags=set(_TAGS),
    attributes={tag: set(names) for tag, names in _ATTRIBUTES.items()},
    attribute_filter=_keep_attribute,
    url_schemes={"http", "https", "mailto"},
    link_rel="noopener nofollow",
    strip_comments=True,
)


@lru_cache(maxsize=4096)
def markdown_html(text: str | None) -> str:
    """
    Render Markdown to safe HTML; empty for no text.

    Raw HTML, script-like links, pictures and headings are made harmless: their text stays, they do not.
    """
    if not text:
        return ""
    return _CLEANER.clean(markdown.markdown(text, extensions=["sane_lists", "tables"])).strip()


def inline_html(text: str | None) -> str:
    """Render Markdown that is one paragraph without the paragraph's tags."""
    rendered = markdown_html(text)
    match = re.fullmatch(r"<p>((?:(?!</?p>).)*)</p>", rendered, re.DOTALL)
    return match[1] if match else rendered


@lru_cache(maxsize=4096)
def plain(text: str | None) -> str:
    """Take the bare words out of Markdown."""
    if not text:
        return ""
    return " ".join(html.unescape(nh3.clean(markdown_html(text), tags=set())).split())


def first_sentence(text: str, longest: int = 160) -> str:
    """Cut words to their first sentence, or at a word's end within `longest` characters."""
    sentence = re.split(r"(?<=[.!?])\s", text, maxsplit=1)[0]
    if len(sentence) <= longest:
        return sentence
    return sentence[:longest].rsplit(" ", 1)[0].rstrip(",;:") + " …"


def sentence(text: str) -> str:
    """Put a capital at the beginning."""
    return text[:1].upper() + text[1:]
