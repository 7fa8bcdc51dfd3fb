"""What the light of a fixture is taken from, and how well that fits."""

from __future__ import annotations

from collections.abc import Iterable

from lightplan.inputs.catalog import Fixture
from lightplan.light.emitter import Emitter, EmitterError, fit_emitter
from lightplan.present.texts.plan_parts import Bullets, Part
from lightplan.present.texts.words import counted, listed

#: what each form of light data is called, as the end of a sentence
FORMS = {
    1: "from its PAR chart",
    2: "from its PPF and beam angle",
    3: "from readings",
    4: "from its photometric file and its PPF",
    5: "guessed from its power, for no light data are given",
}
#: a fit off by less than this many per cent is as good as the chart is printed
CLOSE_PCT = 2.0
#: the same of several fixtures
OF_SEVERAL = {1: "from a PAR chart", 2: "from PPF and beam angle", 5: "guessed from the power"}


def form_words(fixture: Fixture) -> str:
    """What a fixture's light is taken from: "from 24 readings"."""
    if fixture.form == 4:
        return f"from {fixture.photometry} and its PPF"
    return f"from {counted(len(fixture.readings), 'reading')}" if fixture.form == 3 else FORMS[fixture.form]


def fit_words(fixture: Fixture, emitter: Emitter) -> str:
    """What a fixture's light is taken from, and how far the fit is off."""
    said = form_words(fixture)
    if fixture.form == 3:
        return f"{said}, which the fit meets within {_off(emitter)} on average"
    if emitter.residual_pct < CLOSE_PCT:
        return said
    if fixture.form == 4:
        return f"{said}, which the fit meets within {_off(emitter)} on average"
    return f"{said}, whose spread the fit meets within {_off(emitter)}"


def _off(emitter: Emitter) -> str:
    return f"{max(1.0, emitter.residual_pct):.0f} %"


def light_part(fixtures: Iterable[Fixture]) -> Part:
    """What the light of a catalog's fixtures is taken from, under a heading."""
    return Part("light", "What their light is taken from", (Bullets(tuple(light_lines(fixtures))),))


def light_lines(fixtures: Iterable[Fixture]) -> list[str]:
    """What the light of fixtures is taken from: a line for each that was fitted, one for all others alike."""
    alike: dict[int, list[str]] = {}
    lines = []
    for fixture in fixtures:
        try:
            emitter = fit_emitter(fixture)
        except EmitterError:
            continue
        if fixture.form in OF_SEVERAL and emitter.residual_pct < CLOSE_PCT:
            alike.setdefault(fixture.form, []).append(fixture.fixture)
        else:
            lines.append(f"{fixture.fixture}: light {fit_words(fixture, emitter)}.")
    return [*lines, *(f"Light {OF_SEVERAL[form]}: {listed(alike[form])}." for form in sorted(alike))]
