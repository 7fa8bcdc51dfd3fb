"""Catalog: the lights that could be bought, what each gives for its price, and where its light falls."""

from __future__ import annotations

import streamlit as st

from lightplan.choose.maps import footprint_map, limit_of
from lightplan.inputs.guesses import CLAIM_ERRORS, NO_SOURCE
from lightplan.light.emitter import EmitterError
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.fixture_cells import MAIN
from lightplan.present.desk.on_screen import in_words, table_problems, wrong_rows
from lightplan.present.drawings.charts import footprint
from lightplan.present.pages import pictures
from lightplan.present.pages.editors import catalog_table
from lightplan.present.pages.fetching import fetch_editors
from lightplan.present.pages.fixture_light import show_data, show_known
from lightplan.present.pages.links import go_on, show_understood, show_wrong
from lightplan.present.pages.marks import escaped, key_of
from lightplan.present.pages.tables import show_grid
from lightplan.present.texts.figure_rows import figure_grid
from lightplan.present.texts.fixture_words import contradicted

#: tables whose problems stand below them, and the anchor of the heading above each
SHOWN = {
    "fixtures": "fixtures",
    **dict.fromkeys(("readings", "dial"), "readings"),
    **dict.fromkeys(("extras", "shades"), "extras"),
    **dict.fromkeys(("channels", "peaks", "spectra"), "colours"),
}


def show(desk: Desk) -> None:
    """Show the page."""
    st.title("Catalog", anchor=SHOWN["fixtures"])
    top = st.container()
    show_understood(desk)
    st.write(
        "The lights that you could buy or have (here called fixtures), a row each. Needed are name, price, power at "
        "the plug, and length and width of the body. Then give the light, in whichever form the box, a review or your "
        "own meter tells it:"
    )
    st.markdown(
        "- a chart: PAR at the centre, at which height and depth that was measured, and the length and width over "
        "which PAR stays above half of it; or\n"
        "- PPF (all the light that comes out, in µmol/s) and the beam angle, or a laboratory's photometric file; or\n"
        "- what a meter read under it, further below; or\n"
        "- nothing: then it is guessed from the power."
    )
    all_columns = st.toggle("Show all columns", key=key_of(desk, "all columns"),
                            help="Weight, ageing, tubes, life, standby, resale and more")  # fmt: skip
    catalog_table(desk, "fixtures", None if all_columns else MAIN, "Fixtures: the lights that could be bought")
    errors = ", ".join(f"{guess.value:g} % for {guess.label}" for guess in CLAIM_ERRORS)
    st.caption(f"The claim error says how far the light may differ from what is claimed: {errors} ({NO_SOURCE}).")
    wrong = wrong_rows(desk.draft, desk.reading, "fixtures")
    fixtures = [fixture for fixture in desk.reading.catalog.fixtures if fixture.fixture not in wrong]
    if fixtures:
        st.header("What they give for their power and price")
        if wrong:
            st.write("Without those in which something is to be put right.")
        show_grid(figure_grid(fixtures, desk.reading.tank.money.currency), "What the fixtures give")
        st.caption(
            "Light per watt is the photon efficacy. Figures are reckoned from what is claimed, which may be wrong by "
            "the claim error. Price and light per watt are not all: how much reaches your corals depends on the tank."
        )
        contradiction = contradicted(fixtures)
        if contradiction is not None:
            st.warning(escaped(contradiction))
        _footprint(desk, [fixture.fixture for fixture in fixtures])
    show_data(desk)
    _along(desk)
    _colours(desk)
    fetch_editors()
    go_on(desk, "plan", "Next: the plan")
    with top:
        # what is typed further down may put it right, so it is looked for last
        show_wrong([(SHOWN[name], in_words(text, name)) for name in SHOWN for text in _errors(desk, name)])


def _errors(desk: Desk, name: str) -> list[str]:
    """What is to be put right in a table of the catalog."""
    problems = table_problems(desk.draft, desk.reading, name)
    return [problem.message for problem in problems if problem.severity == "error"]


def _along(desk: Desk) -> None:
    st.header("What has to be bought with them", anchor=SHOWN["extras"])
    st.write("Timers, hubs, hanging kits, a rented meter. The plan adds what its lights need; no row, no extra.")
    catalog_table(desk, "extras", None, "Extras")
    st.caption(
        'Needed by: "timing:none" by lights without a timer of their own, "hang:wire" by lights that hang on wires, '
        '"group:" and a name by a family of lights (see all columns), "plan" by every plan, once. Serves: for how '
        "many lights one will do."
    )
    st.subheader("Shade meshes")
    st.write(
        "Sheets or meshes that can be laid under a light to let less of it through. Transmission is the part that they "
        "let through, 0 to 1."
    )
    catalog_table(desk, "shades", None, "Shade meshes")


def _colours(desk: Desk) -> None:
    """The tables that colour rests on; nobody needs them for PAR."""
    st.header("What colours they are of", anchor=SHOWN["channels"])
    st.write(
        "Only for the look, and for scenes that ask for a blue share. Give each fixture its channels, and each channel "
        "its share of the light and a spectrum: one of your own below, or one of the CIE's by name, such as CIE LED-B3."
    )
    catalog_table(desk, "channels", None, "Channels of the fixtures")
    with st.expander("Spectra of your own"):
        st.write("As coloured dies: where each peaks and how wide it is at half of that, with its part of the power.")
        catalog_table(desk, "peaks", None, "Spectra made of coloured dies")
        st.write("Or wavelength by wavelength, with a power that is relative.")
        catalog_table(desk, "spectra", None, "Spectra, wavelength by wavelength")


def _footprint(desk: Desk, names: list[str]) -> None:
    st.header("Where the light of one fixture falls")
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
    show_known(fixture)
