"""By which names the server is asked, and what becomes of others."""

from __future__ import annotations

import asyncio

import pytest
from streamlit.web.server.starlette import starlette_app, starlette_websocket

from lightplan.present.pages.own_names import REFUSED, OwnNames, answer_to_own_names


def answered(kind: str, *hosts: str) -> list[dict]:
    """What is sent where only "here" is a name of the server."""
    sent: list[dict] = []

    async def app(scope, receive, send):
        await send({"type": "from the app"})

    async def send(message):
        sent.append(message)

    scope = {"type": kind, "headers": [(b"accept", b"*/*"), *((b"host", host.encode()) for host in hosts)]}
    asyncio.run(OwnNames(app, lambda host: host == "here")(scope, None, send))
    return sent


@pytest.mark.parametrize(("kind", "hosts"), [("http", ["here"]), ("websocket", ["there"]), ("lifespan", [])])
def test_what_goes_through(kind, hosts):
    assert answered(kind, *hosts) == [{"type": "from the app"}]


@pytest.mark.parametrize("hosts", [["there"], [], ["here", "there"]])
def test_what_is_refused_in_a_sentence(hosts):
    start, body = answered("http", *hosts)
    assert start["status"] == 403
    assert body["body"].decode() == REFUSED


def test_the_server_asks_for_names_before_all_else(monkeypatch):
    others = starlette_app.create_streamlit_middleware
    monkeypatch.setattr(starlette_app, "create_streamlit_middleware", others)
    answer_to_own_names()
    first, *rest = starlette_app.create_streamlit_middleware()
    assert first.cls is OwnNames
    assert first.kwargs == {"allowed": starlette_websocket.is_host_allowed}
    assert [one.cls for one in rest] == [one.cls for one in others()]


def test_another_version_of_the_library_is_left_as_it_is(monkeypatch):
    others = starlette_app.create_streamlit_middleware
    monkeypatch.delattr(starlette_websocket, "is_host_allowed")
    answer_to_own_names()
    assert starlette_app.create_streamlit_middleware is others
