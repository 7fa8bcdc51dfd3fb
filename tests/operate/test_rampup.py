"""Ramp-ups of random tanks: every limit holds, the last week is normal running, and no calendar is shorter."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import pytest

import lightplan
from lightplan import InputError, Plan, RampUp, rampup
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.meter import MeterReading
from lightplan.inputs.start_file import Start
from lightplan.inputs.tank import Zone
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone
from tests.choose.strategies import random_case
from tests.operate.ramp_oracle import Oracle, grids, light_of, par_at, whole
from tests.operate.ramped import MESH, light, placed_row, ramp_plan, random_plan

RISE, PEAK, SHARE, DROP = 0.1, 0.2, 0.5, 0.2
#: as many decimals as figures are written with
ROUGH = 1e-5


def held_to(ramp: RampUp) -> None:
    """Hold the calendar as data against the limits, in plain words of design and README."""
    data = ramp.to_dict()
    for number, wanted in enumerate(ramp.plan.tank.zones):
        dli = [week["zones"][number]["dli"] for week in data["weeks"]]
        peak = [week["zones"][number]["par_max"] for week in data["weeks"]]
        upper = max(lightplan.band_of(wanted, ramp.plan.catalog)[1], peak[0], peak[-1])
        starts = dli[0] < SHARE * dli[-1]
        for week in range(1, len(dli)):
            begins = starts and week == 1
            assert dli[week] <= max((1 + RISE) * dli[week - 1], SHARE * dli[-1] * begins) * (1 + ROUGH) + ROUGH
            assert peak[week] <= max((1 + PEAK) * peak[week - 1], SHARE * peak[-1] * begins) * (1 + ROUGH) + ROUGH
            assert peak[week] <= upper * (1 + ROUGH)
            assert dli[week] >= (1 - DROP) * dli[week - 1] * (1 - ROUGH) - ROUGH
            assert dli[week] >= (1 - DROP) * min(dli[0], dli[-1]) * (1 - ROUGH) - ROUGH


def can_be_done(ramp: RampUp) -> None:
    """Every setting is one that a person can make with what is there."""
    plan = ramp.plan
    owned = {item.item: item.count for item in plan.items if item.kind == "shade"}
    bought = dict(ramp.to_buy)
    for week in ramp.weeks[1:]:
        assert [row.light for row in week.lights] == list(range(1, len(plan.lights) + 1))
        for mesh in {row.shade for row in week.lights if row.shade}:
            used = sum(row.shade == mesh and row.lit for row in week.lights)
            assert used <= owned.get(mesh, 0) + bought.get(mesh, 0)
        for row, one in zip(week.lights, plan.lights, strict=True):
            model, settled = plan.catalog.fixture(row.fixture), one.scenes["settled"]
            placed = [p for p in plan.tank.placed if p.x_cm == one.x_cm]
            listed = placed[0].heights if one.placed else plan.tank.hanging.heights_cm
            assert row.height_cm == settled.height_cm or (row.height_cm > settled.height_cm and row.height_cm in listed)
            assert row.height_cm == settled.height_cm or model.hang == "wire"
            full = plan.tank.photoperiod.full_hours
            if not row.lit:
                assert row.hours == 0
            elif model.dimmable:
                level = 100 * row.level
                assert level == pytest.approx(round(level))
                assert max(1, model.min_level_pct) <= level + 1e-9 <= 100 + 1e-6
                assert row.full_hours == full
            else:
                assert row.level == 1
                assert (row.full_hours * 4) % 1 == 0 or row.full_hours == full
                assert 0 < row.full_hours <= full


def settles(ramp: RampUp) -> None:
    """The last week is normal running, with levels in whole per cent."""
    for number, (row, one) in enumerate(zip(ramp.weeks[-1].lights, ramp.plan.lights, strict=True)):
        place = one.scenes["settled"]
        assert (row.height_cm, row.shade) == (place.height_cm, place.shade)
        assert row.level == pytest.approx(whole(ramp.plan, number) / 100)
    for row, wanted in zip(ramp.weeks[-1].zones, ramp.plan.tank.zones, strict=True):
        assert (row.dli, row.par_max) == pytest.approx(light_of(ramp.plan, wanted), rel=1e-9)


def checked(plan: Plan, **options: float) -> RampUp:
    ramp = rampup(plan, **options)
    can_be_done(ramp)
    settles(ramp)
    if ramp.status == "closest":
        assert ramp.misses
        assert not ramp.proven
    else:
        held_to(ramp)
        assert not ramp.misses
        assert ramp.proven == (ramp.status == "fewest")
    return ramp


def test_two_hundred_random_tanks_hold_every_limit():
    found = {"fewest": 0, "held": 0, "closest": 0}
    for seed in range(200):
        found[checked(random_plan(random.Random(seed), plain=True), time_limit=0.8).status] += 1
    # where nothing holds all limits, that is said; else most are proven
    assert found["fewest"] >= 120
    assert found["fewest"] >= 4 * found["held"]


def test_no_calendar_is_shorter_than_the_one_found():
    compared = 0
    for seed in range(1000, 1028):
        plan = random_plan(random.Random(seed), plain=seed % 3 > 0)
        oracle = Oracle(plan, RISE, PEAK, SHARE)
        if oracle.size > 4000:
            continue
        ramp, fewest = rampup(plan, time_limit=10), oracle.fewest()
        compared += 1
        if ramp.count == 0:
            assert fewest == 1
        elif ramp.to_buy or fewest is None:
            assert fewest is None
            assert ramp.status != "fewest"
        elif ramp.proven:
            assert ramp.count == fewest, seed
        elif ramp.status == "held":
            assert ramp.count >= fewest
    assert compared >= 8


def test_plans_that_were_searched_for_are_brought_in():
    done = 0
    for seed in range(200):
        case = random_case(random.Random(seed))
        plan = lightplan.plan(case.tank, case.catalog, time_limit=2, or_closest=False)
        if plan.status == "none" or not plan.lights:
            continue
        case_hours = {row.fixture for row in plan.tank.hours}
        ramp = rampup(plan, time_limit=1.0)
        if not case_hours:
            can_be_done(ramp)
        if ramp.status != "closest":
            held_to(ramp)
        done += 1
        if done == 20:
            break
    assert done == 20


def milp_says(plan: Plan, weeks: int) -> bool:
    """Whether dimmable lights can be brought in within so many weeks, by another solver.

    It counts DLI, peak PAR in the first week, and of the later rise of peak PAR what no setting could evade: each light
    counts with its own brightest point in the week before.
    """
    from scipy.optimize import LinearConstraint, milp

    lights = range(len(plan.lights))
    end = np.array([whole(plan, n) for n in lights])
    today = np.array([100 * plan.lights[n].placed for n in lights])
    rows, high = [], []

    def add(now: np.ndarray, before: np.ndarray, week: int, given: float = 0.0) -> None:
        """The sum of `now` in a week and `before` in the one before is at most `given`."""
        row = np.zeros((weeks + 1, len(end)))
        row[week] += now
        if week:
            row[week - 1] += before
        rows.append(row[1:weeks].ravel())
        high.append(given - float(row[0] @ today + row[weeks] @ end) + 1e-7)

    for wanted in plan.tank.zones:
        edge, mean = zone_par(plan, wanted)
        best = edge.max(axis=0)
        nothing = 0 * mean
        starts = mean @ today < SHARE * (mean @ end)
        for week in range(1, weeks + 1):
            add(-mean, (1 - DROP) * mean, week)
            add(-mean, nothing, week, -(1 - DROP) * min(mean @ today, mean @ end))
            if week > 1 or not starts:
                add(mean, -(1 + RISE) * mean, week)
            else:
                add(mean, nothing, week, max((1 + RISE) * (mean @ today), SHARE * (mean @ end)))
            for point in edge:
                if week > 1:
                    add(point, -(1 + PEAK) * best, week)
                else:
                    risen = (1 + PEAK) * (edge @ today).max()
                    add(point, nothing, week, max(risen, SHARE * (edge @ end).max()) if starts else risen)
    done = milp(
        np.zeros((weeks - 1) * len(end)),
        constraints=LinearConstraint(np.array(rows), -np.inf, np.array(high)),
        integrality=np.ones((weeks - 1) * len(end)),
        bounds=(0, 100),
        options={"time_limit": 10},
    )
    assert done.status in (0, 2)
    return bool(done.status == 0)


def zone_par(plan: Plan, wanted: Zone) -> tuple[np.ndarray, np.ndarray]:
    """PAR of each light at 1 %: (points, lights) at the zone's edges, (lights,) on average at mid-depth."""
    rows = [
        LayoutLight(fixture=one.fixture, x_cm=one.x_cm, y_cm=one.y_cm, height_cm=10, level_pct=1) for one in plan.lights
    ]
    edge, middle = (
        np.array([par_at(plan.tank, plan.catalog, [row], points) for row in rows]).T for points in grids(wanted)
    )
    return edge, middle.mean(axis=0)


