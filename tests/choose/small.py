"""Tiny tanks and catalogs, most with light that is known by hand, so that each rule can be seen at work alone."""

from __future__ import annotations

import dataclasses
import random
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.candidates import Spot
from lightplan.choose.exact import Result, Solution, solve_exactly
from lightplan.choose.job import Job, make_job
from lightplan.choose.model import build, highest_levels
from lightplan.choose.scope import Built, Goal, Scope
from lightplan.choose.solver import Watch
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank

Array = NDArray[np.float64]
Data = dict[str, Any]
#: (fixture's name, spot, hanging height in cm, points) -> PAR at full level, one number or one a point
Light = Callable[[str, Spot, float, Array], float | Array]

#: kWh a year of one W at full level, 8 hours a day
KWH_PER_W = 8 * 365 / 1000


def zone(name: str = "ledge", **keys: Any) -> Data:
    """A zone in the middle of the tank, 8 x 4 cm, 10 cm deep, that wants 80 to 120."""
    return {"name": name, "x_cm": [16, 24], "y_cm": [8, 12], "depth_cm": 10, "par": [80, 120]} | keys


def make_tank(**tables: Any) -> Tank:
    """A tank of 40 x 20 x 20 cm with three spots (x 0, 20, 40) at one height; claims are believed, power costs 0.25."""
    data: Data = {
        "tank": {"length_cm": 40, "width_cm": 20, "depth_cm": 20},
        "zone": [zone()],
        "hanging": {"step_cm": 20, "heights_cm": [10]},
        "tariff": [{"price_per_kwh": 0.25}],
        "money": {"years": 5, "discount_rate": 0},
        "margin": {"claims": False},
    }
    for name, table in tables.items():
        merge = isinstance(table, dict) and name in data
        data[name] = {**data[name], **table} if merge else table
    return Tank.model_validate(data)


def fixture(name: str = "Bar", **columns: Any) -> Data:
    """A bar of 10 x 8 cm for 20 money that draws 10 W and is fixed-output."""
    row = {"fixture": name, "price": 20, "power_w": 10, "length_cm": 10, "width_cm": 8}
    return row | {"ppf_umol_s": 15, "beam_angle_deg": 120} | columns


def dimmable(name: str = "Dimmer", **columns: Any) -> Data:
    """The same bar with a level that can be set."""
    return fixture(name, **({"dimming": "whole"} | columns))


def make_catalog(*fixtures: Data, **tables: Any) -> Catalog:
    """A catalog of these fixtures (one bar where none is given), and other tables by name."""
    return Catalog.model_validate({"fixtures": list(fixtures or [fixture()]), **tables})


class KnownLight:
    """Stands where the optics stand: the PAR of every hanging at every point is given."""

    def __init__(self, job: Job, light: Light) -> None:
        candidates = job.candidates
        self.known = np.zeros(0, dtype=np.intp)
        self._zones = [job.sample.middle_zone == zone for zone in range(len(job.tank.zones))]
        self._par, self._middle = (
            _columns(
                [
                    light(job.fixtures[candidates.spots[k].fixture].fixture, candidates.spots[k], float(height), points)
                    for k, height in zip(candidates.hanging_spot, candidates.hanging_height, strict=True)
                ],
                len(points),
            )
            for points in (job.sample.points, job.sample.middle)
        )

    def rows(self, points: NDArray[np.intp]) -> Array:
        self.known = np.union1d(self.known, points)
        return self._par[points]

    def some(self, points: NDArray[np.intp], hangings: NDArray[np.intp]) -> Array:
        return self.columns(hangings)[points]

    def columns(self, hangings: NDArray[np.intp]) -> Array:
        return self._par[:, hangings]

    def middle_means(self, hangings: NDArray[np.intp]) -> Array:
        means = [self._middle[inside].mean(axis=0) for inside in self._zones]
        return np.array(means).reshape(len(means), -1)[:, hangings]


def _columns(values: Sequence[float | Array], points: int) -> Array:
    return np.array([np.broadcast_to(v, points) for v in values], dtype=np.float64).reshape(len(values), points).T


