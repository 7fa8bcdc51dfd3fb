"""Mutation testing by sample: one small change at a time to a room's code, and whether its tests notice.

    python -m tests.bench.mutants --room light --count 300 --seed 1

Needs coverage.py (`pip install coverage`). Works on copies of the source. A first run of all tests tells which of them
come by which line; a mutant then gets only those, the quickest first, until one fails (`mutant_tests.py`). A test that
reckons far longer than it should counts as noticing, for a loop that does not end is one; a line that no test comes by
is a survivor. Prints survivors as they come, and the share that was noticed with its 95 % interval (Wilson 1927).
"""

from __future__ import annotations

import argparse
import ast
import copy
import functools
import importlib.util
import math
import multiprocessing
import os
import re
import shutil
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

from tests.bench.mutant_tests import ROOMS, Ending, Known, ending, read_known, survey, warm

SOURCE = Path(__file__).parents[2]
FORK = multiprocessing.get_context("fork")
#: endings that are told one by one
SAID: dict[Ending, str] = {"passed": "survived", "odd": "pytest stopped", "too long": "took too long"}
#: keywords of guards that right code never sees, and of how much is kept
GUARDS = {"strict", "frozen", "slots", "eq", "repr", "maxsize"}

COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
RECKONED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Div, ast.Pow: ast.Mult,
    ast.Mod: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd, ast.MatMult: ast.Add,
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """One small change: in which file and line, in a statement of which lines, and what makes the module's text."""

    path: str
    line: int
    lines: range
    what: str
    text: Callable[[], str]


def changes(node: ast.AST) -> Iterator[ast.AST]:
    """Every small change of one node."""
    made = copy.deepcopy(node)
    if isinstance(made, ast.Compare):
        for place, kind in enumerate(made.ops):
            if type(kind) in COMPARED:
                one = copy.deepcopy(made)
                one.ops[place] = COMPARED[type(kind)]()
                yield one
    elif isinstance(made, ast.BinOp | ast.AugAssign) and type(made.op) in RECKONED:
        made.op = RECKONED[type(made.op)]()
        yield made
    elif isinstance(made, ast.BoolOp):
        made.op = ast.Or() if isinstance(made.op, ast.And) else ast.And()
        yield made
    elif isinstance(made, ast.UnaryOp) and isinstance(made.op, ast.Not | ast.USub):
        yield made.operand
    elif isinstance(made, ast.IfExp):
        made.body, made.orelse = made.orelse, made.body
        yield made
    elif isinstance(made, ast.Return) and made.value is not None and not isinstance(made.value, ast.Constant):
        made.value = ast.Constant(None)
        yield made
    elif isinstance(made, ast.Constant) and isinstance(made.value, bool):
        yield ast.Constant(not made.value)
    elif isinstance(made, ast.Constant) and isinstance(made.value, int | float):
        yield ast.Constant(made.value + 1 if isinstance(made.value, int) else made.value * 1.5 + 0.1)


