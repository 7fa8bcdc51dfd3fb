"""All that parts say, in a line."""

from __future__ import annotations

from lightplan.present.texts.plan_parts import Bullets, Grid, Part


def text(parts: list[Part]) -> str:
    """All that is said, in a line."""
    said: list[str] = []
    for part in parts:
        said.append(part.heading)
        for content in part.content:
            if isinstance(content, Grid):
                said += [cell for row in (content.columns, *content.rows) for cell in row]
            else:
                said += content.lines if isinstance(content, Bullets) else [content]
    return " ".join(said)
