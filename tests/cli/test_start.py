"""`buildlog start` and `buildlog commission`."""

from __future__ import annotations

import json
import re
import shutil
import stat
from datetime import date
from pathlib import Path

import pytest
import yaml
from jsonschema import Draft202012Validator

from buildlog.records.loading import read_workshop
from buildlog.records.models import AudienceWord
from buildlog.writing import WritingError
from buildlog.writing.starting import start_workshop


class Yaml12(yaml.SafeLoader):
    """Reads plain values as an editor's YAML 1.2 reader does: dates are text, and so is `1:24`."""

    yaml_implicit_resolvers = {  # noqa: RUF012 - the base class keeps it so
        first: [(tag, pattern) for tag, pattern in found if tag.rpartition(":")[2] in {"bool", "null"}]
        for first, found in yaml.SafeLoader.yaml_implicit_resolvers.items()
    }


Yaml12.add_implicit_resolver("tag:yaml.org,2002:float", re.compile(r"-?\d+\.\d+$"), list("-0123456789"))
Yaml12.add_implicit_resolver("tag:yaml.org,2002:int", re.compile(r"-?\d+$"), list("-0123456789"))


def test_start_makes_a_workshop_without_a_mistake(tmp_path, run):
    """A new workshop holds explained records that load without an error or a warning."""
    result = run("start", tmp_path / "new")

    loaded = read_workshop(tmp_path / "new" / "content")
    assert result.exit_code == 0
    assert loaded.workshop is not None
    assert loaded.problems == ()


def test_start_says_what_to_do_next(tmp_path, run, monkeypatch):
    """The commands that come next are printed as they can be typed."""
    monkeypatch.chdir(tmp_path)

    result = run("start", "my workshop", "--build", "Lady Anne")

    assert 'cd "my workshop"' in result.stdout
    assert "buildlog preview" in result.stdout
    assert "buildlog add lady-anne PHOTO..." in result.stdout
    assert "content/builds/lady-anne/build.yml" in result.stdout
    assert result.stderr == ""


def test_start_takes_the_words_it_is_given(tmp_path, run):
    """Names, contact and scale reach the records, whatever signs they hold."""
    result = run(
        *("start", tmp_path / "new", "--name", "Tern: Quay #1", "--contact", "workshop@example.org"),
        *("--build", "Río Órbigo", "--scale", "1/2 in = 1 ft"),
    )

    workshop = read_workshop(tmp_path / "new" / "content").workshop
    assert result.exit_code == 0
    assert workshop is not None
    assert workshop.record.name == "Tern: Quay #1"
    assert workshop.record.contact == "workshop@example.org"
    assert workshop.builds[0].slug == "río-órbigo"
    assert workshop.builds[0].record.name == "Río Órbigo"
    assert workshop.builds[0].record.scale.ratio == 24
    assert yaml.safe_load((tmp_path / "new" / "mkdocs.yml").read_text(encoding="utf-8"))["site_name"] == "Tern: Quay #1"


@pytest.mark.parametrize("scale", ["1:24", "1:48", "1:76.2", "1/87", "3.5 mm = 1 ft", "1:1"])
def test_sample_is_right_at_every_scale(tmp_path, scale):
    """The sample's accuracy note is within its tolerance whatever the scale, so that it loads without a mistake."""
    start_workshop(tmp_path / "new", scale=scale, today=date(2026, 8, 20))

    assert read_workshop(tmp_path / "new" / "content").problems == ()


def test_start_names_the_workshop_after_its_folder(tmp_path):
    """Without a name the folder's does, with spaces for hyphens."""
    start_workshop(tmp_path / "tern-quay_models", today=date(2026, 8, 20))

    workshop = read_workshop(tmp_path / "tern-quay_models" / "content").workshop
    assert workshop is not None
    assert workshop.record.name == "tern quay models"


def test_start_ties_every_record_to_its_schema(workshop):
    """Each record's first line leads an editor to a schema in the workshop itself, from wherever the record lies."""
    records = [path for path in workshop.rglob("*.yml") if path.name != "mkdocs.yml"]

    targets = {}
    for path in records:
        first = path.read_text(encoding="utf-8").partition("\n")[0]
        assert first.startswith("# yaml-language-server: $schema=")
        targets[path.name] = (path.parent / first.partition("$schema=")[2]).resolve()
    assert len(records) == 7
    assert targets["workshop.yml"] == workshop / ".schemas" / "workshop.schema.json"
    assert targets["build.yml"] == workshop / ".schemas" / "build.schema.json"
    assert targets["2025-08-20-sample.yml"] == workshop / ".schemas" / "stage.schema.json"
    assert targets["paints.yml"] == workshop / ".schemas" / "paints.schema.json"
    assert all(path.is_file() for path in targets.values())


def test_started_records_suit_their_schemas(workshop):
    """An editor underlines nothing in a new workshop: every record is valid by the schema it is tied to."""
    for path in workshop.rglob("*.yml"):
        text = path.read_text(encoding="utf-8")
        schema = text.partition("\n")[0].partition("$schema=")[2]
        if schema:
            validator = Draft202012Validator(json.loads((path.parent / schema).read_text(encoding="utf-8")))
            data = json.loads(json.dumps(yaml.load(text, Loader=Yaml12), default=str))  # noqa: S506 - a safe loader

            assert [error.message for error in validator.iter_errors(data)] == [], path.name


