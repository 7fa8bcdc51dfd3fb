"""Look: what things look like under the lights of the plan, and what turning a channel does to picture and PAR."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from lightplan.choose.look import Look, colour_map, look_difference
from lightplan.choose.plan import Plan
from lightplan.inputs.layout import LayoutLight
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.looking import Turn, looks_of, scene_layout, too_low, turned, turns, zone_grid_words
from lightplan.present.drawings.charts import (
    chromaticity_diagram,
    colour_differences,
    drawn_lights,
    spectrum_curves,
    swatch_board,
    wavelengths,
)
from lightplan.present.drawings.drawn_plan import scenes_of_plan, usual_depth
from lightplan.present.pages import pictures
from lightplan.present.pages.links import show_link
from lightplan.present.pages.marks import escaped, key_of
from lightplan.present.pages.tables import show_grid
from lightplan.present.texts.look_words import MEANINGS, NOT_SHOWN, curve_alt, difference_line, look_figures, look_lines
from lightplan.present.texts.words import scene_name

FIGURES = "The figures stand below."
#: whether the eye is used to the light, and how that is said
EYES = ((True, "To eyes that are used to it"), (False, "To eyes that come in from daylight"))


def show(desk: Desk) -> None:
    """Show the page."""
    st.title("Look")
    plan = desk.plan
    if plan is None or not plan.lights or not plan.zones:
        st.info("There is no plan with lights yet. Find one first; what it looks like is shown here.")
        show_link("plan", "Go to the plan")
        return
    st.write(
        "What white sand and a set of test colours look like under the lights of your plan, and what turning a light "
        "or a channel up or down does to it, and to the PAR of every zone. Health first: mind the bands."
    )
    left, right = st.columns(2, gap="large")
    with left:
        scenes = scenes_of_plan(plan)
        scene = st.selectbox("Scene", scenes, format_func=scene_name, key=key_of(desk, "look scene", *scenes))
        water = st.checkbox("Through the water above it, too", key=key_of(desk, "look water"),
                            help="As clear sea water takes it. Off: the colour of the lamps alone.")  # fmt: skip
    with right:
        names = [zone.name for zone in plan.tank.zones]
        where = st.selectbox("Where in the tank", names, key=key_of(desk, "look where", *names))
    layout = _turned(desk, plan, scene)
    other = desk.pinned if desk.pinned is not plan else None
    looks = looks_of(plan, scene, layout, where, other, water=water)
    _picture(looks, where)
    st.header("What it does to the PAR")
    show_grid(zone_grid_words(plan, scene, layout), "PAR of each zone as turned")
    _details(looks)
    _meetings(desk, plan, layout, scene)


def _turned(desk: Desk, plan: Plan, scene: str) -> tuple[LayoutLight, ...]:
    """The lights as somebody has turned them."""
    layout = scene_layout(plan, scene)
    with st.expander("Turn the lights up and down", expanded=True):
        st.caption("This changes nothing in the plan. Each begins where the plan has it.")
        columns: list[DeltaGenerator] = []
        found = {}
        for one in turns(plan, layout):
            # row by row, so that on a phone they come in the order of the lights
            columns = columns or list(st.columns(2, gap="large"))
            with columns.pop(0):
                level = _turn(key_of(desk, "look", scene, f"{plan.seconds:.6f}"), one)
            if level is not None:
                found[one.light, one.channel] = level
    rows = turned(layout, found)
    for sentence in too_low(plan, rows):
        st.warning(escaped(sentence))
    return rows


def _turn(key: str, one: Turn) -> float | None:
    """The level of one thing, in %; None where it stands as the plan has it."""
    label = f"{one.light}: {escaped(one.fixture)}{', ' + escaped(one.channel) if one.channel else ''}"
    key = f"{key}/{one.light}/{one.channel}"
    if one.switch:
        lit = st.toggle(label, one.lit, key=key)
        return None if lit == one.lit else 100.0 * lit
    level = st.slider(label, 0.0, 100.0, one.shown_pct, 1.0, "%g %%", key=key)
    return None if level == one.shown_pct else level


def _picture(looks: Sequence[tuple[str, Look]], where: str) -> None:
    st.header(f"How it looks at {escaped(where)}")
    shown = [(name, look) for name, look in looks if look.place is not None]
    for sentence in look_lines(looks[0][1]):
        st.markdown(escaped(sentence))
    if not shown:
        return
    for column, (used, words) in zip(st.columns(2, gap="large"), EYES, strict=True):
        with column:
            st.subheader(words)
            board = swatch_board([(name, look.swatches(used_to_it=used)) for name, look in shown], pictures.theme())
            pictures.show(board, f"Patches of white sand and 14 test colours, {words.lower()}.")
    for name, look in shown[1:]:
        st.markdown(f"Against {escaped(name)}: {escaped(difference_line(look_difference(shown[0][1], look)))}")


def _details(looks: Sequence[tuple[str, Look]]) -> None:
    """Figures, spectra and the diagram, with what they mean and what is not shown."""
    st.header("The light in figures")
    show_grid(look_figures(looks), "Figures of the light")
    known = [(name, look) for name, look in looks if look.place is not None]
    if known:
        left, right = st.columns(2, gap="large")
        with left:
            st.subheader("Spectrum")
            curves = [(name, look.curve(wavelengths())) for name, look in known[:3]]
            pictures.show(spectrum_curves(curves, theme=pictures.theme()), curve_alt(known[:3]))
        with right:
            st.subheader("Place among all colours")
            places = [(name, look.place) for name, look in known if look.place is not None]
            pictures.show(chromaticity_diagram(places, pictures.theme()), f"The colour diagram of the CIE. {FIGURES}")
    with st.expander("What the words mean"):
        st.markdown("\n".join(f"- {escaped(line)}" for line in MEANINGS))
    st.subheader("What is not shown")
    st.markdown("\n".join(f"- {escaped(line)}" for line in NOT_SHOWN))


def _meetings(desk: Desk, plan: Plan, layout: Sequence[LayoutLight], scene: str) -> None:
    st.header("Where lights of different colour meet")
    deepest = float(plan.tank.box.depth_cm)
    depth = st.slider("Colour at depth, cm", 0.0, deepest, usual_depth(plan), 1.0, "%g", key=key_of(desk, "look depth"))
    found = colour_map(plan.tank, plan.catalog, layout, depth)
    if not found.known:
        st.write("No light of known colour reaches this depth.")
        return
    lights = drawn_lights(plan.lights, plan.catalog, scene)
    drawing = colour_differences(plan.tank, plan.catalog, found, lights, pictures.theme(), inches=desk.inches)
    st.caption("How far white sand looks from the mean: from about 3 on it is seen at a glance, from 10 plainly.")
    pictures.show(drawing, f"Colour differences from above at {depth:g} cm depth.")