def _is_said(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> bool:
    """True inside types and declarations of them, and where a change is the same by construction.

    These are guards that right code never sees (`strict` of a zip, `frozen` of a dataclass), and how much is kept.
    """
    while node in parents:
        above = parents[node]
        if isinstance(above, ast.keyword) and above.arg in GUARDS:
            return True
        if isinstance(above, ast.AnnAssign | ast.arg) and node is above.annotation:
            return True
        if isinstance(above, ast.FunctionDef) and node is above.returns:
            return True
        node = above
    return False


def _lines(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> range:
    """The lines of the statement that a node is in; of a statement with others in it, its head."""
    while not isinstance(node, ast.stmt):
        node = parents[node]
    first = min([node.lineno, *(one.lineno for one in getattr(node, "decorator_list", []))])
    if isinstance(node, ast.Match):
        return range(first, node.cases[0].body[0].lineno)
    body = getattr(node, "body", None)
    return range(first, max(node.lineno + 1, body[0].lineno) if body else (node.end_lineno or first) + 1)


def mutants(path: Path) -> Iterator[Mutant]:
    """All mutants of a module."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    parents = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    for node in ast.walk(tree):
        if not hasattr(node, "lineno") or _is_said(node, parents):
            continue
        for new in changes(node):
            what = f"{ast.unparse(node)}  ->  {ast.unparse(new)}".replace("\n", " ")
            place, lines = path.relative_to(SOURCE).as_posix(), _lines(node, parents)
            yield Mutant(place, node.lineno, lines, what, functools.partial(_with, tree, node, new))


def by_mutmut(path: Path) -> Iterator[Mutant]:
    """All mutants of a module that mutmut would make."""
    from tests.bench.mutmut_changes import mutmut_changes  # mutmut need not be there for the others

    for line, statement, what, text in mutmut_changes(path):
        yield Mutant(path.relative_to(SOURCE).as_posix(), line, _lines(statement, {}), what, text)


def _with(tree: ast.Module, old: ast.AST, new: ast.AST) -> str:
    """The module with one node in the place of another."""
    # copying the tree, a copy of the old node is already known: the new one
    changed = copy.deepcopy(tree, {id(old): ast.copy_location(new, old)})
    return ast.unparse(ast.fix_missing_locations(changed))


def interval(hits: int, count: int) -> tuple[float, float]:
    """The 95 % interval of a share (Wilson 1927)."""
    z, share = 1.96, hits / count
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = z / (1 + z * z / count) * math.sqrt(share * (1 - share) / count + z * z / (4 * count * count))
    return max(0.0, middle - half), min(1.0, middle + half)


def told(mutant: Mutant) -> str:
    """A mutant in one line."""
    return f"{mutant.path}:{mutant.line}  {mutant.what}"


@dataclass
class Worker:
    """A process with a copy of the source of its own."""

    copy: Path
    known: Known
    limit: float

    def ending(self, mutant: Mutant) -> Ending:
        """How the tests of a mutant end; the copy is as before then."""
        lots = self.known.tests_for(mutant.path, mutant.lines, self.limit)
        if not lots:
            return "passed"
        path = self.copy / mutant.path
        before, stat = path.read_bytes(), path.stat()
        path.write_text(mutant.text(), encoding="utf-8")
        try:
            return ending(self.known, lots)
        finally:
            path.write_bytes(before)
            # what Python keeps of the module is taken by the time of its file
            os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))


def copied(place: Path, name: str) -> Path:
    """A copy of the source."""
    return shutil.copytree(SOURCE, place / name, ignore=shutil.ignore_patterns(".git", "__pycache__", "*.egg-info"))


def work(worker: Worker, room: str, sample: list[Mutant], asked: Any, answers: Any) -> None:
    """Answer for mutants, named by their place in the sample, until there are no more."""
    warm(worker.copy, room)
    for number in iter(asked.get, None):
        answers.put((number, worker.ending(sample[number])))


def surveyed(place: Path, given: argparse.Namespace) -> Known:
    """What tests run which lines, kept in --known where that is given."""
    kept = given.known or place / "known.json"
    if not kept.exists():
        copy = copied(place, "survey")

        def look() -> None:
            warm(copy, given.room)
            survey(copy, given.room, given.tests or [f"tests/{given.room}"]).write(kept)

        process = FORK.Process(target=look)
        process.start()
        process.join()
        if process.exitcode:
            raise SystemExit("error: without any change the tests could not be run")
    return read_known(kept)


def endings(place: Path, given: argparse.Namespace, known: Known, sample: list[Mutant]) -> Iterator[tuple[int, Ending]]:
    """How each mutant of a sample ends, as they come."""
    asked, answers = FORK.SimpleQueue(), FORK.SimpleQueue()
    workers = []
    for number in range(given.workers):
        worker = Worker(copied(place, f"copy{number}"), known, given.limit)
        workers.append(FORK.Process(target=work, args=(worker, given.room, sample, asked, answers)))
        workers[-1].start()
    begun, under_way, waiting = time.monotonic(), 0, list(range(len(sample)))
    while True:
        while under_way < given.workers and waiting and time.monotonic() - begun < given.until:
            asked.put(waiting.pop(0))
            under_way += 1
        if not under_way:
            break
        yield answers.get()
        under_way -= 1
    for _ in workers:
        asked.put(None)
    for process in workers:
        process.join()


def options() -> argparse.ArgumentParser:
    """What can be given."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--room", default="light", choices=ROOMS)
    parser.add_argument("--by-mutmut", action="store_true", help="the changes that mutmut makes (pip install mutmut)")
    parser.add_argument("--tests", nargs="+", help="instead of the room's own")
    parser.add_argument("--count", type=int, default=150)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--limit", type=float, default=60, help="seconds of tests for a mutant, as measured unchanged")
    parser.add_argument("--until", type=float, default=math.inf, help="seconds after which no other mutant is begun")
    parser.add_argument("--known", type=Path, help="a file for what the first run tells; taken if there")
    parser.add_argument(
        "--again", type=Path, help="what an earlier run of the same source printed: only what no test failed for"
    )
    return parser


def main() -> None:
    """Sample, run, print."""
    given = options().parse_args()
    given.known = given.known and given.known.resolve()
    if importlib.util.find_spec("coverage") is None:
        raise SystemExit("error: this needs coverage.py: pip install coverage")
    files = sorted((SOURCE / "lightplan" / given.room).rglob("*.py"))
    everything = [mutant for path in files for mutant in (by_mutmut if given.by_mutmut else mutants)(path)]
    sample = Random(given.seed).sample(everything, min(given.count, len(everything)))
    if given.again:
        before = given.again.read_text(encoding="utf-8")
        asked = dict.fromkeys(re.findall(r"^(?:took too long|survived): (.*)$", before, re.MULTILINE))
        found = {told(mutant): mutant for mutant in everything}
        sample = [found[line] for line in asked if line in found]
    with tempfile.TemporaryDirectory() as place:
        known = surveyed(Path(place), given)
        print(f"{len(everything)} mutants, {len(known.seconds)} tests; of the mutants {len(sample)}", flush=True)
        ends = []
        for number, end in endings(Path(place), given, known, sample):
            ends.append(end)
            if end in SAID:
                print(f"{SAID[end]}: {told(sample[number])}", flush=True)
    if not ends:
        return
    hits, count = len(ends) - ends.count("passed"), len(ends)
    low, high = interval(hits, count)
    print(f"{hits} of {count} noticed: {hits / count:.1%}, 95 % interval {low:.1%} to {high:.1%}")
    print(f"of these {ends.count('too long')} by taking too long, {ends.count('odd')} by stopping pytest")


if __name__ == "__main__":
    main()
