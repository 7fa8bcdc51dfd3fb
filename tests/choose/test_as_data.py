"""A plan as plain data: its keys, and that everything it was made from can be made again."""

from __future__ import annotations

import dataclasses
import json
import math
from functools import cache
from typing import Any

import pytest

from lightplan.choose.as_data import DECIMALS
from lightplan.choose.plan import Plan, plan
from lightplan.choose.relax import Loosened
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank
from lightplan.version import VERSION
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone


def words(text: str) -> set[str]:
    return set(text.split())


KEYS = words(
    "status gap bound seconds impossible compared goal buy hang zones cost energy value misses relax margins what_if"
    " warnings given inputs version"
)
TABLES: dict[str, Any] = {
    "money": {"years": 5, "discount_rate": 0.03, "currency": "EUR"},
    "margin": {"claims": True, "ageing": True},
    "scene": [{"name": "dusk", "zone": {"ledge": {"par": [20, 50]}}, "rehang": False}],
    "hours": [{"fixture": "Dimmer", "full_hours": 7}],
    "tariff": [{"price_per_kwh": 0.2}, {"price_per_kwh": 0.5, "from": "17:00", "to": "21:00"}],
    "placed": [{"fixture": "Old", "x_cm": 38, "y_cm": 1, "heights_cm": [15, 25], "turned": True}],
    "rock": [{"x_cm": [0, 5], "y_cm": [0, 5], "depth_cm": [12, 20]}],
}


@cache
def made() -> Plan:
    """A plan with something of everything."""
    tank = make_tank(zone=[zone(coral="leather", par=None, dli=[1, 9])], **TABLES)
    catalog = make_catalog(
        dimmable(ppf_umol_s=30, l70_hours=40000),
        fixture("Old", max_count=0),
        extras=[{"extra": "kit", "price": 6.5, "needed_by": "hang:wire"}],
        shades=[{"shade": "mesh", "transmission": 0.6, "price": 3}],
        corals=[{"coral": "leather", "par_min": 80, "par_max": 120}],
    )
    return plan(tank, catalog)


@cache
def impossible() -> Plan:
    return plan(make_tank(zone=[zone(par=[400, 401])], limits={"budget": 1}), make_catalog())


def data() -> dict[str, Any]:
    return made().to_dict()


def keys_of(rows: list[dict[str, Any]]) -> set[str]:
    assert rows
    (keys,) = {frozenset(row) for row in rows}
    return set(keys)


def test_keys_are_those_of_plan_json() -> None:
    assert set(data()) == KEYS
    assert set(impossible().to_dict()) == KEYS
    assert data()["version"] == VERSION


def test_rows_have_their_keys() -> None:
    found = data()
    places = [place for light in found["hang"] for place in light["scenes"].values()]
    zone_keys = "zone scene par_min par_mean par_max wanted met dli_mean dimmable_share blue_share misses"
    assert keys_of(found["buy"]) == words("item kind count unit_price price")
    assert keys_of(found["hang"]) == words("fixture x_cm y_cm turned placed scenes")
    assert keys_of(places) == words("height_cm shade level")
    assert keys_of(found["zones"]) == words(zone_keys)
    assert keys_of(found["margins"]) == words("scenario met misses")
    assert set(found["what_if"]) == {"without", "all_full"}
    assert set(found["cost"]) == words("purchase extras energy_per_year upkeep_per_year ownership currency")
    assert set(found["energy"]) == {"kwh_per_year", "peak_w"}
    assert set(found["value"]) == {"delivered_par", "purchase_per_par", "purchase_per_umol_s", "ownership_per_mol"}


def test_misses_and_wishes_to_loosen_have_their_keys() -> None:
    found = impossible().to_dict()
    assert keys_of(found["misses"]) == {"scene", "zone", "end", "wanted", "got", "miss"}
    wish = dataclasses.replace(impossible(), relax=(Loosened("budget", 1.0, 20.0, proven=False),)).to_dict()["relax"]
    assert wish == [{"wish": "budget", "from": 1.0, "to": 20.0, "proven": False}]


def test_every_scene_is_there_for_every_light_and_zone() -> None:
    found = data()
    assert {tuple(light["scenes"]) for light in found["hang"]} == {("settled", "dusk")}
    assert [(row["zone"], row["scene"]) for row in found["zones"]] == [("ledge", "settled"), ("ledge", "dusk")]
    assert [row["wanted"] for row in found["zones"]] == [[80, 120], [20, 50]]


@pytest.mark.parametrize("make", [made, impossible])
def test_plan_is_json_without_anything_that_is_no_number(make: Any) -> None:
    found = make().to_dict()
    assert json.loads(json.dumps(found, allow_nan=False)) == found


def test_plan_that_never_was_is_json_too() -> None:
    none = Plan("none", None, None, 0.5, made().tank, made().catalog, warnings=("stopped",))
    found = json.loads(json.dumps(none.to_dict(), allow_nan=False))
    assert set(found) == KEYS
    assert (found["gap"], found["cost"], found["energy"], found["value"]) == (None, None, None, None)
    assert (found["buy"], found["hang"], found["warnings"]) == ([], [], ["stopped"])


def test_tank_and_catalog_can_be_made_again() -> None:
    given = json.loads(json.dumps(data()["given"]))
    assert Tank.model_validate(given["tank"]) == made().tank
    assert Catalog.model_validate(given["catalog"]) == made().catalog


def test_what_was_given_has_the_keys_of_the_files() -> None:
    given = data()["given"]
    assert set(given["tank"]) == {*TABLES, "tank", "zone", "hanging"}
    assert given["tank"]["tariff"][1] == {"price_per_kwh": 0.5, "from": "17:00", "to": "21:00"}
    assert given["tank"]["scene"][0]["zone"] == {"ledge": {"par": [20, 50]}}
    assert set(given["catalog"]) == {"fixtures", "extras", "shades", "corals"}


def test_plan_of_what_was_given_is_the_same_plan() -> None:
    given = json.loads(json.dumps(data()["given"]))
    again = plan(Tank.model_validate(given["tank"]), Catalog.model_validate(given["catalog"])).to_dict()
    for key in ("buy", "hang", "zones", "cost", "energy", "value", "margins", "what_if", "warnings", "given"):
        assert again[key] == data()[key]


def test_figures_are_those_of_the_plan() -> None:
    found, answer = data(), made()
    assert answer.cost is not None
    assert found["cost"]["ownership"] == pytest.approx(answer.cost.ownership, abs=1e-6)
    assert found["cost"]["currency"] == "EUR"
    assert sum(row["price"] for row in found["buy"]) == pytest.approx(answer.cost.purchase + answer.cost.extras)
    assert [row["fixture"] for row in found["hang"]] == [light.fixture for light in answer.lights]
    assert found["hang"][0]["placed"] is True


def test_numbers_are_rounded_to_what_can_be_compared() -> None:
    def numbers(value: Any) -> list[float]:
        if isinstance(value, dict):
            value = list(value.values())
        if isinstance(value, list):
            return [n for inner in value for n in numbers(inner)]
        return [value] if isinstance(value, float) else []

    for number in numbers({key: value for key, value in data().items() if key != "given"}):
        assert math.isfinite(number)
        assert number == round(number, DECIMALS)


def test_hashes_of_the_files_are_passed_on() -> None:
    assert dataclasses.replace(made(), inputs={"tank.toml": "abc"}).to_dict()["inputs"] == {"tank.toml": "abc"}
