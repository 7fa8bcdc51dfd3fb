"""Tables of text on a page: plain HTML, so that they can be read out, copied, and scrolled on a phone."""

from __future__ import annotations

from collections.abc import Iterable

import streamlit as st

from lightplan.present.pages.marks import escaped
from lightplan.present.report.html_pieces import table
from lightplan.present.texts.plan_parts import Bullets, Grid, Part


def show_grid(grid: Grid, caption: str, *, sums: bool = False) -> None:
    """Show a table; `caption` says what it is about to those who listen, `sums` that its last row adds up."""
    st.html(table(grid, caption, sums=sums))


def show_parts(parts: Iterable[Part]) -> None:
    """Show parts, each under its heading."""
    for part in parts:
        st.subheader(escaped(part.heading))
        show_part(part)


def show_part(part: Part) -> None:
    """Show what belongs to a part, without its heading."""
    for piece in part.content:
        if isinstance(piece, Grid):
            show_grid(piece, part.heading, sums=part.key == "buy")
        elif isinstance(piece, Bullets):
            box = st.warning if part.key == "warnings" else st.markdown
            box("\n".join(f"- {escaped(line)}" for line in piece.lines))
        else:
            st.caption(escaped(piece))
