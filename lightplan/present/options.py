"""Options that several commands share, and how Ctrl-C ends a command."""

from __future__ import annotations

import functools
import inspect
import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import MISSING, dataclass, fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Annotated, Any, Literal, get_type_hints

import typer

from lightplan.present.commands.stop import ENDED, EndedError, Interrupts, ends


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
    except Exception as error:
        # a library that is interrupted while it is loaded makes an error of its own of that
        if ends(error):
            raise typer.Exit(ENDED) from None
        raise


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


@dataclass(frozen=True)
class Search:
    """How each plan is looked for."""

    gap: Gap = 0.01
    time_limit: TimeLimit = 60.0


@dataclass(frozen=True)
class Who:
    """Who does the work: this process, processes beside it, or a cluster."""

    workers: Workers = None
    scheduler: Scheduler = None

    def __post_init__(self) -> None:
        if self.workers is not None and self.scheduler is not None:
            raise typer.BadParameter("either --workers or --scheduler, not both")


class Solver(Enum):
    """Names of the solvers."""

    highs = "highs"
    cbc = "cbc"


@dataclass(frozen=True)
class By:
    """What finds the cheapest plan."""

    solver: Annotated[Solver, typer.Option(help="Which solver to use; cbc is a check.")] = Solver.highs
    plain: Annotated[
        bool, typer.Option("--plain", help="Solve the model as it is written, with no short cut: slow, a check.")
    ] = False

    def __post_init__(self) -> None:
        if self.plain and self.solver is not Solver.highs:
            raise typer.BadParameter("either --solver or --plain, not both")

    @property
    def name(self) -> Literal["highs", "cbc", "plain"]:
        """The name that `plan` knows it by."""
        if self.plain:
            return "plain"
        return "cbc" if self.solver is Solver.cbc else "highs"


BY_HIGHS = By()
USUAL, CLOSE, HERE = Search(), Search(gap=0.001), Who()


def spread(command: Callable[..., None]) -> Callable[..., None]:
    """The command with an option for each field of a parameter that is a dataclass, such as `Search` and `Who`.

    The parameter's default tells the options' defaults; without one, those of the dataclass hold. The command line
    knows of single options only.
    """
    hints = get_type_hints(command, include_extras=True)
    parameters, groups = [], {}
    for name, parameter in inspect.signature(command).parameters.items():
        if not is_dataclass(hints[name]):
            parameters.append(parameter.replace(annotation=hints[name], kind=parameter.KEYWORD_ONLY))
            continue
        groups[name] = hints[name]
        inner = get_type_hints(hints[name], include_extras=True)
        for option in fields(hints[name]):
            default = option.default if option.default is not MISSING else inspect.Parameter.empty
            if parameter.default is not inspect.Parameter.empty:
                default = getattr(parameter.default, option.name)
            parameters.append(
                inspect.Parameter(option.name, parameter.KEYWORD_ONLY, default=default, annotation=inner[option.name])
            )

    @functools.wraps(command)
    def call(**values: Any) -> None:
        made = {
            name: group(**{option.name: values.pop(option.name) for option in fields(group)})
            for name, group in groups.items()
        }
        command(**values, **made)

    told: Any = call
    told.__signature__ = inspect.Signature(parameters)
    told.__annotations__ = {parameter.name: parameter.annotation for parameter in parameters}
    return call
