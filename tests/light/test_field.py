from __future__ import annotations

import tracemalloc
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.light.emitter import Emitter
from lightplan.light.field import Source, influence
from lightplan.light.optics import transmittance

Make = Callable[..., Any]
MIXED = (0.9, 0.4, 0.7, 0.2)
POINTS = [
    (12.0, 8.0, 15.0),
    (45.0, 25.0, 15.0),
    (70.0, 44.0, 15.0),
    (88.0, 3.0, 40.0),
    (30.0, 30.0, 40.0),
    (55.0, 12.0, 48.0),
]
STRIP = {"x_cm": [40.0, 48.0], "y_cm": [0.0, 50.0]}
MESH = {"x_cm": [0.0, 90.0], "y_cm": [0.0, 14.0], "transmission": 0.4}
BLOCK = {"x_cm": [50.0, 66.0], "y_cm": [14.0, 30.0], "depth_cm": [20.0, 50.0]}
SLAB = {"x_cm": [0.0, 20.0], "y_cm": [35.0, 50.0], "depth_cm": [25.0, 30.0]}
SCENERY = {
    "plain": {},
    "braces": {"brace": [STRIP, MESH]},
    "rocks": {"rock": [BLOCK, SLAB]},
    "both": {"brace": [STRIP], "rock": [BLOCK, SLAB]},
}


@pytest.mark.parametrize("scenery", SCENERY)
@pytest.mark.parametrize(
    ("place", "body", "m"),
    [
        ((45.0, 25.0, 20.0), (60.0, 12.0), 1.0),
        ((20.0, 30.0, 12.0), (12.0, 30.0), 4.0),
        ((85.0, 4.0, 25.0), (40.0, 15.0), 1.0),
    ],
    ids=["inside", "across", "overhanging"],
)
def test_agrees_with_plain_ray_following(
    make_tank: Make,
    make_source: Make,
    slow_par: Make,
    scenery: str,
    place: tuple[float, ...],
    body: tuple[float, float],
    m: float,
) -> None:
    """Within 1 % of the PAR, or 0.1 % of the brightest point where little light comes: the slow way is as coarse."""
    tank, source = make_tank(MIXED, **SCENERY[scenery]), make_source(*place, body, m)
    fast = influence(tank, [source], POINTS)[:, 0]
    slow = np.array([slow_par(tank, source, point) for point in POINTS])
    assert fast == pytest.approx(slow, rel=0.01, abs=0.001 * slow.max())


def test_par_adds_and_follows_ppf_and_cover(make_tank: Make) -> None:
    one, two = Emitter(120.0, ((1.0, 1.0),)), Emitter(360.0, ((1.0, 1.0),))
    mixture = Emitter(120.0, ((1.0, 0.25), (6.0, 0.75)))
    narrow = Emitter(120.0, ((6.0, 1.0),))
    sources = [Source(e, 30.0, 20.0, 20.0, 40.0, 10.0) for e in (one, two, mixture, narrow)]
    tank = make_tank(MIXED)
    par = influence(tank, sources, POINTS)
    assert par[:, 1] == pytest.approx(3.0 * par[:, 0], rel=1e-12)
    assert par[:, 2] == pytest.approx(0.25 * par[:, 0] + 0.75 * par[:, 3], rel=1e-3)
    assert influence(make_tank(MIXED, cover_transmission=0.8), sources, POINTS) == pytest.approx(0.8 * par, rel=1e-12)


