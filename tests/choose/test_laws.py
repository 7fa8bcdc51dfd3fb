"""Laws that hold for the cheapest plan of any tank, whatever it is: costs alone are compared, for ties are frequent."""

from __future__ import annotations

import copy
import math
import random
import time
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from lightplan.choose.cheapest import search
from lightplan.choose.job import make_job
from lightplan.choose.plan import Plan, plan
from lightplan.choose.scope import Goal
from lightplan.choose.solver import Watch
from tests.choose.oracle import ownership_of
from tests.choose.strategies import Case, cases, cases_with_a_plan, has_plan, random_zone

#: far more than any of these takes, seconds: a search that does not end is a failure, too
LIMIT = 120.0
few = settings(
    max_examples=10,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)
chances = st.randoms(use_true_random=False)


def cost(case: Case) -> float:
    """The least ownership cost, inf where no plan meets every wish; the search alone, for the closest takes long."""
    result = search(make_job(case.tank, case.catalog), Goal(), gap=0.0, watch=Watch(time.monotonic() + LIMIT))
    if result.solution is None:
        assert result.outcome == "infeasible"
        return math.inf
    assert result.outcome == "optimal"
    return result.objective


def no_less(dear: float, cheap: float) -> bool:
    return dear >= cheap - 1e-6 * max(1.0, abs(cheap)) if math.isfinite(cheap) else dear == math.inf


def same(one: float, other: float) -> bool:
    return one == other or math.isclose(one, other, rel_tol=1e-6, abs_tol=1e-6)


def altered(case: Case, table: str, **values: Any) -> Case:
    """The case with some keys of one table of the tank file set."""
    return case.with_tank(**{table: {**case.tank_data.get(table, {}), **values}})


# --- more wishes never cost less --------------------------------------------------------------------------------------


@few
@given(cases_with_a_plan(), chances)
def test_one_more_zone_never_costs_less(case: Case, chance: random.Random) -> None:
    zone = random_zone(chance, "new", case.tank_data["tank"]) | {
        "par": [chance.randint(0, 40), chance.randint(50, 400)]
    }
    assert no_less(cost(case.with_tank(zone=[*case.tank_data["zone"], zone])), cost(case))


@few
@given(cases_with_a_plan(), st.booleans(), st.booleans(), st.sampled_from([0.4, 0.8, 1.1]))
def test_one_more_scene_never_costs_less(case: Case, at_least: bool, rehang: bool, scale: float) -> None:
    scene = {"name": "new", "par_scale": scale, "at_least": at_least, "rehang": rehang}
    assert no_less(cost(case.with_tank(scene=[*case.tank_data.get("scene", []), scene])), cost(case))


@few
@given(cases_with_a_plan())
def test_wider_claims_never_cost_less(case: Case) -> None:
    believed, half, whole = (cost(altered(case, "margin", claims=claims)) for claims in (False, 0.5, 1.0))
    assert no_less(half, believed)
    assert no_less(whole, half)


@few
@given(cases_with_a_plan(), st.sampled_from(["ageing", "meter", "share", "timing", "overhang"]))
def test_one_more_rule_never_costs_less(case: Case, rule: str) -> None:
    without, with_rule = {
        "ageing": (altered(case, "margin", ageing=False), altered(case, "margin", ageing=True)),
        "meter": (altered(case, "meter", available=True), altered(case, "meter", available=False)),
        "share": (altered(case, "control", dimmable_share=0.2), altered(case, "control", dimmable_share=0.7)),
        "timing": (
            altered(case, "control", built_in_timing=False),
            altered(case, "control", built_in_timing=True),
        ),
        "overhang": (altered(case, "hanging", overhang_cm=8), altered(case, "hanging", overhang_cm=1)),
    }[rule]
    assert no_less(cost(with_rule), cost(without))


def used(answer: Plan) -> dict[str, float]:
    """How much of each limit a plan uses up."""
    assert answer.cost is not None
    bought = [light.fixture for light in answer.lights if not light.placed]
    return {
        "budget": answer.cost.purchase + answer.cost.extras,
        "power_w": answer.to_dict()["energy"]["peak_w"],
        "load_kg": sum(answer.catalog.fixture(name).weight_kg or 0.0 for name in bought),
        "fixtures": len(bought),
        "models": len(set(bought)),
    }


