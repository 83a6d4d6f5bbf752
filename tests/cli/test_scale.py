"""`buildlog scale`: one answer in a line, many in a table, and a line that cannot be read stops no other."""

from __future__ import annotations

import csv
import io

import pytest
from click.testing import CliRunner

from buildlog.cli import cli


def ask(*words: str, piped: bytes | str | None = None):
    return CliRunner().invoke(cli, ["scale", *words], input=piped, catch_exceptions=False)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        pytest.param(
            ["1:24", "7 ft 6 in"],
            "7 ft 6 in at 1:24 (half inch to the foot) is 95.2 mm (3 3/4 in) on the model",
            id="feet and inches",
        ),
        pytest.param(
            ["1:24", "7", "ft", "6", "in", "--units", "imperial"],
            "7 ft 6 in at 1:24 (half inch to the foot) is 3 3/4 in (95.2 mm) on the model",
            id="without quotes, imperial first",
        ),
        pytest.param(
            ["1/24", "28,30 m"],
            "28.30 m at 1:24 (half inch to the foot) is 1179.2 mm (46 27/64 in) on the model",
            id="decimal comma",
        ),
        pytest.param(
            ["3.5 mm = 1 ft", "1435 mm"],
            "1435 mm at 1:87.0857 (3.5 mm to the foot, railway scale H0) is 16.478 mm (21/32 in) on the model",
            id="railway name",
        ),
        pytest.param(["1:25", "1 m"], "1 m at 1:25 is 40 mm (1 1/2 in) on the model", id="scale without a name"),
        pytest.param(
            ["1:24", "3.2 mm", "--from-model"],
            "3.2 mm at 1:24 (half inch to the foot) is 77 mm (3 1/32 in) at full size",
            id="from the model",
        ),
        pytest.param(
            ["1:24", "11 kn", "--as", "speed"],
            "11 kn at 1:24 (half inch to the foot) is 2.2 kn (1.16 m/s) on the model, by Froude's law",
            id="speed by Froude's law",
        ),
        pytest.param(
            ["1:48", "8 s", "--as", "time"],
            "8 s at 1:48 (quarter inch to the foot) is 1.15 s on the model, by Froude's law",
            id="time by Froude's law",
        ),
        pytest.param(
            ["1:96", "45 000 t", "--as", "mass"],
            "45000 t at 1:96 (eighth of an inch to the foot) is 50.8626 kg (112.133 lb) on the model",
            id="mass by the cube",
        ),
        pytest.param(
            ["1:16", "25.6 m²"],
            "25.6 m² at 1:16 (three-quarter inch to the foot, railway scale III) is 1000 cm² (155.0 sq in)",
            id="area by itself",
        ),
        pytest.param(["1:10", "2000 l"], "2000 l at 1:10 is 2.0000 l", id="volume by itself"),
    ],
)
def test_one_line(words, said):
    """One size is answered in one line, with what the trade calls the scale, in both systems of units."""
    result = ask(*words)

    assert result.exit_code == 0
    assert result.stdout.startswith(said)
    assert result.stdout.count("\n") == 1
    assert result.stderr == ""


@pytest.mark.parametrize(
    ("words", "said"),
    [
        pytest.param(["large", "2 m"], '"large" is not a scale; write a scale such as 1:24', id="no scale"),
        pytest.param(["1:24", "12"], '"12" has no unit; write a size such as 12 mm', id="no unit"),
        pytest.param(["1:24", "310 t"], '"310 t" is a mass, which scales only when asked to; add --as mass', id="mass"),
        pytest.param(["1:24", "600 kW"], "a power, for which no law of scale is known here", id="power"),
        pytest.param(["1:24", "11 kn", "--as", "mass"], '"11 kn" is a speed; write a mass', id="another dimension"),
        pytest.param(["1:24", "2 m", "--csv"], "--file and --csv are for a file", id="CSV of one size"),
        pytest.param(["1:24", "--file", "not-there.txt"], "No such file", id="no file"),
        pytest.param(["1:24", "2 m", "--as", "power"], "'power' is not one of 'length'", id="no law"),
    ],
)
def test_what_is_mistyped(words, said):
    """What cannot be answered is said in words on the error stream, and ends with 2."""
    result = ask(*words)

    assert result.exit_code == 2
    assert said in " ".join(result.stderr.split())
    assert result.stdout == ""


