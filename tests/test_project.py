"""What holds for the whole tree."""

import ast
import re
from pathlib import Path

import pytest

from tests.conftest import ROOT

TESTS = sorted((ROOT / "tests").rglob("test_*.py"))


@pytest.mark.parametrize("path", TESTS, ids=[path.relative_to(ROOT).as_posix() for path in TESTS])
def test_every_test_says_what_it_holds(path: Path):
    """A test's docstring is a sentence about behaviour."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")]

    silent = [node.name for node in functions if not (ast.get_docstring(node) or "").rstrip("\"'").endswith((".", "?"))]
    assert silent == []


def test_the_readme_names_only_what_is_there():
    """Every file, make target and command that README speaks of exists."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    from buildlog.cli import cli

    for target in re.findall(r"\bmake ([a-z]+)", readme.split("## ")[1]):
        assert re.search(rf"^{target}:", makefile, re.MULTILINE), target
    for link in re.findall(r"\]\(([^)#:]+)\)", readme):
        assert (ROOT / link).exists(), link
    for command in re.findall(r"^ +(?:\S*bin/)?buildlog ([a-z]+)", readme, re.MULTILINE):
        assert command in cli.commands, command


def test_the_map_of_the_tree_names_only_what_is_there():
    """Every module that DEVELOPERS.md places exists."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## How data flows")[0]

    for name in re.findall(r"\b([a-z_]+\.py)\b", text):
        assert list((ROOT / "buildlog").rglob(name)) or list((ROOT / "plugins").rglob(name)), name


def test_the_list_of_outside_checks_names_only_what_is_there():
    """Every test and file that the table of outside checks names exists."""
    folder = ROOT / "tests" / "outside"
    text = (folder / "README.md").read_text(encoding="utf-8")
    code = "".join(path.read_text(encoding="utf-8") for path in folder.glob("test_*.py"))

    named = set(re.findall(r"`(test_\w+(?:\.py)?)`", text))
    assert len(named) > 40
    assert {name for name in named if name.endswith(".py")} == {path.name for path in folder.glob("test_*.py")}
    assert {name for name in named if not name.endswith(".py") and f"def {name}(" not in code} == set()
