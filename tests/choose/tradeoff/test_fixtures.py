"""What each fixture is worth over a tank, against plain trying of every place and closed forms."""

from __future__ import annotations

import dataclasses
import itertools
import math
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad  # type: ignore[import-untyped]

from lightplan.choose.par import par_at
from lightplan.choose.sample import zone_grid
from lightplan.choose.tradeoff.fixtures import Worth, fixture_worths, share_in_water
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.errors import InputError
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import Emitter
from lightplan.light.field import Source
from lightplan.light.optics import transmittance
from tests.choose.small import KWH_PER_W, dimmable, fixture, make_catalog, make_tank, zone

SAND = zone("sand", x_cm=[2, 12], y_cm=[2, 18], depth_cm=[14, 18], par=[10, 60])


def worth(tank: Tank, catalog: Catalog, name: str = "Bar") -> Worth:
    return next(w for w in fixture_worths(tank, catalog) if w.figures.fixture == name)


def means(tank: Tank, catalog: Catalog, light: LayoutLight) -> list[float]:
    """The mean PAR of each zone at mid-depth."""
    return [
        float(par_at(tank, catalog, [light], zone_grid(z, sum(z.depth_cm) / 2, tank.rocks)).mean()) for z in tank.zones
    ]


def test_best_spot_is_the_best_of_all_places() -> None:
    tank = make_tank(zone=[zone(), SAND], hanging={"step_cm": 10, "heights_cm": [10, 20], "turned": True})
    catalog = make_catalog(fixture())
    found = worth(tank, catalog)
    areas = np.array([8 * 4, 10 * 16]) / (8 * 4 + 10 * 16)
    best = (0.0, {})
    for x, turned, height in itertools.product((0, 10, 20, 30, 40), (False, True), (10, 20)):
        place = {"x_cm": x, "y_cm": 10, "height_cm": height, "turned": turned}
        par = means(tank, catalog, LayoutLight(fixture="Bar", **place))
        best = max(best, (float(areas @ par), place), key=lambda pair: pair[0])
    assert found.best is not None
    assert vars(found.best) == best[1]
    assert found.delivered_par == pytest.approx(best[0])
    assert dict(found.zones) == pytest.approx(
        dict(zip(("ledge", "sand"), means(tank, catalog, LayoutLight(fixture="Bar", **best[1])), strict=True))
    )
    assert found.price_per_par == pytest.approx(20 / best[0])


def test_figures_prices_and_power() -> None:
    tank = make_tank()
    found = worth(tank, make_catalog(fixture(price=30, standby_w=1)))
    assert (found.figures.photon_efficacy, found.figures.price_per_umol_s) == (1.5, 2.0)
    assert found.price == 30
    # 10 W for 8 hours, 1 W for 16
    assert found.energy_per_year == pytest.approx((10 * KWH_PER_W + 2 * KWH_PER_W) * 0.25)


def test_what_may_not_be_bought_is_told_too() -> None:
    tank = make_tank(control={"built_in_timing": True})
    plain = worth(make_tank(), make_catalog(fixture()))
    assert worth(tank, make_catalog(fixture(max_count=0))) == plain


def test_a_fixture_that_can_hang_nowhere() -> None:
    for tank, row in (
        (make_tank(hanging={"overhang_cm": 0}), fixture(length_cm=50)),
        (make_tank(), fixture(min_height_cm=11)),
        (make_tank(hanging={"spot_load_kg": 1}), fixture(weight_kg=2)),
        (make_tank(placed=[{"fixture": "Bar", "x_cm": 20, "y_cm": 10, "height_cm": 10}]), fixture(length_cm=40)),
    ):
        found = worth(tank, make_catalog(row))
        assert (found.best, found.zones, found.scenes) == (None, (), ())
        assert (found.delivered_par, found.price_per_par, found.share_in_water) == (None, None, None)
        assert found.figures.ppf == 15


def test_light_that_cannot_be_is_named() -> None:
    impossible = fixture("Wonder", ppf_umol_s=None, beam_angle_deg=None, par_centre=90000, at_height_cm=30)
    impossible |= {"at_depth_cm": 0, "spread_length_cm": 90, "spread_width_cm": 90}
    found = fixture_worths(make_tank(), make_catalog(fixture(), impossible))
    assert [w.figures.fixture for w in found] == ["Bar", "Wonder"]
    assert "Wonder" in found[1].figures.wrong
    assert found[1].best is None
    assert found[0].best is not None


def test_a_tank_without_zones_and_one_that_does_not_fit() -> None:
    found = worth(make_tank(zone=[]), make_catalog(fixture()))
    assert (found.zones, found.delivered_par, found.scenes) == ((), None, ("settled",))
    with pytest.raises(InputError):
        fixture_worths(make_tank(zone=[zone(par=None, coral="none such")]), make_catalog(fixture()))


# --- scenes -----------------------------------------------------------------------------------------------------------

SCENES = [{"name": "dim", "par_scale": 0.3}, {"name": "dusk", "par_scale": 0.1, "at_least": False}]


def served(tank: Tank, row: dict[str, Any], **tables: Any) -> tuple[str, ...]:
    """The scenes by plain trying: every place, height and shade, at the lowest level."""
    catalog = make_catalog(row, **tables)
    found = worth(tank, catalog, row["fixture"]).scenes
    f = catalog.fixtures[0]
    error = 1 + float(tank.margin.claims) * f.claim_error
    shades = [1.0] + [s["transmission"] for s in tables.get("shades", [])]
    weakest = f.min_level * min(shades) * error
    expected = []
    for scene, scale in (("settled", 1.0), ("dim", 0.3), ("dusk", 0.1)):
        for x, height in itertools.product((0, 20, 40), tank.hanging.heights_cm):
            light = LayoutLight(fixture=f.fixture, x_cm=x, y_cm=10, height_cm=height)
            most = [
                par_at(tank, catalog, [light], np.vstack([zone_grid(z, d) for d in z.depth_cm])).max() * weakest
                for z in tank.zones
            ]
            if all(par <= scale * z.par[1] for par, z in zip(most, tank.zones, strict=True) if z.par is not None):
                expected.append(scene)
                break
    assert found == tuple(expected)
    return found


