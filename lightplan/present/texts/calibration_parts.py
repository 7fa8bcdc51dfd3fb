"""What is said about a check of the lights against the meter, part by part, for every reader alike."""

from __future__ import annotations

from collections.abc import Iterator

from lightplan.operate.calibrate import Calibration, Correction, Residual
from lightplan.operate.next_reading import NextReading
from lightplan.present.texts.meter_words import how_to_read, immersion_line, reading_cautions
from lightplan.present.texts.plan_parts import Bullets, Grid, Part
from lightplan.present.texts.words import counted, length, listed, number, percent


def calibration_head(found: Calibration) -> list[str]:
    """The answer in short."""
    read = counted(len(found.readings), "reading")
    fits = len(found.readings) - len(found.suspect)
    said = [f"{read} of {counted(len(found.layout), 'light')}: {fits} fit, typically to {found.residual_pct:.1f} %."]
    if found.all_off is not None:
        said.append(
            f"All lights read about {percent(found.all_off)} of what the catalog claims, one like the other. "
            "Suspect the meter (its immersion factor), the cover or the water first: readings can't tell which of "
            "these it is, or whether all lights differ from their claims."
        )
    if not found.enough:
        said.append("There are too few readings to say what every light gives; see below which one would help most.")
    return said


def calibration_parts(found: Calibration) -> list[Part]:
    """Everything that is said below: corrections, water, readings that do not fit, what to read next, how to read.

    The keys of the parts are corrections, water, suspect, next, warnings, reading and cautions.
    """
    return list(_parts(found))


def _parts(found: Calibration) -> Iterator[Part]:
    yield Part("corrections", "What the lights give", (_corrections(found), *_about_corrections(found)))
    yield Part("water", "Water and meter", (Bullets(tuple(_water(found))),))
    if found.suspect:
        yield Part("suspect", "Readings that do not fit", (_suspects(found), _WHAT_NOW))
    if found.next_reading is not None:
        yield Part("next", "The reading that would help most", tuple(_next(found, found.next_reading)))
    if found.warnings:
        yield Part("warnings", "Warnings", (Bullets(found.warnings),))
    yield how_to_read()
    yield reading_cautions()


def _corrections(found: Calibration) -> Grid:
    rows = tuple(_correction(correction) for correction in found.corrections)
    return Grid((">", "light", ">gives, of its claim", ">from", ">to", ""), rows)


def _correction(row: Correction) -> tuple[str, ...]:
    if not row.read:
        return (str(row.light), row.fixture, "not read", "", "", "no reading sees it: its claim is kept")
    told = (percent(row.factor), percent(row.low), percent(row.high))
    return (str(row.light), row.fixture, *told, "" if row.known else "known too roughly")


def _about_corrections(found: Calibration) -> Iterator[str]:
    yield (
        "100 % is what the catalog claims. The truth lies between the two ends in at least 90 of 100 cases like this, "
        "if readings are off by some 5 % and one in ten is misread by a factor of 2 (tried with made-up readings)."
    )
    unsure = [f"light {row.light}" for row in found.corrections if row.read and not row.known]
    if unsure:
        yield f"Too few readings for {listed(unsure)}: the ends are too far apart to rest settings on."
    models = [row.fixture for row in found.corrections]
    twins = [name for name in dict.fromkeys(models) if models.count(name) > 1]
    if any(light.channel_levels for light in found.layout):
        yield "One correction for a whole light: that one of its channels is off more than another cannot be told."
    if twins:
        yield f"In a corrected catalog {listed(twins)} gets the mean of its lights' corrections: a catalog has models."


def _water(found: Calibration) -> Iterator[str]:
    clear = found.attenuation_per_m
    if found.water_read:
        low, high = found.attenuation_range or (clear, clear)
        yield (
            f"How clear the water is (attenuation): {clear:.2f} per m by these readings ({low:.2f} to "
            f"{high:.2f}), the tank file has {number(found.tank.box.attenuation_per_m)}. Write "
            f"attenuation_per_m = {clear:.2f} there, or use fresh carbon and read again."
        )
    elif found.attenuation_range is not None:
        yield (
            f"How clear the water is (attenuation): the readings do not contradict the tank file's {number(clear)} "
            "per m, so that is kept."
        )
    else:
        yield (
            f"How clear the water is (attenuation): taken as the tank file has it, {number(clear)} per m. The readings "
            "cannot tell, for their depths differ by less than 10 cm."
        )
    yield immersion_line(found.immersion_factor, found.immersion_given)
    if found.background_read:
        yield "What the meter showed with all lights off was subtracted."
    else:
        yield "There is no reading with all lights off, so nothing was subtracted for daylight and lamps in the room."


_WHAT_NOW = (
    "They were left out. Read these points once more: a finger over the sensor, a slip in a row or a light at another "
    "level are the usual causes."
)


def _suspects(found: Calibration) -> Grid:
    rows = tuple(_suspect(row) for row in found.suspect)
    return Grid((">reading", "point", ">par", ">would have to be", ">off by"), rows)


def _suspect(row: Residual) -> tuple[str, ...]:
    much = "too high" if row.off > 0 else "too low"
    return (
        str(row.place + 1),
        row.point,
        f"{row.par:.0f}",
        f"{row.would_be:.0f}",
        f"{abs(100 * row.off):.0f} % {much}",
    )


def _next(found: Calibration, read: NextReading) -> Iterator[str]:
    where = ", ".join(
        f"{name} {length(round(value, 1))}"
        for name, value in (("x", read.x_cm), ("y", read.y_cm), ("depth", read.depth_cm))
    )
    lit = [
        f"light {number} ({light.fixture}) at {percent(level)}"
        for number, (light, level) in enumerate(zip(found.layout, read.level, strict=True), start=1)
        if level > 0
    ]
    others = ", the others off" if len(lit) < len(found.layout) else ""
    yield f"At {read.zone} ({where} cm), with {listed(lit)}{others}."
    yield (
        f"What is known so far allows {read.low:.0f} to {read.high:.0f} there, more apart than at any other of the "
        "points tried (the zones' grids, and where you have read)."
    )
