"""A Dask cluster: what it takes to use one, and what is said where that is not so."""

from __future__ import annotations

import gc
import importlib
import threading
from typing import Any

import pytest

from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff import cluster as clusters
from lightplan.choose.tradeoff.cluster import Cluster
from lightplan.inputs.errors import InputError
from lightplan.version import VERSION
from tests.choose.tradeoff.chores import double, wait_for_stop
from tests.choose.tradeoff.conftest import address_of, end_cluster, start_cluster, whole_cluster


def refused(address: str) -> str:
    """What is said where a cluster cannot be used."""
    with pytest.raises(InputError) as error:
        Cluster(address)
    (problem,) = error.value.problems
    assert problem.file == address
    return problem.message


def test_it_does_work_with_as_many_hands_as_it_has(scheduler):
    cluster = whole_cluster(scheduler)
    try:
        assert cluster.count == 2
        assert [cluster.submit(double, n, Watch()).result() for n in (1, 2)] == [2, 4]
        assert not cluster.is_lost(ValueError())
    finally:
        cluster.close()


def test_a_stop_is_for_the_work_of_this_program_only(scheduler):
    one, other = whole_cluster(scheduler), whole_cluster(scheduler)
    try:
        mine, yours = (made.submit(wait_for_stop, 0, Watch()) for made in (one, other))
        threading.Timer(0.3, one.stop).start()
        assert mine.result(20) == 1
        assert not yours.done()
    finally:
        one.close()
        other.close()


@pytest.mark.parametrize("address", ["nowhere", "tcp://127.0.0.1:1", "", "tcp://"])
def test_nobody_there_is_a_plain_sentence(monkeypatch, address):
    monkeypatch.setattr(clusters, "ANSWERS_WITHIN", 0.3)
    assert refused(address) == "no Dask scheduler answers there, needs an address like tcp://host:8786"


def test_one_that_was_refused_does_not_hold_up_the_next_for_ever(monkeypatch):
    """As where memory is tidied up at the worst moment: while the next client starts and holds Dask's lock."""
    runner: Any = importlib.import_module("distributed.utils").LoopRunner
    started = runner._start_unlocked

    kept: list[Any] = []

    def start(self) -> None:
        kept.clear()
        if gc.isenabled():
            gc.collect()
        started(self)

    def refused_after_one_that_becomes_garbage() -> None:
        try:
            importlib.import_module("distributed").Client("nowhere", timeout=0.3)
        except ValueError as error:
            # with its traceback it holds the client, and only the collector comes by what holds itself
            ring: list[Any] = [error]
            ring.append(ring)
            kept.append(ring)
        del ring
        monkeypatch.setattr(runner, "_start_unlocked", start)
        said.append(refused("tcp://127.0.0.1:1"))

    monkeypatch.setattr(clusters, "ANSWERS_WITHIN", 0.3)
    said: list[str] = []
    asking = threading.Thread(target=refused_after_one_that_becomes_garbage, daemon=True)
    asking.start()
    asking.join(60)
    assert len(said) == 1


def test_without_the_extra_it_says_how_to_get_it(monkeypatch):
    def missing(name: str) -> None:
        raise ImportError(name)

    monkeypatch.setattr(importlib, "import_module", missing)
    assert "pip install lightplan[scale]" in refused("tcp://127.0.0.1:1")


def test_other_versions_are_refused(monkeypatch, scheduler):
    monkeypatch.setattr(clusters, "VERSION", "0.0.0")
    assert refused(scheduler) == f"its workers have lightplan {VERSION}, needs 0.0.0 as here"


def test_a_scheduler_without_workers_is_refused(monkeypatch):
    monkeypatch.setattr(clusters, "ANSWERS_WITHIN", 1.0)
    lonely = start_cluster(0)
    try:
        assert refused(address_of(lonely)) == "the scheduler has no workers"
    finally:
        end_cluster(lonely)
