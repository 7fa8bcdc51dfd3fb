"""This process as the simplest worker."""

from __future__ import annotations

import pytest

from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.hands import InTurn, OwnHands
from tests.choose.tradeoff.chores import double, fail


def test_work_is_done_as_it_is_submitted():
    with InTurn() as executor:
        assert executor.submit(double, 4, Watch()).result() == 8
        assert isinstance(executor.submit(fail, 1, Watch()).exception(), ValueError)


def test_ctrl_c_is_no_result():
    def pressed() -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        InTurn().submit(pressed)


def test_the_watch_of_whoever_asks_is_looked_at_itself():
    hands, watch = OwnHands(), Watch()
    assert hands.submit(lambda _item, own: own is watch, None, watch).result()
    assert not hands.is_lost(RuntimeError())
    for nothing in (hands.renew, hands.stop, hands.close):
        assert nothing() is None
