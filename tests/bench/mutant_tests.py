"""Which tests run which lines of a room, and the tests of one mutant in a process that is warm already.

What takes time in a mutant's run is loading libraries and tests that have nothing to do with it. So a worker loads the
libraries and the rooms below once, and forks for each mutant; and a first run of all tests, with coverage.py, says
which of them come by the changed line, and how long they take.
"""

from __future__ import annotations

import contextlib
import importlib
import json
import os
import pkgutil
import resource
import signal
import sys
import time
import traceback
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import pytest

#: rooms of the package, each knowing only those before it
ROOMS = ("inputs", "light", "choose", "operate", "present")
LOADED = (
    "numpy", "pandas", "pydantic", "scipy.optimize", "scipy.interpolate", "scipy.stats", "scipy.special", "hypothesis",
    "hypothesis.strategies", "hypothesis.extra.numpy", "pulp", "highspy", "colour",
)  # fmt: skip
#: a test this long (s) is left out, whatever it runs
LONGEST = 20.0
MEMORY = 3 * 2**30
#: where the tests' output goes, in the copy
SAID = "said.txt"
QUIET = ("-q", "--assert=plain", "-n", "0", "-p", "no:cacheprovider", "-o", "timeout=120")

#: "odd": pytest itself could not go on, as where a file of fixtures cannot be loaded
Ending = Literal["failed", "too long", "odd", "passed"]
#: by pytest's exit code; a module that cannot be loaded is 2
ENDINGS: dict[int, Ending] = {0: "passed", 1: "failed", 2: "failed"}


@dataclass(frozen=True)
class Known:
    """What a first run told: how long each test takes (s), and which tests come by which line of which file."""

    seconds: dict[str, float]
    #: by file and line: tests, and test files whose fixtures run the line; empty for a line of the import
    lines: dict[str, dict[int, set[str]]]

    def tests_for(self, path: str, lines: range, limit: float) -> list[list[str]]:
        """The tests that may notice a change of these lines, `limit` seconds in all, in lots to be run one by one.

        First those of the module's own file that run the line, for to load all other files takes longer. Then others
        that run it. Then the rest of all these files, for what one test keeps (a fixture, a cache) the next does not
        run again. In each the quickest first. A line of the import is everybody's who runs the module.
        """
        module = self.lines.get(path, {})
        running = {name for line in lines for name in module.get(line, ())}
        named = {f for f in self._files() if Path(f).name == f"test_{Path(path).name}"}
        if not running:
            if not any(line in module for line in lines):
                return []
            running = named | {name for found in module.values() for name in found}
        files = {name.split("::")[0] for name in running} | named
        lots: list[list[str]] = [[], [], []]
        for test in self.seconds:
            file = test.split("::")[0]
            if test in running or file in running:
                lots[0 if file in named else 1].append(test)
            elif file in files:
                lots[2].append(test)
        return self._within(lots, limit)

    def _within(self, lots: list[list[str]], limit: float) -> list[list[str]]:
        kept, left = [], limit
        for lot in lots:
            kept.append([])
            for test in sorted(lot, key=lambda test: self.seconds[test]):
                if self.seconds[test] <= min(left, LONGEST):
                    kept[-1].append(test)
                    left -= self.seconds[test]
        return [lot for lot in kept if lot]

    def _files(self) -> set[str]:
        return {test.split("::")[0] for test in self.seconds}

    def write(self, path: Path) -> None:
        """Keep it for another run."""
        lines = {f: {n: sorted(found) for n, found in of.items()} for f, of in self.lines.items()}
        path.write_text(json.dumps({"seconds": self.seconds, "lines": lines}), encoding="utf-8")


def read_known(path: Path) -> Known:
    """What `Known.write` wrote."""
    kept = json.loads(path.read_text(encoding="utf-8"))
    lines = {f: {int(n): set(found) for n, found in of.items()} for f, of in kept["lines"].items()}
    return Known(kept["seconds"], lines)


