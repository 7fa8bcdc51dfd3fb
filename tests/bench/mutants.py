"""Mutation testing by sample: one small change at a time to a room's code, and whether its tests notice.

    python -m tests.bench.mutants --room light --tests tests/light --count 150 --seed 1

Works on a copy of the source. Each mutant is run by the tests of its room that are quick, stopped at the first failure
and after --limit seconds (too long counts as noticed: a loop that does not end is one). Prints survivors, and the share
that was noticed with its 95 % interval (Wilson 1927).
"""

from __future__ import annotations

import argparse
import ast
import copy
import functools
import math
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

SOURCE = Path(__file__).parents[2]

COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
RECKONED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Div, ast.Pow: ast.Mult,
    ast.Mod: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd, ast.MatMult: ast.Add,
}  # fmt: skip


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
    """True inside types and declarations of them, which nothing is reckoned with."""
    while node in parents:
        above = parents[node]
        if isinstance(above, ast.AnnAssign | ast.arg) and node is above.annotation:
            return True
        if isinstance(above, ast.FunctionDef) and node is above.returns:
            return True
        node = above
    return False


def mutants(text: str) -> list[tuple[int, str, Callable[[], str]]]:
    """All mutants of a module: line, what was changed, and what makes its text."""
    tree = ast.parse(text)
    parents = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    made = []
    for node in ast.walk(tree):
        if not hasattr(node, "lineno") or _is_said(node, parents):
            continue
        for new in changes(node):
            what = f"{ast.unparse(node)}  ->  {ast.unparse(new)}"
            made.append((node.lineno, what, functools.partial(_with, tree, node, new)))
    return made


def _with(tree: ast.Module, old: ast.AST, new: ast.AST) -> str:
    """The module with one node in the place of another."""
    # copying the tree, a copy of the old node is already known: the new one
    changed = copy.deepcopy(tree, {id(old): ast.copy_location(new, old)})
    return ast.unparse(ast.fix_missing_locations(changed))


def noticed(copy_of: Path, tests: list[str], limit: float) -> bool:
    """Whether the tests fail, or take too long."""
    command = [sys.executable, "-B", "-m", "pytest", "-x", "-n", "0", "-p", "no:cacheprovider", *tests]
    try:
        done = subprocess.run(command, cwd=copy_of, capture_output=True, timeout=limit, check=False)
    except subprocess.TimeoutExpired:
        return True
    return done.returncode != 0


def interval(hits: int, count: int) -> tuple[float, float]:
    """The 95 % interval of a share (Wilson 1927)."""
    z, share = 1.96, hits / count
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = z / (1 + z * z / count) * math.sqrt(share * (1 - share) / count + z * z / (4 * count * count))
    return max(0.0, middle - half), min(1.0, middle + half)


def main() -> None:
    """Sample, run, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--room", default="light")
    parser.add_argument("--tests", nargs="+", default=["tests/light"])
    parser.add_argument("--count", type=int, default=150)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--limit", type=float, default=300)
    parser.add_argument("--until", type=float, default=math.inf, help="seconds after which no other mutant is begun")
    given = parser.parse_args()
    begun, chance = time.monotonic(), Random(given.seed)
    with tempfile.TemporaryDirectory() as place:
        work = Path(place) / "source"
        for name in ("lightplan", "tests", "catalog_example"):
            shutil.copytree(SOURCE / name, work / name, ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(SOURCE / "pyproject.toml", work)
        files = sorted((work / "lightplan" / given.room).rglob("*.py"))
        everything = [(path, mutant) for path in files for mutant in mutants(path.read_text(encoding="utf-8"))]
        assert not noticed(work, given.tests, given.limit), "the tests fail without any change"
        print(f"{len(everything)} mutants; of these by chance {given.count}", flush=True)
        hits = count = 0
        for path, (line, what, text) in chance.sample(everything, min(given.count, len(everything))):
            if time.monotonic() - begun > given.until:
                break
            before = path.read_text(encoding="utf-8")
            path.write_text(text(), encoding="utf-8")
            found = noticed(work, given.tests, given.limit)
            path.write_text(before, encoding="utf-8")
            count, hits = count + 1, hits + found
            if not found:
                print(f"survived: {path.relative_to(work)}:{line}  {what}", flush=True)
        low, high = interval(hits, count)
        print(f"{hits} of {count} noticed: {hits / count:.0%}, 95 % interval {low:.0%} to {high:.0%}")


if __name__ == "__main__":
    main()