def test_another_solver_finds_no_shorter_calendar():
    for seed in range(5):
        chance = random.Random(seed)
        kinds = [dimmable(name, min_level_pct=0, ppf_umol_s=chance.choice([8, 20])) for name in ("Ash", "Birch")]
        hung = [light(k["fixture"], chance.randint(30, 90) / 100, x=8 + 20 * n, placed=n == 0 and seed % 2 == 0)
                for n, k in enumerate(kinds)]  # fmt: skip
        zones = [zone(par=[1, 1000], x_cm=[4, 8]), zone("sand", par=[1, 1000], x_cm=[30, 34])]
        placed = [placed_row(one) for one in hung if one.placed]
        tank = make_tank(zone=zones, hanging={"heights_cm": [10]}, placed=placed)
        ramp = rampup(ramp_plan(tank, make_catalog(*kinds), *hung))
        assert ramp.proven
        assert milp_says(ramp.plan, ramp.count)
        assert not milp_says(ramp.plan, ramp.count - 1)


# --- special cases ---


DIM = make_catalog(dimmable(min_level_pct=0), fixture(), shades=[MESH])
WIDE = zone(par=[1, 1000])


def one_light(level: float = 0.5, **tables: object) -> Plan:
    return ramp_plan(make_tank(zone=[WIDE], hanging={"heights_cm": [10]}, **tables), DIM, light("Dimmer", level))


