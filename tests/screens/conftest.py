"""The screens in a real browser: a server on this machine, Chromium, and an eye on every request that is made."""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

ROOT = Path(__file__).parents[2]
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
#: headings of pages that are not what their links are called
HEADINGS = {"Start": "Which lights, where, and how bright?"}
#: how long a page may take to show something, milliseconds; generous, for machines differ
PATIENCE = 60_000
#: Chromium asks its maker's hosts for this and that unless it is told not to
QUIET = ["--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run",
         "--disable-quic", "--disable-gpu", "--no-sandbox"]  # fmt: skip


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A browser test that fails is tried once more: on a busy machine a browser now and then loses a key or a click."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.flaky(reruns=1))


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextlib.contextmanager
def served() -> Iterator[str]:
    """A server of the screens, started as the README says; gives its address once it answers."""
    port = free_port()
    command = [sys.executable, "-m", "lightplan", "app", "--no-browser", "--port", str(port)]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    server = subprocess.Popen(command, cwd=ROOT, env={**os.environ, "PYTHONWARNINGS": ""}, **quiet)
    try:
        for _ in range(1500):
            with contextlib.suppress(OSError), urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/health"):
                break
            assert server.poll() is None, "the server ended"
            time.sleep(0.02)
        else:
            pytest.fail("the server does not answer")
        yield f"http://127.0.0.1:{port}"
    finally:
        server.terminate()
        try:
            server.wait(30)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


@pytest.fixture(scope="session")
def address() -> Iterator[str]:
    """The address of a server of the screens that all tests share."""
    with served() as address:
        yield address


@contextlib.contextmanager
def browsing() -> Iterator[Any]:
    """Chromium, driven by Playwright; a test that asks for it where there is none is skipped."""
    if CHROMIUM is None:
        pytest.skip("no Chromium on this machine: the pages are tested in a browser where there is one")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield browser
        browser.close()


class Visitor:
    """One visitor with a browser of their own; whatever the pages ask of other machines is noted in `strays`."""

    def __init__(self, chromium, address: str, **look) -> None:
        self.address = address
        self.context = chromium.new_context(accept_downloads=True, **look)
        self.context.set_default_timeout(PATIENCE)
        self.strays: list[str] = []
        self.errors: list[str] = []
        self.page = self.context.new_page()
        self.page.on("request", self._asked)
        self.page.on("websocket", self._asked)
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))

    def _asked(self, request) -> None:
        parts = urlsplit(request.url)
        if parts.scheme not in ("data", "blob", "about") and parts.hostname != "127.0.0.1":
            self.strays.append(request.url)

    def go(self, path: str = "") -> None:
        self.page.goto(f"{self.address}/{path}")
        self.settle()

    def settle(self) -> None:
        """Wait until the page has finished what it was doing."""
        self.page.wait_for_selector("[data-testid=stApp]")
        self.page.wait_for_function(
            "() => { const app = document.querySelector('[data-testid=stApp]');"
            " return app && app.getAttribute('data-test-script-state') === 'notRunning'; }"
        )
        self.page.wait_for_timeout(300)

    def visit(self, title: str) -> None:
        """Go to a page by the row of links."""
        self.page.get_by_role("link", name=title, exact=True).first.click()
        self.arrive(title)

    def arrive(self, title: str) -> None:
        """Wait until a page stands, by what its link is called."""
        heading = HEADINGS.get(title, title)
        self.page.get_by_role("heading", name=heading, exact=True, level=1).wait_for()
        self.settle()

    def press(self, label: str) -> None:
        # where the page is just drawn anew, the old button may still stand there, too
        self.page.get_by_role("button", name=label, exact=True).first.click()
        self.settle()

    def choose(self, label: str, option: str) -> None:
        """Pick from a list."""
        self.page.get_by_label(label, exact=True).first.click()
        self.page.get_by_role("option", name=option, exact=True).click()
        self.settle()

    def slide(self, label: str, steps: int) -> None:
        """Move a slider with the keyboard, to the right or (below 0) to the left."""
        slider = self.page.get_by_role("slider", name=label).first
        slider.focus()
        for _ in range(abs(steps)):
            slider.press("ArrowRight" if steps > 0 else "ArrowLeft")
        self.settle()

    def add_row(self, table: int, row: int, text: str) -> None:
        """Add a row at the end of a table that has so many, and type into its first cell."""
        self._write(table, row, 0, text, opens=False)

    def type_cell(self, table: int, row: int, column: int, text: str) -> None:
        """Type into a cell of the page's table number `table`, rows and columns counted from 0."""
        self._write(table, row, column, text, opens=True)

    def _write(self, table: int, row: int, column: int, text: str, *, opens: bool) -> None:
        """Write into a cell until it stands there: the library's table now and then loses a click or a key that comes
        while the page is still at work, as it would a hasty person's, who then does it again."""
        grid = self.page.locator("[data-testid=stDataFrame]").nth(table)
        for _ in range(4):
            cell = self._select(grid, row, column)
            if opens:
                # the editor of a cell opens a little later than the key that opens it
                self.page.keyboard.press("Enter")
                self.page.wait_for_timeout(400)
                self.page.keyboard.press("ControlOrMeta+a")
            self.page.keyboard.type(text, delay=30)
            self.page.keyboard.press("Enter")
            self.page.wait_for_timeout(400)
            self.settle()
            if cell.count() and cell.text_content() == text:
                return
        pytest.fail(f"{text!r} cannot be written into row {row}, column {column} of table {table}")

    def _select(self, grid: Any, row: int, column: int) -> Any:
        """Go to a cell by a click on the first of its row and the arrow keys; returns it."""
        for _ in range(20):
            first = grid.locator(f"td[id$='-{row}']").first
            # a click on what is selected would open its editor
            self.page.keyboard.press("Escape")
            grid.locator(".dvn-scroller").first.click(position={"x": 90, "y": 35 * (row + 1) + 17})
            self.page.wait_for_timeout(300)
            number = int(first.get_attribute("id").split("-")[2])
            cells = [grid.locator(f"[id='glide-cell-{number + right}-{row}']") for right in range(column + 1)]
            if all(self._gone_to(cell, moves=right > 0) for right, cell in enumerate(cells)):
                return cells[-1]
        pytest.fail(f"row {row}, column {column} of the table cannot be gone to")

    def _gone_to(self, cell: Any, *, moves: bool) -> bool:
        """Whether the table's selection comes to a cell, one to the right where it moves."""
        if moves:
            self.page.keyboard.press("ArrowRight")
        for _ in range(10):
            if cell.count() and cell.get_attribute("aria-selected") == "true":
                return True
            self.page.wait_for_timeout(50)
        return False

    def open_example(self, name: str) -> None:
        """Open an example from the first page."""
        self.go()
        self.choose("Example tank", name)
        self.press("Open the example")
        self.page.get_by_role("heading", name="Tank and corals", level=1).wait_for()
        self.settle()

    def sees(self, text: str) -> None:
        self.page.get_by_text(text).first.wait_for()


@pytest.fixture
def visitor(chromium, address):
    """Make visitors; whatever they did, no request may have left the machine and no page may have failed."""
    made: list[Visitor] = []

    def make(**look) -> Visitor:
        made.append(Visitor(chromium, address, **look))
        return made[-1]

    yield make
    for one in made:
        one.context.close()
    assert [url for one in made for url in one.strays] == []
    assert [error for one in made for error in one.errors] == []
