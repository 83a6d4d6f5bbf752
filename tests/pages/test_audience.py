"""What each reader sees, and that nothing else is left in what they are given."""

import dataclasses
from pathlib import PurePosixPath

import pytest

from buildlog.pages import audience as audience_module
from buildlog.pages.audience import Audience, see
from buildlog.pages.blocks import build_block, update_block
from buildlog.pages.gallery import Gallery
from buildlog.records import models
from buildlog.records.models import FeatureState, Outcome, Record
from tests.pages.workshops import AnyPictures, a_build, a_desk, a_workshop, seen_by

SECRET = "nobody-must-read-this"


def every_model() -> list[type[Record]]:
    return [
        one for one in vars(models).values() if isinstance(one, type) and issubclass(one, Record) and one is not Record
    ]


@pytest.mark.parametrize(
    ("audience", "slugs"),
    [
        pytest.param(Audience.VISITOR, ["shown"], id="visitor"),
        pytest.param(Audience.CLIENT, ["sealed", "shown"], id="client"),
        pytest.param(Audience.BUILDER, ["draft", "sealed", "shown"], id="builder"),
    ],
)
def test_builds_that_a_reader_sees(audience, slugs):
    """A draft is the builder's alone, a client build is not public, a public one is everybody's."""
    workshop = a_workshop(
        a_build(slug="draft", audience="draft"),
        a_build(slug="sealed", audience="client"),
        a_build(slug="shown", audience="public"),
    )

    assert [one.build.slug for one in see(workshop, audience).builds] == slugs


def test_a_build_without_an_audience_is_a_draft():
    """What nobody has opened stays shut."""
    build = a_build()
    record = models.BuildRecord.model_validate(
        {"name": "x", "subject": {"name": "x", "kind": "x"}, "scale": "1:24", "status": "enquiry"}
    )

    seen = see(a_workshop(dataclasses.replace(build, record=record)), Audience.CLIENT)

    assert seen.builds == ()


@pytest.mark.parametrize(
    ("audience", "numbers"),
    [
        pytest.param(Audience.VISITOR, [("01", 1), ("04", 2)], id="visitor"),
        pytest.param(Audience.CLIENT, [("01", 1), ("02", 2), ("04", 3)], id="client"),
        pytest.param(Audience.BUILDER, [("01", 1), ("02", 2), ("03", 3), ("04", 4)], id="builder"),
    ],
)
def test_numbering_counts_only_what_a_reader_sees(audience, numbers):
    """Update 2 of 2 for a visitor is update 3 of 3 for the client."""
    workshop = a_workshop(a_build({}, {"audience": "client"}, {"audience": "draft"}, {}))

    seen = seen_by(audience, workshop)

    assert [(update.update.name, update.number) for update in seen.updates] == numbers


def test_a_record_never_widens_its_build():
    """`audience: public` in a record of a client build does not make it public."""
    workshop = a_workshop(a_build({"audience": "public"}, audience="client"))

    assert see(workshop, Audience.VISITOR).builds == ()


def test_percent_counts_every_record_that_is_no_draft():
    """Work told to the client alone is done all the same; a draft's is not."""
    workshop = a_workshop(
        a_build(
            {"done": [{"id": "assembly", "share": "50 %"}]},
            {"done": ["assembly"], "audience": "client"},
            {"done": ["primer"], "audience": "draft"},
            {"done": []},
        )
    )

    seen = seen_by(Audience.VISITOR, workshop)

    assert [update.state.percent for update in seen.updates] == [20, 40]
    assert seen.state is not None
    assert seen.state.percent == 40


def test_a_feature_first_met_later_is_introduced_in_full():
    """What a visitor was not told in the client's record is told where it is first met, but not what was done then."""
    workshop = a_workshop(
        a_build(
            {
                "audience": "client",
                "features": [
                    {
                        "id": "light",
                        "name": "Port sidelight",
                        "area": "Wheelhouse",
                        "why": "Too large.",
                        "change": SECRET,
                    }
                ],
            },
            {"features": [{"id": "light", "change": "Lens fitted.", "state": "fitted"}]},
        )
    )

    (update,) = seen_by(Audience.VISITOR, workshop).updates

    (feature,) = update.record.features
    assert (feature.name, feature.area, feature.why) == ("Port sidelight", "Wheelhouse", "Too large.")
    assert feature.change == "Lens fitted."
    assert SECRET not in repr(update)


def test_a_feature_met_before_keeps_to_what_was_told():
    """What a client's record added to a feature the visitor knows stays with the client."""
    workshop = a_workshop(
        a_build(
            {"features": [{"id": "light", "name": "Sidelight", "area": "Bow", "paints": ["red"]}]},
            {"audience": "client", "features": [{"id": "light", "method": SECRET, "paints": ["green"]}]},
            {"features": [{"id": "light", "state": "finished"}]},
        )
    )

    last = seen_by(Audience.VISITOR, workshop).updates[-1]
    for_client = seen_by(Audience.CLIENT, workshop).updates[-1]

    assert last.record.features[0].paints == ("red",)
    assert SECRET not in repr(last)
    assert for_client.record.features[0].paints == ("red", "green")


