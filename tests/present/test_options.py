"""Options that several commands share."""

from __future__ import annotations

import math

import pytest
import typer

from lightplan.present.commands.stop import ENDED, EndedError
from lightplan.present.options import between, ended_by_ctrl_c


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