def test_scenes_in_which_a_light_can_be_lit() -> None:
    tank = make_tank(zone=[zone(par=[40, 100]), SAND], scene=SCENES, hanging={"heights_cm": [10, 40]})
    mesh = [{"shade": "mesh", "transmission": 0.3, "price": 5}]
    assert served(tank, fixture(ppf_umol_s=50)) == ("settled",)
    assert served(tank, fixture(ppf_umol_s=58)) == ()
    assert served(tank, fixture(ppf_umol_s=50), shades=mesh) == ("settled", "dim")
    assert served(tank, dimmable(ppf_umol_s=50, min_level_pct=10)) == ("settled", "dim", "dusk")
    assert served(tank, dimmable(ppf_umol_s=50, min_level_pct=60)) == ("settled",)
    assert served(make_tank(**tank_tables(tank), margin={"claims": 1}), fixture(ppf_umol_s=50)) == ()


def tank_tables(tank: Tank) -> dict[str, Any]:
    data = tank.model_dump(by_alias=True, exclude_unset=True)
    return {name: data[name] for name in ("zone", "scene", "hanging")}


def test_mesh_may_not_lie_under_hot_tubes() -> None:
    tank = make_tank(zone=[zone(par=[40, 100])], scene=SCENES)
    mesh = [{"shade": "mesh", "transmission": 0.1, "price": 5}]
    tube = fixture(ppf_umol_s=30, lamp_months=12)
    assert worth(tank, make_catalog(tube, shades=mesh)).scenes == ()
    assert worth(tank, make_catalog(tube, shades=[mesh[0] | {"heat_ok": True}])).scenes == ("settled", "dim")


def test_too_much_light_a_day_is_too_bright() -> None:
    catalog = make_catalog(fixture(ppf_umol_s=15))
    assert worth(make_tank(zone=[zone(par=[1, 900])]), catalog).scenes == ("settled",)
    assert worth(make_tank(zone=[zone(par=[1, 900], dli=[0, 0.1])]), catalog).scenes == ()


# --- photons ----------------------------------------------------------------------------------------------------------


def source(m: float, x: float = 300, size: float = 4) -> Source:
    return Source(Emitter(ppf=50, lobes=((m, 1.0),)), x, 300, 10, size, size)


def wide(**tables: Any) -> Tank:
    return make_tank(zone=[], tank={"length_cm": 600, "width_cm": 600}, **tables)


@pytest.mark.parametrize("m", [1, 4, 20])
def test_share_in_water_over_a_wide_tank_is_what_the_surface_lets_through(m: float) -> None:
    """All photons of cos^m land inside; the closed form integrates the Fresnel transmittance over the beam."""

    def weight(a: float) -> float:
        return (m + 1) * math.cos(a) ** m * math.sin(a) * float(transmittance(a, 1.339))

    expected = quad(weight, 0, math.pi / 2)[0]
    assert share_in_water(wide(), source(m)) == pytest.approx(expected, abs=0.003)


def test_braces_cover_and_rim_take_their_part() -> None:
    whole = share_in_water(wide(), source(20))
    half = [{"x_cm": [300, 600], "y_cm": [0, 600], "transmission": 0.5}]
    assert share_in_water(wide(brace=half), source(20)) == pytest.approx(0.75 * whole, rel=0.01)
    covered = make_tank(zone=[], tank={"length_cm": 600, "width_cm": 600, "cover_transmission": 0.8})
    assert share_in_water(covered, source(20)) == pytest.approx(0.8 * whole)
    # half of a light over the edge is lost, and all of one that hangs far beside the tank
    assert share_in_water(wide(), source(20, x=0)) == pytest.approx(0.5 * whole, rel=0.01)
    assert share_in_water(wide(), source(20, x=-400)) == 0


def test_the_colour_stands_beside_where_it_is_known() -> None:
    rows = [{"fixture": "Bar", "channel": "all", "ppf_share": 1, "spectrum": "CIE LED-B3"}]
    told = fixture("Told", blue_share_pct=40)
    bar, known, plain = (found.to_dict() for found in fixture_worths(
        make_tank(), make_catalog(fixture(), told, fixture("Plain"), channels=rows)
    ))  # fmt: skip
    assert bar["spectrum_known"] is True
    assert bar["colour_temperature_k"] == pytest.approx(4103, abs=2)
    assert bar["lux_per_umol"] == pytest.approx(69.77, rel=1e-3)
    assert (known["spectrum_known"], known["blue_share"], known["duv"]) == (False, 0.4, None)
    assert (plain["blue_share"], plain["umol_per_joule_of_light"], plain["x_y"]) == (None, None, None)


def test_plain_data_has_a_name_for_every_figure() -> None:
    found = worth(make_tank(), make_catalog(fixture(price=30)))
    plain = found.to_dict()
    own = {field.name for field in dataclasses.fields(found)} - {"figures", "best", "zones", "colour", "scenes"}
    assert {name: plain[name] for name in own} == {name: getattr(found, name) for name in own}
    assert plain["scenes"] == list(found.scenes)
    assert all(name == name.lower() for name in plain)
