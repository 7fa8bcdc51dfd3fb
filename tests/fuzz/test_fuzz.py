"""A short fuzz run for every change; the long one is `python -m tests.fuzz.run`."""

from __future__ import annotations

import signal
import sys
import tempfile
from pathlib import Path
from random import Random

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


def test_a_hang_is_seen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def hang(*_: object, **__: object) -> None:
        while True:
            pass

    monkeypatch.setattr(sys.modules["tests.fuzz.judge"], "app", hang)
    assert "longer than" in run(("check", str(tmp_path)), 0.05).error
