"""The look of a plan in its report: for each scene what sand and test colours look like, and the light in figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lightplan.choose.look import Look, look_difference, look_in
from lightplan.choose.plan import Plan
from lightplan.present.drawings.charts import chromaticity_diagram, spectrum_curves, svg, swatch_board, wavelengths
from lightplan.present.drawings.chromaticity_chart import MOST_POINTS
from lightplan.present.drawings.drawn_plan import scenes_of_plan
from lightplan.present.drawings.spectrum_chart import MOST_CURVES
from lightplan.present.report import html_pieces as page
from lightplan.present.texts.look_words import (
    MEANINGS,
    NOT_SHOWN,
    SIDE_BY_SIDE,
    curve_alt,
    difference_words,
    look_figures,
    look_lines,
)
from lightplan.present.texts.plan_parts import Grid
from lightplan.present.texts.words import listed, scene_name

#: columns of figures that fit beside their names on a sheet of paper
MOST_COLUMNS = 4
#: said of a plan whose lights are known by their PAR alone
UNKNOWN = "How this looks is not shown: no spectrum of these lights is known (channels.csv, spectra.csv, peaks.csv)."
#: above the two columns of patches
USED, COMING = "to eyes used to it", "to eyes fresh from daylight"

#: the scenes of one look, as they are called on screen, and the first of their lights
Group = tuple[list[str], Look]


def look_html(plan: Plan) -> str:
    """What the lights of a plan look like, scene by scene; empty where no light's spectrum is known.

    All of it is about the mean light of one zone: that of which most is of known colour, the first of equals.
    """
    scenes = scenes_of_plan(plan) if plan.lights else []
    looks = {zone.name: [_look(plan, scene, zone.name) for scene in scenes] for zone in plan.tank.zones}
    if not any(look.place is not None for rows in looks.values() for look in rows):
        return ""
    where = max(looks, key=lambda name: -max(look.unknown_share or 0.0 for look in looks[name]))
    told = (
        f"What white sand and 14 test colours look like at {where}, in the mean light of that zone. The colours are "
        "those of the lamps; what the water takes on the way is left out."
    )
    names = [scene_name(scene) for scene in scenes]
    groups = list(_alike(names, looks[where]))
    boards = [_board(*group) for group in groups]
    figures = _figures(list(zip(names, looks[where], strict=True)))
    return "".join(
        [page.paragraphs([told]), *boards, _elsewhere(names, looks, where), figures, *_curves(groups), _words()]
    )


def look_note(plan: Plan) -> str:
    """A sentence about a plan none of whose lights has a spectrum; empty where there is no light or no zone."""
    return page.paragraphs([UNKNOWN], "note") if plan.lights and plan.tank.zones else ""


def _look(plan: Plan, scene: str, zone: str) -> Look:
    return look_in(plan.tank, plan.catalog, [light.in_scene(scene) for light in plan.lights], zone)


def _alike(names: Sequence[str], looks: Sequence[Look]) -> Iterator[Group]:
    """The scenes, those that nobody sees apart put together; a scene without a light of known colour alone."""
    groups: list[Group] = []
    for name, look in zip(names, looks, strict=True):
        for members, first in groups:
            difference = look_difference(first, look)
            if difference is not None and difference < SIDE_BY_SIDE:
                members.append(name)
                break
        else:
            groups.append(([name], look))
    return iter(groups)


def _titled(names: Sequence[str]) -> str:
    return f"In {listed(list(names))}"


def _board(names: list[str], look: Look) -> str:
    """The patches of scenes that look alike, to both kinds of eyes, with what should be known of them."""
    content = page.bullets(look_lines(look))
    if look.place is not None:
        patches = [(words, look.swatches(used_to_it=words == USED)) for words in (USED, COMING)]
        told = f"Patches of white sand and 14 test colours in {listed(names)}, {USED} and {COMING}."
        content += page.figure(svg(swatch_board(patches)), told, f"Patches in {listed(names)}.", kind="bars")
    return page.below(_titled(names), content)


def _elsewhere(names: Sequence[str], looks: dict[str, list[Look]], where: str) -> str:
    """How different other zones look, scene by scene."""
    others = [zone for zone in looks if zone != where]
    found = {zone: [look_difference(*pair) for pair in zip(looks[where], looks[zone], strict=True)] for zone in others}
    seen = [difference for rows in found.values() for difference in rows if difference is not None]
    if not seen:
        return ""
    if max(seen) < SIDE_BY_SIDE:
        return page.paragraphs(["In the other zones it looks the same: nobody sees them apart."])
    tables = []
    for first in range(0, len(names), MOST_COLUMNS):
        shown = slice(first, first + MOST_COLUMNS)
        rows = tuple((zone, *map(difference_words, found[zone][shown])) for zone in others)
        tables.append(page.table(Grid(("zone", *names[shown]), rows), "White sand in other zones"))
    told = f"How white sand there is told apart from that at {where} (CIEDE2000, brightness left out)."
    return page.below("White sand in other zones", page.paragraphs([told], "note"), *tables)


def _figures(looks: Sequence[tuple[str, Look]]) -> str:
    parts = [looks[k : k + MOST_COLUMNS] for k in range(0, len(looks), MOST_COLUMNS)]
    tables = [page.table(look_figures(part), "The light in figures") for part in parts]
    return page.below("The light in figures", *tables)


def _curves(groups: Sequence[Group]) -> Iterator[str]:
    """Spectra and the colour diagram, with a curve and a point for scenes that look alike."""
    known = [(listed(names), look) for names, look in groups if look.place is not None]
    for start in range(0, len(known), MOST_CURVES):
        shown = known[start : start + MOST_CURVES]
        # by their own PAR, so that a dim scene is no flat line
        curves = [(name, 100 * look.curve(wavelengths()) / look.mix.par) for name, look in shown]
        chart = spectrum_curves(curves, "% of its PAR per nm")
        own = ", each by its own PAR" if len(shown) > 1 else ""
        yield page.figure(svg(chart), curve_alt(shown), f"Spectrum in {_all(shown)}{own}.", kind="bars")
    for start in range(0, len(known), MOST_POINTS):
        shown = known[start : start + MOST_POINTS]
        chart = chromaticity_diagram([(name, look.place) for name, look in shown if look.place is not None])
        told = "; ".join(f"{name}: x {look.place.x:.3f}, y {look.place.y:.3f}" for name, look in shown if look.place)
        caption = f"Place among all colours in {_all(shown)}."
        yield page.figure(svg(chart), f"The colour diagram of the CIE. {told}.", caption)


def _all(shown: Sequence[tuple[str, Look]]) -> str:
    return "; ".join(name for name, _ in shown)


def _words() -> str:
    return page.below("What the words mean", page.bullets(MEANINGS)) + page.below(
        "What is not shown", page.bullets(NOT_SHOWN)
    )
