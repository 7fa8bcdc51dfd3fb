"""Which lights to buy for a reef tank, where to hang them and how hard to run them.

Names are loaded when they are first asked for, so that importing the package is quick and prints nothing.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from lightplan.version import VERSION

if TYPE_CHECKING:
    from lightplan.choose.par import par_at
    from lightplan.choose.plan import CheckError, Plan, plan
    from lightplan.choose.solver import SolverError, Watch
    from lightplan.inputs.catalog import Catalog, Coral, Extra, Fixture, Shade, read_catalog
    from lightplan.inputs.checks import Inputs, check_paths, read_inputs
    from lightplan.inputs.errors import InputError, Problem
    from lightplan.inputs.layout import LayoutLight, NamedPoint, read_layout, read_points
    from lightplan.inputs.tank_file import read_tank, tank_problems
    from lightplan.inputs.tank_model import Tank, band_of
    from lightplan.light.emitter import EmitterError

__version__ = VERSION

__all__ = [
    "Catalog",
    "CheckError",
    "Coral",
    "EmitterError",
    "Extra",
    "Fixture",
    "InputError",
    "Inputs",
    "LayoutLight",
    "NamedPoint",
    "Plan",
    "Problem",
    "Shade",
    "SolverError",
    "Tank",
    "Watch",
    "__version__",
    "band_of",
    "check_paths",
    "par_at",
    "plan",
    "read_catalog",
    "read_inputs",
    "read_layout",
    "read_points",
    "read_tank",
    "tank_problems",
]

_HOME = {
    "lightplan.choose.par": ("par_at",),
    "lightplan.choose.plan": ("CheckError", "Plan", "plan"),
    "lightplan.choose.solver": ("SolverError", "Watch"),
    "lightplan.inputs.catalog": ("Catalog", "Coral", "Extra", "Fixture", "Shade", "read_catalog"),
    "lightplan.inputs.checks": ("Inputs", "check_paths", "read_inputs"),
    "lightplan.inputs.errors": ("InputError", "Problem"),
    "lightplan.inputs.layout": ("LayoutLight", "NamedPoint", "read_layout", "read_points"),
    "lightplan.inputs.tank_file": ("read_tank", "tank_problems"),
    "lightplan.inputs.tank_model": ("Tank", "band_of"),
    "lightplan.light.emitter": ("EmitterError",),
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
