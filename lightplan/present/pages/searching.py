"""The line on every page that says how a search goes, with the button that ends it."""

from __future__ import annotations

import streamlit as st

from lightplan.present.desk.desk import Desk, Desks
from lightplan.present.desk.search_words import search_line

#: how often the line is renewed, seconds
RENEWED = 0.5


def show_search(desk: Desk, desks: Desks) -> None:
    """Show how the desk's search goes, if there is one; take over its answer when it is there."""
    desk.take()
    if desk.search is not None:
        _line(desk, desks)


@st.fragment(run_every=RENEWED)
def _line(desk: Desk, desks: Desks) -> None:
    search = desk.search
    if search is None or search.over:
        st.rerun()
        return
    with st.container(border=True):
        words, button = st.columns([4, 1], vertical_alignment="center")
        words.markdown(f":material/hourglass_top: {search_line(search)}")
        if search.time_limit > 0:
            words.progress(min(1.0, search.seconds / search.time_limit), text=None)
        button.button(
            "Stop",
            disabled=search.stopping,
            help="End the search and keep the best plan so far",
            on_click=desks.stop,
            args=(desk,),
        )
