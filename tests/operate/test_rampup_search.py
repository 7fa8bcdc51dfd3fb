"""The search under light that is known by hand: a bar that cannot be dimmed comes in over corals that must be held."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from lightplan.choose.schedule import hours_of
from lightplan.choose.solver import Watch
from lightplan.operate.rampup_case import Ramp
from lightplan.operate.rampup_lights import Choice, RampLight, Setting
from lightplan.operate.rampup_limits import Limits
from lightplan.operate.rampup_par import RampPar
from lightplan.operate.rampup_search import Search, rested
from tests.choose.small import dimmable, fixture, make_catalog, make_tank

CATALOG = make_catalog(dimmable("Stays", min_level_pct=0), fixture("Bar"))
TANK = make_tank()
#: PAR of the lights that stay at full level: 200 at 62 % (common practice, no source)
FULL = 200 / 0.62


def one(name: str, settled: Setting, choices: list[Choice], today: Setting | None) -> RampLight:
    model = CATALOG.fixture(name)
    return RampLight(1, model, 20, 10, False, today is not None, hours_of(TANK, model), tuple(choices), settled, today)


def case(low: float, high: float, level: int, *, peak_rise: float = 0.1) -> Ramp:
    """Two zones: over the first comes a bar of `low` PAR, or `high` hung high; the second has only what stays, at 62 %
    today and at `level` in the end."""
    bare = Choice(15, None, 1.0)
    lights = (
        one("Stays", Setting(0, level, 8), [bare], Setting(0, 62, 8)),
        one("Bar", Setting(0, 100, 8), [bare, Choice(40, None, 1.0)], None),
    )
    edge = np.array([[FULL, low, high], [FULL, 0.0, 0.0]])
    par = RampPar(edge, np.array([0, 1]), edge, np.array([0, 1]))
    today, settled = [Setting(0, 62, 8), Setting(0, 0, 0)], [light.settled for light in lights]
    limits = Limits(
        par.dli_of(lights, today),
        par.par_of(lights, today),
        par.dli_of(lights, settled),
        par.par_of(lights, settled),
        np.array([260.0, 260.0]),
        np.full(2, np.inf),
        peak_rise=peak_rise,
    )
    return Ramp(lights, par, limits, {})


def test_light_adds_up_and_is_proportional_to_the_level():
    """Common practice, no source: 200 from what stays and 50 from a bar read 250; 62 % gives 200, 56 % about 180."""
    ramp = case(50, 25, 56)
    low, high = Setting(0, 100, 8), Setting(1, 100, 8)
    assert ramp.par.par_of(ramp.lights, [Setting(0, 62, 8), low]) == pytest.approx([250, 200])
    assert ramp.par.par_of(ramp.lights, [Setting(0, 62, 8), high]) == pytest.approx([225, 200])
    assert ramp.par.par_of(ramp.lights, [Setting(0, 56, 8), low]) == pytest.approx([230.6, 180.6], abs=0.05)
    assert ramp.par.dli_of(ramp.lights, [Setting(0, 62, 8), Setting(0, 100, 4)])[0] == pytest.approx(0.0036 * 1800)


def test_a_bar_that_cannot_be_dimmed_comes_in_high_with_the_others_turned_down():
    """Common practice, no source. Low it would be too bright at once: 75 with what stays at 45 % is the most, but then
    the corals that have only that would lose more than a fifth. So it hangs high first, with what stays turned down."""
    ramp = case(75, 40, 50)
    found = Search(ramp, Watch()).fewest()
    assert found.path is not None
    assert found.proven
    (stays, bar), last = found.path
    assert len(found.path) == 2
    assert (bar.choice, bar.level_pct) == (1, 100)
    assert 50 <= stays.level_pct <= 55
    assert list(last) == [light.settled for light in ramp.lights]
    dli, peak = ramp.course(found.path)
    assert peak[:, 0].round() == pytest.approx([200, round(FULL * stays.level_pct / 100 + 40), 236])
    assert peak[1, 0] <= 220
    assert dli[1, 1] >= 0.8 * dli[0, 1]


def test_without_a_height_to_hang_it_at_there_is_no_way():
    ramp = case(75, 40, 50)
    stays, bar = ramp.lights
    fixed = dataclasses.replace(bar, choices=bar.choices[:1])
    narrow = RampPar(ramp.par.edge[:, :2], ramp.par.zone, ramp.par.middle[:, :2], ramp.par.first)
    found = Search(dataclasses.replace(ramp, lights=(stays, fixed), par=narrow), Watch()).fewest()
    assert found == type(found)(None, True)


def test_fewer_hours_do_not_excuse_a_jump_in_par():
    ramp = case(75, 75, 50)
    assert Search(ramp, Watch()).fewest().path is None
    assert Search(case(75, 75, 50, peak_rise=0.3), Watch()).fewest().path is not None


def test_no_time_finds_and_proves_nothing():
    assert (
        Search(case(75, 40, 50), Watch(deadline=0.0)).fewest() == Search(case(75, 40, 50), Watch(deadline=0.0)).fewest()
    )
    found = Search(case(75, 40, 50), Watch(deadline=0.0)).fewest()
    assert (found.path, found.proven) == (None, False)


def test_a_light_that_is_off_hangs_as_it_will_next():
    lights = case(75, 40, 50).lights[1:]
    off, high, low = Setting(0, 0, 0), Setting(1, 100, 8), Setting(0, 100, 8)
    path = rested(lights, [[off], [off], [high], [off], [low]])
    assert [week[0].choice for week in path] == [1, 1, 1, 0, 0]
    path = rested(lights, [[high], [off], [off]])
    assert [week[0].choice for week in path] == [1, 1, 1]
