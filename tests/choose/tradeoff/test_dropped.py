"""The wishes of a tank, one by one, and the tank without each."""

from __future__ import annotations

import random
from typing import Any

import pytest

from lightplan.choose.tradeoff.dropped import wishes_of
from lightplan.inputs.tank import Tank, tank_problems
from tests.choose.oracle import Oracle
from tests.choose.small import fixture, make_catalog, make_tank, zone
from tests.choose.strategies import random_case

EVERYTHING: dict[str, Any] = {
    "zone": [zone(dli=[1, 9]), zone("sand", x_cm=[2, 8])],
    "scene": [
        {"name": "settled", "par_scale": 0.9},
        {"name": "dusk", "par_scale": 0.5, "rehang": False, "zone": {"sand": {"par": [1, 50]}}},
        {"name": "first day", "par_scale": 0.7, "blue_share_pct": [20, 50]},
    ],
    "limits": {"budget": 90, "power_w": 60, "load_kg": 5, "fixtures": 2, "models": 1},
    "control": {"dimmable_share": 0.5, "built_in_timing": True},
    "hanging": {"mirrored": True, "overhang_cm": 3},
    "margin": {"claims": 0.5, "ageing": True},
    "meter": {"available": False},
}


def dropped(tank: Tank, wish: str) -> Tank:
    return next(one.tank for one in wishes_of(tank, make_catalog()) if one.wish == wish)


def test_every_wish_is_told_once() -> None:
    names = [one.wish for one in wishes_of(make_tank(**EVERYTHING), make_catalog())]
    assert names == [
        "zone ledge", "zone sand", "zone ledge: DLI", "scene dusk", "scene first day",
        "scene first day: blue share", "rehang of scene dusk", "budget", "power_w",
        "load_kg", "fixtures", "models", "dimmable_share", "built_in_timing", "mirrored", "overhang_cm",
        "claims", "ageing", "meter",
    ]  # fmt: skip


def test_a_bare_tank_wishes_for_its_zone_alone() -> None:
    assert [(one.wish, one.zone) for one in wishes_of(make_tank(), make_catalog())] == [("zone ledge", "ledge")]
    sure = make_catalog(fixture(claim_error_pct=0))
    assert [one.wish for one in wishes_of(make_tank(margin={"claims": True}), sure)] == ["zone ledge"]


def test_without_a_wish_everything_else_stays() -> None:
    tank = make_tank(**EVERYTHING)
    for one in wishes_of(tank, make_catalog()):
        changed = {name for name in Tank.model_fields if getattr(one.tank, name) != getattr(tank, name)}
        assert changed <= ({"zones", "scenes"} if one.zone else changed)
        assert len(changed) == 1 or one.zone == "sand"
        back = Tank.model_validate(one.tank.model_dump(by_alias=True, exclude_unset=True))
        assert not [p for p in tank_problems(back, make_catalog(fixture(weight_kg=1)), "tank") if p.severity == "error"]


@pytest.mark.parametrize(
    ("wish", "got"),
    [
        ("zone sand", lambda t: [z.name for z in t.zones] == ["ledge"] and not t.scenes[1].zones),
        ("zone ledge: DLI", lambda t: t.zones[0].dli is None and t.zones[0].par == (80, 120)),
        ("scene dusk", lambda t: [s.name for s in t.scenes] == ["settled", "first day"]),
        ("rehang of scene dusk", lambda t: t.scenes[1].rehang and t.scenes[1].par_scale == 0.5),
        ("scene first day: blue share", lambda t: [s.blue_share_pct for s in t.scenes] == [None, None, None]),
        ("budget", lambda t: t.limits.budget is None and t.limits.power_w == 60),
        ("dimmable_share", lambda t: not t.control.dimmable_share and t.control.built_in_timing),
        ("built_in_timing", lambda t: not t.control.built_in_timing),
        ("mirrored", lambda t: not t.hanging.mirrored and t.hanging.overhang_cm == 3),
        ("overhang_cm", lambda t: t.hanging.overhang_cm is None),
        ("claims", lambda t: t.margin.claims_factor == 0 and t.margin.ageing),
        ("ageing", lambda t: not t.margin.ageing),
        ("meter", lambda t: t.meter.available),
    ],
)
def test_each_is_gone(wish: str, got: Any) -> None:
    assert got(dropped(make_tank(**EVERYTHING), wish))


def test_a_wish_never_makes_anything_cheaper() -> None:
    """By brute force: whoever has a plan with all wishes has one without any of them, for no more."""
    asked = 0
    for seed in range(1, 20, 2):
        case = random_case(random.Random(seed))
        best = Oracle(case.tank, case.catalog).cheapest()
        if best is None:
            continue
        for one in wishes_of(case.tank, case.catalog):
            without = Oracle(one.tank, case.catalog).cheapest() if one.tank.zones else None
            assert not one.tank.zones or (without is not None and without.value <= best.value + 1e-6), one.wish
            asked += 1
    assert asked > 20
