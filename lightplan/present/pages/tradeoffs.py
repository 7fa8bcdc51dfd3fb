"""Trade-offs: ways to buy side by side, what more of a wish costs, plans nearly as cheap, each wish's price."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import streamlit as st

from lightplan.choose.plan import Plan
from lightplan.choose.plan_data import plan_from_dict
from lightplan.inputs.errors import InputError
from lightplan.present.desk.desk import Desk, Desks
from lightplan.present.desk.studies import Study
from lightplan.present.drawings.charts import cost_curve, saving_bars
from lightplan.present.pages import pictures
from lightplan.present.pages.answer import show_answer
from lightplan.present.pages.links import show_link
from lightplan.present.pages.marks import escaped, key_of
from lightplan.present.pages.tables import show_grid
from lightplan.present.texts.plan_parts import answer_line
from lightplan.present.texts.study_words import AGAINST, frontier_grid, value_words, ways_grid, wish_rows

POINTS = 8
WITHIN_PCT = 10.0


def show(desk: Desk, desks: Desks) -> None:
    """Show the page."""
    st.title("Trade-offs")
    st.write(
        "One cheapest plan is an answer; a decision needs its neighbourhood. Everything here is for the tank as the "
        "sliders of the plan page have it. Each question takes several plans, so it may take a minute; what is found "
        "stays here."
    )
    for text in desk.notes:
        st.error(escaped(text))
    if not desk.reading.usable:
        st.info("Something in the tank or the catalog is to be put right first.")
        show_link("tank", "Go to the tank")
        return
    _part(desk, desks, "compare", "Ways to buy", _ask_ways, _ways)
    _part(desk, desks, "frontier", "What more of a wish costs", _ask_curve, _curve)
    _part(desk, desks, "alternatives", "Nearly as cheap, and better in something", _ask_alternatives, _alternatives)
    _part(desk, desks, "wishes", "What each wish costs", _ask_wishes, _wishes)


def _part(
    desk: Desk, desks: Desks, kind: str, heading: str, ask: Callable[[Desk], dict[str, Any] | None],
    tell: Callable[[Desk, Study], None],
) -> None:  # fmt: skip
    """One question: what it asks, the button, and what came of it."""
    st.header(heading)
    options = ask(desk)
    if options is not None:
        try:
            desks.ask_more(desk, kind, options)
        except InputError as error:
            desk.notes = tuple(str(problem) for problem in error.problems)
        st.rerun()
    study = desk.studies.get(kind)
    if study is None:
        return
    if desk.is_of_old(study):
        st.warning("The tank, the catalog or a slider has changed since. This is from before.")
    tell(desk, study)


def _ask_ways(desk: Desk) -> dict[str, Any] | None:
    st.write(
        "Only lights that are on or off, only dimmable, only tunable, whatever is cheapest, or only what you have."
    )
    return {} if st.button("Compare the ways to buy", disabled=desk.search is not None) else None


def _ways(desk: Desk, study: Study) -> None:
    ways = study.answer["ways"]
    plans = [None if way["plan"] is None else plan_from_dict(way["plan"]) for way in ways]
    show_grid(ways_grid(ways, plans, study.tank.money.currency), "Ways to buy side by side")
    _open(desk, study, "way", [(way["way"], plan) for way, plan in zip(ways, plans, strict=True)])


def _ask_curve(desk: Desk) -> dict[str, Any] | None:
    left, right = st.columns([3, 1], vertical_alignment="bottom")
    against = left.selectbox("Draw the least cost against", list(AGAINST), format_func=AGAINST.__getitem__,
                             key=key_of(desk, "against"))  # fmt: skip
    pressed = right.button("Draw the curve", disabled=desk.search is not None)
    return {"against": against, "points": POINTS} if pressed else None


def _curve(desk: Desk, study: Study) -> None:
    against, currency = study.options["against"], study.tank.money.currency
    points = [
        (float(point["value"]), None if point["plan"] is None else plan_from_dict(point["plan"]))
        for point in study.answer["points"]
    ]
    names = [value_words(against, value, currency) for value, _ in points]
    costs = [(value, None if plan is None or plan.cost is None else plan.cost.ownership) for value, plan in points]
    if len(points) > 1 and any(cost is not None for _, cost in costs):
        chart = cost_curve(costs, names, AGAINST[against], currency, theme=pictures.theme())
        pictures.show(chart, f"The least cost over the years against {AGAINST[against]}. The figures stand below.")
    show_grid(frontier_grid(points, against, currency), "The curve in figures")
    named = list(zip(names, (plan for _, plan in points), strict=True))
    picked = _open(desk, study, "point", named)
    if picked is not None and st.button("Set the slider of the plan page to this point"):
        desk.set_slider(against, points[picked][0])
        st.switch_page(st.session_state["pages"]["plan"])


def _ask_alternatives(desk: Desk) -> dict[str, Any] | None:
    left, right = st.columns([3, 1], vertical_alignment="bottom")
    within = left.slider("At most so much dearer than the cheapest, %", 1.0, 50.0, WITHIN_PCT, 1.0, "%g %%",
                         key=key_of(desk, "within"))  # fmt: skip
    pressed = right.button("Look for them", disabled=desk.search is not None)
    return {"within_pct": within} if pressed else None


def _alternatives(desk: Desk, study: Study) -> None:
    found = [(str(one["goal"]), plan_from_dict(one["plan"])) for one in study.answer["alternatives"]]
    if not found:
        st.write("None was found that is better in anything within that cost.")
    _open(desk, study, "alternative", found)


def _ask_wishes(desk: Desk) -> dict[str, Any] | None:
    st.write(
        "What would be saved over the years if one zone, scene, limit or margin were dropped, and all else stayed?"
    )
    return {} if st.button("Ask what each wish costs", disabled=desk.search is not None) else None


def _wishes(desk: Desk, study: Study) -> None:
    rows = wish_rows(study.answer)
    if not rows:
        st.write("No single wish has a price: no plan meets all of them, or none costs anything.")
        return
    chart = saving_bars(rows, study.tank.money.currency, theme=pictures.theme())
    pictures.show(chart, "What dropping each wish saves over the years: " + "; ".join(f"{n} {a:.0f}" for n, a in rows))


def _open(desk: Desk, study: Study, what: str, named: Sequence[tuple[str, Plan | None]]) -> int | None:
    """Let one of several plans be opened; returns its place."""
    there = {name: place for place, (name, plan) in enumerate(named) if plan is not None}
    if not there:
        return None
    picked = st.pills(f"Open the plan of a {what}", list(there), key=key_of(desk, "open", study.kind))
    if picked is None:
        return None
    plan = named[there[picked]][1]
    assert plan is not None
    with st.container(border=True):
        st.subheader(escaped(f"{picked}: {answer_line(plan)}"))
        show_answer(desk, plan)
        if st.button("Pin this plan", key=key_of(desk, "pin", study.kind)):
            desk.pinned = plan
            st.toast("Pinned: it stands beside your plan on the page of the plan.")
    return there[picked]
