"""Tanks that hypothesis makes from the declarations alone: right value by value, with odd names."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from lightplan.inputs import fields
from lightplan.inputs.columns import Column, columns
from lightplan.inputs.fields import Checked

ODD_NAMES = (
    'say "hi"',
    "it's",
    "🐠 reef",
    "a, b; c",
    "back\\slash",
    "مصباح",
    "<script>alert(1)</script>",
    "[zone]",
    "# no comment",
    "a.b",
    "a=b",
    "'''",
    '"""',
    "true",
    "1",
    "é",
    "x" * 200,
)


def names() -> st.SearchStrategy[str]:
    letters = st.characters(exclude_categories=("Cc", "Cf", "Cs", "Zl", "Zp", "Zs", "Mn", "Mc"))
    return st.sampled_from(ODD_NAMES) | st.text(letters, min_size=1, max_size=8).filter(
        lambda text: not text.startswith(fields.FORMULA_STARTS)
    )


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    whole = st.integers(int(low) + 1, int(high) - 1) if high - low > 3 else st.nothing()
    return whole | st.floats(low, high, exclude_min=True, exclude_max=True)


def pairs(low: float, high: float) -> st.SearchStrategy[list[float]]:
    return st.lists(numbers(low, high), min_size=2, max_size=2, unique_by=float).map(sorted)


LISTS: dict[str | None, st.SearchStrategy[Any]] = {
    fields.SPAN: pairs(-500, 10_500),
    fields.DEPTH_SPAN: pairs(0, 10_000),
    fields.DEPTHS: pairs(0, 10_000) | numbers(0, 10_000) | numbers(0, 10_000).map(lambda depth: [depth, depth]),
    fields.HEIGHTS: st.lists(numbers(0, 10_000), min_size=1, max_size=3, unique_by=float),
    fields.POSITIONS: st.lists(numbers(-500, 10_500), min_size=1, max_size=3, unique_by=float),
    fields.BAND: pairs(0, 100_000),
    fields.DLI_BAND: pairs(0, 1000),
    fields.PERCENT_BAND: pairs(0, 100),
}


def values(column: Column) -> st.SearchStrategy[Any]:
    if column.inner is not None:
        inner = tables(column.inner)
        shapes = {"tables": st.lists(inner, max_size=3), "map": st.dictionaries(names(), inner, max_size=2)}
        return shapes.get(column.kind, inner)
    if column.kind in {"number", "whole"}:
        low = column.limits.get("ge", column.limits.get("gt", 0.0))
        high = column.limits.get("le", column.limits.get("lt", 1e6))
        return st.integers(int(low) + 1, int(high)) if column.kind == "whole" else numbers(low, high)
    if column.words == fields.CLOCK:
        return st.integers(0, 1439).map(lambda minute: f"{minute // 60:02d}:{minute % 60:02d}")
    if column.kind == "switch":
        return st.booleans() | (numbers(0, 100) if column.key == "claims" else st.nothing())
    if column.key == "needed_by":
        return st.sampled_from(["timing:none", "hang:wire", "plan"]) | names().map(
            lambda name: f"group:{name[:190].strip()}"
        )
    if column.kind == "choice":
        return st.sampled_from(column.choices)
    return names() if column.kind == "text" else LISTS[column.words]


def tables(model: type[Checked]) -> st.SearchStrategy[dict[str, Any]]:
    """Data of one table of the tank file."""
    known = columns(model).values()
    return st.fixed_dictionaries(
        {column.key: values(column) for column in known if column.required},
        optional={column.key: values(column) for column in known if not column.required},
    )
