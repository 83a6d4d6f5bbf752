"""Every example of the record format loads and means what it says."""

from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from pathlib import Path, PurePosixPath

import pytest

from buildlog.figures.quantities import Dimension
from buildlog.figures.scale import ScalingLaw
from buildlog.records.fields import Box, Lab, Moment, Point
from buildlog.records.loading import read_workshop
from buildlog.records.models import (
    AudienceWord,
    FeatureState,
    FolderEntry,
    Origin,
    Outcome,
    PhotoEntry,
    SharedWith,
    SourceKind,
    Status,
    TurntableEntry,
    Units,
)
from buildlog.records.workshop import Build, Update, Workshop
from tests.records.sites import FORMAT_PAGE_PHOTOS, format_page, put, says


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    loaded = read_workshop(format_page(tmp_path_factory.mktemp("format")))
    assert says(loaded) == ""
    assert loaded.workshop
    return loaded.workshop


@pytest.fixture(scope="module")
def build(workshop: Workshop) -> Build:
    (build,) = workshop.builds
    return build


@pytest.fixture(scope="module")
def update(build: Build) -> Update:
    return build.updates[-1]


def test_workshop(workshop: Workshop) -> None:
    """The workshop's own file."""
    record = workshop.record

    assert (record.format, record.name) == ("1", "Tern Quay Models")
    assert record.strapline == "Working vessels and vehicles, built to order"
    assert record.units is Units.METRIC
    assert (record.time_zone, record.language, record.contact) == ("Europe/Dublin", "en", "workshop@example.org")
    assert record.enquiries == "Open for delivery from March 2027"
    assert record.finest_stroke is not None
    assert record.finest_stroke.value == Fraction(1, 2000)
    assert (record.shares.hours, record.shares.forecast, record.shares.due) == (
        SharedWith.NOBODY,
        SharedWith.CLIENT,
        SharedWith.CLIENT,
    )
    assert [(stage.id, stage.name, stage.weight) for stage in record.stages] == [
        ("assembly", "Assembly", 40),
        ("primer", "Primer", 5),
        ("base-coat", "Base coat", 15),
        ("markings", "Markings", 10),
        ("weathering", "Weathering", 15),
        ("fitting-out", "Fitting out", 15),
    ]


def test_library(workshop: Workshop) -> None:
    """Parts, paints, sources and notes."""
    lamp, red, green = workshop.parts["lamp-12"], workshop.paints["signal-red"], workshop.paints["signal-green"]
    convention, arcs = workshop.sources["load-lines"], workshop.notes["sidelight-arcs"]

    assert (lamp.name, lamp.maker, lamp.material) == ("Lamp 12 mm", "own pattern", "brass")
    assert lamp.for_sale == "https://shop.example.org/lamp-12"
    assert (red.name, red.kind, red.finish, red.colour, red.lab) == ("Signal red", "acrylic", "satin", "#b3202a", None)
    assert (green.colour, green.lab, green.illuminant) == (None, Lab(45.2, -42.0, 21.5), "D65")
    assert convention.name == "International Convention on Load Lines, 1966"
    assert convention.kind is SourceKind.STANDARD
    assert set(workshop.sources) == {"load-lines", "colreg"}
    assert arcs.kind == "vessel"
    assert arcs.claim == "The red port light and the green starboard light each show over 112.5 degrees."
    assert arcs.often_missed == "Both are fitted without screens, facing dead ahead."
    assert arcs.holds_for == "power-driven vessels, from 1977"
    assert arcs.source is not None
    assert (arcs.source.id, arcs.source.where) == ("colreg", "Rule 21")


