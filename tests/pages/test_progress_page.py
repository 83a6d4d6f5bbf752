"""What a progress page says: what changed, the walkaround, what is left."""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from buildlog.pages.audience import Audience
from buildlog.pages.build_page import build_page
from buildlog.pages.progress_page import progress_page
from buildlog.pages.walkaround import callout_anchors
from tests.pages.workshops import a_build, a_desk, a_workshop


def plain(text):
    return text.replace("\N{NO-BREAK SPACE}", " ").replace("\N{MINUS SIGN}", "-")


def page(build, number=-1, audience=Audience.VISITOR, *, workshop=None, **desk):
    made = a_desk(workshop or a_workshop(build), audience, **desk)
    return progress_page(made, made.build.updates[number])


def entries(view):
    return {group.title: [entry.name for entry in group.entries] for group in view.changes}


LIGHT = {"id": "light", "name": "Port sidelight", "area": "Wheelhouse"}
HOOK = {"id": "hook", "name": "Towing hook", "area": "Stern"}


def test_what_changed_is_told_from_the_update_before():
    """A feature is begun when first met, carried on after that, and finished once."""
    build = a_build(
        {"features": [{**LIGHT, "state": "begun"}, {**HOOK, "state": "painted"}]},
        {"features": [{"id": "light", "state": "finished"}, {"id": "hook", "change": "Hung. And more."}]},
        {"features": [{"id": "light", "change": "Touched up."}]},
    )

    assert entries(page(build, 0)) == {"Begun": ["Port sidelight", "Towing hook"]}
    assert entries(page(build, 1)) == {"Finished": ["Port sidelight"], "Carried on": ["Towing hook"]}
    assert entries(page(build, 2)) == {"Carried on": ["Port sidelight"]}
    assert page(build, 1).changes[1].entries[0].note == "Hung"


def test_a_feature_begun_and_finished_in_one_session_is_finished():
    """It is told once, under what is finished."""
    assert entries(page(a_build({"features": [{**LIGHT, "state": "finished"}]}))) == {"Finished": ["Port sidelight"]}


def test_work_done_says_how_far_and_from_where():
    """A work item that moved is told with both shares; one that fell says why."""
    work = [
        {"id": "hull", "name": "Hull shell", "stage": "assembly", "hours": "10"},
        {"id": "deck", "name": "Deck", "stage": "assembly", "hours": "10"},
        {"id": "mast", "name": "Mast", "stage": "assembly", "hours": "10"},
    ]
    build = a_build(
        {"done": [{"id": "hull", "share": "50 %"}, {"id": "deck", "share": "60 %"}]},
        {"done": ["hull", {"id": "deck", "share": "30 %", "redo": "Planks lifted"}, {"id": "mast", "share": "10 %"}]},
        work=work,
    )

    (group,) = page(build).changes

    assert [(entry.name, entry.note) for entry in group.entries] == [
        ("Hull shell", "finished, from 50 %"),
        ("Deck", "back to 30 %: Planks lifted"),
        ("Mast", "10 %"),
    ]


def test_a_note_is_settled_once():
    """A note left open and later answered is settled by the later update, and not again by one that repeats it."""
    build = a_build(
        {"accuracy": [{"id": "arcs", "claim": "Each shows over 112.5 degrees.", "outcome": "unknown"}]},
        {"accuracy": [{"id": "arcs", "outcome": "as full size"}]},
        {"accuracy": [{"id": "arcs", "model": "Checked again."}]},
    )

    assert entries(page(build, 0)) == {}
    assert entries(page(build, 1)) == {"Settled": ["Each shows over 112.5 degrees"]}
    assert entries(page(build, 2)) == {}
    assert page(build, 2).accuracy[0].outcome.text == "As full size"
    settled = page(build, 2).accuracy[0].settled
    assert settled is not None
    assert settled.address == "builds/heron/02/"


