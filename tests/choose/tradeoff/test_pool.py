"""Processes beside this one: bare, deaf to Ctrl-C, and never left behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from concurrent.futures.process import BrokenProcessPool

import pytest

from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.pool import Pool
from tests.choose.tradeoff.chores import die, double, stay, whose
from tests.choose.tradeoff.conftest import ROOT

#: what nothing here comes near, seconds
LONG = 60
#: a program that shows when it is imported once more, starts work, tells its worker and waits
PROGRAM = """
import sys
print("begun", __name__, flush=True)
sys.path.insert(0, {root!r})
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.pool import Pool
from tests.choose.tradeoff.chores import stay, whose
pool = Pool(1)
print(pool.submit(whose, 0, Watch()).result(), flush=True)
pool.submit(stay, 0, Watch())
sys.stdin.read()
"""


@pytest.fixture
def pool():
    made = Pool(1)
    yield made
    made.close()


def gone(process: int) -> bool:
    """True once a process has ended, or is only waited for."""
    for _ in range(100):
        try:
            with open(f"/proc/{process}/stat") as file:
                if file.read().rpartition(")")[2].split()[0] == "Z":
                    return True
        except OSError:
            return True
        time.sleep(0.1)
    return False


def test_a_worker_that_died_is_known_by_what_its_work_raises_and_replaced(pool):
    first = pool.submit(whose, 0, Watch()).result(LONG)
    error = pool.submit(die, 1, Watch()).exception()
    assert isinstance(error, BrokenProcessPool)
    assert pool.is_lost(error)
    assert not pool.is_lost(ValueError())
    pool.renew()
    assert pool.submit(double, 2, Watch()).result(LONG) == 4
    assert pool.submit(whose, 0, Watch()).result(LONG) != first


def test_all_that_was_in_hand_when_a_worker_died_is_told_so_even_if_nobody_wants_it_any_more(pool):
    worker = pool.submit(whose, 0, Watch()).result(LONG)
    futures = [pool.submit(stay, 0, Watch()) for _ in range(6)]
    futures[4].cancel()
    os.kill(worker, signal.SIGKILL)
    for future in futures:
        assert pool.is_lost(future.exception(LONG))


def test_ctrl_c_is_not_heard_by_workers(pool):
    worker = pool.submit(whose, 0, Watch()).result(LONG)
    os.kill(worker, signal.SIGINT)
    assert pool.submit(whose, 0, Watch()).result(LONG) == worker


@pytest.mark.skipif(not os.path.isdir("/proc/self"), reason="looks at processes where Linux shows them")
def test_closing_ends_workers_at_once(pool):
    worker = pool.submit(whose, 0, Watch()).result(LONG)
    pool.submit(stay, 0, Watch())
    begun = time.monotonic()
    pool.close()
    assert gone(worker)
    assert time.monotonic() - begun < 15


@pytest.mark.skipif(not os.path.isdir("/proc/self"), reason="looks at processes where Linux shows them")
def test_workers_never_import_the_program_and_end_with_it(tmp_path):
    script = tmp_path / "program.py"
    script.write_text(PROGRAM.format(root=str(ROOT)), encoding="utf-8")
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL, "text": True}
    program = subprocess.Popen([sys.executable, str(script)], **pipes)
    try:
        assert program.stdout.readline() == "begun __main__\n"
        worker = int(program.stdout.readline())
    finally:
        # killed: it cannot say good-bye
        program.kill()
        rest = program.communicate(timeout=LONG)[0]
    assert "begun" not in rest
    assert gone(worker)
