"""Planning one tank from its files: what came of it and its exit code, whatever is wrong with files, disk or solver."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, Protocol

from lightplan.choose.plan import CheckError, Plan, plan
from lightplan.choose.solver import SolverError, SolverName, Watch
from lightplan.inputs.checks import Inputs, read_inputs
from lightplan.inputs.errors import InputError, Problem
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import EmitterError
from lightplan.present.commands.results import FILES, fingerprints, result_files
from lightplan.present.commands.whole import disk_sentence, reason, refuse_target, write_whole

Code = Literal[0, 1, 3, 4]
DONE: Code = 0
WRONG_INPUT: Code = 1
CLOSEST: Code = 3
NO_PLAN: Code = 4
#: exit codes from the worst to the best
WORST_FIRST: tuple[Code, ...] = (WRONG_INPUT, NO_PLAN, CLOSEST, DONE)


@dataclass(frozen=True)
class Wishes:
    """What is asked for besides the tank file: where the catalog and the results are, a budget, how to search."""

    catalog: Path | None = None
    out: Path | None = None
    budget: float | None = None
    gap: float = 0.01
    time_limit: float = 60.0
    solver: SolverName | Literal["plain"] = "highs"


class Listener(Protocol):
    """Who is told how a tank's planning goes."""

    def warn(self, problems: Sequence[Problem]) -> None:
        """Take the warnings about the input files, before the search begins."""

    def searching(self, tank: Tank) -> AbstractContextManager[Watch]:
        """Give the watch for the search of a plan for this tank, entered while it runs."""


@dataclass(frozen=True)
class Outcome:
    """What came of one tank: a plan, or problems that kept it from being made; `code` is the exit code it earns.

    A plan that could not be written has both.
    """

    tank: Path
    code: Code
    plan: Plan | None = None
    problems: tuple[Problem, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """The plan's data; for a tank without a plan its file and problems."""
        if self.plan is not None:
            return self.plan.to_dict()
        return {"tank": str(self.tank), "problems": [problem.to_dict() for problem in self.problems]}


def worst(codes: Iterable[Code]) -> Code:
    """The exit code of several tanks: the worst of 1, 4, 3, 0."""
    return min(codes, key=WORST_FIRST.index, default=DONE)


@dataclass(frozen=True)
class Ready:
    """A tank that is read: all that is needed to plan it, on whatever machine. `prints` are of its files."""

    path: Path
    inputs: Inputs
    wishes: Wishes
    prints: dict[str, str]


@dataclass(frozen=True)
class Drawn:
    """What came of a tank, with the content of its result files, where there are any to be written."""

    outcome: Outcome
    files: dict[str, bytes]


def plan_tank(path: Path, wishes: Wishes, listener: Listener) -> Outcome:
    """Read, plan and write one tank."""
    ready = prepare(path, wishes)
    if isinstance(ready, Outcome):
        return ready
    listener.warn(ready.inputs.warnings)
    with listener.searching(ready.inputs.tank) as watch:
        outcome = search(path, ready.inputs, wishes, watch)
    return write(draw(ready, outcome), wishes.out)


def prepare(path: Path, wishes: Wishes) -> Ready | Outcome:
    """Read a tank, and see that its results can be written; the outcome where that is wrong already."""
    try:
        inputs = read_inputs(path, wishes.catalog)
        beside = [photometry.file for photometry in inputs.catalog.photometry]
        prints = fingerprints(path, wishes.catalog or path.parent, beside)
        if wishes.out is not None:
            refuse_target(wishes.out, list(FILES))
    except InputError as error:
        return Outcome(path, WRONG_INPUT, problems=error.problems)
    except OSError as error:
        return failed(path, WRONG_INPUT, disk_sentence(error), file=str(error.filename or path))
    return Ready(path, inputs, wishes, prints)


def draw(ready: Ready, outcome: Outcome) -> Drawn:
    """What came of a tank, with its result files as they are to be written: none where nothing is to be written."""
    made = outcome.plan
    if made is None:
        return Drawn(outcome, {})
    made = dataclasses.replace(made, inputs=ready.prints)
    files = {} if ready.wishes.out is None or made.status == "none" else result_files(made)
    return Drawn(dataclasses.replace(outcome, plan=made), files)


def write(drawn: Drawn, out: Path | None) -> Outcome:
    """The outcome with its results written, where a folder is named and there is a plan to write."""
    if out is None or not drawn.files:
        return drawn.outcome
    try:
        write_whole(out, drawn.files)
    except OSError as error:
        text = f"the results could not be written ({reason(error)}); older ones are as they were"
        problem = Problem(str(out), None, None, text)
        return dataclasses.replace(drawn.outcome, code=WRONG_INPUT, problems=(problem,))
    return drawn.outcome


def fixtures_file(tank: Path, catalog: Path | None) -> str:
    """The file that lists the fixtures for a tank."""
    return str((catalog or tank.parent) / "fixtures.csv")


def not_begun(path: Path) -> Outcome:
    """The outcome of a tank whose turn never came, because the user stopped an earlier one."""
    return failed(path, NO_PLAN, "stopped before this tank's turn")


def search(path: Path, inputs: Inputs, wishes: Wishes, watch: Watch) -> Outcome:
    """Plan a tank that is read already; what goes wrong is told in the outcome's problems, about the file `path`."""
    tank = inputs.tank
    if wishes.budget is not None:
        limits = tank.limits.model_copy(update={"budget": wishes.budget})
        tank = tank.model_copy(update={"limits": limits})
    try:
        found = plan(
            tank,
            inputs.catalog,
            gap=wishes.gap,
            time_limit=wishes.time_limit,
            solver=wishes.solver,
            watch=watch,
        )
    except InputError as error:
        return Outcome(path, WRONG_INPUT, problems=error.problems)
    except EmitterError as error:
        return failed(path, WRONG_INPUT, str(error), file=fixtures_file(path, wishes.catalog))
    except (SolverError, CheckError) as error:
        return failed(path, NO_PLAN, str(error))
    except MemoryError:
        return failed(path, NO_PLAN, "not enough memory: offer fewer spots, heights or fixtures")
    except KeyboardInterrupt:
        return failed(path, NO_PLAN, "stopped before any plan was found")
    return Outcome(path, _code_of(found), found)


def _code_of(found: Plan) -> Code:
    if found.status == "none":
        return NO_PLAN
    return CLOSEST if found.status == "closest" else DONE


def failed(path: Path, code: Code, message: str, file: str | None = None) -> Outcome:
    """The outcome of a tank of which nothing came, and why."""
    return Outcome(path, code, problems=(Problem(file or str(path), None, None, message),))