def test_since_and_up_speak_of_what_this_reader_saw_last():
    """A visitor who was not told of the client's update is told what happened since the one before it."""
    build = a_build(
        {"done": [{"id": "assembly", "share": "50 %"}]},
        {"done": ["assembly"], "audience": "client"},
        {"done": ["primer"]},
    )

    visitor, client = page(build), page(build, audience=Audience.CLIENT)

    assert (visitor.since, visitor.number, visitor.count) == ("Since 10 January", 2, 2)
    assert (client.since, client.number, client.count) == ("Since 10 February", 3, 3)
    assert visitor.block.percent == client.block.percent == 50
    assert visitor.block.percent_notes == ("complete, up 30 since 10 January",)
    assert client.block.percent_notes == ("complete, up 10 since 10 February",)


def test_the_stage_bar_shows_this_sessions_work_apart():
    """Each stage says how far it was and how far it is; the session's own stage is marked."""
    build = a_build(
        {"done": [{"id": "assembly", "share": "50 %"}]},
        {"done": ["assembly", {"id": "primer", "share": "20 %"}], "stage": "primer"},
    )

    bar = page(build).block.stage_bar

    assert [(part.name, part.weight, part.before, part.now, part.is_current) for part in bar] == [
        ("Assembly", 40, 50, 100, False),
        ("Primer", 10, 0, 20, True),
        ("Markings", 50, 0, 0, False),
    ]


def test_left_to_do_lists_work_that_is_not_finished():
    """Each item with its stage and how far it is; a finished commission has nothing left."""
    build = a_build({"done": ["assembly", {"id": "primer", "share": "25 %"}]})

    left = page(build).to_do

    assert [(item.name, item.percent) for item in left] == [("Primer", 25), ("Markings", 0)]


def test_neighbours_and_next():
    """Each page leads to the update before and after, and says when the next is meant to come."""
    build = a_build({}, {"next": {"text": "Rigging.", "date": "2026-04-01"}}, {"date": "2027-01-05"})

    middle = page(build, 1)

    assert middle.earlier is not None
    assert middle.later is not None
    assert (middle.earlier.text, middle.earlier.address) == ("Update 1, 10 January", "builds/heron/01/")
    assert (middle.later.text, middle.later.address) == ("Update 3, 5 January 2027", "builds/heron/03/")
    assert (middle.next_text, middle.next_day) == ("Rigging.", date(2026, 4, 1))


def test_a_folder_is_walked_by_the_time_the_pictures_were_taken():
    """What the record names comes where it is named; the rest by time, a time without offset being the workshop's."""
    taken = {
        "a.jpg": datetime(2026, 6, 6, 12, 0),  # noqa: DTZ001 - a camera without an offset: 11:00 UTC in Dublin
        "b.jpg": datetime(2026, 6, 6, 10, 30, tzinfo=UTC),
        "c.jpg": datetime(2026, 6, 6, 14, 0, tzinfo=timezone(timedelta(hours=3, minutes=15))),
    }
    names = ["a.jpg", "b.jpg", "c.jpg", "first.jpg", "no-time.jpg", "out.jpg"]
    build = a_build(
        {"photos": [{"file": "day/first.jpg"}, {"folder": "day", "except": ["out.jpg"]}]},
        photos=[f"day/{name}" for name in names],
    )

    walked = page(build, workshop=a_workshop(build, time_zone="Europe/Dublin"), taken=taken).plates

    assert [plate.picture.jpeg for plate in walked] == [
        f"pictures/{name}.jpg" for name in ("first", "b", "c", "a", "no-time")
    ]


def callout(**words):
    return {"at": ["0.5", "0.5"], **words}


@pytest.mark.parametrize(
    ("words", "anchor"),
    [
        pytest.param({"id": "marks", "feature": "light"}, "marks", id="own id first"),
        pytest.param({"feature": "light"}, "light", id="then the feature"),
        pytest.param(
            {"text": "Draught marks, **100 mm** figures at full size."}, "draught-marks-100-mm-figures-at", id="words"
        ),
        pytest.param({"text": "Über-Größe"}, "über-größe", id="any letters"),
        pytest.param({"text": "!!!"}, "callout", id="nothing to go by"),
        pytest.param({"text": "Note the rivets"}, "callout-note-the-rivets", id="words like a note's address"),
    ],
)
def test_a_callout_has_an_address_of_its_own(words, anchor):
    """It comes from what the callout is about, never from where it stands."""
    build = a_build(
        {"features": [LIGHT], "photos": [{"file": "1.jpg", "callouts": [callout(**words)]}]}, photos=["1.jpg"]
    )

    (plate,) = page(build).plates

    assert plate.callouts[0].id == anchor


