"""The pieces that pages of plain text are made of: headings, tables, lists."""

from __future__ import annotations

import io
import sys
from collections.abc import Iterable, Sequence

from rich import box
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

WIDEST = 100
INDENT = 2
MARK = "-"


def page(parts: Iterable[RenderableType]) -> str:
    """The parts as text for standard output: at most 100 columns wide, bold only on a terminal, no trailing spaces.

    Names are never taken for markup. Lines are drawn in ASCII where the output's encoding has no others.
    """
    screen = Console()
    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
    paper = io.TextIOWrapper(io.BytesIO(), encoding=encoding, errors="backslashreplace", newline="\n")
    console = Console(
        file=paper,
        width=min(WIDEST, screen.width) if screen.is_terminal else WIDEST,
        force_terminal=screen.is_terminal and not screen.legacy_windows,
        legacy_windows=False,
        markup=False,
        emoji=False,
        highlight=False,
    )
    for part in parts:
        console.print(part)
    paper.seek(0)
    return "".join(f"{line.rstrip()}\n" for line in paper.read().splitlines())


def section(heading: str, *parts: RenderableType) -> Group:
    """A heading with what belongs under it, and an empty line before."""
    indented = [Padding(part, (0, 0, 0, INDENT), expand=False) for part in parts]
    return Group(Text(), Text(heading, style="bold"), *indented)


def table(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> Table:
    """A table of text; the columns whose name begins with ">" are set to the right."""
    grid = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, header_style="", padding=(0, 1))
    for name in columns:
        grid.add_column(name.removeprefix(">"), justify="right" if name.startswith(">") else "left", overflow="fold")
    for row in rows:
        grid.add_row(*(Text(cell) for cell in row))
    return grid


def bullets(lines: Iterable[str]) -> Table:
    """Sentences with a mark before each, wrapped under themselves."""
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for line in lines:
        grid.add_row(Text(MARK), Text(line))
    return grid
