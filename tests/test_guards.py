"""Guards over the package as a whole: quick and silent to import, documented, in small pieces, complete when built."""

from __future__ import annotations

import ast
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

import lightplan

PACKAGE = Path(lightplan.__file__).parent
SOURCE = PACKAGE.parent
MODULES = sorted(PACKAGE.rglob("*.py"))
LONGEST_MODULE = 400
LONGEST_FUNCTION = 60
MOST_PARAMETERS = 8
#: loaded by the command that needs them, never by importing the package
HEAVY = {"streamlit", "pandas", "pulp", "highspy", "numpy", "pydantic", "rich", "altair", "scipy", "colour"}

FUNCTIONS = ast.FunctionDef | ast.AsyncFunctionDef


def name_of(path: Path) -> str:
    return str(path.relative_to(SOURCE))


def definitions(tree: ast.AST, inside: str = "") -> Iterator[tuple[str, FUNCTIONS | ast.ClassDef]]:
    """Every class and function at the top of a module and in its classes, with its full name."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, FUNCTIONS | ast.ClassDef):
            full = f"{inside}{node.name}"
            yield full, node
            if isinstance(node, ast.ClassDef):
                yield from definitions(node, f"{full}.")


def functions(path: Path) -> Iterator[FUNCTIONS]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, FUNCTIONS):
            yield node


def python(code: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=SOURCE)


@pytest.mark.parametrize("code", ["import lightplan", "import lightplan; lightplan.plan; lightplan.read_tank"])
def test_importing_prints_nothing(code):
    done = python(code)
    assert (done.stdout, done.stderr) == ("", "")


def test_importing_loads_nothing_heavy():
    loaded = set(python("import sys, lightplan; print(*sys.modules)").stdout.split())
    assert not loaded & HEAVY


def test_the_command_line_loads_nothing_heavy_before_it_knows_the_command():
    loaded = set(python("import sys, lightplan.present.cli; print(*sys.modules)").stdout.split())
    assert not loaded & (HEAVY - {"rich"})


def test_every_public_name_is_there_and_listed():
    for name in lightplan.__all__:
        assert getattr(lightplan, name) is not None
        assert name in dir(lightplan)
    with pytest.raises(AttributeError, match="no_such_name"):
        lightplan.no_such_name  # noqa: B018


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_every_public_definition_is_documented(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    if path.name != "__init__.py" or path.stat().st_size > 1:
        assert ast.get_docstring(tree), "the module has no docstring"
    bare = [
        name
        for name, node in definitions(tree)
        if not any(part.startswith("_") for part in name.split(".")) and not ast.get_docstring(node)
    ]
    assert bare == []


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_modules_and_functions_are_small(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_MODULE
    for function in functions(path):
        where = f"{function.name}, line {function.lineno}"
        assert (function.end_lineno or 0) - function.lineno < LONGEST_FUNCTION, where
        given = function.args
        named = [a for a in (*given.posonlyargs, *given.args, *given.kwonlyargs) if a.arg not in {"self", "cls"}]
        assert len(named) <= MOST_PARAMETERS, where


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_nothing_is_printed_but_by_the_command_line(path):
    printing = [
        node.lineno
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print"
    ]
    assert printing == [] or path.name == "streams.py"


def test_every_package_and_the_example_are_built():
    settings = tomllib.loads((SOURCE / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]
    found = {".".join(path.parent.relative_to(SOURCE).parts) for path in MODULES if path.name == "__init__.py"}
    data = {"lightplan.catalog_example", "lightplan.screen_settings"}
    assert set(settings["packages"]) == found | data
    for name in data:
        folder = SOURCE / settings["package-dir"][name]
        patterns = settings["package-data"][name]
        assert {path for path in folder.iterdir() if path.is_file()} == {
            p for pattern in patterns for p in folder.glob(pattern)
        }
