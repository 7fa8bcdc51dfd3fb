"""How long the screens let one wait: for the first page, and for an answer after a slider was moved.

    pytest -n 0 -s tests/bench/test_screens.py     half a minute; needs Chromium

The first page is timed from the start of the server's process to its heading in the browser, which runs already. A move
is timed from the key that moves a slider to the changed figures on the page: the lights of the plan set anew under the
new wishes. Meanwhile the search for the proven plan begins, so it has to share the machine. Only that there are answers
is tested, never the timings.
"""

from __future__ import annotations

import os
import statistics
import time

from tests.screens.conftest import Visitor, served

MOVES = (
    ("Years you will own the lights", "ArrowRight"),
    ("Years you will own the lights", "ArrowRight"),
    ("Price of a kWh, mean over the day", "ArrowRight"),
    ("Hours of light a day at full level", "ArrowLeft"),
    ("Years you will own the lights", "ArrowLeft"),
    ("Price of a kWh, mean over the day", "ArrowRight"),
    ("Hours of light a day at full level", "ArrowRight"),
)
FIGURES = "[...document.querySelectorAll('[data-testid=stMetricValue]')].map(one => one.innerText).join()"


def test_first_page_and_slider(chromium) -> None:
    started = time.perf_counter()
    with served() as address:
        one = Visitor(chromium, address)
        one.page.goto(address)
        one.page.get_by_role("heading", level=1).wait_for()
        first = time.perf_counter() - started
        print(f"\nfirst page, from the start of the server: {first:.2f} s (load: {os.getloadavg()[0]:.1f})")
        again = time.perf_counter()
        one.page.reload()
        one.page.get_by_role("heading", level=1).wait_for()
        print(f"the same page, reloaded: {time.perf_counter() - again:.2f} s")

        find_plan(one)
        taken = [moved(one, slider, key) for slider, key in MOVES]
        one.context.close()
    print(f"slider to lights set anew, mid-size reef: median {statistics.median(taken):.2f} s, "
          f"{min(taken):.2f} to {max(taken):.2f} s ({len(taken)} moves)")  # fmt: skip


def find_plan(one: Visitor) -> None:
    """Let the mid-size reef have a plan."""
    one.open_example("Mid-size reef")
    one.visit("Plan")
    one.page.get_by_role("button", name="Find the cheapest plan").click()
    one.page.get_by_text("all told over").first.wait_for()
    one.page.get_by_text("Looking for the cheapest plan").wait_for(state="detached")
    one.settle()


def moved(one: Visitor, slider: str, key: str) -> float:
    """Seconds from a key press on a slider to other figures on the page, of the same lights set anew."""
    before = one.page.evaluate(FIGURES)
    one.page.get_by_role("slider", name=slider).focus()
    pressed = time.perf_counter()
    one.page.keyboard.press(key)
    one.page.wait_for_function(f"before => {FIGURES} !== before", arg=before)
    seconds = time.perf_counter() - pressed
    one.sees("set anew as shown here")
    one.settle()
    return seconds
