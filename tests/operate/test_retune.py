"""Lights over a tank set anew: what is met is met on the grid, by the meter or by the claims; and what would do."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.choose.par import par_at
from lightplan.choose.sample import edge_grid
from lightplan.inputs.catalog import Catalog, Channel, Die
from lightplan.inputs.errors import InputError
from lightplan.inputs.layout import LayoutLight
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


# --- channels ---------------------------------------------------------------------------------------------------------


def with_channels(*, spectra: bool = True) -> Catalog:
    """The panel has a blue and a white channel, each with a level of its own."""
    plain = catalog_of()
    fixtures = [f.model_copy(update={"dimming": "channels"}) if f.fixture == "Panel" else f for f in plain.fixtures]
    rows = [
        Channel(fixture="Panel", channel=name, ppf_share=share, spectrum=spectrum if spectra else None)
        for name, share, spectrum in (("blue", 0.4, "blue dies"), ("white", 0.6, "CIE LED-B3"))
    ]
    dies = (Die(spectrum="blue dies", peak_nm=450, fwhm_nm=20, power=1),)
    return plain.model_copy(update={"fixtures": tuple(fixtures), "channels": tuple(rows), "peaks": dies})


def bluish(level: float = 1.0) -> LayoutLight:
    """Blue at 80 %, white at 20 %, times a level: 44 % of its full output."""
    return light("Panel", 40).model_copy(update={"channel_levels": {"blue": 80.0 * level, "white": 20.0 * level}})


def test_a_light_keeps_its_colour():
    tank, catalog = tank_of(zone=[zone("a", 35, (60, 120))]), with_channels()
    found, plain = (retune(tank, catalog, (one,)) for one in (bluish(0.5), light("Panel", 40)))
    (row,) = found.levels
    assert row.before == pytest.approx(0.22)
    assert row.level == pytest.approx(plain.levels[0].level, abs=0.011)
    assert row.levels["blue"] == pytest.approx(4 * row.levels["white"], abs=0.021)
    assert row.level == pytest.approx(0.4 * row.levels["blue"] + 0.6 * row.levels["white"])
    assert found.met
    assert found.keeps_colour
    assert not plain.keeps_colour
    assert found.power_w == pytest.approx(90 * row.level)
    lit = par_at(tank, catalog, found.layout, edge_grid(tank.zones[0], tank.rocks))
    assert found.readings[0].par_min == pytest.approx(lit.min())
    assert found.readings[0].par_max == pytest.approx(lit.max())
    assert found.to_dict()["levels"][0]["levels"] == row.levels


def test_a_channel_at_full_is_the_end_of_it():
    """With blue four times as high as white, the light gives 55 % at most: what needs more is missed, and said so."""
    tank, catalog = tank_of(zone=[zone("a", 35, (400, 900))]), with_channels()
    found = retune(tank, catalog, (bluish(),))
    assert found.levels[0].levels == {"blue": 1.0, "white": 0.25}
    assert found.levels[0].level == pytest.approx(0.55)
    assert not found.met
    assert {miss["end"] for miss in found.to_dict()["misses"]} == {"lower"}


@pytest.mark.parametrize(
    ("blue", "spectra", "said"),
    [
        ([70, 95], True, "and these levels keep it"),
        ([10, 40], True, "do not keep in a"),
        ([10, 40], False, "over a is not known"),
        (None, True, None),
    ],
)
def test_what_becomes_of_a_blue_share_is_told(blue, spectra, said):
    scenes = [{"name": "evening", **({} if blue is None else {"blue_share_pct": blue})}]
    tank = tank_of(zone=[zone("a", 35, (60, 120))], scene=scenes)
    found = retune(tank, with_channels(spectra=spectra), (bluish(),), scene="evening")
    assert len(found.colour) == (said is not None)
    assert said is None or said in found.colour[0]
