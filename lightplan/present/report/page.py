"""The report: a plan as one HTML page that needs nothing else, for the buyer and for whoever hangs the lights."""

from __future__ import annotations

from collections.abc import Iterable

from lightplan.choose.meter_points import MeterPoint, points_to_measure
from lightplan.choose.plan import Plan
from lightplan.choose.scenarios import SETTLED
from lightplan.present.report import html_pieces as page
from lightplan.present.report.drawings import ReportDrawings
from lightplan.present.report.look_section import look_html, look_note
from lightplan.present.report.shell import Section, page_html
from lightplan.present.texts.as_written import as_written
from lightplan.present.texts.assumptions import assumptions
from lightplan.present.texts.cautions import hanging_cautions, switching_cautions
from lightplan.present.texts.hanging_measures import hanging_measures
from lightplan.present.texts.miss_words import missed_lines
from lightplan.present.texts.plan_parts import Grid, Part, plan_head, plan_parts
from lightplan.present.texts.switching_on import hours, how_to_measure, levels
from lightplan.present.texts.words import claims_sentence, length, scene_name
from lightplan.version import VERSION

#: parts whose table ends in a sum of its other rows
_SUMS = frozenset({"buy", "cost", "loads"})
_LETTERS_SHOWN = 12


def report_html(plan: Plan, *, inches: bool = False) -> str:
    """The report of a plan as the text of an HTML file, the same for the same plan; lengths in inches on demand.

    Raises EmitterError or KeyError for a plan whose lights cannot be or are not in its catalog.
    """
    return report_with(ReportDrawings(as_written(plan), inches))


def report_with(drawings: ReportDrawings) -> str:
    """The report of the plan of these drawings, which are then not drawn again elsewhere; else as `report_html`."""
    plan = drawings.plan
    sections = _Report(drawings).sections()
    return page_html("Light plan", plan.tank.box.name, _answer(plan), sections, _made_by(plan))


def _answer(plan: Plan) -> list[str]:
    """The answer in short, and what its figures are."""
    lines = list(plan_head(plan))
    if plan.lights:
        lines.append(claims_sentence(plan.catalog, {light.fixture for light in plan.lights}))
    return lines


def _made_by(plan: Plan) -> list[str]:
    files = [f"{name} ({print_[:_LETTERS_SHOWN]})" for name, print_ in plan.inputs.items()]
    made = [f"Made by lightplan {VERSION}. All figures are computed, none is measured."]
    if files:
        made.append(f"Made from these files (and the beginnings of their SHA-256): {', '.join(files)}.")
    return made


def _drawn(part: Part) -> str:
    return page.drawn(part.content, part.heading, sums=part.key in _SUMS)


def _below(part: Part) -> str:
    return page.below(part.heading, _drawn(part))


