"""One fault a folder in tests/broken: the files that hold it, and in says.txt what a builder is told."""

from pathlib import Path

import pytest

from buildlog.records import checks
from buildlog.records.loading import read_workshop
from tests.records.sites import BROKEN, heron, says

FAULTS = sorted(folder for folder in BROKEN.iterdir() if folder.name != "good")


@pytest.mark.parametrize("fault", [pytest.param(fault, id=fault.name) for fault in FAULTS])
def test_fault_earns_its_message(fault: Path, tmp_path: Path) -> None:
    """A fault is reported with file, line, key, what was found and what to write, and nothing else is."""
    content = heron(tmp_path, fault)

    loaded = read_workshop(content)

    assert says(loaded) == (fault / "says.txt").read_text(encoding="utf-8")
    assert (loaded.workshop is None) == bool(loaded.errors)


def test_the_workshop_without_a_fault_is_good(tmp_path: Path) -> None:
    """What the faults are laid over earns no message itself."""
    loaded = read_workshop(heron(tmp_path))

    assert says(loaded) == ""
    assert loaded.workshop is not None


def test_every_fault_says_something() -> None:
    """No folder stands for a fault that goes unnoticed."""
    silent = [fault.name for fault in FAULTS if not (fault / "says.txt").read_text(encoding="utf-8").strip()]

    assert silent == []


def test_messages_speak_no_library() -> None:
    """Builders read plain words, never those of the parser or of the model library."""
    said = "".join((fault / "says.txt").read_text(encoding="utf-8") for fault in FAULTS).casefold()

    strange = ("pydantic", "input should", "mapping", "token", "scalar", "tuple", "dict", "expected", "invalid")
    assert [word for word in strange if word in said] == []


def test_every_check_is_run() -> None:
    """A check that is written is also run."""
    run = {check.__name__ for check in (*checks._BUILD_CHECKS, *checks._STAGE_CHECKS, *checks._HISTORY_CHECKS)}
    called = {
        "check_workshop",
        "check_build",
        "check_library_ids",
        "check_note_sources",
        "check_paint_sources",
        "check_parts_for_sale",
        "check_build_titles",
        "check_former_build_names",
    }
    written = {name for name in vars(checks) if name.startswith("check_")} - {"check_law"}

    assert written == run | called
