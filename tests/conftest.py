"""Property tests say the same on every machine: their examples are fixed, and slowness alone fails none of them."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("steady", derandomize=True, deadline=None)
settings.load_profile("steady")