def test_a_table_from_a_pipe():
    """Each line has its row, in columns that line up within 80, under the scale and its name."""
    result = ask("1:24", piped="7 ft 6 in\n\n# the hull\n28.30 m   # overall\n3/8 in\n")

    lines = result.stdout.splitlines()
    assert result.exit_code == 0
    assert lines == [
        "1:24, half inch to the foot",
        "Full size                     At 1:24",
        "2.29 m      7 ft 6 in         95.2 mm     3 3/4 in",
        "28.30 m     92 ft 10 1/8 in   1179.2 mm   46 27/64 in",
        "10 mm       3/8 in            0.40 mm     1/64 in",
    ]
    assert max(map(len, lines)) <= 80


def test_a_bad_line_stops_no_other(tmp_path):
    """It is named by file and line on the error stream, the others are answered, and the end is 1."""
    sizes = tmp_path / "sizes.txt"
    sizes.write_bytes(b"\xef\xbb\xbf7 ft 6 in\r\n12\r\n" + b"9" * 100_000 + b"\r\n\xff\xfe\r\n28.30 m")

    result = ask("1:24", "--file", str(sizes))

    said = result.stderr.splitlines()
    assert result.exit_code == 1
    assert said[0] == f'{sizes}:2: "12" has no unit; write a size such as 12 mm, 310 t or 11 kn'
    assert [line.removeprefix(f"{sizes}:").partition(":")[0] for line in said] == ["2", "3", "4"]
    assert [line[:7].strip() for line in result.stdout.splitlines()[2:]] == ["2.29 m", "28.30 m"]


def test_a_bad_line_of_a_pipe_is_named_by_its_number():
    """What is piped in has no file to name."""
    result = ask("1:24", "--csv", piped="2 m\nnonsense\n")

    assert result.exit_code == 1
    assert result.stderr.startswith('line 2: "nonsense" is not understood; write a size')
    assert len(result.stdout.splitlines()) == 2


def test_csv(tmp_path):
    """The same figures as comma-separated values, with a head, and in the units asked for."""
    sizes = tmp_path / "sizes.txt"
    sizes.write_text("3.2 mm\n1 1/2 in\n", encoding="utf-8")

    result = ask("1:24", "--from-model", "--units", "imperial", "--file", str(sizes), "--csv")

    rows = list(csv.reader(io.StringIO(result.stdout)))
    assert rows == [
        ["written", "full_size", "full_size_other", "model", "model_other"],
        ["3.2 mm", "3 1/32 in", "77 mm", "1/8 in", "3.2 mm"],
        ["1 1/2 in", "3 ft 0 in", "914 mm", "1 1/2 in", "38 mm"],
    ]


def test_speeds_line_by_line():
    """Other quantities go line by line as well, each with its law."""
    result = ask("1:24", "--as", "speed", piped="11 kn\n20 km/h\n")

    rows = result.stdout.splitlines()[2:]
    assert len(rows) == 2
    assert all(row.endswith("by Froude's law") for row in rows)


def test_nothing_to_work_out():
    """An empty file is said to be so, and ends with 1."""
    result = ask("1:24", piped="\n# nothing\n")

    assert result.exit_code == 1
    assert "There is no size to work out." in result.stderr


def test_it_needs_no_workshop(tmp_path, monkeypatch):
    """It answers wherever one stands."""
    monkeypatch.chdir(tmp_path)

    assert ask("1:24", "2 m").exit_code == 0
