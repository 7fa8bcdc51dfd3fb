"""Commands that look for several plans of one tank: reading, workers, progress, and what can go wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rich.console import RenderableType
from rich.text import Text

from lightplan.choose.plan import CheckError, Plan
from lightplan.choose.solver import SolverError, Watch
from lightplan.choose.tradeoff.crew import Crew, LostError, open_crew
from lightplan.choose.tradeoff.solving import Options
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.checks import read_inputs
from lightplan.inputs.errors import InputError, Problem
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import EmitterError
from lightplan.present.commands.blocks import page
from lightplan.present.commands.jobs import CLOSEST, DONE, NO_PLAN, WRONG_INPUT, Code, fixtures_file
from lightplan.present.commands.json_text import json_text
from lightplan.present.commands.printed import part_section
from lightplan.present.commands.progress import Count
from lightplan.present.commands.stop import Interrupts
from lightplan.present.commands.streams import answer, tell_problems
from lightplan.present.texts.plan_parts import Part


@dataclass(frozen=True)
class Asked:
    """What every such command is told: the tank file, its catalog, how to search, and who does it."""

    tank: Path
    catalog: Path | None
    options: Options
    workers: int | None = None
    scheduler: str | None = None
    as_json: bool = False


@dataclass(frozen=True)
class Means:
    """What a study works with. `tell` is to hear how many plans are done, of how many."""

    tank: Tank
    catalog: Catalog
    options: Options
    crew: Crew
    watch: Watch
    tell: Callable[[int, int], None]


@dataclass(frozen=True)
class Answered:
    """What came of a study: as data, as sentences and parts to print, and its exit code."""

    data: dict[str, Any]
    head: tuple[str, ...]
    parts: tuple[Part, ...]
    code: Code


def answer_study(asked: Asked, interrupts: Interrupts, study: Callable[[Means], Answered]) -> Code:
    """Read a tank, let it be studied, and answer, as text or as JSON. Returns the exit code."""
    try:
        inputs = read_inputs(asked.tank, asked.catalog)
        tell_problems(inputs.warnings)
        found = _studied(asked, inputs.tank, inputs.catalog, interrupts, study)
    except InputError as error:
        tell_problems(error.problems)
        return WRONG_INPUT
    except EmitterError as error:
        return _failed(fixtures_file(asked.tank, asked.catalog), str(error), WRONG_INPUT)
    except (SolverError, CheckError, LostError) as error:
        return _failed(str(asked.tank), str(error), NO_PLAN)
    except MemoryError:
        return _failed(str(asked.tank), "not enough memory: offer fewer spots, heights or fixtures", NO_PLAN)
    except KeyboardInterrupt:
        return _failed(str(asked.tank), "stopped before there was an answer", NO_PLAN)
    answer_as(asked.as_json, inputs.tank.box.name, found)
    return found.code


def answer_as(as_json: bool, title: str, found: Answered) -> None:
    """Write an answer to standard output: as JSON, or printed under a title."""
    if as_json:
        answer(json_text(found.data, indent=2, ascii_only=True))
    else:
        answer(page(_pieces(title, found)))


def code_of(plan: Plan) -> Code:
    """The exit code of a study that rests on a plan that meets every wish."""
    if plan.status == "none":
        return NO_PLAN
    return CLOSEST if plan.status == "closest" else DONE


def _studied(
    asked: Asked, tank: Tank, catalog: Catalog, interrupts: Interrupts, study: Callable[[Means], Answered]
) -> Answered:
    progress = Count(tank.box.name, tank.money.currency, asked.options.time_limit)
    with open_crew(asked.workers, asked.scheduler) as crew, progress, interrupts.search() as stop:
        watch = Watch(stop=stop, tell=progress.tell, say=progress.say)
        return study(Means(tank, catalog, asked.options, crew, watch, progress.count))


def _pieces(title: str, found: Answered) -> Iterable[RenderableType]:
    yield Text(title, style="bold")
    for sentence in found.head:
        yield Text(sentence)
    for part in found.parts:
        yield part_section(part)


def _failed(file: str, message: str, code: Code) -> Code:
    tell_problems([Problem(file, None, None, message)])
    return code
