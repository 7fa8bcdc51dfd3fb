"""The commands for after the purchase: their options, without what they do."""

from __future__ import annotations

import pytest


def test_the_options_are_told(run):
    done = run("rampup", "--help")
    assert done.code == 0
    for option in (
        "--plan",
        "--weekly-rise",
        "--peak-rise",
        "--start",
        "--start-share",
        "--from-week",
        "--hold",
        "--out",
    ):
        assert option in done.out


@pytest.mark.parametrize("arguments", [(), ("tank.toml",), ("--plan", "plan.json")])
def test_a_tank_and_its_plan_are_needed(run, arguments):
    assert run("rampup", *arguments).code == 2


def test_a_wait_needs_a_week(run):
    done = run("rampup", "tank.toml", "--plan", "plan.json", "--hold", 2)
    assert done.code == 2
    assert "--from-week" in done.err
