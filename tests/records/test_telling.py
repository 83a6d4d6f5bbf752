"""What counts as said before: audiences, later entries over earlier ones, and drafts between records."""

from pathlib import Path
from typing import Any

import pytest

from buildlog.records.models import AudienceWord, BuildRecord, Decision, FeatureEntry, StageRecord
from buildlog.records.telling import merged, no_wider_than, record_audience
from tests.records.sites import heron, put, said_of

DRAFT, CLIENT, PUBLIC = AudienceWord.DRAFT, AudienceWord.CLIENT, AudienceWord.PUBLIC
BOLLARD = "{id: bollard, name: Bollard, area: Bow}"


def _record(title: str, day: str, more: str, audience: str = "") -> str:
    return f"date: {day}\nstage: hull\ntitle: {title}\n{audience}{more}"


def _put(content: Path, day: str, more: str, *, draft: bool = False) -> None:
    audience = "audience: draft\n" if draft else ""
    put(content, f"builds/heron/stages/{day}-more.yml", _record("More", day, more, audience))


@pytest.mark.parametrize(
    ("build", "record", "audience"),
    [
        pytest.param(PUBLIC, None, PUBLIC, id="inherited"),
        pytest.param(PUBLIC, CLIENT, CLIENT, id="narrowed"),
        pytest.param(CLIENT, PUBLIC, CLIENT, id="never widened"),
        pytest.param(CLIENT, DRAFT, DRAFT, id="draft"),
        pytest.param(DRAFT, PUBLIC, DRAFT, id="draft build"),
    ],
)
def test_audience_of_a_record(build: AudienceWord, record: AudienceWord | None, audience: AudienceWord) -> None:
    """A record has its build's audience, or a narrower one."""
    of_build = BuildRecord.model_construct(audience=build)
    of_record = StageRecord.model_construct(audience=record)

    assert record_audience(of_build, of_record) is audience


def test_audiences_that_a_record_may_have() -> None:
    """The words that narrow a build's audience, or keep it."""
    assert [no_wider_than(word) for word in (DRAFT, CLIENT, PUBLIC)] == [
        (DRAFT,),
        (DRAFT, CLIENT),
        (DRAFT, CLIENT, PUBLIC),
    ]


def _feature(**keys: Any) -> FeatureEntry:
    return FeatureEntry.model_validate({"id": "lamp", **keys})


def test_a_later_entry_changes_only_what_it_says() -> None:
    """What a later record leaves out stays as it was said."""
    whole = merged(_feature(name="Lamp", area="Bow", paints=["red"]), _feature(change="Glazed.", paints=["black"]))

    assert (whole.name, whole.area, whole.change, whole.paints) == ("Lamp", "Bow", "Glazed.", ("red", "black"))


def test_a_part_named_again_has_its_new_count() -> None:
    """The count of a part is how many there are now, so a later one takes the earlier one's place."""
    first = _feature(parts=[{"id": "rivet", "count": "10"}, "lens"])

    whole = merged(first, _feature(parts=[{"id": "rivet", "count": "12"}]))

    assert {use.id: use.count for use in whole.parts} == {"lens": 1, "rivet": 12}


def test_options_are_said_anew() -> None:
    """A list that does not grow is replaced, also by none."""
    first = Decision.model_validate({"id": "band", "options": ["red", "blue"]})

    assert merged(first, Decision.model_validate({"id": "band", "options": []})).options == ()
    assert merged(first, Decision.model_validate({"id": "band", "answer": "red"})).options == ("red", "blue")


def test_drafts_stand_on_one_another(tmp_path: Path) -> None:
    """A draft may lean on the drafts before it, as it is read by the builder alone."""
    content = heron(tmp_path)
    _put(content, "2026-03-10", f"features: [{BOLLARD}]\n", draft=True)
    _put(content, "2026-03-20", "features: [{id: bollard, change: Turned.}]\n", draft=True)

    assert said_of(content) == ""


