"""Sample views of every sort, complete enough that a template which forgets something shows it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from buildlog.pages.plate_layout import margin_orders
from buildlog.pages.views import (
    AccuracyView,
    AreaView,
    Ask,
    BuildPage,
    CalloutView,
    Card,
    CataloguePage,
    Cell,
    ChangeEntry,
    ChangeGroup,
    ChartPoint,
    Comparison,
    DecisionView,
    FeatureHistoryStep,
    FeatureOnBuild,
    FeatureView,
    Frame,
    HomePage,
    KindGroup,
    Lead,
    LedgerRow,
    Link,
    Made,
    Mark,
    MarkingRow,
    MeasureView,
    PaintReference,
    PictureView,
    Plate,
    ProgressPage,
    SpecRowView,
    StageBarPart,
    TitleBlock,
    ToDo,
    TurntableCallout,
    TurntableView,
    UsedPaint,
    UsedPart,
    Viewpoint,
    ViewpointShot,
)

ASK = Ask("mailto:workshop@example.org?subject=Corriemoor%2C%20markings")
AS_FULL_SIZE = Mark("as full size", "ok")
SIMPLIFIED = Mark("simplified", "apart")
NOT_KNOWN = Mark("not yet known", "open")
PLACEHOLDER = "data:image/webp;base64,UklGRjIAAABXRUJQVlA4ICYAAACwAQCdASoGAAQABUB8JQBOgB6SSj8AAP0omaHPlaAUJ87suGYAAA=="
WIDTHS = (480, 960, 1600, 2400)


def picture(name: str, alt: str, width: int = 2400, height: int = 1600) -> PictureView:
    """A picture of which every size was made."""
    return PictureView(
        width=width,
        height=height,
        webp=tuple(Made(f"pictures/{name}.{w}w.webp", w) for w in WIDTHS if w <= width),
        avif=tuple(Made(f"pictures/{name}.{w}w.avif", w) for w in WIDTHS if w <= width),
        jpeg=f"pictures/{name}.960w.jpg",
        placeholder=PLACEHOLDER,
        alt=alt,
    )


BOW = picture("IMG_1026", "Port bow of the tug: black hull, red bottom, buff deckhouse, the name in white on the bow.")
QUARTER = picture("IMG_1028", "Starboard quarter of the tug, name and port of registry in white on the stern.")
TALL = picture("IMG_1040", "The funnel from the port side, blue band between white lines.", 1600, 2400)
WEATHERED = picture("IMG_1288", "The weathered tug from the port bow, rust below the belting and the hawse pipe.")
LOCO = picture("IMG_0702", "The green saddle-tank locomotive on its base.")
TRACTOR = picture("IMG_1173", "The blue tractor on its base.")

FRAME = Frame(
    workshop="Tern Quay Models",
    strapline="Working vessels and vehicles, built to order",
    enquiries="Open for delivery from March 2027",
    notice="Tern Quay Models is an invented workshop; its pictures are renderings.",
    contact=Ask("mailto:workshop@example.org", "Ask about a commission"),
    language="en",
)


def stage_bar(*shares: tuple[int, int], current: int) -> tuple[StageBarPart, ...]:
    """The usual stages, each with its percent before and now."""
    names = ("Assembly", "Primer", "Base coat", "Markings", "Weathering", "Fitting out")
    weights = (40.0, 5.0, 15.0, 10.0, 15.0, 15.0)
    return tuple(
        StageBarPart(name, weight, before, now, index == current)
        for index, (name, weight, (before, now)) in enumerate(zip(names, weights, shares, strict=True))
    )


BLOCK = TitleBlock(
    title="Name, draught marks and load line",
    lede_html=(
        "<p>With the topsides black and the deckhouse buff, the lettering could go on. Every mark on the hull is a"
        " sprayed stencil; the funnel band alone was lined by hand. <em>Stencils are sprayed like everything else here:"
        " extraction, respirator, and the paint's safety sheet first.</em></p>"
    ),
    percent=68,
    percent_notes=("complete, up 13 since 6 June", "likely finished 9 to 27 November"),
    stage_bar=stage_bar((100, 100), (100, 100), (100, 100), (20, 80), (0, 0), (0, 35), current=3),
    cells=(
        Cell("Build", Link("Corriemoor", "builds/corriemoor/")),
        Cell("Subject", Link("Harbour tug, as refitted in 1978")),
        Cell("Scale", Link("1:24")),
        Cell("Stage", Link("Markings")),
        Cell("Date", Link("15 August 2026")),
        Cell("Update", Link("4 of 5")),
    ),
)

LAMP = Link("Lamp 12 mm", "builds/corriemoor/#part-lamp-12")
LOAD_LINES = Link("International Convention on Load Lines, 1966")
COLREG = Link("International Regulations for Preventing Collisions at Sea, 1972", "https://example.org/colreg", True)


def callout(
    number: int,
    id: str,
    title: str,
    text: str,
    at: tuple[float, float],
    made: tuple[Link, ...] = (),
    measures: tuple[MeasureView, ...] = (),
    marks: tuple[Mark, ...] = (),
    box: tuple[float, float, float, float] | None = None,
    also: tuple[str, ...] = (),
) -> CalloutView:
    """A callout of the sample walkaround."""
    return CalloutView(
        id=id,
        also=also,
        number=number,
        across=at[0],
        down=at[1],
        box=box,
        title=title,
        text_html=f"<p>{text}</p>" if text else "",
        made=made,
        measures=measures,
        marks=marks,
        ask=ASK,
    )


_PLATES = (
    Plate(
        id="picture-1",
        number=1,
        picture=BOW,
        view="port bow",
        caption_html="Port bow. The name is cut as a stencil and sprayed.",
        callouts=(
            callout(
                1,
                "port-sidelight",
                "Port sidelight",
                "Red lens fitted outside the screen. Often fitted bare and facing ahead.",
                (0.508, 0.31),
                (Link("Scratch-built"), Link("turned and soldered"), LAMP, Link("Signal red")),
                (MeasureView("Screen length", "48 mm", "1.15 m", "neither"),),
                (AS_FULL_SIZE,),
                also=("sidelight",),
            ),
            callout(
                2,
                "bow-name",
                "Name on the bow",
                "Set out along the sheer, so that the name rises with the bow.",
                (0.419, 0.626),
                (Link("Stencil cut by hand"), Link("Signal white")),
                (MeasureView("Height of the letters", "20.8 mm", "500 mm", "neither"),),
            ),
            callout(
                3,
                "funnel-band",
                "Funnel band",
                "Blue, chosen by the client on 2 June; lined by brush against a card edge.",
                (0.55, 0.326),
                (Link("By hand"), Link("Harbour blue")),
            ),
            callout(
                4,
                "draught-marks",
                "Draught marks",
                "Set with a height gauge standing on the bench, keel as zero.",
                (0.259, 0.773),
                (Link("Own stencil"), Link("Signal white")),
                (MeasureView("Height of a figure", "4.6 mm", "110 mm", "model"),),
                (AS_FULL_SIZE,),
            ),
            callout(
                5,
                "load-line",
                "Load-line ring",
                "Ring 300 mm across at full size. Its 25 mm line would be 1.04 mm here; it is 1.2.",
                (0.615, 0.611),
                (Link("Own stencil"),),
                (),
                (SIMPLIFIED,),
            ),
            callout(
                6,
                "tyres",
                "",
                "Fenders, lashed and not glued.",
                (0.705, 0.545),
                box=(0.66, 0.46, 0.12, 0.13),
            ),
            callout(
                7,
                "masthead-light",
                "Masthead light",
                "",
                (0.491, 0.246),
                (Link("Bought in"),),
                (MeasureView("Shortened by", "3.2 mm", "77 mm", "full size"),),
                (NOT_KNOWN,),
            ),
        ),
    ),
    Plate(id="picture-2", number=2, picture=QUARTER, view="starboard quarter", caption_html="", callouts=()),
    Plate(
        id="picture-3",
        number=3,
        picture=TALL,
        view="",
        caption_html="The band is <em>lined</em>, not masked.",
        callouts=(callout(1, "band-edge", "Edge of the band", "Two white lines, each a single stroke.", (0.47, 0.4)),),
    ),
)
PLATES = tuple(replace(plate, orders=margin_orders(plate.picture, plate.callouts)) for plate in _PLATES)

TURNTABLE = TurntableView(
    id="turntable-1",
    frames=tuple(picture(f"IMG_{number}", "", 1600, 1067) for number in range(1330, 1354)),
    caption_html="Twenty-four frames, one every 15 degrees.",
    alt="The tug turned all the way round.",
    callouts=(
        TurntableCallout(
            id="turntable-1-port-sidelight",
            number=1,
            frame=1,
            across=0.53,
            down=0.3,
            box=None,
            title="Port sidelight",
            text_html="<p>Red, with the lens tinted.</p>",
            told=Link("Port bow", "builds/corriemoor/2026-08-15-markings/#port-sidelight"),
        ),
        TurntableCallout(
            id="turntable-1-ensign-staff",
            number=2,
            frame=13,
            across=0.5,
            down=0.4,
            box=(0.45, 0.3, 0.1, 0.2),
            title="",
            text_html="<p>The staff goes here.</p>",
            told=None,
        ),
    ),
)

COMPARISONS = (
    Comparison(
        id="~compared-port-bow",
        view="port bow",
        before=ViewpointShot(
            picture("IMG_1020", "The tug in black and buff from the port bow."),
            "Base coat",
            date(2026, 6, 6),
            "builds/corriemoor/2026-06-06-base-coats/#picture-0",
        ),
        after=ViewpointShot(BOW, "Markings", date(2026, 8, 15), "builds/corriemoor/2026-08-15-markings/#picture-1"),
    ),
    Comparison(
        id="~compared-starboard-quarter",
        view="starboard quarter",
        before=ViewpointShot(
            picture("IMG_1022", "The tug in primer from the starboard quarter."),
            "Primer",
            date(2026, 4, 25),
            "builds/corriemoor/2026-04-25-primer/#picture-0",
        ),
        after=ViewpointShot(QUARTER, "Markings", date(2026, 8, 15), "builds/corriemoor/2026-08-15-markings/#picture-2"),
    ),
)

ACCURACY = (
    AccuracyView(
        id="sidelight-arcs",
        claim_html="<p>The red port light and the green starboard light each show over 112.5 degrees.</p>",
        often_missed_html="<p>Both are fitted without screens, facing dead ahead.</p>",
        holds_for="power-driven vessels, from 1977",
        source=COLREG,
        where="Rule 21",
        model_html="<p>Screens set to scale, lenses tinted.</p>",
        figures=(),
        outcome=AS_FULL_SIZE,
        settled=None,
        features=(Link("Port sidelight", "builds/corriemoor/2026-08-15-markings/#port-sidelight"),),
    ),
    AccuracyView(
        id="ring-stroke",
        claim_html="<p>The load-line ring is drawn in a line 25 mm thick.</p>",
        often_missed_html="",
        holds_for="",
        source=LOAD_LINES,
        where="Annex I, regulation 5",
        model_html="<p>The finest line my knife will cut.</p>",
        figures=("25 mm at full size would be 1.04 mm; measured 1.2 mm, 15 % over",),
        outcome=SIMPLIFIED,
        settled=Link("Rust, soot and rope", "builds/corriemoor/2026-10-03-weathering/"),
        features=(),
    ),
    AccuracyView(
        id="whistle",
        claim_html="<p>A tug of her length carries a whistle.</p>",
        often_missed_html="",
        holds_for="",
        source=None,
        where="",
        model_html="",
        figures=(),
        outcome=NOT_KNOWN,
        settled=None,
        features=(),
    ),
)

DECISIONS = (
    DecisionView(
        id="rope",
        ask="New manila or weathered rope?",
        options=("new manila", "weathered"),
        pictures=(TALL,),
        needed_by=date(2026, 9, 5),
        answer="",
        answered=None,
        reply=Ask("mailto:workshop@example.org?subject=Rope", "Answer by mail"),
    ),
    DecisionView(
        id="band",
        ask="Blue or white funnel band?",
        options=("blue", "white"),
        pictures=(),
        needed_by=date(2026, 6, 5),
        answer="Blue",
        answered=date(2026, 6, 2),
        reply=None,
    ),
)

HOOK = FeatureView(
    id="towing-hook",
    name="Towing hook",
    twin="",
    area="Stern",
    state=Mark("painted"),
    text_html="<p>Stands in its place to see whether it crowds the deck; it comes off once more for weathering.</p>",
    made=(Link("Scratch-built"), Link("brass, silver soldered")),
    replaces="the moulded hook, part 31",
    measures=(MeasureView("Length", "38 mm", "912 mm", "full size", "over the eye"),),
    marks=(NOT_KNOWN,),
    places=(),
)
SIDELIGHT = FeatureView(
    id="port-sidelight",
    name="Port sidelight",
    twin="Starboard sidelight",
    area="Wheelhouse",
    state=Mark("fitted"),
    text_html="<p>The moulded one is a third too large.</p>",
    made=(Link("Scratch-built"), LAMP, Link("Signal red")),
    replaces="",
    measures=(),
    marks=(AS_FULL_SIZE,),
    places=(Link("Port bow", "builds/corriemoor/2026-08-15-markings/#port-sidelight"),),
)
TO_DO = (
    ToDo("Load-line ring, second colour", "Markings", 80),
    ToDo("Bulwark tyres", "Fitting out", 25),
    ToDo("Towing gear", "Fitting out", 50),
    ToDo("Weathering, hull", "Weathering", 0),
    ToDo("Weathering, deckhouse", "Weathering", 0),
    ToDo("Rigging and ensign staff", "Fitting out", 0),
)

PROGRESS = ProgressPage(
    address="builds/corriemoor/2026-08-15-markings/",
    block=BLOCK,
    build=Link("Corriemoor", "builds/corriemoor/"),
    day=date(2026, 8, 15),
    number=4,
    count=5,
    since="Since 6 June",
    changes=(
        ChangeGroup(
            "Finished",
            (
                ChangeEntry("Port and starboard sidelights", "builds/corriemoor/2026-08-15-markings/#port-sidelight"),
                ChangeEntry("Bow name, both sides", "builds/corriemoor/2026-08-15-markings/#bow-name"),
                ChangeEntry("Draught marks", "builds/corriemoor/2026-08-15-markings/#draught-marks"),
            ),
            3,
        ),
        ChangeGroup(
            "Carried on",
            (
                ChangeEntry(
                    "Load-line ring", "builds/corriemoor/2026-08-15-markings/#load-line", "second colour to come"
                ),
                ChangeEntry("Towing hook", "builds/corriemoor/2026-08-15-markings/#towing-hook", "painted"),
            ),
            2,
        ),
        ChangeGroup("Begun", (ChangeEntry("Bulwark tyres", "", "first six lashed"),), 1),
        ChangeGroup(
            "Settled",
            (
                ChangeEntry("Sidelight arcs", "", mark=AS_FULL_SIZE),
                ChangeEntry("Ring thickness", "", mark=SIMPLIFIED),
            ),
            2,
        ),
    ),
    plates=PLATES,
    comparisons=COMPARISONS,
    turntables=(TURNTABLE,),
    features=(SIDELIGHT, HOOK),
    accuracy=ACCURACY,
    decisions=DECISIONS,
    to_do=TO_DO,
    next_text="Weathering and the towing gear.",
    next_day=date(2026, 10, 3),
    earlier=Link("Base coats, 6 June 2026", "builds/corriemoor/2026-06-06-base-coats/"),
    later=Link("Rust, soot and rope, 3 October 2026", "builds/corriemoor/2026-10-03-weathering/"),
    hours="12.5 hours",
    ask=ASK,
    cautions=(
        "Spraying: extraction and a respirator that fits the paint. The safety sheet and local rules come first.",
    ),
)

LEDGER = (
    LedgerRow(
        "Rust, soot and rope",
        "builds/corriemoor/2026-10-03-weathering/",
        date(2026, 10, 3),
        WEATHERED,
        "Weathering · 4 finished, 6 carried on",
        91,
    ),
    LedgerRow(
        "Name, draught marks and load line",
        "builds/corriemoor/2026-08-15-markings/",
        date(2026, 8, 15),
        BOW,
        "Markings · 3 finished, 2 carried on, 1 begun",
        68,
    ),
    LedgerRow(
        "Base coats", "builds/corriemoor/2026-06-06-base-coats/", date(2026, 6, 6), None, "Base coat · 5 finished", None
    ),
)

BUILD = BuildPage(
    address="builds/corriemoor/",
    block=TitleBlock(
        title="Corriemoor",
        lede_html=(
            "<p>A harbour tug of 1962 as she ran after the refit of 1978, on a moulded hull with everything above it"
            " made here.</p>"
        ),
        percent=91,
        percent_notes=("complete on 3 October 2026",),
        stage_bar=stage_bar((100, 100), (100, 100), (100, 100), (100, 100), (70, 100), (40, 55), current=4),
        cells=(
            Cell("Subject", Link("Harbour tug, as refitted in 1978")),
            Cell("Scale", Link("1:24"), "half inch to the foot"),
            Cell("Length", Link("1179 mm")),
            Cell("Basis", Link("Hull moulding, the rest scratch-built")),
            Cell("Begun", Link("January 2026")),
            Cell("Updates", Link("5")),
            Cell("State", Link("On the bench")),
        ),
    ),
    cover=WEATHERED,
    is_finished=False,
    viewpoints=(
        Viewpoint(
            "view-port-bow",
            "port bow",
            tuple(
                ViewpointShot(picture(name, f"Port bow, {stage}."), stage, day, f"builds/corriemoor/{day}-{slug}/")
                for name, stage, day, slug in (
                    ("IMG_0412", "Assembly", date(2026, 3, 14), "assembly"),
                    ("IMG_0587", "Primer", date(2026, 4, 25), "primer"),
                    ("IMG_0743", "Base coat", date(2026, 6, 6), "base-coats"),
                    ("IMG_1026", "Markings", date(2026, 8, 15), "markings"),
                    ("IMG_1288", "Weathering", date(2026, 10, 3), "weathering"),
                )
            ),
        ),
        Viewpoint(
            "view-stern",
            "stern",
            tuple(
                ViewpointShot(picture(name, f"Stern, {stage}."), stage, day, f"builds/corriemoor/{day}-{slug}/")
                for name, stage, day, slug in (
                    ("IMG_0418", "Assembly", date(2026, 3, 14), "assembly"),
                    ("IMG_1030", "Markings", date(2026, 8, 15), "markings"),
                )
            ),
        ),
    ),
    turntable=TURNTABLE,
    spec=(
        SpecRowView(
            "Length overall",
            "28.30 m",
            "92 ft 10 in",
            "1179.2 mm",
            "46 27/64 in",
            "",
            "1179 mm",
            "46 7/16 in",
            "−0.2 mm",
            "5 mm at full size",
            Mark("within 0.5 %", "ok"),
            "",
        ),
        SpecRowView("Beam", "7.49 m", "24 ft 7 in", "312.2 mm", "12 19/64 in", "", "", "", "", "", Mark("1 mm"), ""),
        SpecRowView("Service speed", "11 kn", "20.4 km/h", "2.25 kn", "", "by Froude's law", "", "", "", "", None, ""),
        SpecRowView("Towing hook", "", "", "", "", "", "", "", "", "", None, "Sprung, released from the wheelhouse"),
    ),
    scale="1:24",
    markings=(
        MarkingRow(
            "Load-line ring",
            "300 mm",
            "11 13/16 in",
            "12.5 mm",
            "31/64 in",
            "25 mm",
            "63/64 in",
            "1.04 mm",
            "41.0 thou",
            Mark("Yes", "ok"),
            "stencil",
            "white",
            LOAD_LINES,
            "Annex I",
        ),
        MarkingRow(
            "Name on the bow", "500 mm", "", "20.8 mm", "", "", "", "", "", None, "stencil", "Signal white", None, ""
        ),
    ),
    finest_stroke="0.5 mm",
    progress=(
        ChartPoint(date(2026, 6, 6), 55, "builds/corriemoor/2026-06-06-base-coats/", "Base coats"),
        ChartPoint(
            date(2026, 8, 15), 68, "builds/corriemoor/2026-08-15-markings/", "Name, draught marks and load line"
        ),
        ChartPoint(date(2026, 10, 3), 91, "builds/corriemoor/2026-10-03-weathering/", "Rust, soot and rope"),
    ),
    chart_svg=(
        '<svg viewBox="0 0 400 220" role="img" aria-label="Percent complete: 55 in June, 68 in August, 91 in October.">'
        '<path d="M40 200L186 101L266 78L322 36" fill="none" stroke="currentColor" stroke-width="2.5"/></svg>'
    ),
    accuracy=ACCURACY,
    outcomes=(("as full size", 9), ("simplified", 2), ("departs, on purpose", 1), ("not yet known", 2)),
    areas=(
        AreaView(
            "area-wheelhouse",
            "Wheelhouse",
            (
                FeatureOnBuild(
                    SIDELIGHT,
                    (
                        FeatureHistoryStep(
                            Link("Base coats", "builds/corriemoor/2026-06-06-base-coats/"),
                            date(2026, 6, 6),
                            "begun",
                            "<p>Turned from bar.</p>",
                        ),
                        FeatureHistoryStep(
                            Link("Name, draught marks and load line", "builds/corriemoor/2026-08-15-markings/"),
                            date(2026, 8, 15),
                            "fitted",
                            "",
                        ),
                    ),
                ),
            ),
        ),
        AreaView("area-stern", "Stern", (FeatureOnBuild(HOOK, ()),)),
    ),
    parts=(
        UsedPart(
            "part-lamp-12",
            "Lamp 12 mm",
            "Own pattern, brass",
            2,
            "https://shop.example.org/lamp-12",
            (Link("Port sidelight", "builds/corriemoor/#port-sidelight"), Link("Starboard sidelight")),
        ),
        UsedPart("part-chain", "Chain, 3 mm", "", 0, "", ()),
    ),
    paints=(
        UsedPaint(
            "paint-signal-red",
            "Signal red",
            "Acrylic, satin",
            "#b3202a",
            "L* 39.2, a* 57.0, b* 33.2 (D65)",
            True,
            PaintReference(
                "the owners' sample card",
                "#b1222b",
                "L* 39.4, a* 56.2, b* 32.9 (D65)",
                LOAD_LINES,
                "sheet 7",
                Mark("Same, 0.6", "ok"),
            ),
            (Link("Port sidelight"),),
        ),
        UsedPaint(
            "paint-signal-white",
            "Signal white",
            "Acrylic, satin",
            "#f4f4ee",
            "L* 95.9, a* −1.0, b* 2.9 (D65)",
            False,
            None,
            (Link("Name on the bow"),),
        ),
        UsedPaint("paint-varnish", "Varnish", "Acrylic, satin", "", "", True, None, ()),
    ),
    paint_key="Differences are by CIEDE2000: below 1 the same to the eye, below 2 close, and visible from 2 on.",
    decisions=DECISIONS,
    to_do=TO_DO,
    updates=LEDGER,
    shown=("Harbour Town Model Show 2026, first in class",),
    care_html="<p>Lift by the cradle, never by the rails.</p><ul><li>Keep out of the sun.</li></ul>",
    ask=ASK,
)

CARDS = (
    Card(
        "Corriemoor",
        "builds/corriemoor/",
        "Harbour tug, as refitted in 1978",
        WEATHERED,
        "vessel",
        "1:24",
        "1179 mm",
        "2026",
        "hull moulding, the rest scratch-built",
        "1962-1984",
    ),
    Card(
        "Bramble",
        "builds/bramble/",
        "Four-wheel saddle-tank locomotive",
        LOCO,
        "locomotive",
        "1:8",
        "612 mm",
        "2025",
        "scratch-built",
        "1905",
    ),
    Card("Kestrin 38", "builds/kestrin-38/", "Row-crop tractor", TRACTOR, "tractor", "1:10", "358 mm", "2025", "", ""),
)
CATALOGUE = CataloguePage(
    address="catalogue/",
    groups=(
        KindGroup("kind-locomotive", "locomotive", (CARDS[1],)),
        KindGroup("kind-tractor", "tractor", (CARDS[2],)),
        KindGroup("kind-vessel", "vessel", (CARDS[0],)),
    ),
    enquiries="Open for delivery from March 2027",
    ask=Ask("mailto:workshop@example.org", "Ask about a commission"),
)
HOME = HomePage(
    address="",
    lead=Lead(
        TitleBlock(
            title="Rust, soot and rope",
            lede_html=(
                "<p>The last colours are on. Rust runs from the belting and below the hawse pipe, the funnel is sooted,"
                " and the deck planks are worn pale where the crew would walk.</p>"
            ),
            percent=91,
            percent_notes=("complete, up 23 since 15 August", "next update about 14 November"),
            stage_bar=stage_bar((100, 100), (100, 100), (100, 100), (80, 100), (0, 100), (40, 55), current=4),
            cells=(*BLOCK.cells[:4], Cell("Date", Link("3 October 2026")), Cell("Update", Link("5 of 5"))),
        ),
        WEATHERED,
        "builds/corriemoor/2026-10-03-weathering/",
    ),
    bench=(),
    updates=LEDGER,
    finished=CARDS[1:],
)
EMPTY_HOME = HomePage(address="", lead=None, bench=(), updates=(), finished=())
EMPTY_CATALOGUE = CataloguePage(address="catalogue/", groups=(), enquiries="", ask=None)
VIEWS = {"progress": PROGRESS, "build": BUILD, "catalogue": CATALOGUE, "home": HOME}
