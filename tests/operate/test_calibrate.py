"""Corrections from readings whose truth is known: how near, how sure, and what is said when they are not enough."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.choose.par import par_at
from lightplan.inputs.catalog import Channel
from lightplan.inputs.errors import InputError
from lightplan.inputs.meter import MeterReading
from lightplan.operate.calibrate import Calibration, calibrate
from tests.operate.surveyed import Case, Way, catalog_of, light, random_case, readings_of, tank_of

LAYOUTS = 100


def calibrated(case: Case) -> Calibration:
    return calibrate(case.tank, case.catalog, case.layout, case.readings)


def cases(count: int, seed: int, way: Way) -> list[tuple[Case, Calibration]]:
    chance = np.random.default_rng(seed)
    made = [random_case(chance, way) for _ in range(count)]
    return [(case, calibrated(case)) for case in made]


def held(case: Case, found: Calibration) -> list[bool]:
    """Of each light, whether the stated range holds the truth."""
    return [row.low <= true <= row.high for row, true in zip(found.corrections, case.truth, strict=True)]


def one(seed: int = 3, **way: object) -> tuple[Case, Calibration]:
    return cases(1, seed, Way(**way))[0]  # type: ignore[arg-type]


# --- how near, and how sure ------------------------------------------------------------------------------------------


def test_corrections_are_near_and_misread_points_are_named():
    """25 readings of each light alone, 5 % noise, one in ten off by 2 times; depths differ, so the water counts."""
    near = named = 0
    for case, found in cases(LAYOUTS, 1, Way()):
        near += bool(np.all(np.abs(np.array(found.factors) / case.truth - 1.0) <= 0.05))
        named += case.misread <= set(found.to_dict()["suspect"])
    print(f"\ncorrections within 5 %: {near} of {LAYOUTS} layouts; all misread points named: {named}")
    assert near >= 0.95 * LAYOUTS
    assert named >= 0.95 * LAYOUTS


@pytest.mark.parametrize(
    ("seed", "way", "layouts"),
    [
        (11, Way(points=3), LAYOUTS),
        (12, Way(points=6), 50),
        (13, Way(points=2, depths=(20.0,)), LAYOUTS),
        (14, Way(points=16, together=True), 50),
        (15, Way(points=8, together=True, depths=(20.0,)), LAYOUTS),
    ],
    ids=["3 each", "6 each", "2 each, one depth", "16 together", "8 together, one depth"],
)
def test_ranges_hold_the_truth(seed, way, layouts):
    """Counted light by light, and (a sharper claim) with all of a layout's lights at once."""
    every = [held(case, found) for case, found in cases(layouts, seed, way)]
    lights, complete = np.mean([one for row in every for one in row]), np.mean([all(row) for row in every])
    print(f"\n{way}: {lights:.3f} of the lights, {complete:.2f} of the layouts with all their lights")
    assert lights >= 0.9
    assert complete >= 0.9


@pytest.mark.parametrize("attenuation", [0.15, 0.17, 0.4], ids=str)
def test_without_noise_corrections_and_water_are_exact(attenuation):
    for case, found in cases(5, 7, Way(noise=0.0, misread=0.0, attenuation=attenuation)):
        assert np.array(found.factors) == pytest.approx(case.truth, rel=1e-3)
        assert found.attenuation_per_m == pytest.approx(attenuation, abs=1e-3)
        assert found.suspect == ()
        assert found.residual_pct == pytest.approx(0.0, abs=0.01)


def test_without_noise_a_misread_point_is_named_with_what_it_would_have_to_be():
    case, found = one(noise=0.0, misread=0.04)
    assert {row.point for row in found.suspect} == case.misread
    for row in found.suspect:
        assert min(row.par / row.would_be, row.would_be / row.par) == pytest.approx(0.5, rel=1e-3)


def test_ranges_shrink_with_more_readings():
    widths = []
    for points in (3, 8, 25):
        found = cases(10, 5, Way(points=points, depths=(20.0,)))
        widths.append(np.median([row.high / row.low for _, each in found for row in each.corrections]))
    assert widths[0] > widths[1] > widths[2]
    assert widths[2] < 1.2


