"""A copy of the demo with many mistakes planted in many files: each is reported in one run, on its line."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from buildlog.records.loading import read_workshop
from tests.records.sites import demo, put, says

BUILD = "builds/corriemoor/build.yml"
HOURS = "builds/corriemoor/hours.csv"
STAGES = "builds/corriemoor/stages"
ASSEMBLY = f"{STAGES}/2026-03-14-assembly.yml"
COATS = f"{STAGES}/2026-06-06-base-coats.yml"
MARKINGS = f"{STAGES}/2026-08-15-markings.yml"
PLATE = f"{STAGES}/2026-09-05-case-and-plate.yml"
WEATHERING = f"{STAGES}/2026-10-03-weathering.yml"
TURNTABLE = f"{STAGES}/2026-10-10-turntable.yml"


@dataclass(frozen=True)
class Plant:
    """One mistake."""

    path: str
    right: str
    """What stands in the demo; its first occurrence is replaced."""
    wrong: str
    """What is planted; the text marked by ‹› is where the message must point, else the whole of it."""
    says: str
    """What the message must hold."""


PETREL = "builds/petrel/stages/2026-11-02-first-thoughts.yml"
BRAMBLE = "builds/bramble/stages/2026-02-21-primer.yml"
BRAMBLE_LATER = "builds/bramble/stages/2026-05-30-finished.yml"
KESTRIN = "builds/kestrin-38/stages/2026-09-12-finished.yml"
PLANTS = (
    Plant("workshop.yml", "units: metric ", "units: ‹metrik› ", 'did you mean "metric"?'),
    Plant("workshop.yml", "strapline:", "‹straplne›:", 'unknown key "straplne"; did you mean "strapline"?'),
    Plant("workshop.yml", "Europe/Dublin", "‹Europe/Dubln›", 'did you mean "Europe/Dublin"?'),
    Plant("workshop.yml", "finest_stroke: 0.5 mm", "finest_stroke: ‹0.5›", "has no unit"),
    Plant("workshop.yml", "weight: 40", "weight: ‹0›", "counts for nothing"),
    Plant("library/parts.yml", "- id: stanchion", "- {id: ‹lamp-12›, name: A}\n- id: stanchion", "is listed already"),
    Plant("library/parts.yml", "https://shop", "‹shop›", "begins with https://"),
    Plant("library/paints.yml", "\n# Cor", "- id: tar\n  name: Tar\n  colour:‹ #201f1d›\n# Cor", "taken as a comment"),
    Plant("library/sources.yml", "kind: standard ", "kind: ‹standart› ", 'did you mean "standard"?'),
    Plant("library/notes.yml", "{id: colreg, where", "{id: ‹colregs›, where", 'did you mean "colreg"?'),
    Plant(BUILD, "scale: 1:24 ", "scale: ‹24› ", "is not a scale"),
    Plant(BUILD, "status: in progress", "status: ‹in-progress›", 'did you mean "in progress"?'),
    Plant(BUILD, "due: 2026-11-30", "due: ‹30.11.2026›", "is not a date"),
    Plant(BUILD, "2026-08-15/IMG_1026.jpg", "‹2026-08-15/IMG_1026.JPG›", "capitals count"),
    Plant(BUILD, "stage: primer", "stage: ‹primmer›", 'in workshop.yml; did you mean "primer"?'),
    Plant(BUILD, "due: 2026-07-10, added", "due: ‹2026-04-10›, added", "before it came into the plan"),
    Plant(
        BUILD,
        "  - {id: marks,",
        "  - {id: ‹names›, name: A, stage: primer, hours: 1}\n  - {id: marks,",
        "is listed already",
    ),
    Plant(BUILD, "measured: 1179 mm", "measured: ‹1179 kg›", "write both in units of the same kind"),
    Plant(BUILD, "scales_as: mass", "scales_as: ‹speed›", "a mass cannot scale as speed"),
    Plant(BUILD, "tolerance: 1 mm", "tolerance: ‹one mm›", "is not understood"),
    Plant(ASSEMBLY, "rails: 2.5}", "‹rials›: 2.5}", 'did you mean "rails"?'),
    Plant(COATS, "  - decks\n", "  - {id: ‹decks›, share: 40 %}\n", 'the share of "decks" falls from'),
    Plant(COATS, "  - priming\n", "  - ‹primming›\n", 'did you mean "priming"?'),
    Plant(COATS, "IMG_0751.jpg]", "‹IMG_0759.jpg›]", 'there is no "IMG_0759.jpg" in the folder "2026-06-06"'),
    Plant(COATS, "[2026-06-06-first-colour]", "[‹2026-03-14-assembly›]", "is the name of another record"),
    Plant(MARKINGS, "stage: markings", "stage: ‹marking›", 'did you mean "markings"?'),
    Plant(MARKINGS, "{id: sidelights, share: 50 %}", "{id: sidelights, share: ‹150 %›}", "is not a share"),
    Plant(MARKINGS, "area: Bow\n", "area: ‹Bows›\n", 'not among the build\'s areas; did you mean "Bow"?'),
    Plant(MARKINGS, "paints: [signal-white]", "paints: [‹signal-whit›]", 'did you mean "signal-white"?'),
    Plant(MARKINGS, "measured: 20.8 mm", "measured: ‹20.8 mmm›", "mmm"),
    Plant(MARKINGS, "state: painted", "state: ‹paintd›", 'did you mean "painted"?'),
    Plant(MARKINGS, "2026-08-15/IMG_1028.jpg", "‹2026-08-15/IMG_1027.jpg›", "did you mean"),
    Plant(MARKINGS, "view: port broadside", "view: ‹port broadsde›", 'did you mean "port broadside"?'),
    Plant(MARKINGS, "at: [0.", "at: ‹[1.›", "is past the right edge"),
    Plant(MARKINGS, "feature: stern-name", "feature: ‹stern-nmae›", 'did you mean "stern-name"?'),
    Plant(MARKINGS, "use: sidelight-arcs", "use: ‹sidelight-arc›", 'did you mean "sidelight-arcs"?'),
    Plant(PLATE, "audience: client ", "audience: ‹everyone› ", "draft, client, public"),
    Plant(WEATHERING, "date: 2026-10-03", "date: ‹2025-10-03›", "is before the build was ordered on 2026-01-20"),
    Plant(
        WEATHERING, "summary: >", "‹title›: Rust\nsummary: >", 'the key "title" stands on line 3 and again on line 4'
    ),
    Plant(WEATHERING, "2026-10-10/IMG_1342.jpg", "‹../../bramble/photos/IMG_1342.jpg›", '".." is not allowed'),
    Plant(TURNTABLE, "turntable: 2026-10-10 ", "turntable: ‹2026-10-11› ", 'did you mean the folder "2026-10-10"?'),
    Plant(TURNTABLE, "stage: ", "‹feature›: []\nstage: ", 'unknown key "feature"; did you mean "features"?'),
    Plant(BRAMBLE, "title: Primed, with", 'title: ‹"›Primed, with', "is never closed"),
    Plant(BRAMBLE_LATER, "done:\n", "done:\n‹\t›- motion\n", "a tab stands in the indentation"),
    Plant(KESTRIN, "stage: fitting-out", "stage: ‹!!str› fitting-out", "is not allowed"),
    Plant("builds/kestrin-38/build.yml", "name: Kestrin 38", "name: Kestrin 38\n‹colour›: blue", "unknown key"),
    Plant(PETREL, "title: Quince", "title: The varnish‹: ›Quince", 'the value has ": " in it'),
)


def plant(content: Path, planted: Plant) -> None:
    """Put one mistake into the copy."""
    path = content / planted.path
    text = path.read_text(encoding="utf-8")
    assert planted.right in text, f"{planted.path} no longer holds {planted.right!r}"
    path.write_text(text.replace(planted.right, planted.wrong, 1), encoding="utf-8")


def without_marks(content: Path, path: str) -> None:
    """Take the marks out of a file of the copy."""
    put(content, path, (content / path).read_text(encoding="utf-8").replace("‹", "").replace("›", ""))


def line_of(content: Path, planted: Plant) -> int:
    """Find the line on which a mistake is marked."""
    text = (content / planted.path).read_text(encoding="utf-8")
    return text[: text.index(planted.wrong) + planted.wrong.index("‹")].count("\n") + 1


def test_every_mistake_is_reported_in_one_run(tmp_path: Path) -> None:
    """Nearly fifty mistakes in all kinds of file are each found on their line, with the remedy, and nothing else is."""
    content = demo(tmp_path)
    for planted in PLANTS:
        plant(content, planted)
    lines = {planted: line_of(content, planted) for planted in PLANTS}
    for path in {planted.path for planted in PLANTS}:
        without_marks(content, path)
    put(content, "builds/corriemoor/stages/notes.yaml", "date: 2026-10-11\n")
    put(content, "builds/corriemoor/stage/x.yml", "date: 2026-10-11\n")
    put(content, "builds/heron/photos/a.jpg", b"")
    sheet = (content / HOURS).read_text(encoding="utf-8") + "2026-10-05,weather-hul,2,\n2026-10-06,fenders,two,\n"
    put(content, HOURS, sheet)
    rows = sheet.count("\n")

    loaded = read_workshop(content)

    found = {(str(problem.path), problem.line): problem for problem in loaded.problems}
    for planted in PLANTS:
        problem = found.pop((planted.path, lines[planted]), None)
        assert problem is not None, f"{planted.path}:{lines[planted]}: {planted.says}\n{says(loaded)}"
        assert planted.says in problem.message, str(problem)
        assert (
            problem.field or "YAML" in problem.message or planted.path.startswith(("builds/b", "builds/p", "library"))
        )
    assert {str(problem) for problem in found.values()} == {
        "builds/corriemoor/stages/notes.yaml: is not read under this name; rename it to notes.yml",
        "builds/corriemoor/stage: is not read under this name; put what it holds into stages",
        "builds/heron/build.yml: there is no build.yml in this folder; it begins with name: and the model's name",
        f'builds/corriemoor/hours.csv:{rows - 1}: work: there is no work item "weather-hul" in {BUILD}; '
        'did you mean "weather-hull"?',
        f'builds/corriemoor/hours.csv:{rows}: hours: "two" is not a number; write one such as 3.5',
    }
    assert len(loaded.problems) == len(PLANTS) + 5
    assert loaded.workshop is None
    assert list(loaded.problems) == sorted(loaded.problems, key=lambda one: (str(one.path), one.line, one.column))


@pytest.mark.parametrize("planted", [pytest.param(one, id=f"{one.path}-{one.wrong}"[-60:]) for one in PLANTS])
def test_each_mistake_alone(planted: Plant, tmp_path: Path) -> None:
    """A mistake alone is one problem: what follows from it is not reported beside it."""
    content = demo(tmp_path)
    plant(content, planted)
    without_marks(content, planted.path)

    loaded = read_workshop(content)

    assert len(loaded.problems) == 1, says(loaded)
    assert planted.says in loaded.problems[0].message


def test_the_demo_is_good(tmp_path: Path) -> None:
    """The demo itself has no mistake."""
    loaded = read_workshop(demo(tmp_path))

    assert says(loaded) == ""
    assert loaded.workshop is not None
