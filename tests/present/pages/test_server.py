"""The server as a program: it loads what the first page needs once it listens, or gives up waiting."""

from __future__ import annotations

import sys
import time

import pytest
from streamlit import net_util, runtime
from streamlit.runtime.runtime import RuntimeState

from lightplan.present.pages import server

#: what nothing here comes near, seconds
LONG = 60.0


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


def test_the_servers_command_line_is_run_and_asks_no_other_machine(monkeypatch, loaded):
    called = []
    for name in ("get_external_ip", "get_internal_ip"):
        monkeypatch.setattr(net_util, name, getattr(net_util, name))
    monkeypatch.setattr(server, "answer_to_own_names", lambda: called.append("names"))
    monkeypatch.setattr(server, "PATIENCE", 0.05)
    monkeypatch.setattr(server, "main", lambda prog_name: called.append((prog_name, net_util.get_external_ip())))
    server.run()
    assert called == ["names", ("streamlit", None)]
    until = time.monotonic() + LONG
    while len(loaded) < len(server.FIRST) and time.monotonic() < until:
        time.sleep(0.01)
    assert loaded == list(server.FIRST)


def test_what_it_loads_is_there():
    for name in server.FIRST:
        server.import_module(name)
        assert name in sys.modules
