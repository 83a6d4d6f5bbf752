"""Pages that the core has made become pages of the site, as if they had been written."""

from __future__ import annotations

import gzip
import json
import logging
import re
from dataclasses import replace
from urllib.parse import unquote, urljoin, urlsplit

import pytest

from buildlog_mkdocs.dates import newest_days
from buildlog_mkdocs.pages import name_index_file, name_index_files
from tests.plugin.sites import CATALOGUE, HERON, HOME, UPDATE

PAGES = {
    "index.html",
    "catalogue/index.html",
    "builds/heron/index.html",
    "builds/heron/2026-03-14-hull/index.html",
}


@pytest.fixture
def navigation(monkeypatch):
    """The navigation of each run, as pairs of depth and title."""
    from mkdocs.commands import build

    seen = []
    get_navigation = build.get_navigation

    def look(files, config):
        nav = get_navigation(files, config)
        seen.append(list(flat(nav.items)))
        return nav

    monkeypatch.setattr(build, "get_navigation", look)
    return seen


def flat(items, depth=0):
    """A navigation as pairs of depth and title; a page that is not read yet has no title of its own."""
    for item in items:
        yield depth, item.title or item.file.src_uri
        yield from flat(item.children or (), depth + 1)


def links_of(html):
    """Every link and picture of a page, but those to other hosts."""
    found = re.findall(r'<(?:a|link|img|script)\s[^>]*?(?:href|src)="?([^"\s>]*)', html)
    return [link for link in found if not urlsplit(link).scheme and not link.startswith("//")]


def test_html_reaches_the_page_untouched(site, core):
    """The core's HTML stands in the page as it was made; nothing reads it as Markdown."""
    core.give(
        pages=(*core.made.pages[:3], replace(UPDATE, html='<h1 id="title">*Raw* [x](y.md)</h1>\n    <p>1. a</p>'))
    )
    site.build()

    assert '<h1 id="title">*Raw* [x](y.md)</h1>\n    <p>1. a</p>' in site.read(
        "builds/heron/2026-03-14-hull/index.html"
    )
    assert '<h2 id="hull">Hull</h2>\n<p>Clinker planked in limewood.</p>' in site.read("builds/heron/index.html")


def test_head_of_a_page(site, core):
    """Title and description of a page are the core's; the home page is called as the site is."""
    site.build()

    heron = site.read("builds/heron/index.html")
    assert re.search("<title>Heron .*Tern Quay Models</title>", heron)
    assert re.search(r'<meta name="?description"? content="A harbour tug\."', heron)
    assert "<title>Tern Quay Models</title>" in site.read("index.html")


def test_named_in_nav(site, core, navigation):
    """Pages that `nav` names stand in the navigation, in its order and under its titles; no others do."""
    site.build()

    assert navigation == [[(0, "On the bench"), (0, "Catalogue"), (0, "Guide"), (1, "guide/index.md")]]
    assert "<title>Finished commissions" in site.read("catalogue/index.html")


def test_without_nav(site, core, navigation):
    """A site that gives no `nav` shows its top pages, then the written ones; never every build and update."""
    site.set(nav=None)
    site.write("about.md", "# About\n")

    site.build()

    assert navigation == [
        [
            (0, "Tern Quay Models"),
            (0, "Finished commissions"),
            (0, "about.md"),
            (0, "Guide"),
            (1, "guide/index.md"),
        ]
    ]


def test_page_that_is_not_made(site, core):
    """A `nav` that names a page which is not made is a warning, which a strict run refuses."""
    site.set(nav=[{"Home": "index.md"}, {"Archive": "archive/index.md"}, {"Guide": "guide/index.md"}])

    with pytest.raises(SystemExit, match="1 warnings in strict mode"):
        site.build(strict=True)


@pytest.mark.parametrize("folders", [True, False], ids=["folder-addresses", "file-addresses"])
def test_every_link_leads_somewhere(site, core, folders):
    """Links lead to files of the site under either style of addresses, and never name the site's root."""
    site.set(use_directory_urls=folders)
    core.give(redirects={"builds/old/": "builds/heron/"})
    site.build()

    pages = [path for path in site.files() if path.endswith(".html") and path != "404.html"]
    assert {*PAGES, "builds/old/index.html", "guide/index.html"} == set(pages)
    for page in pages:
        links = links_of(site.read(page))
        assert len(links) > 1
        for link in links:
            assert not link.startswith("/")
            target = unquote(urlsplit(urljoin(f"https://x/{page}", link)).path)[1:]
            if folders and (target.endswith("/") or not target):
                target += "index.html"
            assert (site.made / target).is_file(), f"{page} leads to {link}"