def test_build(build: Build) -> None:
    """One commission, its dates, places and private side."""
    record = build.record

    assert (build.slug, record.name) == ("corriemoor", "Corriemoor")
    assert (record.subject.name, record.subject.kind) == ("Harbour tug", "vessel")
    assert (record.subject.variant, record.subject.period) == ("as refitted in 1978", "1962-1984")
    assert record.scale.ratio == 24
    assert (record.status, record.audience) == (Status.IN_PROGRESS, AudienceWord.PUBLIC)
    assert (record.ordered, record.due) == (date(2026, 1, 20), date(2026, 11, 30))
    assert record.cover == PurePosixPath("2026-08-15/IMG_1026.jpg")
    assert record.basis == "hull moulding, the rest scratch-built"
    assert record.areas == ("Bow", "Hull", "Wheelhouse", "Funnel", "Deck", "Stern")
    assert record.views == ("port bow", "starboard quarter", "port broadside", "stern")
    assert record.private is not None
    assert (record.private.client, record.private.email) == ("A. Example", "client@example.org")
    assert (record.private.price, record.private.note) == ("4200 EUR", "Collect in person.")
    assert [photo.as_posix() for photo in build.photos] == sorted(
        photo.removeprefix("corriemoor/photos/") for photo in FORMAT_PAGE_PHOTOS
    )


def test_plan(build: Build) -> None:
    """The plan: items, hours, due dates and what came later."""
    hull, sidelights, boat = build.record.work

    assert (hull.id, hull.name, hull.stage, hull.hours) == ("hull", "Hull shell and keel", "assembly", 40)
    assert (hull.due, hull.added) == (date(2026, 3, 1), None)
    assert (sidelights.id, sidelights.hours, sidelights.due) == ("sidelights", 6, date(2026, 9, 15))
    assert (boat.id, boat.hours, boat.due, boat.added) == ("second-boat", 8, None, date(2026, 5, 2))


def test_spec_and_markings(build: Build) -> None:
    """Full sizes in any unit, measures, tolerances and laws; words where there is no figure."""
    length, beam, displacement, speed, hook = build.record.spec
    (ring,) = build.record.markings

    assert length.full_size is not None
    assert (length.full_size.value, length.full_size.step) == (Fraction("28.30"), Fraction("0.01"))
    assert length.measured is not None
    assert length.measured.value == Fraction("1.179")
    assert length.tolerance is not None
    assert length.tolerance.amount == Fraction(5, 1000)
    assert beam.full_size is not None
    assert beam.full_size.value == Fraction("0.3048") * 24 + Fraction("0.0254") * 7
    assert beam.tolerance is not None
    assert beam.tolerance.amount == Fraction(1, 1000)
    assert displacement.full_size is not None
    assert (displacement.full_size.value, displacement.full_size.dimension) == (310_000, Dimension.mass)
    assert (displacement.scales_as, speed.scales_as) == (ScalingLaw.mass, ScalingLaw.speed)
    assert speed.full_size is not None
    assert speed.full_size.value == 11 * Fraction(1852, 3600)
    assert (hook.name, hook.text, hook.full_size) == ("Towing hook", "Sprung, released from the wheelhouse", None)
    assert (ring.name, ring.method, ring.colour) == ("Load-line ring", "stencil", "white")
    assert ring.stroke is not None
    assert (ring.full_size.value, ring.stroke.value) == (Fraction(3, 10), Fraction(25, 1000))
    assert ring.source is not None
    assert (ring.source.id, ring.source.where) == ("load-lines", None)


def test_record_and_work(build: Build, update: Update) -> None:
    """A dated record: its words, hours and shares."""
    record = update.record

    assert [one.name for one in build.updates] == ["2026-06-01-primer", "2026-08-15-markings"]
    assert record.date == Moment(date(2026, 8, 15))
    assert (record.stage, record.title) == ("markings", "Name, draught marks and load line")
    assert record.summary == "Markdown, two or three sentences: what a visitor would be told first."
    assert record.hours is not None
    assert [(spent.work, spent.hours) for spent in record.hours.by_work] == [
        ("hull", Decimal("3.5")),
        ("sidelights", Decimal(6)),
    ]
    assert record.hours.total == Decimal("9.5")
    assert [(done.id, done.share) for done in record.done] == [("hull", 1), ("sidelights", Fraction(1, 2))]
    assert record.next is not None
    assert (record.next.text, record.next.date) == ("Weathering and the towing gear.", date(2026, 10, 3))


