"""The core stands alone: it knows nothing of the site generator, so that another may take its place."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

GENERATOR = ("mkdocs", "material", "pymdownx", "properdocs", "buildlog_mkdocs")

# In a fresh interpreter, import every module of the core and say which modules of the generator that has brought in.
EVERY_MODULE = f"""
import importlib, pkgutil, sys
import buildlog
names = [module.name for module in pkgutil.walk_packages(buildlog.__path__, "buildlog.")]
for name in names:
    if not name.endswith("__main__"):
        importlib.import_module(name)
print(len(names))
print(*sorted({{name.partition(".")[0] for name in sys.modules}} & set({GENERATOR!r})))
"""

# Where the generator cannot be imported at all, the core still makes pages.
PAGES_WITHOUT_IT = f"""
import sys
for name in {GENERATOR!r}:
    sys.modules[name] = None
from pathlib import Path
from buildlog.publish.making import make_site
made = make_site(Path(sys.argv[1]), Path(sys.argv[2]))
print(len(made.pages), all(page.html for page in made.pages))
"""


def run(code: str, *arguments: str) -> list[str]:
    """Run code in a fresh interpreter and give the lines it prints."""
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


def test_core_never_imports_the_generator():
    """Importing every module of the core brings in no module of MkDocs, its theme or its Markdown extensions."""
    count, found = run(EVERY_MODULE)

    assert int(count) > 20
    assert found == ""


def test_the_check_can_fail():
    """The same look at an interpreter that has imported the plugin finds the generator."""
    code = EVERY_MODULE.replace("import buildlog\n", "import buildlog, buildlog_mkdocs.plugin\n")

    assert {"buildlog_mkdocs", "mkdocs"} <= set(run(code)[1].split())


def test_core_makes_pages_without_the_generator(tmp_path):
    """Where the generator is not installed, the core still reads records and makes pages."""
    content = tmp_path / "content"
    content.mkdir()
    (content / "workshop.yml").write_text(
        "format: 1\nname: Tern Quay Models\nstages:\n  - {id: assembly, name: Assembly, weight: 100}\n"
    )

    assert run(PAGES_WITHOUT_IT, str(content), str(tmp_path / "store")) == ["2 True"]


@pytest.mark.parametrize("path", sorted((ROOT / "buildlog").rglob("*.py")), ids=lambda path: path.stem)
def test_no_word_of_an_import(path):
    """No module of the core holds an import of the generator, not even one that runs later."""
    lines = [line.split() for line in path.read_text(encoding="utf-8").splitlines()]
    imported = {words[1].partition(".")[0] for words in lines if len(words) > 1 and words[0] in ("import", "from")}

    assert not imported & set(GENERATOR)
