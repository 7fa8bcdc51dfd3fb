"""Trade-offs: ways to buy side by side, what more of a wish costs, plans nearly as cheap, each wish's price."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import streamlit as st

from lightplan.choose.plan import Plan
from lightplan.inputs.errors import InputError
from lightplan.operate.rampup_ways import weeks_from_dict
from lightplan.present.desk.desk import Desk, Desks
from lightplan.present.desk.studies import Study
from lightplan.present.drawings.charts import saving_bars
from lightplan.present.pages import pictures
from lightplan.present.pages.answer import show_answer, show_figures
from lightplan.present.pages.curves import show_curve
from lightplan.present.pages.links import show_link
from lightplan.present.pages.marks import escaped, key_of
from lightplan.present.pages.tables import show_grid, show_part, show_parts
from lightplan.present.texts.alternative_parts import alternatives_head, alternatives_parts
from lightplan.present.texts.curve_parts import AGAINST, curve_grid, curve_lines, plans_by_name
from lightplan.present.texts.plan_parts import answer_line
from lightplan.present.texts.price_parts import for_nothing, saving_rows, wishes_head, wishes_parts
from lightplan.present.texts.way_parts import WAYS, WEEKS_FROM, WayCard, way_cards, ways_grid
from lightplan.present.texts.words import GOALS, status_sentences

POINTS = 8
WITHIN_PCT = 10.0
#: px: a card of a way to buy
CARD_PX = 300


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
        "What do you save, and what do you give up, if you buy only lights that are on or off, only dimmable ones, "
        "only tunable ones (each colour by itself), whatever is cheapest, or nothing that you do not have already?"
    )
    return {} if st.button("Compare the ways to buy", disabled=desk.search is not None) else None


def _ways(desk: Desk, study: Study) -> None:
    found, money, weeks = study.found, study.tank.money, weeks_from_dict(study.answer)
    with st.container(horizontal=True, key="ways"):
        for card in way_cards(found, money.currency, money.years, weeks):
            _card(card)
    show_grid(ways_grid(found, money.currency, weeks), "Ways to buy side by side")
    if weeks:
        st.caption(escaped(WEEKS_FROM))
    _open(desk, study, "Look at the plan of", [(WAYS[way.way], way.plan) for way in found.ways])


def _card(card: WayCard) -> None:
    """One way to buy."""
    with st.container(border=True, width=CARD_PX):
        st.subheader(escaped(card.name))
        if card.now:
            st.markdown(f"**{escaped(card.now)}**, {escaped(card.in_all)}")
        st.markdown(escaped(card.lights))
        if card.cannot:
            lines = "\n".join(f"- {escaped(line)}" for line in card.cannot)
            st.markdown(f"You cannot\n\n{lines}")
        for text in card.said:
            st.caption(escaped(text))


def _ask_curve(desk: Desk) -> dict[str, Any] | None:
    left, right = st.columns([3, 1], vertical_alignment="bottom")
    against = left.selectbox("Draw the least cost against", list(AGAINST), format_func=AGAINST.__getitem__,
                             key=key_of(desk, "against"))  # fmt: skip
    pressed = right.button("Draw the curve", disabled=desk.search is not None)
    return {"against": against, "points": POINTS} if pressed else None


def _curve(desk: Desk, study: Study) -> None:
    found, currency = study.found, study.tank.money.currency
    named = plans_by_name(found, currency)
    show_curve(desk, study, key_of(desk, "open", study.kind))
    for line in curve_lines(found, currency):
        st.write(escaped(line))
    picked = _open(desk, study, "Look at the plan of the point", named)
    plan = None if picked is None else named[picked][1]
    if picked is not None and plan is not None and st.button("Set the slider of the plan page to this point"):
        desk.take_point(found.against, found.points[picked].value, plan)
        st.switch_page(st.session_state["pages"]["plan"])
    with st.expander("The curve in figures"):
        show_grid(curve_grid(found, currency), "The curve in figures")


def _ask_alternatives(desk: Desk) -> dict[str, Any] | None:
    left, right = st.columns([3, 1], vertical_alignment="bottom")
    within = left.slider("At most so much dearer than the cheapest, %", 1.0, 50.0, WITHIN_PCT, 1.0, "%g %%",
                         key=key_of(desk, "within"))  # fmt: skip
    pressed = right.button("Look for them", disabled=desk.search is not None)
    return {"within_pct": within} if pressed else None


def _alternatives(desk: Desk, study: Study) -> None:
    found = study.found
    st.write(escaped(" ".join(alternatives_head(found))))
    show_parts(alternatives_parts(found))
    _open(desk, study, "Look at the plan with", [(GOALS[one.goal], one.plan) for one in found.alternatives])


def _ask_wishes(desk: Desk) -> dict[str, Any] | None:
    st.write(
        "What would be saved over the years if one zone, scene, limit or margin were dropped, and all else stayed?"
    )
    return {} if st.button("Ask what each wish costs", disabled=desk.search is not None) else None


def _wishes(desk: Desk, study: Study) -> None:
    found, currency = study.found, study.tank.money.currency
    st.write(escaped(" ".join(wishes_head(found))))
    rows = saving_rows(found)
    if rows:
        told = "; ".join(f"{name}: {amount:.0f}" for name, amount in rows)
        chart = saving_bars(rows, currency, theme=pictures.theme())
        pictures.show(chart, f"What dropping each wish saves over the years, {currency}. {told}.")
    if free := for_nothing(found):
        st.write(escaped(free))
    for part in wishes_parts(found, inches=desk.inches):
        if part.key == "prices":
            with st.expander("The savings in figures"):
                show_part(part)
        else:
            show_parts([part])


def _open(desk: Desk, study: Study, what: str, named: Sequence[tuple[str, Plan | None]]) -> int | None:
    """Let one of several plans be opened and closed again; returns the place of the one that is open."""
    there = {name: place for place, (name, plan) in enumerate(named) if plan is not None}
    if not there:
        return None
    key = key_of(desk, "open", study.kind)
    picked = st.pills(what, list(there), key=key)
    plan = named[there[picked]][1] if picked in there else None
    if picked is None or plan is None:
        return None
    with st.container(border=True):
        st.subheader(escaped(f"{picked}: {answer_line(plan)}"))
        show_figures(plan, None, status_sentences(plan))
        show_answer(desk, plan)
        with st.container(horizontal=True):
            st.button("Close this plan", key=f"{key}/close", on_click=st.session_state.pop, args=(key, None))
            if st.button("Pin this plan", key=f"{key}/pin"):
                desk.pinned = plan
                st.toast("Pinned: it stands beside your plan on the page of the plan.")
    return there[picked]
