"""What is installed: everything that a run needs, and nothing of the tests."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.conftest import ROOT


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    """The wheel of this tree, built without asking a registry."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation", "-w", folder, ROOT]
    subprocess.run(command, check=True, capture_output=True)
    (made,) = folder.glob("buildlog_site-*.whl")
    return made


def test_the_wheel_holds_templates_styles_schemas_and_theme(wheel):
    """Whatever lies beside the modules is installed with them."""
    names = set(zipfile.ZipFile(wheel).namelist())
    tracked = subprocess.run(
        ["git", "ls-files", "buildlog", "plugins"], cwd=ROOT, check=True, capture_output=True, text=True
    ).stdout.split()

    assert {name.removeprefix("plugins/") for name in tracked} <= names
    assert not [name for name in names if name.startswith(("tests/", "content/"))]


def test_an_installed_wheel_starts_a_workshop_and_makes_its_site(wheel, tmp_path):
    """Without the source tree: the command, its templates, the theme and the plugin all come from the wheel."""
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(tmp_path / "installed")
    environment = {**os.environ, "PYTHONPATH": str(tmp_path / "installed"), "PYTHONSAFEPATH": "1"}

    def run(*words: str, cwd: Path) -> str:
        command = [sys.executable, "-m", "buildlog", *words]
        return subprocess.run(command, cwd=cwd, env=environment, check=True, capture_output=True, text=True).stdout

    where = [sys.executable, "-c", "import buildlog; print(buildlog.__file__)"]
    imported = subprocess.run(where, cwd=tmp_path, env=environment, check=True, capture_output=True, text=True).stdout
    assert str(tmp_path) in imported

    run("start", "shop", cwd=tmp_path)
    run("site", cwd=tmp_path / "shop")

    assert (tmp_path / "shop" / "site" / "index.html").is_file()
    assert (tmp_path / "shop" / "site" / "assets" / "buildlog" / "sheet.css").is_file()
