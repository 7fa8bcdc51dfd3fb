"""All drawings from one place, loading nothing that they do not need."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable

import pytest

from lightplan.choose.maps import par_map
from lightplan.choose.plan import Plan
from lightplan.present.drawings import charts
from tests.present.drawings.helpers import said


def test_every_name_is_there() -> None:
    assert all(getattr(charts, name) is not None for name in charts.__all__)


def test_importing_the_charts_starts_no_engine(environment: Callable[..., dict[str, str]]) -> None:
    code = "import sys, lightplan.present.drawings.charts; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment())
    assert not set(done.stdout.split()) & {"streamlit", "pandas", "scipy", "vl_convert", "matplotlib"}
    assert done.stderr == ""


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_a_plan_can_be_drawn_in_full(scenes_plan: Plan, theme: charts.Theme) -> None:
    tank, catalog = scenes_plan.tank, scenes_plan.catalog
    lights = charts.drawn_lights(scenes_plan.lights, catalog)
    par = par_map(tank, catalog, [light.in_scene("settled") for light in scenes_plan.lights], 15, step_cm=2)
    for chart in (
        charts.above(tank, catalog, lights=lights, par=par, theme=theme),
        charts.side(tank, catalog, lights=lights, theme=theme),
    ):
        words = said(chart)
        assert "middle" in words
        assert any(text.startswith("1: ") for text in words)
        assert charts.image_tag(charts.svg(chart), "a tank").startswith("<img ")
