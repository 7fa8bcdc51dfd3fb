from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.light.optics import rays_to, ring_irradiance
from lightplan.light.tables import MOST_ROWS, NEAREST_CM, TABLE_ERROR, Shelf, Tables


@settings(max_examples=30, deadline=None)
@given(height=st.floats(2.0, 100.0), depth=st.floats(0.5, 80.0), m=st.sampled_from([0.5, 1.0, 2.7, 20.0, 60.0]))
def test_lines_are_close_to_the_formula(height: float, depth: float, m: float) -> None:
    table = Tables(depth, 1.339, 0.15, 150.0).table(height, ((m, 1.0),))
    dx, dy = np.linspace(0.0, 120.0, 301), np.linspace(0.0, 90.0, 301)
    rho = np.hypot(dx, dy)
    light = ring_irradiance(rho, height, depth, 1.339, 0.15, ((m, 1.0),))
    assert table.light_at(dx, dy) == pytest.approx(light, rel=1e-4, abs=2e-5 * light[0])
    assert table.ratio_at(dx, dy) == pytest.approx(1.0 + rays_to(rho, height, depth, 1.339, 0.15).run, rel=1e-4)


def test_values_do_not_depend_on_how_far_the_table_goes() -> None:
    short, long = (Tables(30.0, 1.339, 0.15, far).table(20.0, ((1.0, 1.0),)) for far in (50.0, 500.0))
    at = np.linspace(0.0, 49.0, 97)
    assert short.light_at(at, 0.0 * at) == pytest.approx(long.light_at(at, 0.0 * at), rel=1e-11)


def test_slope_is_that_of_the_lines() -> None:
    ratio = Tables(30.0, 1.339, 0.15, 100.0).table(20.0, ((1.0, 1.0),)).ratio
    steps = np.array([10.25, 300.5])
    value, slope = ratio.with_slope(steps)
    assert value == pytest.approx(ratio.at(steps), rel=1e-12)
    assert ratio.at(steps + 0.25) == pytest.approx(value + 0.25 * slope, rel=1e-12)


def test_tables_are_made_once_and_bounded() -> None:
    tables = Tables(0.0, 1.339, 0.15, 100_000.0)
    lobes = ((60.0, 1.0),)
    assert tables.table(0.5, lobes) is tables.table(0.5, lobes)
    assert tables.table(0.5, lobes).light.base.size <= MOST_ROWS + 2


@pytest.mark.parametrize("depth", [0.0, 30.0])
def test_tables_made_together_are_those_made_alone(depth: float) -> None:
    wanted = [(20.0, ((1.0, 1.0),), ()), (5.0, ((27.0, 1.0),), ((3.0, 0.2),)), (20.0, ((1.5, 1.0),), ())]
    together = Tables(depth, 1.339, 0.15, 100.0).tables(wanted)
    for key, table in zip(wanted, together, strict=True):
        alone = Tables(depth, 1.339, 0.15, 100.0).table(*key)
        assert np.array_equal(table.light.base, alone.light.base)
        assert np.array_equal(table.ratio.base, alone.ratio.base)


def test_a_shelf_gives_what_is_there_and_what_reaches_far_enough() -> None:
    shelf = Shelf()
    water = (30.0, 1.339, 0.15)
    first = shelf.tables(*water, 70.0)
    assert shelf.tables(*water, 66.0) is first
    assert shelf.tables(31.0, 1.339, 0.15, 66.0) is not first
    # the table of a pair reaches at least as far as asked for, and is no other for that
    farther = shelf.tables(*water, 120.0)
    assert farther.farthest_cm == 120.0
    short, long = (tables.table(20.0, ((1.0, 1.0),)) for tables in (first, farther))
    assert short.rows_per_cm == long.rows_per_cm
    assert np.array_equal(short.ratio.base[:-1], long.ratio.base[: short.rows - 1])


def test_a_shelf_holds_so_many_rows() -> None:
    shelf = Shelf(most_rows=1000)
    first = shelf.tables(30.0, 1.339, 0.15, 100.0)
    assert first.rows == 0
    first.table(20.0, ((1.0, 1.0),))
    assert first.rows == first.table(20.0, ((1.0, 1.0),)).rows
    shelf.tables(20.0, 1.339, 0.15, 100.0)
    assert shelf.tables(30.0, 1.339, 0.15, 100.0) is first
    first.table(21.0, ((60.0, 1.0),))
    assert first.rows > 1000
    shelf.tables(20.0, 1.339, 0.15, 100.0)
    assert shelf.tables(30.0, 1.339, 0.15, 100.0) is not first


@pytest.mark.parametrize("height", [NEAREST_CM, 20.0])
@pytest.mark.parametrize("m", [0.5, 1.0, 2.0, 3.0, 9.0, 20.0, 27.0, 60.0, 100.0])
def test_rows_are_as_close_as_the_promised_error_asks_and_no_closer(m: float, height: float) -> None:
    """In air, where the field is (1 + rho^2 / h^2)^(-(m + 3)/2), between rows, in shares of the brightest."""
    table = Tables(0.0, 1.339, 0.15, 150.0).table(height, ((m, 1.0),))
    rho = (np.arange(400) + 0.5) / table.rows_per_cm
    light = ring_irradiance(rho, height, 0.0, 1.339, 0.15, ((m, 1.0),))
    off = np.abs(table.light_at(rho, 0.0 * rho) - light) / light[0]
    assert off.max() < 1.02 * TABLE_ERROR
    if m in (1.0, 3.0, 9.0, 27.0, 60.0, 100.0):
        assert off[0] == pytest.approx(TABLE_ERROR, rel=0.02)
