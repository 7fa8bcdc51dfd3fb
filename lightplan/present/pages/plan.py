"""Plan: the answer, the trade-off sliders, and what each move of one changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import streamlit as st

from lightplan.choose.plan import Plan
from lightplan.choose.variant import Variant
from lightplan.inputs.errors import InputError, Problem
from lightplan.present.desk.desk import Desk, Desks
from lightplan.present.desk.on_screen import in_words, table_problems
from lightplan.present.pages.answer import show_answer, show_change, show_compared, show_details, show_figures
from lightplan.present.pages.links import show_link
from lightplan.present.pages.marks import escaped, key_of
from lightplan.present.pages.searching import MOST_SECONDS, TIME_LIMIT, show_search_options
from lightplan.present.pages.sliders import show_sliders
from lightplan.present.texts.job_words import job_line
from lightplan.present.texts.plan_parts import answer_line
from lightplan.present.texts.words import status_sentences, unfinished

SET_ANEW = (
    "The lights of the plan still do at their spots, set anew as shown here. Whether other lights would be cheaper is "
    "being looked for."
)
CANNOT = "The lights of the plan cannot meet this wish. Others are being looked for; shown here is the old plan."
OLD = "The plan from before these changes."
SEARCHED = "The search has begun; how far it is stands above. You can look at other pages meanwhile."
FIRST = "A plan takes some seconds, a hard one up to a minute."
CHANGED = "The tank, the catalog or a slider has changed since this plan was made."
MOVES = (
    "Move a slider and see what it costs: first with the lights of the plan set anew, some seconds later with the "
    "cheapest ones. Pin a plan to keep it beside the next ones."
)
BEGIN = (
    "These stand where the pages of the tank and the catalog have them. Once there is a plan, each move of a slider "
    "shows what it costs."
)


def show(desk: Desk, desks: Desks) -> None:
    """Show the page."""
    st.title("Plan")
    if not desk.reading.usable:
        _not_yet(desk)
        return
    desks.worker(desk).warm()
    state, head, figures = st.container(), st.container(), st.container(key="figures", gap=None)
    answer, sliders = st.columns([7, 3], gap="large")
    with sliders:
        st.header("What if")
        pin = st.container()
        wished = show_sliders(desk)
    moved = wished != desk.variant
    if moved:
        desks.move(desk, wished)
    shown, before, said = _shown(desk)
    if shown is not None:
        # first of all, so that the price of a move is there at once
        with head:
            st.header(escaped(answer_line(shown)))
        with figures:
            show_figures(shown, before, said)
    if moved:
        # for the line on the search, which stands above the page
        st.rerun()
    with state:
        _state(desk, desks)
        _longer(desk, desks)
    with pin:
        _pin(desk)
    with sliders:
        _slider_buttons(desk)
        show_search_options(desk)
    if shown is None:
        return
    with answer:
        if before is not None:
            show_change(before, shown)
        show_answer(desk, shown)
    if desk.pinned is not None and desk.pinned is not desk.plan:
        show_compared(desk.pinned, shown)
    show_details(desk, shown)
    st.divider()
    show_link("report", "Next: the report, to print or to save")
    if desk.search is None:
        desk.make_ready()


def _shown(desk: Desk) -> tuple[Plan | None, Plan | None, list[str]]:
    """The plan to show, the one to compare it with, and what is said of it."""
    if desk.checked is not None:
        return desk.checked, desk.plan, [SET_ANEW]
    if desk.plan is None:
        return None, None, []
    if desk.search is not None and desk.recheck_done:
        return desk.plan, None, [CANNOT]
    return desk.plan, desk.before, status_sentences(desk.plan)


def _not_yet(desk: Desk) -> None:
    """What keeps a plan from being made, with the pages where it is put right; an earlier plan stays in sight."""
    st.warning("Before a plan can be made, this is to be put right:")
    of_tank = desk.reading.tank_problems()
    _listed("tank", "Go to the tank", of_tank)
    of_tables = [p for name in desk.draft.tables for p in table_problems(desk.draft, desk.reading, name)]
    files = {problem.file for problem in (*of_tank, *of_tables)}
    others = [replace(p, message=str(p)) for p in desk.reading.errors if p.file not in files]
    _listed("catalog", "Go to the catalog", [*of_tables, *others])
    if desk.plan is not None:
        st.header(escaped(answer_line(desk.plan)))
        show_figures(desk.plan, None, [OLD])
        show_answer(desk, desk.plan)
        show_details(desk, desk.plan)


def _listed(page: str, label: str, problems: Sequence[Problem]) -> None:
    told = dict.fromkeys(in_words(problem.message) for problem in problems if problem.severity == "error")
    if told:
        st.markdown("\n".join(f"- {escaped(text)}" for text in told))
        show_link(page, label)


def _state(desk: Desk, desks: Desks) -> None:
    """What there is, and the button that finds a plan."""
    for text in desk.notes:
        st.error(escaped(text))
    if desk.search is not None:
        if desk.plan is None:
            st.write(SEARCHED)
        return
    if desk.plan is None:
        st.write(f"{escaped(job_line(desk.reading.tank, desk.reading.catalog, inches=desk.inches))} {FIRST}")
        label = "Find the cheapest plan"
    elif desk.outdated:
        st.warning(CHANGED)
        label = "Find the plan anew"
    else:
        return
    if st.button(label, type="primary"):
        _ask(desk, desks)


def _ask(desk: Desk, desks: Desks) -> None:
    try:
        desks.ask(desk)
    except InputError as error:
        desk.notes = tuple(str(problem) for problem in error.problems)
    st.rerun()


def _longer(desk: Desk, desks: Desks) -> None:
    """Where a search was not finished: a button for a longer one."""
    if desk.plan is None or desk.search is not None or desk.outdated or not unfinished(desk.plan):
        return
    seconds = min(MOST_SECONDS, 2 * desk.time_limit)
    if st.button(f"Search for longer: {seconds:g} s at most"):
        desk.time_limit = st.session_state[key_of(desk, TIME_LIMIT)] = seconds
        _ask(desk, desks)


def _pin(desk: Desk) -> None:
    """What the sliders are for, and the pin that keeps a plan beside the next ones."""
    if desk.plan is None:
        st.caption(BEGIN)
        return
    st.caption(MOVES)
    with st.container(horizontal=True):
        if st.button(
            "Pin this plan",
            disabled=desk.checked is not None or desk.pinned is desk.plan,
            help="Keep it beside the plans that follow",
        ):
            desk.pinned = desk.plan
            st.rerun()
        if desk.pinned is not None and st.button("Take the pinned plan away"):
            desk.pinned = None
            st.rerun()


def _slider_buttons(desk: Desk) -> None:
    if desk.variant == Variant():
        return
    if st.button("Put all sliders back", help="To where the pages of the tank and the catalog have them"):
        desk.put_sliders_back()
        st.rerun()
