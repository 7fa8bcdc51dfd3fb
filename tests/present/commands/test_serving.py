"""The app command: the server of the screens, its settings, and how it ends."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import subprocess
import threading
import time
import tomllib
import urllib.request
from pathlib import Path

import pytest
from streamlit import config

from lightplan.present.commands import serving
from lightplan.present.commands.serving import ENDED, options_of, serve, settings_file

ROOT = Path(__file__).parents[3]
#: what nothing here comes near, seconds
LONG = 60.0


def settings():
    return tomllib.loads(settings_file().read_text(encoding="utf-8"))


def test_settings_are_those_of_streamlit_run_in_the_source():
    assert settings_file() == ROOT / ".streamlit" / "config.toml"


def test_an_installed_package_has_its_settings_inside(tmp_path, monkeypatch):
    inside = tmp_path / "lightplan" / "screen_settings" / "config.toml"
    inside.parent.mkdir(parents=True)
    inside.write_text("")
    beside = tmp_path / ".streamlit" / "config.toml"
    beside.parent.mkdir()
    beside.write_text("")
    monkeypatch.setattr(serving, "__file__", str(tmp_path / "lightplan" / "present" / "commands" / "serving.py"))
    assert settings_file() == inside
    inside.unlink()
    assert settings_file() == beside


def test_settings_as_options():
    given = {
        "server": {"port": 1, "address": "127.0.0.1"},
        "theme": {"light": {"textColor": "#fff"}, "on": True},
        "a": 2,
        "hosts": ["one", "two"],
    }
    assert list(options_of(given)) == [
        "--server.port=1",
        "--server.address=127.0.0.1",
        "--theme.light.textColor=#fff",
        "--theme.on=true",
        "--a=2",
        "--hosts=one",
        "--hosts=two",
    ]
    assert list(options_of({})) == []


def test_streamlit_knows_every_setting():
    """A misspelt one would be passed over, or refused when the server starts."""
    known = {f"--{name}" for name in config._config_options_template}
    assert {option.partition("=")[0] for option in options_of(settings())} <= known


def test_pages_of_other_names_are_not_let_in():
    assert settings()["server"]["allowedHosts"] == ["127.0.0.1", "localhost"]


def test_nothing_but_this_machine_is_served_and_nothing_is_counted():
    given = settings()
    assert given["server"]["address"] == "127.0.0.1"
    assert given["browser"]["gatherUsageStats"] is False


class Server:
    """Stands where the server stands."""

    def __init__(self, *waits) -> None:
        self.waits, self.did = list(waits), []

    def __call__(self, command, env):
        self.command, self.env = command, env
        return self

    def wait(self, timeout=None):
        what = self.waits.pop(0) if self.waits else 0
        if isinstance(what, BaseException):
            raise what
        if callable(what):
            return what()
        return what

    def terminate(self):
        self.did.append("terminate")

    def kill(self):
        self.did.append("kill")


@pytest.fixture
def served(monkeypatch):
    def run(*waits, port=None, browser=False):
        server = Server(*waits)
        monkeypatch.setattr(subprocess, "Popen", server)
        server.code = serve(port, browser=browser)
        return server

    return run


def test_the_server_is_started_with_all_settings(served):
    server = served(3, port=1234, browser=True)
    assert server.code == 3
    assert set(options_of(settings())) <= set(server.command)
    assert server.command[-2:] == ["--server.port=1234", "--server.headless=false"]
    assert Path(next(part for part in server.command if part.endswith(".py"))).is_file()
    assert server.env["STREAMLIT_BROWSER_GATHER_USAGE_STATS"] == "false"
    assert served(0).command[-1] == "--server.headless=true"
    assert not any(part.startswith("--server.port") for part in served(0).command)


def test_ctrl_c_ends_the_server_too(served):
    server = served(KeyboardInterrupt())
    assert (server.code, server.did) == (ENDED, ["terminate"])


@pytest.mark.parametrize("second", [subprocess.TimeoutExpired("x", 1), KeyboardInterrupt()])
def test_a_server_that_does_not_end_or_a_second_ctrl_c_kills_it(served, second):
    server = served(KeyboardInterrupt(), second)
    assert (server.code, server.did) == (ENDED, ["terminate", "kill"])


def test_a_program_that_is_told_to_end_ends_its_server(served):
    before = signal.getsignal(signal.SIGTERM)
    server = served(lambda: signal.raise_signal(signal.SIGTERM))
    assert (server.code, server.did) == (ENDED, ["terminate"])
    assert signal.getsignal(signal.SIGTERM) == before


def test_it_can_be_served_from_any_thread(served):
    found = []
    thread = threading.Thread(target=lambda: found.append(served(5).code))
    thread.start()
    thread.join(LONG)
    assert found == [5]


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def healthy(port):
    with (
        contextlib.suppress(OSError),
        urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/health", timeout=5) as page,
    ):
        return page.status == 200
    return False


@pytest.mark.skipif(os.name != "posix", reason="signals to a process are those of POSIX")
def test_the_screens_are_served_until_ctrl_c(start, tmp_path):
    port = free_port()
    program = start("app", "--no-browser", "--port", port, cwd=tmp_path)
    try:
        until = time.monotonic() + LONG
        while not healthy(port):
            assert program.poll() is None, program.communicate(timeout=LONG)[1]
            assert time.monotonic() < until
            time.sleep(0.05)
        program.send_signal(signal.SIGINT)
        out, err = program.communicate(timeout=LONG)
    finally:
        program.kill()
        program.wait()
    assert program.returncode == ENDED
    assert "Traceback" not in out + err
    assert "not a valid config option" not in out + err
    assert not healthy(port)
