"""Another place for corals in the place of another light."""

from __future__ import annotations

import itertools
import json
import math
from typing import Any

import pytest

from lightplan.choose.plan import Plan, plan
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.moving import APART_CM, MOST_TRIES, moved, moved_from_dict
from lightplan.choose.tradeoff.places import nearest
from lightplan.inputs.tank import Tank
from tests.choose.small import dimmable, make_catalog, make_tank, zone

CATALOG = make_catalog(dimmable(ppf_umol_s=20, beam_angle_deg=60))
LEDGE = zone(x_cm=[4, 8], par=[90, 240])


def tank(**far: Any) -> Tank:
    """A ledge at the left, and a zone at the right that wants a light of its own."""
    return make_tank(zone=[LEDGE, zone("far", x_cm=[32, 36], **({"par": [90, 240]} | far))])


def lights() -> Plan:
    """The cheapest lights for the ledge alone."""
    found = plan(make_tank(zone=[LEDGE]), CATALOG, gap=0.0)
    assert len(found.lights) == 1
    return found


def test_the_corals_move_to_the_light() -> None:
    wanted = tank()
    both = plan(wanted, CATALOG, gap=0.0)
    assert both.cost is not None
    assert len(both.lights) == 2
    found = moved(lights(), wanted, "far", below=both.cost.ownership)
    assert found is not None
    assert found.plan is not None
    assert found.plan.cost is not None
    assert found.plan.meets_all
    assert found.plan.cost.ownership < both.cost.ownership
    assert len(found.plan.lights) == 1
    assert found.plan.tank == found.move.applied(wanted)
    assert 0 < found.move.distance_cm < 30
    data = json.loads(json.dumps(found.to_dict()))
    assert (data["zone"], data["x_cm"]) == ("far", list(found.move.x_cm))
    back = moved_from_dict(data)
    assert back.move == found.move
    assert back.to_dict() == found.to_dict()


def test_a_move_that_saves_too_little_is_a_place_and_no_plan() -> None:
    found = moved(lights(), tank(), "far", below=-math.inf)
    assert found is not None
    assert (found.plan, moved_from_dict(found.to_dict())) == (None, found)


def test_no_place_at_all() -> None:
    assert moved(lights(), tank(par=[8000, 9000]), "far", below=math.inf) is None


def test_every_wish_has_to_be_met_there() -> None:
    """Settled it would be well off, but a scene wants more than the light has."""
    scene = [{"name": "noon", "zone": {"far": {"par": [7000, 9000]}}}]
    wanted = tank().model_copy(update={"scenes": make_tank(scene=scene, zone=tank().model_dump()["zones"]).scenes})
    found = moved(lights(), wanted, "far", below=math.inf)
    assert found is not None
    assert found.plan is None


def test_tries_are_few_and_stop_when_told(monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[Tank] = []

    def never(_old: Plan, wanted: Tank, _catalog: Any, *, time_limit: float) -> None:
        assert time_limit <= 2
        tried.append(wanted)

    monkeypatch.setattr("lightplan.choose.tradeoff.moving.again", never)
    assert moved(lights(), tank(), "far", below=math.inf) is not None
    assert 2 <= len(tried) <= MOST_TRIES
    layout = [light.in_scene("settled") for light in lights().lights]
    places = [move for move in nearest(tank(), CATALOG, layout, "far") if move.distance_cm > 0]
    away = [next(move.distance_cm for move in places if move.applied(tank()) == wanted) for wanted in tried]
    # the nearest first, and no two that are as good as one
    assert away[0] == places[0].distance_cm
    assert all(farther >= nearer + APART_CM for nearer, farther in itertools.pairwise(away))
    tried.clear()
    watch = Watch()
    watch.stop.set()
    assert moved(lights(), tank(), "far", below=math.inf, watch=watch) is not None
    assert not tried
