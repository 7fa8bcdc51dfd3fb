"""The check of a plan over the full grid, apart from the model."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from lightplan.choose.par import par_at
from lightplan.choose.sample import zone_grid
from lightplan.choose.verify import TOLERANCE, Band, ZoneLight, zone_light
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone

CATALOG = make_catalog(fixture(), dimmable(), fixture("Clock", timing="built-in"))
ANY = Band(0.0, math.inf)


def light(name: str = "Bar", x: float = 20, **keys: Any) -> LayoutLight:
    return LayoutLight(fixture=name, x_cm=x, y_cm=10, height_cm=10, **keys)


def measured(tank: Tank, *lights: LayoutLight, band: Band = ANY, output: dict[str, float] | None = None) -> ZoneLight:
    return zone_light(tank, CATALOG, tank.zones[0], lights, band, output)


DEEP = make_tank(zone=[zone(depth_cm=[4, 15])])


def par_over(tank: Tank, depth: float, *lights: LayoutLight) -> np.ndarray:
    return par_at(tank, CATALOG, lights, zone_grid(tank.zones[0], depth, tank.rocks))


# --- figures ----------------------------------------------------------------------------------------------------------


def test_ends_are_over_top_and_bottom_and_the_mean_at_mid_depth() -> None:
    lights = [light(x=15), light("Dimmer", level_pct=60)]
    found = measured(DEEP, *lights)
    top, bottom, middle = (par_over(DEEP, depth, *lights) for depth in (4, 15, 9.5))
    assert found.par_max == pytest.approx(max(top.max(), bottom.max()), rel=1e-9)
    assert found.par_min == pytest.approx(min(top.min(), bottom.min()), rel=1e-9)
    assert found.par_mean == pytest.approx(middle.mean(), rel=1e-9)


def test_daily_light_is_reckoned_with_the_hours_of_each_light() -> None:
    tank = make_tank(photoperiod={"full_hours": 6, "ramp_hours": 2})
    plain, timed = (par_over(tank, 10, one).mean() for one in (light(), light("Clock")))
    assert measured(tank, light(), light("Clock")).dli_mean == pytest.approx(0.0036 * (6 * plain + 8 * timed))


def test_dimmable_share_is_of_the_mean() -> None:
    lights = [light(), light("Dimmer", x=5, level_pct=60)]
    parts = [par_over(DEEP, 9.5, one).mean() for one in lights]
    assert measured(DEEP, *lights).dimmable_share == pytest.approx(parts[1] / sum(parts), rel=1e-9)
    assert measured(DEEP, light("Dimmer")).dimmable_share == pytest.approx(1)


def test_no_share_in_the_dark() -> None:
    found = measured(DEEP, light(level_pct=0))
    assert (found.par_min, found.par_mean, found.par_max, found.dimmable_share) == (0, 0, 0, None)
    assert measured(DEEP).dimmable_share is None


def test_wrong_claims_change_the_light_of_their_fixture() -> None:
    lights = [light(), light("Dimmer")]
    plain, less = measured(DEEP, *lights), measured(DEEP, *lights, output={"Bar": 0.5})
    share = plain.dimmable_share
    assert share is not None
    assert less.par_mean == pytest.approx(plain.par_mean * (share + 0.5 * (1 - share)))


def test_points_inside_a_rock_do_not_count() -> None:
    rock = {"x_cm": [15, 25], "y_cm": [7, 11], "depth_cm": [8, 18]}
    tank = make_tank(rock=[rock])
    found = measured(tank, light())
    left = par_over(tank, 10, light())
    assert len(left) == 5
    assert found.par_max == pytest.approx(left.max())


def test_top_and_bottom_stand_for_a_mid_depth_that_a_rock_fills() -> None:
    tank = make_tank(zone=[zone(depth_cm=[4, 15])], rock=[{"x_cm": [1, 39], "y_cm": [1, 19], "depth_cm": [5, 14]}])
    edges = np.concatenate([par_over(tank, 4, light()), par_over(tank, 15, light())])
    assert measured(tank, light()).par_mean == pytest.approx(edges.mean())


# --- misses -----------------------------------------------------------------------------------------------------------


def test_zone_that_is_too_dark_is_caught() -> None:
    least = measured(DEEP, light()).par_min
    found = measured(DEEP, light(), band=Band(least * 1.25, 9999))
    assert not found.met
    ((end, wanted, got, miss),) = found.misses
    assert (end, wanted, got) == ("lower", pytest.approx(least * 1.25), pytest.approx(least))
    assert miss == pytest.approx(0.2)


def test_zone_that_is_too_bright_is_caught() -> None:
    most = measured(DEEP, light()).par_max
    found = measured(DEEP, light(), band=Band(0, most / 1.25))
    assert not found.met
    assert [(end, pytest.approx(miss)) for end, _, _, miss in found.misses] == [("upper", 0.25)]


def test_both_ends_may_be_missed() -> None:
    plain = measured(DEEP, light())
    middle = (plain.par_min + plain.par_max) / 2
    found = measured(DEEP, light(), band=Band(middle, middle))
    assert [end for end, *_ in found.misses] == ["lower", "upper"]


@pytest.mark.parametrize(("end", "share"), [("DLI lower", 0.5), ("DLI upper", 1.0)])
def test_daily_light_is_checked_too(end: str, share: float) -> None:
    found = measured(make_tank(), light())
    least, most = (0.0036 * 8 * par for par in (found.par_min, found.par_max))
    bands = {"DLI lower": Band(0, 9999, least / 0.5, 99), "DLI upper": Band(0, 9999, 0, most / 2)}
    missed = measured(make_tank(), light(), band=bands[end])
    assert [(name, pytest.approx(miss)) for name, _, _, miss in missed.misses] == [(end, share)]
    assert not missed.met


def test_tolerance_is_half_a_percent() -> None:
    assert TOLERANCE == 0.005
    least = measured(DEEP, light()).par_min
    assert measured(DEEP, light(), band=Band(least / 0.996, 9999)).met
    assert not measured(DEEP, light(), band=Band(least / 0.994, 9999)).met
    most = measured(DEEP, light()).par_max
    assert measured(DEEP, light(), band=Band(0, most / 1.004)).met
    assert not measured(DEEP, light(), band=Band(0, most / 1.006)).met


def test_band_that_is_kept_has_no_misses() -> None:
    plain = measured(DEEP, light())
    found = measured(DEEP, light(), band=Band(plain.par_min, plain.par_max, 0, math.inf))
    assert found.misses == ()
    assert found.met


def test_lower_end_of_nought_is_kept_in_the_dark() -> None:
    assert measured(DEEP, band=Band(0, 50)).met
    assert not measured(DEEP, band=Band(1, 50)).met


# --- blue share -------------------------------------------------------------------------------------------------------

COLOURED = make_catalog(
    fixture("Known", blue_share_pct=20),
    fixture("Unknown"),
    dimmable("Tunable", dimming="channels"),
    peaks=[
        {"spectrum": "blue dies", "peak_nm": 450, "fwhm_nm": 10, "power": 1},
        {"spectrum": "red dies", "peak_nm": 650, "fwhm_nm": 10, "power": 1},
    ],
    channels=[
        {"fixture": "Tunable", "channel": "blue", "ppf_share": 0.4, "spectrum": "blue dies"},
        {"fixture": "Tunable", "channel": "red", "ppf_share": 0.6, "spectrum": "red dies"},
    ],
)


def coloured(*lights: LayoutLight, band: Band = ANY, output: dict[str, float] | None = None) -> ZoneLight:
    return zone_light(DEEP, COLOURED, DEEP.zones[0], lights, band, output)


def tunable(blue: float, red: float) -> LayoutLight:
    return light("Tunable", x=5, channel_levels={"blue": blue, "red": red})


def test_blue_share_is_that_of_the_mean() -> None:
    assert coloured(light("Known")).blue_share == pytest.approx(0.2)
    assert coloured(tunable(50, 50)).blue_share == pytest.approx(0.4, abs=1e-4)
    assert coloured(light("Tunable", level_pct=30)).blue_share == pytest.approx(0.4, abs=1e-4)
    assert coloured(tunable(75, 50)).blue_share == pytest.approx(0.5, abs=1e-4)
    parts = [par_at(DEEP, COLOURED, [one], zone_grid(DEEP.zones[0], 9.5)).mean() for one in LIT]
    assert coloured(*LIT).blue_share == pytest.approx((0.2 * parts[0] + parts[1]) / sum(parts), abs=1e-4)
    # claims change what each brings
    share = coloured(*LIT, output={"Known": 0.5}).blue_share
    assert share == pytest.approx((0.1 * parts[0] + parts[1]) / (0.5 * parts[0] + parts[1]), abs=1e-4)


LIT = [light("Known"), tunable(100, 0)]


def test_blue_share_is_not_known_where_that_of_a_light_is_not() -> None:
    assert coloured(light("Unknown"), light("Known", x=5)).blue_share is None
    assert coloured(light("Unknown", level_pct=0), light("Known", x=5)).blue_share == pytest.approx(0.2)
    assert coloured().blue_share is None


@pytest.mark.parametrize(
    ("band", "ends"),
    [
        ((0.2, 0.2), []),
        ((0.201, 1.0), []),
        ((0.202, 1.0), ["blue lower"]),
        ((0.3, 1.0), ["blue lower"]),
        ((0.0, 0.199), ["blue upper"]),
        ((0.0, 0.1), ["blue upper"]),
    ],
)
def test_blue_share_outside_what_is_asked_for_is_missed(band: tuple[float, float], ends: list[str]) -> None:
    found = coloured(light("Known"), band=Band(0.0, 1000.0, blue_low=band[0], blue_high=band[1]))
    missed = [miss for miss in found.misses if miss[3] > TOLERANCE]
    assert [end for end, *_ in missed] == ends
    assert found.met == (not ends)
    for end, wanted, got, miss in missed:
        assert wanted == (band[0] if end == "blue lower" else band[1])
        assert got == pytest.approx(0.2)
        assert miss == pytest.approx(abs(wanted - got) / wanted)


def test_unknown_light_is_missed_at_both_ends() -> None:
    for band in ({"blue_low": 0.1}, {"blue_high": 0.9}):
        assert not coloured(light("Unknown"), band=Band(0.0, math.inf, **band)).met
    assert coloured(light("Unknown"), band=Band(0.0, math.inf)).met


def test_the_worst_point_counts_and_the_dark_has_no_colour() -> None:
    mixed = coloured(*LIT, band=Band(0.0, 1000.0, blue_high=0.0))
    ((_, _, got, miss),) = mixed.misses
    edges = np.vstack([zone_grid(DEEP.zones[0], depth) for depth in (4, 15)])
    parts = [par_at(DEEP, COLOURED, [one], edges) for one in LIT]
    share = (0.2 * parts[0] + parts[1]) / (parts[0] + parts[1])
    assert got == pytest.approx(share.max(), abs=1e-4)
    assert miss == pytest.approx(share.max() / 0.01, rel=1e-3)
    assert coloured(band=Band(0.0, 1000.0, blue_low=0.5, blue_high=0.5)).met
