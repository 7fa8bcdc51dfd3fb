"""The command line. Commands hold no logic: they read options, call what answers, and print what comes of it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from lightplan.present.cli_operate import add_operate
from lightplan.present.cli_survey import add_survey
from lightplan.present.cli_tradeoffs import add_tradeoffs
from lightplan.present.commands.stop import ENDED, EndedError
from lightplan.present.options import (
    BY_HIGHS,
    HERE,
    USUAL,
    AsJson,
    By,
    CatalogFolder,
    OneTank,
    Search,
    Tanks,
    Who,
    between,
    ended_by_ctrl_c,
    spread,
)
from lightplan.version import VERSION

# what takes long to load is loaded by the command that needs it
# ruff: noqa: PLC0415

app = typer.Typer(
    name="lightplan",
    help="Which lights to buy for a reef tank, where to hang them and how hard to run them, for the least money.",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)

WRONG_INPUT = 1


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"lightplan {VERSION}")
        raise typer.Exit


@app.callback()
def _all_commands(
    version: Annotated[
        bool, typer.Option("--version", help="Show the version and end.", callback=_version, is_eager=True)
    ] = False,
) -> None:
    pass


@app.command("plan")
@spread
def plan_command(
    tanks: Tanks,
    catalog: CatalogFolder = None,
    out: Annotated[
        Path | None,
        typer.Option(metavar="DIR", readable=False, help="Write plan.json, tables, drawings and report.html there."),
    ] = None,
    budget: Annotated[
        float | None,
        typer.Option(
            metavar="X",
            help="Most to pay for lights and extras, instead of the tank file's.",
            callback=between(0, 1e9),
        ),
    ] = None,
    search: Search = USUAL,
    by: By = BY_HIGHS,
    who: Who = HERE,
    json: AsJson = False,
) -> None:
    """Find the cheapest lights that meet every wish.

    Where nothing meets every wish, the closest is shown, with the changes that would make a plan possible.
    Ctrl-C ends the search and keeps the best plan found. Exit codes: 0 done, 1 the input is wrong, 2 wrong usage,
    3 no plan meets every wish (the closest is given), 4 stopped with no plan.
    """
    with ended_by_ctrl_c() as interrupts:
        from lightplan.present.commands.jobs import Wishes
        from lightplan.present.commands.planning import plan_all

        wishes = Wishes(catalog, out, budget, search.gap, search.time_limit, by.name)
        code = plan_all(tanks, wishes, interrupts, who.workers, who.scheduler, as_json=json)
    raise typer.Exit(code)


add_tradeoffs(app)
add_operate(app)
add_survey(app)


@app.command("costs")
def costs_command(
    plan: Annotated[
        Path, typer.Argument(metavar="PLAN.json", readable=False, help="A plan, as `plan --out` writes it.")
    ],
    json: AsJson = False,
) -> None:
    """Tell what a plan costs to run: year by year, month by month, by light.

    With the light that is left as lamps age, the power at each price, and the load of the circuit. Exit codes: 0 done,
    1 the plan cannot be read, 2 wrong usage.
    """
    with ended_by_ctrl_c():
        from lightplan.present.commands.costing import answer_costs

        code = answer_costs(plan, as_json=json)
    raise typer.Exit(code)


@app.command("report")
def report_command(
    plan: Annotated[
        Path, typer.Argument(metavar="PLAN.json", readable=False, help="A plan, as `plan --out` writes it.")
    ],
    out: Annotated[Path, typer.Option(metavar="FILE", readable=False, help="Write the report there, as HTML.")],
    inches: Annotated[bool, typer.Option("--inches", help="Show lengths in inches.")] = False,
) -> None:
    """Write a plan as one HTML page to print or to keep.

    The page needs no network and nothing beside it. Exit codes: 0 done, 1 the plan cannot be read or the page cannot be
    written, 2 wrong usage.
    """
    with ended_by_ctrl_c():
        from lightplan.present.commands.reporting import answer_report

        code = answer_report(plan, out, inches=inches)
    raise typer.Exit(code)


@app.command("par")
def par_command(
    tank: OneTank,
    layout: Annotated[
        Path,
        typer.Option(metavar="FILE", readable=False, help="Lights as hung or imagined (layout.csv, hang.csv)."),
    ],
    points: Annotated[Path, typer.Option(metavar="FILE", readable=False, help="Points in the tank (points.csv).")],
    catalog: CatalogFolder = None,
    scene: Annotated[str | None, typer.Option(metavar="NAME", help="Which scene of a hang.csv.")] = None,
    json: AsJson = False,
) -> None:
    """Tell the PAR at points under given lights.

    The answer is CSV: point,par. Only the layout's lights count, not those placed in the tank file.
    """
    with ended_by_ctrl_c():
        from lightplan.present.commands.par_points import answer_par

        code = answer_par(tank, catalog, layout, points, scene, as_json=json)
    raise typer.Exit(code)


@app.command("check")
def check_command(
    paths: Annotated[
        list[Path],
        typer.Argument(metavar="TANK|DIR", readable=False, help="Tank files, or folders with a catalog."),
    ],
    catalog: CatalogFolder = None,
    json: AsJson = False,
) -> None:
    """Tell every problem of tank files and catalogs.

    Exit code 1 if there is an error, 0 if there are only warnings or nothing.
    """
    with ended_by_ctrl_c():
        from lightplan.present.commands.checking import answer_check

        code = answer_check(paths, catalog, as_json=json)
    raise typer.Exit(code)


@app.command("example")
def example_command(
    directory: Annotated[Path, typer.Argument(metavar="DIR", readable=False, help="Folder to write to.")],
) -> None:
    """Write the example catalog and tanks to a folder.

    Nothing is written where a file of the same name is there already.
    """
    with ended_by_ctrl_c():
        from lightplan.present.commands.example import answer_example

        code = answer_example(directory)
    raise typer.Exit(code)


@app.command("app")
def app_command(
    port: Annotated[
        int | None,
        typer.Option(metavar="N", min=1024, max=65535, help="Port to listen on. [default: 8501, or the next free]"),
    ] = None,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the screens in a browser.")] = True,
) -> None:
    """Open the screens in a browser.

    They are served on this machine only (127.0.0.1), and nothing is sent anywhere.
    """
    with ended_by_ctrl_c():
        from lightplan.present.commands.serving import serve

        code = serve(port, browser=browser)
    raise typer.Exit(code)


def main() -> None:
    """Run the command line and end the program."""
    from lightplan.present.commands.streams import leave, make_safe, tell

    make_safe()
    code: int | str | None = 0
    try:
        app(prog_name="lightplan")
    except SystemExit as end:
        code = end.code
    except (KeyboardInterrupt, EndedError):
        code = ENDED
    except OSError as error:
        tell(f"the answer could not be written: {error.strerror or error}")
        code = WRONG_INPUT
    leave(code if isinstance(code, int) else 0 if code is None else WRONG_INPUT)
