"""Running costs: what the plan's lights cost a year and a month, at other prices and hours too, and what pays back."""

from __future__ import annotations

import streamlit as st

from lightplan.choose.payback import payback
from lightplan.choose.plan import Plan
from lightplan.choose.running import RunningCosts, running_costs
from lightplan.choose.variant import price_average
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.slider_ranges import RANGES
from lightplan.present.drawings.charts import cost_years, light_left, paid_so_far
from lightplan.present.pages import pictures
from lightplan.present.pages.links import show_link
from lightplan.present.pages.marks import escaped, key_of
from lightplan.present.pages.tables import show_parts
from lightplan.present.texts.cost_parts import cost_head, cost_parts
from lightplan.present.texts.payback_words import payback_lines
from lightplan.present.texts.words import money


def show(desk: Desk) -> None:
    """Show the page."""
    st.title("Running costs")
    plan = desk.plan
    if plan is None or plan.cost is None:
        st.info("There is no plan yet. Find one first; its running costs are shown here.")
        show_link("plan", "Go to the plan")
        return
    st.write(
        "What the lights of your plan cost to run, at the levels of the plan. The sliders reckon anew for another "
        "price of power or other hours; the lights and their levels stay as they are."
    )
    wishes = _sliders(desk, plan)
    costs = running_costs(plan, price_per_kwh=wishes[0], full_hours=wishes[1])
    _answer(costs, plan)
    if any(year.energy + year.upkeep > 0 for year in costs.years):
        pictures.show(
            cost_years(costs, theme=pictures.theme()), "What each year costs, by light. The figures stand below."
        )
    _payback(desk, costs, wishes)
    show_parts(cost_parts(costs))
    if any(fixture.lit for fixture in costs.fixtures):
        st.header("How the light fades")
        pictures.show(light_left(costs, theme=pictures.theme()), "Output left over the years, by light.")


def _sliders(desk: Desk, plan: Plan) -> tuple[float, float]:
    left, right = st.columns(2, gap="large")
    with left:
        price = price_average(plan.tank)
        reach = RANGES["price_per_kwh"].around(price)
        price = st.slider("Price of a kWh, mean over the day", reach.low, reach.high, price, reach.step, "%.2f",
                          key=key_of(desk, "costs price", str(price)))  # fmt: skip
    with right:
        hours = float(plan.tank.photoperiod.full_hours)
        reach = RANGES["full_hours"].around(hours)
        hours = st.slider("Hours of light a day at full level", reach.low, reach.high, hours, reach.step, "%g",
                          key=key_of(desk, "costs hours", str(hours)))  # fmt: skip
    return price, hours


def _answer(costs: RunningCosts, plan: Plan) -> None:
    label, cost = costs.tank.money.currency, costs.cost
    running = cost.energy_per_year + cost.upkeep_per_year
    before = 0.0 if plan.cost is None else plan.cost.energy_per_year + plan.cost.upkeep_per_year
    moved = running - before
    change = f"{money(moved, label, decimals=0)} against the plan" if abs(moved) >= 0.5 else None
    first, second, third = st.columns(3)
    first.metric("a year to run", money(running, label, decimals=0), change, delta_color="inverse")
    second.metric("a month, in the mean", money(running / 12, label, decimals=2))
    third.metric("power when most is lit", f"{cost.peak_w:.0f} W")
    for sentence in cost_head(costs):
        st.caption(escaped(sentence))


def _payback(desk: Desk, costs: RunningCosts, wishes: tuple[float, float]) -> None:
    """The plan against the pinned one: does the dearer of the two pay back?"""
    st.header("Does the dearer way pay back?")
    pinned = desk.pinned
    if pinned is None or pinned.cost is None or pinned is desk.plan:
        st.write("Pin a plan on the page of the plan, move a slider there, and the two are compared here.")
        return
    years = costs.tank.money.years
    other = running_costs(pinned, price_per_kwh=wishes[0], full_hours=wishes[1], years=years)
    if other.tank.money != costs.tank.money:
        st.write("The pinned plan was made with another currency or interest, so the two cannot be compared.")
        return
    names = ("This plan", "The pinned plan")
    found = payback(costs, other)
    lines = payback_lines(found, *names, costs.tank.money.currency, rate=costs.tank.money.discount_rate)
    st.markdown("\n".join(f"- {escaped(line)}" for line in lines))
    chart = paid_so_far([(names[0], costs), (names[1], other)], theme=pictures.theme())
    pictures.show(chart, "What each way has cost so far, year by year.")
