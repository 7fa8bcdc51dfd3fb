"""The commands that tell of a plan's neighbourhood: what they answer, as text and as data."""

from __future__ import annotations

import pytest

from lightplan.choose.tradeoff.goals import AIMS
from lightplan.inputs.layout import LayoutLight


def test_fixtures_are_told_as_tables_and_as_data(run, folder):
    said = run("fixtures", folder / "scenes.toml")
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith("Tiny\n")
    assert "What each light is worth here" in said.out
    data = run("fixtures", folder / "scenes.toml", "--json").json
    assert [row["fixture"] for row in data["fixtures"]] == ["Plain bar", 'Fine, "dim" panel']
    bar = data["fixtures"][0]
    assert (bar["form"], bar["residual_pct"]) == (2, 0)
    assert "What their light is taken from" in said.out
    assert {"photon_efficacy", "price_per_umol_s", "price_per_par", "energy_per_year", "scenes"} <= set(bar)
    assert bar["photon_efficacy"] == pytest.approx(1.8)
    assert bar["price_per_umol_s"] == pytest.approx(30 / 36)
    assert bar["price_per_par"] == pytest.approx(30 / bar["delivered_par"])
    # 20 W for 8 hours a day at 0.3
    assert bar["energy_per_year"] == pytest.approx(20 * 8 * 365 / 1000 * 0.3)
    assert bar["scenes"] == ["settled", "first-day"]
    assert data["fixtures"][1]["scenes"] == ["settled", "first-day"]
    LayoutLight(fixture=bar["fixture"], **bar["best_spot"])


def test_alternatives_are_told_as_a_table_and_as_data(run, folder):
    arguments = ("alternatives", folder / "tiny.toml", "--within", "150", "--gap", "0")
    said = run(*arguments)
    assert (said.code, said.err) == (0, "")
    assert "the most dimmable light" in said.out
    data = run(*arguments, "--json").json
    assert data["within_pct"] == 150
    goals = [one["goal"] for one in data["alternatives"]]
    assert "most dimmable" in goals
    assert set(goals) | {one["goal"] for one in data["left_out"]} == {aim.name for aim in AIMS}
    least = data["cheapest"]["cost"]["ownership"]
    for one in data["alternatives"]:
        assert one["plan"]["cost"]["ownership"] <= 2.5 * least + 0.01
        assert one["plan"]["goal"] == one["goal"]


def test_wishes_are_told_the_dearest_first(run, folder):
    said = run("wishes", folder / "scenes.toml")
    assert (said.code, said.err) == (0, "")
    assert "What dropping a wish would save" in said.out
    data = run("wishes", folder / "scenes.toml", "--json").json
    wishes = data["wishes"]
    assert {one["wish"] for one in wishes} == {"zone middle", "scene first-day", "claims"}
    assert [one["saves"] for one in wishes] == sorted((one["saves"] for one in wishes), reverse=True)
    assert wishes[0]["wish"] == "zone middle"
    assert wishes[0]["saves"] == pytest.approx(data["plan"]["cost"]["ownership"])


@pytest.mark.parametrize("command", ["alternatives", "wishes"])
def test_no_plan_that_meets_every_wish_is_3(run, folder, command):
    said = run(command, folder / "narrow.toml")
    assert said.code == 3
    assert "No plan meets every wish; this is the closest." in said.out


def test_where_no_plan_meets_every_wish_changes_are_named(run, folder):
    assert "alone would make a plan possible" in run("wishes", folder / "narrow.toml").out


@pytest.mark.parametrize("command", ["alternatives", "wishes"])
def test_a_stop_without_a_plan_is_4(run, folder, command):
    assert run(command, folder / "tiny.toml", "--time-limit", "1e-9").code == 4


@pytest.mark.parametrize("command", ["fixtures", "alternatives", "wishes"])
def test_a_wrong_input_is_1(run, folder, command):
    text = (folder / "tiny.toml").read_text(encoding="utf-8")
    (folder / "tiny.toml").write_text(text.replace("step_cm = 20", "stepp_cm = 20"), encoding="utf-8")
    said = run(command, folder / "tiny.toml")
    assert (said.code, said.out) == (1, "")
    assert "did you mean 'step_cm'?" in said.err


def test_workers_answer_the_same(run, folder):
    arguments = ("wishes", folder / "tiny.toml", "--gap", "0", "--json")
    alone, together = run(*arguments).json, run(*arguments, "--workers", "2").json
    assert [(one["wish"], round(one["saves"], 6)) for one in alone["wishes"]] == [
        (one["wish"], round(one["saves"], 6)) for one in together["wishes"]
    ]
