"""A plan on screen: the answer first, then the drawings, then everything else that is said about it."""

from __future__ import annotations

import streamlit as st

from lightplan.choose.plan import Plan
from lightplan.present.desk.desk import Desk
from lightplan.present.drawings.charts import zone_bars
from lightplan.present.drawings.drawn_plan import PlanDrawings, scene_in, scenes_of_plan, usual_depth
from lightplan.present.pages import pictures
from lightplan.present.pages.marks import escaped, key_of
from lightplan.present.pages.tables import show_grid, show_part, show_parts
from lightplan.present.texts.cautions import hanging_cautions, switching_cautions
from lightplan.present.texts.difference_words import compared_grid, difference_lines, price_changes
from lightplan.present.texts.miss_words import missed_lines
from lightplan.present.texts.plan_parts import Part, plan_parts, prices
from lightplan.present.texts.switching_on import hours
from lightplan.present.texts.words import scene_name

#: parts that are unfolded on demand
FOLDED = ("margins", "events")
BELOW = "The figures stand below."


def show_figures(plan: Plan, before: Plan | None, said: list[str]) -> None:
    """The answer in figures: what it costs (and how much more than `before`), and how sure it is."""
    if plan.cost is not None:
        with st.container(horizontal=True, gap="medium"):
            for (label, value), change in zip(prices(plan), price_changes(before, plan), strict=True):
                st.metric(label, value, change, delta_color="inverse", width="content")
    st.markdown(" ".join(escaped(sentence) for sentence in said))


def show_change(before: Plan, after: Plan) -> None:
    """What the last move has changed: money, PAR, power, what the owner can do."""
    with st.container(border=True):
        lines = "\n".join(f"- {escaped(line)}" for line in difference_lines(before, after))
        st.markdown(f"**Against the plan before**\n\n{lines}")


def show_answer(desk: Desk, plan: Plan) -> None:
    """What to buy in full, and the light of each zone."""
    parts = _parts(desk, plan)
    missed = missed_lines(plan)
    if missed:
        st.subheader("What it misses")
        st.warning("\n".join(f"- {escaped(line)}" for line in missed))
    show_parts([parts[key] for key in ("changes", "buy") if key in parts])
    if plan.zones:
        st.subheader("Light in each zone")
        words = "For each zone and scene its lowest, average and highest PAR against its band."
        pictures.show(zone_bars(plan, theme=pictures.theme()), f"{words} {BELOW}")
    show_parts([parts[key] for key in ("warnings",) if key in parts])


def show_details(desk: Desk, plan: Plan) -> None:
    """Everything else about a plan: drawings, where to hang, how to set, the light of each zone, the costs."""
    if plan.lights or plan.zones:
        st.header("Where the light falls")
        _drawings(desk, plan)
    parts = _parts(desk, plan)
    if plan.lights:
        st.header("Where to hang")
        _cautions("Before you hang them", hanging_cautions(plan))
        show_part(parts["hang"])
        st.header("How to switch on")
        _cautions("Before you wire them and switch them on", switching_cautions(plan))
        show_part(hours(plan))
    light = [part for part in plan_parts(plan) if part.key == "light"]
    if light:
        st.header("The light in figures")
        show_parts(light)
    if "cost" in parts:
        st.header(escaped(parts["cost"].heading))
        show_part(parts["cost"])
    for key in FOLDED:
        if key in parts:
            with st.expander(parts[key].heading):
                show_part(parts[key])


def _parts(desk: Desk, plan: Plan) -> dict[str, Part]:
    return {part.key: part for part in plan_parts(plan, inches=desk.inches)}


def _cautions(heading: str, lines: list[str]) -> None:
    st.warning(f"**{heading}**\n\n" + "\n".join(f"- {escaped(line)}" for line in lines))


def _drawings(desk: Desk, plan: Plan) -> None:
    scenes = scenes_of_plan(plan)
    left, right = st.columns(2, gap="large")
    with left:
        scene = st.selectbox("Scene", scenes, format_func=scene_name, key=key_of(desk, "scene", *scenes))
    with right:
        deepest = float(plan.tank.box.depth_cm)
        depth = st.slider("PAR at depth, cm", 0.0, deepest, usual_depth(plan), 1.0, "%g", key=key_of(desk, "depth"))
    drawings = PlanDrawings(plan, scene, pictures.theme(), inches=desk.inches)
    pinned = desk.pinned if desk.pinned is not None and desk.pinned is not plan and desk.pinned.lights else None
    limit = drawings.limit(depth, pinned)
    left, right = st.columns(2, gap="large")
    with left:
        st.subheader("From above")
        pictures.show(drawings.above(depth, limit), f"PAR from above at {depth:g} cm depth, with the lights. {BELOW}")
    if pinned is not None:
        with right:
            st.subheader("The pinned plan from above, in the same colours")
            other = PlanDrawings(pinned, scene_in(pinned, scene), pictures.theme(), inches=desk.inches)
            pictures.show(other.above(depth, limit), "PAR of the pinned plan from above, in the same colours.")
        right = st.columns(2, gap="large")[0]
    with right:
        st.subheader("From the front")
        pictures.show(drawings.side(), f"Lights at their heights above the water, zones at their depths. {BELOW}")


def show_compared(pinned: Plan, plan: Plan) -> None:
    """The pinned plan beside the new one, figure by figure."""
    st.header("Beside the pinned plan")
    show_grid(compared_grid(pinned, plan), "The pinned plan beside the new one")
