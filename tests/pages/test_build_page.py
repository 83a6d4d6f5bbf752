"""What a build's page says: its figures, viewpoints, features, parts and paints."""

import pytest

from buildlog.pages.audience import Audience
from buildlog.pages.build_page import build_page
from tests.pages.workshops import a_build, a_desk, a_workshop

LIGHT = {"id": "light", "name": "Port sidelight", "area": "Wheelhouse"}
HOOK = {"id": "hook", "name": "Towing hook", "area": "Stern"}


def page(build, audience=Audience.VISITOR, **workshop):
    return build_page(a_desk(a_workshop(build, **workshop), audience))


def plain(text):
    return text.replace("\N{NO-BREAK SPACE}", " ").replace("\N{MINUS SIGN}", "-")


def test_the_spec_table_computes_what_was_not_written():
    """Full size in both systems, the target, how far the measure is off, and whether that is within tolerance."""
    spec = [{"name": "Length overall", "full_size": "28.30 m", "measured": "1179 mm", "tolerance": "0.5 %"}]

    (row,) = page(a_build(spec=spec)).spec

    assert plain(row.full_size) == "28.30 m"
    assert plain(row.full_size_other).startswith("92 ft 10")
    assert plain(row.model) == "1179.2 mm"
    assert plain(f"{row.measured}, {row.measured_other}") == "1179 mm, 46 27/64 in"
    assert plain(row.off_by).startswith("-0.2 mm")
    assert row.tolerance is not None
    assert row.tolerance.tone == "ok"


def test_a_missing_measure_is_an_honest_blank():
    """What has not been measured is not shown as nothing, nor as exact."""
    (row,) = page(a_build(spec=[{"name": "Beam", "full_size": "24 ft 7 in", "tolerance": "1 mm"}])).spec

    assert (row.measured, row.off_by) == ("", "")
    assert row.tolerance is not None
    assert row.tolerance.tone == "plain"
    assert row.model


def test_speed_and_mass_scale_by_their_own_laws():
    """Speed by Froude's law, mass by the cube; a figure that scales by no law has no size on the model."""
    spec = [
        {"name": "Displacement", "full_size": "310 t", "scales_as": "mass"},
        {"name": "Service speed", "full_size": "11 kn", "scales_as": "speed"},
        {"name": "Power", "full_size": "600 kW"},
    ]

    mass, speed, power = page(a_build(spec=spec)).spec

    assert plain(mass.model) == "22 kg" or plain(mass.model).startswith("22.4")
    assert plain(speed.model).startswith("2.2")
    assert speed.model_note == "by Froude's law"
    assert power.model == ""


def test_markings_say_whether_they_can_be_made():
    """A 25 mm line at 1:24 is 1.04 mm; a workshop that cuts 0.5 mm can make it, one that cuts 2 mm cannot."""
    build = a_build(markings=[{"name": "Load-line ring", "full_size": "300 mm", "stroke": "25 mm"}])

    (fine,) = page(build, finest_stroke="0.5 mm").markings
    (coarse,) = page(build, finest_stroke="2 mm").markings
    (unsaid,) = page(build).markings

    assert plain(f"{fine.full_size}, {fine.full_size_other}") == "300 mm, 11 13/16 in"
    assert plain(f"{fine.model}, {fine.model_other}") == "12.50 mm, 31/64 in"
    assert plain(f"{fine.stroke}, {fine.stroke_other}") == "25 mm, 63/64 in"
    assert plain(f"{fine.stroke_model}, {fine.stroke_model_other}") == "1.04 mm, 41.0 thou"
    assert fine.can_be_made is not None
    assert (plain(fine.can_be_made.text), fine.can_be_made.tone) == ("Yes", "ok")
    assert coarse.can_be_made is not None
    assert (plain(coarse.can_be_made.text), coarse.can_be_made.tone) == ("No, too fine", "apart")
    assert unsaid.can_be_made is None


@pytest.mark.parametrize(
    ("kind", "scale", "cell"),
    [
        pytest.param("vessel", "1:24", ("1:24", "half inch to the foot"), id="trade name"),
        pytest.param("vessel", "1:32", ("1:32", "3/8 inch to the foot"), id="a vessel has no railway scale"),
        pytest.param("locomotive", "1:32", ("1:32", "3/8 inch to the foot, railway scale I"), id="on rails"),
        pytest.param("vessel", "1:25", ("1:25", ""), id="no name"),
    ],
)
def test_the_scale_stands_with_its_name(kind, scale, cell):
    """The title block gives what the trade calls the scale, and the railway's name where the subject runs on rails."""
    build = a_build(subject={"name": "Subject", "kind": kind}, scale=scale)

    cells = {one.label: one for one in page(build).block.cells}

    assert (cells["Scale"].value.text, cells["Scale"].note) == cell


