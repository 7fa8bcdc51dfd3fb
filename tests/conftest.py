"""What all tests share.

Property tests say the same on every machine: their examples are fixed, and slowness alone fails none of them.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings

settings.register_profile("steady", derandomize=True, deadline=None)
settings.load_profile("steady")


class FailuresAtOnce:
    """Tells what failed as soon as it has, where tests run in several processes: a run that is cut off has told it."""

    def __init__(self, terminal: Any) -> None:
        self._terminal = terminal

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        # what is tried once more has failed, too
        if report.failed or report.outcome == "rerun":
            self._terminal.write_line(f"\nFAILED {report.nodeid} ({report.when})\n{report.longreprtext}")


@pytest.hookimpl(trylast=True)
def pytest_configure(config: pytest.Config) -> None:
    terminal = config.pluginmanager.get_plugin("terminalreporter")
    if terminal is not None and "PYTEST_XDIST_WORKER" not in os.environ and config.getoption("numprocesses", None):
        config.pluginmanager.register(FailuresAtOnce(terminal))


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """Chromium for all tests: one process of tests can drive but one."""
    from tests.screens.conftest import browsing

    with browsing() as browser:
        yield browser
