"""What all tests share.

Property tests say the same on every machine: their examples are fixed, and slowness alone fails none of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings

settings.register_profile("steady", derandomize=True, deadline=None)
settings.load_profile("steady")


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """Chromium for all tests: one process of tests can drive but one."""
    from tests.screens.conftest import browsing

    with browsing() as browser:
        yield browser
