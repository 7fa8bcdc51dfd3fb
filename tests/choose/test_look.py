"""The look of a tank: lights of known and unknown colour mixed at a place."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import trapezoid

from lightplan.choose.look import Look, colour_map, look_at, look_difference, look_in
from lightplan.choose.par import par_at
from lightplan.inputs.layout import LayoutLight
from lightplan.light.colour import chromaticity, xyz_per_umol
from lightplan.light.colour_tables import illuminant
from lightplan.light.mixing import mixed
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone

quick = settings(max_examples=12, deadline=None, derandomize=True, database=None)
TANK = make_tank(zone=[zone(), zone("deep", depth_cm=[10, 18])], tank={"attenuation_per_m": 0.5})
CHANNELS = [
    {"fixture": "Dimmer", "channel": "blue", "ppf_share": 0.7, "spectrum": "blue"},
    {"fixture": "Dimmer", "channel": "white", "ppf_share": 0.3, "spectrum": "CIE LED-B3"},
    {"fixture": "Lamp", "channel": "all", "ppf_share": 1, "spectrum": "CIE A"},
]
CATALOG = make_catalog(
    fixture(),
    fixture("Told", blue_share_pct=40),
    fixture("Lamp"),
    dimmable(),
    channels=CHANNELS,
    peaks=[{"spectrum": "blue", "peak_nm": 450, "fwhm_nm": 20, "power": 1}],
    shades=[{"shade": "mesh", "transmission": 0.5, "price": 3}],
)
POINT = [(20, 10, 10)]


def light(name: str = "Dimmer", x: float = 12, **keys: Any) -> LayoutLight:
    return LayoutLight(fixture=name, x_cm=x, y_cm=10, height_cm=15, **keys)


def look(*lights: LayoutLight, **keys: Any) -> Look:
    return look_at(TANK, CATALOG, lights, POINT, **keys)


def test_parts_are_the_channels_with_their_par() -> None:
    found = look(light("Bar"), light(shade="mesh", level_pct=50, channel_levels={"blue": 20.0}), light("Lamp", x=30))
    whole = par_at(TANK, CATALOG, [light(shade="mesh")], POINT)[0]
    assert [(part.light, part.channel, part.spectrum) for part in found.parts] == [
        (1, "all", None),
        (2, "blue", "blue"),
        (2, "white", "CIE LED-B3"),
        (3, "all", "CIE A"),
    ]
    assert found.parts[1].par == pytest.approx(0.7 * 0.2 * whole)
    assert found.parts[2].par == pytest.approx(0.3 * 0.5 * whole)
    lights = [light("Bar"), light(shade="mesh", level_pct=50, channel_levels={"blue": 20.0}), light("Lamp", x=30)]
    assert found.par == pytest.approx(par_at(TANK, CATALOG, lights, POINT)[0])
    assert found.unknown_par == found.parts[0].par
    assert found.unknown_share == pytest.approx(found.unknown_par / found.par)


def test_the_colour_is_that_of_the_mix() -> None:
    found = look(light("Lamp"), light("Lamp", x=30, level_pct=20))
    lamp = illuminant("CIE A")
    assert found.place == pytest.approx(chromaticity(xyz_per_umol(lamp)))
    assert found.temperature is not None
    assert found.temperature.kelvin == pytest.approx(2856, abs=2)
    assert found.lux == pytest.approx(found.par * xyz_per_umol(lamp)[1])
    assert found.blue_share == pytest.approx(lamp.blue_share)
    at = np.arange(400.0, 701.0, 1.0)
    assert float(trapezoid(found.curve(at), at)) == pytest.approx(found.par, rel=1e-3)
    assert found.swatches(used_to_it=True)[0].name == "white sand"


def test_what_is_unknown_of_the_blue_share_is_told() -> None:
    only_told = look(light("Told"))
    assert (only_told.blue_share, only_told.place) == (pytest.approx(0.4), None)
    assert only_told.unknown_share == pytest.approx(1)
    half = look(light("Bar"), light("Bar", x=28), light("Told", x=20))
    assert half.blue_share is None
    low, high = half.blue_range or (0, 0)
    told = half.parts[2].par
    assert low == pytest.approx(0.4 * told / half.par)
    assert high == pytest.approx((half.par - 0.6 * told) / half.par)
    assert look(light("Bar")).blue_range == (0, 1)


def test_darkness() -> None:
    for lights in ((), (light(level_pct=0),)):
        dark = look(*lights)
        assert (dark.par, dark.unknown_share, dark.blue_range, dark.blue_share) == (0, None, None, None)
        assert (dark.place, dark.temperature, dark.lux) == (None, None, 0)
        assert dark.swatches(used_to_it=False) == ()
        assert look_difference(dark, look(light())) is None
        assert look_difference(look(light()), dark) is None


@quick
@given(st.lists(st.tuples(st.sampled_from(["Dimmer", "Lamp"]), st.integers(0, 40), st.integers(5, 50)), min_size=1))
def test_doubling_every_light_changes_par_and_not_the_look(rows: list[tuple[str, int, int]]) -> None:
    once = look(*(light(name, x, level_pct=level) for name, x, level in rows))
    twice = look(*(light(name, x, level_pct=2 * level) for name, x, level in rows))
    assert twice.par == pytest.approx(2 * once.par)
    assert twice.place == pytest.approx(once.place)
    assert twice.blue_share == pytest.approx(once.blue_share)
    assert look_difference(once, twice) == pytest.approx(0, abs=1e-4)
    assert 0 <= (once.blue_share or 0) <= 1


def test_in_a_zone_it_is_the_mean_at_mid_depth() -> None:
    lights = [light(), light("Lamp", x=30)]
    found = look_in(TANK, CATALOG, lights, "deep")
    xs, ys = np.linspace(16, 24, 5), np.linspace(8, 12, 3)
    points = [(x, y, 14) for x in xs for y in ys]
    assert found.par == pytest.approx(par_at(TANK, CATALOG, lights, points).mean())
    with pytest.raises(KeyError):
        look_in(TANK, CATALOG, lights, "shelf")


def test_water_changes_colour_and_blue_share_and_not_par() -> None:
    lamps = [light("Lamp"), light(channel_levels={"blue": 10.0})]
    dry, wet = look(*lamps), look(*lamps, water=True)
    assert wet.par == dry.par
    assert wet.mix.par == pytest.approx(dry.mix.par)
    assert (wet.blue_share or 0) > (dry.blue_share or 0)
    assert (wet.place or (0, 0))[0] < (dry.place or (0, 0))[0]
    deeper = look_at(TANK, CATALOG, lamps, [(20, 10, 19)], water=True)
    assert (deeper.blue_share or 0) > (wet.blue_share or 0)
    assert (dry.in_water, wet.in_water) == (False, True)


def test_a_map_shows_where_the_colours_part() -> None:
    apart = colour_map(TANK, CATALOG, [light("Lamp", x=4), light(x=36)], 10)
    assert apart.difference.shape == apart.unknown_share.shape == (apart.y_cm.size, apart.x_cm.size)
    row = apart.difference[len(apart.y_cm) // 2]
    assert row[0] > 10
    assert row[-1] > 5
    assert row.min() < 5
    alike = colour_map(TANK, CATALOG, [light(x=4), light(x=36)], 10)
    assert alike.difference.max() == pytest.approx(0, abs=1e-3)
    assert not alike.unknown_share.any()


def test_a_map_of_lights_of_unknown_colour_has_holes() -> None:
    found = colour_map(make_tank(rock=[{"x_cm": [0, 9], "y_cm": [0, 20], "depth_cm": [5, 20]}]), CATALOG,
                       [light("Bar")], 10)  # fmt: skip
    assert np.isnan(found.difference).all()
    assert np.isnan(found.unknown_share[:, found.x_cm < 9]).all()
    assert (found.unknown_share[:, found.x_cm > 9] == 1).all()
    assert np.isnan(colour_map(TANK, CATALOG, [], 10).unknown_share).all()


def test_a_look_mixes_what_its_parts_say() -> None:
    found = look(light(), light("Lamp", x=30))
    shares = {part.spectrum: part.par for part in found.parts}
    blue = CATALOG.peaks[0].spectrum
    same = mixed(
        [(found.mix.parts[0][0], shares[blue]), (illuminant("CIE LED-B3"), shares["CIE LED-B3"]),
         (illuminant("CIE A"), shares["CIE A"])]
    )  # fmt: skip
    assert found.mix.xyz == pytest.approx(same.xyz)


def test_what_is_unknown_of_a_glimmer_is_told_too() -> None:
    bright, faint = (look(light("Bar", level_pct=level), light("Lamp", x=30, level_pct=level)) for level in (100, 0.1))
    assert faint.par < 0.5
    assert faint.unknown_share == pytest.approx(bright.unknown_share)
    assert faint.blue_range == pytest.approx(bright.blue_range)
    # of what is known nothing is left open, however faint it is
    for known in (look(light("Lamp", level_pct=0.1)), look(light("Told", level_pct=0.1))):
        assert known.par < 0.5
        low, high = known.blue_range or (0.0, 1.0)
        assert high == pytest.approx(low, abs=1e-9)