def test_feature(update: Update) -> None:
    """A feature said in full."""
    (light,) = update.record.features
    shortened, screen = light.measures

    assert (light.id, light.name, light.area) == ("port-sidelight", "Port sidelight", "Wheelhouse")
    assert (light.origin, light.state) == (Origin.SCRATCH_BUILT, FeatureState.FINISHED)
    assert (light.method, light.replaces) == ("turned and soldered", "the moulded lamp, part 17")
    assert light.why == "The moulded one is a third too large."
    assert light.change == "Red lens fitted behind the screen."
    assert [(part.id, part.count) for part in light.parts] == [("lamp-12", 2)]
    assert light.paints == ("signal-red",)
    assert (shortened.what, shortened.full_size) == ("Shortened by", None)
    assert shortened.measured is not None
    assert shortened.measured.value == Fraction("0.0032")
    assert screen.full_size is not None
    assert screen.measured is not None
    assert (screen.full_size.value, screen.measured.value) == (Fraction("0.915"), Fraction("0.038"))
    assert light.mirrored is not None
    assert (light.mirrored.id, light.mirrored.name) == ("starboard-sidelight", "Starboard sidelight")
    assert light.mirrored.paints == ("signal-green",)


def test_photos_and_callouts(update: Update) -> None:
    """A picture with points and a region, all the rest of a folder, and a turntable."""
    first, rest, turntable = update.record.photos
    assert isinstance(first, PhotoEntry)
    assert isinstance(rest, FolderEntry)
    assert isinstance(turntable, TurntableEntry)
    light, marks, fenders = first.callouts

    assert first.file == PurePosixPath("2026-08-15/IMG_1026.jpg")
    assert (first.view, first.caption) == ("port bow", "The name is cut as a stencil and sprayed.")
    assert first.alt == "Port bow of the tug, black hull, the name in white on the bow."
    assert (light.at, light.feature, light.text) == (Point(0.508, 0.310), "port-sidelight", None)
    assert (marks.at, marks.id) == (Point(0.259, 0.773), "draught-marks")
    assert marks.text == "Draught marks, 100 mm figures at full size."
    assert (fenders.at, fenders.box) == (None, Box(0.44, 0.56, 0.16, 0.10))
    assert fenders.text == "Fenders, lashed and not glued."
    assert (rest.folder, rest.except_) == (PurePosixPath("2026-08-15"), (PurePosixPath("IMG_1040.jpg"),))
    assert turntable.turntable == PurePosixPath("2026-10-10")


def test_accuracy(update: Update) -> None:
    """A note of its own with figures, and one of the library."""
    ring, arcs = update.record.accuracy

    assert ring.id == "ring-stroke"
    assert ring.claim == "The load-line ring is drawn in a line 25 mm thick."
    assert (ring.often_missed, ring.holds_for) == ("Drawn as a thin circle.", "ships with an assigned load line")
    assert ring.source is not None
    assert (ring.source.id, ring.source.where) == ("load-lines", "Annex I, regulation 5")
    assert ring.full_size is not None
    assert ring.measured is not None
    assert ring.tolerance is not None
    assert (ring.full_size.value, ring.measured.value) == (Fraction("0.025"), Fraction("0.0012"))
    assert ring.tolerance.amount == Fraction(1, 10)
    assert (ring.model, ring.outcome) == ("The finest line my knife will cut.", Outcome.SIMPLIFIED)
    assert (arcs.use, arcs.id, arcs.claim) == ("sidelight-arcs", None, None)
    assert (arcs.model, arcs.outcome) == ("Screens set to scale, lenses tinted.", Outcome.AS_FULL_SIZE)
    assert arcs.features == ("port-sidelight",)


def test_decisions(update: Update) -> None:
    """A question to everybody, and the answer to an earlier one."""
    band, style = update.record.decisions

    assert (band.id, band.ask, band.options) == ("band", "Blue or white funnel band?", ("blue", "white"))
    assert band.pictures == (PurePosixPath("2026-08-15/IMG_1040.jpg"),)
    assert (band.needed_by, band.public, band.answer) == (date(2026, 9, 5), True, None)
    assert (style.ask, style.answer, style.answered) == (None, "Block letters", date(2026, 6, 11))
    assert style.public is False