class Survey:
    """A pytest plugin that tells coverage.py which test runs, or whose file's fixtures."""

    def __init__(self, coverage: Any) -> None:
        self.coverage = coverage
        self.seconds: dict[str, float] = {}

    @pytest.hookimpl(wrapper=True, tryfirst=True)
    def pytest_runtest_setup(self, item: pytest.Item) -> Iterator[None]:
        self.coverage.switch_context(item.nodeid.split("::")[0])
        return (yield)

    @pytest.hookimpl(wrapper=True, tryfirst=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        self.coverage.switch_context(item.nodeid)
        return (yield)

    @pytest.hookimpl(wrapper=True, tryfirst=True)
    def pytest_runtest_teardown(self, item: pytest.Item) -> Iterator[None]:
        self.coverage.switch_context(item.nodeid.split("::")[0])
        return (yield)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if not report.skipped:
            self.seconds[report.nodeid] = self.seconds.get(report.nodeid, 0.0) + report.duration


class Allowed:
    """A pytest plugin that ends the process where a test reckons much longer than it should, whatever else runs."""

    def __init__(self, seconds: dict[str, float]) -> None:
        self.seconds = seconds

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> None:
        # the quick test of the first run may have found kept what it must now reckon itself
        allow(40.0 + 5.0 * self.seconds.get(item.nodeid, 0.0))


def allow(seconds: float) -> None:
    """End this process after so many more seconds of reckoning (its own, not what others do meanwhile)."""
    used = resource.getrusage(resource.RUSAGE_SELF)
    resource.setrlimit(resource.RLIMIT_CPU, (int(used.ru_utime + used.ru_stime + seconds) + 1, resource.RLIM_INFINITY))


def warm(copy: Path, room: str) -> None:
    """Make this process one for the tests of a copy of the source: libraries and the rooms below are loaded."""
    os.chdir(copy)
    here = {"", str(Path(__file__).parents[2])}
    sys.path[:] = [str(copy), *(entry for entry in sys.path if entry not in here)]
    os.environ["PYTHONPATH"] = str(copy)
    for name in [name for name in sys.modules if name.split(".")[0] in ("tests", "lightplan")]:
        del sys.modules[name]
    for name in LOADED:
        # what is not there, the tests do without
        with contextlib.suppress(ImportError), warnings.catch_warnings(action="ignore"):
            importlib.import_module(name)
    for below in ROOMS[: ROOMS.index(room)]:
        package = importlib.import_module(f"lightplan.{below}")
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            importlib.import_module(module.name)


def forked(work: Callable[[], int], limit: float) -> Ending:
    """How a piece of work ends in a process of its own, which has `limit` seconds by the clock."""
    child = os.fork()
    if child == 0:
        code = 3
        try:
            os.setsid()
            os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
            said = os.open(SAID, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            for stream in (1, 2):
                os.dup2(said, stream)
            resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
            code = work()
        except BaseException:
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(code)
    until = time.monotonic() + limit
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            _end_group(child)
            if os.WIFSIGNALED(status):
                return "too long" if os.WTERMSIG(status) == signal.SIGXCPU else "failed"
            return ENDINGS.get(os.WEXITSTATUS(status), "odd")
        time.sleep(0.02)
    _end_group(child)
    os.waitpid(child, 0)
    return "too long"


def _end_group(child: int) -> None:
    """End a child and all that it started."""
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)


def survey(copy: Path, room: str, tests: list[str], limit: float = 3600.0) -> Known:
    """Run all tests once, unchanged; in the process that `warm` made.

    Raises ValueError where a test fails without any change, or cannot be called by its name.
    """
    kept = copy / "known.json"

    def all_of_them() -> int:
        from coverage import Coverage

        measure = Coverage(data_file=None, config_file=False, source=[str(copy / "lightplan" / room)], messages=False)
        measure.start()
        plugin = Survey(measure)
        code = int(pytest.main([*QUIET, *tests], plugins=[plugin]))
        measure.stop()
        data = measure.get_data()
        lines = {
            str(Path(file).relative_to(copy)): {
                line: {name for name in found if name} for line, found in data.contexts_by_lineno(file).items()
            }
            for file in data.measured_files()
        }
        Known(plugin.seconds, lines).write(kept)
        return code

    if forked(all_of_them, limit) != "passed":
        raise ValueError(f"the tests fail without any change:\n{(copy / SAID).read_text()[-3000:]}")
    known = read_known(kept)
    called = [test for test, seconds in known.seconds.items() if seconds <= LONGEST]
    if forked(lambda: int(pytest.main([*QUIET, "--collect-only", *called])), limit) != "passed":
        raise ValueError(f"there are tests that cannot be called by their names:\n{(copy / SAID).read_text()[-3000:]}")
    return known


def ending(known: Known, lots: list[list[str]]) -> Ending:
    """How lots of tests end for what now stands in the copy, up to the first that notices; in `warm`'s process."""
    for tests in lots:
        end = _ending(known, tests)
        if end != "passed":
            return end
    return "passed"


def _ending(known: Known, tests: list[str]) -> Ending:
    def until_one_fails() -> int:
        allow(60.0)
        return int(pytest.main(["-x", *QUIET, *tests], plugins=[Allowed(known.seconds)]))

    return forked(until_one_fails, 300.0 + 10.0 * sum(known.seconds[test] for test in tests))
