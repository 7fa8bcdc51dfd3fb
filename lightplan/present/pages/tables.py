"""Tables of text on a page: plain HTML, so that they can be read out, copied, and scrolled on a phone."""

from __future__ import annotations

import streamlit as st

from lightplan.present.report.html_pieces import table
from lightplan.present.texts.plan_parts import Grid

#: how tables look; their lines take the colour of the text, so that they suit both themes
STYLE = """
<style>
[data-testid="stHtml"] table { border-collapse: collapse; margin: .25rem 0; font-variant-numeric: tabular-nums; }
[data-testid="stHtml"] .scroll { overflow-x: auto; }
[data-testid="stHtml"] .scroll table { min-width: 100%; }
[data-testid="stHtml"] th, [data-testid="stHtml"] td { padding: .3rem .75rem .3rem 0; text-align: left;
  vertical-align: baseline; font-weight: 400; border: 0;
  border-bottom: 1px solid color-mix(in srgb, currentColor 18%, transparent); }
[data-testid="stHtml"] thead th { font-size: .875rem; opacity: .8;
  border-bottom: 1px solid color-mix(in srgb, currentColor 60%, transparent); }
[data-testid="stHtml"] tr.more th, [data-testid="stHtml"] tr.more td { border-top: 0; }
[data-testid="stHtml"] tr.total th, [data-testid="stHtml"] tr.total td { font-weight: 600; }
[data-testid="stHtml"] th.right, [data-testid="stHtml"] td.right { text-align: right; }
[data-testid="stHtml"] caption.hidden { position: absolute; width: 1px; height: 1px; overflow: hidden;
  clip-path: inset(50%); white-space: nowrap; }
@media (max-width: 640px) {
  [data-testid="stHtml"] table { font-size: .875rem; }
  [data-testid="stHtml"] th, [data-testid="stHtml"] td { padding-right: .5rem; }
}
</style>
"""


def style() -> None:
    """Say once on each page how tables look."""
    st.html(STYLE)


def show_grid(grid: Grid, caption: str, *, sums: bool = False) -> None:
    """Show a table; `caption` says what it is about to those who listen, `sums` that its last row adds up."""
    st.html(table(grid, caption, sums=sums))
