"""Small things that every page needs: keys of widgets, and texts that Markdown shows as they are."""

from __future__ import annotations

from lightplan.present.desk.desk import Desk


def key_of(desk: Desk, *parts: str) -> str:
    """The key of a widget: another one for each tank that is opened."""
    return "/".join((str(desk.revision), *parts))


def escaped(text: str) -> str:
    """A text with names of the user's in it, so that Markdown shows it as it is."""
    return "".join(f"\\{c}" if c in "\\`*_{}[]<>()#+-.!|~$:" else c for c in text)