def lit_job(tank: Tank, catalog: Catalog, light: Mapping[str, float] | Light) -> Job:
    """A job whose lights give a known PAR at full level: the same everywhere, by their names, or what `light` says."""
    job = make_job(tank, catalog)
    by_rule: Light = (lambda name, _spot, _height, _points: light[name]) if isinstance(light, Mapping) else light
    known: Any = KnownLight(job, by_rule)
    return dataclasses.replace(job, reach=known)


def best(job: Job, goal: Goal | None = None) -> Result:
    """The best that the whole model has to offer."""
    return solve_exactly(job, goal or Goal(), job.candidates.bought, gap=0.0, watch=Watch())


def solution_of(job: Job, goal: Goal | None = None) -> Solution:
    """The best solution of the whole model, where there is one."""
    found = best(job, goal).solution
    assert found is not None
    return found


def cost(tank: Tank, catalog: Catalog, light: Mapping[str, float] | Light) -> float:
    """The least ownership cost, inf where nothing meets every wish."""
    return best(lit_job(tank, catalog, light)).objective


def bought(job: Job, solution: Solution) -> dict[str, int]:
    """How many of each fixture a solution buys."""
    names = [job.fixtures[job.candidates.spots[k].fixture].fixture for k in solution.spots]
    return {name: names.count(name) for name in dict.fromkeys(names)}


def levels(job: Job, solution: Solution, setting: int = 0) -> list[float]:
    """The levels of the lights that are lit in a setting, rising."""
    return sorted(level for _, level in solution.lit[setting].values())


def heights(job: Job, solution: Solution, setting: int = 0) -> dict[int, float]:
    """The hanging height of each spot that is lit in a setting."""
    of = job.candidates.hanging_height[job.candidates.choice_hanging]
    return {spot: float(of[choice]) for spot, (choice, _) in solution.lit[setting].items()}


def shades(job: Job, solution: Solution, setting: int = 0) -> dict[int, int]:
    """The number of the shade (-1: none) under each spot that is lit in a setting."""
    return {spot: int(job.candidates.choice_shade[choice]) for spot, (choice, _) in solution.lit[setting].items()}


def built_of(
    job: Job, goal: Goal | None = None, *, exact: bool = True, scenarios: frozenset[int] | None = None
) -> Built:
    """The model over all spots, without band rows."""
    whole = np.full(len(job.candidates.spots), exact)
    return build(job, Scope(job.candidates.bought, whole, scenarios=scenarios), goal or Goal(), tops(job, goal))


def tops(job: Job, goal: Goal | None = None) -> Array:
    """The highest level of every choice in every setting, by the light at all points."""
    every = np.arange(len(job.candidates.choice_hanging))
    points = np.arange(len(job.sample.points))
    par = job.reach.columns(job.candidates.choice_hanging) * job.candidates.choice_pass
    return highest_levels(job, goal or Goal(), every, points, par)


def lights(n: int) -> float:
    """What so many plain bars cost, lit at full level."""
    return n * (20 + 5 * 10 * KWH_PER_W * 0.25)


def running(watts: float) -> float:
    """What so many watts in "settled" cost over the years."""
    return 5 * watts * KWH_PER_W * 0.25


