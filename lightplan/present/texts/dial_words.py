"""How a level is set where a light's dial is not its output: both are told."""

from __future__ import annotations

from lightplan.choose.lights import Place
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.dial_settings import Dials, dials_for
from lightplan.present.texts.words import percent

#: what stands under a table in which a dial is named
ABOUT_DIALS = "Levels are shares of full output; dial: where the light's own dial stands for that, by dial.csv."
MARK = "dial at "


def dialled(catalog: Catalog, fixture: str, level: float, channel: str | None = None) -> str:
    """A level in whole per cent, and in brackets where the dial of the light, or of one channel, stands for it."""
    dial = catalog.dial_of(fixture, channel)
    return percent(level) if dial is None else f"{percent(level)} ({MARK}{percent(dial.at(100.0 * level) / 100.0)})"


def dials_told(dials: Dials) -> str:
    """Where dials stand, in brackets, to put behind a level; nothing where they show it."""
    if dials.whole is not None:
        return f" ({MARK}{dials.whole:.0f} %)"
    each = ", ".join(f"{name} {MARK}{dial:.0f} %" for name, dial in dials.each.items())
    return f" ({each})" if each else ""


def level_words(place: Place, fixture: str, catalog: Catalog) -> str:
    """A level as it is set: whole per cent, off, on where nothing can be set; of each channel where they differ."""
    if place.level <= 0:
        return "off"
    unlike = {dialled(catalog, fixture, level, name) for name, level in place.levels.items()}
    if len(unlike) > 1:
        return ", ".join(f"{name} {dialled(catalog, fixture, level, name)}" for name, level in place.levels.items())
    if not catalog.fixture(fixture).dimmable:
        return "on"
    return percent(place.level) + dials_told(dials_for(catalog, fixture, place.level, place.levels))
