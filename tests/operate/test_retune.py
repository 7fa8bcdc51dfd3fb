"""Lights over a tank set anew: what is met is met on the grid, by the meter or by the claims; and what would do."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.choose.par import par_at
from lightplan.choose.sample import edge_grid
from lightplan.inputs.errors import InputError
from lightplan.inputs.meter import MeterReading
from lightplan.light.emitter import fit_emitter
from lightplan.light.field import Source, influence
from lightplan.operate.retune import retune
from tests.operate.surveyed import Way, catalog_of, light, random_case, tank_of


def zone(name: str, x: float, par: tuple[float, float], depth: float = 20.0, **more: object) -> dict[str, object]:
    return {"name": name, "x_cm": [x, x + 10], "y_cm": [20, 30], "depth_cm": depth, "par": list(par), **more}


def on_the_grid(tank, catalog, found, factors) -> dict[str, tuple[float, float]]:
    """Lowest and highest PAR of each zone under the new levels, from the light alone: nothing of retune is used."""
    out = {}
    for place in tank.zones:
        grid = edge_grid(place, tank.rocks)
        total = np.zeros(len(grid))
        for row, hung, factor in zip(found.levels, found.layout, factors, strict=True):
            model = catalog.fixture(hung.fixture)
            source = Source(fit_emitter(model), hung.x_cm, hung.y_cm, hung.height_cm, model.length_cm, model.width_cm)
            total += influence(tank, [source], grid)[:, 0] * factor * row.level
        out[place.name] = float(total.min()), float(total.max())
    return out


@pytest.mark.parametrize("seed", range(8))
def test_what_is_said_to_be_met_is_met_on_the_grid(seed):
    chance = np.random.default_rng(seed)
    case = random_case(chance, Way(points=8, depths=(20.0,), noise=0.02, misread=0.0))
    zones = []
    for number in range(int(chance.integers(1, 4))):
        low = float(chance.uniform(40, 200))
        zones.append(zone(f"z{number}", 5 + 22.0 * number, (low, low * float(chance.uniform(1.3, 2.5)))))
    tank = tank_of(zone=zones)
    found = retune(tank, case.catalog, case.layout, case.readings)
    grid = on_the_grid(tank, case.catalog, found, found.calibration.factors)
    for row in found.readings:
        low, high = grid[row.name]
        assert (row.par_min, row.par_max) == (pytest.approx(low), pytest.approx(high))
        assert row.met == (low >= 0.995 * row.wanted[0] and high <= 1.005 * row.wanted[1])
    assert found.met == all(row.met for row in found.readings)
    power = sum(case.catalog.fixture(row.fixture).power_w * row.level for row in found.levels)
    assert found.power_w == pytest.approx(power)


def test_readings_change_the_levels_in_proportion():
    """A light that gives half of its claim has to be set twice as high."""
    tank, layout = tank_of(zone=[zone("a", 35, (60, 120))]), (light("Panel", 40),)
    believed = retune(tank, catalog_of(), layout)
    where = [(36.0, 25.0), (40.0, 25.0), (44.0, 25.0), (40.0, 20.0), (40.0, 30.0)]
    full = par_at(tank, catalog_of(), layout, [(*place, 20.0) for place in where])
    rows = [
        MeterReading(point=f"p{k}", x_cm=x, y_cm=y, depth_cm=20, par=float(par) / 2)
        for k, ((x, y), par) in enumerate(zip(where, full, strict=True))
    ]
    measured = retune(tank, catalog_of(), layout, rows)
    assert believed.calibration is None
    assert measured.calibration.factors == pytest.approx((0.5,), rel=1e-3)
    # whole per cents, upwards
    assert measured.levels[0].level == pytest.approx(2 * believed.levels[0].level, abs=0.0101)
    assert [row.level_pct for row in measured.layout] == [pytest.approx(100 * measured.levels[0].level)]


def test_scenes_have_their_own_bands_and_daily_light_counts():
    scenes = [{"name": "first day", "par_scale": 0.5}]
    tank = tank_of(zone=[zone("a", 35, (100, 250))], scene=scenes)
    settled, first = (
        retune(tank, catalog_of(), (light("Panel", 40),), scene=name) for name in ("settled", "first day")
    )
    assert first.levels[0].level == pytest.approx(settled.levels[0].level / 2, abs=0.0101)
    daily = tank_of(zone=[zone("a", 35, (100, 400), dli=[6.0, 12.0])])
    found = retune(daily, catalog_of(), (light("Panel", 40),))
    # 8 hours x 0.0036 x PAR is 6 mol a day at the darkest spot
    assert found.readings[0].par_min == pytest.approx(6.0 / (8 * 0.0036), rel=0.02)


def test_what_cannot_be_met_says_what_would():
    """Too bright for an on/off bar that hangs low: higher does, and there are dimmer places."""
    tank = tank_of(zone=[zone("a", 35, (20, 90))], hanging={"heights_cm": [20, 45]})
    found = retune(tank, catalog_of(), (light("Bar", 40, height=10),))
    assert not found.met
    assert {miss["end"] for miss in found.to_dict()["misses"]} == {"lower"}
    kinds = {remedy.kind for remedy in found.remedies}
    assert {"height", "place"} <= kinds
    height = next(remedy for remedy in found.remedies if remedy.kind == "height")
    assert height.enough
    assert "raise it from 10 to" in height.text


@pytest.mark.parametrize(
    ("tank", "layout", "scene", "said"),
    [
        (tank_of(), (light("Panel", 40),), "settled", "no \\[\\[zone\\]\\]"),
        (tank_of(zone=[zone("a", 35, (20, 90))]), (), "settled", "layout has no light"),
        (tank_of(zone=[zone("a", 35, (20, 90))]), (light("Panel", 40),), "dusk", "scene 'dusk'"),
    ],
)
def test_what_cannot_be_set_is_refused(tank, layout, scene, said):
    with pytest.raises(InputError, match=said):
        retune(tank, catalog_of(), layout, scene=scene)


def test_data_have_the_agreed_keys():
    data = retune(tank_of(zone=[zone("a", 35, (60, 120))]), catalog_of(), (light("Panel", 40),)).to_dict()
    assert {"levels", "readings", "misses", "power_w"} <= data.keys()
    assert {"light": 1, "fixture": "Panel"}.items() <= data["levels"][0].items()
    assert data["readings"][0]["zone"] == "a"
