"""A saved plan read again: the same plan, or plain sentences about what is wrong with the file."""

from __future__ import annotations

import copy
import dataclasses
import json
import random
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.plan import Plan, plan
from lightplan.choose.plan_data import plan_from_dict, read_plan
from lightplan.choose.verify import TOLERANCE
from lightplan.inputs.errors import InputError, is_control
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone
from tests.choose.strategies import cases

quick = settings(max_examples=300, deadline=None, derandomize=True, database=None)


@cache
def made(kind: str) -> Plan:
    """A plan of each status, with something of everything."""
    if kind == "closest":
        return plan(make_tank(zone=[zone(par=[160, 220])], limits={"fixtures": 1}), make_catalog())
    if kind == "nothing holds":
        return plan(make_tank(zone=[zone(dli=[99, 100])]), make_catalog())
    tank = make_tank(
        zone=[zone(coral="leather", par=None, dli=[1, 9])],
        margin={"claims": True, "ageing": True},
        scene=[{"name": "dusk", "zone": {"ledge": {"par": [20, 50]}}, "rehang": False}],
        placed=[{"fixture": "Old", "x_cm": 38, "y_cm": 1, "heights_cm": [15, 25], "turned": True}],
        hanging={"step_cm": 20 / 3},
        tariff=[{"price_per_kwh": 0.123456789}],
    )
    catalog = make_catalog(
        dimmable(ppf_umol_s=30, l70_hours=40000, price=20.123456789),
        fixture("Old", max_count=0),
        extras=[{"extra": "kit", "price": 6.5, "needed_by": "hang:wire"}],
        shades=[{"shade": "mesh", "transmission": 0.6, "price": 3}],
        corals=[{"coral": "leather", "par_min": 80, "par_max": 120}],
    )
    if kind == "stopped":
        return plan(tank, catalog, time_limit=0.0)
    answer = plan(tank, catalog)
    assert answer.status == "optimal"
    if kind == "time limit":
        return dataclasses.replace(answer, status="time limit", bound=1.0, gap=0.9, inputs={"tank.toml": "ab12"})
    return answer


KINDS = ("optimal", "time limit", "closest", "nothing holds", "stopped")


def data(kind: str = "optimal") -> dict[str, Any]:
    found: dict[str, Any] = json.loads(json.dumps(made(kind).to_dict()))
    return found


def wrong(found: Any) -> str:
    with pytest.raises(InputError) as refused:
        plan_from_dict(found)
    return "\n".join(map(str, refused.value.problems))


# --- the same plan ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_plan_comes_back(kind: str) -> None:
    back = plan_from_dict(data(kind))
    assert back.to_dict() == made(kind).to_dict()
    assert back.to_dict() == plan_from_dict(back.to_dict()).to_dict()
    assert (back.tank, back.catalog) == (made(kind).tank, made(kind).catalog)
    assert (back.impossible, back.compared, back.meets_all) == (
        made(kind).impossible,
        made(kind).compared,
        made(kind).meets_all,
    )


def test_what_a_plan_was_chosen_for_comes_back() -> None:
    assert plan_from_dict(data()).goal == ""
    assert plan_from_dict(data() | {"goal": "lowest power"}).goal == "lowest power"
    old = data()
    del old["goal"]
    assert plan_from_dict(old).goal == ""


@settings(max_examples=15, deadline=None, derandomize=True, database=None)
@given(cases())
def test_any_plan_comes_back(case: Any) -> None:
    answer = plan(case.tank, case.catalog, gap=0.1)
    found = json.loads(json.dumps(answer.to_dict()))
    assert plan_from_dict(found).to_dict() == answer.to_dict()


def test_plan_is_read_from_a_file(tmp_path: Path) -> None:
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(data()), encoding="utf-8")
    assert read_plan(path).to_dict() == made("optimal").to_dict()


def test_plan_of_an_older_version_is_read_as_far_as_it_goes() -> None:
    old = data("closest")
    del old["impossible"], old["compared"]
    for row in old["zones"]:
        del row["misses"]
    back = plan_from_dict(old)
    assert back.impossible
    assert back.to_dict()["zones"][0]["met"] is False


def test_miss_that_was_rounded_to_the_tolerance_stays_a_miss() -> None:
    row = made("closest").zones[0]
    miss = (*row.light.misses[0][:3], TOLERANCE + 1e-9)
    light = dataclasses.replace(row.light, misses=(miss,))
    answer = dataclasses.replace(made("closest"), zones=(dataclasses.replace(row, light=light),))
    assert not light.met
    assert plan_from_dict(answer.to_dict()).to_dict() == answer.to_dict()


