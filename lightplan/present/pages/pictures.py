"""Drawings on a page: images that scale with it, in the theme that the visitor has."""

from __future__ import annotations

import altair as alt
import streamlit as st

from lightplan.present.drawings.charts import Theme, image_tag, svg


def theme() -> Theme:
    """The theme of the visitor's page; light where that is not known."""
    return "dark" if st.context.theme.type == "dark" else "light"


def show(chart: alt.TopLevelMixin, words: str) -> None:
    """Show a drawing, with words for those who cannot see it."""
    st.html(image_tag(svg(chart), words))
