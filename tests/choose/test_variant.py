"""The trade-off sliders: where they stand, what they change, and that nothing else changes."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.job import cost_rates
from lightplan.choose.scenarios import list_scenarios
from lightplan.choose.schedule import tariff_by_minute
from lightplan.choose.variant import Variant, price_average, reach, standing, vary
from lightplan.inputs.catalog import Catalog, read_catalog
from lightplan.inputs.errors import InputError
from lightplan.inputs.tank import Tank, band_of, read_tank, tank_problems
from tests.choose.small import Data, dimmable, fixture, make_catalog, make_tank, zone
from tests.choose.strategies import cases

EXAMPLE = Path(__file__).parents[2] / "catalog_example"
quick = settings(max_examples=60, deadline=None, derandomize=True, database=None)


def example() -> tuple[Tank, Catalog]:
    return read_tank(EXAMPLE / "mid_reef.toml"), read_catalog(EXAMPLE)


def moved(variant: Variant, **tables: Any) -> Tank:
    return vary(make_tank(**tables), make_catalog(), variant)[0]


def refused(variant: Variant, *fixtures: Data, **tables: Any) -> str:
    with pytest.raises(InputError) as error:
        vary(make_tank(**tables), make_catalog(*fixtures), variant)
    return str(error.value)


# --- where they stand -------------------------------------------------------------------------------------------------


def test_sliders_stand_where_the_tank_file_has_them() -> None:
    tank, catalog = example()
    start = standing(tank, catalog)
    assert (start.budget, start.dimmable_share, start.par_scale, start.claims) == (None, 0.3, 1.0, 1.0)
    assert (start.years, start.price_per_kwh, start.full_hours) == (5, pytest.approx(0.295), 8.0)
    # two lights are there to be looked at, and cannot be bought
    without = {fixture.fixture for fixture in catalog.fixtures if fixture.max_count == 0}
    assert (start.kinds, start.without) == ({"none", "whole", "channels"}, without)
    assert len(without) == 2


def test_sliders_of_a_bare_tank() -> None:
    tank = make_tank(tariff=[], limits={"budget": 90}, margin={"claims": False})
    start = standing(tank, make_catalog(fixture(max_count=0), dimmable()))
    assert (start.budget, start.dimmable_share, start.claims) == (90, 0.0, 0.0)
    assert (start.price_per_kwh, start.without) == (pytest.approx(0.30), {"Bar"})


@quick
@given(cases())
def test_nothing_changes_where_nothing_is_moved(case: Any) -> None:
    tank, catalog = case.tank, case.catalog
    for variant in (Variant(), standing(tank, catalog)):
        assert vary(tank, catalog, variant) == (tank, catalog)


@quick
@given(cases(), st.data())
def test_any_position_within_reach_gives_a_tank_that_holds_its_rules(case: Any, data: Any) -> None:
    tank, catalog = case.tank, case.catalog
    ends = reach(tank, catalog)
    values: dict[str, Any] = {
        name: data.draw(st.none() | st.sampled_from([least, most]) | st.floats(least, most))
        for name, (least, most) in ends.items()
        if name != "years"
    }
    values["years"] = data.draw(st.none() | st.integers(1, 100))
    values["kinds"] = data.draw(st.none() | st.frozensets(st.sampled_from(["none", "whole", "channels"])))
    values["without"] = data.draw(st.none() | st.frozensets(st.sampled_from([f.fixture for f in catalog.fixtures])))
    variant = Variant(**values)
    new, bought = vary(tank, catalog, variant)
    assert not [problem for problem in tank_problems(new, bought, "tank") if problem.severity == "error"]
    # what was asked for is where the sliders of the new tank stand
    there = standing(new, bought)
    for name in ("dimmable_share", "claims", "years", "full_hours", "budget"):
        wanted = getattr(variant, name)
        if wanted is not None:
            assert getattr(there, name) == wanted
    if variant.price_per_kwh is not None:
        assert there.price_per_kwh == pytest.approx(variant.price_per_kwh, rel=1e-9, abs=1e-300)
    # and the old objects are as they were
    assert (tank, catalog) == (case.tank, case.catalog)


@quick
@given(cases(), st.floats(0.5, 2))
def test_scale_multiplies_every_band_of_every_scenario(case: Any, scale: float) -> None:
    tank, catalog = case.tank, case.catalog
    new, bought = vary(tank, catalog, Variant(par_scale=scale))
    before, after = list_scenarios(tank, catalog).items, list_scenarios(new, bought).items
    for old, scaled in zip(before, after, strict=True):
        assert (old.name, old.setting) == (scaled.name, scaled.setting)
        for ends in ("low", "high", "dli_low", "dli_high"):
            np.testing.assert_allclose(getattr(scaled, ends), scale * getattr(old, ends), rtol=1e-12)
        np.testing.assert_array_equal(old.output, scaled.output)


@quick
@given(cases(), st.floats(0.01, 2))
def test_price_scales_what_power_costs_and_nothing_else(case: Any, price: float) -> None:
    tank, catalog = case.tank, case.catalog
    new, bought = vary(tank, catalog, Variant(price_per_kwh=price))
    before, after, factor = cost_rates(tank, catalog), cost_rates(new, bought), price / price_average(tank)
    np.testing.assert_allclose(after.level, before.level * factor, rtol=1e-9)
    np.testing.assert_allclose(after.standby, before.standby * factor, rtol=1e-9)
    np.testing.assert_array_equal(after.paid, before.paid)


# --- single ones ------------------------------------------------------------------------------------------------------


def test_each_slider_changes_its_own_wish() -> None:
    assert moved(Variant(budget=250)).limits.budget == 250
    assert moved(Variant(budget=math.inf), limits={"budget": 9}).limits.budget is None
    assert moved(Variant(dimmable_share=0.4)).control.dimmable_share == 0.4
    assert moved(Variant(claims=0.5)).margin.claims_factor == 0.5
    assert moved(Variant(years=9)).money.years == 9
    assert moved(Variant(full_hours=6)).photoperiod.full_hours == 6


def test_other_wishes_stay() -> None:
    tables: Data = {"limits": {"budget": 99, "fixtures": 3}, "control": {"built_in_timing": True}}
    tables["money"] = {"currency": "EUR", "discount_rate": 0.04}
    tank = moved(Variant(budget=50, dimmable_share=0.2, years=7), **tables)
    assert (tank.limits.budget, tank.limits.fixtures) == (50, 3)
    assert (tank.control.dimmable_share, tank.control.built_in_timing) == (0.2, True)
    assert (tank.money.currency, tank.money.discount_rate, tank.money.years) == ("EUR", 0.04, 7)


def test_bands_of_corals_and_of_scenes_are_scaled() -> None:
    corals = [{"coral": "leather", "par_min": 80, "par_max": 120}]
    scenes = [{"name": "dusk", "par_scale": 0.5}, {"name": "noon", "zone": {"ledge": {"par": [10, 20]}}}]
    tank = make_tank(zone=[zone(coral="leather", par=None, dli=[2, 4]), zone("sand")], scene=scenes)
    catalog = make_catalog(corals=corals)
    new, bought = vary(tank, catalog, Variant(par_scale=1.5))
    assert [band_of(z, bought) for z in new.zones] == [(120, 180), (120, 180)]
    assert new.zones[0].dli == (3, 6)
    assert new.scenes[0].par_scale == 0.5
    assert new.scenes[1].zones["ledge"].par == (15, 30)
    assert bought.corals == catalog.corals


def test_tariffs_keep_their_proportions() -> None:
    rows = [{"price_per_kwh": 0.2}, {"price_per_kwh": 0.6, "from": "18:00", "to": "00:00"}]
    tank = make_tank(tariff=rows)
    assert price_average(tank) == pytest.approx(0.3)
    new, _ = vary(tank, make_catalog(), Variant(price_per_kwh=0.6))
    assert [row.price_per_kwh for row in new.tariffs] == pytest.approx([0.4, 1.2])
    assert price_average(new) == pytest.approx(0.6)


@pytest.mark.parametrize("rows", [[], [{"price_per_kwh": 0}]])
def test_tank_without_a_price_gets_a_flat_one(rows: list[Data]) -> None:
    new = moved(Variant(price_per_kwh=0.5), tariff=rows)
    assert [(row.price_per_kwh, row.from_) for row in new.tariffs] == [(0.5, None)]
    np.testing.assert_array_equal(tariff_by_minute(new), 0.5)


def test_fixtures_with_hours_of_their_own_keep_them() -> None:
    tank = moved(Variant(full_hours=6), hours=[{"fixture": "Bar", "full_hours": 3}])
    assert (tank.photoperiod.full_hours, tank.hours[0].full_hours) == (6, 3)


def test_what_may_not_be_bought_is_in_no_shop() -> None:
    catalog = make_catalog(fixture("Ash"), dimmable("Birch", max_count=4), dimmable("Cedar", dimming="channels"))
    counts = {f.fixture: f.max_count for f in catalog.fixtures}
    assert counts == {"Ash": None, "Birch": 4, "Cedar": None}

    def left(**wishes: Any) -> dict[str, int | None]:
        _, new = vary(make_tank(), catalog, Variant(**wishes))
        assert new.fixture("Birch").price == catalog.fixture("Birch").price
        return {f.fixture: f.max_count for f in new.fixtures}

    assert left(kinds=frozenset({"whole"})) == {"Ash": 0, "Birch": 4, "Cedar": 0}
    assert left(kinds=frozenset()) == {"Ash": 0, "Birch": 0, "Cedar": 0}
    assert left(without=frozenset({"Ash"})) == {"Ash": 0, "Birch": 4, "Cedar": None}
    assert left(without=frozenset({"unheard of"})) == counts
    assert left(kinds=frozenset({"none", "whole"}), without=frozenset({"Ash"})) == {"Ash": 0, "Birch": 4, "Cedar": 0}


# --- out of reach -----------------------------------------------------------------------------------------------------


def test_all_values_out_of_reach_are_told_at_once() -> None:
    text = refused(Variant(budget=-1, dimmable_share=1.1, par_scale=0, claims=math.nan, years=0, price_per_kwh=-0.1,
                           full_hours=24.5, kinds=frozenset({"some"})))  # fmt: skip
    assert len(text.splitlines()) == 8
    assert "years is 0: needs a whole number from 1 to 100" in text
    assert "kinds has 'some': needs some of channels, none, whole" in text


def test_claims_reach_as_far_as_every_light_gives_something() -> None:
    bar = fixture(claim_error_pct=50)
    assert "claims is 2: needs a number from 0 to 2" in refused(Variant(claims=2), bar)
    tank, _ = vary(make_tank(), make_catalog(bar), Variant(claims=1.9999))
    assert tank.margin.claims == 1.9999


def test_bands_reach_as_far_as_a_tank_file_may_ask() -> None:
    tank, catalog = make_tank(zone=[zone(par=[80, 50_000])]), make_catalog()
    assert reach(tank, catalog)["par_scale"][1] == pytest.approx(2)
    assert "par_scale is 2.1" in refused(Variant(par_scale=2.1), zone=[zone(par=[80, 50_000])])


def test_hours_reach_as_far_as_the_ramps_leave() -> None:
    ramps: Data = {"photoperiod": {"full_hours": 8, "ramp_hours": 1}, "hours": [{"fixture": "Bar", "ramp_hours": 3}]}
    assert "full_hours is 18.5: needs a number from 0.01667 to 18" in refused(Variant(full_hours=18.5), **ramps)
    assert moved(Variant(full_hours=18), **ramps).photoperiod.full_hours == 18


def test_example_tank_can_be_varied_in_every_way() -> None:
    tank, catalog = example()
    ends = reach(tank, catalog)
    least = [ends[name][0] for name in ("budget", "dimmable_share", "claims", "years", "price_per_kwh")]
    assert least == [0, 0, 0, 1, 0]
    assert (ends["dimmable_share"][1], ends["full_hours"][0]) == (1.0, 1 / 60)
    for name, (least, most) in ends.items():
        for value in (least, most):
            new, bought = vary(tank, catalog, dataclasses.replace(Variant(), **{name: value}))
            assert (new, bought) != (tank, catalog)
