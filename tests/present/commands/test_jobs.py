"""One tank from its files: the outcome and its exit code."""

from __future__ import annotations

import dataclasses
import itertools
from contextlib import nullcontext

import pytest

from lightplan.choose.plan import CheckError
from lightplan.choose.solver import SolverError, Watch
from lightplan.inputs.errors import InputError, Problem
from lightplan.light.emitter import EmitterError
from lightplan.present.commands import jobs
from lightplan.present.commands.jobs import (
    Outcome,
    Ready,
    Wishes,
    draw,
    fixtures_file,
    not_begun,
    plan_tank,
    prepare,
    worst,
    write,
)
from lightplan.present.commands.results import FILES, fingerprints


class Silent:
    """A listener that keeps what it is told."""

    def __init__(self) -> None:
        self.told: list[Problem] = []

    def warn(self, problems) -> None:
        self.told.extend(problems)

    def searching(self, tank):
        return nullcontext(Watch())


def test_the_worst_of_1_4_3_0():
    order = [1, 4, 3, 0]
    for codes in itertools.product(order, repeat=3):
        assert worst(codes) == min(codes, key=order.index)
    assert worst([]) == 0


def test_a_plan_with_its_code_and_fingerprints(folder):
    outcome = plan_tank(folder / "tiny.toml", Wishes(), Silent())
    assert outcome.code == 0
    assert outcome.plan is not None
    assert "tiny.toml" in outcome.plan.inputs
    assert outcome.to_dict()["status"] == "optimal"


def test_the_plain_model_answers_the_same(folder):
    outcomes = [
        plan_tank(folder / "tiny.toml", Wishes(solver=solver, gap=0.0), Silent()) for solver in ("highs", "plain")
    ]
    assert [(outcome.code, outcome.plan.status) for outcome in outcomes] == [(0, "optimal")] * 2
    found, plain = (dataclasses.asdict(outcome.plan.cost) for outcome in outcomes)
    # both stop within the solver's tolerance of a level of 100 %
    assert found == pytest.approx(plain, rel=1e-6)


def test_where_the_plain_model_meets_no_wish_the_closest_is_told_as_ever(folder):
    outcome = plan_tank(folder / "narrow.toml", Wishes(solver="plain"), Silent())
    assert (outcome.code, outcome.plan.status, outcome.plan.impossible) == (3, "closest", True)


@pytest.mark.parametrize(
    ("error", "code", "message"),
    [
        (InputError([Problem("x.toml", 3, "depth_cm", "is wrong")]), 1, "is wrong"),
        (EmitterError("too bright to be"), 1, "too bright to be"),
        (SolverError("no solver"), 4, "no solver"),
        (CheckError("does not hold"), 4, "does not hold"),
        (MemoryError(), 4, "not enough memory: offer fewer spots, heights or fixtures"),
        (KeyboardInterrupt(), 4, "stopped before any plan was found"),
    ],
)
def test_what_goes_wrong_is_an_outcome(folder, monkeypatch, error, code, message):
    def failing(*_, **__):
        raise error

    monkeypatch.setattr(jobs, "plan", failing)
    outcome = plan_tank(folder / "tiny.toml", Wishes(out=folder / "out"), Silent())
    assert outcome.code == code
    assert [problem.message for problem in outcome.problems] == [message]
    assert not (folder / "out").exists()


def test_the_catalog_may_be_elsewhere(folder, tmp_path_factory):
    away = tmp_path_factory.mktemp("away") / "tiny.toml"
    away.write_text((folder / "tiny.toml").read_text(encoding="utf-8"), encoding="utf-8")
    assert plan_tank(away, Wishes(), Silent()).code == 1
    assert plan_tank(away, Wishes(catalog=folder), Silent()).code == 0
    assert fixtures_file(away, None) == str(away.parent / "fixtures.csv")
    assert fixtures_file(away, folder) == str(folder / "fixtures.csv")


def test_warnings_come_before_the_search(folder, monkeypatch):
    rows = (folder / "fixtures.csv").read_text(encoding="utf-8")
    (folder / "fixtures.csv").write_text(f"{rows}Mystery,10,20,30,6\n", encoding="utf-8")
    listener = Silent()

    def search(*_, **__):
        assert len(listener.told) == 1
        raise SolverError("enough")

    monkeypatch.setattr(jobs, "plan", search)
    assert plan_tank(folder / "tiny.toml", Wishes(), listener).code == 4


def test_a_tank_whose_turn_never_came(folder):
    outcome = not_begun(folder / "tiny.toml")
    assert outcome.code == 4
    assert set(outcome.to_dict()) == {"tank", "problems"}


def test_a_tank_is_read_before_anything_else(folder):
    ready = prepare(folder / "tiny.toml", Wishes(budget=5))
    assert isinstance(ready, Ready)
    assert ready.inputs.tank.box.name == "Tiny"
    assert ready.prints == fingerprints(folder / "tiny.toml", folder)
    wrong = prepare(folder / "nowhere.toml", Wishes())
    assert isinstance(wrong, Outcome)
    assert (wrong.code, wrong.plan) == (1, None)


def test_a_folder_that_cannot_be_is_known_before_the_search(folder):
    wrong = prepare(folder / "tiny.toml", Wishes(out=folder / "tiny.toml" / "out"))
    assert isinstance(wrong, Outcome)
    assert wrong.code == 1


def test_result_files_are_drawn_where_they_are_wanted_and_then_written(folder, tiny_plan):
    path, out = folder / "tiny.toml", folder / "out"
    outcome = Outcome(path, 0, tiny_plan)
    idle = draw(prepare(path, Wishes()), outcome)
    assert idle.files == {}
    assert write(idle, None).plan.inputs == fingerprints(path, folder)
    drawn = draw(prepare(path, Wishes(out=out)), outcome)
    assert set(drawn.files) == set(FILES)
    assert not out.exists()
    assert write(drawn, out) == drawn.outcome
    assert {file.name for file in out.iterdir()} == set(FILES)


def test_nothing_is_written_of_a_tank_without_a_plan(folder):
    out = folder / "out"
    ready = prepare(folder / "tiny.toml", Wishes(out=out))
    assert write(draw(ready, not_begun(folder / "tiny.toml")), out).code == 4
    assert not out.exists()
