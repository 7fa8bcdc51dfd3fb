from __future__ import annotations

import pytest

from lightplan.light.emission import Emitter
from lightplan.light.field import Source, influence
from lightplan.light.open_water import open_panel
from tests.light.read_under import bare
from tests.light.test_emitter import OPEN_WATER


@pytest.mark.parametrize("place", [(20.0, 0.0, 10.0, 0.0), (25.0, 30.0, 0.0, 0.0), (15.0, 45.0, 40.0, 20.0)])
def test_par_is_that_of_a_tank_without_panes_in_reach(place: tuple[float, float, float, float]) -> None:
    emitter, (height, depth, x, y) = Emitter(150.0, ((1.0, 0.5), (6.0, 0.5))), place
    there = influence(OPEN_WATER, [Source(emitter, 500.0, 500.0, height, 60.0, 15.0)], [[500.0 + x, 500.0 + y, depth]])
    assert open_panel(bare(), *place).par(emitter) == pytest.approx(float(there[0, 0]), rel=2e-3)
