"""Changing one number of a module at a time, to see whether anything notices."""

import ast
import sys
from pathlib import Path
from types import ModuleType

import pytest

import buildlog.figures

FOLDER = Path(buildlog.figures.__file__).parent


def _numbers(tree):
    """Each number in the source outside its messages, written as a number or as a text that is only a number."""
    skipped = {id(node) for one in ast.walk(tree) if isinstance(one, ast.JoinedStr) for node in ast.walk(one)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and id(node) not in skipped:
            in_text = isinstance(node.value, str) and node.value.replace(".", "", 1).isdigit()
            if in_text or (isinstance(node.value, int | float) and not isinstance(node.value, bool)):
                yield node


def _changed(value):
    if isinstance(value, str):
        return str(float(value) * 1.01) if float(value) else "0.0001"
    if isinstance(value, int):
        return value + 1 if value < 100 else round(value * 1.01)
    return value * 1.01 if value else 0.01


def run(name, tree, check):
    module = ModuleType(f"changed_{name}")
    module.__file__ = str(FOLDER / f"{name}.py")
    sys.modules[module.__name__] = module
    try:
        exec(compile(tree, module.__file__, "exec"), module.__dict__)  # noqa: S102 - our own source, changed by one number
        check(module)
    finally:
        del sys.modules[module.__name__]


def unnoticed(name, check, harmless):
    """
    Change each number of a module in turn, and list those that its check does not miss.

    Args:
        name: Of a module of the figures.
        check: Takes the module and fails where a known figure comes out wrong.
        harmless: Lines, or numbers on a line, that may be off by a little.
    """
    source = read(name)
    found = []
    for index in range(len(list(_numbers(ast.parse(source))))):
        tree = ast.parse(source)
        number = list(_numbers(tree))[index]
        line = source.splitlines()[number.lineno - 1].strip()
        if line in harmless or f"{line}: {number.value}" in harmless:
            continue
        before, number.value = number.value, _changed(number.value)
        try:
            run(name, tree, check)
        except (Exception, pytest.fail.Exception):  # noqa: S112 - any way of going wrong counts as noticed
            continue
        found.append(f"line {number.lineno}: {before} as {number.value}: {line}")
    return found


def read(name):
    """The source of a module of the figures."""
    return (FOLDER / f"{name}.py").read_text(encoding="utf-8")
