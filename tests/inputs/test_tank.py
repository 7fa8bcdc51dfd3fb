from __future__ import annotations

from typing import Any

from lightplan.inputs import tank


def test_everything_about_tanks_is_here() -> None:
    assert all(hasattr(tank, name) for name in tank.__all__)
    assert {"Tank", "band_of", "check_paths", "read_inputs", "read_tank", "tank_problems"} <= set(tank.__all__)


def test_from_file_to_checked_tank(folder: Any, make_catalog: Any) -> None:
    read = tank.read_tank(folder() / "tank.toml")
    assert tank.tank_problems(read, make_catalog(), "tank.toml") == []
    assert tank.band_of(read.zones[0], make_catalog()) == (100, 200)
    assert tank.check_paths([folder()]) == []