def test_a_feature_only_called_out_is_introduced_too():
    """A callout may name a feature that no record of this reader's has worked on."""
    workshop = a_workshop(
        a_build(
            {"audience": "client", "features": [{"id": "bow", "name": "Bow name", "area": "Bow", "state": "painted"}]},
            {"photos": [{"file": "a/1.jpg", "callouts": [{"at": ["0.5", "0.5"], "feature": "bow"}]}]},
            photos=["a/1.jpg"],
        )
    )

    (update,) = seen_by(Audience.VISITOR, workshop).updates

    assert update.features["bow"].name == "Bow name"
    assert update.features["bow"].state is None


def test_later_entries_are_said_in_full():
    """A later record names a feature by id; what it is has been said before, and its lists grow."""
    workshop = a_workshop(
        a_build(
            {"features": [{"id": "light", "name": "Sidelight", "area": "Bow", "parts": ["lamp"], "state": "begun"}]},
            {"features": [{"id": "light", "parts": [{"id": "lamp", "count": "2"}, "screen"], "state": "finished"}]},
        )
    )

    last = seen_by(Audience.BUILDER, workshop).updates[-1]

    (feature,) = last.record.features
    assert feature.name == "Sidelight"
    assert [(use.id, use.count) for use in feature.parts] == [("lamp", 2), ("screen", 1)]
    assert feature.state is FeatureState.FINISHED
    assert last.features["light"].state is FeatureState.FINISHED


def test_a_note_of_the_library_lends_its_claim_and_source():
    """`use` takes the claim and the source, and the outcome stays the build's own."""
    workshop = a_workshop(
        a_build({"accuracy": [{"use": "arcs", "model": "Screens set to scale.", "outcome": "as full size"}]}),
        notes=[{"id": "arcs", "kind": "vessel", "claim": "Over 112.5 degrees.", "source": {"id": "colreg"}}],
    )

    (update,) = seen_by(Audience.VISITOR, workshop).updates

    (note,) = update.record.accuracy
    assert note.claim == "Over 112.5 degrees."
    assert note.source is not None
    assert note.source.id == "colreg"
    assert note.outcome is Outcome.AS_FULL_SIZE


@pytest.mark.parametrize(
    ("measured", "outcome"),
    [
        pytest.param("1.04 mm", Outcome.AS_FULL_SIZE, id="within tolerance"),
        pytest.param(None, Outcome.UNKNOWN, id="not measured yet"),
    ],
)
def test_an_outcome_left_out_is_computed_where_it_can_be(measured, outcome):
    """25 mm at 1:24 is 1.04 mm; inside 10 % it is as full size, and without a measure nobody knows."""
    note = {"id": "ring", "claim": "25 mm thick.", "full_size": "25 mm", "tolerance": "10 %"}
    if measured:
        note["measured"] = measured

    (update,) = seen_by(Audience.VISITOR, a_workshop(a_build({"accuracy": [note]}))).updates

    assert update.record.accuracy[0].outcome is outcome


@pytest.mark.parametrize(
    ("audience", "asked"),
    [
        pytest.param(Audience.VISITOR, ["open"], id="visitor"),
        pytest.param(Audience.CLIENT, ["band", "open"], id="client"),
    ],
)
def test_decisions_are_the_clients_unless_public(audience, asked):
    """A visitor sees only the decisions marked public."""
    workshop = a_workshop(
        a_build({"decisions": [{"id": "band", "ask": SECRET}, {"id": "open", "ask": "Which band?", "public": "yes"}]})
    )

    (update,) = seen_by(audience, workshop).updates

    assert [decision.id for decision in update.record.decisions] == asked
    assert (SECRET in repr(update)) is (audience is Audience.CLIENT)


@pytest.mark.parametrize("audience", [Audience.VISITOR, Audience.CLIENT])
@pytest.mark.parametrize("who", ["nobody", "client", "everybody"])
@pytest.mark.parametrize("what", ["hours", "due"])
def test_shares_say_who_sees_hours_and_due(audience, who, what):
    """What `shares` in workshop.yml does not let out is not in what the reader is given."""
    build = a_build(
        {"hours": "6.5"},
        due="2026-11-30",
        work=[{"id": "hull", "name": "Hull", "stage": "assembly", "hours": "40", "due": "2026-10-01"}],
    )
    allowed = who == "everybody" or (who == "client" and audience is Audience.CLIENT)

    seen = seen_by(audience, a_workshop(build, shares={what: who}))

    item = seen.record.work[0]
    if what == "hours":
        assert (seen.updates[0].record.hours is not None) is allowed
        assert hasattr(item, "hours") is allowed
    else:
        assert (seen.record.due is not None) is allowed
        assert (item.due is not None) is allowed


