"""Several tanks in turn, one in full."""

from __future__ import annotations

import json

import pytest


@pytest.fixture
def four(folder):
    """Tanks that end in 0, 3, 1 and 0."""
    (folder / "broken.toml").write_text("[tank]\nlength_cm = 40\n", encoding="utf-8")
    return [folder / f"{name}.toml" for name in ("tiny", "narrow", "broken", "scenes")]


def test_several_tanks_have_a_row_each_and_the_worst_code(run, four):
    said = run("plan", *four)
    assert said.code == 1
    rows = said.out.splitlines()
    assert [row.split()[0] for row in rows] == ["tank", "tiny", "narrow", "broken", "scenes"]
    assert "broken.toml" in said.err


@pytest.mark.parametrize(("which", "code"), [([0, 3], 0), ([0, 1], 3), ([1, 2], 1), ([2, 2], 1)])
def test_the_worst_code_counts(run, four, which, code):
    assert run("plan", *(four[k] for k in which)).code == code


def test_a_list_in_the_order_of_the_arguments(run, four):
    said = run("plan", *four, "--json")
    tiny, narrow, broken, scenes = said.json
    assert (tiny["status"], narrow["status"], scenes["status"]) == ("optimal", "closest", "optimal")
    assert set(broken) == {"tank", "problems"}
    assert broken["tank"] == str(four[2])
    assert all(set(problem) >= {"file", "row", "column", "message"} for problem in broken["problems"])


def test_one_tank_is_no_list(run, four):
    assert run("plan", four[0], "--json").json["status"] == "optimal"
    assert set(run("plan", four[2], "--json").json) == {"tank", "problems"}


def test_each_tank_has_a_folder_of_its_own(run, four, folder):
    run("plan", *four, "--out", folder / "out")
    assert sorted(path.name for path in (folder / "out").iterdir()) == ["narrow", "scenes", "tiny"]
    data = json.loads((folder / "out" / "narrow" / "plan.json").read_text(encoding="utf-8"))
    assert data["status"] == "closest"


def test_two_tanks_never_share_a_folder(run, folder):
    (folder / "other").mkdir()
    twin = folder / "other" / "tiny.toml"
    twin.write_text((folder / "tiny.toml").read_text(encoding="utf-8"), encoding="utf-8")
    said = run("plan", folder / "tiny.toml", twin, "--catalog", folder, "--out", folder / "out")
    assert said.code == 2
    assert "rename one of the files" in said.err
    assert not (folder / "out").exists()


def test_a_warning_of_a_shared_catalog_is_told_once(run, folder):
    rows = (folder / "fixtures.csv").read_text(encoding="utf-8")
    (folder / "fixtures.csv").write_text(f"{rows}Mystery,10,20,30,6\n", encoding="utf-8")
    said = run("plan", folder / "tiny.toml", folder / "scenes.toml")
    assert said.code == 0
    assert said.err.count(": warning: ") == 1
    assert said.err.count("\n") == 1


def test_many_warnings_are_counted(run, folder):
    rows = "".join(f"Mystery {n},10,20,30,6\n" for n in range(14))
    with open(folder / "fixtures.csv", "a", encoding="utf-8") as table:
        table.write(rows)
    said = run("plan", folder / "tiny.toml", "--time-limit", "1e-9")
    lines = said.err.splitlines()
    assert len(lines) == 11
    assert lines[-1] == "4 more warnings: `lightplan check` tells them all."


def test_after_ctrl_c_no_other_tank_is_begun(run, folder, monkeypatch):
    from lightplan.present.commands import jobs

    real = jobs.plan

    def stopped(*arguments, watch, **options):
        watch.stop.set()
        return real(*arguments, watch=watch, **options)

    monkeypatch.setattr(jobs, "plan", stopped)
    said = run("plan", folder / "tiny.toml", folder / "scenes.toml", "--json")
    assert said.code == 4
    assert said.json[0]["status"] == "none"
    assert said.json[1]["problems"][0]["message"] == "stopped before this tank's turn"


def test_the_place_of_the_results_is_told(run, folder):
    assert run("plan", folder / "tiny.toml", "--out", folder / "out").out.endswith(
        f"Results are in {folder / 'out'}.\n"
    )
