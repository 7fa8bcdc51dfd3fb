"""What if a light dies, or all come back at full after a power cut: one line for each event that leaves a band."""

from __future__ import annotations

from typing import Any

from lightplan.choose.plan import Plan, ZoneRow
from lightplan.choose.scenarios import SETTLED
from lightplan.choose.verify import TOLERANCE
from lightplan.present.texts.words import listed


def what_if_lines(plan: Plan) -> list[str]:
    """One line for each light without which a zone falls below its band, one if full level lifts a zone over it.

    A zone that the plan itself leaves outside its band is named only where the event makes that worse.
    """
    zones = {row.light.zone: row for row in plan.zones if row.scene == SETTLED}
    lines = []
    for entry in plan.what_if.get("without", ()):
        low = [_low(zone, zones[zone["zone"]]) for zone in entry["zones"] if _is_low(zone, zones[zone["zone"]])]
        if low:
            lines.append(f"Light {entry['light']} ({entry['fixture']}) dies: too dark in {listed(low)}.")
    over = [
        _over(zone, zones[zone["zone"]])
        for zone in plan.what_if.get("all_full", ())
        if _is_over(zone, zones[zone["zone"]])
    ]
    if over:
        lines.append(f"All lights come back at full level after a power cut: too bright in {listed(over)}.")
    return lines


def _is_low(zone: dict[str, Any], row: ZoneRow) -> bool:
    return bool(zone["par_min"] < (1 - TOLERANCE) * min(row.wanted[0], row.light.par_min))


def _is_over(zone: dict[str, Any], row: ZoneRow) -> bool:
    return bool(zone["par_max"] > (1 + TOLERANCE) * max(row.wanted[1], row.light.par_max))


def _low(zone: dict[str, Any], row: ZoneRow) -> str:
    return f"{zone['zone']} ({zone['par_min']:.0f}, wants {row.wanted[0]:.0f} or more)"


def _over(zone: dict[str, Any], row: ZoneRow) -> str:
    return f"{zone['zone']} ({zone['par_max']:.0f}, wants {row.wanted[1]:.0f} at most)"