@pytest.mark.parametrize("audience", [Audience.VISITOR, Audience.CLIENT])
def test_private_values_are_gone(audience):
    """Nothing under `private` reaches anybody but the builder, nor do the library's own notes."""
    workshop = a_workshop(
        a_build(private={"client": SECRET, "price": SECRET}),
        parts=[{"id": "lamp", "name": "Lamp", "note": SECRET}],
    )

    assert SECRET not in repr(see(workshop, audience))
    assert SECRET in repr(see(workshop, Audience.BUILDER))


def test_a_folder_does_not_let_out_a_picture_that_a_withheld_record_names():
    """All the rest of a folder is what no client-only record or decision has shown on its own."""
    workshop = a_workshop(
        a_build(
            {"photos": [{"file": "day/1.jpg"}, {"folder": "day"}]},
            {"audience": "client", "photos": [{"file": "day/3.jpg"}]},
            photos=["day/1.jpg", "day/2.jpg", "day/3.jpg"],
        )
    )
    seen = seen_by(Audience.VISITOR, workshop)

    shots = Gallery(AnyPictures(), "UTC").shots(seen.build, seen.updates[0].record)

    assert [shot.path for shot in shots] == [PurePosixPath("day/1.jpg"), PurePosixPath("day/2.jpg")]


def test_every_model_says_what_it_shows():
    """Every model stands in the one table, and the table names only fields that exist."""
    shown = audience_module._SHOWN

    assert {model.__name__ for model in every_model()} - {model.__name__ for model in shown} == {"Private"}
    for model, fields in shown.items():
        assert fields <= set(model.model_fields)


def test_a_new_field_is_private(monkeypatch):
    """A field that the table does not name never reaches a visitor, while its neighbours do."""

    class Newer(models.Part):
        shelf: str = ""

    shown = audience_module._SHOWN
    monkeypatch.setattr(audience_module, "_SHOWN", {**shown, Newer: shown[models.Part]})
    sight = audience_module._Sight(models.Shares(), Audience.VISITOR)
    part = Newer.model_validate({"id": "lamp", "name": "Lamp", "shelf": SECRET})

    assert sight.of(part).name == "Lamp"
    assert SECRET not in repr(sight.of(part))


@pytest.mark.parametrize("who", ["nobody", "client", "everybody"])
@pytest.mark.parametrize("audience", [Audience.VISITOR, Audience.CLIENT])
def test_shares_say_who_sees_the_forecast(audience, who):
    """The range of dates stands on the newest page of a build in progress, with its chance, for those who may know."""
    steps = [{"done": [{"id": "assembly", "share": f"{20 * step} %"}], "hours": "10"} for step in range(1, 6)]
    build = a_build(*steps, ordered="2026-01-01")
    allowed = who == "everybody" or (who == "client" and audience is Audience.CLIENT)

    desk = a_desk(a_workshop(build, shares={"forecast": who}), audience)

    assert (desk.build.forecast is not None) is allowed
    told = [note for note in update_block(desk, desk.build.updates[-1], None).percent_notes if "likely" in note]
    assert len(told) == int(allowed)
    assert all("in 10" in note for note in told)


def test_a_finished_build_has_no_forecast():
    """What has happened is not foreseen."""
    steps = [{"done": [{"id": "assembly", "share": f"{20 * step} %"}]} for step in range(1, 6)]

    seen = seen_by(Audience.VISITOR, a_workshop(a_build(*steps, status="finished"), shares={"forecast": "everybody"}))

    assert seen.forecast is None


def test_a_preview_shows_drafts_and_says_so():
    """Before publishing, the builder sees every page, with a mark on those that others will not."""
    workshop = a_workshop(
        a_build({}, {"audience": "client"}, {"audience": "draft"}, private={"client": SECRET}),
        a_build({}, slug="quiet", audience="draft"),
    )

    desk = a_desk(workshop, Audience.PREVIEW)
    quiet = a_desk(workshop, Audience.PREVIEW, slug="quiet")

    marks = [update_block(desk, update, None).withheld for update in desk.build.updates]
    assert marks == ["", "For the client alone: not on the public site.", "Draft: nobody but you sees this page."]
    assert build_block(desk).withheld == ""
    assert build_block(quiet).withheld == "Draft: nobody but you sees this page."
    assert SECRET not in repr(desk.seen)


@pytest.mark.parametrize("audience", [Audience.VISITOR, Audience.CLIENT])
def test_no_mark_of_what_is_withheld_is_published(audience):
    """The marks are for the builder before publishing, and for nobody else."""
    desk = a_desk(a_workshop(a_build({}, {"audience": "client"})), audience)

    assert {update_block(desk, update, None).withheld for update in desk.build.updates} == {""}
