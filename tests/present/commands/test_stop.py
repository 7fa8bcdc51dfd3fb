"""Ctrl-C: once for the best plan so far, twice for the end."""

from __future__ import annotations

import json
import os
import signal
import threading
import time

import pytest

from lightplan.present.commands import stop
from lightplan.present.commands.stop import ENDED, EndedError, Interrupts, ends


def press() -> None:
    signal.raise_signal(signal.SIGINT)


def test_the_first_press_in_a_search_stops_it_and_the_second_ends(monkeypatch):
    monkeypatch.setattr(stop, "SAME_PRESS", 0.0)
    with Interrupts() as interrupts, interrupts.search() as stopped:
        assert not stopped.is_set()
        press()
        assert stopped.is_set()
        time.sleep(0.001)
        with pytest.raises(EndedError):
            press()


def test_one_press_told_twice_counts_once():
    with Interrupts() as interrupts, interrupts.search():
        press()
        press()
    assert interrupts.stop.is_set()


def test_outside_of_a_search_the_first_press_ends():
    with Interrupts() as interrupts:
        with interrupts.search():
            pass
        with pytest.raises(EndedError):
            press()
    assert not interrupts.stop.is_set()


def test_a_search_that_does_not_listen_is_interrupted_where_it_is(monkeypatch):
    monkeypatch.setattr(stop, "PATIENCE", 0.05)
    begun = time.monotonic()
    with Interrupts() as interrupts, interrupts.search():
        press()
        with pytest.raises(KeyboardInterrupt):
            time.sleep(5)
    assert time.monotonic() - begun < 4 or os.name != "posix"


def test_a_search_that_ended_in_time_is_not_interrupted(monkeypatch):
    monkeypatch.setattr(stop, "PATIENCE", 0.05)
    with Interrupts() as interrupts:
        with interrupts.search():
            press()
        time.sleep(0.1)


def test_what_was_there_before_is_put_back():
    before = signal.getsignal(signal.SIGINT)
    with Interrupts():
        assert signal.getsignal(signal.SIGINT) != before
    assert signal.getsignal(signal.SIGINT) == before


def test_outside_of_the_main_thread_nothing_is_changed():
    before = signal.getsignal(signal.SIGINT)
    seen = []

    def other() -> None:
        with Interrupts():
            seen.append(signal.getsignal(signal.SIGINT))

    thread = threading.Thread(target=other)
    thread.start()
    thread.join()
    assert seen == [before]


@pytest.mark.parametrize("wish", [EndedError, KeyboardInterrupt])
def test_an_error_that_came_of_the_wish_to_end_is_known(wish):
    error = ImportError("initialization failed")
    error.__context__ = wish()
    assert ends(error)
    assert not ends(ImportError("no such module"))


#: a long tank with many models, wishes to the per cent: minutes of search at least
HARD = """\
[tank]
name = "Hard"
length_cm = 200
width_cm = 60
depth_cm = 60
[hanging]
rows_y_cm = [15, 30, 45]
step_cm = 5
heights_cm = [15, 20, 25, 30, 40]
turned = true
[[tariff]]
price_per_kwh = 0.3
"""
ZONE = """
[[zone]]
name = "zone {0}"
x_cm = [{1}, {2}]
y_cm = [{3}, {4}]
depth_cm = [{5}, {6}]
par = [{7}, {8}]
"""


@pytest.fixture
def hard(folder):
    """A tank that takes far longer than any test may."""
    zones = [
        (n, 25 * n + 5, 25 * n + 20, 10 + 5 * (n % 3), 30 + 5 * (n % 3), 10 + 4 * (n % 4), 20 + 4 * (n % 4), 90, 260)
        for n in range(7)
    ]
    (folder / "hard.toml").write_text(HARD + "".join(ZONE.format(*zone) for zone in zones), encoding="utf-8")
    rows = (folder / "fixtures.csv").read_text(encoding="utf-8").splitlines()
    for n in range(10):
        dimming = "whole" if n % 2 else "none"
        rows.append(f"Model {n},{40 + 7 * n},{15 + 4 * n},{20 + 5 * n},10,{25 + 7 * n},{100 + n},{dimming},none,1,10,")
    (folder / "fixtures.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    return folder / "hard.toml"


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
@pytest.mark.parametrize("after", [1.0, 2.5])
def test_ctrl_c_ends_a_long_search_at_once(start, hard, after):
    process = start("plan", hard, "--json", "--gap", "0", "--time-limit", "600")
    time.sleep(after)
    assert process.poll() is None, "the search is too easy for this test"
    process.send_signal(signal.SIGINT)
    pressed = time.monotonic()
    out, err = process.communicate(timeout=20)
    assert time.monotonic() - pressed < 5
    assert "Traceback" not in err
    assert process.returncode in (0, 4, ENDED)
    if process.returncode == ENDED:
        # on a slow machine the search had not begun yet
        assert not out
    elif process.returncode == 4 and not out:
        assert "stopped before any plan was found" in err
    else:
        assert json.loads(out)["status"] in {"interrupted", "none"}


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
def test_ctrl_c_keeps_the_best_plan_found(run, folder, monkeypatch):
    """The user stops as soon as there is a plan: it is written, and it is no failure."""
    from lightplan.present.commands.progress import Progress

    real = Progress.tell

    def press_at_once(self, best, bound):
        real(self, best, bound)
        if best < float("inf"):
            press_once()

    pressed = []

    def press_once() -> None:
        if not pressed:
            pressed.append(True)
            signal.raise_signal(signal.SIGINT)
            # a search in C++ goes on until it looks at its callback the next time
            time.sleep(0.1)

    monkeypatch.setattr(Progress, "tell", press_at_once)
    said = run("plan", folder / "scenes.toml", "--gap", "0", "--out", folder / "out")
    assert pressed
    assert said.code == 0
    data = json.loads((folder / "out" / "plan.json").read_text(encoding="utf-8"))
    assert data["status"] in {"interrupted", "optimal"}
    assert all(zone["met"] for zone in data["zones"])
