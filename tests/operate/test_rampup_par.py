"""The arrays of a ramp-up against the light of the same lights placed in the tank."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan import par_at
from lightplan.operate.rampup_lights import Setting, ramp_lights
from lightplan.operate.rampup_par import ramp_par
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone
from tests.operate.ramp_oracle import grids
from tests.operate.ramped import MESH, light, ramp_plan

CATALOG = make_catalog(dimmable(timing="built-in"), fixture(), shades=[MESH])
TANK = make_tank(
    zone=[zone(), zone("sand", x_cm=[30, 36], depth_cm=[14, 18])],
    hanging={"heights_cm": [10, 20]},
    photoperiod={"full_hours": 8, "ramp_hours": 1},
)
PLAN = ramp_plan(TANK, CATALOG, light("Dimmer", 0.5, x=10), light("Bar", x=30))


def test_light_adds_up_behind_shades_and_from_any_height():
    lights = ramp_lights(PLAN, {"mesh": 1}, None)
    par = ramp_par(TANK, CATALOG, lights)
    high = [(choice.height_cm, choice.shade) for choice in lights[1].choices].index((20, "mesh"))
    week = [Setting(0, 40, 8), Setting(high, 100, 3.25)]
    layout = [one.layout_light(setting) for one, setting in zip(lights, week, strict=True)]
    for number, wanted in enumerate(TANK.zones):
        edge, middle = grids(wanted)
        assert par.par_of(lights, week)[par.zone == number] == pytest.approx(par_at(TANK, CATALOG, layout, edge))
        # an hour of sunrise and of sunset come to one of full level, where a light has its own
        means = [par_at(TANK, CATALOG, [row], middle).mean() for row in layout]
        assert par.dli_of(lights, week)[number] == pytest.approx(0.0036 * np.dot(means, [9, 3.25]))


def test_what_is_off_brings_nothing():
    lights = ramp_lights(PLAN, {}, None)
    par = ramp_par(TANK, CATALOG, lights)
    week = [Setting(0, 0, 0), Setting(0, 0, 0)]
    assert not par.par_of(lights, week).any()
    assert not par.dli_of(lights, week).any()


def test_peaks_are_those_of_each_zone():
    lights = ramp_lights(PLAN, {}, None)
    par = ramp_par(TANK, CATALOG, lights)
    light_of = par.par_of(lights, [one.settled for one in lights])
    assert par.peaks(light_of) == pytest.approx([light_of[par.zone == number].max() for number in range(2)])
