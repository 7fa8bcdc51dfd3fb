"""The costs command: what a plan that was written before costs to run."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from rich.console import RenderableType
from rich.text import Text

from lightplan.choose.plan_data import read_plan
from lightplan.choose.running import RunningCosts, running_costs
from lightplan.inputs.errors import InputError, Problem
from lightplan.light.emitter import EmitterError
from lightplan.present.commands.blocks import page
from lightplan.present.commands.jobs import DONE, WRONG_INPUT
from lightplan.present.commands.json_text import json_text
from lightplan.present.commands.printed import part_section
from lightplan.present.commands.streams import answer, tell_problems
from lightplan.present.texts.cost_parts import cost_head, cost_parts


def answer_costs(plan: Path, *, as_json: bool = False) -> int:
    """Read a plan and tell what it costs to run. Returns the exit code."""
    try:
        found = read_plan(plan)
        if found.cost is None:
            return _failed(plan, "there is no plan in it (its status is 'none'), so there is nothing that could cost")
        costs = running_costs(found)
    except InputError as error:
        tell_problems(error.problems)
        return WRONG_INPUT
    except EmitterError as error:
        return _failed(plan, str(error))
    answer(json_text(costs.to_dict(), indent=2, ascii_only=True) if as_json else page(_pieces(costs)))
    return DONE


def _pieces(costs: RunningCosts) -> Iterator[RenderableType]:
    yield Text(costs.tank.box.name, style="bold")
    for sentence in cost_head(costs):
        yield Text(sentence)
    for part in cost_parts(costs):
        yield part_section(part)


def _failed(file: Path, message: str) -> int:
    tell_problems([Problem(str(file), None, None, message)])
    return WRONG_INPUT
