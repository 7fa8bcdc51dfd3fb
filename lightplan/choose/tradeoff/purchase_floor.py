"""The cheapest possible purchase: how little has to be paid at once for lights that meet every wish."""

from __future__ import annotations

import dataclasses
import math
import time
from dataclasses import dataclass

import numpy as np

from lightplan.choose.cheapest import search
from lightplan.choose.exact import Beginning, Result
from lightplan.choose.job import Job, Rates, make_job
from lightplan.choose.known import Proven
from lightplan.choose.plan import Plan, plan_of
from lightplan.choose.scope import Goal
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.solving import Options, Wishes
from lightplan.inputs.errors import refuse_errors
from lightplan.inputs.tank import tank_problems


@dataclass(frozen=True)
class LeastPurchase:
    """The least that a purchase can cost, lights, extras and shades, within the gap that was asked for, and a plan that
    costs it; None where there is no plan, or where none was found in time. `proven` has what other plans can use."""

    purchase: float | None
    plan: Plan | None
    proven: tuple[Proven, ...] = ()


def least_purchase(item: tuple[Wishes, Options], watch: Watch) -> LeastPurchase:
    """Look for the cheapest purchase, whatever it costs to run: work for a crew. Raises what `plan` raises."""
    (tank, catalog), options = item
    started = time.monotonic()
    refuse_errors(tank_problems(tank, catalog, tank.box.name))
    job = make_job(tank, catalog, shared=True)
    own = Watch(min(watch.deadline, started + options.time_limit), watch.stop)
    begin = Beginning()
    found = search(_only_paid(job), Goal(), gap=options.gap, watch=own, solver=options.solver, begin=begin)
    # no bound on purchases is one on what plans cost, but witnesses that light cannot be given hold for both
    proven = (Proven(tank, catalog, -math.inf, {}, tuple(w for w in begin.witnesses if not w.priced)),)
    if found.solution is None:
        return LeastPurchase(None, None, proven)
    cheapest = plan_of(job, Result(found.outcome, found.solution, -math.inf), started)
    return LeastPurchase(found.objective, cheapest, proven)


def _only_paid(job: Job) -> Job:
    """The same job, where nothing costs but what is paid at once."""
    nothing = np.zeros(len(job.fixtures))
    price = np.array([fixture.price for fixture in job.fixtures], dtype=np.float64)
    return dataclasses.replace(job, rates=Rates(price, nothing, nothing, nothing, nothing))
