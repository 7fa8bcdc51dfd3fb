"""The part of the command line that is about a plan's neighbourhood. Like all of it, it only reads options."""

from __future__ import annotations

from enum import Enum
from typing import Annotated

import typer

from lightplan.present.options import (
    CLOSE,
    HERE,
    USUAL,
    AsJson,
    CatalogFolder,
    OneTank,
    Search,
    Who,
    between,
    ended_by_ctrl_c,
    spread,
)

# what takes long to load is loaded by the command that needs it
# ruff: noqa: PLC0415


def add_tradeoffs(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command("fixtures")(fixtures_command)
    app.command("compare")(spread(compare_command))
    app.command("frontier")(spread(frontier_command))
    app.command("alternatives")(spread(alternatives_command))
    app.command("wishes")(spread(wishes_command))


def fixtures_command(tank: OneTank, catalog: CatalogFolder = None, json: AsJson = False) -> None:
    """Tell what each light is worth over a tank.

    Its light per watt and price, where it hangs best and the PAR it brings there, what part of its light enters the
    water, and the scenes for which it is too bright. Exit codes: 0 done, 1 the input is wrong, 2 wrong usage.
    """
    with ended_by_ctrl_c():
        from lightplan.present.commands.tradeoffs import answer_fixtures

        code = answer_fixtures(tank, catalog, as_json=json)
    raise typer.Exit(code)


def compare_command(
    tank: OneTank,
    catalog: CatalogFolder = None,
    search: Search = USUAL,
    who: Who = HERE,
    json: AsJson = False,
) -> None:
    """Set ways to buy side by side: only on/off lights, only dimmable, only tunable, the cheapest, only what you have.

    With the scenes that each cannot produce. Exit codes: 0 done, 1 the input is wrong, 2 wrong usage, 3 no way meets
    every wish, 4 stopped before it was known.
    """
    with ended_by_ctrl_c() as interrupts:
        from lightplan.choose.tradeoff.solving import Options
        from lightplan.present.commands.studying import Asked
        from lightplan.present.commands.tradeoffs import answer_compare

        asked = Asked(tank, catalog, Options(search.gap, search.time_limit), who.workers, who.scheduler, json)
        code = answer_compare(asked, interrupts)
    raise typer.Exit(code)


class AgainstWish(Enum):
    """What a curve can be drawn against."""

    dimmable_share = "dimmable_share"
    claims = "claims"
    par_scale = "par_scale"
    budget = "budget"


def frontier_command(
    tank: OneTank,
    against: Annotated[AgainstWish, typer.Option(help="The wish that is made harder from point to point.")],
    catalog: CatalogFolder = None,
    points: Annotated[int, typer.Option(metavar="N", min=2, max=100, help="How many points.")] = 8,
    search: Search = USUAL,
    who: Who = HERE,
    json: AsJson = False,
) -> None:
    """Tell the least cost over the years against a wish: what more control, margin, light or budget costs or saves.

    Each point is a plan of its own, as `plan` finds it. Exit codes: 0 done, 1 the input is wrong, 2 wrong usage, 3 no
    point has a plan, 4 stopped before it was known.
    """
    with ended_by_ctrl_c() as interrupts:
        from lightplan.choose.tradeoff.solving import Options
        from lightplan.present.commands.studying import Asked
        from lightplan.present.commands.tradeoffs import answer_frontier

        asked = Asked(tank, catalog, Options(search.gap, search.time_limit), who.workers, who.scheduler, json)
        code = answer_frontier(asked, against.value, points, interrupts)
    raise typer.Exit(code)


def alternatives_command(
    tank: OneTank,
    catalog: CatalogFolder = None,
    within: Annotated[
        float,
        typer.Option(metavar="PCT", help="How much more they may cost, in per cent.", callback=between(0, 1000)),
    ] = 10.0,
    search: Search = USUAL,
    who: Who = HERE,
    json: AsJson = False,
) -> None:
    """Find plans nearly as cheap as the cheapest that are the best in something.

    The most dimmable, the most even, the lowest power, the fewest lights, the most room to grow; all meet every wish.
    Ctrl-C ends the search and keeps what was found. Exit codes: 0 done, 1 the input is wrong, 2 wrong usage, 3 no plan
    meets every wish, 4 stopped with no plan.
    """
    with ended_by_ctrl_c() as interrupts:
        from lightplan.choose.tradeoff.solving import Options
        from lightplan.present.commands.studying import Asked
        from lightplan.present.commands.tradeoffs import answer_alternatives

        asked = Asked(tank, catalog, Options(search.gap, search.time_limit), who.workers, who.scheduler, json)
        code = answer_alternatives(asked, within, interrupts)
    raise typer.Exit(code)


def wishes_command(
    tank: OneTank,
    catalog: CatalogFolder = None,
    search: Search = CLOSE,
    who: Who = HERE,
    json: AsJson = False,
) -> None:
    """Tell what each wish costs: how much cheaper the plan would be without it.

    Zones, scenes, limits, rules and margins, one at a time; and where the corals of a costly zone would be as well off.
    Ctrl-C ends the search and keeps what was found. Exit codes: 0 done, 1 the input is wrong, 2 wrong usage, 3 no plan
    meets every wish, 4 stopped with no plan.
    """
    with ended_by_ctrl_c() as interrupts:
        from lightplan.choose.tradeoff.solving import Options
        from lightplan.present.commands.studying import Asked
        from lightplan.present.commands.tradeoffs import answer_wishes

        asked = Asked(tank, catalog, Options(search.gap, search.time_limit), who.workers, who.scheduler, json)
        code = answer_wishes(asked, interrupts)
    raise typer.Exit(code)
