"""Ways to buy side by side, in plain words: what each costs, and what its owner cannot do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lightplan.choose.plan import Plan
from lightplan.choose.tradeoff.compare import Way, Ways
from lightplan.operate.rampup_ways import WayWeeks
from lightplan.present.texts.plan_parts import Bullets, Grid, Part
from lightplan.present.texts.words import bought_words, counted, listed, money, scene_name

#: what each way is called on screen
WAYS = {
    "fixed-output only": "Only on/off lights",
    "dimmable only": "Only dimmable lights",
    "tunable only": "Only tunable lights",
    "cheapest": "Whatever is cheapest",
    "owned only": "Only what you have",
}
NO_DIMMING = "dim anything: less light only by hanging higher, by shade mesh, or by switching lights off"
NO_SUNRISE = "let the light rise and fall: it comes on and goes off at once"
NO_COLOUR = "change the colour"
#: what the weeks to full light are reckoned from, and how
WEEKS_FROM = (
    "Weeks to full light: from the lights that hang today, at full, with the usual limits on how fast light may rise. "
    "The page for the first weeks has the calendar, and other limits."
)
#: more light than this share is worth being called room to grow
ROOM = 0.01


@dataclass(frozen=True)
class WayCard:
    """One way: its name, what is bought, the price now and over the years (empty without a plan), what its owner cannot
    do ("change the colour", say), and what else is to be said."""

    name: str
    lights: str
    now: str
    in_all: str
    cannot: tuple[str, ...]
    said: tuple[str, ...]


def way_cards(found: Ways, currency: str, years: int, weeks: Sequence[WayWeeks] = ()) -> list[WayCard]:
    """Each way by itself; money in this currency, over so many years; the weeks to full light where they are known."""
    told = {one.way: one for one in weeks}
    return [_card(way, currency, years, told.get(way.way)) for way in found.ways]


def ways_part(found: Ways, currency: str, weeks: Sequence[WayWeeks] = ()) -> Part:
    """All ways as one table, and what each cannot do, a sentence a way."""
    lines = [*ways_lines(found), *([WEEKS_FROM] if weeks else [])]
    return Part("ways", "Ways to buy", (ways_grid(found, currency, weeks), Bullets(tuple(lines))))


def ways_grid(found: Ways, currency: str, weeks: Sequence[WayWeeks] = ()) -> Grid:
    """The ways to buy in figures, a row each; the weeks to full light where they are known of any."""
    unit = f", {currency}" if currency else ""
    columns = ("way to buy", "lights to buy", f">to buy{unit}", f">a year{unit}", f">over the years{unit}")
    rows = tuple((WAYS[way.way], *_figures(way)) for way in found.ways)
    if not weeks:
        return Grid(columns, rows)
    told = {one.way: weeks_figure(one) for one in weeks}
    return Grid(
        (*columns, ">weeks to full light"),
        tuple((*row, told.get(way.way, "")) for row, way in zip(rows, found.ways, strict=True)),
    )


def weeks_figure(found: WayWeeks) -> str:
    """The weeks to full light as a figure in a table."""
    if found.weeks is None:
        return "not found"
    return str(found.weeks) if found.proven else f"{found.weeks} or fewer"


def weeks_line(found: WayWeeks) -> str:
    """The weeks to full light as a sentence."""
    if found.weeks is None:
        return "No calendar of first weeks that holds every limit was found; the page for the first weeks looks longer."
    if found.weeks == 0:
        return "Full light from the first day: that is what the animals have today."
    if found.proven:
        return f"{counted(found.weeks, 'week')} from today's light to full light."
    return f"{counted(found.weeks, 'week')} or fewer from today's light to full light: fewer was not ruled out in time."


def ways_lines(found: Ways) -> list[str]:
    """What the owner cannot do, and what else is to be said, a sentence a way."""
    lines = []
    for way in found.ways:
        cannot, said = cannot_do(way), _said(way)
        if cannot:
            lines.append(f"{WAYS[way.way]}: you cannot {'; nor '.join(cannot)}.")
        lines += [f"{WAYS[way.way]}: {text[0].lower()}{text[1:]}" for text in said]
    return lines


def cannot_do(way: Way) -> list[str]:
    """What somebody who buys this way cannot do, each to be read after "you cannot"."""
    scenes = [scene_name(scene) for scene in way.cannot]
    if way.together:
        return [f"give every zone its light in {listed(scenes)} with one purchase, though each alone is possible"]
    if scenes:
        return [f"give every zone its light in {listed(scenes)}"]
    return [] if way.plan is None else list(_not_with(way.plan, way.headroom))


def _not_with(plan: Plan, headroom: float | None) -> Iterator[str]:
    """What the lights of a plan cannot do, whatever scenes they can produce."""
    models = [plan.catalog.fixture(light.fixture) for light in plan.lights]
    if not models:
        return
    fixed = [light for light, model in zip(plan.lights, models, strict=True) if not model.dimmable]
    if len(fixed) == len(models):
        yield NO_DIMMING
    elif fixed:
        staying = sum(light.placed for light in fixed)
        which = ", which hang already" if staying > 1 else ", which hangs already"
        yield f"dim {len(fixed)} of the {len(models)} lights{which if staying == len(fixed) else ''}"
    if not any(model.timing == "built-in" for model in models):
        yield NO_SUNRISE
    if not any(model.dimming == "channels" for model in models):
        yield NO_COLOUR
    if headroom is not None and headroom < 1 + ROOM:
        yield "give all corals more light than now, should they come to want more"


def _said(way: Way) -> list[str]:
    said = []
    if way.headroom is not None and way.headroom >= 1 + ROOM:
        said.append(f"Room to grow: the same lights can give all zones {100 * (way.headroom - 1):.0f} % more.")
    if way.unknown:
        said.append("Time ran out before everything was known.")
    return said


def _card(way: Way, currency: str, years: int, weeks: WayWeeks | None) -> WayCard:
    cannot, said = tuple(cannot_do(way)), (*([weeks_line(weeks)] if weeks is not None else []), *_said(way))
    if way.plan is None or way.plan.cost is None:
        return WayCard(WAYS[way.way], _no_plan(way), "", "", cannot, said)
    cost = way.plan.cost
    now = f"{money(cost.purchase + cost.extras, currency, decimals=0)} now"
    in_all = f"{money(cost.ownership, currency, decimals=0)} over {counted(years, 'year')}"
    return WayCard(WAYS[way.way], bought_words(way.plan), now, in_all, cannot, said)


def _no_plan(way: Way) -> str:
    return "No plan meets every wish" if way.cannot else "Not known"


def _figures(way: Way) -> tuple[str, ...]:
    if way.plan is None or way.plan.cost is None:
        return _no_plan(way).lower(), "", "", ""
    cost = way.plan.cost
    amounts = (cost.purchase + cost.extras, cost.energy_per_year + cost.upkeep_per_year, cost.ownership)
    return bought_words(way.plan), *(money(amount, decimals=0) for amount in amounts)
