"""Options that several commands share."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

import pytest
import typer
from typer.testing import CliRunner

from lightplan.present.commands.stop import ENDED, EndedError
from lightplan.present.options import between, ended_by_ctrl_c, takes


@pytest.mark.parametrize("value", [0.0, 0.5, 1.0, None])
def test_a_number_within_its_range_stays(value):
    assert between(0, 1)(value) == value


@pytest.mark.parametrize("value", [-0.1, 1.1, math.nan, math.inf, -math.inf])
def test_a_number_outside_is_wrong_usage(value):
    with pytest.raises(typer.BadParameter, match="from 0 to 1"):
        between(0, 1)(value)


def test_a_range_may_exclude_its_beginning():
    assert between(0, 1, above=True)(0.1) == 0.1
    with pytest.raises(typer.BadParameter, match="above 0 to 1"):
        between(0, 1, above=True)(0.0)


@pytest.mark.parametrize("error", [KeyboardInterrupt, EndedError])
def test_ctrl_c_ends_a_command_without_a_word(error, capsys):
    with pytest.raises(typer.Exit) as end, ended_by_ctrl_c():
        raise error
    assert end.value.exit_code == ENDED
    assert capsys.readouterr() == ("", "")


@dataclass(frozen=True)
class Many:
    """Options of a command."""

    name: Annotated[str, typer.Argument()]
    count: Annotated[int, typer.Option(help="how many")] = 3


def test_a_command_takes_its_options_as_one_object():
    app, seen = typer.Typer(), []

    @app.command()
    @takes(Many)
    def show(options: Many) -> None:
        """Show it."""
        seen.append(options)

    assert CliRunner().invoke(app, ["a"]).exit_code == 0
    assert CliRunner().invoke(app, ["b", "--count", "5"]).exit_code == 0
    assert seen == [Many("a"), Many("b", 5)]
    assert CliRunner().invoke(app, []).exit_code == 2
    told = CliRunner().invoke(app, ["--help"]).stdout
    assert "Show it." in told
    assert "--count" in told
