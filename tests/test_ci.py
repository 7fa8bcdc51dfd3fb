"""The script that CI runs: it can be read by bash, and does what the README and DEVELOPERS.md say."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

import lightplan

ROOT = Path(lightplan.__file__).parents[1]
SCRIPT = ROOT / ".ci" / "run"
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_bash_can_read_it():
    assert subprocess.run(["bash", "-n", str(SCRIPT)], check=False).returncode == 0
    assert "set -euo pipefail" in SCRIPT.read_text(encoding="utf-8")


def test_pytest_comes_last():
    last = SCRIPT.read_text(encoding="utf-8").splitlines()[-1]
    assert "pytest" in last
    assert not last.startswith("#")


@pytest.mark.parametrize("command", ["ruff check", "ruff format --check", "mypy", "lint-imports"])
def test_what_contributors_are_told_is_what_it_runs(command):
    assert f"`{command}`" in DEVELOPERS
    program, *arguments = command.split()
    assert " ".join([f'"$bin/{program}"', *arguments]) in SCRIPT.read_text(encoding="utf-8")


def test_files_that_contributors_are_told_of_are_there():
    for name in ("choose/solver.py", "choose/relaxation.py", "choose/model.py", "present/cli.py", "version.py"):
        assert f"{name}`" in DEVELOPERS
        assert (ROOT / "lightplan" / name).is_file()
    for name in ("tests/choose/oracle.py", "tests/choose/monolith.py", "tests/test_readme.py", "tests/test_guards.py"):
        assert name in DEVELOPERS
        assert (ROOT / name).is_file()
