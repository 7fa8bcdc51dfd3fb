"""A part of the page of the catalog: how the light of one fixture is known, and what to read of it next."""

from __future__ import annotations

import streamlit as st

from lightplan.inputs.catalog import Fixture
from lightplan.inputs.errors import InputError
from lightplan.light.emitter import EmitterError
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.light_files import UPLOADS, add_light_file
from lightplan.present.drawings.charts import fixture_fit
from lightplan.present.pages import pictures
from lightplan.present.pages.editors import catalog_table
from lightplan.present.pages.marks import escaped, key_of
from lightplan.present.texts.fixture_words import doubt_words, known_words, next_words


def show_known(fixture: Fixture) -> None:
    """Show how well the light of a fixture is known: data, fit and residuals in one picture, and what to read next."""
    st.header("How well its light is known")
    try:
        said, doubtful = known_words(fixture), doubt_words(fixture)
        chart = fixture_fit(fixture, theme=pictures.theme())
    except EmitterError as error:
        st.error(escaped(str(error)))
        return
    st.write(escaped(said))
    for text in doubtful:
        st.warning(escaped(text))
    if chart is not None:
        pictures.show(chart, f"What was read of {fixture.fixture} and what the fit says there. {said}")
    st.subheader("What to measure next")
    st.write(escaped(next_words(fixture)))


def show_data(desk: Desk) -> None:
    """Show the tables and files from which light is known better than from a box."""
    st.header("What a meter or a laboratory says", anchor="readings")
    with st.expander("Readings under single lights"):
        st.write(
            "PAR that you read under one light at full level: how high it hung, how deep the sensor was (0 = in air), "
            "and how far from under the middle of the light, along it and across. Read in a tank, give its size and "
            "how much its panes mirror."
        )
        catalog_table(desk, "readings", None, "Readings under single lights")
    with st.expander("Dials that do not show the output"):
        st.write("Where the dial of a light stands, and what it then gives of its full light. Plans name both.")
        catalog_table(desk, "dial", None, "Dials that do not show the output")
    with st.expander("Photometric files"):
        _files(desk)


def _files(desk: Desk) -> None:
    st.write(
        "A laboratory's file of how a light spreads (LM-63, Type C, ending in .ies). Name it in the column "
        "photometry (see all columns), with the PPF beside it."
    )
    there = [name for name in desk.draft.others if name.lower().endswith(tuple(f".{kind}" for kind in UPLOADS))]
    if there:
        st.write(escaped(f"There are: {', '.join(sorted(there))}."))
    upload = st.file_uploader("Add a photometric file", type=list(UPLOADS), key=key_of(desk, "photometric file"))
    if upload is not None and st.button("Add this file"):
        try:
            add_light_file(desk, upload.name, upload.getvalue())
        except InputError as error:
            for problem in error.problems:
                st.error(escaped(str(problem)))
        else:
            st.rerun()
