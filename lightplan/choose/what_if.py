"""What if a light dies, or all come back at full after a power cut?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from lightplan.choose.lights import HungLight
from lightplan.choose.par import Measured, output_share
from lightplan.choose.sample import edge_grid
from lightplan.choose.scenarios import SETTLED, scene_bands, scenes_of
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank


def what_if(
    tank: Tank, catalog: Catalog, lights: Sequence[HungLight], measured: Measured | None = None
) -> dict[str, Any]:
    """For each zone in "settled": its PAR with each light out, and its highest PAR with every light at full level.

    `without`: [{light (its place in hang, from 1), fixture, zones: [{zone, par_min, par_mean, low}]}], `low` where the
    zone falls below its band; `all_full`: [{zone, par_max, over}], `over` where it lies above its band. Means are over
    the same grid as the ends. `measured` knows these lights where they have been measured already.
    """
    low, high = scene_bands(tank, catalog, scenes_of(tank)[0])
    layout = [light.in_scene(SETTLED) for light in lights]
    levels = np.array([output_share(light, catalog) for light in layout])
    measured = measured or Measured(tank, catalog, layout)
    without: list[dict[str, Any]] = [
        {"light": number + 1, "fixture": light.fixture, "zones": []} for number, light in enumerate(lights)
    ]
    at_full = []
    for number, zone in enumerate(tank.zones):
        each_full = measured.full(layout, edge_grid(zone, tank.rocks))
        each = each_full * levels
        for out, entry in enumerate(without):
            rest = np.delete(each, out, axis=1).sum(axis=1)
            least = float(rest.min())
            entry["zones"].append(
                {"zone": zone.name, "par_min": least, "par_mean": float(rest.mean()), "low": bool(least < low[number])}
            )
        most = float(each_full.sum(axis=1).max())
        at_full.append({"zone": zone.name, "par_max": most, "over": bool(most > high[number])})
    return {"without": without, "all_full": at_full}
