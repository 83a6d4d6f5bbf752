"""`buildlog progress` and `buildlog estimate`."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[2]
DEMO_BUILDS = sorted(path.name for path in (DEMO / "content" / "builds").iterdir() if path.is_dir())

BUILD = """\
name: Heron
subject:
  name: Harbour tug
  kind: vessel
scale: 1:24
status: {status}
ordered: 2026-01-01
{more}
work:
  - {{id: hull, name: Hull, stage: assembly, hours: 40, due: 2026-02-20}}
  - {{id: paint, name: Paint, stage: base-coat, hours: 10, due: 2026-03-02}}
  - {{id: marks, name: Marks, stage: markings, hours: 50, due: 2026-04-21}}
"""
RECORD = """\
date: {day}
stage: assembly
title: So far
done: {done}
"""


def write_build(workshop, slug="heron", *, day="2026-02-19", done="[hull, paint]", status="in progress", more=""):
    """Put a build into the workshop with one record and fifty hours on the bench, two every second day."""
    folder = workshop / "content" / "builds" / slug
    (folder / "stages").mkdir(parents=True)
    (folder / "build.yml").write_text(BUILD.format(status=status, more=more), encoding="utf-8")
    (folder / "stages" / "so-far.yml").write_text(RECORD.format(day=day, done=done), encoding="utf-8")
    days = [date(2026, 1, 2) + timedelta(2 * n) for n in range(25)]
    rows = [f"{day},{'hull' if n < 20 else 'paint'},2,Planking" for n, day in enumerate(days)]
    (folder / "hours.csv").write_text("\n".join(["date,work,hours,note", *rows, ""]), encoding="utf-8")
    return folder


def write_finished(workshop, slug="teal"):
    """Put a finished build into the workshop that took 150 hours."""
    folder = write_build(
        workshop, slug, day="2026-06-01", done="[hull, paint, marks]", status="finished", more="finished: 2026-06-01"
    )
    with (folder / "hours.csv").open("a", encoding="utf-8") as file:
        file.write("2026-05-02,marks,100,Cut and sprayed\n")


def test_progress_says_where_a_build_stands(workshop, run):
    """Percent, hours and dates are said in words, each with the trade's term, and then stage by stage."""
    write_build(workshop)

    result = run("progress", "heron")
    lines = result.stdout.splitlines()
    assert result.exit_code == 0
    assert result.stderr == ""
    assert lines[:3] == [
        "Heron on 19 February 2026: 50 % complete",
        "11 days ahead of the plan.",
        "The work takes the hours planned.",
    ]
    assert lines[3].startswith("Likely finished ")
    assert lines[3].endswith("2026 (8 times in 10)." if "2027" in lines[3] else " (8 times in 10).")
    for line in [
        "  100.0 h         planned in all (budget at completion, BAC)",
        "  39.2 h          should be done by now (planned value, PV)",
        "  50.0 h          are done, in planned hours (earned value, EV)",
        "  50.0 h          spent on 25 days at the bench (actual cost, AC)",
        "  0.0 h           done less spent (cost variance, CV)",
        "  1.00            planned hours done per hour spent (cost index, CPI)",
        "  100.0 h         in all, if it goes on so (estimate at completion, EAC)",
        "  50.0 h          of these still to come (estimate to complete, ETC)",
        "  1.00            needed per hour left to end as planned (TCPI)",
        "  +10.8 h         done less planned (schedule variance, SV)",
        "  1.28            done per hour planned by now (schedule index, SPI)",
        "  2 Mar 2026      the plan had this much done (earned schedule, ES)",
        "  +11 days        ahead of the plan if above 0 (SV(t))",
        "  21 Apr 2026     planned to be finished",
        "Assembly                            40.0      40.0      40.0      100 %",
        "Markings                            50.0       0.0         -        0 %",
        "All                                100.0      50.0      50.0       50 %",
    ]:
        assert line in lines


def test_progress_is_told_from_an_earlier_day(workshop, run):
    """What came later is not counted."""
    write_build(workshop)

    result = run("progress", "heron", "--on", "2026-02-01")
    assert result.exit_code == 0
    assert "on 1 February 2026: 0 % complete" in result.stdout
    assert "  32.0 h          spent on 16 days at the bench (actual cost, AC)" in result.stdout.splitlines()


def test_progress_says_what_would_fill_a_blank(workshop, run):
    """Without due dates nothing is planned by now, and that is said instead of a zero."""
    folder = write_build(workshop)
    text = (folder / "build.yml").read_text(encoding="utf-8")
    for day in ("2026-02-20", "2026-03-02", "2026-04-21"):
        text = text.replace(f", due: {day}", "")
    (folder / "build.yml").write_text(text, encoding="utf-8")
    (folder / "hours.csv").unlink()

    result = run("progress", "heron")
    assert result.exit_code == 0
    assert "  not stated: give work items due dates (planned value, PV)" in result.stdout.splitlines()
    assert "  not stated: write hours in the records or in hours.csv (actual cost, AC)" in result.stdout.splitlines()
    assert "No forecast: there are fewer than 3 sessions to judge the pace by." in result.stdout
    assert "SPI" not in result.stdout


def test_long_names_are_wrapped(workshop, run):
    """Names of builds, stages and work items do not push a line over the edge of a terminal."""
    folder = write_build(workshop)
    long = "Everything that goes on the boat deck, the davits and their falls included"
    text = (folder / "build.yml").read_text(encoding="utf-8").replace("name: Heron", f"name: {long * 2}")
    text = text.replace("name: Paint", f"name: '{long}'").replace(", due: 2026-03-02", "")
    (folder / "build.yml").write_text(text, encoding="utf-8")

    lines = run("progress", "heron").stdout.splitlines()
    assert f"give these work items due dates, or the build: {long} (planned value, PV)" in " ".join(
        " ".join(lines).split()
    )
    assert [line for line in lines if len(line) > 80] == []


