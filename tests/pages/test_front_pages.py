"""What home and the catalogue say."""

from buildlog.pages.audience import Audience, see
from buildlog.pages.desk import Desk
from buildlog.pages.front_pages import catalogue_page, home_page
from buildlog.pages.gallery import Gallery
from tests.pages.workshops import AnyPictures, a_build, a_workshop


def desks(*builds, audience=Audience.VISITOR):
    seen = see(a_workshop(*builds), audience)
    return [Desk(seen, build, Gallery(AnyPictures(), "UTC")) for build in seen.builds]


def finished(slug, kind="vessel", **record):
    return a_build(
        {}, slug=slug, name=slug.title(), status="finished", subject={"name": "A model", "kind": kind}, **record
    )


def test_home_leads_with_the_newest_update_on_the_bench():
    """A newer update of a finished commission does not take its place, and the lead is not listed again."""
    bench = a_build({"date": "2026-03-01"}, {"date": "2026-04-01", "title": "Newest here"}, slug="bench")
    done = a_build({"date": "2026-05-01"}, slug="done", name="Done", status="finished")

    home = home_page(desks(bench, done))

    assert home.lead is not None
    assert (home.lead.block.title, home.lead.address) == ("Newest here", "builds/bench/02/")
    assert [row.address for row in home.updates] == ["builds/done/01/", "builds/bench/01/"]
    assert [card.name for card in home.finished] == ["Done"]


def test_home_shows_the_bench_when_there_is_more_than_one_build_on_it():
    """With one build, the lead says it all."""
    one = home_page(desks(a_build({}, slug="one")))
    two = home_page(desks(a_build({}, slug="one"), a_build({}, slug="two")))

    assert one.bench == ()
    assert len(two.bench) == 2


def test_home_without_builds_is_no_mistake():
    """A workshop on its first day has a home page."""
    home = home_page([])

    assert home.lead is None
    assert home.updates == home.finished == ()


def test_drafts_and_client_builds_stay_home():
    """Neither on the front page nor in the catalogue."""
    hidden = [finished("sealed", audience="client"), a_build({}, slug="draft", audience="draft")]
    seen = desks(*hidden, finished("open"))

    home, catalogue = home_page(seen), catalogue_page(seen, a_workshop().record)

    assert [card.name for card in home.finished] == ["Open"]
    assert home.lead is None
    assert [card.name for card in catalogue.cards] == ["Open"]


def test_the_catalogue_groups_by_kind():
    """However the kind's letters were written, and the newest first in each."""
    seen = desks(
        finished("tug", "vessel", finished="2025-05-01"),
        finished("ferry", "Vessel", finished="2026-05-01"),
        finished("crane", "machine", finished="2024-01-01"),
        a_build({}, slug="bench"),
    )

    catalogue = catalogue_page(seen, a_workshop().record)

    assert [(group.name, [card.name for card in group.cards]) for group in catalogue.groups] == [
        ("Machine", ["Crane"]),
        ("Vessel", ["Ferry", "Tug"]),
    ]


def test_a_card_says_what_a_client_asks_first():
    """Scale, length and year; the measure off the model before the computed one."""
    spec = [
        {"name": "Crew", "text": "Four"},
        {"name": "Length overall", "full_size": "28.30 m", "measured": "1180 mm"},
    ]

    (card,) = catalogue_page(desks(finished("tug", spec=spec, finished="2025-05-01")), a_workshop().record).cards

    assert (card.scale, card.length, card.year) == ("1:24", "1180\N{NO-BREAK SPACE}mm", "2025")


def test_what_is_on_the_bench_can_be_reached():
    """A build without an update yet, and an enquiry that is public, stand on the home page beside the lead."""
    seen = desks(
        a_build({}, slug="told", name="Told"),
        a_build(slug="new", name="New"),
        a_build(slug="asked", name="Asked", status="enquiry"),
    )

    home = home_page(seen)

    assert [(card.name, card.state) for card in home.bench] == [
        ("Told", "on the bench"),
        ("New", "on the bench"),
        ("Asked", "enquiry"),
    ]


def test_finished_commissions_stand_newest_first():
    """By the day they were finished; those of one day by name."""
    seen = desks(
        finished("zulu", finished="2026-01-01"),
        finished("alpha", finished="2026-12-01"),
        finished("beta", finished="2026-12-01"),
    )

    home = home_page(seen)

    assert [card.name for card in home.finished] == ["Alpha", "Beta", "Zulu"]
