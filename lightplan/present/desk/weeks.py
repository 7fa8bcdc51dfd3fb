"""The first weeks, for the screens: what is asked of the worker, and what becomes of the answer."""

from __future__ import annotations

import hashlib
from typing import Any

from lightplan.choose.plan import Plan
from lightplan.choose.plan_data import plan_from_dict
from lightplan.choose.solver import Watch
from lightplan.inputs.draft_survey import DraftSurvey
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.meter import MeterReading
from lightplan.inputs.start_file import Start, of_today
from lightplan.operate.rampup import rampup
from lightplan.operate.rampup_calendar import RampUp
from lightplan.present.commands.json_text import json_text
from lightplan.present.commands.ramping import ramp_files
from lightplan.present.desk.packed import packed, unpacked

#: what burns today, as the page asks for it
PLACED, HANGING, READ = "placed", "hanging", "read"
#: weekly rises that are told beside the one asked for, as shares
OTHER_RISES = (0.05, 0.1, 0.15, 0.2)
#: most seconds for the whole answer
TIME_LIMIT = 30.0


def plan_key(plan: Plan) -> str:
    """What tells one plan from another."""
    return hashlib.sha256(json_text(plan.to_dict()).encode()).hexdigest()


def weeks_options(plan: Plan, rises: tuple[float, float, float], today: str, survey: DraftSurvey) -> dict[str, Any]:
    """What a worker is asked: `rises` are the weekly rise, that of the peak PAR, and the share to start at."""
    return {
        "plan": plan.to_dict(),
        "of": plan_key(plan),
        "rises": list(rises),
        "today": today,
        "lights": [light.model_dump(by_alias=True) for light in survey.lights] if today == HANGING else [],
        "readings": [row.model_dump(by_alias=True) for row in of_today(survey.readings)] if today == READ else [],
    }


def weeks_of(options: dict[str, Any], watch: Watch) -> dict[str, Any]:
    """Do what was asked, in the worker's process. Raises what `rampup` raises."""
    plan = plan_from_dict(options["plan"])
    weekly, peak, share = options["rises"]
    start = None
    if options["today"] != PLACED:
        start = Start(
            "today's light",
            readings=tuple(MeterReading.model_validate(row) for row in options["readings"]),
            lights=tuple(LayoutLight.model_validate(row) for row in options["lights"]),
        )
    return packed(
        rampup(
            plan,
            weekly_rise=weekly,
            peak_rise=peak,
            start_share=share,
            start=start,
            other_rises=tuple(dict.fromkeys((*OTHER_RISES, weekly))),
            time_limit=TIME_LIMIT,
            watch=watch,
        )
    )


def ramp_files_of(ramp: RampUp) -> dict[str, bytes]:
    """The calendar as a table, by the name of its file."""
    return {name: content for name, content in ramp_files(ramp).items() if name.endswith(".csv")}


def ramp_up(answer: dict[str, Any]) -> RampUp:
    """What came of it."""
    found = unpacked(answer)
    assert isinstance(found, RampUp)
    return found