def test_page_with_letters_of_any_script(site, core):
    """An address may hold any letters: the file has them as they are, the site map percent-encoded."""
    core.give(pages=(*core.made.pages, replace(HERON, address="builds/größe-鶴/", title="鶴")))

    site.build()

    assert (site.made / "builds/größe-鶴/index.html").is_file()
    assert "/builds/gr%C3%B6%C3%9Fe-%E9%B6%B4/" in site.read("sitemap.xml")


def test_written_page_takes_the_place_of_a_made_one(site, core, caplog):
    """A page that the workshop has written itself stands in place of the made one, and that is said."""
    site.write("catalogue.md", "# My own list\n")
    site.set(nav=[{"Home": "index.md"}, {"Catalogue": "catalogue.md"}, {"Guide": "guide/index.md"}])
    caplog.set_level(logging.INFO, "mkdocs")

    site.build(strict=True)

    assert "My own list" in site.read("catalogue/index.html")
    assert "/catalogue/ is a page of your own" in caplog.text


# --- search --------------------------------------------------------------------------------------


def test_search_leads_to_sections(site, core):
    """Search finds a made page by its words and leads to the section they stand in."""
    site.build()

    docs = json.loads(site.read("search/search_index.json"))["docs"]
    found = {doc["location"]: (doc["title"], doc["text"]) for doc in docs if doc["location"].startswith("builds/")}
    assert found == {
        "builds/heron/": ("Heron", ""),
        "builds/heron/#hull": ("Hull", "<p>Clinker planked in limewood.</p> First"),
        "builds/heron/2026-03-14-hull/": ("The hull", "<p>Planked.</p>Heron Top"),
    }


def test_contents_of_a_page(site, core, monkeypatch):
    """A page's headings reach the theme as they are nested, as HTML."""
    from mkdocs.commands import build

    seen = {}
    monkeypatch.setattr(
        build,
        "get_context",
        lambda nav, files, config, page=None, base_url="", old=build.get_context: (
            seen.update({page.url: page}) if page else None,
            old(nav, files, config, page, base_url),
        )[1],
    )
    site.build()

    top = seen["catalogue/"].toc.items[0]
    assert (top.title, top.url, top.level) == ("Finished", "#title", 1)
    assert [(entry.title, entry.url) for entry in top.children] == [("Tugs &amp; tenders", "#tugs")]


def test_links_into_made_pages_are_checked(site, core, caplog):
    """A guide page that leads to a heading which a made page does not have is told of it."""
    site.write(
        "guide/index.md", "[the keel](../builds/heron/index.md#keel), [the hull](../builds/heron/index.md#hull)\n"
    )
    site.set(validation={"links": {"anchors": "warn"}})

    site.build()

    assert "does not contain an anchor '#keel'" in caplog.text
    assert "#hull" not in caplog.text


# --- site map, dates, redirects --------------------------------------------------------------------


def test_site_map(site, core):
    """The site map lists every page with the day of the newest update on it or below it, and no old address."""
    core.give(
        pages=(*core.made.pages, replace(UPDATE, address="builds/tern/one/", meta={"date": "2026-05-01"})),
        redirects={"builds/old/": "builds/heron/"},
    )
    site.build()

    listed = dict(
        re.findall(
            r"<loc>https://models\.example\.org/quay/(.*?)</loc>\s*<lastmod>(.*?)</lastmod>", site.read("sitemap.xml")
        )
    )
    assert listed == {
        "": "2026-05-01",
        "catalogue/": "2026-05-01",
        "guide/": "2026-05-01",
        "builds/heron/": "2026-03-14",
        "builds/heron/2026-03-14-hull/": "2026-03-14",
        "builds/tern/one/": "2026-05-01",
    }
    assert gzip.decompress((site.made / "sitemap.xml.gz").read_bytes()) == (site.made / "sitemap.xml").read_bytes()


