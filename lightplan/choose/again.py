"""The lights of an earlier plan under new wishes: the same lights at the same spots, set anew.

This is quick, for the model is small: a few spots, whole heights and shades, the full grid, all scenarios. What it
gives is checked like any plan, but says nothing of other lights.
"""

from __future__ import annotations

import time

from lightplan.choose.candidates import where
from lightplan.choose.exact import solve_exactly
from lightplan.choose.job import make_job
from lightplan.choose.plan import Plan, Proof, describe
from lightplan.choose.scope import Goal
from lightplan.choose.solver import Watch
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.errors import refuse_errors
from lightplan.inputs.tank import Tank, tank_problems

#: what setting a few lights may take, seconds
TIME_LIMIT = 2.0
#: how much dearer than the cheapest setting of these very lights the one that is found may be, as a share
GAP = 1e-4
NOT_COMPARED = (
    "These are the lights of an earlier plan, set anew; whether other lights would be cheaper was not looked at."
)


def again(old: Plan, tank: Tank, catalog: Catalog, *, time_limit: float = TIME_LIMIT) -> Plan | None:
    """The cheapest plan for other wishes that hangs bought lights of the old plan only, each at its spot.

    Heights, shades and levels are set anew, and a light that is not needed is left out. `time_limit` is in seconds.
    None where these lights cannot meet every wish, where one of them may no longer hang there, where the old plan has
    no lights to begin with, and where the time ran out. The status is "interrupted", without gap and bound, and
    `compared` is False; mixes of wrong claims are not tried. Raises InputError, EmitterError, SolverError and
    CheckError as `plan` does.
    """
    started = time.monotonic()
    bought = [light for light in old.lights if not light.placed]
    if old.status == "none" or any(not catalog.has_fixture(light.fixture) for light in bought):
        return None
    refuse_errors(tank_problems(tank, catalog, tank.box.name))
    only = {where(catalog.fixture(light.fixture), light.x_cm, light.y_cm, light.turned) for light in bought}
    # one move follows another over the same water
    job = make_job(tank, catalog, only, shared=True)
    spots = job.candidates.bought
    if len(spots) < len(only):
        return None
    result = solve_exactly(job, Goal(), spots, gap=GAP, watch=Watch(started + time_limit))
    if result.solution is None or result.outcome != "optimal":
        return None
    proof = Proof("interrupted", warnings=(NOT_COMPARED,), compared=False)
    return describe(job, result.solution, started, proof)