@pytest.mark.parametrize(
    ("row", "shown"),
    [
        pytest.param({"name": "Length overall", "full_size": "28.30 m"}, ("Length", "1179.2 mm"), id="computed"),
        pytest.param(
            {"name": "Beam", "full_size": "24 ft 7 in", "measured": "312 mm"}, ("Beam", "312 mm"), id="measured"
        ),
        pytest.param({"name": "Track", "full_size": "2 m", "scales_as": "none"}, None, id="does not scale"),
        pytest.param({"name": "Displacement", "full_size": "310 t"}, None, id="no length"),
        pytest.param({"name": "Towing hook", "text": "Sprung"}, None, id="words"),
    ],
)
def test_the_first_length_stands_in_the_title_block(row, shown):
    """What a build measures is the first length of its spec table: measured where it has been, otherwise computed."""
    cells = [(cell.label, plain(cell.value.text)) for cell in page(a_build(spec=[row])).block.cells]

    found = [cell for cell in cells if cell[0] in ("Length", "Beam", "Track", "Displacement", "Towing hook")]
    assert found == ([shown] if shown else [])


def test_viewpoints_tie_the_same_view_together_through_time():
    """In the order of the build's views; a view photographed once is no comparison."""
    names = ["1.jpg", "2.jpg", "3.jpg", "4.jpg", "5.jpg"]
    build = a_build(
        {"photos": [{"file": "1.jpg", "view": "stern"}, {"file": "2.jpg", "view": "port bow"}]},
        {
            "stage": "primer",
            "photos": [
                {"file": "3.jpg", "view": "port bow"},
                {"file": "4.jpg", "view": "stern"},
                {"file": "5.jpg", "view": "deck"},
            ],
        },
        views=["port bow", "stern", "deck"],
        photos=names,
    )

    bow, stern = page(build).viewpoints

    assert (bow.name, stern.name) == ("port bow", "stern")
    assert [(shot.picture.jpeg, shot.stage) for shot in bow.shots] == [
        ("pictures/2.jpg", "Assembly"),
        ("pictures/3.jpg", "Primer"),
    ]


def test_features_stand_by_area_with_their_history():
    """In the order of the build's areas, each with what every update did to it."""
    build = a_build(
        {"features": [{**HOOK, "state": "begun"}, {**LIGHT, "state": "begun"}]},
        {"features": [{"id": "light", "state": "finished", "change": "Lens fitted."}]},
        areas=["Wheelhouse", "Stern"],
    )

    wheelhouse, stern = page(build).areas

    assert (wheelhouse.name, stern.name) == ("Wheelhouse", "Stern")
    (light,) = wheelhouse.features
    assert light.feature.state is not None
    assert light.feature.state.text == "Finished"
    assert [(step.update.text, step.state) for step in light.history] == [
        ("Update 1", "Begun"),
        ("Update 2", "Finished"),
    ]
    assert light.history[1].change_html == "<p>Lens fitted.</p>"


def test_a_paint_stands_beside_the_colour_it_should_have():
    """Lab of both, how far apart they are in words and by CIEDE2000, and who says what it should be."""
    card = {"name": "the owners' card", "lab": ["44.8", "-41.2", "21.9"], "source": {"id": "card", "where": "card 2"}}
    view = page(
        a_build({"features": [{**LIGHT, "paints": ["green", "red", "clear"]}]}),
        paints=[
            {"id": "green", "name": "Green", "lab": ["45.2", "-42.0", "21.5"], "reference": card},
            {"id": "red", "name": "Red", "colour": "#b3202a"},
            {"id": "clear", "name": "Varnish", "reference": card},
        ],
        sources=[{"id": "card", "name": "Sample cards", "kind": "letter"}],
    )

    green, red, clear = view.paints

    assert plain(green.lab) == "L* 45.2, a* -42.0, b* 21.5 (D65)"
    assert green.reference is not None
    assert green.reference.difference is not None
    assert (green.reference.difference.text, green.reference.difference.tone) == ("Same, 0.6", "ok")
    assert (green.reference.source.text, green.reference.where) == ("Sample cards", "card 2")
    assert (red.reference, plain(red.lab)) == (None, "L* 39.2, a* 57.0, b* 33.2 (D65)")
    assert (clear.lab, clear.swatch) == ("", "")
    assert clear.reference is not None
    assert clear.reference.difference is None
    assert "CIEDE2000" in view.paint_key