def test_a_new_light_starts_at_half_and_rises_by_whole_steps():
    ramp = rampup(one_light())
    levels = [round(100 * week.lights[0].level) for week in ramp.weeks[1:]]
    assert ramp.today == "dark"
    assert levels[0] == 25
    assert levels[-1] == 50
    assert all(after <= 1.1 * before + 1e-9 for before, after in itertools.pairwise(levels))
    # in steps of 1 %: 25 27 29 31 34 37 40 44 48 50
    assert (ramp.count, ramp.proven) == (10, True)
    assert ramp.pace is not None
    assert (ramp.pace.zone, ramp.pace.light) == (0, 0)


def test_a_finer_pace_takes_more_weeks():
    ramp = rampup(one_light(0.9), other_rises=(0.05, 0.2))
    rises = [row.weekly_rise for row in ramp.other_paces]
    weeks = [row.weeks for row in ramp.other_paces]
    assert rises == [0.05, 0.1, 0.2]
    assert weeks[1] == ramp.count
    assert weeks == sorted(weeks, reverse=True)
    assert weeks[0] > weeks[1] > weeks[2]


def test_a_light_that_stays_is_dimmed_no_faster_than_allowed():
    one = light("Dimmer", 0.4, placed=True)
    tank = make_tank(zone=[WIDE], placed=[placed_row(one)])
    ramp = checked(ramp_plan(tank, DIM, one))
    # 100 % to 40 % in drops of a fifth: 0.8 to the fifth power is 0.33
    assert (ramp.count, ramp.proven) == (5, True)
    assert ramp.pace is not None
    assert ramp.pace.why == "dli drop"


def test_nothing_is_done_where_today_is_normal_running():
    one = light("Dimmer", 1.0, placed=True)
    ramp = rampup(ramp_plan(make_tank(zone=[WIDE], placed=[placed_row(one)]), DIM, one))
    assert (ramp.count, ramp.proven, len(ramp.weeks)) == (0, True, 1)


def test_a_light_that_cannot_be_brought_in_gently_is_said_with_the_closest():
    rigid = make_catalog(fixture(hang="rigid"))
    ramp = rampup(ramp_plan(make_tank(zone=[WIDE]), rigid, light("Bar")))
    assert ramp.status == "closest"
    assert not ramp.proven
    assert "peak rise" in {miss.what for miss in ramp.misses}


def test_where_no_step_is_gentle_an_on_off_light_still_comes_in_high():
    tank = make_tank(zone=[WIDE], hanging={"heights_cm": [10, 16, 30]})
    ramp = rampup(ramp_plan(tank, make_catalog(fixture("Bar")), light("Bar", height=10)))
    assert ramp.status == "closest"
    heights = [week.lights[0].height_cm for week in ramp.weeks[1:]]
    assert heights[0] > 10
    assert heights == sorted(heights, reverse=True)
    assert heights[-1] == 10
    # at once at its height it would have twice the peak that a start may have
    worst = max(miss.got / miss.allowed for miss in ramp.misses)
    assert worst < 2