# --- what is said when readings are not enough -----------------------------------------------------------------------


def reading(point: str, x: float, par: float, depth: float = 20.0, **levels: float) -> MeterReading:
    return MeterReading(
        point=point, x_cm=x, y_cm=25, depth_cm=depth, par=par, levels={k[1:]: v for k, v in levels.items()}
    )


PAIR = (light("Panel", 15), light("Spot", 65))


def test_a_light_that_no_reading_sees_keeps_its_claim_and_is_read_next():
    rows = [reading(f"p{k}", x, 100 + k, n1=100, n2=0) for k, x in enumerate((10, 14, 18, 22))]
    found = calibrate(tank_of(), catalog_of(), PAIR, rows)
    first, second = found.corrections
    assert (second.read, second.known, second.factor, second.low) == (False, False, 1.0, 0.0)
    # no lamp gives more than all photons at 700 nm without loss: 40 W x 5.85 µmol/J are 2.9 times its 80 µmol/s
    assert second.high == pytest.approx(40 * 5.85 / 80, rel=0.01)
    assert first.read
    assert not found.enough
    assert found.next_reading is not None
    assert found.next_reading.level == (0.0, 1.0)


def test_the_next_reading_is_where_answers_differ_most():
    """Two lights always lit together, right between them: what each gives is open, and one alone would settle it."""
    rows = [reading(f"p{k}", 40 + dx, 120) for k, dx in enumerate((-1, 0, 1, 0.5))]
    found = calibrate(tank_of(zone=[zone("left", 8)]), catalog_of(), (light("Panel", 20), light("Panel", 60)), rows)
    assert not found.enough
    told = found.next_reading
    assert told is not None
    assert sorted(told.level) == [0.0, 1.0]
    assert told.high > 1.5 * told.low
    lit = 20.0 if told.level[0] else 60.0
    assert abs(told.x_cm - lit) < 25


def zone(name: str, x: float) -> dict[str, object]:
    return {"name": name, "x_cm": [x, x + 12], "y_cm": [20, 30], "depth_cm": 15, "par": [50, 400]}


def test_all_lights_off_by_one_factor_is_said():
    case, _ = one(noise=0.02, misread=0.0)
    dimmed = [row.model_copy(update={"par": 0.0}) for row in case.readings]
    chance = np.random.default_rng(2)
    where = np.array([(row.x_cm, row.y_cm, row.depth_cm) for row in dimmed[:25]])
    way = Way(noise=0.02, misread=0.0)
    lit = list(np.eye(len(case.layout)))
    rows, _ = readings_of((case.layout, case.catalog, way), where, lit, np.full(len(case.layout), 0.75), chance)
    found = calibrate(case.tank, case.catalog, case.layout, rows)
    assert found.all_off == pytest.approx(0.75, abs=0.03)
    assert calibrated(case).all_off is None


def test_one_reading_is_never_sure():
    found = calibrate(tank_of(), catalog_of(), PAIR[:1], [reading("p", 15, 200)])
    (row,) = found.corrections
    assert row.high / row.low > 4
    assert not row.known


def test_more_light_than_the_power_allows_is_a_warning():
    rows = [reading(f"p{k}", x, 3000) for k, x in enumerate((13, 15, 17))]
    found = calibrate(tank_of(), catalog_of(), PAIR[:1], rows)
    assert "more than any lamp can" in found.warnings[0]


# --- meter and background --------------------------------------------------------------------------------------------


def test_background_is_subtracted_and_immersion_applied_under_water_only():
    case, plain = one(noise=0.0, misread=0.0)
    lights = len(case.layout)
    off = {str(k + 1): 0.0 for k in range(lights)}
    rows = [row.model_copy(update={"par": row.par / 1.25 + 7.0}) for row in case.readings]
    dark = case.readings[0].model_copy(update={"point": "dark", "par": 7.0, "levels": off})
    tank = case.tank.model_copy(update={"meter": case.tank.meter.model_validate({"immersion_factor": 1.25})})
    found = calibrate(tank, case.catalog, case.layout, [*rows, dark])
    assert found.factors == pytest.approx(plain.factors, rel=1e-3)
    assert (found.immersion_factor, found.immersion_given, found.background_read) == (1.25, True, True)
    assert (plain.immersion_factor, plain.immersion_given, plain.background_read) == (1.0, False, False)
    # in air nothing is multiplied
    air = [reading(f"a{k}", x, 300, depth=0.0, n1=100) for k, x in enumerate((10, 15, 20))]
    in_air = [calibrate(t, case.catalog, PAIR[:1], air).factors for t in (tank, case.tank)]
    assert in_air[0] == pytest.approx(in_air[1])


