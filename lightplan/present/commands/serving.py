"""The app command: the server of the screens, on this machine only, and a browser that shows them."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import threading
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from lightplan.present.commands.streams import tell

SETTINGS = "config.toml"
#: the program that serves: Streamlit, and what makes the first page quick
SERVER = "lightplan.present.pages.server"
#: exit code of a program that was ended by Ctrl-C
ENDED = 130
#: how long the server may take to end, seconds
PATIENCE = 5.0


def settings_file() -> Path:
    """Where the settings of the screens are: inside the installed package, or in the source beside it."""
    package = Path(__file__).parents[2]
    places = [package / "screen_settings" / SETTINGS, package.parent / ".streamlit" / SETTINGS]
    return next(place for place in places if place.is_file())


def options_of(settings: Mapping[str, Any], above: str = "") -> Iterator[str]:
    """Settings as options of a command line: --server.address=127.0.0.1 ..."""
    for key, value in settings.items():
        name = f"{above}.{key}" if above else key
        if isinstance(value, Mapping):
            yield from options_of(value, name)
        elif isinstance(value, list):
            yield from (f"--{name}={item}" for item in value)
        else:
            yield f"--{name}={str(value).lower() if isinstance(value, bool) else value}"


def serve(port: int | None, *, browser: bool) -> int:
    """Serve the screens until Ctrl-C; returns the exit code."""
    settings = tomllib.loads(settings_file().read_text(encoding="utf-8"))
    script = Path(__file__).parents[1] / "pages" / "screen.py"
    command = [sys.executable, "-m", SERVER, "run", str(script), *options_of(settings)]
    if port is not None:
        command.append(f"--server.port={port}")
    command.append(f"--server.headless={'false' if browser else 'true'}")
    tell("The screens open in your browser, from this machine only. Ctrl-C ends the program.")
    server = subprocess.Popen(command, env={**os.environ, "STREAMLIT_BROWSER_GATHER_USAGE_STATS": "false"})
    try:
        with _ended_by_others():
            return server.wait()
    except KeyboardInterrupt:
        return ENDED
    finally:
        # however this program ends, the server ends with it
        server.terminate()
        try:
            server.wait(PATIENCE)
        except (subprocess.TimeoutExpired, KeyboardInterrupt):
            server.kill()
            server.wait()


@contextlib.contextmanager
def _ended_by_others() -> Iterator[None]:
    """Let a program that is told to end do so like one that ends by Ctrl-C."""

    def end(*_: object) -> None:
        raise KeyboardInterrupt

    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGTERM, end)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