def test_a_mesh_that_is_missing_is_bought():
    catalog = make_catalog(fixture(hang="rigid"), shades=[MESH])
    ramp = rampup(ramp_plan(make_tank(zone=[WIDE]), catalog, light("Bar")), peak_rise=1.0)
    assert ramp.to_buy == (("mesh", 1),)
    assert ramp.weeks[1].lights[0].shade == "mesh"
    assert ramp.weeks[-1].lights[0].shade is None
    held = rampup(ramp_plan(make_tank(zone=[WIDE]), catalog, light("Bar"), meshes={"mesh": 1}), peak_rise=1.0)
    assert (held.to_buy, held.count) == ((), ramp.count)


def test_readings_and_a_layout_begin_where_they_say():
    one = light("Dimmer", 0.5, placed=True)
    plan = ramp_plan(make_tank(zone=[WIDE], placed=[placed_row(one)]), DIM, one)
    settled = rampup(plan).weeks[-1].zones[0]
    row = LayoutLight(fixture="Dimmer", x_cm=20, y_cm=10, height_cm=10, level_pct=30)
    ramp = rampup(plan, start=Start("layout.csv", lights=(row,)))
    assert ramp.weeks[0].zones[0].dli == pytest.approx(0.6 * settled.dli)
    assert ramp.count == 1 + math.ceil(math.log(50 / 33) / math.log(1.1))
    assert ramp.weeks[0].lights[0].level == pytest.approx(0.3)
    (here,) = par_at(plan.tank, plan.catalog, [row], [(20, 10, 10)])
    reading = MeterReading(point="here", x_cm=20, y_cm=10, depth_cm=10, par=here)
    ramp = rampup(plan, start=Start("meter.csv", readings=(reading,)))
    assert ramp.weeks[0].lights == ()
    assert ramp.weeks[0].zones[0].par_max == pytest.approx(0.6 * settled.par_max)
    assert ramp.weeks[1].zones[0].dli <= 1.1 * ramp.weeks[0].zones[0].dli * (1 + ROUGH)


def test_who_lives_in_little_light_is_thought_of():
    one = light("Dimmer", 0.9, placed=True)
    plan = ramp_plan(make_tank(zone=[WIDE], placed=[placed_row(one)]), DIM, one)
    row = LayoutLight(fixture="Dimmer", x_cm=20, y_cm=10, height_cm=10, level_pct=30)
    (warning,) = rampup(plan, start=Start("layout.csv", lights=(row,))).warnings
    assert warning.startswith("ledge gets 50 % more light a day in week 1 than today")
    slow = rampup(plan, start=Start("layout.csv", lights=(row,)), start_share=0.01)
    assert slow.warnings == ()
    assert slow.weeks[1].lights[0].level == pytest.approx(0.33)


def test_what_is_not_in_the_plan_is_taken_down():
    row = LayoutLight(fixture="Bar", x_cm=30, y_cm=10, height_cm=10)
    ramp = rampup(one_light(), start=Start("layout.csv", lights=(row,)))
    assert ramp.warnings[0] == "Bar burns today and is not in the plan: take it down in week 1."


@pytest.mark.parametrize(
    "options",
    [{"weekly_rise": 0}, {"weekly_rise": -0.1}, {"weekly_rise": 3}, {"weekly_rise": math.nan}, {"peak_rise": 0},
     {"start_share": 0}, {"start_share": 1.5}, {"other_rises": (0.1, 5)}],
)  # fmt: skip
def test_limits_out_of_range_are_refused(options):
    with pytest.raises(ValueError, match="needs a share"):
        rampup(one_light(), **options)


def test_a_plan_without_lights_or_zones_is_refused():
    with pytest.raises(InputError, match="no light"):
        rampup(ramp_plan(make_tank(), DIM))
    with pytest.raises(InputError, match="no zone"):
        rampup(ramp_plan(make_tank(zone=[]), DIM, light("Dimmer")))


def test_a_time_limit_proves_nothing():
    ramp = rampup(one_light(), time_limit=1e-6)
    assert not ramp.proven
    assert ramp.status != "fewest"
