"""Levels from readings of each light alone: facts of the trade to the unit, another solver, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog  # type: ignore[import-untyped]

from lightplan.inputs.alone import AloneReading
from lightplan.inputs.errors import InputError
from lightplan.operate.retune_alone import retune_alone


def row(point: str, light: str, par: float, band: tuple[float, float] | None = None, **more: object) -> AloneReading:
    low, high = band or (None, None)
    return AloneReading(point=point, light=light, par=par, par_min=low, par_max=high, **more)


def levels(found) -> dict[str, float]:
    return {light.light: light.level for light in found.levels}


def pars(found) -> dict[str, float]:
    return {lit.name: lit.par for lit in found.readings}


# --- facts of the trade: common practice, no source ------------------------------------------------------------------


def test_light_adds():
    """A spot that reads 200 with the lights that stay and 250 with a new bar gets 50 from the bar: read with the others
    lit as its background, the bar brings 50."""
    rows = [row("spot", "background", 200, (240, 260)), row("spot", "bar", 250)]
    found = retune_alone(rows)
    assert levels(found) == {"bar": 1.0}
    assert pars(found)["spot"] == pytest.approx(250)
    # and without the bar there are 200
    dark = retune_alone([row("spot", "background", 200, (150, 210)), row("spot", "bar", 250)])
    assert (levels(dark), pars(dark)) == ({"bar": 0.0}, {"spot": pytest.approx(200)})


def test_par_is_proportional_to_the_level():
    """Lights at 62 % that give 200 give about 180 at 56 %."""
    found = retune_alone([row("spot", "panels", 200, (180, 181), dimming="whole", level_pct=62)])
    assert levels(found) == {"panels": 0.56}
    assert round(pars(found)["spot"]) == 181
    assert pars(found)["spot"] == pytest.approx(200 * 56 / 62)


def test_lights_that_stay_are_turned_down_for_a_bar_that_is_on_or_off():
    """The panels at 62 % give 200 and 90; the bar adds 50 and 80. Where 231 is the most that the first may have, and
    150 the least of the second, the bar has to be on and the panels down to 56 %: 181 + 50 and 81 + 80."""
    rows = [
        row("below", "panels", 200, (230, 231), dimming="whole", level_pct=62),
        row("below", "bar", 50),
        row("end", "panels", 90, (150, 300), level_pct=62),
        row("end", "bar", 80),
    ]
    found = retune_alone(rows)
    assert found.met
    assert levels(found) == {"panels": 0.56, "bar": 1.0}
    assert {name: round(par) for name, par in pars(found).items()} == {"below": 231, "end": 161}


# --- against another solver ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(10))
def test_levels_of_dimmable_lights_are_within_a_per_cent_of_another_solvers(seed):
    """scipy's linear programme knows no whole per cents: its worst miss is a bound, near to what is found."""
    chance = np.random.default_rng(seed)
    points, lights = int(chance.integers(2, 6)), int(chance.integers(1, 4))
    full = chance.uniform(5, 300, (points, lights))
    low = chance.uniform(50, 150, points)
    high = low * chance.uniform(1.1, 2.0, points)
    rows = [
        row(f"p{i}", f"l{k}", full[i, k] / 2, (low[i], high[i]), dimming="whole", level_pct=50)
        for i in range(points)
        for k in range(lights)
    ]
    found = retune_alone(rows)
    matrix = np.vstack([np.column_stack([-full / low[:, None], -np.ones(points)]),
                        np.column_stack([full / high[:, None], -np.ones(points)])])  # fmt: skip
    ends = np.concatenate([-np.ones(points), np.ones(points)])
    best = linprog([0.0] * lights + [1.0], A_ub=matrix, b_ub=ends, bounds=[(0, 1)] * lights + [(0, None)])
    worst = max(lit.worst for lit in found.readings)
    rounding = 0.005 * (full / low[:, None]).sum(axis=1).max()
    assert best.fun - 1e-6 <= worst <= best.fun + rounding


