"""Tank and corals: everything of the tank file, drawn as it is typed."""

from __future__ import annotations

import streamlit as st

from lightplan.inputs.guesses import COVERS, WALLS, WATERS
from lightplan.inputs.tank import Box, Circuit, Control, Hanging, Limits, Margin, Meter, Money, Photoperiod, Walls
from lightplan.present.desk.desk import Desk
from lightplan.present.drawings.charts import above, drawn_placed, side
from lightplan.present.pages import pictures
from lightplan.present.pages.editors import catalog_table, scene_zone_table, tank_table
from lightplan.present.pages.fields import escaped, field, guessed, show_problems


def show(desk: Desk) -> None:
    """Show the page."""
    st.title("Tank and corals")
    st.write("Lengths are in cm. Left to right is x, front to back is y, depth is from the water surface down.")
    _box(desk)
    drawing = st.container()
    st.header("Where corals sit, and the light they want")
    st.write("A zone is a box in the water where like corals sit. Pick the kind of coral, or state a band of PAR.")
    corals = [coral.coral for coral in desk.reading.catalog.corals]
    tank_table(desk, "zone", {"coral": corals}, "Zones: where corals sit and the PAR they want")
    with st.expander("Bands of PAR by kind of coral (common practice, no source; yours to change)"):
        catalog_table(desk, "corals", None, "Bands of PAR by kind of coral")
    _obstacles(desk)
    _hanging(desk)
    _wishes(desk)
    _rest(desk)
    with drawing:
        _drawings(desk)


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
    with st.expander("More about the tank"):
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
        st.caption("From above")
        pictures.show(
            above(reading.tank, reading.catalog, lights=lights, theme=theme, inches=desk.inches),
            f"The tank from above, with its zones ({names}), rocks, braces and the spots where lights may hang.",
        )
    with right:
        st.caption("From the front")
        pictures.show(
            side(reading.tank, reading.catalog, lights=lights, theme=theme, inches=desk.inches),
            f"The tank from the front, with its zones ({names}) at their depths.",
        )
    if reading.errors:
        st.caption("Drawn as far as it can be read: something is still to be put right.")
    desk.inches = st.toggle("Show drawings and hanging measures in inches", value=desk.inches)


def _obstacles(desk: Desk) -> None:
    st.header("What casts shade, and lights that stay")
    tabs = st.tabs(["Rocks", "Braces and lids", "Lights that hang already"])
    with tabs[0]:
        st.write("Blocks of rock, or an overflow tower: what lies behind them is in their shadow.")
        tank_table(desk, "rock", {}, "Rocks")
    with tabs[1]:
        st.write("Glass braces, lid strips, cable trays: what lies on the rim.")
        tank_table(desk, "brace", {}, "Braces and lids")
    with tabs[2]:
        st.write("Lights that hang over the tank already and stay where they are.")
        fixtures = [fixture.fixture for fixture in desk.reading.catalog.fixtures]
        tank_table(desk, "placed", {"fixture": fixtures}, "Lights that hang already")


def _hanging(desk: Desk) -> None:
    st.header("Where lights may hang")
    left, middle, right = st.columns(3)
    with left:
        field(desk, Hanging, ("hanging", "heights_cm"), "Heights above the water, cm")
        field(desk, Hanging, ("hanging", "rows_y_cm"), "Rows, cm from the front")
    with middle:
        field(desk, Hanging, ("hanging", "step_cm"), "Step along a row, cm")
        field(desk, Hanging, ("hanging", "overhang_cm"), "May stand out over the rim, cm")
        field(desk, Hanging, ("hanging", "spot_load_kg"), "Each spot carries, kg")
    with right:
        field(desk, Hanging, ("hanging", "turned"), "Lights may also hang turned a quarter")
        field(desk, Hanging, ("hanging", "mirrored"), "Left and right must be alike")
    show_problems(desk.reading.tank_problems("hanging"))
    with st.expander("Single spots instead of rows (joists, rails)"):
        tank_table(desk, "spot", {}, "Single spots where lights may hang")