@pytest.mark.parametrize(
    ("written", "ratio"),
    [
        pytest.param("1:24", 24, id="colon"),
        pytest.param("1/24", 24, id="slash"),
        pytest.param("1/2 in = 1 ft", 24, id="inch to the foot"),
        pytest.param("'1:24'", 24, id="in quotes"),
    ],
)
def test_scale_spellings(written: str, ratio: int, tmp_path: Path) -> None:
    """Every spelling of a scale that the format names."""
    content = format_page(tmp_path)
    path = content / "builds/corriemoor/build.yml"
    put(content, "builds/corriemoor/build.yml", path.read_text().replace("scale: 1:24 ", f"scale: {written} "))

    loaded = read_workshop(content)

    assert loaded.workshop
    assert loaded.workshop.builds[0].record.scale.ratio == ratio


def test_the_other_forms_the_page_names(tmp_path: Path) -> None:
    """A date with a time, one number of hours, `mirrored: true`, a part by its id alone, and what "Also" lists."""
    content = format_page(tmp_path)
    path = content / "builds/corriemoor/build.yml"
    put(
        content,
        "builds/corriemoor/build.yml",
        path.read_text().replace("status: in progress", "status: delivered")
        + "finished: 2026-11-01\ndelivered: 2026-11-20\nformerly: [old-tug]\ncare: Keep it *dry*.\n"
        + "shown:\n  - Harbour show 2026, second in class\n",
    )
    put(
        content,
        "builds/corriemoor/stages/2026-10-20-last.yml",
        "date: 2026-10-20 14:30\nstage: fitting-out\ntitle: Last\nhours: 4\nformerly: [old-name]\naudience: client\n"
        "done:\n  - {id: sidelights, share: 40 %, redo: A lens came loose.}\n"
        "features:\n  - {id: port-sidelight, state: fitted, redo: Refitted., mirrored: true, parts: [lamp-12]}\n",
    )

    loaded = read_workshop(content)

    assert [str(problem) for problem in loaded.errors] == []
    assert loaded.workshop
    build = loaded.workshop.builds[0]
    last = build.updates[-1].record
    assert (build.record.finished, build.record.delivered) == (date(2026, 11, 1), date(2026, 11, 20))
    assert (build.record.formerly, build.record.care) == (("old-tug",), "Keep it *dry*.")
    assert build.record.shown == ("Harbour show 2026, second in class",)
    assert last.date == Moment(date(2026, 10, 20), time(14, 30))
    assert last.hours is not None
    assert (last.hours.session, last.hours.by_work) == (Decimal(4), ())
    assert (last.formerly, last.audience) == (("old-name",), AudienceWord.CLIENT)
    assert (last.done[0].share, last.done[0].redo) == (Fraction(2, 5), "A lens came loose.")
    feature = last.features[0]
    assert feature.mirrored is not None
    assert feature.mirrored.id is None
    assert [(part.id, part.count) for part in feature.parts] == [("lamp-12", 1)]


def test_plain_values_mean_what_they_say(tmp_path: Path) -> None:
    """What YAML would turn into a number, a date, a time or a truth value stays the text that was written."""
    content = format_page(tmp_path)
    put(content, "library/parts.yml", '- {id: 017, name: 1e3}\n- {id: "lamp-12", name: 12:30}\n')
    put(
        content,
        "builds/corriemoor/stages/2026-09-01-more.yml",
        "date: 2026-09-01\nstage: markings\ntitle: 0x1F\nphotos:\n  - folder: 2026-10-10\n"
        "decisions:\n  - {id: off, ask: 2026-01-01, options: [yes, no, ~, null, 1_000, .5]}\n",
    )

    loaded = read_workshop(content)

    assert [str(problem) for problem in loaded.problems] == []
    assert loaded.workshop
    assert [(part.id, part.name) for part in loaded.workshop.parts.values()] == [("017", "1e3"), ("lamp-12", "12:30")]
    record = loaded.workshop.builds[0].updates[-1].record
    assert record.title == "0x1F"
    assert isinstance(record.photos[0], FolderEntry)
    assert record.photos[0].folder == PurePosixPath("2026-10-10")
    assert (record.decisions[0].id, record.decisions[0].ask) == ("off", "2026-01-01")
    assert record.decisions[0].options == ("yes", "no", "~", "null", "1_000", ".5")
