"""Many tanks, shared out over a crew: each is read here, planned and drawn by whoever has time, and written here.

One tank that is broken, and one whose worker died, never stops the others. Tanks come back in the order in which they
were named, each as soon as it and all before it are done.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import Future

from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.crew import Crew, LostError
from lightplan.present.commands.jobs import (
    NO_PLAN,
    WRONG_INPUT,
    Drawn,
    Outcome,
    Ready,
    draw,
    failed,
    not_begun,
    search,
    write,
)
from lightplan.present.commands.progress import Count


def plan_and_draw(ready: Ready, watch: Watch) -> Drawn:
    """Plan one tank and make its result files: work for a crew."""
    outcome = search(ready.path, ready.inputs, ready.wishes, watch)
    try:
        return draw(ready, outcome)
    except KeyboardInterrupt:
        # by somebody who wanted it to end long ago
        return Drawn(failed(ready.path, WRONG_INPUT, "stopped before the results were written"), {})


def plan_together(
    tanks: Sequence[Ready | Outcome], crew: Crew, watch: Watch, progress: Count | None = None
) -> Iterator[Outcome]:
    """What comes of each tank, in their order, with its results written; those that are outcomes already stay so.

    `progress` hears how many are done. Where `watch.stop` is set, those whose turn never came say so.
    """
    waiting: dict[int, Outcome] = {}
    told = 0
    try:
        for number, outcome in _as_they_come(tanks, crew, watch):
            waiting[number] = outcome
            if progress is not None:
                progress.count(told + len(waiting), len(tanks))
            while told in waiting:
                yield waiting.pop(told)
                told += 1
    except KeyboardInterrupt:
        # the second word to stop: what is not done by now is left
        watch.stop.set()
    for number in range(told, len(tanks)):
        tank = tanks[number]
        yield waiting.get(number) or (tank if isinstance(tank, Outcome) else not_begun(tank.path))


def _as_they_come(tanks: Sequence[Ready | Outcome], crew: Crew, watch: Watch) -> Iterator[tuple[int, Outcome]]:
    """What comes of the tanks, with their numbers, those first of which it is known already."""
    yield from ((number, tank) for number, tank in enumerate(tanks) if isinstance(tank, Outcome))
    ready = [(number, tank) for number, tank in enumerate(tanks) if isinstance(tank, Ready)]
    for place, future in crew.each(plan_and_draw, [tank for _, tank in ready], watch=watch):
        number, tank = ready[place]
        yield number, _outcome(tank, future)


def _outcome(ready: Ready, future: Future[Drawn]) -> Outcome:
    """What came of one tank's work, whatever went wrong with it."""
    if future.cancelled():
        return not_begun(ready.path)
    try:
        return write(future.result(), ready.wishes.out)
    except LostError as error:
        return failed(ready.path, NO_PLAN, str(error))
    except Exception as error:
        # a fault of this program's; the others are not to suffer from it
        return failed(ready.path, NO_PLAN, f"planning it failed ({type(error).__name__}: {error}); please report this")
