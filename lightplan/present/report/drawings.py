"""The drawings of a report, and the same as files: from above and from the front, with PAR, as SVG."""

from __future__ import annotations

import html
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.maps import ParMap, ParSection, limit_of, par_map, par_section
from lightplan.choose.plan import Plan
from lightplan.choose.scenarios import SETTLED
from lightplan.present.drawings.charts import above, drawn_lights, side, svg, zone_bars
from lightplan.present.drawings.drawn_plan import scenes_of_plan, usual_depth
from lightplan.present.texts.words import scene_name

PROLOG = '<?xml version="1.0" encoding="UTF-8"?>\n'


@dataclass(frozen=True)
class _Pars:
    """PAR that belongs to no map."""

    par: NDArray[np.float64]


@dataclass(frozen=True)
class ReportDrawings:
    """The drawings of a plan in all its scenes, each an SVG text; one scale of colours for all maps.

    Maps from above are at `depth_cm`, the mean of the zones' depths; those from the front in the plane `y_cm`, the
    mean of the zones' middles.
    """

    plan: Plan
    inches: bool = False

    @cached_property
    def scenes(self) -> tuple[str, ...]:
        """The plan's scenes, normal running first."""
        return tuple(scenes_of_plan(self.plan))

    @cached_property
    def depth_cm(self) -> float:
        """The depth of the maps."""
        return usual_depth(self.plan)

    @cached_property
    def y_cm(self) -> float:
        """The plane of the sections: the mean of the zones' middles, from the front."""
        middles = [sum(zone.y_cm) / 2 for zone in self.plan.tank.zones]
        return float(round(sum(middles) / len(middles))) if middles else self.plan.tank.box.width_cm / 2

    @cached_property
    def limit(self) -> float:
        """The upper end of all colour scales, µmol/m²/s: the most on a map from above or in a zone.

        Just below the surface there may be far more; a scale up to that would leave the zones without contrast.
        """
        highest = np.array([row.light.par_max for row in self.plan.zones], dtype=np.float64)
        return limit_of(*self._maps.values(), _Pars(highest))

    @cached_property
    def _maps(self) -> dict[str, ParMap]:
        plan = self.plan
        layouts = {scene: [light.in_scene(scene) for light in plan.lights] for scene in self.scenes}
        return {scene: par_map(plan.tank, plan.catalog, rows, self.depth_cm) for scene, rows in layouts.items()}

    @cached_property
    def _section(self) -> ParSection:
        rows = [light.in_scene(SETTLED) for light in self.plan.lights]
        return par_section(self.plan.tank, self.plan.catalog, rows, self.y_cm)

    @cached_property
    def _from_above(self) -> dict[str, str]:
        return {}

    def above(self, scene: str = SETTLED) -> str:
        """From above in a scene, with the PAR at the maps' depth."""
        if scene not in self._from_above:
            self._from_above[scene] = self._draw_above(scene)
        return self._from_above[scene]

    def _draw_above(self, scene: str) -> str:
        plan, par = self.plan, self._maps[scene]
        lights = drawn_lights(plan.lights, plan.catalog, scene)
        return svg(
            above(
                plan.tank,
                plan.catalog,
                lights=lights,
                par=par,
                limit=self.limit,
                inches=self.inches,
                points=(),
            )
        )

    @cached_property
    def side(self) -> str:
        """From the front in normal running, with the PAR in the plane of the sections."""
        plan, par = self.plan, self._section
        lights = drawn_lights(plan.lights, plan.catalog)
        return svg(side(plan.tank, plan.catalog, lights=lights, par=par, limit=self.limit, inches=self.inches))

    def bars(self, scene: str) -> str:
        """The PAR of each zone in a scene beside the band that was wanted."""
        return svg(zone_bars(self.plan, scene))


def svg_file(picture: str, title: str) -> bytes:
    """An SVG text as a file of its own: UTF-8 with an XML prolog and a title."""
    start = picture.index("<svg")
    end = picture.index(">", start) + 1
    named = f"{picture[start:end]}<title>{html.escape(title)}</title>{picture[end:]}"
    return (PROLOG + named + "\n").encode("utf-8", "backslashreplace")


def drawing_files(drawings: ReportDrawings) -> dict[str, bytes]:
    """above.svg and side.svg: the plan in normal running, on a light page."""
    name = f"{drawings.plan.tank.box.name}, {scene_name(SETTLED)}"
    return {
        "above.svg": svg_file(drawings.above(), f"{name}: from above"),
        "side.svg": svg_file(drawings.side, f"{name}: from the front"),
    }
