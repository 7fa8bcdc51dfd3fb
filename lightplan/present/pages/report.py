"""Report: the plan as one file to print, and as tables."""

from __future__ import annotations

import streamlit as st

from lightplan.present.commands.results import result_files
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.opening import file_name
from lightplan.present.pages.links import show_link
from lightplan.present.report.page import report_html


def show(desk: Desk) -> None:
    """Show the page."""
    st.title("Report")
    if desk.plan is None:
        st.info("There is no plan yet. Find one first; the report is made of it.")
        show_link("plan", "Go to the plan")
        return
    if desk.outdated:
        st.warning(
            "The tank, the catalog or a slider has changed since this plan was made. The report is of that plan."
        )
    st.write(
        "One file to print or to send: what to buy, where to hang it with measures, how to set it, what light comes of "
        "it, what it costs, what it rests on, what to take care of, and what to measure first. Your work as a whole, "
        "to be opened again another day, is saved on the start page."
    )
    report = report_html(desk.plan, inches=desk.inches)
    files = result_files(desk.plan)
    with st.container(horizontal=True):
        st.download_button(
            "Save the report", report, file_name(desk, "html"), "text/html", type="primary", on_click="ignore"
        )
        with st.popover("Save drawings or tables"):
            st.write("Drawings for other documents, tables for a spreadsheet, and the plan as data.")
            for name, content in files.items():
                if name != "report.html":
                    st.download_button(name, content, name, on_click="ignore", key=f"save {name}")
    st.iframe(report, height=900)
