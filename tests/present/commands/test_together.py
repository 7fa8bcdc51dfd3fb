"""Many tanks through a crew: in their order, whatever happens to single ones."""

from __future__ import annotations

import json
from concurrent.futures import Future

import pytest

from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.crew import Crew, LostError, cancelled, open_crew
from lightplan.present.commands import together
from lightplan.present.commands.jobs import Drawn, Outcome, Wishes, prepare
from lightplan.present.commands.progress import Count
from lightplan.present.commands.results import FILES
from lightplan.present.commands.together import plan_and_draw, plan_together


@pytest.fixture
def jobs(folder):
    """Tiny, a broken tank, scenes: as they are read."""
    (folder / "broken.toml").write_text("[tank]\nlength_cm = 40\n", encoding="utf-8")
    wishes = Wishes(out=folder / "out" / "tiny")
    return [prepare(folder / f"{name}.toml", own) for name, own in
            (("tiny", wishes), ("broken", Wishes()), ("scenes", Wishes()))]  # fmt: skip


class Scripted:
    """Stands where a crew stands: gives the futures that a test has made, in the order that it says."""

    def __init__(self, *done) -> None:
        self.done = done

    def each(self, work, items, *, watch):
        assert work is plan_and_draw
        yield from self.done


def future(result=None, error=None) -> Future:
    made: Future = Future()
    made.set_exception(error) if error is not None else made.set_result(result)
    return made


def code_and_name(outcome: Outcome) -> tuple[int, str]:
    return outcome.code, outcome.tank.stem


def test_in_this_process_each_is_planned_drawn_and_written(jobs, folder):
    progress = Count("3 tanks", "", 60)
    found = list(plan_together(jobs, Crew(), Watch(), progress))
    assert [code_and_name(one) for one in found] == [(0, "tiny"), (1, "broken"), (0, "scenes")]
    assert {path.name for path in (folder / "out" / "tiny").iterdir()} == set(FILES)
    assert found[0].plan.inputs["tiny.toml"]
    assert "3 of 3 done" in progress.line()


def test_whoever_is_done_first_waits_for_those_before(jobs):
    tiny, scenes = (Drawn(Outcome(jobs[k].path, 0), {}) for k in (0, 2))
    found = plan_together(jobs, Scripted((1, future(scenes)), (0, future(tiny))), Watch())
    assert [one.tank.stem for one in found] == ["tiny", "broken", "scenes"]


@pytest.mark.parametrize(
    ("lost", "words"),
    [(LostError("ended from outside"), "ended from outside"), (ZeroDivisionError("by zero"), "please report this")],
)
def test_a_tank_that_fails_in_any_way_stops_no_other(jobs, lost, words):
    scenes = Drawn(Outcome(jobs[2].path, 0), {})
    found = list(plan_together(jobs, Scripted((0, future(error=lost)), (1, future(scenes))), Watch()))
    assert [code_and_name(one) for one in found] == [(4, "tiny"), (1, "broken"), (0, "scenes")]
    assert words in found[0].problems[0].message


def test_those_whose_turn_never_came_say_so(jobs):
    found = list(plan_together(jobs, Scripted((0, cancelled()), (1, cancelled())), Watch()))
    assert [one.code for one in found] == [4, 1, 4]
    assert found[2].problems[0].message == "stopped before this tank's turn"


def test_a_second_word_to_stop_leaves_what_is_not_done(jobs):
    tiny = Drawn(Outcome(jobs[0].path, 0), {})

    class Interrupted(Scripted):
        def each(self, work, items, *, watch):
            yield 0, future(tiny)
            raise KeyboardInterrupt

    watch = Watch()
    found = list(plan_together(jobs, Interrupted(), watch))
    assert [one.code for one in found] == [0, 1, 4]
    assert watch.stop.is_set()


def test_a_stop_while_results_are_drawn_is_told(jobs, monkeypatch):
    def interrupted(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(together, "draw", interrupted)
    drawn = plan_and_draw(jobs[0], Watch())
    assert (drawn.outcome.code, drawn.files) == (1, {})
    assert drawn.outcome.problems[0].message == "stopped before the results were written"


def test_processes_give_the_same_as_this_one(jobs, folder):
    with open_crew(workers=2) as crew:
        found = list(plan_together(jobs, crew, Watch()))
    alone = list(plan_together(jobs, Crew(), Watch()))
    assert [code_and_name(one) for one in found] == [code_and_name(one) for one in alone]
    for one, other in zip(found, alone, strict=True):
        assert (one.plan is None) == (other.plan is None)
        if one.plan is not None:
            assert one.plan.cost == other.plan.cost
    written = json.loads((folder / "out" / "tiny" / "plan.json").read_text(encoding="utf-8"))
    assert written["cost"]["ownership"] == pytest.approx(found[0].plan.cost.ownership)


def test_the_command_answers_the_same_with_workers(run, folder, jobs):
    tanks = [folder / f"{name}.toml" for name in ("tiny", "broken", "narrow", "scenes")]
    alone, shared = (run("plan", *tanks, "--json", *more) for more in ([], ["--workers", "2"]))
    assert (alone.code, shared.code) == (1, 1)
    assert [one.get("status", "broken") for one in shared.json] == ["optimal", "broken", "closest", "optimal"]
    for one, other in zip(alone.json, shared.json, strict=True):
        assert one.get("cost") == other.get("cost")
        assert one.get("problems") == other.get("problems")
