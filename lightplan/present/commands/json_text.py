"""Data as JSON that every reader takes."""

from __future__ import annotations

import json
import math
from typing import Any


def json_text(data: Any, *, indent: int | None = None, ascii_only: bool = False) -> str:
    """Data as JSON; figures that are no numbers become null, for JSON has no word for them."""
    return json.dumps(_finite(data), indent=indent, ensure_ascii=ascii_only, allow_nan=False)


def _finite(value: Any) -> Any:
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, dict):
        return {key: _finite(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(inner) for inner in value]
    return value