def test_a_callout_keeps_its_address_when_pictures_change_places():
    """What two pictures show is told apart by the picture, not by the order; the short address still leads there."""
    photos = [{"file": name, "callouts": [callout(feature="light")]} for name in ("1.jpg", "2.jpg")]

    one_way = page(a_build({"features": [LIGHT], "photos": photos}, photos=["1.jpg", "2.jpg"])).plates
    other_way = page(a_build({"features": [LIGHT], "photos": photos[::-1]}, photos=["1.jpg", "2.jpg"])).plates

    assert one_way[0].callouts[0].id == other_way[1].callouts[0].id
    assert one_way[1].callouts[0].id == other_way[0].callouts[0].id
    assert one_way[0].callouts[0].also == other_way[0].callouts[0].also == ("light",)


def test_no_two_callouts_share_an_address():
    """Not even when one picture calls the same thing out twice, or an id looks like a made one."""
    photos = [
        {
            "file": "1.jpg",
            "callouts": [callout(text="Rope"), callout(text="Rope"), callout(id="rope", text="Bow rope")],
        },
        {"file": "2.jpg", "callouts": [callout(text="Rope")]},
    ]
    desk = a_desk(a_workshop(a_build({"photos": photos}, photos=["1.jpg", "2.jpg"])))

    anchors = callout_anchors(desk.gallery.shots(desk.build.build, desk.build.updates[0].record))

    every = [name for names in anchors.values() for name in names]
    assert len(every) == len(set(every)) == 5


def test_no_callout_takes_the_address_of_something_else():
    """A feature may be called what a page's own addresses begin with; its callout then says that it is one."""
    lantern = {"id": "note-lamp", "name": "Lamp", "area": "Bow"}
    build = a_build(
        {
            "features": [lantern],
            "photos": [{"file": "1.jpg", "callouts": [callout(feature="note-lamp")]}],
            "accuracy": [{"id": "lamp", "claim": "The lamp is oil-lit.", "outcome": "departs"}],
        },
        photos=["1.jpg"],
    )

    shown = page(build)

    assert [note.id for note in shown.accuracy] == ["note-lamp"]
    assert shown.plates[0].callouts[0].id == "callout-note-lamp"


def test_a_mirrored_feature_answers_to_both_ids():
    """A callout may name the twin; it has the twin's name and paints, and leads to its fellow for all the rest."""
    feature = {
        **LIGHT,
        "origin": "scratch-built",
        "paints": ["red"],
        "mirrored": {"id": "starboard-light", "name": "Starboard sidelight", "paints": ["green"]},
        "state": "finished",
    }
    photos = [{"file": "1.jpg", "callouts": [callout(feature="light"), callout(feature="starboard-light")]}]
    build = a_build({"features": [feature], "photos": photos}, photos=["1.jpg"])
    paints = [{"id": "red", "name": "Signal red"}, {"id": "green", "name": "Signal green"}]

    view = page(build, workshop=a_workshop(build, paints=paints))

    port, starboard = view.plates[0].callouts
    assert (port.title, starboard.title) == ("Port sidelight", "Starboard sidelight")
    assert [link.text for link in port.made] == ["Scratch-built", "Signal red", "Mirrored"]
    assert [link.text for link in starboard.made] == ["Signal green"]
    assert starboard.told is not None
    assert starboard.told.address == f"builds/heron/01/#{port.id}"
    assert entries(view) == {"Finished": ["Port sidelight and starboard sidelight"]}


def test_a_feature_is_told_in_full_once_on_a_page():
    """On a later picture its callout has its own words, whether it is right, and the way to where it was told."""
    feature = {
        **LIGHT,
        "change": "Lens fitted.",
        "origin": "scratch-built",
        "measures": [{"what": "Lens", "measured": "3 mm"}],
    }
    photos = [
        {"file": "1.jpg", "callouts": [callout(feature="light")]},
        {"file": "2.jpg", "callouts": [callout(feature="light", text="From astern.")]},
    ]

    first, second = (
        plate.callouts[0]
        for plate in page(a_build({"features": [feature], "photos": photos}, photos=["1.jpg", "2.jpg"])).plates
    )

    assert (first.told, first.text_html, len(first.made), len(first.measures)) == (None, "<p>Lens fitted.</p>", 1, 1)
    assert second.told is not None
    assert second.told.text == "In full at picture 1"
    assert (second.text_html, second.made, second.measures) == ("<p>From astern.</p>", (), ())


