"""The trade-off sliders. Each begins where the tank file has it."""

from __future__ import annotations

import dataclasses
from typing import Any

import streamlit as st

from lightplan.choose.variant import Variant, reach, standing
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.slider_ranges import budget_at, budget_steps, budget_wish, setting, whole_years
from lightplan.present.pages.marks import key_of
from lightplan.present.texts.words import KINDS, money


def show_sliders(desk: Desk) -> Variant:
    """Show the sliders and return what they ask for."""
    tank, catalog, now = desk.reading.tank, desk.reading.catalog, desk.variant
    start, ends = standing(tank, catalog), reach(tank, catalog)
    key = f"sliders {desk.slider_round}"

    def slider(name: str, label: str, text: str, form: str = "%g") -> float | None:
        """A slider that gives None while it stands where the tank file has it."""
        shown = setting(name, start, now, ends[name])
        if shown.fixed:
            st.caption(f"{label}: {shown.value:g}. No other setting is possible here.")
            return shown.own
        moved = st.slider(label, shown.low, shown.high, shown.value, shown.step, format=form,
                          help=text, key=key_of(desk, key, name))  # fmt: skip
        return shown.wish(moved)

    chosen: dict[str, Any] = {"budget": _budget(desk, key, start)}
    chosen["dimmable_share"] = slider("dimmable_share", "Light that must be dimmable",
                                      "Least part of each zone's light that comes from lights whose level can be set",
                                      "%g %%")  # fmt: skip
    chosen["par_scale"] = slider("par_scale", "Room to grow: PAR, times what is wanted now",
                                 "Scales the bands of all zones in all scenes: 120 % plans for corals that will want "
                                 "a fifth more", "%g %%")  # fmt: skip
    chosen["claims"] = slider("claims", "Margin for wrong claims, of the claim error",
                              "The plan must hold when all lights give less, or more, than claimed by this part of "
                              "their claim error", "%g %%")  # fmt: skip
    chosen["years"] = whole_years(
        slider("years", "Years you will own the lights", "Power and upkeep are counted over these years")
    )
    chosen["price_per_kwh"] = slider("price_per_kwh", "Price of a kWh, mean over the day",
                                     "All rows of the tariff are scaled alike", "%.2f")  # fmt: skip
    chosen["full_hours"] = slider("full_hours", "Hours of light a day at full level",
                                  "Changes the power bill, and the DLI where one is wanted")  # fmt: skip
    _kinds(desk, key, start, chosen)
    return dataclasses.replace(now, **chosen)


def _budget(desk: Desk, key: str, start: Variant) -> float | None:
    currency = desk.reading.tank.money.currency
    moved = st.select_slider(
        f"Budget for lights and extras{', ' + currency if currency else ''}",
        budget_steps(start, desk.variant, desk.plan),
        value=budget_at(start, desk.variant),
        format_func=lambda step: step if isinstance(step, str) else money(step),
        help="Most to pay at once for lights and extras",
        key=key_of(desk, key, "budget"),
    )
    return budget_wish(moved, start)


def _kinds(desk: Desk, key: str, start: Variant, chosen: dict[str, Any]) -> None:
    """Which fixtures may be bought: kinds, and single ones to leave out."""
    ticked = KINDS if desk.variant.kinds is None else desk.variant.kinds
    picked = st.multiselect(
        "Kinds of lights that may be bought",
        list(KINDS),
        default=[kind for kind in KINDS if kind in ticked],
        format_func=KINDS.__getitem__,
        help="on/off only: runs at full level or not at all; dimmable: one level; tunable: colour by colour",
        key=key_of(desk, key, "kinds"),
    )
    chosen["kinds"] = None if set(picked) == set(KINDS) else frozenset(picked)
    names = [f.fixture for f in desk.reading.catalog.fixtures if f.fixture not in (start.without or ())]
    without = desk.variant.without or frozenset()
    out = st.multiselect(
        "Lights to leave out",
        names,
        default=[name for name in names if name in without],
        help="Single fixtures of the catalog that may not be bought",
        key=key_of(desk, key, "without"),
    )
    # names that the catalog does not have now are kept: they may come back
    chosen["without"] = frozenset([*out, *(without - set(names))]) or None