@settings(max_examples=10, deadline=None)
@given(
    order=st.permutations(range(6)),
    pick=st.sets(st.integers(0, 3), min_size=1),
    scenery=st.sampled_from(sorted(SCENERY)),
)
def test_neither_order_nor_company_matters(
    make_tank: Make, make_source: Make, order: list[int], pick: set[int], scenery: str
) -> None:
    tank = make_tank(MIXED, **SCENERY[scenery])
    sources = [
        make_source(20.0, 25.0, 20.0),
        make_source(70.0, 25.0, 20.0),
        make_source(80.0, 45.0, 20.0),
        make_source(45.0, 10.0, 35.0, (12.0, 40.0), 9.0),
    ]
    whole = influence(tank, sources, POINTS)
    some = sorted(pick, reverse=True)
    part = influence(tank, [sources[k] for k in some], [POINTS[k] for k in order])
    assert part == pytest.approx(whole[order][:, some], rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("scenery", SCENERY)
def test_a_mirrored_tank_has_the_mirrored_field(make_tank: Make, make_source: Make, scenery: str) -> None:
    def mirrored(part: dict[str, Any]) -> dict[str, Any]:
        return {**part, "x_cm": [90.0 - end for end in reversed(part["x_cm"])]}

    parts = SCENERY[scenery]
    twin_parts = {name: [mirrored(part) for part in members] for name, members in parts.items()}
    left, right, front, back = MIXED
    tank, twin = make_tank(MIXED, **parts), make_tank((right, left, front, back), **twin_parts)
    sources = [make_source(25.0, 20.0), make_source(80.0, 30.0, body=(12.0, 30.0))]
    twins = [make_source(65.0, 20.0), make_source(10.0, 30.0, body=(12.0, 30.0))]
    there = influence(twin, twins, [(90.0 - x, y, d) for x, y, d in POINTS])
    assert influence(tank, sources, POINTS) == pytest.approx(there, rel=1e-6)


@pytest.mark.parametrize("scenery", SCENERY)
def test_a_tank_turned_a_quarter_has_the_turned_field(make_tank: Make, make_source: Make, scenery: str) -> None:
    def turned(part: dict[str, Any]) -> dict[str, Any]:
        return {**part, "x_cm": part["y_cm"], "y_cm": part["x_cm"]}

    parts = SCENERY[scenery]
    left, right, front, back = MIXED
    tank = make_tank(MIXED, **parts)
    twin = make_tank(
        (front, back, left, right),
        length_cm=50.0,
        width_cm=90.0,
        **{name: [turned(part) for part in members] for name, members in parts.items()},
    )
    there = influence(twin, [make_source(30.0, 25.0, body=(12.0, 30.0))], [(y, x, d) for x, y, d in POINTS])
    assert influence(tank, [make_source(25.0, 30.0)], POINTS) == pytest.approx(there, rel=1e-6)


@settings(max_examples=20, deadline=None)
@given(shift=st.floats(-20.0, 20.0), depth=st.floats(0.0, 50.0), m=st.sampled_from([0.5, 1.0, 8.0, 60.0]))
def test_between_black_walls_only_the_way_from_light_to_point_counts(
    make_tank: Make, make_source: Make, shift: float, depth: float, m: float
) -> None:
    here = influence(make_tank(), [make_source(45.0, 25.0, m=m)], [[50.0, 20.0, depth]])
    there = influence(make_tank(), [make_source(45.0 + shift, 25.0, m=m)], [[50.0 + shift, 20.0, depth]])
    assert here == pytest.approx(there, rel=1e-9)


@pytest.mark.parametrize("body", [(30.0, 12.0), (100.0, 20.0)], ids=["inside", "overhanging"])
def test_a_mirror_tank_keeps_all_light_at_every_depth(
    make_tank: Make, make_source: Make, body: tuple[float, float]
) -> None:
    """With perfect mirrors and clear water, what entered just under the surface is there at every depth."""
    tank = make_tank((1.0, 1.0, 1.0, 1.0), attenuation_per_m=0.0)
    x, y = np.meshgrid(np.arange(1.5, 90.0, 3.0), np.arange(1.25, 50.0, 2.5))
    level = np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)])
    mean = [
        influence(tank, [make_source(body=body)], level + np.array([0.0, 0.0, d])).mean()
        for d in (0.1, 12.0, 30.0, 50.0)
    ]
    assert mean == pytest.approx([mean[0]] * 4, rel=3e-3)


def test_what_enters_is_what_the_surface_lets_in(make_tank: Make, make_source: Make) -> None:
    """A narrow lobe over the middle: the mean over the tank times its area is the PPF less what is reflected."""
    tank = make_tank((1.0, 1.0, 1.0, 1.0), attenuation_per_m=0.0)
    x, y = np.meshgrid(np.arange(1.0, 90.0, 2.0), np.arange(1.0, 50.0, 2.0))
    floor = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, 50.0)])
    flux = influence(tank, [make_source(height=5.0, body=(4.0, 4.0), m=20.0)], floor).mean() * 0.9 * 0.5
    angle = np.linspace(0.0, np.pi / 2, 2001)
    lobe = np.cos(angle) ** 20 * np.sin(angle)
    assert flux == pytest.approx(100.0 * np.sum(lobe * transmittance(angle, 1.339)) / np.sum(lobe), rel=2e-3)