def test_a_callout_says_whether_it_is_right():
    """A settled note that speaks of a feature stands on the feature's callouts, with how far it is off."""
    photos = [{"file": "1.jpg", "callouts": [callout(feature="light")]}]
    note = {
        "id": "screen",
        "claim": "The screen is 915 mm long.",
        "full_size": "915 mm",
        "measured": "40 mm",
        "tolerance": "1 %",
        "outcome": "simplified",
        "features": ["light"],
    }
    build = a_build({"features": [LIGHT], "photos": photos, "accuracy": [note]}, photos=["1.jpg"])

    view = page(build)

    (mark,) = view.plates[0].callouts[0].marks
    assert (mark.text, mark.tone) == ("Simplified, +4.92\N{NO-BREAK SPACE}%", "apart")
    assert [plain(words) for words in view.accuracy[0].figures] == [
        "915 mm (3 ft 1/32 in) at full size is 38.12 mm (1 1/2 in) at 1:24",
        "measured 40 mm (1 37/64 in), +4.92 %",
        "outside a tolerance of 1 %",
    ]


def test_a_note_with_a_class_is_told_before_it_is_measured():
    """A tolerance bears on a measure alone, so one without stops no page, whatever its class would say."""
    note = {"id": "rail", "claim": "A thin rail.", "full_size": "5 mm", "tolerance": "ISO 2768-v"}

    (view,) = page(a_build({"accuracy": [note]})).accuracy

    assert [plain(words) for words in view.figures] == ["5 mm (13/64 in) at full size is 0.21 mm (8.2 thou) at 1:24"]


@pytest.mark.parametrize(
    ("measure", "on_model", "full_size", "computed"),
    [
        pytest.param({"measured": "3.2 mm"}, "3.2 mm (1/8 in)", "77 mm (3 1/32 in)", "full size", id="off the model"),
        pytest.param(
            {"full_size": "915 mm"}, "38.12 mm (1 1/2 in)", "915 mm (3 ft 1/32 in)", "model", id="of the subject"
        ),
        pytest.param(
            {"full_size": "915 mm", "measured": "38 mm"},
            "38 mm (1 1/2 in)",
            "915 mm (3 ft 1/32 in)",
            "neither",
            id="both",
        ),
    ],
)
def test_measures_are_told_both_ways(measure, on_model, full_size, computed):
    """So much on the model is so much at full size, at 1:24, in both systems, and which of the two was computed."""
    feature = {**LIGHT, "measures": [{"what": "Screen", **measure}]}

    (view,) = page(a_build({"features": [feature]})).features

    (shown,) = view.measures
    assert plain(f"{shown.on_model} ({shown.on_model_other})") == on_model
    assert plain(f"{shown.full_size} ({shown.full_size_other})") == full_size
    assert shown.computed == computed


def test_ask_about_this_names_the_page():
    """The mail's subject says what it is about, and its words hold the page's address where the site's is known."""
    build = a_build({"title": "Name & load line"})

    view = page(build, site="https://example.org/tern/")
    silent = page(build)

    assert view.ask is not None
    assert view.ask.mailto == (
        "mailto:workshop@example.org?subject=Heron%3A%20Name%20%26%20load%20line"
        "&body=About%20https%3A%2F%2Fexample.org%2Ftern%2Fbuilds%2Fheron%2F01%2F%0A%0A"
    )
    assert silent.ask is not None
    assert "body" not in silent.ask.mailto


@pytest.mark.parametrize(
    ("words", "about"),
    [
        pytest.param("The name is sprayed through a stencil.", "Spraying", id="spraying"),
        pytest.param("The screens were soldered.", "Soldering", id="soldering"),
        pytest.param("The hull is a resin casting.", "Resin", id="resin"),
    ],
)
def test_dangerous_work_shows_its_caution(words, about):
    """The usual caution, and that the safety sheet and local rules come first."""
    view = page(a_build({"summary": words}))

    assert any(caution.startswith(about) for caution in view.cautions)
    assert "safety sheet" in view.cautions[-1]


