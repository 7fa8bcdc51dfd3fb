"""What a model declares about its columns or keys, in a form that the check, the README and the editor all read."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import annotated_types
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from lightplan.inputs.fields import HELD, Checked

Kind = Literal["number", "whole", "switch", "choice", "text", "list", "table", "tables", "map"]

# from here on an upper limit is only there against slips, and is told only to those who exceed it
TELLING_LIMIT = 1000


@dataclass(frozen=True)
class Column:
    """One declared column or key.

    `key` is its name in files, `name` that of the attribute. `inner` is the model of a table inside this one (kind
    `table`), of a list of tables (`tables`) or of tables by name (`map`).
    """

    key: str
    name: str
    kind: Kind
    unit: str
    what: str
    required: bool
    default: Any
    choices: tuple[str, ...]
    limits: dict[str, float]
    words: str | None
    inner: type[Checked] | None
    stand_in: Any

    def expected(self, *, upper: bool = True) -> str:
        """Say what would be right, as the end of a sentence after "needs"; without sane upper limits on demand."""
        if self.words is not None:
            return self.words
        if self.kind in {"number", "whole"}:
            noun = "a whole number" if self.kind == "whole" else "a number"
            span = self.span(upper=upper)
            joint = " " if span.startswith(("from", "above", "below")) else ", "
            return f"{noun}{joint}{span}" if span else noun
        kinds = {
            "switch": "true or false",
            "choice": f"one of {', '.join(self.choices)}",
            "text": "a text",
            "table": f"a table, written [{self.key}]",
            "tables": f"tables, each written [[{self.key}]]",
            "map": "a table of tables",
            "list": "a list of numbers",
        }
        return kinds[self.kind]

    def span(self, *, upper: bool = True) -> str:
        """Return the range of a number in words."""
        low, above = self.limits.get("ge"), self.limits.get("gt")
        high, below = self.limits.get("le"), self.limits.get("lt")
        top = high if high is not None else below
        if not upper and top is not None and top >= TELLING_LIMIT:
            high = below = None
        if low is not None and high is not None:
            return f"from {plain(low)} to {plain(high)}"
        parts = [
            f"{plain(low)} or more" if low is not None else "",
            f"above {plain(above)}" if above is not None else "",
            f"at most {plain(high)}" if high is not None else "",
            f"below {plain(below)}" if below is not None else "",
        ]
        return ", ".join(part for part in parts if part)


def plain(number: float) -> str:
    """Return a number as people write it: no exponent, no trailing zeros."""
    return f"{number:.0f}" if float(number).is_integer() else f"{number:g}"


def _bare(annotation: Any) -> Any:
    """Return a type without Annotated and without "or None"."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return _bare(get_args(annotation)[0])
    if origin in {Union, UnionType}:
        parts = [part for part in get_args(annotation) if part is not NoneType]
        return _bare(parts[0]) if len(parts) == 1 else annotation
    return annotation


def _model(annotation: Any) -> type[Checked] | None:
    bare = _bare(annotation)
    return bare if isinstance(bare, type) and issubclass(bare, Checked) else None


def _kind(annotation: Any) -> tuple[Kind, type[Checked] | None]:
    """Return what sort of value a type stands for, and the model inside it."""
    bare = _bare(annotation)
    origin, arguments = get_origin(bare), get_args(bare)
    if origin is tuple:
        inner = _model(arguments[0])
        return ("list" if inner is None else "tables"), inner
    if origin is dict:
        return "map", _model(arguments[1])
    if origin is Literal:
        return "choice", None
    if _model(bare) is not None:
        return "table", _model(bare)
    simple: dict[Any, Kind] = {bool: "switch", int: "whole", float: "number", str: "text"}
    # what is left is `true`, `false` or a number
    return simple.get(bare, "switch"), None


def _limits(field: FieldInfo) -> dict[str, float]:
    found: dict[str, float] = {}
    for mark in field.metadata:
        for kind, name in (("Ge", "ge"), ("Gt", "gt"), ("Le", "le"), ("Lt", "lt")):
            if isinstance(mark, getattr(annotated_types, kind)):
                found[name] = getattr(mark, name)
    return found


def _column(name: str, field: FieldInfo) -> Column:
    kind, inner = _kind(field.annotation)
    extra = field.json_schema_extra if isinstance(field.json_schema_extra, dict) else {}
    choices = tuple(str(choice) for choice in get_args(_bare(field.annotation))) if kind == "choice" else ()
    return Column(
        key=field.alias or name,
        name=name,
        kind=kind,
        unit=str(extra.get("unit") or ""),
        what=field.description or "",
        required=field.is_required(),
        default=None if field.is_required() else field.get_default(call_default_factory=True),
        choices=choices,
        limits=_limits(field),
        words=str(extra["needs"]) if extra.get("needs") else None,
        inner=inner,
        stand_in=extra.get("stand_in"),
    )


def _is_held(field: FieldInfo) -> bool:
    return isinstance(field.json_schema_extra, dict) and bool(field.json_schema_extra.get(HELD))


@cache
def columns(model: type[BaseModel]) -> dict[str, Column]:
    """Return the declared columns of a model by their key in files, in the order of declaration."""
    found = [_column(name, field) for name, field in model.model_fields.items() if not _is_held(field)]
    return {column.key: column for column in found}


def stand_in(column: Column) -> Any:
    """Return a harmless value for a required column, put where the user's is missing or wrong."""
    if column.stand_in is not None:
        return column.stand_in
    if column.kind == "tables":
        return []
    if column.kind == "map":
        return {}
    if column.inner is not None:
        return stand_in_row(column.inner)
    if column.kind == "choice":
        return column.choices[0]
    return "stand-in" if column.kind == "text" else 1


def stand_in_row(model: type[Checked]) -> dict[str, Any]:
    """Return a harmless row: a stand-in for each required column."""
    return {key: stand_in(column) for key, column in columns(model).items() if column.required}
