"""Crews of every kind for tests: this process, processes beside it, and a Dask cluster of two workers."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from lightplan.choose.tradeoff.cluster import Cluster
from lightplan.choose.tradeoff.crew import Crew, open_crew

ROOT = Path(__file__).parents[3]
KINDS = ("in turn", "pool", "cluster")
#: a scheduler with so many workers of one thread each on this machine; it ends with its standard input
CLUSTER = """
import sys
from distributed import LocalCluster
with LocalCluster(n_workers=int(sys.argv[1]), threads_per_worker=1, host="127.0.0.1", dashboard_address=None) as made:
    print(made.scheduler_address, flush=True)
    sys.stdin.read()
"""


def start_cluster(workers: int) -> subprocess.Popen[str]:
    """A Dask cluster in processes of its own, whose workers find this package and the tests' chores."""
    paths = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    return subprocess.Popen(
        [sys.executable, "-c", CLUSTER, str(workers)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env={**os.environ, "PYTHONPATH": paths, "PYTHONWARNINGS": "ignore"},
    )


def address_of(cluster: subprocess.Popen[str]) -> str:
    """The scheduler's address, once it listens."""
    assert cluster.stdout is not None
    return cluster.stdout.readline().strip()


def end_cluster(cluster: subprocess.Popen[str]) -> None:
    """End a cluster and its workers."""
    assert cluster.stdin is not None
    assert cluster.stdout is not None
    cluster.stdin.close()
    cluster.wait(30)
    cluster.stdout.close()


@pytest.fixture(scope="session")
def scheduler() -> Iterator[str]:
    """The address of a cluster of two workers that all tests share."""
    cluster = start_cluster(2)
    yield address_of(cluster)
    end_cluster(cluster)


@pytest.fixture(autouse=True)
def _chores_can_be_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Workers import what the tests give them to do."""
    monkeypatch.setattr(sys, "path", [str(ROOT), *sys.path])


@pytest.fixture(params=KINDS)
def crew(request: pytest.FixtureRequest) -> Iterator[Crew]:
    """A crew of each kind in turn."""
    with make_crew(request.param, request) as made:
        yield made


@pytest.fixture(params=KINDS[1:])
def workers(request: pytest.FixtureRequest) -> Iterator[Crew]:
    """A crew of each kind that works elsewhere."""
    with make_crew(request.param, request) as made:
        yield made


def whole_cluster(scheduler: str) -> Cluster:
    """The cluster, once both workers are there: one that another test has killed takes its time to come back."""
    for _ in range(100):
        cluster = Cluster(scheduler)
        if cluster.count == 2:
            return cluster
        cluster.close()
        time.sleep(0.2)
    pytest.fail("the cluster's workers do not come back")


def make_crew(kind: str, request: pytest.FixtureRequest) -> Crew:
    """A crew of a kind; only tests that need a cluster start one."""
    if kind == "cluster":
        return Crew(whole_cluster(request.getfixturevalue("scheduler")))
    return open_crew(workers=2 if kind == "pool" else None)
