"""Tank and corals: the water, where corals sit, what casts shade and where lights may hang, drawn as it is typed."""

from __future__ import annotations

import streamlit as st

from lightplan.inputs.guesses import COVERS, WALLS, WATERS
from lightplan.inputs.tank import Box, Hanging, Walls
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.on_screen import in_words
from lightplan.present.drawings.charts import above, drawn_placed, side
from lightplan.present.pages import pictures
from lightplan.present.pages.editors import catalog_table, tank_table
from lightplan.present.pages.fetching import fetch_editors
from lightplan.present.pages.fields import field, guessed, show_problems
from lightplan.present.pages.links import go_on, show_understood, show_wrong
from lightplan.present.pages.marks import escaped
from lightplan.present.pages.wishes import show_limits, show_wishes

#: tables of the tank file whose problems stand beside their fields, and the anchor of the heading above those
SHOWN = {
    "": "tank",
    "tank": "tank",
    "zone": "zones",
    **dict.fromkeys(("rock", "brace", "placed"), "shade"),
    **dict.fromkeys(("hanging", "spot"), "hanging"),
    "scene": "scenes",
    **dict.fromkeys(("margin", "control", "meter"), "control"),
    **dict.fromkeys(("photoperiod", "money", "limits", "tariff", "hours", "circuit"), "limits"),
}
#: the anchor of all other tables, which have no fields
OTHERS = "others"


def show(desk: Desk) -> None:
    """Show the page."""
    st.title("Tank and corals")
    top = st.container()
    show_understood(desk)
    st.write(
        "Say how large the tank is, where corals sit, and what light they want. Everything else begins with a usual "
        "value and can wait. All lengths are in cm, measured inside the tank."
    )
    st.header("The tank", anchor=SHOWN["tank"])
    _box(desk)
    drawing = st.container()
    _zones(desk)
    _obstacles(desk)
    _hanging(desk)
    show_wishes(desk)
    show_limits(desk)
    _others(desk)
    fetch_editors()
    go_on(desk, "catalog", "Next: the catalog, the lights that you could buy")
    with drawing:
        _drawings(desk)
    with top:
        # what is typed further down may put it right, so it is looked for last
        show_wrong([(SHOWN.get(key, OTHERS), in_words(problem.message)) for key, problem in desk.reading.tank_errors()])


def _box(desk: Desk) -> None:
    sides = (("length_cm", "Length, cm"), ("width_cm", "Width, cm"), ("depth_cm", "Water depth, cm"))
    name, *columns = st.columns([2, 1, 1, 1])
    with name:
        field(desk, Box, ("tank", "name"), "Name of the tank")
    for column, (key, label) in zip(columns, sides, strict=True):
        with column:
            field(desk, Box, ("tank", key), label)
    cover, water = st.columns(2)
    with cover:
        guessed(desk, Box, ("tank", "cover_transmission"), "Cover over the water", COVERS)
    with water:
        guessed(desk, Box, ("tank", "attenuation_per_m"), "How clear the water is", WATERS)
    with st.expander("Panes: how much light they throw back"):
        left, right = st.columns(2)
        for half, panes in ((left, ("front", "left")), (right, ("back", "right"))):
            with half:
                for pane in panes:
                    guessed(desk, Walls, ("tank", "walls", pane), f"{pane.capitalize()} pane", WALLS)
    with st.expander("More about the tank: rim, ceiling, refraction"):
        field(desk, Box, ("tank", "rim_above_water_cm"), "Rim above the water, cm")
        field(desk, Box, ("tank", "ceiling_above_water_cm"), "Ceiling above the water, cm")
        field(desk, Box, ("tank", "refractive_index"), "Refractive index of the water")
    show_problems(desk.reading.tank_problems("tank"))


