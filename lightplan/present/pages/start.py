"""Start: an example, files of one's own, or an empty tank; and saving everything."""

from __future__ import annotations

import streamlit as st

from lightplan.inputs.draft import empty_draft
from lightplan.inputs.errors import InputError
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.opening import examples, file_name, open_empty, open_example, open_files, saved
from lightplan.present.pages.links import PAGES, show_link, show_understood, wrong
from lightplan.present.pages.marks import escaped, key_of

TYPES = ["zip", "toml", "csv", "xlsx", "ods", "json", "ies"]


def show(desk: Desk) -> None:
    """Show the page."""
    st.title("Which lights, where, and how bright?")
    st.write(
        "For reef tanks. Describe your tank and what your corals want, list the lights you could buy, and get the "
        "cheapest lights over the years that give every coral its light: what to buy, where to hang it, how to set it. "
        "Then move the sliders and see what each wish costs."
    )
    begun = bool(desk.title) or desk.draft != empty_draft()
    _where_you_are(desk, begun)
    st.header("Open another tank" if begun else "Begin")
    example, own, empty = st.columns(3, gap="large")
    with example:
        _example(desk)
    with own:
        _own(desk)
    with empty:
        st.subheader("An empty tank")
        st.write("Begin with a small tank and an empty list of lights, and fill in your own.")
        if st.button("Begin with an empty tank"):
            open_empty(desk)
            st.switch_page(st.session_state[PAGES]["tank"])
    if begun:
        st.caption("Opening another tank takes the place of the one that is open: save that first if you want it back.")
        st.header("Save")
        _save(desk)


def _where_you_are(desk: Desk, begun: bool) -> None:
    if not begun:
        st.info("Nothing is open yet. An example is the quickest way to see what this does.")
        return
    state = "It has a plan." if desk.plan is not None else "It has no plan yet."
    st.info(f"Open: **{escaped(desk.reading.tank.box.name)}**. {state} {wrong(desk)}")
    show_understood(desk)
    for text in desk.notes:
        st.warning(escaped(text))
    if desk.plan is not None:
        show_link("plan", "Go on: the plan")
    elif desk.reading.table_problems("fixtures") and not desk.reading.tank_problems():
        show_link("catalog", "Go on: the catalog")
    else:
        show_link("tank", "Go on: the tank and its corals")


def _example(desk: Desk) -> None:
    st.subheader("An example")
    names = examples()
    picked = st.selectbox("Example tank", list(names), format_func=lambda name: names[name], key="example")
    st.caption("Tanks, lights and prices of the examples are invented.")
    if st.button("Open the example", type="primary"):
        open_example(desk, picked)
        st.switch_page(st.session_state[PAGES]["tank"])


def _own(desk: Desk) -> None:
    st.subheader("Files of your own")
    uploads = st.file_uploader(
        "A saved zip, or a tank file (.toml) with its catalog: tables (.csv, .xlsx or .ods), photometric files (.ies); "
        "all at once",
        type=TYPES,
        accept_multiple_files=True,
        key=key_of(desk, "upload"),
    )
    if uploads and st.button("Open these files"):
        try:
            open_files(desk, [(upload.name, upload.getvalue()) for upload in uploads])
        except InputError as error:
            for problem in error.problems:
                st.error(escaped(str(problem)))
            st.write("What was open before is as it was.")
        else:
            st.switch_page(st.session_state[PAGES]["tank" if desk.plan is None else "plan"])


def _save(desk: Desk) -> None:
    st.write(
        "Your work stays here while this program runs, also when you reload the page. To keep it for longer, save it."
    )
    try:
        content = saved(desk)
    except InputError as error:
        for problem in error.problems:
            st.error(escaped(str(problem)))
        return
    st.download_button(
        "Save everything as a zip",
        content,
        file_name=file_name(desk),
        mime="application/zip",
        on_click="ignore",
        help="The tank file and the catalog's tables, with the plan where there is one. Open it here again later, or "
        "use the files with the command line.",
    )
