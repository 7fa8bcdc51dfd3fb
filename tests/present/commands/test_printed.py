"""The printed plan: everything a buyer must know is there, in plain words, and nothing is called what it is not."""

from __future__ import annotations

import dataclasses
import re

import pytest

from lightplan.choose.costs import Item
from lightplan.choose.lights import HungLight, Place
from lightplan.present.commands.printed import plan_page


def section(page: str, heading: str) -> list[str]:
    lines = page.splitlines()
    start = lines.index(heading)
    rest = lines[start + 1 :]
    end = rest.index("") if "" in rest else len(rest)
    return rest[:end]


def test_the_head_says_which_tank_how_good_and_how_much(tiny_plan):
    name, status, price = plan_page(tiny_plan).splitlines()[:3]
    assert name == "Tiny"
    assert status.startswith("Cheapest plan found")
    cost = tiny_plan.cost
    assert price.startswith(f"{cost.purchase + cost.extras:.0f} EUR to buy, ")
    assert price.endswith(f"{cost.ownership:.0f} EUR over 5 years.")


def test_every_section_is_there(tiny_plan):
    page = plan_page(tiny_plan)
    headings = [line for line in page.splitlines() if line and not line.startswith(" ")][3:]
    assert headings == [
        "What to buy",
        "Where to hang",
        "PAR in normal running",
        "What it costs",
        "If the lights give more or less than claimed",
        "If something happens",
        "Before you hang them and switch them on",
    ]


def test_no_line_is_too_wide_and_none_ends_in_spaces(tiny_plan, closest_plan):
    for plan in (tiny_plan, closest_plan):
        for line in plan_page(plan).splitlines():
            assert len(line) <= 100
            assert line == line.rstrip()


def test_what_to_buy_adds_up(scenes_plan):
    rows = section(plan_page(scenes_plan), "What to buy")
    prices = [float(line.split()[-1]) for line in rows[2:]]
    assert sum(prices[:-1]) == prices[-1] == scenes_plan.cost.purchase + scenes_plan.cost.extras
    assert 'Fine, "dim" panel' in "\n".join(rows)


def test_what_is_owned_costs_nothing_and_is_called_so(tiny_plan):
    items = (Item("Plain bar", "owned", 2, 0.0), Item("mesh", "shade", 1, 8.5))
    rows = section(plan_page(dataclasses.replace(tiny_plan, items=items)), "What to buy")
    assert re.search(r"2 +Plain bar +light you have +0\.00 +0\.00", rows[2])
    assert re.search(r"1 +mesh +shade mesh +8\.50 +8\.50", rows[3])


def test_each_scene_has_its_height_and_level(scenes_plan):
    rows = section(plan_page(scenes_plan), "Where to hang")
    assert any("normal running" in line for line in rows)
    assert any("first-day" in line for line in rows)
    assert all(re.search(r"\d+ %$", line) for line in rows if "first-day" in line or "normal running" in line)


def hung(fixture: str, placed: bool = False, **scenes: Place) -> HungLight:
    return HungLight(fixture, 12.5, 15.0, True, placed, scenes)


def test_lights_that_stay_are_off_behind_mesh_or_the_same_throughout(tiny_plan):
    lights = (
        hung("Plain bar", placed=True, settled=Place(20, None, 1.0), dark=Place(20, None, 0.0)),
        hung('Fine, "dim" panel', settled=Place(20, "mesh", 0.5), dark=Place(30, "mesh", 1.0)),
        hung("Plain bar", settled=Place(25, None, 1.0), dark=Place(25, None, 1.0)),
    )
    page = plan_page(dataclasses.replace(tiny_plan, lights=lights, what_if={}))
    rows = "\n".join(section(page, "Where to hang"))
    assert re.search(r"1 +Plain bar, stays +12\.5 +15 +yes +normal running +20 +on\n +dark +20 +off\n", rows)
    assert re.search(
        r"2 +Fine, \"dim\" panel +12\.5 +15 +yes +normal running +20 +50 % +mesh\n +dark +30 +100 % +mesh\n", rows
    )
    assert re.search(r"3 +Plain bar +12\.5 +15 +yes +every scene +25 +on\n", rows)
    assert "Mesh under a hot lamp" in page


def test_par_is_in_whole_numbers_with_its_uncertainty_in_words(tiny_plan):
    rows = section(plan_page(tiny_plan), "PAR in normal running")
    light = tiny_plan.zones[0].light
    figures = (f"{light.par_min:.0f}", f"{light.par_mean:.0f}", f"{light.par_max:.0f}")
    assert rows[2].split() == ["middle", "60", "to", "300", *figures, "ok"]
    assert "may be off by 10 % either way" in " ".join(line.strip() for line in rows)


def test_the_light_of_a_day_is_shown_where_it_is_asked_for(tiny_plan):
    zone = tiny_plan.tank.zones[0].model_copy(update={"dli": (1.0, 9.0)})
    plan = dataclasses.replace(tiny_plan, tank=tiny_plan.tank.model_copy(update={"zones": (zone,)}))
    rows = section(plan_page(plan), "PAR in normal running")
    assert "mol/m² a day" in rows[0]
    assert f"{plan.zones[0].light.dli_mean:.1f}" in rows[2]


def test_the_closest_says_what_it_misses_and_what_would_help(closest_plan):
    page = plan_page(closest_plan)
    assert "No plan meets every wish; this is the closest." in page
    assert re.search(r"too (dark|bright) by \d+ %", page)
    assert "\nEach of these changes alone would make a plan possible\n  - " in page
    alone = plan_page(dataclasses.replace(closest_plan, relax=()))
    assert "would make a plan possible\n  None was found.\n" in alone


def test_a_stop_without_a_plan_says_why(tiny_plan):
    none = dataclasses.replace(
        tiny_plan, status="none", lights=(), items=(), zones=(), cost=None, value=None, margins=(), what_if={},
        warnings=("The search was stopped.",),
    )  # fmt: skip
    assert plan_page(none) == "Tiny\nThere is no plan to show.\n\nWarnings\n  - The search was stopped.\n"


@pytest.mark.parametrize(("rate", "words"), [(0.03, "3 % less"), (-0.02, "2 % more"), (0.0, None)])
def test_todays_money_is_explained(tiny_plan, rate, words):
    money = tiny_plan.tank.money.model_copy(update={"discount_rate": rate})
    page = plan_page(dataclasses.replace(tiny_plan, tank=tiny_plan.tank.model_copy(update={"money": money})))
    assert ("counts" in page) == (words is not None)
    assert words is None or words in page


def test_names_are_never_taken_for_markup(tiny_plan):
    box = tiny_plan.tank.box.model_copy(update={"name": "[bold]x[/bold] :fish: [/]"})
    page = plan_page(dataclasses.replace(tiny_plan, tank=tiny_plan.tank.model_copy(update={"box": box})))
    assert page.startswith("[bold]x[/bold] :fish: [/]\n")


def test_no_term_of_the_files_is_left_on_screen(scenes_plan, closest_plan):
    for plan in (scenes_plan, closest_plan):
        page = plan_page(dataclasses.replace(plan, warnings=()))
        for term in ("settled", "fixed-output", "photon efficacy", "claims low", "level_pct", "dimmable_share", "None"):
            assert term not in page
