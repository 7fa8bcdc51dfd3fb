"""The changes that mutmut makes, for `mutants.py` to try: mutmut's own runner would take days over these tests.

Needs mutmut (`pip install mutmut`, 3.8 when this was written). It changes what stands in functions without decorators:
numbers, strings, operators, arguments (to None, or left out), what is assigned (to None), and conditions.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import libcst
from libcst.metadata import MetadataWrapper, PositionProvider
from mutmut.mutation.file_mutation import MutationVisitor, deep_replace
from mutmut.mutation.mutators import mutation_operators
from mutmut.mutation.pragma_handling import IgnoredCode

#: a change: the line, that of its statement in the source's own tree, in words, and the module's text with it
Change = tuple[int, ast.stmt, str, "partial[str]"]


def mutmut_changes(path: Path) -> Iterator[Change]:
    """All of a module."""
    code = path.read_text(encoding="utf-8")
    wrapper = MetadataWrapper(libcst.parse_module(code))
    visitor = MutationVisitor(mutation_operators, IgnoredCode(set(), set(), set()))
    module, places = wrapper.visit(visitor), wrapper.resolve(PositionProvider)
    statements = [node for node in ast.walk(ast.parse(code)) if isinstance(node, ast.stmt)]
    for mutation in visitor.mutations:
        old, new = mutation.original_node, mutation.mutated_node
        if mutation.contained_by_top_level_function is None or old not in places:
            continue
        line = places[old].start.line
        around = [one for one in statements if one.lineno <= line <= (one.end_lineno or one.lineno)]
        told = " -> ".join(" ".join(libcst.Module([]).code_for_node(node).split()) for node in (old, new))
        yield line, min(around, key=_length), told, partial(_text, module, old, new)


def _length(statement: ast.stmt) -> int:
    return (statement.end_lineno or statement.lineno) - statement.lineno


def _text(module: Any, old: Any, new: Any) -> str:
    return str(deep_replace(module, old, new).code)
