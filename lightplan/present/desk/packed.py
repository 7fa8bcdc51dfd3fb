"""Answers that are objects, on their way from a worker's process to the server that started it."""

from __future__ import annotations

import base64
import pickle
from typing import Any


def packed(answer: Any) -> dict[str, Any]:
    """An object as something that goes into a line of JSON."""
    return {"packed": base64.b64encode(pickle.dumps(answer)).decode()}


def unpacked(answer: dict[str, Any]) -> Any:
    """The object again. Only for what a process of our own has sent: whoever else could send it could run anything."""
    return pickle.loads(base64.b64decode(answer["packed"]))
