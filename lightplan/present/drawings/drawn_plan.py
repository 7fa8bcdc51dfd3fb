"""A plan's drawings in one scene: the lights as they hang there, with the PAR that they give."""

from __future__ import annotations

from dataclasses import dataclass

import altair as alt

from lightplan.choose.maps import ParMap, limit_of, par_map
from lightplan.choose.plan import Plan
from lightplan.choose.scenarios import SETTLED
from lightplan.present.drawings.charts import Theme, above, drawn_lights, side


def scenes_of_plan(plan: Plan) -> list[str]:
    """The plan's scenes by name, normal running first."""
    return list(dict.fromkeys([SETTLED, *(row.scene for row in plan.zones)]))


def usual_depth(plan: Plan) -> float:
    """The depth to begin with: the mean of the zones' depths, in whole cm."""
    depths = [sum(zone.depth_cm) / 2 for zone in plan.tank.zones]
    deepest = float(plan.tank.box.depth_cm)
    return min(deepest, float(round(sum(depths) / len(depths)))) if depths else float(round(deepest / 2))


@dataclass(frozen=True)
class PlanDrawings:
    """The drawings of one scene of a plan, all to the same scale of colours where the same `limit` is given."""

    plan: Plan
    scene: str = SETTLED
    theme: Theme = "light"
    inches: bool = False

    def par(self, depth_cm: float) -> ParMap:
        """PAR over the tank at a depth in this scene."""
        layout = [light.in_scene(self.scene) for light in self.plan.lights]
        return par_map(self.plan.tank, self.plan.catalog, layout, depth_cm)

    def limit(self, depth_cm: float, other: Plan | None = None) -> float:
        """The upper end of the colours for the map at a depth, and for that of another plan beside it."""
        maps = [self.par(depth_cm)]
        if other is not None and other.lights:
            maps.append(PlanDrawings(other, scene_in(other, self.scene)).par(depth_cm))
        return limit_of(*maps)

    def above(self, depth_cm: float, limit: float) -> alt.LayerChart:
        """From above, with the PAR at a depth."""
        lights = drawn_lights(self.plan.lights, self.plan.catalog, self.scene)
        return above(self.plan.tank, self.plan.catalog, lights=lights, par=self.par(depth_cm), limit=limit,
                     theme=self.theme, inches=self.inches)  # fmt: skip

    def side(self) -> alt.LayerChart:
        """From the front, the lights at their heights."""
        lights = drawn_lights(self.plan.lights, self.plan.catalog, self.scene)
        return side(self.plan.tank, self.plan.catalog, lights=lights, theme=self.theme, inches=self.inches)


def scene_in(plan: Plan, scene: str) -> str:
    """A scene of a plan: the one named, or normal running where it has none of that name."""
    return scene if scene in scenes_of_plan(plan) else SETTLED
