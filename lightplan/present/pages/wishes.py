"""The second half of the tank page: what the lights must be able to do, hours, money, limits and the price of power."""

from __future__ import annotations

import streamlit as st

from lightplan.inputs.tank import Circuit, Control, Limits, Margin, Meter, Money, Photoperiod
from lightplan.present.desk.desk import Desk
from lightplan.present.pages.editors import scene_zone_table, tank_table
from lightplan.present.pages.fields import field, show_problems


def show_wishes(desk: Desk) -> None:
    """Scenes, margins and control."""
    st.header("Scenes: what the lights must also be able to do", anchor="scenes")
    st.write(
        "Normal running is always planned for. A scene is another light that the same lights must be able to give, for "
        "instance half the PAR on the first day of new corals: times the band 0.5, lower ends do not count. Levels, "
        "and if you like heights and shade meshes, are set anew for each scene."
    )
    tank_table(desk, "scene", {}, "Scenes")
    with st.expander("Bands of single zones in a scene"):
        st.write("Where one zone wants another band in a scene, state it here; it is not scaled.")
        scene_zone_table(desk)
    st.header("How sure, and how much control", anchor="control")
    left, right = st.columns(2)
    with left:
        field(desk, Margin, ("margin", "claims"), "Keep a margin: lights may give less or more than claimed")
        field(desk, Margin, ("margin", "ageing"), "Keep a margin: still bright enough at the end of the years")
        show_problems(desk.reading.tank_problems("margin"))
    with right:
        field(desk, Meter, ("meter", "available"), "I measure with a PAR meter and set the lights by it")
        field(desk, Control, ("control", "built_in_timing"), "Only lights with a timer built in")
        field(desk, Control, ("control", "dimmable_share"), "Part of each zone's light that must be dimmable, 0 to 1")
        show_problems(desk.reading.tank_problems("control") + desk.reading.tank_problems("meter"))


def show_limits(desk: Desk) -> None:
    """Hours, money, limits, the price of power, the circuit."""
    st.header("Hours, money and limits", anchor="limits")
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
        field(desk, Limits, ("limits", "budget"), "Most money for lights and extras")
        field(desk, Limits, ("limits", "power_w"), "Most power at one time, W")
        field(desk, Limits, ("limits", "fixtures"), "Most lights to buy")
        field(desk, Limits, ("limits", "models"), "Most different models to buy")
        field(desk, Limits, ("limits", "load_kg"), "Most weight of all bought lights, kg")
        st.caption("Blank: no limit.")
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