def random_job(chance: random.Random) -> Job:
    """A small job of any kind under random light: uneven over the zone, over spots and over heights."""
    kinds = [_random_fixture(chance, name) for name in ("Ash", "Birch", "Cedar")[: chance.choice([1, 2, 2, 3])]]
    tables: Data = {"scene": _random_scenes(chance), "margin": {"claims": chance.random() < 0.4}}
    tables["margin"]["ageing"] = chance.random() < 0.2
    tables["meter"] = {"available": chance.random() < 0.7}
    tables["hanging"] = {"heights_cm": chance.choice([[10], [10, 20]]), "mirrored": chance.random() < 0.2}
    if chance.random() < 0.3:
        tables["placed"] = [{"fixture": "Ash", "x_cm": chance.choice([8, 20]), "y_cm": 2, "heights_cm": [10, 30]}]
    if chance.random() < 0.3:
        tables["control"] = {"dimmable_share": chance.choice([0.2, 0.6])}
    tables["limits"] = chance.choice([{}, {}, {"budget": 70}, {"fixtures": 2}, {"models": 1}, {"power_w": 25}])
    tables["money"] = {"years": chance.choice([1, 5]), "discount_rate": 0.03}
    low = chance.choice([30, 60, 90])
    tables["zone"] = [zone(x_cm=[16, 20], par=[low, low * chance.choice([1.3, 2, 3])])]
    if chance.random() < 0.4:
        tables["zone"].append(zone("sand", x_cm=[30, 34], y_cm=[8, 10], par=[0, 150]))
    if chance.random() < 0.2:
        tables["zone"][0]["dli"] = [round(0.0036 * 8 * low * chance.choice([0.8, 1.5]), 2), 20]
    extras = [
        {"extra": "timer", "price": 9, "needed_by": "timing:none", "serves": 2},
        {"extra": "rental", "price": 4, "needed_by": "plan"},
    ]
    mesh = {"shade": "mesh", "transmission": chance.choice([0.4, 0.7]), "price": 3}
    catalog = make_catalog(*kinds, extras=extras, shades=[mesh] if chance.random() < 0.4 else [])
    seed = chance.randint(0, 10**6)

    def light(name: str, spot: Spot, height: float, points: Array) -> Array:
        own = random.Random(f"{seed} {name} {spot.x} {spot.y} {height}")
        tilt = own.uniform(-0.2, 0.2) * (points[:, 0] - 18) / 4 + own.uniform(-0.1, 0.1) * (points[:, 1] - 10) / 2
        return own.choice([15, 35, 60, 110]) * own.uniform(0.8, 1.2) * 10 / height * np.clip(1 + tilt, 0.1, None)

    return lit_job(make_tank(**tables), catalog, light)


def _random_fixture(chance: random.Random, name: str) -> Data:
    row = fixture(name, price=chance.choice([15, 24, 40]), power_w=chance.choice([10, 18]))
    row |= chance.choice([{}, {"dimming": "whole", "min_level_pct": chance.choice([0, 10, 40])}])
    row |= chance.choice([{}, {"hang": "rigid"}, {"timing": "built-in"}, {"max_count": 1}, {"owned": 1}])
    row |= chance.choice([{}, {"life_years": 2}, {"standby_w": 1}, {"resale_pct": 30}, {"l70_hours": 20000}])
    return row


def _random_scenes(chance: random.Random) -> list[Data]:
    if chance.random() < 0.5:
        return []
    scene: Data = {"name": "dusk", "par_scale": chance.choice([0.4, 0.7])}
    return [scene | {"at_least": chance.random() < 0.6, "rehang": chance.random() < 0.6}]


def soft_everywhere(job: Job) -> Goal:
    """Every PAR band may be missed, at the price of its share."""
    cells = len(job.scenarios.items) * len(job.tank.zones)
    soft = np.full((len(job.scenarios.items), len(job.tank.zones), 4), -1, dtype=np.intp)
    soft[:, :, :2] = np.arange(cells).reshape(len(job.scenarios.items), len(job.tank.zones))[:, :, None]
    return Goal(cost_weight=0.0, soft=soft, slacks=cells)


def job_of_many_kinds(chance: random.Random) -> Job:
    """Even light from up to five kinds of fixture, some cheap to buy, some cheap to run, some hard to light at all."""
    kinds, par = [], {}
    for name in ("Ash", "Birch", "Cedar", "Fir", "Oak")[: chance.choice([3, 4, 5])]:
        par[name] = float(chance.choice([30, 45, 60, 80, 100, 130]))
        row = fixture(name, price=chance.choice([5, 10, 20, 40, 60]), power_w=chance.choice([4, 8, 12, 20, 40]))
        row |= {"dimming": chance.choice(["none", "whole"]), "min_level_pct": chance.choice([10, 60, 90])}
        kinds.append(row | {"max_count": chance.choice([1, 2, None]), "length_cm": 6, "ppf_umol_s": 5})
    scenes = chance.choice([[], [{"name": "dusk", "par_scale": chance.choice([0.2, 0.5])}]])
    hanging = {"step_cm": chance.choice([10, 20])}
    tank = make_tank(scene=scenes, hanging=hanging, zone=[zone(par=[80, chance.choice([90, 120])])])
    return lit_job(tank, make_catalog(*kinds), par)
