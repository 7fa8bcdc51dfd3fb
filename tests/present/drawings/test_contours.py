"""Contour lines: round levels, lines at their levels up to the panes, and gaps where numbers stand."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.present.drawings.contours import (
    MOST_LINES,
    contour_levels,
    contour_lines,
    draw_contours,
    draw_map,
    path_rows,
)
from lightplan.present.drawings.drawing import CM, Drawing, fit
from lightplan.present.drawings.labels import Labels
from lightplan.present.drawings.png import map_picture

X, Y = np.arange(2.5, 100, 5), np.arange(2.5, 60, 5)
SLOPE = np.tile(X, (Y.size, 1))


@pytest.mark.parametrize("limit", [10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 250, 400, 1200, 2000])
def test_levels_are_round_few_and_below_the_limit(limit: float) -> None:
    levels = contour_levels(limit)
    assert 3 <= len(levels) <= MOST_LINES
    assert levels[-1] < limit
    assert np.diff(levels) == pytest.approx(levels[0])


def test_lines_lie_at_their_levels_and_reach_the_panes() -> None:
    lines = list(contour_lines(X, Y, SLOPE, 100))
    assert [level for level, _ in lines] == contour_levels(100)
    for level, line in lines:
        assert line[:, 0] == pytest.approx(level)
        assert (line[:, 1].min(), line[:, 1].max()) == (0, 60)


def test_lines_leave_gaps_in_rocks() -> None:
    par = SLOPE.copy()
    par[4:8, 8:12] = np.nan
    inside = [(x, y) for _, line in contour_lines(X, Y, par, 100) for x, y in line if 43 < x < 57 and 23 < y < 37]
    assert inside == []


def test_a_line_is_broken_where_a_number_stands() -> None:
    line = np.column_stack([np.arange(11.0), np.zeros(11)])
    rows = path_rows(line, [(3.5, 6.5, -1, 1)], "#ffffff", first=7)
    assert [row["x"] for row in rows] == [0, 1, 2, 3, 7, 8, 9, 10]
    assert len({row["path"] for row in rows[:4]}) == len({row["path"] for row in rows[4:]}) == 1
    assert rows[0]["path"] == 7 != rows[-1]["path"]


def test_lines_close_to_another_are_left_out() -> None:
    drawing = Drawing(fit((0, 100), (0, 60)), "light", CM)
    labels = Labels(drawing.view.px(1), (0, 100, 0, 60))
    draw_contours(drawing, labels, (X, Y, SLOPE), 100, beside=41)
    shown = {row["text"] for row in drawing.chart().to_dict()["datasets"]["contour numbers"]}
    assert shown == {"20", "60", "80"}


def test_dark_and_flat_maps_have_no_lines() -> None:
    assert list(contour_lines(X, Y, np.zeros_like(SLOPE), 10)) == []


def test_the_picture_has_one_ring_of_its_gaps_filled() -> None:
    par = np.full((7, 7), 10.0)
    par[1:6, 1:6] = np.nan
    filled = np.full((7, 7), 10.0)
    filled[2:5, 2:5] = np.nan
    drawing = Drawing(fit((0, 7), (0, 7)), "light", CM)
    draw_map(drawing, np.arange(7.0), np.arange(7.0), par, 20)
    assert drawing.chart().to_dict()["datasets"]["PAR map"][0]["url"] == map_picture(filled, 20)