def test_the_background_of_the_same_point_counts_for_it():
    rows = [reading("p", 15, 110), reading("q", 18, 130), reading("p", 15, 10, n1=0), reading("q", 18, 30, n1=0)]
    found = calibrate(tank_of(), catalog_of(), PAIR[:1], rows)
    plain = calibrate(tank_of(), catalog_of(), PAIR[:1], [reading("p", 15, 100), reading("q", 18, 100)])
    assert found.factors == pytest.approx(plain.factors, rel=1e-6)
    assert found.readings[0].would_be == pytest.approx(plain.readings[0].would_be + 10, rel=1e-6)


# --- what is refused -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([], "no reading in it"),
        ([reading("p", 15, 0), reading("q", 18, 0)], "no reading shows anything"),
        ([reading("p", 15, 20, n1=0, n2=0)], "all lights were off"),
        ([reading("p", 95, 20)], "outside the tank"),
        ([reading("p", 15, 20, n3=50)], "has 2 lights and none of that number"),
    ],
)
def test_readings_that_cannot_be_used_are_refused(rows, said):
    with pytest.raises(InputError, match=said):
        calibrate(tank_of(), catalog_of(), PAIR, rows)


def test_readings_that_no_light_reaches_are_refused():
    rows = [reading("p", 79, 20, n1=0.1, n2=0)]
    with pytest.raises(InputError, match="no light of the layout reaches"):
        calibrate(tank_of(), catalog_of(), PAIR, rows)


def test_no_light_is_refused():
    with pytest.raises(InputError, match="layout has no light"):
        calibrate(tank_of(), catalog_of(), (), [reading("p", 15, 20)])


def test_data_have_the_agreed_keys():
    _, found = one()
    data = found.to_dict()
    assert {"corrections", "attenuation_per_m", "suspect", "residual_pct"} <= data.keys()
    assert all({"light", "fixture", "factor", "low", "high"} <= row.keys() for row in data["corrections"])
    assert [row["light"] for row in data["corrections"]] == list(range(1, len(found.layout) + 1))


def test_levels_of_channels_count():
    """A light at 80 % of its blue and 20 % of its white burns at 44 %: readings of that are no sign of a weak one."""
    rows = [Channel(fixture="Panel", channel=name, ppf_share=share) for name, share in (("blue", 0.4), ("white", 0.6))]
    catalog = catalog_of().model_copy(update={"channels": tuple(rows)})
    mixed = light("Panel", 40).model_copy(update={"channel_levels": {"blue": 80.0, "white": 20.0}})
    where = [(30.0 + 4 * k, 15.0 + 5 * k, 10.0 + 6 * k) for k in range(5)]
    full = par_at(tank_of(), catalog, [light("Panel", 40)], where)
    readings = [
        MeterReading(point=f"p{k}", x_cm=x, y_cm=y, depth_cm=d, par=round(0.44 * 0.9 * float(par), 2))
        for k, ((x, y, d), par) in enumerate(zip(where, full, strict=True))
    ]
    # one more, for which all of the light was turned to half
    x, y, d = where[0]
    more = MeterReading.model_validate(
        {
            "point": "p0",
            "x_cm": x,
            "y_cm": y,
            "depth_cm": d,
            "par": round(0.5 * 0.9 * float(full[0]), 2),
            "level_pct:N": {"1": 50},
        }
    )
    found = calibrate(tank_of(), catalog, [mixed], [*readings, more])
    assert found.factors == pytest.approx((0.9,), rel=1e-3)
    assert found.suspect == ()
