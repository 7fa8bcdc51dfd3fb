"""Meter check: what the lights really give by a PAR meter, and the levels that follow from it."""

from __future__ import annotations

import streamlit as st

from lightplan.inputs.draft import with_table
from lightplan.inputs.draft_survey import layout_table
from lightplan.inputs.errors import InputError
from lightplan.inputs.layout import CHANNEL_COLUMNS, LAYOUT
from lightplan.inputs.meter import METER
from lightplan.inputs.tank_wishes import Meter
from lightplan.present.desk.desk import Desk, Desks
from lightplan.present.desk.metering import (
    LightCheck,
    claimed_and_measured,
    light_check,
    meter_options,
    read_points,
    settled_layout,
    with_corrections,
)
from lightplan.present.drawings.charts import above, drawn_layout
from lightplan.present.pages import pictures
from lightplan.present.pages.editors import catalog_table
from lightplan.present.pages.fields import field
from lightplan.present.pages.links import show_link
from lightplan.present.pages.marks import escaped, key_of
from lightplan.present.pages.tables import show_part, show_parts
from lightplan.present.texts.calibration_parts import calibration_head, calibration_parts
from lightplan.present.texts.meter_words import how_to_read, reading_cautions
from lightplan.present.texts.plan_parts import Part
from lightplan.present.texts.retune_parts import retuned_head, retuned_parts

LIGHT_COLUMNS = ("fixture", "x_cm", "y_cm", "height_cm", "turned", "level_pct", "shade")
READING_COLUMNS = ("point", "x_cm", "y_cm", "depth_cm", "par")
#: parts that stand at the top of the page already
SAID = ("reading", "cautions")


def show(desk: Desk, desks: Desks) -> None:
    """Show the page."""
    st.title("Meter check")
    st.write(
        "Lights may give less or more than their box says, and the eye is a poor judge of PAR. Enter what hangs and "
        "what a PAR meter reads: you get what each light really gives, the readings that do not fit, and the levels "
        "that bring every zone into its band."
    )
    if not desk.reading.usable:
        st.info("Something in the tank or the catalog is to be put right first.")
        show_link("tank", "Go to the tank")
        return
    with st.expander("How to read the meter"):
        show_part(how_to_read())
    _cautions(reading_cautions())
    _hangs(desk)
    _readings(desk)
    _ask(desk, desks)
    study = desk.studies.get("meter")
    if study is None:
        return
    if desk.is_of_old(study) or study.options != meter_options(desk.survey):
        st.warning("The tank, the catalog, the lights or the readings have changed since. This is from before.")
    _answer(desk, light_check(study.answer))


def _cautions(part: Part) -> None:
    lines = "\n".join(f"- {escaped(line)}" for piece in part.content for line in getattr(piece, "lines", ()))
    st.warning(f"**{escaped(part.heading)}**\n\n{lines}")


def _hangs(desk: Desk) -> None:
    st.header("What hangs")
    st.write("Each light as it hangs and burns while you read. In cm: from the left, from the front, above the water.")
    if desk.plan is not None and desk.plan.lights and st.button("Take the lights of the plan, as in normal running"):
        desk.draft = with_table(desk.draft, LAYOUT, layout_table(settled_layout(desk.plan)))
        desk.begin_anew(LAYOUT)
        st.rerun()
    own = [name for name in desk.draft.tables[LAYOUT].columns if name.startswith((*CHANNEL_COLUMNS, "dial_pct"))]
    catalog_table(desk, LAYOUT, LIGHT_COLUMNS, "What hangs", own)


def _readings(desk: Desk) -> None:
    st.header("What the meter reads")
    st.write(
        "One row for each reading; depth 0 is in air. The columns 1, 2, ... are the levels of the lights by number "
        "while you read: 0 for a light that was off, blank where it burned as it hangs. A row with all at 0 is the "
        "background."
    )
    more = [f"level_pct:{number}" for number in range(1, len(desk.survey.lights) + 1)]
    catalog_table(desk, METER, READING_COLUMNS, "What the meter reads", more)
    field(desk, Meter, ("meter", "immersion_factor"), "Immersion factor of your meter: times what it reads under water")
    if desk.survey.hangs:
        lights = drawn_layout(desk.survey.lights, desk.reading.catalog)
        drawing = above(desk.reading.tank, desk.reading.catalog, lights=lights, points=read_points(desk.survey),
                        theme=pictures.theme(), inches=desk.inches)  # fmt: skip
        pictures.show(drawing, "The tank from above, with the lights by number and the points that were read.")


def _ask(desk: Desk, desks: Desks) -> None:
    if st.button("Check the lights", type="primary", disabled=not desk.survey.usable or desk.search is not None):
        try:
            desks.ask_more(desk, "meter", meter_options(desk.survey))
        except InputError as error:
            desk.notes = tuple(str(problem) for problem in error.problems)
        st.rerun()
    if not desk.survey.usable:
        st.caption("Needs at least one light and one reading, and nothing in them to be put right.")
    for text in desk.notes:
        st.error(escaped(text))


def _answer(desk: Desk, check: LightCheck) -> None:
    found = check.calibration
    head, *more = calibration_head(found)
    st.header("What the meter says")
    st.markdown(" ".join(escaped(sentence) for sentence in (head, *more)))
    show_parts([part for part in calibration_parts(found) if part.key not in SAID])
    _maps(desk, check)
    st.write(
        "Put into the catalog, the corrections hold for everything else here: plans, trade-offs, the first weeks. "
        "The claim errors of these lights shrink to what the readings leave open."
    )
    if st.button("Put these corrections into the catalog"):
        desk.draft = with_corrections(desk.draft, found)
        desk.begin_anew("fixtures")
        st.rerun()
    if check.retuned is None:
        return
    st.header("Levels that follow")
    st.markdown(" ".join(escaped(sentence) for sentence in retuned_head(check.retuned)))
    parts = retuned_parts(check.retuned)
    for part in parts:
        if part.key == "cautions":
            _cautions(part)
    show_parts([part for part in parts if part.key not in SAID])


def _maps(desk: Desk, check: LightCheck) -> None:
    st.subheader("Claimed and measured, from above")
    tank, layout = check.calibration.tank, check.calibration.layout
    deepest = float(tank.box.depth_cm)
    middle = float(round(deepest / 2))
    depth = st.slider("PAR at depth, cm", 0.0, deepest, middle, 1.0, "%g", key=key_of(desk, "meter depth"))
    maps, limit = claimed_and_measured(check.calibration, depth)
    for column, heading, par in zip(st.columns(2, gap="large"), ("As claimed", "As measured"), maps, strict=True):
        with column:
            st.markdown(f"**{heading}**")
            lights = drawn_layout(layout, check.calibration.catalog)
            drawing = above(tank, check.calibration.catalog, lights=lights, par=par, limit=limit, points=(),
                            theme=pictures.theme(), inches=desk.inches)  # fmt: skip
            pictures.show(drawing, f"{heading}: PAR from above at {depth:g} cm depth, in colours as beside it.")
