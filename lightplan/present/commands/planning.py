"""The plan command: one tank printed in full, several with a row each."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import typer
from rich.cells import set_cell_size

from lightplan.choose.plan import Plan
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.crew import Crew, open_crew
from lightplan.inputs.errors import InputError, Problem
from lightplan.inputs.tank import Tank
from lightplan.present.commands.jobs import WRONG_INPUT, Code, Outcome, Ready, Wishes, plan_tank, prepare, worst
from lightplan.present.commands.json_text import json_text
from lightplan.present.commands.printed import plan_page
from lightplan.present.commands.progress import Count, Progress
from lightplan.present.commands.stop import Interrupts
from lightplan.present.commands.streams import answer, tell, tell_problems
from lightplan.present.commands.together import plan_together
from lightplan.present.texts.words import counted, money, status_words

#: columns of the table of several tanks: heading, width, set to the right
COLUMNS = (
    ("tank", 24, False),
    ("result", 36, False),
    ("lights", 6, True),
    ("to buy", 10, True),
    ("all told", 10, True),
)
#: more warnings than this about files are only counted
MOST_WARNINGS = 10


class _Screen:
    """Warnings as sentences, each once, and progress as a line: a listener on standard error."""

    def __init__(self, interrupts: Interrupts, time_limit: float) -> None:
        self._interrupts = interrupts
        self._limit = time_limit
        self._told: set[Problem] = set()

    def warn(self, problems: Sequence[Problem]) -> None:
        """Write the warnings that no earlier tank brought already, a sentence each, as far as they can be read."""
        new = [problem for problem in problems if problem not in self._told]
        self._told.update(new)
        tell_problems(new[:MOST_WARNINGS])
        if len(new) > MOST_WARNINGS:
            tell(f"{len(new) - MOST_WARNINGS} more warnings: `lightplan check` tells them all.")

    @contextmanager
    def searching(self, tank: Tank) -> Iterator[Watch]:
        """Show the progress of a search while it runs."""
        progress = Progress(tank.box.name, tank.money.currency, self._limit)
        with progress, self._interrupts.search() as stop:
            yield Watch(stop=stop, tell=progress.tell, say=progress.say)

    @contextmanager
    def counting(self, tanks: int) -> Iterator[tuple[Watch, Count]]:
        """Show how many tanks are done while they are worked on."""
        progress = Count(counted(tanks, "tank"), "", self._limit)
        with progress, self._interrupts.search() as stop:
            yield Watch(stop=stop, tell=progress.tell, say=progress.say), progress


def plan_all(
    tanks: Sequence[Path],
    wishes: Wishes,
    interrupts: Interrupts,
    workers: int | None = None,
    scheduler: str | None = None,
    *,
    as_json: bool,
) -> Code:
    """Plan each tank and answer: as text, or as JSON (one plan, or a list). Returns the exit code.

    Several tanks are shared out over `workers` processes, or over the workers of a Dask scheduler at this address.
    """
    folders, screen = _folders(tanks, wishes.out), _Screen(interrupts, wishes.time_limit)
    if len(tanks) == 1 and scheduler is None:
        # one search is no work to share out
        outcome = plan_tank(tanks[0], wishes, screen)
        tell_problems(outcome.problems)
        outcomes = [outcome]
    else:
        try:
            with open_crew(workers, scheduler) as crew:
                own = [dataclasses.replace(wishes, out=folder) for folder in folders]
                jobs = [prepare(path, job) for path, job in zip(tanks, own, strict=True)]
                outcomes = _together(jobs, crew, screen, show_rows=len(tanks) > 1 and not as_json)
        except InputError as error:
            tell_problems(error.problems)
            return WRONG_INPUT
    if as_json:
        _answer_json(outcomes)
    elif len(tanks) == 1:
        _answer_in_full(outcomes[0], wishes.out)
    return worst(outcome.code for outcome in outcomes)


def _together(jobs: Sequence[Ready | Outcome], crew: Crew, screen: _Screen, *, show_rows: bool) -> list[Outcome]:
    """Plan tanks side by side; tell the problems of each, and its row, in their order."""
    for job in jobs:
        if isinstance(job, Ready):
            screen.warn(job.inputs.warnings)
    if show_rows:
        answer(_heading())
    outcomes = []
    with screen.counting(len(jobs)) as (watch, progress):
        for outcome in plan_together(jobs, crew, watch, progress):
            with progress.aside():
                tell_problems(outcome.problems)
                if show_rows:
                    answer(_row(outcome))
            outcomes.append(outcome)
    return outcomes


def _folders(tanks: Sequence[Path], out: Path | None) -> list[Path | None]:
    """Where each tank's results go: one tank's into the folder itself, those of several into one of their own each."""
    if out is None or len(tanks) == 1:
        return [out] * len(tanks)
    folders = [out / path.stem for path in tanks]
    # some file systems hold names that differ only in case for one
    names = [path.stem.casefold() for path in tanks]
    twice = sorted({str(folder) for folder, name in zip(folders, names, strict=True) if names.count(name) > 1})
    if twice:
        raise typer.BadParameter(f"several tanks would be written to {', '.join(twice)}: rename one of the files")
    return list(folders)


def _answer_json(outcomes: Sequence[Outcome]) -> None:
    data = [outcome.to_dict() for outcome in outcomes]
    answer(json_text(data if len(data) > 1 else data[0], indent=2, ascii_only=True))


def _answer_in_full(outcome: Outcome, out: Path | None) -> None:
    if outcome.plan is None:
        return
    answer(plan_page(outcome.plan))
    if out is not None and not outcome.problems:
        written = outcome.plan.status != "none"
        answer(f"\nResults are in {out}." if written else f"\nNothing was written to {out}, for there is no plan.")


def _heading() -> str:
    return _line([name for name, _, _ in COLUMNS])


def _row(outcome: Outcome) -> str:
    stem = outcome.tank.stem
    if outcome.plan is None:
        return _line([stem, "no plan: see the messages", "", "", ""])
    return _line([stem, status_words(outcome.plan), *_figures(outcome.plan)])


def _figures(plan: Plan) -> tuple[str, str, str]:
    if plan.cost is None:
        return "", "", ""
    bought = sum(not light.placed for light in plan.lights)
    return str(bought), money(plan.cost.purchase + plan.cost.extras, decimals=0), money(plan.cost.ownership, decimals=0)


def _line(cells: Sequence[str]) -> str:
    """Cells at fixed widths, so that each row can be shown as soon as it is known."""
    parts = []
    for (_, width, right), cell in zip(COLUMNS, cells, strict=True):
        parts.append(cell.rjust(width) if right else set_cell_size(cell, width))
    return "  ".join(parts).rstrip()
