"""Options that several commands share, and how Ctrl-C ends a command."""

from __future__ import annotations

import dataclasses
import inspect
import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any, TypeVar, get_type_hints

import typer

from lightplan.present.commands.stop import ENDED, EndedError, Interrupts


def between(low: float, high: float, *, above: bool = False) -> Callable[[float | None], float | None]:
    """A check of an option's number: from `low` (or above it) to `high`, and no NaN."""

    def check(value: float | None) -> float | None:
        if value is None or (math.isfinite(value) and low <= value <= high and not (above and value == low)):
            return value
        raise typer.BadParameter(f"{value:g} is not a number {'above' if above else 'from'} {low:g} to {high:g}")

    return check


@contextmanager
def ended_by_ctrl_c() -> Iterator[Interrupts]:
    """Turn Ctrl-C outside of a search, and a second one anywhere, into the end of the program without a word more."""
    try:
        with Interrupts() as interrupts:
            yield interrupts
    except (KeyboardInterrupt, EndedError):
        raise typer.Exit(ENDED) from None


Options = TypeVar("Options")


def takes(options: type[Options]) -> Callable[[Callable[[Options], None]], Callable[..., None]]:
    """Let a command of many options get them as one object of a dataclass, a field for each option."""
    hints = get_type_hints(options, include_extras=True)
    fields: tuple[Any, ...] = dataclasses.fields(options)  # type: ignore[arg-type]

    def decorate(command: Callable[[Options], None]) -> Callable[..., None]:
        def run(**given: Any) -> None:
            command(options(**given))

        parameters = [
            inspect.Parameter(
                field.name,
                inspect.Parameter.KEYWORD_ONLY,
                annotation=hints[field.name],
                default=inspect.Parameter.empty if field.default is dataclasses.MISSING else field.default,
            )
            for field in fields
        ]
        run.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
        run.__annotations__ = {field.name: hints[field.name] for field in fields}
        run.__doc__, run.__name__ = command.__doc__, command.__name__
        return run

    return decorate


Tanks = Annotated[list[Path], typer.Argument(metavar="TANK", readable=False, help="Tank files (TOML).")]
OneTank = Annotated[Path, typer.Argument(metavar="TANK", readable=False, help="Tank file (TOML).")]
CatalogFolder = Annotated[
    Path | None,
    typer.Option(
        "--catalog", metavar="DIR", readable=False, help="Folder with fixtures.csv. [default: the tank file's folder]"
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Answer as JSON on standard output.")]
TimeLimit = Annotated[
    float,
    typer.Option(
        "--time-limit", metavar="S", help="Most seconds to search, for each plan.", callback=between(0, 1e6, above=True)
    ),
]
Gap = Annotated[
    float,
    typer.Option(
        "--gap",
        metavar="SHARE",
        help="Stop once no plan can be cheaper by more than this share; 0.01 is 1 %.",
        callback=between(0, 1),
    ),
]
Workers = Annotated[
    int | None,
    typer.Option("--workers", metavar="N", min=1, max=256, help="How many processes work at once. [default: 1]"),
]
Scheduler = Annotated[
    str | None,
    typer.Option("--scheduler", metavar="ADDRESS", help="A Dask scheduler whose workers do it, as tcp://host:8786."),
]
