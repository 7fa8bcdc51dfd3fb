"""Searches on screen: the line on every page that says how one goes, with the button that ends it, and its options."""

from __future__ import annotations

import streamlit as st

from lightplan.present.desk.desk import Desk, Desks
from lightplan.present.desk.search_words import search_line
from lightplan.present.pages.marks import escaped, key_of
from lightplan.present.texts.plan_parts import plan_head

#: the key of the field for the longest search
TIME_LIMIT = "time limit"
#: longest search that can be asked for, seconds
MOST_SECONDS = 3600.0
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


def show_search_options(desk: Desk) -> None:
    """How long to search and how good is good enough, and what is known of the plan that there is."""
    with st.expander("More about the search"):
        # not as its value: the button for a longer search sets the field, too
        limit = key_of(desk, TIME_LIMIT)
        st.session_state.setdefault(limit, desk.time_limit)
        desk.time_limit = st.number_input("Most seconds to search", 1.0, MOST_SECONDS, step=5.0, format="%g", key=limit)
        gap = st.number_input("Good enough: at most this much dearer than the cheapest possible, %", 0.0, 50.0,
                              100 * desk.gap, 0.5, format="%g", key=key_of(desk, "gap"))  # fmt: skip
        desk.gap = gap / 100
        if desk.plan is not None:
            for sentence in plan_head(desk.plan):
                st.caption(escaped(sentence))
