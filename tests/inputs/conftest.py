"""Small tanks, catalogs and files for the tests of this room."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lightplan.inputs.catalog import Catalog, load_catalog
from lightplan.inputs.errors import Problem
from lightplan.inputs.tank import Tank

BAR = {
    "fixture": "Bar",
    "price": 50,
    "power_w": 30,
    "length_cm": 60,
    "width_cm": 5,
    "ppf_umol_s": 60,
    "beam_angle_deg": 90,
}
BOX = {"length_cm": 100, "width_cm": 50, "depth_cm": 40}
LEFT = {"name": "left", "x_cm": [0, 50], "y_cm": [0, 50], "depth_cm": 20, "par": [100, 200]}

BAR_CSV = "fixture,price,power_w,length_cm,width_cm,ppf_umol_s,beam_angle_deg\nBar,50,30,60,5,60,90\n"
TANK_TOML = """\
[tank]
length_cm = 100
width_cm = 50
depth_cm = 40

[[zone]]
name = "left"
x_cm = [0, 50]
y_cm = [0, 50]
depth_cm = 20
par = [100, 200]
"""

Maker = Callable[..., Any]


@pytest.fixture
def fixture_data() -> Callable[..., dict[str, Any]]:
    """Data of a fixture without fault, with changes."""
    return lambda **changes: {**BAR, **changes}


@pytest.fixture
def tank_data() -> Callable[..., dict[str, Any]]:
    """Data of a tank file without fault, with other tables."""
    return lambda **tables: {"tank": BOX, "zone": [LEFT], **tables}


@pytest.fixture
def make_tank(tank_data: Maker) -> Callable[..., Tank]:
    """A tank with other tables."""
    return lambda **tables: Tank.model_validate(tank_data(**tables))


@pytest.fixture
def make_catalog() -> Callable[..., Catalog]:
    """A catalog of one fixture with changes, and other tables."""

    def make(changes: dict[str, Any] | None = None, **tables: Any) -> Catalog:
        return Catalog.model_validate({"fixtures": [{**BAR, **(changes or {})}], **tables})

    return make


@pytest.fixture
def folder(tmp_path: Path) -> Callable[..., Path]:
    """A folder with a faultless catalog and tank, and other files by name (with __ for the point)."""

    def make(**files: str | bytes) -> Path:
        for name, content in {"fixtures__csv": BAR_CSV, "tank__toml": TANK_TOML, **files}.items():
            data = content.encode() if isinstance(content, str) else content
            (tmp_path / name.replace("__", ".")).write_bytes(data)
        return tmp_path

    return make


@pytest.fixture
def catalog_problems(tmp_path: Path) -> Callable[..., list[Problem]]:
    """The problems of a catalog with one fixtures.csv, or of other tables beside a faultless one."""

    def make(**tables: str) -> list[Problem]:
        for name, text in {"fixtures": BAR_CSV, **tables}.items():
            (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
        return list(load_catalog(tmp_path).problems)

    return make