@few
@given(cases_with_a_plan(), st.sampled_from(["budget", "power_w", "load_kg", "fixtures", "models"]))
def test_a_limit_costs_nothing_until_it_binds(case: Case, name: str) -> None:
    answer = plan(case.tank, case.catalog, gap=0.0, time_limit=LIMIT)
    most = used(answer)[name]
    assume(most > 1e-3)
    whole = name in ("fixtures", "models")
    assume(not whole or most > 1)
    enough, little = (most, most - 1) if whole else (1.0001 * most, 0.98 * most)
    assert answer.cost is not None
    assert same(cost(altered(case, "limits", **{name: enough})), answer.cost.ownership)
    assert no_less(cost(altered(case, "limits", **{name: little})), answer.cost.ownership)


@few
@given(cases_with_a_plan(), st.sampled_from([0.15, 0.35, 0.6]), st.booleans())
def test_a_narrower_band_never_costs_less(case: Case, share: float, lower: bool) -> None:
    zones = copy.deepcopy(case.tank_data["zone"])
    low, high = zones[0]["par"]
    by = share * (high - low)
    zones[0]["par"] = [low + by, high] if lower else [low, high - by]
    assert no_less(cost(case.with_tank(zone=zones)), cost(case))


# --- more choice never costs more -------------------------------------------------------------------------------------


@few
@given(cases())
def test_one_more_height_never_costs_more(case: Case) -> None:
    heights = case.tank_data["hanging"]["heights_cm"]
    assert no_less(cost(case), cost(altered(case, "hanging", heights_cm=[*heights, 14.5])))


@few
@given(cases())
def test_one_more_shade_never_costs_more(case: Case) -> None:
    shades = [*case.catalog_data.get("shades", []), {"shade": "new", "transmission": 0.55, "price": 2, "heat_ok": True}]
    assert no_less(cost(case), cost(Case(case.tank_data, {**case.catalog_data, "shades": shades})))


@few
@given(cases())
def test_one_more_fixture_never_costs_more(case: Case) -> None:
    new = {
        "fixture": "New",
        "price": 22,
        "power_w": 14,
        "length_cm": 10,
        "width_cm": 8,
        "ppf_umol_s": 25,
        "beam_angle_deg": 100,
        "dimming": "whole",
        "weight_kg": 0.4,
    }
    more = {**case.catalog_data, "fixtures": [*case.catalog_data["fixtures"], new]}
    assert no_less(cost(case), cost(Case(case.tank_data, more)))


@few
@given(
    cases_with_a_plan(),
    st.sets(st.sampled_from(["fixtures", "extras", "shades", "tariff", "lamps"]), min_size=2),
    st.booleans(),
)
def test_a_cheaper_price_never_costs_more(case: Case, tables: set[str], every: bool) -> None:
    tank, catalog = copy.deepcopy(case.tank_data), copy.deepcopy(case.catalog_data)
    tank.setdefault("tariff", [{"price_per_kwh": 0.3}])
    for table in tables:
        key = {"tariff": "price_per_kwh", "lamps": "lamp_cost"}.get(table, "price")
        rows = tank["tariff"] if table == "tariff" else catalog.get("fixtures" if table == "lamps" else table, [])
        for row in rows if every else rows[:1]:
            row[key] = 0.6 * row.get(key, 0.0)
    assert no_less(cost(case), cost(Case(tank, catalog)))


# --- what would help --------------------------------------------------------------------------------------------------


def loosened(case: Case, wish: str, after: float) -> Case | None:
    """The case with one wish as it would have to be; None for a wish that is not a limit or an end of a zone's band."""
    if wish in case.tank_data.get("limits", {}):
        return altered(case, "limits", **{wish: after})
    zones = copy.deepcopy(case.tank_data["zone"])
    for zone in zones:
        for number, end in enumerate(("lower end", "upper end")):
            if wish == f"zone {zone['name']}: {end}":
                zone["par"][number] = after
                return case.with_tank(zone=zones)
    return None


