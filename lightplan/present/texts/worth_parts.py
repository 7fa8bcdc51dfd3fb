"""What each fixture is worth over a tank, as tables."""

from __future__ import annotations

from collections.abc import Sequence

from lightplan.choose.scenarios import scenes_of
from lightplan.choose.tradeoff.fixtures import Worth
from lightplan.inputs.tank import Tank
from lightplan.present.texts.look_words import temperature_words
from lightplan.present.texts.plan_parts import Bullets, Grid, Part
from lightplan.present.texts.words import length, listed, money, percent, scene_name, whole

#: what has no figure
NONE = "–"


def worth_parts(tank: Tank, worths: Sequence[Worth], *, inches: bool = False) -> list[Part]:
    """What each gives for its money and power over this tank, and where: two tables; a third of colours where any is
    known."""
    parts = [_value(tank, worths), _zones(tank, worths, inches)]
    if any(worth.colour is not None and worth.colour.blue_share is not None for worth in worths):
        parts.append(_colours(worths))
    wrong = tuple(worth.figures.wrong for worth in worths if worth.figures.wrong)
    if wrong:
        parts.append(Part("wrong", "Figures that cannot be true", (Bullets(wrong),)))
    return parts


def _value(tank: Tank, worths: Sequence[Worth]) -> Part:
    label = tank.money.currency
    unit = f", {label}" if label else ""
    columns = (
        "light", ">price" + unit, ">µmol/J", ">per µmol/s", ">PAR", ">per PAR", ">a year" + unit, ">into water",
    )  # fmt: skip
    lines = [
        "Each light alone, at full level, hung where it brings most PAR to the zones.",
        "µmol/J: light per watt. Per µmol/s, per PAR: its price for each unit of light and of PAR. PAR: the average "
        "over the zones at mid-depth. A year: what its power costs. Into water: the part of its light that gets past "
        "the rim and the surface.",
    ]
    if any(worth.figures.guessed for worth in worths):
        lines.append("* nothing is known of its light: it is guessed from its power.")
    return Part(
        "value", "What each light is worth here", (Grid(columns, tuple(map(_value_row, worths))), Bullets(tuple(lines)))
    )


def _value_row(worth: Worth) -> tuple[str, ...]:
    figures = worth.figures
    return (
        f"{figures.fixture}{'*' if figures.guessed else ''}",
        money(worth.price, decimals=0 if whole([worth.price]) else 2),
        NONE if figures.photon_efficacy is None else f"{figures.photon_efficacy:.2f}",
        NONE if figures.price_per_umol_s is None else money(figures.price_per_umol_s, decimals=2),
        NONE if worth.delivered_par is None else f"{worth.delivered_par:.0f}",
        NONE if worth.price_per_par is None else money(worth.price_per_par, decimals=2),
        money(worth.energy_per_year, decimals=0),
        NONE if worth.share_in_water is None else percent(worth.share_in_water),
    )


def _zones(tank: Tank, worths: Sequence[Worth], inches: bool) -> Part:
    hung = [worth for worth in worths if worth.best is not None]
    names = [zone.name for zone in tank.zones]
    columns = ("light", ">x", ">y", ">up", *(f">{name}" for name in names))
    rows = []
    for worth in hung:
        best, par = worth.best, dict(worth.zones)
        assert best is not None
        place = (length(end, inches) for end in (best.x_cm, best.y_cm, best.height_cm))
        name = f"{worth.figures.fixture}, turned" if best.turned else worth.figures.fixture
        rows.append((name, *place, *(f"{par[zone]:.0f}" for zone in names)))
    lines = [
        f"x, y, up: middle of the light from the left and from the front, height above the water, in {_unit(inches)}.",
        *_scene_lines(tank, hung),
        *_nowhere(worths),
    ]
    heading = "Where each hangs best, and the average PAR of each zone then"
    return Part("zones", heading, (Grid(columns, tuple(rows)), Bullets(tuple(lines))))


def _colours(worths: Sequence[Worth]) -> Part:
    columns = ("light", ">blue share", ">colour temperature", ">Duv", ">lx per PAR", ">µmol per J of light")
    lines = (
        "Each light with all channels at full. Blue share: the part of its PAR from 400 to 500 nm.",
        "Colour temperature: of the white that comes nearest; not defined where the light is too far from any white. "
        "Duv: how far it is from that white, above 0 greenish, below 0 pinkish.",
        "Lx per PAR: how bright a µmol/m²/s looks. µmol per J of light: photons in a joule of the light itself; what "
        "the plug draws is more.",
        "A dash: no spectrum of it is known.",
    )
    return Part("colours", "What colour each light has", (Grid(columns, tuple(map(_colour, worths))), Bullets(lines)))


def _colour(worth: Worth) -> tuple[str, ...]:
    name, colour = worth.figures.fixture, worth.colour
    blue = NONE if colour is None or colour.blue_share is None else percent(colour.blue_share)
    if colour is None or colour.lux_per_umol is None or colour.umol_per_joule is None:
        return (name, blue, NONE, NONE, NONE, NONE)
    warm, duv = temperature_words(colour.temperature)
    return (name, blue, warm, duv, f"{colour.lux_per_umol:.0f}", f"{colour.umol_per_joule:.2f}")


def _unit(inches: bool) -> str:
    return "inches" if inches else "cm"


def _scene_lines(tank: Tank, hung: Sequence[Worth]) -> list[str]:
    """Which lights are too bright by themselves, however they hang and are set, and for what scene."""
    scenes: dict[tuple[str, ...], list[str]] = {}
    for scene in scenes_of(tank):
        bright = tuple(worth.figures.fixture for worth in hung if scene.name not in worth.scenes)
        scenes.setdefault(bright, []).append(scene_name(scene.name))
    return [
        f"Too bright in {listed(names)}, whatever height, shade mesh and level: {listed(bright)}."
        for bright, names in scenes.items()
        if bright
    ]


def _nowhere(worths: Sequence[Worth]) -> list[str]:
    names = [worth.figures.fixture for worth in worths if worth.best is None and not worth.figures.wrong]
    return [f"Can hang nowhere over this tank: {listed(names)}."] if names else []