# --- what is wrong ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (None, "there is no such file"),
        ("", "this file is empty"),
        ("{'status'", "this is not JSON (line 1: "),
        ("\x00", "not UTF-8 text"),
        ("[" * 100_000, "nested too deeply"),
        ("1" * 5_000, "too many digits"),
        ("[1, 2]", "this is not a plan"),
        ('{"tank": "x.toml", "problems": []}', "this is not a plan"),
        ("NaN", "this is not a plan"),
    ],
)
def test_file_that_is_no_plan(tmp_path: Path, content: str | None, words: str) -> None:
    path = tmp_path / "saved.json"
    if content is not None:
        path.write_text(content, encoding="utf-8")
    with pytest.raises(InputError) as refused:
        read_plan(path)
    (problem,) = refused.value.problems
    assert words in str(problem)
    assert str(problem).startswith(str(path))


def test_all_that_is_wrong_is_told_at_once() -> None:
    found = data()
    found["status"] = "perfect"
    found["hang"][0]["scenes"]["dusk"]["level"] = 1.5
    del found["zones"][0]["par_min"]
    found["given"]["tank"]["zone"][0]["x_cm"] = [24, 16]
    found["given"]["catalog"]["fixtures"][0]["price"] = "cheap"
    told = wrong(found)
    assert "status is 'perfect': needs one of optimal" in told
    assert "hang 1, scenes, dusk: level is 1.5: needs a number from 0 to 1" in told
    assert "zones 1: par_min is missing" in told
    assert "given, tank, zone 1: x_cm is [24, 16]" in told
    assert "given, catalog, fixtures 1: price is 'cheap'" in told


def test_plan_of_a_newer_version_says_so() -> None:
    found = {**data(), "tints": [], "version": "99.0"}
    told = wrong(found)
    # first of all, for what else is wrong may follow from it
    assert "this plan was written by lightplan 99.0, this is " in told.splitlines()[0]
    assert "unknown key 'tints'" in told


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (("hang", 0, "fixture"), "Ghost", "hang 1: fixture is 'Ghost': the catalog that is given has none"),
        (("hang", 0, "scenes", "dusk", "shade"), "Ghost", "shade is 'Ghost'"),
        (("hang", 0, "scenes"), {}, "needs settled, dusk"),
        (("buy", 0, "item"), "Ghost", "item is 'Ghost'"),
        (("zones", 0, "zone"), "Ghost", "zone is 'Ghost': the tank that is given has none"),
        (("zones", 0, "scene"), "Ghost", "scene is 'Ghost'"),
        (("zones", 0, "met"), False, "the misses of the zone say otherwise"),
        (("zones",), [], "zones has no row for 'ledge'"),
        (("cost",), None, "cost is missing"),
        (("status",), "none", "cost is given"),
        (("given", "tank", "placed", 0, "fixture"), "Ghost", "given, tank, placed 1: fixture is 'Ghost'"),
        (("given", "catalog"), 3, "catalog is 3"),
        (("what_if",), [], "what_if"),
        (("warnings",), [1], "warnings"),
        (("seconds",), float("nan"), "seconds is nan"),
    ],
)
def test_value_that_does_not_fit(path: tuple[Any, ...], value: Any, words: str) -> None:
    found = data()
    held: Any = found
    for part in path[:-1]:
        held = held[part]
    held[path[-1]] = value
    assert words in wrong(found)


def test_very_many_wrong_values_are_counted() -> None:
    found = data()
    found["buy"] = [{"item": "Ghost"}] * 500
    told = wrong(found).splitlines()
    assert len(told) <= 22
    assert told[-1].endswith("more values are wrong")


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.just(10**400)
    | st.floats()
    | st.text(max_size=5)
    | st.just("\ud800")
    | st.sampled_from(["settled", "ledge", "Dimmer", "mesh", "optimal"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)


@quick
@given(json_values)
def test_any_json_is_a_plan_or_is_refused(found: Any) -> None:
    with pytest.raises(InputError):
        plan_from_dict(found)
    with pytest.raises(InputError):
        plan_from_dict({"status": found, "given": found})


@quick
@given(st.sampled_from(KINDS), st.integers(0, 10**6), json_values, st.sampled_from(["set", "drop", "add"]))
def test_plan_with_one_value_changed_is_a_plan_or_is_refused(kind: str, seed: int, value: Any, change: str) -> None:
    chance, found = random.Random(seed), data(kind)
    held: Any = found
    while True:
        keys = list(held) if isinstance(held, dict) else list(range(len(held)))
        key = chance.choice(keys)
        deeper = held[key]
        if not isinstance(deeper, dict | list) or not deeper or chance.random() < 0.1:
            break
        held = deeper
    if change == "drop":
        del held[key]
    elif change == "add" and isinstance(held, dict):
        held["more"] = value
    else:
        held[key] = copy.deepcopy(value)
    back: Plan | None
    try:
        back = plan_from_dict(found)
    except InputError as error:
        told = list(map(str, error.problems))
        back = None
    if back is None:
        assert told
        assert not any(map(is_control, "".join(told)))
        return
    # what passes can be used
    for light in back.lights:
        for scene in light.scenes:
            light.in_scene(scene)
    again = back.to_dict()
    assert plan_from_dict(again).to_dict() == again