def test_no_key_without_a_difference():
    """Where no paint is held to another colour, nothing is said of differences."""
    view = page(
        a_build({"features": [{**LIGHT, "paints": ["red"]}]}),
        paints=[{"id": "red", "name": "Red", "colour": "#b3202a"}],
    )

    assert view.paint_key == ""


def test_parts_and_paints_lead_to_what_they_were_used_for():
    """A mirrored feature uses its parts twice and may use a paint of its own; a paint by Lab has a swatch."""
    feature = {
        **LIGHT,
        "parts": [{"id": "lamp", "count": "2"}],
        "paints": ["red"],
        "mirrored": {"id": "other", "name": "Starboard sidelight", "paints": ["green"]},
    }
    view = page(
        a_build({"features": [feature]}),
        parts=[{"id": "lamp", "name": "Lamp", "maker": "own pattern", "for_sale": "https://shop.example.org/lamp"}],
        paints=[
            {"id": "red", "name": "Signal red", "colour": "#b3202a"},
            {"id": "green", "name": "Signal green", "lab": ["45.2", "-42.0", "21.5"], "illuminant": "D65"},
        ],
    )

    (lamp,) = view.parts
    assert (lamp.count, lamp.note, lamp.for_sale) == (4, "Own pattern", "https://shop.example.org/lamp")
    assert [link.text for link in lamp.features] == ["Port sidelight and starboard sidelight"]
    green, red = view.paints
    assert red.swatch == "#b3202a"
    assert green.swatch.startswith("#")
    assert len(green.swatch) == 7


def test_notes_are_counted_by_outcome():
    """How many are as full size, how many are not, and how many nobody knows yet."""
    notes = [
        {"id": "a", "claim": "A.", "outcome": "as full size"},
        {"id": "b", "claim": "B.", "outcome": "as full size"},
        {"id": "c", "claim": "C.", "outcome": "departs"},
        {"id": "d", "claim": "D."},
    ]

    view = page(a_build({"accuracy": notes}))

    assert view.outcomes == (("As full size", 2), ("Departs", 1), ("Not yet known", 1))
    assert len(view.accuracy) == 4


def test_the_ledger_has_every_update_newest_first():
    """Each with its stage, what became of its features, and how complete the build was."""
    build = a_build(
        {"features": [{**LIGHT, "state": "begun"}], "done": [{"id": "assembly", "share": "50 %"}]},
        {"features": [{"id": "light", "state": "finished"}], "done": ["assembly"], "stage": "primer"},
    )

    newest, oldest = page(build).updates

    assert (newest.title, newest.note, newest.percent) == ("Update 2", "Primer · 1 finished", 40)
    assert (oldest.title, oldest.note, oldest.percent) == ("Update 1", "Assembly · 1 begun", 20)


def test_the_chart_tells_its_figures_in_words():
    """The drawing's label and the table behind it hold the same figures; one date alone makes no chart."""
    build = a_build({"done": [{"id": "assembly", "share": "50 %"}]}, {"done": ["assembly"]})

    view = page(build)
    alone = page(a_build({"done": ["assembly"]}))

    assert 'aria-label="Percent complete: 20 % on 10 January 2026, 40 % on 10 February 2026."' in view.chart_svg
    assert [point.percent for point in view.progress] == [20, 40]
    assert alone.chart_svg == ""


def test_decisions_stand_as_they_are_now():
    """An open question comes before an answered one, and only the open one has a mail to answer with."""
    build = a_build(
        {"decisions": [{"id": "name", "ask": "Which letters?"}, {"id": "band", "ask": "Which band?"}]},
        {"decisions": [{"id": "name", "answer": "Block letters", "answered": "2026-02-11"}]},
    )

    band, name = page(build, Audience.CLIENT).decisions

    assert (band.ask, band.answer) == ("Which band?", "")
    assert band.reply is not None
    assert (name.ask, name.answer, name.reply) == ("Which letters?", "Block letters", None)


def test_a_build_without_records_has_a_page():
    """A commission that was only ordered shows what it is, and no percentage."""
    view = page(a_build(ordered="2026-01-20"))

    assert view.block.percent is None
    assert view.block.stage_bar == ()
    assert view.updates == ()
    assert view.cover is None
