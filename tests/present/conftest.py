"""A tank and a catalog so small that a plan takes a fraction of a second, and the command line to try on them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

import lightplan
from lightplan.choose.plan import Plan, plan
from lightplan.inputs.checks import read_inputs
from lightplan.present.cli import app

FIXTURES = """\
fixture,price,power_w,length_cm,width_cm,ppf_umol_s,beam_angle_deg,dimming,timing,weight_kg,claim_error_pct,l70_hours
Plain bar,30,20,30,6,36,120,none,none,0.5,10,
"Fine, ""dim"" panel",120,40,20,20,80,90,whole,built-in,1,10,40000
"""
EXTRAS = "extra,price,needed_by,serves\ntimer,9,timing:none,3\nhanging kit,12,hang:wire,1\n"
SHADES = "shade,transmission,price,heat_ok\nmesh,0.5,8,no\n"
CORALS = "coral,par_min,par_max,note\nsoft,50,150,made up\n"
TANK = """\
[tank]
name = "Tiny"
length_cm = 40
width_cm = 30
depth_cm = 30

[[zone]]
name = "middle"
x_cm = [16, 24]
y_cm = [12, 18]
depth_cm = 15
par = [60, 300]

[hanging]
step_cm = 20
heights_cm = [20]

[[tariff]]
price_per_kwh = 0.3

[money]
currency = "EUR"
"""
#: no single light can hold so narrow a band over such a depth
NARROW = TANK.replace("par = [60, 300]", "par = [60, 70]").replace("depth_cm = 15", "depth_cm = [5, 25]")
NARROW += "\n[limits]\nfixtures = 1\n"
#: needs the dimmable panel, and a second scene
TWO_SCENES = (
    TANK.replace("par = [60, 300]", "par = [100, 150]")
    + '\n[[scene]]\nname = "first-day"\npar_scale = 0.5\nat_least = false\n'
)


@dataclass(frozen=True)
class Said:
    """What the command line answered."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The answer as data."""
        return json.loads(self.out)


def write_files(folder: Path) -> None:
    """Write a catalog and three tanks: tiny, narrow (no plan meets every wish), scenes (two scenes)."""
    files = {"fixtures": FIXTURES, "extras": EXTRAS, "shades": SHADES, "corals": CORALS}
    for name, text in files.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    for name, text in {"tiny": TANK, "narrow": NARROW, "scenes": TWO_SCENES}.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder of one's own with a catalog and three tanks."""
    write_files(tmp_path)
    return tmp_path


@pytest.fixture
def run() -> Callable[..., Said]:
    """Run the command line in this process; whatever it raises fails the test."""

    def call(*arguments: object) -> Said:
        result = CliRunner().invoke(app, [str(a) for a in arguments], catch_exceptions=False)
        return Said(result.exit_code, result.stdout, result.stderr)

    return call


def with_source(**more: str) -> dict[str, str]:
    """The environment, so that a program started anywhere finds this package, with some variables more."""
    source = str(Path(lightplan.__file__).parents[1])
    return {**os.environ, "PYTHONPATH": os.pathsep.join([source, os.environ.get("PYTHONPATH", "")]), **more}


@pytest.fixture
def environment() -> Callable[..., dict[str, str]]:
    """Make an environment for a program, with variables of one's own."""
    return with_source


@pytest.fixture
def start() -> Callable[..., subprocess.Popen[str]]:
    """Start the program in a process of its own."""

    def begin(*arguments: object, **options: Any) -> subprocess.Popen[str]:
        command = [sys.executable, "-m", "lightplan", *map(str, arguments)]
        pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True, "encoding": "utf-8"}
        return subprocess.Popen(command, **{"env": with_source(), **pipes, **options})

    return begin


@pytest.fixture(scope="session")
def plans(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Plan]:
    """The plans of the three tanks; they cannot be changed, so that every test may have the same."""
    folder = tmp_path_factory.mktemp("plans")
    write_files(folder)
    inputs = {name: read_inputs(folder / f"{name}.toml") for name in ("tiny", "narrow", "scenes")}
    return {name: plan(given.tank, given.catalog) for name, given in inputs.items()}


@pytest.fixture
def tiny_plan(plans: dict[str, Plan]) -> Plan:
    """The plan of the tiny tank."""
    return plans["tiny"]


@pytest.fixture
def scenes_plan(plans: dict[str, Plan]) -> Plan:
    """The plan of the tank with two scenes."""
    return plans["scenes"]


@pytest.fixture
def closest_plan(plans: dict[str, Plan]) -> Plan:
    """The closest plan of the tank whose wishes none can meet."""
    return plans["narrow"]
