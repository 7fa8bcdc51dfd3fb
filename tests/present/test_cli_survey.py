"""Options of the commands that are about meter readings."""

from __future__ import annotations

import pytest


@pytest.mark.parametrize("command", ["calibrate", "retune"])
def test_help_says_what_it_does(run, command):
    said = run(command, "--help")
    assert said.code == 0
    assert "--layout" in said.out
    assert "Exit codes" in said.out


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), "needs a TANK with --layout, or --alone"),
        (("a.toml",), "needs a TANK with --layout, or --alone"),
        (("a.toml", "--alone", "b.csv"), "--alone goes with no tank"),
        (("--alone", "b.csv", "--readings", "c.csv"), "--alone goes with no tank"),
        (("a.toml", "--layout", "b.csv", "--immersion-factor", "1.1"), "goes with --alone"),
    ],
)
def test_the_two_ways_to_retune_do_not_mix(run, options, said):
    answer = run("retune", *options)
    assert answer.code == 2
    assert said in " ".join(answer.err.replace("│", " ").split())
