"""What lights are worth over a tank, as tables."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.tradeoff.fixtures import BestSpot, fixture_worths
from lightplan.inputs.checks import read_inputs
from lightplan.light.colour import ColourTemperature
from lightplan.light.fixture_colour import FixtureColour
from lightplan.present.texts.plan_parts import Bullets, Grid
from lightplan.present.texts.worth_parts import worth_parts


@pytest.fixture
def tank_and_worths(folder):
    inputs = read_inputs(folder / "scenes.toml")
    return inputs.tank, fixture_worths(inputs.tank, inputs.catalog)


def grid_of(part) -> Grid:
    assert isinstance(part.content[0], Grid)
    return part.content[0]


def lines_of(part) -> tuple[str, ...]:
    assert isinstance(part.content[1], Bullets)
    return part.content[1].lines


def test_a_row_a_light_in_both_tables(tank_and_worths):
    tank, worths = tank_and_worths
    value, zones = worth_parts(tank, worths)
    assert grid_of(value).columns[:3] == ("light", ">price, EUR", ">µmol/J")
    assert [row[0] for row in grid_of(value).rows] == ["Plain bar", 'Fine, "dim" panel']
    bar = grid_of(value).rows[0]
    assert bar[1:4] == ("30", "1.80", "0.83")
    assert bar[4] == f"{worths[0].delivered_par:.0f}"
    assert bar[-1].endswith(" %")
    assert grid_of(zones).columns == ("light", ">x", ">y", ">up", ">middle")
    assert grid_of(zones).rows[0] == ("Plain bar", "20", "15", "20", f"{worths[0].zones[0][1]:.0f}")
    assert lines_of(zones)[0].endswith("in cm.")


def test_lengths_in_inches(tank_and_worths):
    tank, worths = tank_and_worths
    zones = worth_parts(tank, worths, inches=True)[1]
    assert grid_of(zones).rows[0][1:4] == ("7.9", "5.9", "7.9")
    assert lines_of(zones)[0].endswith("in inches.")


def test_what_is_too_bright_and_what_can_hang_nowhere(tank_and_worths):
    tank, worths = tank_and_worths
    bar, panel = worths
    changed = (dataclasses.replace(bar, scenes=("settled",)), dataclasses.replace(panel, best=None, zones=()))
    zones = worth_parts(tank, changed)[1]
    assert [row[0] for row in grid_of(zones).rows] == ["Plain bar"]
    assert lines_of(zones)[1:] == (
        "Too bright in first-day, whatever height, shade mesh and level: Plain bar.",
        'Can hang nowhere over this tank: Fine, "dim" panel.',
    )
    never = (dataclasses.replace(bar, scenes=()),)
    assert "Too bright in normal running and first-day" in lines_of(worth_parts(tank, never)[1])[1]


def test_what_is_not_known_or_cannot_be(tank_and_worths):
    tank, (bar, _) = tank_and_worths
    guessed = dataclasses.replace(bar, figures=dataclasses.replace(bar.figures, guessed=True), price=29.95)
    value = worth_parts(tank, [guessed])[0]
    assert grid_of(value).rows[0][:2] == ("Plain bar*", "29.95")
    assert lines_of(value)[-1].startswith("* nothing is known of its light")
    wrong = dataclasses.replace(
        bar,
        figures=dataclasses.replace(
            bar.figures, ppf=None, photon_efficacy=None, price_per_umol_s=None, wrong="Plain bar: too good to be true."
        ),
        best=None, delivered_par=None, price_per_par=None, share_in_water=None,
    )  # fmt: skip
    parts = worth_parts(tank, [wrong])
    assert grid_of(parts[0]).rows[0][2:6] == ("–", "–", "–", "–")
    assert len(lines_of(parts[1])) == 1
    assert parts[2].content[0].lines == ("Plain bar: too good to be true.",)


def test_a_turned_light_is_called_so(tank_and_worths):
    tank, (bar, _) = tank_and_worths
    turned = dataclasses.replace(bar, best=BestSpot(20, 15, True, 20))
    assert grid_of(worth_parts(tank, [turned])[1]).rows[0][0] == "Plain bar, turned"


def test_colours_are_told_where_any_is_known(tank_and_worths):
    tank, (bar, panel) = tank_and_worths
    assert [part.key for part in worth_parts(tank, (bar, panel))] == ["value", "zones"]
    warm = FixtureColour(0.12, (0.456, 0.408), ColourTemperature(2733.4, 0.0004), 67.08, 4.9)
    blue = FixtureColour(0.97, (0.16, 0.02), None, 8.4, 3.761)
    for colour, cells in (
        (warm, ("12 %", "2,730 K", "+0.000", "67", "4.90")),
        (blue, ("97 %", "not defined", "–", "8", "3.76")),
        (FixtureColour(0.4), ("40 %", "–", "–", "–", "–")),
    ):
        part = worth_parts(tank, (dataclasses.replace(bar, colour=colour), panel))[2]
        assert part.key == "colours"
        assert grid_of(part).rows[0] == ("Plain bar", *cells)
        assert grid_of(part).rows[1][1:] == ("–",) * 5