class _Report:
    """What the sections of one report are made of."""

    def __init__(self, drawings: ReportDrawings) -> None:
        self.drawings, self.plan, self.inches = drawings, drawings.plan, drawings.inches
        self.unit = "in" if self.inches else "cm"
        self.parts: dict[str, list[Part]] = {}
        for part in plan_parts(self.plan, inches=self.inches):
            self.parts.setdefault(part.key, []).append(part)

    def sections(self) -> Iterable[Section]:
        """All sections in the order of the page; those without content are left out."""
        yield Section("misses", "What this plan misses", page.bullets(missed_lines(self.plan)))
        yield self._plain("changes")
        yield self._plain("buy")
        yield Section("hang", "How to hang", self._hang())
        yield Section("switch", "How to switch on", self._switch())
        look = look_html(self.plan)
        yield Section("light", "Light in the tank", self._light() + ("" if look else look_note(self.plan)))
        yield Section("look", "How it looks", look)
        yield Section("measure", "What to measure first", self._measure())
        for key in ("cost", "margins", "events", "warnings"):
            yield self._plain(key)
        based = "".join(map(_below, assumptions(self.plan, inches=self.inches)))
        yield Section("basis", "What this rests on", based)

    def _plain(self, key: str) -> Section:
        parts = self.parts.get(key, [])
        if not parts:
            return Section(key, "", "")
        return Section(key, parts[0].heading, "".join(map(_drawn, parts)))

    def _hang(self) -> str:
        if not self.plan.lights:
            return ""
        depth = f"{length(self.drawings.depth_cm, self.inches)} {self.unit}"
        plane = f"{length(self.drawings.y_cm, self.inches)} {self.unit}"
        bright = f"The brightest colour stands for {self.drawings.limit:g} and more."
        where = "; ".join(self._told(light) for light in self._placed())
        above = page.figure(
            self.drawings.above(),
            f"Drawing to scale, from above. {where}.",
            f"From above, in normal running, with the PAR {depth} deep, the mean depth of the zones. {bright}",
        )
        front = page.figure(
            self.drawings.side,
            f"Drawing to scale, from the front. {where}.",
            f"From the front, in normal running, with the PAR {plane} from the front pane. The thickness of the lights "
            f"is not to scale. {bright}",
        )
        parts = {part.key: _below(part) for part in hanging_measures(self.plan, inches=self.inches)}
        order = (above, parts["middles"], parts["edges"], front, parts["heights"], parts["loads"])
        return self._care("Before you hang them", hanging_cautions(self.plan)) + "".join(order)

    def _placed(self) -> list[tuple[int, str, float, float, float]]:
        return [
            (number, light.fixture, light.x_cm, light.y_cm, light.scenes[SETTLED].height_cm)
            for number, light in enumerate(self.plan.lights, start=1)
        ]

    def _told(self, light: tuple[int, str, float, float, float]) -> str:
        number, name, *places = light
        x, y, height = (length(place, self.inches) for place in places)
        return f"Light {number}, {name}: {x} {self.unit} from the left, {y} from the front, {height} above the water"

    def _care(self, title: str, lines: list[str]) -> str:
        return f'<div class="care">{page.heading(3, title)}{page.bullets(lines)}</div>' if lines else ""

    def _switch(self) -> str:
        if not self.plan.lights:
            return ""
        cautions = self._care("Before you switch them on", switching_cautions(self.plan))
        return cautions + _below(levels(self.plan)) + _below(hours(self.plan))

    def _light(self) -> str:
        """For each scene its table, its bars, and for all but normal running a map of its own."""
        out = []
        scenes = dict.fromkeys(row.scene for row in self.plan.zones)
        for scene, part in zip(scenes, self.parts.get("light", ()), strict=False):
            # how far the figures may be off is said at the top of the page
            grid = [piece for piece in part.content if isinstance(piece, Grid)]
            out += [page.below(part.heading, page.drawn(grid, part.heading)), *self._figures(scene)]
        return "".join(out)

    def _figures(self, scene: str) -> list[str]:
        rows = [row for row in self.plan.zones if row.scene == scene]
        name = scene_name(scene)
        bars = "; ".join(f"{row.light.zone}: {row.light.par_min:.0f} to {row.light.par_max:.0f}" for row in rows)
        told = f"Bars of the lowest to the highest PAR in {name}. {bars}."
        figures = [page.figure(self.drawings.bars(scene), told, f"The zones in {name}.", kind="bars")]
        if scene != SETTLED:
            depth = f"{length(self.drawings.depth_cm, self.inches)} {self.unit}"
            caption = f"From above, in {name}, with the PAR {depth} deep, in the colours of normal running."
            figures.append(page.figure(self.drawings.above(scene), f"Map of PAR from above in {name}.", caption))
        return figures

    def _measure(self) -> str:
        points = points_to_measure(self.plan)
        if not points:
            return ""
        columns = ("zone", "point", ">from left", ">from front", ">depth", ">PAR", ">if claims are off")
        grid = Grid(columns, tuple(map(self._point, points)))
        lengths = "inches" if self.inches else "cm"
        note = f"Lengths in {lengths}; depth is below the surface. PAR in normal running, in µmol/m²/s."
        table = page.table(grid, "Points to measure", "your reading")
        return page.bullets(how_to_measure(self.plan).lines) + table + page.paragraphs([note], "note")

    def _point(self, point: MeterPoint) -> tuple[str, ...]:
        words = {"lowest": "darkest", "highest": "brightest", "only": "the only one"}[point.end]
        places = (length(round(cm, 1), self.inches) for cm in (point.x_cm, point.y_cm, point.depth_cm))
        return point.zone, words, *places, f"{point.par:.0f}", f"{point.par_low:.0f} to {point.par_high:.0f}"
