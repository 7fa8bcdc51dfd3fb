"""The empty plot: its numbers, its title, and colours that show on the page."""

from __future__ import annotations

import pytest

from lightplan.present.drawings.colours import Theme
from lightplan.present.drawings.drawing import WIDEST
from lightplan.present.drawings.year_plot import TALL_PX, YearPlot, colours, fits, year_plot
from tests.present.drawings.helpers import texts


def plot(years: int = 5, most: float = 600.0, *, between: bool = True) -> YearPlot:
    made = year_plot(years, most, "EUR a year", "light", between=between)
    made.drawing.rects("bar", [{"x": 0, "x2": 9, "y": 0, "y2": 9}], fill="red")
    return made


def axis(made: YearPlot) -> list[float]:
    """The amounts at which the axis is numbered."""
    return [value / made.per_unit for value in made.drawing.chart().to_dict()["encoding"]["y"]["axis"]["values"]]


def test_amounts_and_times_lie_where_the_axes_say() -> None:
    made = plot()
    assert (made.x(0), made.x(5), made.y(0), made.y(600)) == (0, WIDEST, 0, TALL_PX)
    assert axis(made) == pytest.approx([0, 100, 200, 300, 400, 500, 600])


@pytest.mark.parametrize(
    ("years", "between", "said"),
    [
        (3, True, ["1", "2", "3"]),
        (3, False, ["0", "1", "2", "3"]),
        (30, True, [str(k) for k in range(2, 31, 2)]),
        (100, False, [str(k) for k in range(0, 101, 10)]),
        (1, True, ["1"]),
    ],
)
def test_years_are_numbered_as_far_as_there_is_room(years: int, between: bool, said: list[str]) -> None:
    assert texts(plot(years, between=between).drawing.chart(), "years") == said


@pytest.mark.parametrize(
    ("most", "title"),
    [
        (19_000.0, "EUR a year"),
        (21_000.0, "thousand EUR a year"),
        (3e8, "million EUR a year"),
        (1e19, "million million EUR a year"),
    ],
)
def test_large_amounts_are_told_in_thousands(most: float, title: str) -> None:
    made = plot(most=most)
    assert texts(made.drawing.chart(), "title") == [title]
    assert most > 1e15 or len(axis(made)) <= 8


def test_nothing_to_show_is_no_trouble() -> None:
    assert axis(plot(most=0.0)) == [0, 1]
    assert axis(plot(most=0.01)) == [0]


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_colours_differ_and_stand_apart_from_the_page(theme: Theme) -> None:
    for count in (1, 2, 7):
        found = colours(count, theme)
        assert len(set(found)) == count
        for colour in found:
            bright = sum(int(colour[k : k + 2], 16) for k in (1, 3, 5)) / 3
            assert bright < 170 if theme == "light" else bright > 70


def test_words_need_room() -> None:
    assert fits("1", 16)
    assert not fits("1", 8)
    assert not fits("1", 40, 10)
