"""Pages without a browser: each is shown on a desk that a test has made."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from lightplan.present.desk.desk import Desk, Desks
from lightplan.present.desk.opening import open_empty, open_example
from lightplan.present.desk.solving import Search
from lightplan.present.pages import frame


def script() -> None:
    """The whole of the screens, with the page that a test has asked for."""
    import streamlit as st

    from lightplan.present.pages.frame import pages_of, prepare

    desk, _ = prepare()
    pages_of(desk)[st.session_state["page to show"]][1]()


class Screen:
    """One page at a desk, and what a test wants to know of it."""

    def __init__(self, desk: Desk, page: str) -> None:
        self.desk = desk
        self.test = AppTest.from_function(script, default_timeout=60)
        self.test.session_state["desk"] = desk
        self.test.session_state["page to show"] = page
        self.run()

    def run(self) -> Screen:
        self.test.run()
        assert not self.test.exception, [error.value for error in self.test.exception]
        return self

    def press(self, label: str) -> Screen:
        next(button for button in self.test.button if button.label == label).click()
        return self.run()

    def set(self, kind: str, label: str, value: Any) -> Screen:
        """Set a field, found by the beginning of its label."""
        next(field for field in getattr(self.test, kind) if field.label.startswith(label)).set_value(value)
        return self.run()

    @property
    def text(self) -> str:
        """Everything that is written on the page."""
        kinds = ("title", "header", "subheader", "markdown", "caption", "info", "warning", "error", "success")
        found = [element.value for kind in kinds for element in getattr(self.test, kind)]
        return "\n".join(str(value) for value in [*found, *(f"{m.label} {m.value}" for m in self.test.metric)])


class Searches:
    """Stands where the searches stand: what they were asked for, no process is started."""

    def __init__(self) -> None:
        self.asked: list[Search] = []
        self.withdrawn: list[Search] = []
        self.warmed = 0

    def worker(self, alive: Callable[[], bool]) -> Any:
        return SimpleNamespace(alive=alive, warm=self._warm)

    def _warm(self) -> None:
        self.warmed += 1

    def ask(self, worker: Any, search: Search) -> None:
        search.state = "running"
        self.asked.append(search)

    def withdraw(self, worker: Any, search: Search) -> None:
        search.stopping = True
        self.withdrawn.append(search)

    def forget(self, worker: Any) -> None:
        """Nothing to end."""


@pytest.fixture(autouse=True)
def searches(monkeypatch: pytest.MonkeyPatch) -> Searches:
    """What the pages of a test ask for; all desks are the test's own."""
    made = Searches()
    desks = Desks(made, lambda session: True)  # type: ignore[arg-type]
    monkeypatch.setattr(frame, "desks", lambda: desks)
    return made


@pytest.fixture
def example() -> Callable[[str], Desk]:
    """Make a desk with an example on it."""

    def make(name: str = "cube") -> Desk:
        desk = Desk("test")
        open_example(desk, f"{name}.toml")
        return desk

    return make


@pytest.fixture
def empty() -> Desk:
    desk = Desk("test")
    open_empty(desk)
    return desk
