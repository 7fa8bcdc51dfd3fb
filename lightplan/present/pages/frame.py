"""What all pages share: the visitor's desk, the list of pages, the line on the search that runs."""

from __future__ import annotations

import os
from collections.abc import Callable

import streamlit as st
from streamlit import runtime
from streamlit.navigation.page import StreamlitPage
from streamlit.runtime.scriptrunner import get_script_run_ctx

from lightplan.present.desk.desk import Desk, Desks
from lightplan.present.desk.solving import Solving
from lightplan.present.pages import catalog, plan, report, start, tank
from lightplan.present.pages.searching import show_search
from lightplan.present.pages.tables import style

KEY = "desk"


def _present(session: str) -> bool:
    """Whether a browser session is connected; where no server runs (in a test) it always is."""
    return not runtime.exists() or runtime.get_instance().is_active_session(session)


@st.cache_resource(show_spinner=False)
def desks() -> Desks:
    """All visitors' desks, for as long as the program runs."""
    return Desks(Solving(at_once=max(1, os.cpu_count() or 1)), _present)


def _desk() -> Desk:
    """The visitor's desk: of this session, or of the page's address after a reload, or a new one."""
    if KEY not in st.session_state:
        context = get_script_run_ctx()
        session = "" if context is None else context.session_id
        st.session_state[KEY] = desks().enter(st.query_params.get(KEY), session)
    desk: Desk = st.session_state[KEY]
    st.query_params[KEY] = desk.key
    desks().look_in(desk)
    return desk


def pages_of(desk: Desk) -> dict[str, tuple[str, Callable[[], None]]]:
    """All pages in the order of the job: the name in the address, the title, and what shows it."""
    return {
        "start": ("Start", lambda: start.show(desk)),
        "tank": ("Tank and corals", lambda: tank.show(desk)),
        "catalog": ("Catalog", lambda: catalog.show(desk)),
        "plan": ("Plan", lambda: plan.show(desk, desks())),
        "report": ("Report", lambda: report.show(desk)),
    }


def prepare() -> tuple[Desk, StreamlitPage]:
    """Set up what all pages share; returns the visitor's desk and the page that the address names."""
    st.set_page_config(page_title="lightplan", layout="wide")
    desk = _desk()
    pages = {
        name: st.Page(show, title=title, url_path=name, default=name == "start")
        for name, (title, show) in pages_of(desk).items()
    }
    st.session_state["pages"] = pages
    page = st.navigation(list(pages.values()), position="top")
    style()
    show_search(desk, desks())
    return desk, page


def run() -> None:
    """Show the page that the address names."""
    _, page = prepare()
    page.run()