def test_attenuation_dims_by_the_way_straight_down(make_tank: Make, make_source: Make) -> None:
    narrow = make_source(body=(1.0, 1.0), m=60.0)
    clear, dim = (influence(make_tank(attenuation_per_m=k), [narrow], [[45.0, 25.0, 40.0]])[0, 0] for k in (0.0, 2.0))
    assert dim / clear == pytest.approx(np.exp(-2.0 * 0.4), rel=1e-3)


def test_depth_0_is_in_air(make_tank: Make, make_source: Make) -> None:
    """No reflection, no mirror images, no attenuation; but braces above the point, and the cover."""
    point = [[45.0, 25.0, 0.0]]
    light = make_source(body=(1.0, 1.0))
    plain = influence(make_tank((1.0, 1.0, 1.0, 1.0), attenuation_per_m=3.0), [light], point)[0, 0]
    assert plain == pytest.approx(100.0 / np.pi / 0.2**2, rel=1e-3)
    assert influence(make_tank(), [light], [[45.0, 25.0, 1e-7]])[0, 0] == pytest.approx(0.97897 * plain, rel=1e-4)
    assert influence(make_tank(brace=[STRIP], cover_transmission=0.5), [light], point)[0, 0] == 0.0
    mesh = influence(make_tank(brace=[MESH], cover_transmission=0.5), [light], [[45.0, 10.0, 0.0]])[0, 0]
    assert mesh == pytest.approx(0.2 * influence(make_tank(), [light], [[45.0, 10.0, 0.0]])[0, 0], rel=1e-12)


def test_overlapping_meshes_multiply(make_tank: Make, make_source: Make) -> None:
    mesh = {"x_cm": [0.0, 90.0], "y_cm": [0.0, 50.0], "transmission": 0.5}
    plain = influence(make_tank(MIXED), [make_source()], POINTS)
    assert influence(make_tank(MIXED, brace=[mesh, mesh]), [make_source()], POINTS) == pytest.approx(0.25 * plain)


def test_a_lid_lets_nothing_in(make_tank: Make, make_source: Make) -> None:
    lid = {"x_cm": [0.0, 90.0], "y_cm": [0.0, 50.0]}
    assert not influence(make_tank(MIXED, brace=[lid]), [make_source()], POINTS).any()


def test_light_from_outside_the_rim_counts_only_where_it_enters_inside(make_tank: Make, make_source: Make) -> None:
    outside = make_source(x=-30.0, body=(10.0, 10.0))
    par = influence(make_tank(), [outside], [[1.0, 25.0, 40.0], [60.0, 25.0, 5.0]])[:, 0]
    assert par[0] == 0.0
    assert par[1] > 0.0


def test_touching_a_rock_casts_no_shadow(make_tank: Make, make_source: Make) -> None:
    """On top of a block, and against the side that faces the light."""
    points = [[58.0, 22.0, 20.0], [50.0, 22.0, 35.0]]
    light = make_source(x=20.0, body=(20.0, 12.0))
    bare, rocky = (influence(make_tank(**parts), [light], points) for parts in ({}, {"rock": [BLOCK]}))
    assert rocky == pytest.approx(bare, rel=1e-9)


def test_behind_inside_and_under_a_rock_it_is_dark(make_tank: Make, make_source: Make) -> None:
    shelf = {"x_cm": [0.0, 90.0], "y_cm": [0.0, 50.0], "depth_cm": [20.0, 25.0]}
    behind, inside = [67.0, 22.0, 49.0], [58.0, 22.0, 40.0]
    light = make_source(x=20.0, body=(20.0, 12.0))
    assert not influence(make_tank(rock=[BLOCK]), [light], [behind, inside]).any()
    assert not influence(make_tank(MIXED, rock=[shelf]), [light], [[45.0, 25.0, 40.0]]).any()


