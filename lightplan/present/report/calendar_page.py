"""The first weeks as one HTML page to print: what to set each week, and what light each zone then has."""

from __future__ import annotations

from collections.abc import Iterable

from lightplan.operate.rampup_calendar import RampUp
from lightplan.present.drawings.charts import ramp_curve, svg
from lightplan.present.report import html_pieces as page
from lightplan.present.report.shell import Section, page_html
from lightplan.present.texts.plan_parts import Part
from lightplan.present.texts.rampup_parts import rampup_head, rampup_parts
from lightplan.version import VERSION


def calendar_html(ramp: RampUp) -> str:
    """A ramp-up as the text of an HTML file that needs nothing else, the same for the same ramp-up."""
    made = [f"Made by lightplan {VERSION}. All figures are computed, none is measured."]
    return page_html("The first weeks", ramp.plan.tank.box.name, rampup_head(ramp), _sections(ramp), made)


def _sections(ramp: RampUp) -> Iterable[Section]:
    parts = rampup_parts(ramp)
    weeks = [part for part in parts if part.key == "week"]
    care = [part for part in parts if part.key == "cautions"]
    for part in parts:
        if part.key not in ("week", "cautions"):
            yield Section(part.key, part.heading, page.drawn(part.content, part.heading))
        elif weeks and part is weeks[0]:
            # right before what somebody does
            careful = "".join(f'<div class="care">{_below(one)}</div>' for one in care)
            yield Section("weeks", "Week by week", careful + "".join(map(_below, weeks)))
    yield Section("light", "The light over the weeks", "".join(_curves(ramp)))


def _below(part: Part) -> str:
    return page.below(part.heading, page.drawn(part.content, part.heading))


def _curves(ramp: RampUp) -> Iterable[str]:
    for zone in ramp.plan.tank.zones:
        told = f"{zone.name}: light of a day (mol/m²), week by week. The figures stand in the tables above."
        yield page.figure(svg(ramp_curve(ramp, zone.name)), told, f"{zone.name}: light of a day, mol/m²", kind="bars")
