"""How the time of a plan grows: with candidates, with points, with scenes, with fixtures bought.

    pytest -n 0 -s tests/bench/test_growth.py                           two sizes of each, some seconds
    LIGHTPLAN_LONG=1 pytest -n 0 -s tests/bench/test_growth.py          all sizes, some minutes
    LIGHTPLAN_PLOT=growth.svg LIGHTPLAN_LONG=1 pytest ...               and a drawing of it

One tank is made larger in one respect at a time. The exponent is the slope of the straight line through the seconds of
the processor against the size, both as logarithms: 1 means twice the size, twice the time. Only the answers are tested.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import altair as alt
import numpy as np
import pandas as pd
import pytest

from lightplan.choose.job import Job, make_job
from lightplan.choose.plan import plan
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank

Data = dict[str, Any]

LONG = os.environ.get("LIGHTPLAN_LONG") == "1"
PLOT = os.environ.get("LIGHTPLAN_PLOT")
GAP, LIMIT = 0.01, 120.0
#: so many times each is planned; the median counts
TIMES = 3 if LONG else 1

FIXTURES = [
    {"fixture": "Narrow bar", "price": 34, "power_w": 22, "length_cm": 45, "width_cm": 6, "ppf_umol_s": 48,
     "beam_angle_deg": 90},
    {"fixture": "Wide bar", "price": 52, "power_w": 34, "length_cm": 60, "width_cm": 6, "ppf_umol_s": 70,
     "beam_angle_deg": 120},
    {"fixture": "Panel", "price": 140, "power_w": 48, "length_cm": 30, "width_cm": 18, "ppf_umol_s": 118,
     "beam_angle_deg": 110, "dimming": "whole"},
    {"fixture": "Long panel", "price": 210, "power_w": 75, "length_cm": 60, "width_cm": 18, "ppf_umol_s": 190,
     "beam_angle_deg": 110, "dimming": "whole"},
]  # fmt: skip


def tank_of(*, length: float = 90, step: float = 10, scenes: int = 1, size: float = 20) -> Tank:
    """Three zones side by side, so long as the tank; `size` is each zone's side, cm."""
    middles = (length / 6, length / 2, length * 5 / 6)
    zones = [
        {"name": f"zone {n}", "x_cm": [x - size / 2, x + size / 2], "y_cm": [18, 30], "depth_cm": 12 + 10 * n,
         "par": [110 - 25 * n, 420 - 60 * n]}
        for n, x in enumerate(middles)
    ]  # fmt: skip
    dim = [{"name": f"dim {n}", "par_scale": 0.9 - 0.1 * n, "at_least": False} for n in range(1, scenes)]
    hanging = {"rows_y_cm": [24], "step_cm": step, "heights_cm": [15, 25, 40]}
    box = {"length_cm": length, "width_cm": 48, "depth_cm": 50}
    return Tank.model_validate(
        {"tank": box, "zone": zones, "hanging": hanging, "scene": dim, "margin": {"claims": False}}
    )


def candidates(job: Job) -> int:
    return len(job.candidates.choice_hanging)


def points(job: Job) -> int:
    return len(job.sample.points)


def settings(job: Job) -> int:
    return len(job.scenarios.settings)


#: what grows: how it is counted, and the tanks
GROWTHS: dict[str, tuple[Callable[[Job], int], list[Data]]] = {
    "candidates": (candidates, [{"step": step} for step in (15, 10, 5, 3, 2, 1)]),
    "points": (points, [{"size": size} for size in (6, 10, 16, 24, 30)]),
    "scenes": (settings, [{"scenes": scenes} for scenes in (1, 2, 3, 5, 7)]),
    "length of the tank": (lambda job: round(job.tank.box.length_cm), [{"length": n} for n in (60, 90, 120, 150, 180)]),
}


def timed(tank: Tank, catalog: Catalog) -> tuple[float, int]:
    """Median seconds of the processor for a proven plan, and how many fixtures it buys."""
    taken, bought = [], 0
    for _ in range(TIMES):
        started = time.process_time()
        made = plan(tank, catalog, gap=GAP, time_limit=LIMIT, or_closest=False)
        taken.append(time.process_time() - started)
        assert made.status == "optimal"
        bought = len(made.lights)
    return float(np.median(taken)), bought


@pytest.mark.timeout(3600)
def test_growth() -> None:
    catalog = Catalog.model_validate({"fixtures": FIXTURES})
    rows = []
    for what, (count, tanks) in GROWTHS.items():
        for keys in tanks if LONG else tanks[:2]:
            tank = tank_of(**keys)
            seconds, bought = timed(tank, catalog)
            rows.append({"what": what, "size": count(make_job(tank, catalog)), "seconds": seconds, "bought": bought})
    table = pd.DataFrame(rows)
    for what, part in table.groupby("what", sort=False):
        slope = np.polyfit(np.log(part["size"]), np.log(part["seconds"]), 1)[0]
        told = ", ".join(
            f"{row.size:g}: {row.seconds:.2f} s ({row.bought} bought)" for row in part.itertuples(index=False)
        )
        print(f"\n{what}: exponent {slope:.2f}; {told}")
    if PLOT:
        Path(PLOT).write_text(drawn(table), encoding="utf-8")
    assert (table["seconds"] > 0).all()


def drawn(table: pd.DataFrame) -> str:
    """Seconds against size, both as logarithms, as SVG."""
    import vl_convert

    scale = alt.Scale(type="log", nice=False)
    chart = alt.Chart(table).mark_line(point=True).encode(
        x=alt.X("size", scale=scale), y=alt.Y("seconds", scale=scale), color="what", shape="what"
    )  # fmt: skip
    return str(vl_convert.vegalite_to_svg(chart.to_json()))
