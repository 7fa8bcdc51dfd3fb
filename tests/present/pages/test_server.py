"""The server as a program: it loads what the first page needs once it listens, or gives up waiting."""

from __future__ import annotations

import sys

import pytest
from streamlit import runtime
from streamlit.runtime.runtime import RuntimeState

from lightplan.present.pages import server


class Listening:
    """A server's runtime that listens when it has been asked so often."""

    def __init__(self, after: int) -> None:
        self.asked, self._after = 0, after

    @property
    def state(self) -> RuntimeState:
        self.asked += 1
        return RuntimeState.INITIAL if self.asked <= self._after else RuntimeState.NO_SESSIONS_CONNECTED


@pytest.fixture
def loaded(monkeypatch):
    found: list[str] = []
    monkeypatch.setattr(server, "import_module", found.append)
    return found


def test_it_loads_once_the_server_listens(monkeypatch, loaded):
    made = Listening(3)
    monkeypatch.setattr(runtime, "exists", lambda: True)
    monkeypatch.setattr(runtime, "get_instance", lambda: made)
    server.preload()
    assert made.asked == 4
    assert loaded == list(server.FIRST)


def test_it_waits_no_longer_than_it_is_patient(monkeypatch, loaded):
    monkeypatch.setattr(server, "PATIENCE", 0.05)
    server.preload()
    assert not runtime.exists()
    assert loaded == list(server.FIRST)


def test_what_it_loads_is_there():
    for name in server.FIRST:
        server.import_module(name)
        assert name in sys.modules