def test_what_is_said_in_full_again_may_follow_a_draft(tmp_path: Path) -> None:
    """A record that says all of it needs nothing of the draft before it, and later ones lean on that record."""
    content = heron(tmp_path)
    _put(content, "2026-03-10", f"features: [{BOLLARD}]\n", draft=True)
    _put(content, "2026-03-20", f"features: [{BOLLARD}]\n")
    _put(content, "2026-03-30", "features: [{id: bollard, change: Turned.}]\n")

    assert said_of(content) == ""


@pytest.mark.parametrize(
    ("draft", "later"),
    [
        pytest.param(
            "done: [{id: planking, share: 90 %}]\n", "done: [{id: planking, share: 70 %}]\n", id="share falls below it"
        ),
        pytest.param(
            "done: [{id: planking, share: 90 %}]\n",
            "done: [{id: planking, share: 70 %, redo: A plank split.}]\n",
            id="share falls below it for a reason",
        ),
        pytest.param(
            "features: [{id: lantern, state: finished}]\n",
            "features: [{id: lantern, state: painted}]\n",
            id="state falls below it",
        ),
        pytest.param(
            "features: [{id: lantern, state: finished}]\n",
            "features: [{id: lantern, state: painted, redo: The glass broke.}]\n",
            id="state falls below it for a reason",
        ),
    ],
)
def test_a_draft_forces_no_reason_on_later_records(draft: str, later: str, tmp_path: Path) -> None:
    """Nobody has read how far a draft says the work is, so a record after it need not explain; it may."""
    content = heron(tmp_path)
    _put(content, "2026-03-10", draft, draft=True)
    _put(content, "2026-03-20", later)

    assert said_of(content) == ""


def test_a_draft_build_is_one_history(tmp_path: Path) -> None:
    """All the records of a draft build are drafts, so each may lean on every one before it."""
    content = heron(tmp_path)
    build = content / "builds/heron/build.yml"
    build.write_text(build.read_text().replace("audience: client", "audience: draft"))
    _put(content, "2026-03-10", f"features: [{BOLLARD}]\n", draft=True)
    _put(content, "2026-03-20", "features: [{id: bollard, change: Turned.}]\n")

    assert said_of(content) == ""


@pytest.mark.parametrize("path", ["build.yml", "stages/2026-03-10-more.yml"])
def test_an_audience_in_doubt_hides_nothing(path: str, tmp_path: Path) -> None:
    """A misspelt audience is the one mistake that is told, not what would follow from it."""
    content = heron(tmp_path)
    _put(content, "2026-03-10", f"features: [{BOLLARD}]\n", draft=True)
    _put(content, "2026-03-20", "features: [{id: bollard, change: Turned.}]\n")
    target = content / "builds/heron" / path
    target.write_text(target.read_text().replace("audience: client", "audience: cleint").replace(": draft", ": darft"))

    said = said_of(content)

    assert said.count("\n") == 1
    assert "is not known here; did you mean" in said


def test_a_finished_build_counts_no_drafts(tmp_path: Path) -> None:
    """Work and outcomes that only a draft tells of are still to be told."""
    content = heron(tmp_path)
    build = content / "builds/heron/build.yml"
    build.write_text(build.read_text().replace("in progress", "finished\nfinished: 2026-05-01"))
    rim = "{id: rim, claim: The rim is round., outcome: unknown}"
    _put(content, "2026-03-10", f"done: [planking, coats]\naccuracy: [{rim}]\n")
    _put(content, "2026-03-20", "done: [{id: coats, share: 50 %, redo: It peeled.}]\n")
    _put(content, "2026-03-30", "done: [coats]\naccuracy: [{id: rim, outcome: departs}]\n", draft=True)

    said = said_of(content)

    assert "1 work item is below 100 % (Coats)" in said
    assert '"rim" is still unknown' in said
    assert said.count("\n") == 2


def test_marks_of_any_script_tell_ids_apart(tmp_path: Path) -> None:
    """Vowel signs are no mere signs: two words that differ by them alone are two ids."""
    content = heron(tmp_path)
    _put(content, "2026-03-10", "features: [{id: \u0915\u093e, name: One, area: Bow}]\n")
    _put(content, "2026-03-20", "features: [{id: \u0915\u0940, name: Other, area: Bow}]\n")

    assert said_of(content) == ""
