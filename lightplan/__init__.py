"""Which lights to buy for a reef tank, where to hang them and how hard to run them.

Names are loaded when they are first asked for, so that importing the package is quick and prints nothing.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from lightplan.version import VERSION

if TYPE_CHECKING:
    from lightplan.choose.again import again
    from lightplan.choose.difference import Difference, difference
    from lightplan.choose.figures import FixtureFigures, fixture_figures
    from lightplan.choose.look import ColourMap, Look, LookPart, colour_map, look_at, look_difference, look_in
    from lightplan.choose.maps import ParMap, footprint_map, par_map
    from lightplan.choose.par import par_at
    from lightplan.choose.payback import Payback, payback
    from lightplan.choose.plan import CheckError, Plan, plan
    from lightplan.choose.plan_data import plan_from_dict, read_plan
    from lightplan.choose.running import RunningCosts, recosted, running_costs
    from lightplan.choose.solver import SolverError, Watch
    from lightplan.choose.variant import Variant, standing, vary
    from lightplan.choose.volume import ParVolume, par_volume
    from lightplan.inputs.alone import AloneReading, read_alone
    from lightplan.inputs.catalog import (
        Catalog,
        Channel,
        Coral,
        Die,
        Extra,
        Fixture,
        Shade,
        SpectrumRow,
        read_catalog,
    )
    from lightplan.inputs.checks import Inputs, read_inputs
    from lightplan.inputs.errors import InputError, Problem
    from lightplan.inputs.layout import LayoutLight, NamedPoint, read_layout, read_points
    from lightplan.inputs.meter import Hung, MeterReading, read_meter
    from lightplan.inputs.start_file import Start, read_start
    from lightplan.inputs.tank_file import read_tank, tank_problems
    from lightplan.inputs.tank_model import Tank, band_of
    from lightplan.light.channels import ChannelLight, blue_share_of, channel_lights, spectrum_named
    from lightplan.light.emitter import EmitterError
    from lightplan.light.light_check import check_paths
    from lightplan.light.screen import Swatch
    from lightplan.light.spectrum import Spectrum
    from lightplan.operate.calibrate import Calibration, calibrate
    from lightplan.operate.outcome import Retuned
    from lightplan.operate.rampup import rampup
    from lightplan.operate.rampup_calendar import RampUp
    from lightplan.operate.retune import retune
    from lightplan.operate.retune_alone import retune_alone
    from lightplan.present.report.page import report_html

__version__ = VERSION

__all__ = [
    "AloneReading",
    "Calibration",
    "Catalog",
    "Channel",
    "ChannelLight",
    "CheckError",
    "ColourMap",
    "Coral",
    "Die",
    "Difference",
    "EmitterError",
    "Extra",
    "Fixture",
    "FixtureFigures",
    "Hung",
    "InputError",
    "Inputs",
    "LayoutLight",
    "Look",
    "LookPart",
    "MeterReading",
    "NamedPoint",
    "ParMap",
    "ParVolume",
    "Payback",
    "Plan",
    "Problem",
    "RampUp",
    "Retuned",
    "RunningCosts",
    "Shade",
    "SolverError",
    "Spectrum",
    "SpectrumRow",
    "Start",
    "Swatch",
    "Tank",
    "Variant",
    "Watch",
    "__version__",
    "again",
    "band_of",
    "blue_share_of",
    "calibrate",
    "channel_lights",
    "check_paths",
    "colour_map",
    "difference",
    "fixture_figures",
    "footprint_map",
    "look_at",
    "look_difference",
    "look_in",
    "par_at",
    "par_map",
    "par_volume",
    "payback",
    "plan",
    "plan_from_dict",
    "rampup",
    "read_alone",
    "read_catalog",
    "read_inputs",
    "read_layout",
    "read_meter",
    "read_plan",
    "read_points",
    "read_start",
    "read_tank",
    "recosted",
    "report_html",
    "retune",
    "retune_alone",
    "running_costs",
    "spectrum_named",
    "standing",
    "tank_problems",
    "vary",
]

_HOME = {
    "lightplan.choose.par": ("par_at",),
    "lightplan.choose.plan": ("CheckError", "Plan", "plan"),
    "lightplan.choose.solver": ("SolverError", "Watch"),
    "lightplan.inputs.catalog": (
        "Catalog",
        "Channel",
        "Coral",
        "Die",
        "Extra",
        "Fixture",
        "Shade",
        "SpectrumRow",
        "read_catalog",
    ),
    "lightplan.inputs.checks": ("Inputs", "read_inputs"),
    "lightplan.inputs.errors": ("InputError", "Problem"),
    "lightplan.inputs.layout": ("LayoutLight", "NamedPoint", "read_layout", "read_points"),
    "lightplan.inputs.start_file": ("Start", "read_start"),
    "lightplan.operate.rampup": ("rampup",),
    "lightplan.operate.rampup_calendar": ("RampUp",),
    "lightplan.inputs.tank_file": ("read_tank", "tank_problems"),
    "lightplan.inputs.tank_model": ("Tank", "band_of"),
    "lightplan.light.channels": ("ChannelLight", "blue_share_of", "channel_lights", "spectrum_named"),
    "lightplan.light.emitter": ("EmitterError",),
    "lightplan.light.light_check": ("check_paths",),
    "lightplan.light.screen": ("Swatch",),
    "lightplan.light.spectrum": ("Spectrum",),
    "lightplan.choose.again": ("again",),
    "lightplan.choose.difference": ("Difference", "difference"),
    "lightplan.choose.figures": ("FixtureFigures", "fixture_figures"),
    "lightplan.choose.look": (
        "ColourMap",
        "Look",
        "LookPart",
        "colour_map",
        "look_at",
        "look_difference",
        "look_in",
    ),
    "lightplan.choose.maps": ("ParMap", "footprint_map", "par_map"),
    "lightplan.choose.plan_data": ("plan_from_dict", "read_plan"),
    "lightplan.choose.payback": ("Payback", "payback"),
    "lightplan.choose.running": ("RunningCosts", "recosted", "running_costs"),
    "lightplan.choose.variant": ("Variant", "standing", "vary"),
    "lightplan.choose.volume": ("ParVolume", "par_volume"),
    "lightplan.inputs.alone": ("AloneReading", "read_alone"),
    "lightplan.inputs.meter": ("Hung", "MeterReading", "read_meter"),
    "lightplan.operate.calibrate": ("Calibration", "calibrate"),
    "lightplan.operate.outcome": ("Retuned",),
    "lightplan.operate.retune": ("retune",),
    "lightplan.operate.retune_alone": ("retune_alone",),
    "lightplan.present.report.page": ("report_html",),
}
_MODULE_OF = {name: module for module, names in _HOME.items() for name in names}


def __getattr__(name: str) -> Any:
    """Load a public name from its module the first time it is asked for (PEP 562)."""
    if name not in _MODULE_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(importlib.import_module(_MODULE_OF[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