@settings(few, max_examples=6)
@given(cases().filter(lambda case: not has_plan(case, buying=False)))
def test_what_is_said_to_help_does_help(case: Case) -> None:
    answer = plan(case.tank, case.catalog, gap=0.0, time_limit=LIMIT)
    assert not answer.meets_all
    for help_ in answer.relax:
        other = loosened(case, help_.wish, help_.after) if isinstance(help_.after, float | int) else None
        if other is not None:
            assert math.isfinite(cost(other)), help_


# --- what changes nothing ---------------------------------------------------------------------------------------------


def flipped(case: Case) -> Case:
    """The tank as a mirror beside it shows it: left and right change places."""
    tank = copy.deepcopy(case.tank_data)
    length = tank["tank"]["length_cm"]
    for row in [*tank["zone"], *tank.get("brace", []), *tank.get("rock", [])]:
        row["x_cm"] = [length - row["x_cm"][1], length - row["x_cm"][0]]
    for row in [*tank.get("spot", []), *tank.get("placed", [])]:
        row["x_cm"] = length - row["x_cm"]
    walls = tank["tank"].get("walls")
    if walls:
        walls["left"], walls["right"] = walls["right"], walls["left"]
    return Case(tank, case.catalog_data)


@few
@given(cases_with_a_plan())
def test_left_and_right_may_change_places(case: Case) -> None:
    assert same(cost(flipped(case)), cost(case))


def renamed(case: Case) -> Case:
    """All names changed, so that their order by letters changes too."""

    def new(name: str) -> str:
        return f"z{len(name)} {name[::-1]}"

    tank, catalog = copy.deepcopy(case.tank_data), copy.deepcopy(case.catalog_data)
    for row in [*catalog["fixtures"], *tank.get("placed", []), *tank.get("hours", [])]:
        row["fixture"] = new(row["fixture"])
        if "group" in row:
            row["group"] = new(row["group"])
    for extra in catalog["extras"]:
        extra["extra"] = new(extra["extra"])
        if extra["needed_by"].startswith("group:"):
            extra["needed_by"] = "group:" + new(extra["needed_by"].removeprefix("group:"))
    for zone in tank["zone"]:
        zone["name"] = new(zone["name"])
    for scene in tank.get("scene", []):
        scene["name"] = scene["name"] if scene["name"] == "settled" else new(scene["name"])
        if "zone" in scene:
            scene["zone"] = {new(name): wish for name, wish in scene["zone"].items()}
    return Case(tank, catalog)


@few
@given(cases_with_a_plan())
def test_names_change_nothing(case: Case) -> None:
    assert same(cost(renamed(case)), cost(case))


def turned_round(data: Any) -> Any:
    """All rows of all tables in the opposite order; pairs such as bands stay as they are."""
    if isinstance(data, dict):
        return {key: turned_round(value) for key, value in reversed(data.items())}
    if isinstance(data, list) and data and isinstance(data[0], dict):
        return [turned_round(row) for row in reversed(data)]
    return data


@few
@given(cases_with_a_plan())
def test_order_of_rows_changes_nothing(case: Case) -> None:
    other = Case(turned_round(case.tank_data), turned_round(case.catalog_data))
    heights = case.tank_data["hanging"]["heights_cm"]
    assert same(cost(altered(other, "hanging", heights_cm=heights[::-1])), cost(case))


# --- money ------------------------------------------------------------------------------------------------------------


@few
@given(cases())
def test_cost_is_what_its_parts_add_up_to(case: Case) -> None:
    answer = plan(case.tank, case.catalog, gap=0.0, time_limit=LIMIT)
    if answer.cost is None:
        assert answer.status == "none"
        assert answer.impossible
        return
    lights = [(light.fixture, light.placed, light.scenes["settled"].level) for light in answer.lights]
    shades = {item.item: item.count for item in answer.items if item.kind == "shade"}
    assert answer.cost.ownership == pytest.approx(
        ownership_of(answer.tank, answer.catalog, lights, shades), rel=1e-9, abs=1e-9
    )
    if answer.meets_all:
        assert answer.status == "optimal"
        assert same(answer.cost.ownership, cost(case))
    spent = sum(item.price for item in answer.items)
    assert answer.cost.purchase + answer.cost.extras == pytest.approx(spent, rel=1e-12)
