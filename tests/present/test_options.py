"""Options that several commands share."""

from __future__ import annotations

import inspect
import math
from dataclasses import dataclass
from typing import Annotated

import pytest
import typer
from typer.testing import CliRunner

from lightplan.present.commands.stop import ENDED, EndedError
from lightplan.present.options import CLOSE, HERE, Search, Who, between, ended_by_ctrl_c, spread


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


def tried(*arguments: str):
    """Run a command whose options stand in groups; what it was given."""
    app, given = typer.Typer(), []

    @app.command()
    @spread
    def command(name: str, search: Search = CLOSE, who: Who = HERE, loud: bool = False) -> None:
        """Do it."""
        given.append((name, search, who, loud))

    return CliRunner().invoke(app, list(arguments)), given


def test_options_of_a_group_are_options_of_the_command():
    result, given = tried("x", "--gap", "0.2", "--workers", "3", "--loud")
    assert result.exit_code == 0
    assert given == [("x", Search(0.2, 60.0), Who(3, None), True)]


def test_a_group_has_the_defaults_that_the_command_says():
    assert tried("x")[1] == [("x", Search(0.001, 60.0), Who(None, None), False)]


def test_options_of_a_group_are_checked_and_have_their_help():
    assert tried("x", "--gap", "2")[0].exit_code == 2
    assert tried("x", "--workers", "0")[0].exit_code == 2
    text = tried("--help")[0].stdout
    for word in ("--gap", "--time-limit", "--workers", "--scheduler", "Do it."):
        assert word in text


def test_either_processes_or_a_cluster():
    result, given = tried("x", "--workers", "2", "--scheduler", "tcp://127.0.0.1:1")
    assert (result.exit_code, given) == (2, [])
    assert "either --workers or --scheduler, not both" in result.stderr


def test_a_command_without_groups_stays_as_it_is():
    def plain(name: str, loud: bool = False) -> None:
        """Do it."""

    assert list(inspect.signature(spread(plain)).parameters) == ["name", "loud"]


@dataclass(frozen=True)
class Many:
    """Options of a command."""

    name: Annotated[str, typer.Argument()]
    count: Annotated[int, typer.Option(help="how many")] = 3


def test_a_group_without_a_default_has_those_of_its_fields():
    app, seen = typer.Typer(), []

    @app.command()
    @spread
    def show(options: Many) -> None:
        """Show it."""
        seen.append(options)

    assert CliRunner().invoke(app, ["a"]).exit_code == 0
    assert CliRunner().invoke(app, ["b", "--count", "5"]).exit_code == 0
    assert seen == [Many("a"), Many("b", 5)]
    assert CliRunner().invoke(app, []).exit_code == 2
