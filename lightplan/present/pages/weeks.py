"""First weeks: from today's light to the plan's, week by week, slowly enough for the animals."""

from __future__ import annotations

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from lightplan.choose.plan import Plan
from lightplan.inputs.errors import InputError
from lightplan.inputs.start_file import of_today
from lightplan.operate.rampup_calendar import MOST_HOLD, RampUp
from lightplan.present.desk.desk import Desk, Desks
from lightplan.present.desk.opening import file_name
from lightplan.present.desk.weeks import HANGING, PLACED, READ, plan_key, ramp_files_of, ramp_up, weeks_options
from lightplan.present.drawings.charts import ramp_curve
from lightplan.present.pages import pictures
from lightplan.present.pages.links import show_link
from lightplan.present.pages.marks import escaped, key_of
from lightplan.present.pages.tables import show_part, show_parts
from lightplan.present.report.calendar_page import calendar_html
from lightplan.present.texts.rampup_parts import rampup_head, rampup_parts

CHANGED = "The plan has changed since this calendar was made. Make it anew."
DOSE = "light of a day"
PEAK = "peak PAR"


def show(desk: Desk, desks: Desks) -> None:
    """Show the page."""
    st.title("First weeks")
    if desk.plan is None or not desk.plan.lights:
        st.info("There is no plan with lights yet. Find one first; its first weeks are planned here.")
        show_link("plan", "Go to the plan")
        return
    st.write(
        "New light all at once bleaches corals. This makes a calendar: what to set each week, from today's light to "
        "that of your plan, in the fewest weeks in which no zone's light rises too fast."
    )
    if desk.outdated:
        st.warning("The tank, the catalog or a slider has changed since this plan was made. These weeks are its.")
    _ask(desk, desks, desk.plan)
    for text in desk.notes:
        st.error(escaped(text))
    study = desk.studies.get("weeks")
    if study is None:
        return
    if study.options["of"] != plan_key(desk.plan):
        st.warning(CHANGED)
    _calendar(desk, ramp_up(study.answer))


def _ask(desk: Desk, desks: Desks, plan: Plan) -> None:
    """How fast, from where, and the button."""
    left, right = st.columns(2, gap="large")
    with left:
        weekly = st.slider("Light of a day: most it rises in a week", 1, 50, 10, 1, "%g %%", key=key_of(desk, "rise"),
                           help="10 % is common practice, no source. Slower takes more weeks.")  # fmt: skip
        peak = st.slider("Peak PAR: most it rises in a week", 1, 100, 20, 1, "%g %%", key=key_of(desk, "peak"),
                         help="Fewer hours do not excuse a jump in PAR. Common practice, no source.")  # fmt: skip
    with right:
        today = _today(desk, plan)
        share = st.slider("A zone that is nearly dark today may start at", 5, 100, 50, 5, "%g %%",
                          help="Common practice, no source: half of its light.", key=key_of(desk, "share"))  # fmt: skip
    if st.button("Make the calendar", type="primary", disabled=desk.search is not None):
        options = weeks_options(plan, (weekly / 100, peak / 100, share / 100), today, desk.survey)
        try:
            desks.ask_more(desk, "weeks", options)
        except InputError as error:
            desk.notes = tuple(str(problem) for problem in error.problems)
        st.rerun()


def _today(desk: Desk, plan: Plan) -> str:
    placed = any(light.placed for light in plan.lights)
    words = {PLACED: "the lights that stay, at full" if placed else "dark: nothing hangs there yet"}
    if desk.survey.hangs:
        words[HANGING] = "what hangs there, as typed on the page of the meter check"
    if desk.survey.usable and of_today(desk.survey.readings):
        words[READ] = "what the meter read there with all lights as they hang"
    return str(st.radio("Today's light", list(words), format_func=words.__getitem__, key=key_of(desk, "today")))


def _calendar(desk: Desk, ramp: RampUp) -> None:
    ramp = _gone_back(desk, ramp)
    head, *more = rampup_head(ramp)
    st.header(escaped(head))
    st.markdown(" ".join(escaped(sentence) for sentence in more))
    parts = rampup_parts(ramp)
    with st.container(horizontal=True):
        st.download_button("Save the calendar to print", calendar_html(ramp), file_name(desk, "weeks.html"),
                           "text/html", type="primary", on_click="ignore")  # fmt: skip
        for name, content in ramp_files_of(ramp).items():
            st.download_button(f"Save {name}", content, name, on_click="ignore")
    first = [part for part in parts if part.key in ("misses", "buy", "pace", "warnings")]
    show_parts(first)
    _curves(desk, ramp)
    st.header("Week by week")
    for part in parts:
        if part.key == "cautions":
            lines = "\n".join(f"- {escaped(line)}" for piece in part.content for line in getattr(piece, "lines", ()))
            st.warning(f"**{escaped(part.heading)}**\n\n{lines}")
    for part in parts:
        if part.key == "week":
            st.subheader(escaped(part.heading))
            show_part(part)
    show_parts([part for part in parts if part.key == "watch"])


def _gone_back(desk: Desk, ramp: RampUp) -> RampUp:
    """The calendar for who goes back to an earlier week and waits there."""
    if ramp.count < 1:
        return ramp
    with st.expander("A coral pales or shrinks: go back and wait"):
        st.write("It has had too much too soon. Go back to a week whose light it stood, and wait there.")
        left, right = st.columns(2)
        back = left.selectbox(
            "Go back to",
            [None, *range(ramp.count)],
            format_func=lambda week: "nowhere: all is well" if week is None else f"week {week}",
            key=key_of(desk, "back to"),
        )
        hold = right.number_input("Wait for so many weeks", 1, MOST_HOLD, 1, key=key_of(desk, "hold"))
    return ramp if back is None else ramp.held(back, int(hold))


def _curves(desk: Desk, ramp: RampUp) -> None:
    st.header("The light over the weeks")
    figure = st.segmented_control("Show", [DOSE, PEAK], default=DOSE, required=True, key=key_of(desk, "figure"))
    columns: list[DeltaGenerator] = []
    for zone in ramp.plan.tank.zones:
        # row by row, so that on a phone they come in the order of the zones
        columns = columns or list(st.columns(2, gap="large"))
        chart = ramp_curve(ramp, zone.name, "dli" if figure == DOSE else "par", pictures.theme())
        with columns.pop(0):
            pictures.show(chart, f"{zone.name}: {figure}, week by week. The figures stand below.")
