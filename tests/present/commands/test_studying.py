"""Commands that look for several plans: what can go wrong is one plain sentence, and progress counts."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.plan import CheckError
from lightplan.choose.solver import SolverError
from lightplan.choose.tradeoff.crew import LostError
from lightplan.choose.tradeoff.solving import Options
from lightplan.inputs.errors import InputError, Problem
from lightplan.light.emitter import EmitterError
from lightplan.present.commands.stop import Interrupts
from lightplan.present.commands.studying import Answered, Asked, Means, answer_study, code_of
from lightplan.present.texts.plan_parts import Bullets, Part


@pytest.fixture
def asked(folder):
    return Asked(folder / "tiny.toml", None, Options())


def test_a_study_gets_what_it_needs_and_is_printed(asked, capsys):
    seen: list[Means] = []

    def study(means: Means) -> Answered:
        seen.append(means)
        means.tell(1, 2)
        return Answered({"a": 1}, ("Said.",), (Part("x", "Heading", (Bullets(("one",)),)),), 3)

    assert answer_study(asked, Interrupts(), study) == 3
    assert (seen[0].tank.box.name, len(seen[0].catalog.fixtures), seen[0].crew.count) == ("Tiny", 2, 1)
    assert seen[0].options is asked.options
    out, err = capsys.readouterr()
    assert out.splitlines() == ["Tiny", "Said.", "", "Heading", "  - one"]
    assert err == ""
    assert answer_study(dataclasses.replace(asked, as_json=True), Interrupts(), study) == 3
    assert capsys.readouterr().out == '{\n  "a": 1\n}\n'


@pytest.mark.parametrize(
    ("error", "code", "words"),
    [
        (InputError([Problem("x.toml", None, None, "is wrong")]), 1, "x.toml: is wrong"),
        (EmitterError("no lamp can do that."), 1, "fixtures.csv: no lamp can do that."),
        (SolverError("the solver failed"), 4, "the solver failed"),
        (CheckError("the plan fails its check"), 4, "the plan fails its check"),
        (LostError("ended from outside"), 4, "ended from outside"),
        (MemoryError(), 4, "not enough memory"),
        (KeyboardInterrupt(), 4, "stopped before there was an answer"),
    ],
)
def test_what_goes_wrong_is_a_sentence(asked, capsys, error, code, words):
    def study(_means: Means) -> Answered:
        raise error

    assert answer_study(asked, Interrupts(), study) == code
    out, err = capsys.readouterr()
    assert out == ""
    assert words in err
    assert len(err.splitlines()) == 1


def test_a_scheduler_that_is_none_is_a_wrong_input(asked, capsys):
    def study(_means: Means) -> Answered:
        raise AssertionError

    nowhere = dataclasses.replace(asked, scheduler="nowhere")
    assert answer_study(nowhere, Interrupts(), study) == 1
    assert "nowhere" in capsys.readouterr().err


def test_codes_follow_the_plan(tiny_plan, closest_plan):
    assert (code_of(tiny_plan), code_of(closest_plan)) == (0, 3)
    assert code_of(dataclasses.replace(tiny_plan, status="time limit")) == 0
    assert code_of(dataclasses.replace(tiny_plan, status="none")) == 4
