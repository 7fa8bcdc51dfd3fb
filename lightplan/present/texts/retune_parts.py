"""What is said about lights set anew, part by part, for every reader alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from lightplan.inputs.dial_settings import Dials
from lightplan.operate.outcome import Lit, Retuned, SetLight
from lightplan.present.texts.dial_words import ABOUT_DIALS, MARK, dials_told
from lightplan.present.texts.meter_words import how_to_read, immersion_line, setting_cautions
from lightplan.present.texts.plan_parts import Bullets, Grid, Part
from lightplan.present.texts.words import band, counted, listed, percent


def retuned_head(found: Retuned) -> list[str]:
    """The answer in short: what is met, and what the answer rests on."""
    kind = found.readings[0].kind if found.readings else "point"
    missed = [row.name for row in found.readings if not row.met]
    if not missed:
        said = [f"With these levels every {kind} gets the light it wants."]
    else:
        said = [f"No levels give every {kind} the light it wants; these come nearest. Missed: {listed(missed)}."]
    if not found.proven:
        said.append("The time was up before it was proven that no other levels come nearer.")
    return [*said, *found.colour, *_rests_on(found)]


def _rests_on(found: Retuned) -> Iterator[str]:
    checked = found.calibration
    if found.layout and checked is None:
        yield "No readings were given, so the catalog's claims are believed. Measure, then set the lights by that."
    if checked is not None:
        yield f"The lights were corrected by {counted(len(checked.readings), 'reading')} first."
        if checked.suspect:
            named = listed(list(dict.fromkeys(row.point for row in checked.suspect)))
            yield f"Readings that do not fit were left out: {named}."
        rough = [f"light {row.light}" for row in checked.corrections if not row.known]
        if rough:
            yield f"There are too few readings of {listed(rough)}, so these levels may be wrong. Read more first."


def retuned_parts(found: Retuned) -> list[Part]:
    """Everything that is said below: levels, light, what would do, notes, how to read, cautions.

    The keys of the parts are levels, light, remedies, notes, reading and cautions.
    """
    return list(_parts(found))


def _parts(found: Retuned) -> Iterator[Part]:
    power = () if found.power_w is None else (f"{found.power_w:.0f} W together.",)
    yield Part("levels", "Set the lights to", (_levels(found), *power, *_about_levels(found)))
    yield Part("light", "What they then get", (_light(found), *_about_light(found)))
    if found.remedies:
        heading = "What would do" if any(row.enough for row in found.remedies) else "What would help"
        yield Part("remedies", heading, (_WHY, Bullets(tuple(row.text for row in found.remedies))))
    elif not found.met:
        yield Part("remedies", "What would do", ("No single change of a light was found that helps.",))
    notes = [*found.notes]
    if found.calibration is not None:
        notes.append(immersion_line(found.calibration.immersion_factor, found.calibration.immersion_given))
    if notes:
        yield Part("notes", "What this rests on", (Bullets(tuple(notes)),))
    yield how_to_read()
    kinds = {row.kind for row in found.remedies}
    brighter = any(light.before is not None and light.level > light.before + 1e-9 for light in found.levels)
    yield setting_cautions(
        rehang=bool(kinds & {"height", "stronger", "weaker"}),
        mesh=bool(kinds & {"shade", "weaker"}),
        # of lights read alone, nobody said how they are set today
        brighter=brighter or not found.layout,
    )


_WHY = "Each of these is one change. After one to a light, set the levels anew."


def _levels(found: Retuned) -> Grid:
    numbered = any(light.fixture is not None for light in found.levels)
    rows = tuple(_level(light) for light in found.levels)
    before = ">today" if numbered else ">read at"
    return Grid((">", "light", before, ">set to"), rows) if numbered else Grid(("light", before, ">set to"), rows)


def _level(light: SetLight) -> tuple[str, ...]:
    before = "several" if light.before is None else _said(light.before, light.dimmable, light.levels_before)
    after = _said(light.level, light.dimmable, light.levels, light.dials_pct)
    if not light.levels:
        after += dials_told(Dials(light.dial_pct, light.dials_pct))
    if light.fixture is None:
        return (str(light.light), before, after)
    return (str(light.light), light.fixture, before, after)


def _said(
    level: float, dimmable: bool, channels: Mapping[str, float], dials: Mapping[str, float] = MappingProxyType({})
) -> str:
    if level <= 0:
        return "off"
    if channels:
        told = {name: f" ({MARK}{dial:.0f} %)" for name, dial in dials.items()}
        return ", ".join(f"{name} {percent(own)}{told.get(name, '')}" for name, own in channels.items())
    return percent(level) if dimmable or level < 1 else "on"


def _about_levels(found: Retuned) -> Iterator[str]:
    yield "Levels are shares of full output, in whole per cent; on/off lights have none."
    if found.keeps_colour:
        yield "Each light keeps its colour: its channels stay in the proportions of today, to whole per cents."
    if any(light.dial_pct is not None or light.dials_pct for light in found.levels):
        yield ABOUT_DIALS
    if not found.layout:
        yield "A dimmer's lowest level is not in the table: where yours cannot go as low, read that light alone there."


def _light(found: Retuned) -> Grid:
    if found.readings and found.readings[0].kind == "point":
        rows = tuple((row.name, band(row.wanted), f"{row.par:.0f}", _verdict(row)) for row in found.readings)
        return Grid(("point", ">wanted", ">PAR", "result"), rows)
    rows_of_zones = tuple(
        (row.name, band(row.wanted), f"{row.par_min:.0f}", f"{row.par:.0f}", f"{row.par_max:.0f}", _verdict(row))
        for row in found.readings
    )
    return Grid(("zone", ">wanted", ">lowest", ">average", ">highest", "result"), rows_of_zones)


def _verdict(row: Lit) -> str:
    if row.met:
        return "ok"
    said = {"lower": "too dark", "upper": "too bright", "DLI lower": "too little a day", "DLI upper": "too much a day"}
    return ", ".join(f"{said[end]} by {max(1, round(100 * miss))} %" for end, _, _, miss in row.misses)


def _about_light(found: Retuned) -> Iterator[str]:
    if found.layout:
        yield "PAR in µmol/m²/s at every point of a 2 cm grid over each zone, top and bottom, worked out once more."
        yield "Measure again once they are set."
    else:
        yield "PAR in µmol/m²/s: the readings in proportion to the levels, added up. Measure again once they are set."
