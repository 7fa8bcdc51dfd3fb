"""What a plan misses, zone by zone, in plain sentences."""

from __future__ import annotations

from lightplan.choose.plan import Plan
from lightplan.present.texts.words import band, scene_name, verdict


def missed_lines(plan: Plan) -> list[str]:
    """One line for each zone and scene of a plan that lies outside its band: what it gets and what it wants."""
    return [
        f"{row.light.zone} in {scene_name(row.scene)}: {verdict(row.light)} (PAR {row.light.par_min:.0f} to "
        f"{row.light.par_max:.0f}, wants {band(row.wanted)})."
        for row in plan.zones
        if not row.light.met
    ]
