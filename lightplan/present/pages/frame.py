"""What all pages share: the visitor's desk, the list of pages, the line on the search that runs."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from importlib import import_module
from typing import Any

import streamlit as st
from streamlit import runtime
from streamlit.navigation.page import StreamlitPage
from streamlit.runtime.scriptrunner import get_script_run_ctx

from lightplan.present.commands.at_home import stay_at_home
from lightplan.present.desk.desk import Desk, Desks
from lightplan.present.desk.solving import Solving
from lightplan.present.pages.links import PAGES, show_pages
from lightplan.present.pages.searching import show_search
from lightplan.present.pages.style import begin_at_the_top, style

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
    context = get_script_run_ctx()
    session = "" if context is None else context.session_id
    held: Desk | None = st.session_state.get(KEY)
    desk = desks().enter(st.query_params.get(KEY), session) if held is None else desks().stay(held, session)
    st.session_state[KEY] = desk
    st.query_params[KEY] = desk.key
    return desk


def pages_of(desk: Desk) -> dict[str, tuple[str, Callable[[], None]]]:
    """All pages in the order of the job: the name in the address, the title, and what shows it."""
    return {
        "start": ("Start", lambda: page_module("start").show(desk)),
        "tank": ("Tank and corals", lambda: page_module("tank").show(desk)),
        "catalog": ("Catalog", lambda: page_module("catalog").show(desk)),
        "plan": ("Plan", lambda: page_module("plan").show(desk, desks())),
        "tradeoffs": ("Trade-offs", lambda: page_module("tradeoffs").show(desk, desks())),
        "look": ("Look", lambda: page_module("look").show(desk)),
        "costs": ("Running costs", lambda: page_module("costs").show(desk)),
        "weeks": ("First weeks", lambda: page_module("weeks").show(desk, desks())),
        "meter": ("Meter check", lambda: page_module("meter").show(desk, desks())),
        "report": ("Report", lambda: page_module("report").show(desk)),
    }


def page_module(name: str) -> Any:
    """What shows the page of that name; imported when it is first shown, so that the first need not wait for all."""
    return import_module(f"lightplan.present.pages.{name}")


@st.cache_resource(show_spinner=False)
def _fetch_others(names: tuple[str, ...]) -> None:
    """Import the other pages once the first one stands, so that they need not be waited for, either."""
    threading.Thread(target=lambda: [page_module(name) for name in names], daemon=True).start()


def prepare() -> tuple[Desk, StreamlitPage]:
    """Set up what all pages share; returns the visitor's desk and the page that the address names."""
    st.set_page_config(page_title="lightplan", layout="wide")
    desk = _desk()
    pages = {
        name: st.Page(show, title=title, url_path=name, default=name == "start")
        for name, (title, show) in pages_of(desk).items()
    }
    st.session_state[PAGES] = pages
    page = st.navigation(list(pages.values()), position="hidden")
    style()
    show_pages()
    show_search(desk, desks())
    return desk, page


def run() -> None:
    """Show the page that the address names."""
    # `streamlit run app.py` begins without it
    stay_at_home()
    desk, page = prepare()
    begin_at_the_top(page.title)
    page.run()
    _fetch_others(tuple(pages_of(desk)))
