"""Sets of fixtures to buy, as counts, with what they cost before a light is lit: what the search works off."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.job import Job, needed_by
from lightplan.choose.scope import Goal

#: more sets than this are not listed
MOST_SETS = 200_000
Counts = NDArray[np.int64]


def fixed_costs(job: Job, goal: Goal, counts: Counts) -> NDArray[np.float64]:
    """The part of the ownership cost that follows from the counts (sets, fixtures) alone, in the goal's weight."""
    owned = np.array([f.owned for f in job.fixtures])
    cost = np.maximum(0, counts - owned) @ job.rates.paid + counts @ _hung(job)
    return np.asarray(goal.cost_weight * (cost + extras_cost(job, counts)))


def extras_cost(job: Job, counts: Counts) -> NDArray[np.float64]:
    """Price of the extras that each set (sets, fixtures) needs; shades are not among them."""
    cost = np.zeros(len(counts))
    for extra in job.catalog.extras:
        needing = np.array([needed_by(extra, fixture) for fixture in job.fixtures])
        number = counts[:, needing].sum(axis=1)
        if extra.needed_by == "plan":
            units = np.ones(len(counts), dtype=np.int64)
        elif extra.group is not None and extra.serves is None:
            units = (number > 0).astype(np.int64)
        else:
            units = -(-number // (extra.serves or 1))
        cost += extra.price * units
    return cost


def within_limits(job: Job, goal: Goal, counts: Counts) -> NDArray[np.bool_]:
    """Which sets keep every limit that speaks of counts, but for one that the goal loosens."""
    limits, fine = job.tank.limits, np.ones(len(counts), dtype=bool)
    price = np.array([f.price for f in job.fixtures])
    owned = np.array([f.owned for f in job.fixtures])
    weight = np.array([f.weight_kg or 0.0 for f in job.fixtures])
    values = {
        "budget": np.maximum(0, counts - owned) @ price + extras_cost(job, counts),
        "load_kg": counts @ weight,
        "fixtures": counts.sum(axis=1),
        "models": (counts > 0).sum(axis=1),
    }
    for name, value in values.items():
        limit = getattr(limits, name)
        if limit is not None and goal.loosen != name:
            fine &= value <= limit + 1e-6
    return fine


def most_of_each(job: Job) -> NDArray[np.int64]:
    """The most of each fixture that could be bought at all: its own limit, and one a spot."""
    spots = np.zeros(len(job.fixtures), dtype=np.int64)
    for spot in job.candidates.spots:
        spots[spot.fixture] += not spot.placed
    caps = [spots[f] if x.max_count is None else min(spots[f], x.max_count) for f, x in enumerate(job.fixtures)]
    return np.array(caps, dtype=np.int64)


def list_sets(job: Job, goal: Goal, room: float) -> Counts | None:
    """Every set within the limits whose fixed cost is below `room`: (sets, fixtures), None where they are too many.

    Sets grow by one fixture at a time, in the catalog's order, so that each is met once; as neither the fixed cost nor
    what a limit counts ever falls when a fixture is added, a set outside has no larger set inside.
    """
    most = most_of_each(job)
    level = np.zeros((1, len(most)), dtype=np.int64)
    last = np.zeros(1, dtype=np.int64)
    found: list[Counts] = []
    total = 0
    while len(level):
        keep = within_limits(job, goal, level) & (fixed_costs(job, goal, level) < room)
        level, last = level[keep], last[keep]
        found.append(level)
        total += len(level)
        if total > MOST_SETS:
            return None
        grown, ends = [], []
        for fixture in range(len(most)):
            grows = (last <= fixture) & (level[:, fixture] < most[fixture])
            more = level[grows].copy()
            more[:, fixture] += 1
            grown.append(more)
            ends.append(np.full(len(more), fixture, dtype=np.int64))
        level, last = np.vstack(grown), np.concatenate(ends)
        if len(level) > MOST_SETS:
            return None
    return np.vstack(found)


def can_list(job: Job) -> bool:
    """True where adding a fixture never makes a set cheaper, without which sets cannot be left out by their cost."""
    return bool(np.all(job.rates.paid >= 0) and np.all(_hung(job) >= -1e-12))


def _hung(job: Job) -> NDArray[np.float64]:
    """What each fixture costs by hanging; the running cost is reckoned without the standby that light may save."""
    dimmable = np.array([f.dimmable for f in job.fixtures])
    return np.asarray(job.rates.hung + np.where(dimmable, np.minimum(0.0, job.rates.lit), 0.0))
