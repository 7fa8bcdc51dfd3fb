"""The part of the command line that is about meter readings. Like all of it, it only reads options."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from lightplan.present.options import AsJson, CatalogFolder, OneTank, between, ended_by_ctrl_c

# what takes long to load is loaded by the command that needs it
# ruff: noqa: PLC0415


def add_survey(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command("calibrate")(calibrate_command)
    app.command("retune")(retune_command)


Scene = Annotated[str | None, typer.Option("--scene", metavar="NAME", help="Which scene of a hang.csv.")]


def calibrate_command(
    tank: OneTank,
    layout: Annotated[Path, typer.Option(metavar="FILE", readable=False, help="Lights as they hang (layout.csv).")],
    readings: Annotated[Path, typer.Option(metavar="FILE", readable=False, help="Meter readings (meter.csv).")],
    catalog: CatalogFolder = None,
    scene: Scene = None,
    out: Annotated[
        Path | None,
        typer.Option(metavar="DIR", readable=False, help="Write the catalog and tank file as read there, for `plan`."),
    ] = None,
    json: AsJson = False,
) -> None:
    """Check the lights against the meter.

    Tells what each light gives of what the catalog claims, how clear the water is, which readings do not fit, and which
    reading would help most. Exit codes: 0 done, 1 the input is wrong, 2 wrong usage.
    """
    with ended_by_ctrl_c():
        from lightplan.present.commands.surveying import SurveyFiles, answer_calibrate

        files = SurveyFiles(tank, catalog, layout, readings, scene, out)
        code = answer_calibrate(files, as_json=json)
    raise typer.Exit(code)


def retune_command(
    tank: Annotated[
        Path | None, typer.Argument(metavar="[TANK]", readable=False, help="Tank file (TOML); not with --alone.")
    ] = None,
    layout: Annotated[
        Path | None, typer.Option(metavar="FILE", readable=False, help="Lights as they hang (layout.csv).")
    ] = None,
    readings: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", readable=False, help="Meter readings (meter.csv). [default: the claims are believed]"
        ),
    ] = None,
    alone: Annotated[
        Path | None,
        typer.Option(metavar="FILE", readable=False, help="Each light read alone at each coral (alone.csv): no tank."),
    ] = None,
    immersion_factor: Annotated[
        float | None,
        typer.Option(
            metavar="X", help="With --alone: multiply all readings by it.", callback=between(0, 10, above=True)
        ),
    ] = None,
    catalog: CatalogFolder = None,
    scene: Scene = None,
    json: AsJson = False,
) -> None:
    """Find the levels that bring every zone, or every coral, nearest to its band.

    Either for a tank with a layout, by meter readings or else by the catalog's claims; or, with --alone, from readings
    of each light alone and nothing else. Exit codes: 0 all is met, 1 the input is wrong, 2 wrong usage, 3 no levels
    meet every wish (the nearest are given), 4 stopped before the nearest were proven.
    """
    if alone is None and (tank is None or layout is None):
        raise typer.BadParameter("needs a TANK with --layout, or --alone")
    if alone is not None and any(value is not None for value in (tank, layout, readings, catalog, scene)):
        raise typer.BadParameter("--alone goes with no tank, layout, readings, catalog or scene")
    if alone is None and immersion_factor is not None:
        raise typer.BadParameter("--immersion-factor goes with --alone; a tank file has its own ([meter])")
    with ended_by_ctrl_c():
        from lightplan.present.commands.surveying import SurveyFiles, answer_retune, answer_retune_alone

        if alone is not None or tank is None or layout is None:
            code = answer_retune_alone(alone or Path(), immersion_factor, as_json=json)
        else:
            code = answer_retune(SurveyFiles(tank, catalog, layout, readings, scene), as_json=json)
    raise typer.Exit(code)