def test_workshop_without_a_date(site, core):
    """A workshop that has dated nothing yet is still made, with a fixed day in the site map."""
    core.give(pages=(HOME, CATALOGUE, HERON))

    site.build()

    assert site.read("sitemap.xml").count("<lastmod>1970-01-01</lastmod>") == 4


def test_given_moment_prevails(site, core, monkeypatch):
    """Who gives SOURCE_DATE_EPOCH gets that day on every page."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")  # 14 November 2023

    site.build()

    assert set(re.findall(r"<lastmod>(.*?)</lastmod>", site.read("sitemap.xml"))) == {"2023-11-14"}


def test_same_records_same_bytes(site, core, monkeypatch):
    """Runs on different days give the same bytes, of every file and in the same places."""
    core.give(redirects={"builds/old/": "builds/heron/"})
    made = []
    for day in ("2026-11-01", "2027-02-03"):
        monkeypatch.setattr("mkdocs.structure.pages.get_build_date", lambda day=day: day)
        site.build()
        made.append({path: (site.made / path).read_bytes() for path in site.files()})

    assert made[0] == made[1]


def test_newest_days():
    """A page's own day, and that of the newest page below it."""
    pages = [
        replace(HOME, address=address, meta={"date": day} if day else {})
        for address, day in (
            ("", ""),
            ("builds/a/", ""),
            ("builds/a/1/", "2026-01-02"),
            ("builds/a/2/", "2026-03-04"),
            ("builds/ab/1/", "2026-02-03"),
        )
    ]

    days = newest_days(pages)

    assert days == {
        "": "2026-03-04",
        "builds/": "2026-03-04",
        "builds/a/": "2026-03-04",
        "builds/a/1/": "2026-01-02",
        "builds/a/2/": "2026-03-04",
        "builds/ab/": "2026-02-03",
        "builds/ab/1/": "2026-02-03",
    }


def test_redirect(site, core):
    """An old address leads on, with and without scripts, in words too; it is in no index."""
    core.give(redirects={"builds/grey-heron/2026-03-14-hull/": "builds/heron/2026-03-14-hull/"})
    site.build()

    page = site.read("builds/grey-heron/2026-03-14-hull/index.html")
    assert re.findall(r'href="(.*?)"', page) == ["../../heron/2026-03-14-hull/"] * 2
    assert '<noscript><meta http-equiv="refresh" content="0; url=../../heron/2026-03-14-hull/"></noscript>' in page
    assert "location.hash" in page
    assert "grey-heron" not in site.read("sitemap.xml") + site.read("search/search_index.json")


def test_redirect_never_hides_a_page(site, core):
    """A page that stands at an old address by now prevails."""
    core.give(redirects={"builds/heron/": "catalogue/"})

    site.build()

    assert "Clinker planked" in site.read("builds/heron/index.html")


@pytest.mark.parametrize(
    ("link", "named"),
    [
        pytest.param("../hull/", "../hull/index.html", id="page"),
        pytest.param("./", "./index.html", id="own-page"),
        pytest.param("../hull/#bow", "../hull/index.html#bow", id="place-on-a-page"),
        pytest.param("catalogue/?kind=tug#t", "catalogue/index.html?kind=tug#t", id="query"),
        pytest.param("#bow", "#bow", id="place-on-this-page"),
        pytest.param("../pictures/a.webp", "../pictures/a.webp", id="file"),
        pytest.param("https://example.org/a/", "https://example.org/a/", id="other-host"),
        pytest.param("//example.org/a/", "//example.org/a/", id="other-host-same-scheme"),
        pytest.param("mailto:a@example.org?body=x/", "mailto:a@example.org?body=x/", id="mail"),
    ],
)
def test_link_that_names_a_file(link, named):
    """Where addresses are files, a link to a page names its file and every other link stays."""
    assert name_index_file(link) == named


def test_links_in_words_stay():
    """Only tags are touched; what reads like one in the text stays."""
    html = '<p>Write href="x/" or &lt;a href="y/"&gt;.</p><a class="k" href="z/">z</a>'

    assert name_index_files(html) == html.replace('"z/"', '"z/index.html"')