def _wishes(desk: Desk) -> None:
    st.header("Scenes: what the lights must also be able to do")
    st.write(
        "Normal running is always meant. Add a scene for the first day of new corals (PAR times 0.5, say, lower ends "
        "do not count) or for a bright show. The lights are set anew for each scene."
    )
    tank_table(desk, "scene", {}, "Scenes")
    with st.expander("Bands of single zones in a scene"):
        st.write("Where one zone wants another band in a scene, state it here; it is not scaled.")
        scene_zone_table(desk)
    left, right = st.columns(2)
    with left:
        field(desk, Margin, ("margin", "claims"), "Lights may be off by their claim error (true, false or a factor)")
        field(desk, Margin, ("margin", "ageing"), "Still bright enough at the end of the years")
        show_problems(desk.reading.tank_problems("margin"))
    with right:
        field(desk, Control, ("control", "dimmable_share"), "Part of each zone's light that must be dimmable, 0 to 1")
        field(desk, Control, ("control", "built_in_timing"), "Only lights with a timer built in")
        field(desk, Meter, ("meter", "available"), "I measure with a PAR meter and set the lights by it")
        show_problems(desk.reading.tank_problems("control") + desk.reading.tank_problems("meter"))


def _rest(desk: Desk) -> None:
    st.header("Hours, money and limits")
    hours, money, limits = st.columns(3)
    with hours:
        field(desk, Photoperiod, ("photoperiod", "start"), "Sunrise begins")
        field(desk, Photoperiod, ("photoperiod", "full_hours"), "Hours at full level")
        field(desk, Photoperiod, ("photoperiod", "ramp_hours"), "Hours of sunrise, and of sunset")
        show_problems(desk.reading.tank_problems("photoperiod"))
    with money:
        field(desk, Money, ("money", "currency"), "Currency")
        field(desk, Money, ("money", "years"), "Years you will own the lights")
        field(desk, Money, ("money", "discount_rate"), "Interest a year, 0.03 = 3 %")
        show_problems(desk.reading.tank_problems("money"))
    with limits:
        field(desk, Limits, ("limits", "budget"), "Budget for lights and extras")
        field(desk, Limits, ("limits", "power_w"), "Power when most is lit, W")
        field(desk, Limits, ("limits", "fixtures"), "Number of lights to buy")
        field(desk, Limits, ("limits", "models"), "Different models to buy")
        field(desk, Limits, ("limits", "load_kg"), "Weight of all bought lights, kg")
        show_problems(desk.reading.tank_problems("limits"))
    st.subheader("Price of power")
    st.write("One row without times holds all day; rows with times hold between them. No row: 0.30 for every kWh.")
    tank_table(desk, "tariff", {}, "Price of power")
    with st.expander("Hours of single fixtures, and the circuit"):
        fixtures = [fixture.fixture for fixture in desk.reading.catalog.fixtures]
        tank_table(desk, "hours", {"fixture": fixtures}, "Hours of single fixtures")
        for column, (key, label) in zip(
            st.columns(3),
            (("volts", "Mains voltage, V"), ("breaker_a", "Breaker, A"), ("other_w", "Else on it, W")),
            strict=True,
        ):
            with column:
                field(desk, Circuit, ("circuit", key), label)
        show_problems(desk.reading.tank_problems("circuit"))
    _others(desk)


def _others(desk: Desk) -> None:
    """Problems of tables that this page does not show."""
    shown = {"tank", "", "zone", "rock", "brace", "placed", "hanging", "spot", "scene", "margin", "control", "meter",
             "photoperiod", "money", "limits", "tariff", "hours", "circuit"}  # fmt: skip
    for key in desk.draft.tank:
        if key not in shown and desk.reading.tank_problems(key):
            st.subheader(escaped(key))
            show_problems(desk.reading.tank_problems(key))