def test_an_overspent_plan_has_no_index_to_it(workshop, run):
    """With more spent than planned in all, the index to the plan is not meaningful, and said to be so."""
    folder = write_build(workshop)
    with (folder / "hours.csv").open("a", encoding="utf-8") as file:
        file.write("2026-02-19,paint,60,Again\n")

    result = run("progress", "heron")
    assert "  not meaningful  needed per hour left to end as planned (TCPI)" in result.stdout.splitlines()
    assert json.loads(run("progress", "heron", "--json").stdout)["index_to_budget"] == "not meaningful"


def test_progress_for_another_program(workshop, run):
    """As JSON every figure is a number, null, or said to be not meaningful."""
    write_build(workshop)

    found = json.loads(run("progress", "heron", "--json").stdout)
    assert (found["build"], found["as_of"], found["percent"]) == ("heron", "2026-02-19", 50)
    assert (found["planned"], found["earned"], found["spent"], found["budget"]) == (39.2, 50, 50, 100)
    assert found["schedule"]["earned_schedule"] == "2026-03-02"
    assert found["schedule"]["variance_days"] == 11
    assert date(2026, 2, 19) < date.fromisoformat(found["forecast"]["first"])
    assert found["forecast"]["first"] < found["forecast"]["median"] < found["forecast"]["last"]
    assert found["forecast"]["chance"] == 0.8
    assert found["no_forecast"] is None
    assert [stage["spent"] for stage in found["stages"]] == [40, 10, None]


def test_progress_twice_is_the_same(workshop, run):
    """The same records say the same, forecast and all."""
    write_build(workshop)

    assert run("progress", "heron", "--json").stdout == run("progress", "Heron", "--json").stdout


def test_a_misspelt_build_names_the_nearest(workshop, run):
    """What is no build ends with one error and the build that was meant."""
    write_build(workshop)

    result = run("progress", "herno")
    assert result.exit_code == 1
    assert result.stdout == ""
    assert 'There is no build "herno"; did you mean heron?' in result.stderr


def test_a_day_that_is_none_is_refused(workshop, run):
    """A date written otherwise is refused with the form that is accepted."""
    write_build(workshop)

    result = run("progress", "heron", "--on", "19/2/2026")
    assert result.exit_code == 2
    assert "--on" in result.stderr
    assert "write year-month-day" in result.stderr


@pytest.mark.parametrize("build", DEMO_BUILDS)
def test_the_demo_fits_eighty_columns(build, run):
    """Whatever a build has or lacks, no line is longer than a terminal is wide, and none shows a bare None."""
    result = run("progress", build, "--workshop", DEMO)

    assert result.exit_code == 0
    assert [line for line in result.stdout.splitlines() if len(line) > 80] == []
    assert "None" not in result.stdout


def test_an_estimate_says_what_it_is_taken_from(workshop, run):
    """Hours by stage with their range, and the build they come from with what it counts."""
    write_finished(workshop)

    result = run("estimate", "--kind", "vessel", "--scale", "1/48")
    lines = result.stdout.splitlines()
    assert result.exit_code == 0
    assert lines[0] == "A vessel at 1:48"
    assert lines[1].startswith("About 75 h, between ")
    assert lines[1].endswith(" h, 8 times in 10.")
    assert [line.split()[:-2] for line in lines if line.startswith(("Assembly", "Base", "Markings", "All"))] == [
        ["Assembly", "20"],
        ["Base", "coat", "5"],
        ["Markings", "50"],
        ["All", "75"],
    ]
    assert "  Heron: 150.0 h at 1:24, times 0.50 for size, counts 100%" in lines
    assert all(len(line) <= 80 for line in lines)


def test_an_estimate_for_another_program(workshop, run):
    """As JSON the hours are numbers, with what they are based on."""
    write_finished(workshop)

    found = json.loads(run("estimate", "--kind", "vessel", "--scale", "1:24", "--json").stdout)
    assert found["total"]["middle"] == 150
    assert found["total"]["low"] < 110
    assert found["total"]["high"] > 200
    assert [stage["stage"] for stage in found["stages"]] == ["assembly", "base-coat", "markings"]
    assert found["based_on"][0]["weight"] == 1


def test_without_a_finished_build_there_is_no_estimate(workshop, run):
    """A build that is not finished is none to go by, and what would make one is said."""
    write_build(workshop)

    result = run("estimate", "--kind", "vessel", "--scale", "1:24")
    assert result.exit_code == 1
    assert result.stdout == ""
    assert "There is no finished build of the kind vessel" in result.stderr
    assert "Keep hours.csv" in result.stderr


def test_of_another_kind_there_is_no_estimate(workshop, run):
    """The kinds there are, are told."""
    write_finished(workshop)

    result = run("estimate", "--kind", "tractor", "--scale", "1:24", "--json")
    assert result.exit_code == 1
    assert json.loads(result.stdout)["total"] is None
    assert "Kinds of finished builds: vessel." in result.stderr


def test_a_scale_that_is_none_is_refused(workshop, run):
    """A scale that cannot be read is refused with what is accepted."""
    result = run("estimate", "--kind", "vessel", "--scale", "big")

    assert result.exit_code == 2
    assert "--scale" in result.stderr
    assert "1:24" in result.stderr
