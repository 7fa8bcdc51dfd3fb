"""The server answers to its own names only, for pages and scripts as for data.

Streamlit (1.67) asks for the name when a page's connection for data is opened (`server.allowedHosts`), but gives its
pages and scripts, in which nothing of a visitor's stands, to whoever asks by any name.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

Message = MutableMapping[str, Any]
App = Callable[[Message, Callable[[], Awaitable[Message]], Callable[[Message], Awaitable[None]]], Awaitable[None]]

REFUSED = "This page was asked for by a name that is not its own. Open it by the address that lightplan app names.\n"
FORBIDDEN = 403


class OwnNames:
    """Refuses requests by other names, in one sentence; what it lets through goes to `app`."""

    def __init__(self, app: App, allowed: Callable[[str | None], bool]) -> None:
        """`allowed` says whether a Host header names this server."""
        self.app, self.allowed = app, allowed

    async def __call__(
        self,
        scope: Message,
        receive: Callable[[], Awaitable[Message]],
        send: Callable[[Message], Awaitable[None]],
    ) -> None:
        """Answer one request; connections for data are left to who asks them for more than a name."""
        hosts = [value.decode("latin-1") for name, value in scope.get("headers", ()) if name == b"host"]
        if scope["type"] != "http" or self.allowed(hosts[0] if len(hosts) == 1 else None):
            await self.app(scope, receive, send)
            return
        kind = [(b"content-type", b"text/plain; charset=utf-8"), (b"connection", b"close")]
        await send({"type": "http.response.start", "status": FORBIDDEN, "headers": kind})
        await send({"type": "http.response.body", "body": REFUSED.encode()})


def answer_to_own_names() -> None:
    """Let the server of this process, which is still to begin, answer to its own names only.

    Another version of Streamlit may have no such place to ask in: then pages and scripts go to any name, and data,
    which Streamlit itself guards, to its own.
    """
    try:
        from starlette.middleware import Middleware  # noqa: PLC0415 - heavy, and in the server's process only
        from streamlit.web.server.starlette import starlette_app, starlette_websocket  # noqa: PLC0415

        others, allowed = starlette_app.create_streamlit_middleware, starlette_websocket.is_host_allowed
    except (ImportError, AttributeError):
        return

    def with_names() -> list[Middleware]:
        return [Middleware(OwnNames, allowed=allowed), *others()]

    starlette_app.create_streamlit_middleware = with_names