def _drawings(desk: Desk) -> None:
    reading = desk.reading
    lights = drawn_placed(reading.tank, reading.catalog)
    theme = pictures.theme()
    names = ", ".join(zone.name for zone in reading.tank.zones) or "none"
    left, right = st.columns(2, gap="large")
    with left:
        st.subheader("From above")
        pictures.show(
            above(reading.tank, reading.catalog, lights=lights, theme=theme, inches=desk.inches),
            f"The tank from above, with its zones ({names}), rocks, braces and the spots where lights may hang.",
        )
    with right:
        st.subheader("From the front")
        pictures.show(
            side(reading.tank, reading.catalog, lights=lights, theme=theme, inches=desk.inches),
            f"The tank from the front, with its zones ({names}) at their depths.",
        )
    if any(problem.severity == "error" for problem in reading.tank_problems()):
        st.caption("Drawn as far as it can be read: something on this page is still to be put right.")
    desk.inches = st.toggle("Show drawings and hanging measures in inches", value=desk.inches)


def _zones(desk: Desk) -> None:
    st.header("Where corals sit, and the light they want", anchor=SHOWN["zone"])
    st.write(
        "A zone is a box in the water where like corals sit, a row each: its edges from the left and from the front, "
        "and its depth below the surface. Pick the kind of coral, or state a band of PAR. The last row is empty: type "
        "there for one more zone."
    )
    corals = [coral.coral for coral in desk.reading.catalog.corals]
    tank_table(desk, "zone", {"coral": corals}, "Zones: where corals sit and the PAR they want")
    st.caption(
        "PAR is the light that corals live on, in µmol/m²/s. DLI is the light of a whole day, in mol/m²; leave it "
        "blank unless you plan by it. A bottom depth is for corals that reach down a slope."
    )
    with st.expander("Bands of PAR by kind of coral (common practice, no source; yours to change)"):
        catalog_table(desk, "corals", None, "Bands of PAR by kind of coral")


def _obstacles(desk: Desk) -> None:
    st.header("What casts shade, and lights that stay", anchor=SHOWN["rock"])
    tabs = st.tabs(["Rocks", "Braces and lids", "Lights that hang already"])
    with tabs[0]:
        st.write("Blocks of rock, or an overflow tower: what lies behind them is in their shadow.")
        tank_table(desk, "rock", {}, "Rocks")
    with tabs[1]:
        st.write("Glass braces, lid strips, cable trays: what lies on the rim.")
        tank_table(desk, "brace", {}, "Braces and lids")
    with tabs[2]:
        st.write("Lights that hang over the tank already and stay where they are. They must be in the catalog, too.")
        fixtures = [fixture.fixture for fixture in desk.reading.catalog.fixtures]
        tank_table(desk, "placed", {"fixture": fixtures}, "Lights that hang already")


def _hanging(desk: Desk) -> None:
    st.header("Where lights may hang", anchor=SHOWN["hanging"])
    st.write(
        "Lights may hang at spots along rows from left to right (the small circles in the drawing), each at one of the "
        "heights. Which spots and heights are used is for the plan to find."
    )
    left, middle, right = st.columns(3)
    with left:
        field(desk, Hanging, ("hanging", "heights_cm"), "Heights above the water, cm")
        field(desk, Hanging, ("hanging", "rows_y_cm"), "Rows, cm from the front")
    with middle:
        field(desk, Hanging, ("hanging", "step_cm"), "Step along a row, cm")
        field(desk, Hanging, ("hanging", "overhang_cm"), "Most that lights stand out over the rim, cm")
        field(desk, Hanging, ("hanging", "spot_load_kg"), "Each spot carries, kg")
    with right:
        field(desk, Hanging, ("hanging", "turned"), "Lights may also hang turned a quarter")
        field(desk, Hanging, ("hanging", "mirrored"), "Left and right must be alike")
    show_problems(desk.reading.tank_problems("hanging"))
    with st.expander("Single spots instead of rows (joists, rails)"):
        tank_table(desk, "spot", {}, "Single spots where lights may hang")


def _others(desk: Desk) -> None:
    """Problems of tables that this page does not show."""
    keys = [key for key in desk.draft.tank if key not in SHOWN and desk.reading.tank_problems(key)]
    for key in keys:
        st.subheader(escaped(key), anchor=OTHERS if key == keys[0] else None)
        show_problems(desk.reading.tank_problems(key))
