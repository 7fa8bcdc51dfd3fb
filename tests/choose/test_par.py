"""PAR under given lights: it adds up, and it is in proportion to level, shade and output."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.par import Measured, output_share, par_at, par_of_each, source_of_light, transmission
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.layout import LayoutLight
from lightplan.light.field import influence
from tests.choose.small import dimmable, fixture, make_catalog, make_tank
from tests.inputs.photometric import steps
from tests.light.test_photometric import filed, oval

quick = settings(max_examples=8, deadline=None, derandomize=True, database=None)
TANK = make_tank(brace=[{"x_cm": [18, 22], "y_cm": [0, 20], "transmission": 0.3}])
CATALOG = make_catalog(
    fixture(), dimmable(length_cm=16, ppf_umol_s=30), shades=[{"shade": "mesh", "transmission": 0.6, "price": 3}]
)
POINTS = np.array([[20, 10, 10], [3, 4, 18], [35, 10, 0], [10, 15, 5.5]], dtype=float)


def light(name: str = "Bar", x: float = 12, y: float = 10, height: float = 15, **keys: Any) -> LayoutLight:
    return LayoutLight(fixture=name, x_cm=x, y_cm=y, height_cm=height, **keys)


def par(*lights: LayoutLight) -> np.ndarray:
    return par_at(TANK, CATALOG, lights, POINTS)


lights = st.builds(
    light,
    st.sampled_from(["Bar", "Dimmer"]),
    st.integers(0, 40),
    st.integers(0, 20),
    st.sampled_from([8, 15, 30]),
    turned=st.booleans(),
    level_pct=st.integers(0, 100),
    shade=st.sampled_from([None, "mesh"]),
)


@quick
@given(st.lists(lights, min_size=1, max_size=5))
def test_light_adds_up(layout: list[LayoutLight]) -> None:
    alone = [par(one) for one in layout]
    assert par(*layout) == pytest.approx(np.sum(alone, axis=0), rel=1e-9, abs=1e-12)
    assert par_of_each(TANK, CATALOG, layout, POINTS) == pytest.approx(np.array(alone).T, rel=1e-9, abs=1e-12)


def test_light_is_in_proportion_to_the_level() -> None:
    assert par(light(level_pct=30)) == pytest.approx(0.3 * par(light()))
    assert par(light(level_pct=0)).tolist() == [0, 0, 0, 0]


def test_channels_add_up_to_the_light() -> None:
    channels = [
        {"fixture": "Dimmer", "channel": "blue", "ppf_share": 0.7},
        {"fixture": "Dimmer", "channel": "white", "ppf_share": 0.3},
    ]
    catalog = CATALOG.model_copy(update={"channels": make_catalog(dimmable(), channels=channels).channels})
    for levels, share in (({}, 0.5), ({"blue": 100.0}, 0.85), ({"blue": 0.0, "white": 20.0}, 0.06)):
        one = light("Dimmer", level_pct=50, channel_levels=levels)
        assert output_share(one, catalog) == pytest.approx(share)
        full = par_at(TANK, CATALOG, [light("Dimmer")], POINTS)
        assert par_at(TANK, catalog, [one], POINTS) == pytest.approx(share * full)


def test_shade_lets_its_part_through() -> None:
    assert par(light(shade="mesh", level_pct=50)) == pytest.approx(0.3 * par(light()))
    assert transmission(light(), CATALOG) == 1
    assert transmission(light(shade="mesh"), CATALOG) == 0.6


def test_full_level_is_what_the_optics_say() -> None:
    source = source_of_light(light("Dimmer", 7, 3, 30), CATALOG)
    assert (source.x_cm, source.y_cm, source.height_cm) == (7, 3, 30)
    assert (source.length_cm, source.width_cm) == (16, 8)
    assert par(light("Dimmer", 7, 3, 30)) == pytest.approx(influence(TANK, [source], POINTS)[:, 0])


def test_turned_light_lies_along_the_other_side() -> None:
    source = source_of_light(light("Dimmer", turned=True), CATALOG)
    assert (source.length_cm, source.width_cm) == (8, 16)


def test_output_multiplies_the_light_of_a_fixture() -> None:
    layout = [light(), light("Dimmer")]
    plain = par_of_each(TANK, CATALOG, layout, POINTS)
    dimmed = par_of_each(TANK, CATALOG, layout, POINTS, {"Bar": 0.8})
    assert dimmed == pytest.approx(plain * [0.8, 1.0])


def test_no_lights_are_dark() -> None:
    assert par().tolist() == [0, 0, 0, 0]
    assert par_of_each(TANK, CATALOG, [], POINTS).shape == (4, 0)


def test_placed_lights_of_the_tank_do_not_count() -> None:
    placed = [{"fixture": "Bar", "x_cm": 20, "y_cm": 10, "height_cm": 10}]
    assert par_at(make_tank(placed=placed), CATALOG, [], POINTS).tolist() == [0, 0, 0, 0]


def test_points_may_be_any_rows_of_three_numbers() -> None:
    assert par_at(TANK, CATALOG, [light()], [[20, 10, 10]]) == pytest.approx(par(light())[:1])
    assert par_at(TANK, CATALOG, [light()], []).shape == (0,)


def test_depth_nought_is_in_air() -> None:
    # between the two depths lies what the surface reflects, and no water to speak of
    tank = make_tank(tank={"attenuation_per_m": 9})
    in_air, in_water = par_at(tank, CATALOG, [light(x=20)], [[20, 10, 0], [20, 10, 0.001]])
    assert in_air > in_water > 0.9 * in_air


@pytest.mark.parametrize(("row", "missing"), [(light("Nothing"), "Nothing"), (light(shade="veil"), "veil")])
def test_what_the_catalog_lacks_is_named(row: LayoutLight, missing: str) -> None:
    with pytest.raises(KeyError, match=missing):
        par(row)


def test_light_that_is_worked_out_once_is_the_same_light() -> None:
    one, other = light("Bar", 7, 3), light("Dimmer", 20, 10, shade="mesh", level_pct=40)
    measured = Measured(TANK, CATALOG, [one, other, one.model_copy(update={"level_pct": 10.0})])
    full = [row.model_copy(update={"level_pct": 100.0}) for row in (other, one, other)]
    measured.look_ahead([POINTS[1:], POINTS[:1]])
    for points in (POINTS, POINTS[:2], POINTS, POINTS[1:], POINTS[:1]):
        assert measured.full(full, points) == pytest.approx(par_of_each(TANK, CATALOG, full, points), rel=1e-9)
    assert measured.full([], POINTS).shape == (4, 0)
    with pytest.raises(KeyError):
        measured.full([light("Bar", 8, 3)], POINTS)


def test_an_oval_light_is_turned_with_its_body() -> None:
    """Turned by a quarter over a square tank, it lights the points turned by a quarter."""
    lamp = filed(oval, tuple(steps(15, 90.0)))
    square = make_tank(tank={"length_cm": 60, "width_cm": 60, "depth_cm": 40}, zone=[])
    catalog = Catalog(fixtures=(lamp,))
    points = np.array([[45.0, 30.0, 20.0], [30.0, 50.0, 20.0], [40.0, 22.0, 10.0]])
    quarter = points[:, [1, 0, 2]]
    along, turned = (
        [LayoutLight(fixture=lamp.fixture, x_cm=30, y_cm=30, height_cm=20, turned=how)] for how in (False, True)
    )
    par = par_at(square, catalog, along, points)
    assert par_at(square, catalog, turned, quarter) == pytest.approx(par, rel=1e-6)
    assert par_at(square, catalog, turned, points) != pytest.approx(par, rel=1e-2)
