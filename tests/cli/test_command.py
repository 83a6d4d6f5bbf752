"""The command as a whole: its help, its streams, its ends; some of it as a real process."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from importlib.metadata import version

import click
import pytest

from buildlog.cli import cli

COMMAND = [sys.executable, "-m", "buildlog"]


def test_help_names_every_command_and_a_day_s_routine(run):
    """The help lists the commands in the order of their use, with an example."""
    result = run("--help")

    places = [result.stdout.index(f"\n  {name} ") for name in cli.commands]
    assert result.exit_code == 0
    assert places == sorted(places)
    assert "buildlog add first-build ~/Pictures/tonight" in result.stdout
    assert "..." not in result.stdout.partition("Examples:")[0].replace("COMMAND [ARGS]...", "")


@pytest.mark.parametrize("name", list(cli.commands))
def test_each_help_has_an_example(run, name):
    """Every command's help shows how it is typed, and says what each option does."""
    result = run(name, "--help")

    assert result.exit_code == 0
    assert f"  buildlog {name}" in result.stdout.partition("Examples:")[2]
    assert all(option.help for option in cli.commands[name].params if isinstance(option, click.Option))


def test_version(run):
    """The version is that of the installed project."""
    result = run("--version")

    assert result.stdout == f"buildlog {version('buildlog-site')}\n"


def test_a_misspelt_command(run):
    """A command that is not there is answered with the one that was meant."""
    result = run("chekc")

    assert result.exit_code == 2
    assert 'There is no command "chekc"; did you mean check?' in result.stderr


def test_help_answers_at_once():
    """Asking for help imports neither the records, nor the photos, nor the site's maker."""
    script = (
        "import sys\nfrom click.testing import CliRunner\nfrom buildlog.cli import cli\n"
        "CliRunner().invoke(cli, ['--help'])\n"
        "print([name for name in ('pydantic', 'PIL', 'rich', 'mkdocs', 'yaml') if name in sys.modules])"
    )

    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"


def test_a_process_ends_with_the_status(workshop):
    """A mistake ends the real process with 1, its words on the right streams, and no traceback."""
    (workshop / "content" / "workshop.yml").write_text("name: {a, b}\n", encoding="utf-8")

    done = subprocess.run([*COMMAND, "check"], capture_output=True, text=True, check=False)

    assert done.returncode == 1
    assert "content/workshop.yml:1:8: error:" in done.stdout.replace("\\", "/")
    assert done.stderr == ""


def test_no_colour_where_nobody_looks(workshop):
    """What goes into a file or a pipe holds no escape sequences."""
    done = subprocess.run([*COMMAND, "check"], capture_output=True, check=True)

    assert b"\x1b" not in done.stdout


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_narrow_encodings(workshop, encoding):
    """A terminal that cannot show a letter gets a question mark, not a crash."""
    settings = workshop / "content" / "workshop.yml"
    settings.write_text(settings.read_text(encoding="utf-8") + "łódź: 漢字\n", encoding="utf-8")

    done = subprocess.run(
        [*COMMAND, "check"],
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"},
    )

    assert done.returncode == 1
    assert b"Traceback" not in done.stderr
    assert b"?" in done.stdout


def test_a_reader_that_goes_away(workshop):
    """When `head` has seen enough the command ends without a traceback."""
    stages = workshop / "content" / "builds" / "first-build" / "stages"
    for number in range(1, 2000):
        (stages / f"x{number}.yml").write_text("nonsense: yes\n", encoding="utf-8")

    process = subprocess.Popen([*COMMAND, "check"], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.readline()
    process.stdout.close()
    told = process.stderr.read()
    process.stderr.close()

    assert process.wait(60) != 0
    assert told == b""


def test_stopping_by_ctrl_c(workshop, draw):
    """Ctrl-C in the midst of work ends the process with 130, without a word and without a record."""
    script = (
        "import signal\nsignal.signal(signal.SIGINT, signal.default_int_handler)\n"  # a runner may have it ignored
        "import buildlog.writing.adding as adding, time\nfrom buildlog.cli import main\nimport sys\n"
        "def slow(source, path):\n    print('copying', flush=True)\n    time.sleep(60)\n"
        "adding.copy_new = slow\n"
        f"sys.argv = ['buildlog', 'add', 'first-build', {str(draw('a.jpg', '2026:08:15 12:00:00'))!r}]\nmain()\n"
    )
    process = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert process.stdout is not None
    assert process.stdout.readline() == b"copying\n"
    process.send_signal(signal.SIGINT)

    out, err = process.communicate(timeout=120)

    assert process.returncode == 130
    assert (out, err.strip()) == (b"", b"")
    assert len(list((workshop / "content" / "builds" / "first-build" / "stages").iterdir())) == 1


def test_killed_while_copying(workshop, draw):
    """A process killed half-way leaves no record and no broken photo; the next try goes through."""
    photos = [draw(f"{n}.jpg", "2026:08:15 12:00:00") for n in range(3)]
    script = (
        "import buildlog.writing.files as files, os, sys\nfrom buildlog.cli import main\n"
        "whole = files.shutil.copyfile\n"
        "def cut(source, target):\n"
        "    if source.name == '1.jpg':\n"
        "        target.write_bytes(source.read_bytes()[:500])\n        os._exit(9)\n"
        "    whole(source, target)\n"
        "files.shutil.copyfile = cut\n"
        f"sys.argv = ['buildlog', 'add', 'first-build', *{[str(photo) for photo in photos]!r}]\nmain()\n"
    )
    killed = subprocess.run([sys.executable, "-c", script], capture_output=True, check=False)
    home = workshop / "content" / "builds" / "first-build"
    records = [path.name for path in (home / "stages").iterdir()]
    whole = [path.name for path in (home / "photos" / "2026-08-15").glob("*.jpg")]

    again = subprocess.run([*COMMAND, "add", "first-build", *photos], capture_output=True, text=True, check=False)

    assert killed.returncode == 9
    assert records == ["2025-08-20-sample.yml"]
    assert whole == ["0.jpg"]
    assert again.returncode == 0, again.stderr
    checked = subprocess.run([*COMMAND, "check"], capture_output=True, text=True, check=False)
    assert checked.returncode == 0, checked.stdout
