"""A short fuzz run for every change; the long one is `python -m tests.fuzz.run`."""

from __future__ import annotations

import json
import signal
import sys
import tempfile
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.fuzz.inputs import example_files, make_input
from tests.fuzz.judge import Answer, faults, run
from tests.fuzz.mutate import mutated

#: the quick commands, for hypothesis tries many; searches are in the seeded part
QUICK = ("check", "par", "alone")
#: among them each command with success and with refusals
SEEDED = range(40)

pytestmark = pytest.mark.skipif(not hasattr(signal, "SIGPROF"), reason="this system can't limit processor time")


def judged(chance: Random, commands: tuple[str, ...]) -> None:
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        answer = run(make_input(chance, folder, commands))
        assert faults(answer, folder) == [], answer


@settings(max_examples=40)
@given(st.randoms(use_true_random=False))
def test_whatever_hypothesis_makes_of_the_example(chance: Random) -> None:
    judged(chance, QUICK)


@pytest.mark.parametrize("seed", SEEDED)
def test_seeded_inputs(seed: int) -> None:
    judged(Random(f"short:{seed}"), ("check", "par", "retune", "alone", "plan"))


def test_the_same_seed_makes_the_same_files() -> None:
    files = example_files()
    assert mutated(files, Random("1")) == mutated(files, Random("1"))
    assert mutated(files, Random("1")) != mutated(files, Random("2"))


# the judge itself


CHECK = ("check", "x")
ERROR = '{"problems": [{"file": "a", "row": 1, "message": "x", "severity": "error"}]}'


def answered(code: int, out: str = "", err: str = "", error: str = "", argv: tuple[str, ...] = CHECK) -> Answer:
    return Answer(argv, code, out, err, 0.1, error)


@pytest.mark.parametrize(
    "answer",
    [
        answered(0, error="Traceback (most recent call last): ..."),
        answered(2, err="wrong usage"),
        answered(1),
        answered(0, err="fixtures.csv, row 2: price is 'x': needs a number"),
        answered(1, err="fixtures.csv: warning: something"),
        answered(1, err="fixtures.csv: \x1b[2J is no name"),
        answered(1, err="Traceback (most recent call last):"),
        answered(0, ERROR, argv=(*CHECK, "--json")),
        answered(0, "{", argv=(*CHECK, "--json")),
        answered(0, '{"problems": NaN}', argv=(*CHECK, "--json")),
    ],
)
def test_wrong_answers_are_seen(answer: Answer, tmp_path: Path) -> None:
    assert faults(answer, tmp_path)


RIGHT: dict[str, Any] = {
    "status": "optimal",
    "gap": 0.005,
    "misses": [],
    "zones": [{"par_min": 60, "par_mean": 70, "par_max": 90, "wanted": [60, 100], "met": True}],
    "cost": {"purchase": 100, "extras": 10, "energy_per_year": 5},
    "energy": {"peak_w": 50},
    "buy": [{"kind": "fixture", "count": 2}],
    "given": {"tank": {"limits": {"budget": 110, "power_w": 50, "fixtures": 2}}},
}
WRONG: list[tuple[int, dict[str, Any]]] = [
    (3, {}),
    (0, {"status": "closest"}),
    (0, {"misses": [{}]}),
    (0, {"gap": 0.05}),
    (0, {"zones": [{**RIGHT["zones"][0], "met": False}]}),
    (0, {"zones": [{**RIGHT["zones"][0], "par_max": 110}]}),
    (0, {"zones": [{**RIGHT["zones"][0], "par_min": -1}]}),
    (0, {"cost": {**RIGHT["cost"], "purchase": 101}}),
    (0, {"cost": {**RIGHT["cost"], "extras": -1}}),
    (0, {"energy": {"peak_w": 51}}),
    (0, {"buy": [{"kind": "fixture", "count": 3}]}),
]


def planned(code: int, changes: dict[str, Any]) -> Answer:
    return answered(code, json.dumps({**RIGHT, **changes}), argv=("plan", "x"))


@pytest.mark.parametrize(("code", "changes"), WRONG)
def test_wrong_plans_are_seen(code: int, changes: dict[str, Any], tmp_path: Path) -> None:
    assert faults(planned(0, {}), tmp_path) == []
    assert faults(planned(code, changes), tmp_path)


def test_work_with_files_that_the_check_refuses_is_seen(tmp_path: Path) -> None:
    (tmp_path / "tank.toml").write_text("[tank]\n")
    tank = str(tmp_path / "tank.toml")
    assert faults(answered(0, json.dumps(RIGHT), argv=("plan", tank)), tmp_path)
    assert faults(answered(0, "point,par\n", argv=("par", tank, "--points", tank)), tmp_path)


def test_a_hang_is_seen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def hang(*_: object, **__: object) -> None:
        while True:
            pass

    monkeypatch.setattr(sys.modules["tests.fuzz.judge"], "app", hang)
    assert "longer than" in run(("check", str(tmp_path)), 0.05).error
