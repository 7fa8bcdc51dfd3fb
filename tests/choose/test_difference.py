"""What changes from one plan to another."""

from __future__ import annotations

from functools import cache

import pytest

from lightplan.choose.difference import difference, figures
from lightplan.choose.plan import Plan, plan
from tests.choose.small import Data, dimmable, fixture, make_catalog, make_tank, zone

DUSK: Data = {"name": "dusk", "par_scale": 0.5}


@cache
def bars() -> Plan:
    """One bar that is on or off: it cannot give half the light."""
    scene = [DUSK, {"name": "noon", "at_least": False}]
    return plan(make_tank(zone=[zone(par=[100, 150])], scene=scene), make_catalog(fixture(max_count=1)))


@cache
def dimmers() -> Plan:
    kinds = [dimmable(ppf_umol_s=30, dimming="channels", price=45)]
    extras = [{"extra": "kit", "price": 6.5, "needed_by": "hang:wire"}]
    return plan(make_tank(zone=[zone(par=[100, 150])], scene=[DUSK]), make_catalog(*kinds, extras=extras))


@cache
def nothing() -> Plan:
    return plan(make_tank(), make_catalog(), time_limit=0.0)


def test_figures_are_those_of_the_plan() -> None:
    made = dimmers()
    found = figures(made)
    assert made.cost is not None
    assert made.value is not None
    assert found.purchase == pytest.approx(45 + 6.5)
    assert found.per_year == pytest.approx(made.cost.energy_per_year + made.cost.upkeep_per_year)
    assert (found.ownership, found.kwh_per_year) == (made.cost.ownership, made.cost.kwh_per_year)
    assert (found.peak_w, found.delivered_par) == (made.cost.peak_w, made.value.delivered_par)
    assert found.zones == {"ledge": made.zones[0].light.par_mean}
    assert (found.lights, found.dimmable, found.tunable, found.dimmable_share) == ({"Dimmer": 1}, 1, 1, 1.0)
    assert found.scenes == ("settled", "dusk")


def test_lights_that_come_and_go() -> None:
    change = difference(bars(), dimmers())
    assert change.lights == {"Bar": -1, "Dimmer": 1}
    assert (change.added, change.removed) == ((("Dimmer", 1),), (("Bar", 1),))
    assert (change.before.dimmable, change.after.dimmable) == (0, 1)
    assert change.before.dimmable_share == 0.0


def test_scenes_that_only_one_can_produce() -> None:
    assert bars().status == "closest"
    change = difference(bars(), dimmers())
    missed = {miss.scene for miss in bars().misses}
    assert missed == {"dusk"}
    assert (change.gained, change.lost) == (("dusk",), ("noon",))


def test_scene_missed_under_wrong_claims_cannot_be_produced() -> None:
    made = plan(
        make_tank(zone=[zone(par=[100, 150])], margin={"claims": True}),
        make_catalog(fixture(claim_error_pct=30, max_count=1)),
    )
    assert made.misses == ()
    assert figures(made).scenes == ()


def test_no_plan_has_no_figures() -> None:
    for change in (difference(nothing(), dimmers()), difference(dimmers(), nothing())):
        none = change.before if change.before.purchase is None else change.after
        assert (none.ownership, none.per_year, none.kwh_per_year, none.peak_w, none.delivered_par) == (None,) * 5
        assert (none.zones, none.lights, none.dimmable, none.dimmable_share, none.scenes) == ({}, {}, 0, None, ())
    assert difference(nothing(), dimmers()).added == (("Dimmer", 1),)
    assert difference(nothing(), nothing()).lights == {}


def test_nothing_lies_between_a_plan_and_itself() -> None:
    change = difference(dimmers(), dimmers())
    assert change.before == change.after
    assert (change.lights, change.gained, change.lost) == ({}, (), ())
