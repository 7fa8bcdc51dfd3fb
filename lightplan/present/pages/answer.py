"""A plan on screen: the answer first, then the drawings, then everything else that is said about it."""

from __future__ import annotations

import streamlit as st

from lightplan.choose.plan import Plan
from lightplan.present.desk.desk import Desk
from lightplan.present.drawings.charts import zone_bars
from lightplan.present.drawings.drawn_plan import PlanDrawings, scene_in, scenes_of_plan, usual_depth
from lightplan.present.pages import pictures
from lightplan.present.pages.fields import escaped, key_of
from lightplan.present.pages.tables import show_grid
from lightplan.present.texts.cautions import hanging_cautions, switching_cautions
from lightplan.present.texts.difference_words import compared_grid
from lightplan.present.texts.plan_parts import Bullets, Grid, Part, answer_line, plan_parts, prices
from lightplan.present.texts.words import scene_name, status_sentences

#: parts that are unfolded on demand
FOLDED = ("margins", "events")
BELOW = "The figures stand below."


def show_answer(desk: Desk, plan: Plan, *, checked: bool = False) -> None:
    """The answer first: what to buy, what it costs, and the light from above.

    `checked`: the plan was compared with no other lights, so nothing is said of that.
    """
    st.subheader(escaped(answer_line(plan)))
    for column, (label, value) in zip(st.columns(3), prices(plan), strict=False):
        column.metric(label, value)
    for sentence in () if checked else status_sentences(plan):
        st.markdown(escaped(sentence))
    parts = _parts(desk, plan)
    _show([parts[key] for key in ("buy", "changes", "warnings") if key in parts])
    if plan.zones:
        st.subheader("Light in each zone")
        words = "For each zone and scene its lowest, average and highest PAR against its band."
        pictures.show(zone_bars(plan, theme=pictures.theme()), f"{words} {BELOW}")


def show_details(desk: Desk, plan: Plan) -> None:
    """Everything else about a plan: drawings, where to hang, how to set, the light of each zone, the costs."""
    if plan.lights or plan.zones:
        _drawings(desk, plan)
    parts = _parts(desk, plan)
    if plan.lights:
        st.subheader("Before you hang them")
        _cautions(hanging_cautions(plan))
        _show([parts["hang"]])
        st.subheader("Before you wire them and switch them on")
        _cautions(switching_cautions(plan))
    _show([part for part in plan_parts(plan) if part.key == "light"])
    _show([parts[key] for key in ("cost",) if key in parts])
    for key in FOLDED:
        if key in parts:
            with st.expander(parts[key].heading):
                _content(parts[key])


def _parts(desk: Desk, plan: Plan) -> dict[str, Part]:
    return {part.key: part for part in plan_parts(plan, inches=desk.inches)}


def _show(parts: list[Part]) -> None:
    for part in parts:
        st.subheader(escaped(part.heading))
        _content(part)


def _cautions(lines: list[str]) -> None:
    st.warning("\n".join(f"- {escaped(line)}" for line in lines))


def _content(part: Part) -> None:
    for piece in part.content:
        if isinstance(piece, Grid):
            show_grid(piece, part.heading, sums=part.key == "buy")
        elif isinstance(piece, Bullets):
            box = st.warning if part.key == "warnings" else st.markdown
            box("\n".join(f"- {escaped(line)}" for line in piece.lines))
        else:
            st.caption(escaped(piece))


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
    with right:
        st.subheader("From the front")
        pictures.show(drawings.side(), f"Lights at their heights above the water, zones at their depths. {BELOW}")
    if pinned is not None:
        st.subheader("The pinned plan from above, in the same colours")
        other = PlanDrawings(pinned, scene_in(pinned, scene), pictures.theme(), inches=desk.inches)
        pictures.show(other.above(depth, limit), "PAR of the pinned plan from above, in the same colours.")


def show_compared(pinned: Plan, plan: Plan) -> None:
    """The pinned plan beside the new one, figure by figure."""
    st.subheader("Beside the pinned plan")
    show_grid(compared_grid(pinned, plan), "The pinned plan beside the new one")
