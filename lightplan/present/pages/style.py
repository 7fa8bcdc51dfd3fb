"""How pages look where the theme's settings do not reach: sizes, the row of pages, tables, contrast in the dark."""

from __future__ import annotations

import streamlit as st

#: `light-dark()` follows the theme of the page; lines take the colour of the text, so that they suit both
STYLE = """
<style>
[data-testid="stMain"] { scroll-padding-top: 10rem; }
[data-testid="stMainBlockContainer"] { padding-top: 0; padding-bottom: 4rem; }
[data-testid="stHeading"] h1 { font-size: 2.125rem; padding: .5rem 0; }
[data-testid="stHeading"] h2 { font-size: 1.5rem; padding: 1.25rem 0 .25rem; }
[data-testid="stHeading"] h3 { font-size: 1.125rem; padding: .75rem 0 .25rem; }
[data-testid="stHeaderActionElements"] { display: none; }
[data-testid="stElementContainer"]:has(> [data-testid="stHtml"] > script:only-child) { display: none; }

[data-testid="stLayoutWrapper"]:has(> .st-key-all_pages) { position: sticky; top: 0; z-index: 90;
  background: light-dark(#ffffff, #10181b);
  border-bottom: 1px solid color-mix(in srgb, currentColor 30%, transparent); padding: .5rem 0; }
.st-key-all_pages [data-testid="stPageLink-NavLink"] { padding: .25rem .5rem; }
[class*="st-key-link_"] [data-testid="stPageLink-NavLink"] { border: 1px solid light-dark(#9fb0b4, #5a6c72);
  padding: .375rem .75rem; }
[data-testid="stPageLink-NavLink"]:focus-visible { outline: 2px solid light-dark(#0b6b78, #5cc2cf); }

[data-testid="stLayoutWrapper"]:has(> .st-key-figures [data-testid="stMetric"]) { position: sticky; top: 2.8rem;
  z-index: 80; background: light-dark(#ffffff, #10181b); padding: .375rem 0 .5rem;
  border-bottom: 1px solid color-mix(in srgb, currentColor 30%, transparent); }
.st-key-figures [data-testid="stMetricValue"] { font-size: 1.5rem; }

[data-testid="stCaptionContainer"] { color: light-dark(#4d5d62, #a9b7bb); opacity: 1; }
[data-testid="stBaseButton-primary"]:not(:disabled),
[data-testid="stBaseButton-primary"]:not(:disabled) :is(p, span, div),
[data-tag], [data-tag] :is(span, button, svg, path) { color: light-dark(#ffffff, #10181b); }

[data-testid="stCheckbox"] [data-testid="stMarkdownContainer"],
[data-testid="stCheckbox"] [data-testid="stMarkdownContainer"] p { white-space: normal; }

[data-testid="stMultiSelect"] .react-aria-ComboBox > [role="group"] { height: auto; max-height: none; }
[data-testid="stMultiSelectTagsContainer"] { flex-wrap: wrap; height: auto; max-height: none; mask-image: none;
  padding-block: .25rem; }

[data-testid="stHtml"] table { border-collapse: collapse; margin: .25rem 0; font-variant-numeric: tabular-nums; }
[data-testid="stHtml"] .scroll { overflow-x: auto; }
[data-testid="stHtml"] .scroll table { min-width: 100%; }
[data-testid="stHtml"] th, [data-testid="stHtml"] td { padding: .3rem .75rem .3rem 0; text-align: left;
  vertical-align: baseline; font-weight: 400; border: 0;
  border-bottom: 1px solid color-mix(in srgb, currentColor 18%, transparent); }
[data-testid="stHtml"] thead :is(th, td) { font-size: .875rem; opacity: .8;
  border-bottom: 1px solid color-mix(in srgb, currentColor 60%, transparent); }
[data-testid="stHtml"] tr.more th, [data-testid="stHtml"] tr.more td { border-top: 0; }
[data-testid="stHtml"] tr.total th, [data-testid="stHtml"] tr.total td { font-weight: 600; }
[data-testid="stHtml"] th.right, [data-testid="stHtml"] td.right { text-align: right; }
[data-testid="stHtml"] .scroll td.right:not(.long) { white-space: nowrap; }
[data-testid="stHtml"] .right + :not(.right) { padding-left: 1rem; }
[data-testid="stHtml"] caption.hidden { position: absolute; width: 1px; height: 1px; overflow: hidden;
  clip-path: inset(50%); white-space: nowrap; }
@media (max-width: 640px) {
  [data-testid="stMainBlockContainer"] { padding-left: 1rem; padding-right: 1rem; }
  [data-testid="stLayoutWrapper"]:has(> .st-key-all_pages) { position: static; }
  [data-testid="stLayoutWrapper"]:has(> .st-key-figures [data-testid="stMetric"]) { top: 0; }
  .st-key-all_pages { gap: 0; }
  .st-key-all_pages [data-testid="stPageLink-NavLink"] { padding: .375rem; }
  .st-key-figures [data-testid="stMetricValue"] { font-size: 1.25rem; }
  .st-key-figures > [data-testid="stElementContainer"] p { font-size: .875rem; }
  [data-testid="stHtml"] table { font-size: .875rem; }
  [data-testid="stHtml"] th, [data-testid="stHtml"] td { padding-right: .3rem; }
  [data-testid="stHtml"] .right + :not(.right) { padding-left: .5rem; }
}
</style>
"""


def style() -> None:
    """Say once on each page how it looks."""
    st.html(STYLE)


def begin_at_the_top(page: str) -> None:
    """Scroll to the top where another page is shown than before, which the library leaves to chance.

    An element that is as it was is not run again: whatever changes on one page leaves the place where somebody reads.
    """
    st.html(f"<script>/* {page} */ document.querySelector('[data-testid=stMain]').scrollTo(0, 0);</script>",
            unsafe_allow_javascript=True)  # fmt: skip
