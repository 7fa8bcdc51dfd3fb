"""A curve whose points can be chosen, by a click on it."""

from __future__ import annotations

import streamlit as st

from lightplan.present.desk.desk import Desk
from lightplan.present.desk.studies import Study
from lightplan.present.drawings.charts import CHOSEN, cost_curve
from lightplan.present.pages import pictures
from lightplan.present.pages.marks import key_of
from lightplan.present.texts.curve_parts import AGAINST, cost_at, plans_by_name


def show_curve(desk: Desk, study: Study, choice: str) -> None:
    """Show a curve; a click on a point puts its name under the key `choice`, as the widget there has it."""
    found, currency = study.found, study.tank.money.currency
    names = [name for name, _ in plans_by_name(found, currency)]
    points = [(point.value, cost_at(point)) for point in found.points]
    if len(points) < 2 or all(cost is None for _, cost in points):
        return
    picked = st.session_state.get(choice)
    place = names.index(picked) if picked in names else None
    chart = cost_curve(points, names, AGAINST[found.against], currency, pictures.theme(), place)
    key = key_of(desk, "curve")

    def clicked() -> None:
        chosen = st.session_state[key].selection.get(CHOSEN, [])
        if chosen:
            st.session_state[choice] = names[int(chosen[0]["place"])]

    st.altair_chart(chart, theme=None, width="stretch", key=key, on_select=clicked, selection_mode=CHOSEN)
    st.caption("Click a point, or choose it below, to look at its plan.")