# --- background, meter, several readings -----------------------------------------------------------------------------


def test_background_is_subtracted_and_comes_back():
    rows = [
        row("a", "background", 10, (105, 115)),
        row("a", "panel", 60, dimming="whole", level_pct=50),
        row("b", "panel", 110, (200, 215), level_pct=50),
    ]
    found = retune_alone(rows)
    # 100 at full and 10 of other light; at b, where nobody read it, the same 10 are taken
    assert levels(found) == {"panel": pytest.approx(0.95)}
    assert pars(found) == {"a": pytest.approx(105), "b": pytest.approx(10 + 200 * 0.95)}


def test_the_immersion_factor_multiplies_everything():
    rows = [row("a", "background", 10, (100, 300)), row("a", "bar", 110)]
    assert pars(retune_alone(rows, 1.2))["a"] == pytest.approx(132)
    assert "multiplied by the immersion factor 1.2" in retune_alone(rows, 1.2).notes[0]
    assert "taken as typed" in retune_alone(rows).notes[0]


def test_a_misread_one_among_several_readings_is_named():
    rows = [
        row("a", "panel", par, (50, 300), dimming="whole", level_pct=level)
        for level, par in ((100, 200), (50, 100), (25, 50), (75, 75))
    ]
    found = retune_alone(rows)
    (note,) = [note for note in found.notes if "does not fit" in note]
    assert "75 %: 75 does not fit" in note
    assert "would have to be 150" in note
    assert pars(found)["a"] == pytest.approx(50)


def test_less_than_the_background_is_said():
    rows = [row("a", "background", 20, (10, 90)), row("a", "bar", 15), row("a", "other", 60)]
    assert "less than with all lights off" in " ".join(retune_alone(rows).notes)


# --- what cannot be met, and what would ------------------------------------------------------------------------------


def test_a_point_that_is_too_dark_says_how_much_stronger_a_light_would_have_to_be():
    rows = [row("a", "bar", 100, (150, 200)), row("b", "bar", 60, (80, 140))]
    found = retune_alone(rows)
    assert not found.met
    (stronger,) = [remedy for remedy in found.remedies if remedy.kind == "stronger"]
    assert "152 % of what it brings" in stronger.text
    assert set(stronger.helps) == {"a", "b"}
    assert stronger.enough


def test_a_point_that_is_too_bright_says_what_a_shade_would_have_to_let_through():
    found = retune_alone([row("a", "bar", 100, (30, 50))])
    assert [remedy.kind for remedy in found.remedies] == ["weaker"]
    assert "30 % of its light" in found.remedies[0].text


def test_another_point_with_the_right_light_is_named():
    rows = [row("a", "bar", 300, (100, 150)), row("b", "bar", 120, (100, 400)), row("c", "bar", 320, (200, 400))]
    found = retune_alone(rows)
    assert not found.met
    (place,) = [remedy for remedy in found.remedies if remedy.kind == "place"]
    assert "a: its coral would have its light at b (PAR 120)" in place.text


# --- what is refused -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([], "no light is read"),
        ([row("a", "bar", 0, (10, 20))], "no reading shows anything"),
        ([row("a", "bar", 10)], "par_max is blank"),
        ([row("a", "bar", 10, (10, 20), level_pct=50)], "on or off"),
        ([row("a", "bar", 10, (10, 20)), row("b", "spot", 10, (10, 20))], "has no reading of"),
    ],
)
def test_rows_that_do_not_fit_together_are_refused(rows, said):
    with pytest.raises(InputError, match=said):
        retune_alone(rows)


def test_data_have_the_agreed_keys():
    data = retune_alone([row("a", "bar", 100, (50, 150))]).to_dict()
    assert {"levels", "readings", "misses", "power_w"} <= data.keys()
    assert data["levels"][0]["light"] == "bar"
    assert data["readings"] == [
        {"point": "a", "par": 100.0, "par_min": 100.0, "par_max": 100.0, "wanted": [50.0, 150.0], "met": True}
    ]
