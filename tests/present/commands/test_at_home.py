"""The server asks no other machine, whoever tries to reach it."""

from __future__ import annotations

import socket

import pytest
from streamlit import net_util
from streamlit.web.server import server_util

from lightplan.present.commands import at_home


@pytest.fixture
def alone(monkeypatch):
    """Every way out fails the test; what `stay_at_home` changes is put back."""
    for name in ("get_external_ip", "get_internal_ip"):
        monkeypatch.setattr(net_util, name, getattr(net_util, name))
    monkeypatch.setattr(net_util, "_make_blocking_http_get", lambda *_, **__: pytest.fail("another machine was asked"))
    monkeypatch.setattr(socket, "socket", lambda *_, **__: pytest.fail("a socket was opened"))


@pytest.mark.usefixtures("alone")
@pytest.mark.parametrize("origin", ["http://evil.example", "https://evil.example:8501", "null", "http://192.168.0.9"])
def test_a_page_from_elsewhere_is_refused_without_asking_anybody(origin):
    at_home.stay_at_home()
    assert not server_util.is_url_from_allowed_origins(origin)
    assert server_util.is_url_from_allowed_origins("http://127.0.0.1:8501")
