"""Tanks: what a tank file says, and how it is read and checked."""

from __future__ import annotations

from lightplan.inputs.checks import Inputs, check_paths, read_inputs
from lightplan.inputs.tank_file import TankReading, check_tank_data, load_tank, read_tank, tank_problems
from lightplan.inputs.tank_model import Tank, band_of
from lightplan.inputs.tank_parts import Box, Brace, Hanging, Placed, Rock, Spot, Walls, Zone
from lightplan.inputs.tank_wishes import (
    Circuit,
    Control,
    Limits,
    Margin,
    Meter,
    Money,
    OwnHours,
    Photoperiod,
    Scene,
    SceneZone,
    Tariff,
)

__all__ = [
    "Box",
    "Brace",
    "Circuit",
    "Control",
    "Hanging",
    "Inputs",
    "Limits",
    "Margin",
    "Meter",
    "Money",
    "OwnHours",
    "Photoperiod",
    "Placed",
    "Rock",
    "Scene",
    "SceneZone",
    "Spot",
    "Tank",
    "TankReading",
    "Tariff",
    "Walls",
    "Zone",
    "band_of",
    "check_paths",
    "check_tank_data",
    "load_tank",
    "read_inputs",
    "read_tank",
    "tank_problems",
]