def test_schemas_follow_the_version(workshop, run, draw):
    """Schemas left by an older version are brought up to date when a record is added."""
    schema = workshop / ".schemas" / "stage.schema.json"
    current = schema.read_bytes()
    schema.write_text("{}", encoding="utf-8")

    run("add", "first-build", draw("a.jpg", "2026:08:15 12:00:00"))

    assert schema.read_bytes() == current


def test_start_keeps_what_is_private_out_of_git(workshop):
    """The site, the store and the clients' keys are ignored."""
    ignored = (workshop / ".gitignore").read_text(encoding="utf-8").splitlines()

    assert {"/site/", "/.buildlog/", "client-keys.yml"} <= set(ignored)


def test_start_refuses_a_folder_in_use(tmp_path, run, snapshot):
    """A folder that holds anything is left as it is."""
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    before = snapshot(tmp_path)

    result = run("start", tmp_path)

    assert result.exit_code == 1
    assert "is not empty, and nothing in it is touched" in result.stderr
    assert snapshot(tmp_path) == before


def test_start_refuses_a_file(tmp_path, run):
    """A file is no place for a workshop."""
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")

    result = run("start", tmp_path / "mine.txt")

    assert result.exit_code == 1
    assert "is a file; give the name of a folder" in result.stderr


def test_start_works_where_one_stands(tmp_path, run, monkeypatch):
    """An empty current folder becomes the workshop, and is still the current folder."""
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")

    result = run("start", ".")

    assert result.exit_code == 0
    assert Path("mkdocs.yml").is_file()
    assert sorted(path.name for path in Path().iterdir()) == [".gitignore", ".schemas", "content", "mkdocs.yml"]


def test_start_where_nothing_can_be_made(tmp_path, run):
    """A folder that cannot be made is said by the name that was given."""
    (tmp_path / "file").touch()

    result = run("start", tmp_path / "file" / "new")

    assert result.exit_code == 1
    assert "new cannot be made: " in result.stderr
    assert "nothing was written" in result.stderr


def test_start_refuses_a_scale_that_is_none(tmp_path, run):
    """A scale that cannot be read is said in words, and nothing is written."""
    result = run("start", tmp_path / "new", "--scale", "big")

    assert result.exit_code == 1
    assert '"big"' in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_start_refuses_a_build_without_letters(tmp_path, run):
    """A build needs a name that an address can be made of."""
    result = run("start", tmp_path / "new", "--build", "!!!")

    assert result.exit_code == 1
    assert "has no letter or digit" in result.stderr


def test_start_leaves_nothing_when_it_cannot_write(tmp_path, monkeypatch):
    """A failure half-way leaves neither the folder nor anything beside it."""

    def fail(path: Path, day: date) -> None:
        raise OSError(28, "No space left on device", str(path))

    monkeypatch.setattr("buildlog.writing.starting.draw_sample", fail)

    with pytest.raises(WritingError, match="No space left on device; nothing was written"):
        start_workshop(tmp_path / "new", today=date(2026, 8, 20))
    assert list(tmp_path.iterdir()) == []


def test_started_folder_can_be_read_by_a_web_server(workshop):
    """The workshop's folder has usual permissions and not those of a temporary one."""
    assert stat.S_IMODE(workshop.stat().st_mode) & 0o055 == 0o055


def test_start_on_the_last_of_february(tmp_path):
    """A sample dated a year before a leap day falls on a day that exists."""
    started = start_workshop(tmp_path / "new", today=date(2028, 2, 29))

    assert started.sample.name == "2027-02-28-sample.yml"


def test_sample_can_be_deleted(workshop, run):
    """Without the sample record and its picture the workshop has still no error."""
    home = workshop / "content" / "builds" / "first-build"
    shutil.rmtree(home / "stages")
    shutil.rmtree(home / "photos")

    result = run("check")

    assert result.exit_code == 0


def test_commission_begins_a_build_that_nobody_sees(workshop, run):
    """A new build is a draft with an explained record that loads."""
    result = run("commission", "Lady Anne", "--scale", "1:48", "--kind", "yacht")

    loaded = read_workshop(workshop / "content")
    assert result.exit_code == 0
    assert loaded.workshop is not None
    build = next(build for build in loaded.workshop.builds if build.slug == "lady-anne")
    assert build.record.name == "Lady Anne"
    assert build.record.audience is AudienceWord.DRAFT
    assert build.record.subject.kind == "yacht"
    assert "content/builds/lady-anne/build.yml" in result.stdout.replace("\\", "/")


def test_commission_refuses_a_name_in_use(workshop, run, snapshot):
    """A build that is there is not touched."""
    before = snapshot(workshop)

    result = run("commission", "First build")

    assert result.exit_code == 1
    assert 'There is a build "first-build" already' in result.stderr
    assert snapshot(workshop) == before


def test_start_refuses_a_contact_that_is_none(tmp_path, run):
    """A contact is held to the record's own rule before anything is written."""
    result = run("start", tmp_path / "new", "--contact", "notamail")

    assert result.exit_code == 1
    assert '--contact: "notamail" is not a mail address; write one such as workshop@example.org' in result.stderr
    assert list(tmp_path.iterdir()) == []
