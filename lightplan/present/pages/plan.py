"""Plan: the answer, the trade-off sliders, and what each move of one changes."""

from __future__ import annotations

import streamlit as st

from lightplan.choose.variant import Variant
from lightplan.inputs.errors import InputError
from lightplan.present.desk.desk import Desk, Desks
from lightplan.present.pages.answer import show_answer, show_compared, show_details
from lightplan.present.pages.fields import escaped, key_of
from lightplan.present.pages.sliders import show_sliders
from lightplan.present.texts.difference_words import difference_lines
from lightplan.present.texts.plan_parts import plan_head


def show(desk: Desk, desks: Desks) -> None:
    """Show the page."""
    st.title("Plan")
    if not desk.reading.usable:
        _not_yet(desk)
        return
    desks.worker(desk).warm()
    answer, sliders = st.columns([7, 3], gap="large")
    with sliders:
        st.subheader("What if")
        wished = show_sliders(desk)
        _slider_buttons(desk)
        _search_options(desk)
    if wished != desk.variant:
        _moved(desk, desks, wished)
    with answer:
        _state(desk, desks)
        if desk.checked is not None:
            _checked(desk)
        elif desk.plan is not None:
            _answer(desk)
    shown = desk.checked or desk.plan
    if shown is not None:
        show_details(desk, shown)


def _not_yet(desk: Desk) -> None:
    """What keeps a plan from being made, with the pages where it is put right; an earlier plan stays in sight."""
    st.warning("Before a plan can be made, this is to be put right:")
    for problem in desk.reading.errors:
        st.write(f"- {escaped(str(problem))}")
    left, right = st.columns(2)
    left.page_link(st.session_state["pages"]["tank"], label="Go to the tank")
    right.page_link(st.session_state["pages"]["catalog"], label="Go to the catalog")
    if desk.plan is not None:
        st.info("Below is the plan from before these changes.")
        show_answer(desk, desk.plan)
        show_details(desk, desk.plan)


def _moved(desk: Desk, desks: Desks, wished: Variant) -> None:
    """A slider was moved: re-set the old lights at once, and look for the proven plan."""
    desk.variant = wished
    if desk.plan is not None:
        try:
            desks.ask(desk)
        except InputError as error:
            desk.notes = tuple(str(problem) for problem in error.problems)
        else:
            desk.recheck()
    st.rerun()


def _state(desk: Desk, desks: Desks) -> None:
    """What there is, and the button that finds a plan."""
    for text in desk.notes:
        st.error(escaped(text))
    if desk.search is not None:
        return
    if desk.plan is None:
        st.write("Everything that is needed is there. The first plan takes some seconds, a hard one up to a minute.")
        label = "Find the cheapest plan"
    elif desk.outdated:
        st.warning("The tank, the catalog or a slider has changed since this plan was made.")
        label = "Find the plan anew"
    else:
        return
    if st.button(label, type="primary"):
        try:
            desks.ask(desk)
        except InputError as error:
            desk.notes = tuple(str(problem) for problem in error.problems)
        st.rerun()


def _checked(desk: Desk) -> None:
    """The old lights, set anew under the new wishes, while the proof is still being looked for."""
    assert desk.checked is not None
    st.info(
        "Your lights of before still work at their spots; below is how to set them now. Whether other lights would be "
        "cheaper is being looked for."
    )
    _change(desk)
    show_answer(desk, desk.checked, checked=True)


def _answer(desk: Desk) -> None:
    assert desk.plan is not None
    if desk.search is not None and desk.recheck_done:
        st.info("The lights of before cannot meet these wishes. Others are being looked for; below is the old plan.")
    _change(desk)
    show_answer(desk, desk.plan)
    left, right = st.columns(2)
    if left.button("Pin this plan", help="Keep it beside the plans that follow"):
        desk.pinned = desk.plan
    if desk.pinned is not None and right.button("Take the pinned plan away"):
        desk.pinned = None
        st.rerun()
    if desk.pinned is not None and desk.pinned is not desk.plan:
        show_compared(desk.pinned, desk.plan)


def _change(desk: Desk) -> None:
    """What the last move has changed: money, PAR, power, what the owner can do."""
    before, after = (desk.plan, desk.checked) if desk.checked is not None else (desk.before, desk.plan)
    if before is None or after is None:
        return
    with st.container(border=True):
        st.markdown("**Against the plan before**")
        for line in difference_lines(before, after):
            st.markdown(f"- {escaped(line)}")


def _slider_buttons(desk: Desk) -> None:
    if desk.variant == Variant():
        return
    if st.button("All sliders back to the tank file"):
        desk.put_sliders_back()
        st.rerun()


def _search_options(desk: Desk) -> None:
    with st.expander("More about the search"):
        desk.time_limit = st.number_input("Most seconds to search", 1.0, 3600.0, desk.time_limit, 5.0, format="%g",
                                          key=key_of(desk, "time limit"))  # fmt: skip
        gap = st.number_input("Good enough: at most this much dearer than the cheapest possible, %", 0.0, 50.0,
                              100 * desk.gap, 0.5, format="%g", key=key_of(desk, "gap"))  # fmt: skip
        desk.gap = gap / 100
        if desk.plan is not None:
            for sentence in plan_head(desk.plan):
                st.caption(escaped(sentence))
