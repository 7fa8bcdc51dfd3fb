"""The commands for after the purchase."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from lightplan.present.options import AsJson, OneTank, between, ended_by_ctrl_c, spread

# what takes long to load is loaded by the command that needs it
# ruff: noqa: PLC0415


def add_operate(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command("rampup")(rampup_command)


@dataclass(frozen=True)
class RampupOptions:
    """The options of `rampup`."""

    tank: OneTank
    plan: Annotated[Path, typer.Option(metavar="FILE", readable=False, help="Its plan, as `plan --out` writes it.")]
    weekly_rise: Annotated[
        float,
        typer.Option(
            metavar="SHARE",
            help="Most that a zone's light of a day rises a week; 0.1 is 10 %.",
            callback=between(0.01, 1),
        ),
    ] = 0.1
    peak_rise: Annotated[
        float,
        typer.Option(metavar="SHARE", help="Most that a zone's peak PAR rises a week.", callback=between(0.01, 1)),
    ] = 0.2
    start: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            readable=False,
            help="Today's light: readings of a meter (point,x_cm,y_cm,depth_cm,par), or a layout. "
            "[default: the placed lights at full]",
        ),
    ] = None
    start_share: Annotated[
        float,
        typer.Option(
            metavar="SHARE",
            help="A zone with less than this share of its light may start at it.",
            callback=between(0, 1, above=True),
        ),
    ] = 0.5
    from_week: Annotated[
        int | None, typer.Option(metavar="N", min=0, help="A coral pales: go back to the settings of week N.")
    ] = None
    hold: Annotated[
        int | None, typer.Option(metavar="K", min=1, max=52, help="Keep those for K weeks more. [default: 1]")
    ] = None
    out: Annotated[
        Path | None, typer.Option(metavar="DIR", readable=False, help="Write rampup.csv and rampup.json there.")
    ] = None
    time_limit: Annotated[
        float, typer.Option(metavar="S", help="Most seconds to search.", callback=between(0, 1e6, above=True))
    ] = 30.0
    json: AsJson = False


@spread
def rampup_command(options: RampupOptions) -> None:
    """Tell how to get from today's light to the plan's, week by week, slowly enough for the animals.

    Levels, hanging heights, shade meshes and hours of every light for each week, in the fewest weeks. Exit codes:
    0 done, 1 the input is wrong, 2 wrong usage, 3 no ramp-up holds every limit (the closest is given).
    """
    if options.hold is not None and options.from_week is None:
        raise typer.BadParameter("--hold needs --from-week, the week to go back to")
    with ended_by_ctrl_c():
        from lightplan.present.commands.ramping import Asked, answer_rampup

        asked = Asked(
            options.weekly_rise,
            options.peak_rise,
            options.start,
            options.start_share,
            options.from_week,
            options.hold,
            options.time_limit,
        )
        code = answer_rampup(options.tank, options.plan, asked, options.out, as_json=options.json)
    raise typer.Exit(code)