def test_harmless_work_shows_no_caution():
    """A page about planking is not a page about danger."""
    assert page(a_build({"summary": "The deck is planked in strips."})).cautions == ()


def test_words_are_harmless():
    """Markdown works; raw HTML, scripts, pictures from elsewhere and script-like links do not."""
    summary = (
        "**Bold** <script>alert(1)</script><img src=x onerror=alert(1)> "
        "[bad](javascript:alert(1)) [worse](data:text/html,x) [good](https://example.org/)"
    )

    html = page(a_build({"summary": summary})).block.lede_html

    assert "<strong>Bold</strong>" in html
    assert 'href="https://example.org/"' in html
    for harm in ("<script", "<img", "onerror", "javascript:", "data:"):
        assert harm not in html


def test_long_lists_of_changes_are_told_in_short():
    """More than a handful of features stand by name alone, and as many notes by how they stand."""
    features = [{"id": f"f{n}", "name": f"Feature {n}", "area": "Bow", "change": "Done."} for n in range(6)]
    notes = [
        {"id": f"n{n}", "claim": f"Claim {n}.", "outcome": "as full size" if n else "simplified"} for n in range(6)
    ]

    begun, settled = page(a_build({"features": features, "accuracy": notes})).changes

    assert (begun.count, settled.count) == (6, 6)
    assert [entry.note for entry in begun.entries] == [""] * 6
    assert [(entry.name, entry.note) for entry in settled.entries] == [
        ("5 notes", "as full size"),
        ("1 note", "simplified"),
    ]


def test_planned_hours_are_not_told_by_the_stage_bar():
    """The bar is sized by shares of the whole; the hours behind them stay with the builder."""
    work = [
        {"id": "hull", "name": "Hull", "stage": "assembly", "hours": "142"},
        {"id": "paint", "name": "Paint", "stage": "primer", "hours": "58"},
    ]

    bar = page(a_build({"done": ["hull"]}, work=work)).block.stage_bar

    assert [part.weight for part in bar] == [71.0, 29.0]


def test_two_updates_of_one_day_are_told_apart():
    """The second does not speak of what happened since its own day."""
    build = a_build(
        {"date": "2026-01-01 10:00", "done": [{"id": "assembly", "share": "50 %"}]},
        {"date": "2026-01-01 18:30", "done": ["assembly"]},
    )

    second = page(build)

    assert second.since == "Since the update before"
    assert second.block.percent_notes == ("complete, up 20 since the update before",)


def test_a_share_that_only_withheld_records_raised_does_not_fall():
    """What fell is told with why; a visitor who never saw it so high is told that it rose."""
    build = a_build(
        {"done": [{"id": "assembly", "share": "20 %"}]},
        {"done": [{"id": "assembly", "share": "60 %"}], "audience": "client"},
        {"done": [{"id": "assembly", "share": "50 %", "redo": "Hull cracked"}]},
    )

    notes = [
        page(build, audience=audience).changes[0].entries[0].note for audience in (Audience.CLIENT, Audience.VISITOR)
    ]

    assert notes == ["back to 50 %: Hull cracked", "50 %, from 20 %"]


def test_an_answered_decision_is_answered_on_old_pages_too():
    """A client who opens January's page in March is not asked again."""
    build = a_build(
        {"decisions": [{"id": "band", "ask": "Which band?", "public": "yes", "needed_by": "2026-02-01"}]},
        {"decisions": [{"id": "band", "answer": "White", "answered": "2026-02-02"}]},
    )

    (decision,) = page(build, 0).decisions

    assert (decision.answer, decision.answered, decision.reply) == ("White", date(2026, 2, 2), None)


def test_settled_names_the_update_since_which_a_note_stands_so():
    """A note that departed first and was put right later is settled by the later update."""
    build = a_build(
        {"accuracy": [{"id": "arcs", "claim": "Over 112.5 degrees.", "outcome": "departs"}]},
        {"accuracy": [{"id": "arcs", "outcome": "as full size"}]},
        {},
    )

    (note,) = build_page(a_desk(a_workshop(build))).accuracy

    assert note.settled is not None
    assert note.settled.text == "10 February 2026"
