"""A plan on a terminal or in a text file."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from lightplan.choose.plan import Plan
from lightplan.present.commands.blocks import bullets, page, section, table
from lightplan.present.texts.plan_parts import Bullets, Grid, Part, plan_head, plan_parts


def plan_page(plan: Plan) -> str:
    """Everything that is said about a plan, for reading."""
    return page(_pieces(plan))


def _pieces(plan: Plan) -> Iterator[RenderableType]:
    yield Text(plan.tank.box.name, style="bold")
    for sentence in plan_head(plan):
        yield Text(sentence)
    for part in plan_parts(plan):
        yield part_section(part)


def part_section(part: Part) -> RenderableType:
    """One part of what is said, with its heading."""
    return section(part.heading, *map(_drawn, part.content))


def _drawn(content: Grid | Bullets | str) -> RenderableType:
    if isinstance(content, Grid):
        return table(content.columns, content.rows)
    return bullets(content.lines) if isinstance(content, Bullets) else Text(content)