def test_a_rock_and_its_mirror_image_leave_no_gap(make_tank: Make, make_source: Make) -> None:
    """A shelf against a mirror pane: the light that would come over the pane meets the shelf's image."""
    shelf = {"x_cm": [0.0, 45.0], "y_cm": [0.0, 50.0], "depth_cm": [5.0, 6.0]}
    tank = make_tank((1.0, 0.0, 0.0, 0.0), rock=[shelf])
    assert influence(tank, [make_source(x=10.0, body=(15.0, 12.0))], [[0.5, 25.0, 8.0]])[0, 0] == 0.0


def test_as_many_images_as_it_takes(make_tank: Make, make_source: Make, slow_par: Make) -> None:
    """A narrow deep shaft, where a ray crosses many panes."""
    shaft = make_tank((0.9, 0.8, 0.7, 0.95), length_cm=20.0, width_cm=12.0, depth_cm=80.0)
    light = make_source(10.0, 6.0, 10.0, (8.0, 8.0))
    got = influence(shaft, [light], [[4.0, 9.0, 80.0]])[0, 0]
    assert got == pytest.approx(slow_par(shaft, light, (4.0, 9.0, 80.0)), rel=3e-3)


@pytest.mark.parametrize("height", [0.0, 0.5, 300.0])
@pytest.mark.parametrize("depth", [0.0, 1e-9, 0.5, 50.0])
def test_extremes_stay_finite_and_positive(make_tank: Make, make_source: Make, height: float, depth: float) -> None:
    sources = [make_source(height=height, m=m, body=body) for m in (0.5, 60.0) for body in ((0.0, 0.0), (200.0, 1.0))]
    for n in (1.0, 1.339):
        par = influence(make_tank(MIXED, refractive_index=n), sources, [[45.0, 25.0, depth], [0.0, 50.0, depth]])
        assert np.isfinite(par).all()
        assert (par[0] > 0.0).all()


def test_memory_stays_small(make_tank: Make, make_source: Make) -> None:
    rng = np.random.default_rng(3)
    points = np.column_stack([rng.uniform(0, 90, 3000), rng.uniform(0, 50, 3000), np.full(3000, 30.0)])
    sources = [make_source(x=float(x)) for x in np.linspace(20.0, 70.0, 60)]
    tank = make_tank(MIXED)
    tracemalloc.start()
    result = influence(tank, sources, points)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 4 * result.nbytes + 20e6


def test_shapes(make_tank: Make, make_source: Make) -> None:
    assert influence(make_tank(), [], POINTS).shape == (6, 0)
    assert influence(make_tank(), [make_source()], np.empty((0, 3))).shape == (0, 1)
    with pytest.raises(ValueError, match=r"shape \(P, 3\)"):
        influence(make_tank(), [make_source()], [1.0, 2.0, 3.0])


@pytest.mark.parametrize(
    ("place", "point"),
    [
        ((13.0, 25.0), (0.2, 25.0, 40.0)),
        ((77.0, 25.0), (89.8, 25.0, 40.0)),
        ((45.0, 4.5), (45.0, 0.2, 40.0)),
        ((45.0, 45.5), (45.0, 49.8, 40.0)),
    ],
    ids=["left", "right", "front", "back"],
)
def test_what_reaches_a_little_over_the_rim_loses_what_enters_outside(
    make_tank: Make, make_source: Make, slow_par: Make, place: tuple[float, float], point: tuple[float, float, float]
) -> None:
    """The body overhangs by less than a tenth of its side; between black walls, beside the rim, that tells."""
    tank, light = make_tank(), make_source(*place, 20.0, (30.0, 10.0))
    par = influence(tank, [light], [point])[0, 0]
    assert par == pytest.approx(slow_par(tank, light, point, 0.1), rel=6e-3)
    # by far more than that is lost
    tall = make_tank(length_cm=94.0, width_cm=54.0)
    whole = influence(
        tall, [make_source(place[0] + 2.0, place[1] + 2.0, 20.0, (30.0, 10.0))], [np.add(point, (2, 2, 0))]
    )
    assert par < 0.97 * whole[0, 0]
