"""The trade-off sliders. Each begins where the tank file has it."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import streamlit as st

from lightplan.choose.variant import Variant, standing
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.slider_ranges import NO_LIMIT, RANGES, budget_steps, budget_wish
from lightplan.present.pages.fields import key_of
from lightplan.present.texts.words import KINDS, money


def show_sliders(desk: Desk) -> Variant:
    """Show the sliders and return what they ask for."""
    start = standing(desk.reading.tank, desk.reading.catalog)
    now = desk.variant
    key = f"sliders {desk.slider_round}"
    currency = desk.reading.tank.money.currency

    def slider(name: str, label: str, text: str, *, times: float = 1.0, form: str = "%g") -> Any:
        """A slider that gives None while it stands where the tank file has it."""
        own, stands = getattr(now, name), float(getattr(start, name)) * times
        value = stands if own is None else float(own) * times
        reach = RANGES[name].around(stands).around(value)
        moved = st.slider(label, reach.low * 1.0, reach.high * 1.0, value, reach.step * 1.0, format=form, help=text,
                          key=key_of(desk, key, name))  # fmt: skip
        if abs(moved - stands) < 1e-9:
            return None
        return int(moved) if name == "years" else moved / times

    steps = budget_steps(start, now, desk.plan)
    at = now.budget if now.budget is not None else start.budget
    at = None if at == math.inf else at
    budget = st.select_slider(
        f"Budget for lights and extras{', ' + currency if currency else ''}",
        steps,
        value=NO_LIMIT if at is None else at,
        format_func=lambda step: step if isinstance(step, str) else money(step),
        help="Most to pay at once for lights and extras",
        key=key_of(desk, key, "budget"),
    )
    chosen: dict[str, Any] = {"budget": budget_wish(budget, start)}
    chosen["dimmable_share"] = slider("dimmable_share", "Light that must be dimmable",
                                      "Least part of each zone's light that comes from lights whose level can be set",
                                      times=100, form="%g %%")  # fmt: skip
    chosen["par_scale"] = slider("par_scale", "Room to grow: PAR, times what is wanted now",
                                 "Scales the bands of all zones in all scenes: 120 % plans for corals that will want "
                                 "a fifth more", times=100, form="%g %%")  # fmt: skip
    chosen["claims"] = slider("claims", "How far the boxes may be wrong, times the claim error",
                              "The plan must hold when all lights give less, or more, than claimed by this part of "
                              "their claim error", times=100, form="%g %%")  # fmt: skip
    chosen["years"] = slider("years", "Years you will own the lights", "Power and upkeep are counted over these years")
    chosen["price_per_kwh"] = slider("price_per_kwh", "Price of a kWh, mean over the day",
                                     "All rows of the tariff are scaled alike", form="%.2f")  # fmt: skip
    chosen["full_hours"] = slider("full_hours", "Hours of light a day at full level",
                                  "Changes the power bill, and the DLI where one is wanted")  # fmt: skip
    _kinds(desk, key, start, chosen)
    return dataclasses.replace(now, **chosen)


def _kinds(desk: Desk, key: str, start: Variant, chosen: dict[str, Any]) -> None:
    """Which fixtures may be bought: kinds, and single ones to leave out."""
    all_kinds = [kind for kind in KINDS if start.kinds is None or kind in start.kinds]
    ticked = desk.variant.kinds if desk.variant.kinds is not None else frozenset(all_kinds)
    picked = st.multiselect(
        "Kinds of lights that may be bought",
        all_kinds,
        default=[kind for kind in all_kinds if kind in ticked],
        format_func=KINDS.__getitem__,
        help="on/off only: runs at full level or not at all; dimmable: one level; tunable: colour by colour",
        key=key_of(desk, key, "kinds"),
    )
    chosen["kinds"] = None if set(picked) == set(all_kinds) else frozenset(picked)
    names = [f.fixture for f in desk.reading.catalog.fixtures if f.fixture not in (start.without or ())]
    out = st.multiselect(
        "Leave out",
        names,
        default=[name for name in names if name in (desk.variant.without or ())],
        help="Single fixtures of the catalog that may not be bought",
        key=key_of(desk, key, "without"),
    )
    chosen["without"] = frozenset(out) if out else None
