"""Catalog: the lights that could be bought, what each gives for its price, and where its light falls."""

from __future__ import annotations

import streamlit as st

from lightplan.choose.maps import footprint_map, limit_of
from lightplan.light.emitter import EmitterError
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.fixture_cells import MAIN
from lightplan.present.drawings.charts import footprint
from lightplan.present.pages import pictures
from lightplan.present.pages.editors import catalog_table
from lightplan.present.pages.fields import escaped, key_of
from lightplan.present.pages.tables import show_grid
from lightplan.present.texts.figure_rows import figure_grid


def show(desk: Desk) -> None:
    """Show the page."""
    st.title("Catalog")
    st.write(
        "The lights that you could buy, a row each. Name, price, power and size of the body are needed; then the "
        "light, in whichever form you have it: a chart of PAR with height, depth and half-PAR length and width; or "
        "PPF and beam angle; or nothing, and it is guessed from the power."
    )
    all_columns = st.toggle("Show all columns", key=key_of(desk, "all columns"),
                            help="Weight, ageing, tubes, life, standby, resale and more")  # fmt: skip
    catalog_table(desk, "fixtures", None if all_columns else MAIN, "Fixtures: the lights that could be bought")
    st.header("What they give for their power and price")
    fixtures = desk.reading.catalog.fixtures
    if not fixtures:
        st.info("No fixture yet. Type the first one into the table above.")
    else:
        show_grid(figure_grid(fixtures, desk.reading.tank.money.currency), "What the fixtures give")
        st.caption(
            "Light per watt is the photon efficacy. Figures are reckoned from what is claimed, which may be wrong by "
            "the claim error. Price and light per watt are not all: how much reaches your corals depends on the tank."
        )
        _footprint(desk)
    st.header("Extras, shade meshes")
    st.write("Timers, hubs, hanging kits, a rented meter: what has to be bought along.")
    catalog_table(desk, "extras", None, "Extras")
    st.write("Sheets or meshes that can be laid under a light to let less of it through.")
    catalog_table(desk, "shades", None, "Shade meshes")


def _footprint(desk: Desk) -> None:
    st.header("Where its light falls")
    names = [fixture.fixture for fixture in desk.reading.catalog.fixtures]
    picked, height, depth = st.columns([2, 1, 1])
    name = picked.selectbox("Fixture", names, key=key_of(desk, "footprint"))
    above = height.number_input("Height above the water, cm", 1.0, 200.0, 25.0, 5.0, format="%g")
    below = depth.number_input("Depth, cm", 0.0, 200.0, 20.0, 5.0, format="%g")
    fixture = desk.reading.catalog.fixture(name)
    try:
        area = footprint_map(fixture, above, below)
    except EmitterError as error:
        st.error(escaped(str(error)))
        return
    spread = f"above half of that over {area.spread_length_cm:.0f} x {area.spread_width_cm:.0f} cm"
    pictures.show(
        footprint(name, area, limit_of(area), theme=pictures.theme()),
        f"PAR of {name} at {below:g} cm depth from {above:g} cm above the water: {area.centre:.0f} at the centre, "
        f"{spread}.",
    )
    st.write(
        f"At the centre {area.centre:.0f} µmol/m²/s at full level; {spread}. In open water, without walls, rocks or a "
        "cover."
    )
