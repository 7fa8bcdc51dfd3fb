"""Where the forms in which a fixture's light is told contradict each other, with both values.

PAR in umol m-2 s-1, PPF in umol s-1, lengths in cm, angles in degrees.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from lightplan.inputs.catalog import Fixture
from lightplan.light.emission import Emitter, EmitterError
from lightplan.light.emitter import Chart, chart_of, fit_chart, fit_emitter, from_beam
from lightplan.light.open_water import open_panel, spread
from lightplan.light.optics import intensity
from lightplan.light.photometric import from_photometry

#: what the form that is used is called, as the beginning of a sentence about a fixture
SAYS = {1: "its chart means", 3: "its readings mean", 4: "its photometric file with its PPF means"}


@dataclass(frozen=True)
class Disagreement:
    """Two forms farther apart than the claim error: the column that the used one contradicts, in a sentence."""

    column: str
    message: str


def disagreements(fixture: Fixture) -> tuple[Disagreement, ...]:
    """Say where what a fixture's row states contradicts the form that is used, each by itself; nothing if all agree.

    Values agree within the fixture's claim error; where readings leave several answers possible, one of them must. A
    light that cannot be is told elsewhere.
    """
    try:
        used = fit_emitter(fixture)
    except EmitterError:
        return ()
    return tuple(_all(fixture, used))


def _all(fixture: Fixture, used: Emitter) -> Iterator[Disagreement]:
    chart, beam = chart_of(fixture), from_beam(fixture)
    if used.form == 3:
        if chart is not None:
            yield from _against_chart(fixture, used, chart)
        if fixture.ppf_umol_s is not None:
            yield from _against_beam(fixture, used)
        yield from _against_file(fixture, used)
    elif used.form == 4:
        if chart is not None:
            yield from _against_chart(fixture, used, chart)
        if fixture.beam_angle_deg is not None:
            yield from _against_beam(fixture, used)
    elif chart is not None and beam is not None:
        yield from _chart_against_beam(fixture, chart, beam)


def _against_chart(fixture: Fixture, used: Emitter, chart: Chart) -> Iterator[Disagreement]:
    every = (used, *used.others)
    centre = open_panel(fixture, chart.height_cm, chart.depth_cm, 0.0, 0.0)
    yield from _compared(fixture, "par_centre", chart.par_centre, [centre.par(one) for one in every], "PAR")
    spreads = [spread(fixture, one, chart.height_cm, chart.depth_cm) for one in every]
    for key, own, side in (
        ("spread_length_cm", chart.spread_length_cm, 0),
        ("spread_width_cm", chart.spread_width_cm, 1),
    ):
        yield from _compared(fixture, key, own, [both[side] for both in spreads], "cm")


def _against_beam(fixture: Fixture, used: Emitter) -> Iterator[Disagreement]:
    every = (used, *used.others)
    if fixture.ppf_umol_s is not None:
        yield from _compared(fixture, "ppf_umol_s", fixture.ppf_umol_s, [one.ppf for one in every], "µmol/s")
    if fixture.beam_angle_deg is not None:
        beams = [beam_of(one) for one in every]
        yield from _compared(fixture, "beam_angle_deg", fixture.beam_angle_deg, beams, "degrees")


def _against_file(fixture: Fixture, used: Emitter) -> Iterator[Disagreement]:
    """How wide the light is by a photometric file, against what readings say."""
    if fixture.light.photometry is not None and fixture.ppf_umol_s is not None:
        stated = beam_of(from_photometry(fixture))
        found = [beam_of(one) for one in (used, *used.others)]
        yield from _compared(fixture, "photometry", stated, found, "degrees of beam")


def _compared(fixture: Fixture, column: str, stated: float, found: list[float], unit: str) -> Iterator[Disagreement]:
    """A sentence where a stated value is within the claim error of none of those found, of which the first is best."""
    if all(_apart(stated, value) > fixture.claim_error for value in found):
        message = f"{SAYS[fixture.form]} {found[0]:.0f} {unit}, but {column} says {stated:.0f}"
        yield Disagreement(column, _sentence(fixture, message))


def _chart_against_beam(fixture: Fixture, chart: Chart, beam: Emitter) -> Iterator[Disagreement]:
    """The first of PPF and both half-widths in which a chart and a PPF with beam angle differ."""
    fitted = fit_chart(fixture, chart)
    if _apart(fitted.ppf, beam.ppf) > fixture.claim_error:
        message = f"its chart means {fitted.ppf:.0f} µmol/s, but ppf_umol_s says {beam.ppf:.0f}"
        yield Disagreement("ppf_umol_s", _sentence(fixture, message))
        return
    length, width = spread(fixture, beam, chart.height_cm, chart.depth_cm)
    for name, own, implied in (
        ("spread_length_cm", chart.spread_length_cm, length),
        ("spread_width_cm", chart.spread_width_cm, width),
    ):
        if _apart(own, implied) > fixture.claim_error:
            message = (
                f"its chart says {name} {own:.0f} cm, but beam_angle_deg {fixture.beam_angle_deg:g} means "
                f"{implied:.0f} cm"
            )
            yield Disagreement(name, _sentence(fixture, message))
            return


def _sentence(fixture: Fixture, message: str) -> str:
    return (
        f"{fixture.fixture}: {message}; that is more than the claim error of {100 * fixture.claim_error:.0f} % apart."
    )


def beam_of(emitter: Emitter) -> float:
    """Full angle, degrees, out to where the intensity last is half of its peak."""
    angle = np.linspace(0.0, 90.0, 1801)
    strength = intensity(np.cos(np.radians(angle)), emitter.lobes)
    return 2.0 * float(angle[np.flatnonzero(strength >= 0.5 * strength.max())[-1]])


def _apart(first: float, second: float) -> float:
    return abs(first - second) / max(min(first, second), 1e-12)
