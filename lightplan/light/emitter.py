"""What a fixture gives: photons per second and how they spread, fitted to whatever its maker or a meter says.

PAR in umol m-2 s-1, PPF in umol s-1, lengths in cm, angles in degrees. A chart (form 1) counts as taken in open water.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from lightplan.inputs.catalog import Fixture
from lightplan.light.emission import LARGEST_M, SMALLEST_M, Emitter, EmitterError, Lobes
from lightplan.light.open_water import OPEN_WATER_ATTENUATION, OPEN_WATER_INDEX, open_panel, spread
from lightplan.light.optics import Array, lobe_exponent
from lightplan.light.photometric import from_photometry
from lightplan.light.readings_fit import fit_readings

__all__ = [
    "OPEN_WATER_ATTENUATION",
    "OPEN_WATER_INDEX",
    "PHOTON_LIMIT",
    "Chart",
    "Emitter",
    "EmitterError",
    "Lobes",
    "chart_of",
    "fit_chart",
    "fit_emitter",
    "from_beam",
    "from_power",
    "output_after",
    "spread",
]

# Photons per joule if all were at 700 nm and nothing were lost, wavelength / (N_A h c) with the exact SI values of 2019
PHOTON_LIMIT = 700e-9 / (6.02214076e23 * 6.62607015e-34 * 299792458.0) * 1e6
BEST_EFFICACY = 3.5  # umol/J, above the best lamps on the market: common practice, no source
ASSUMED_EFFICACY = 1.8  # umol/J: common practice, no source
ASSUMED_BEAM_DEG, ASSUMED_M = 120.0, 1.0  # a Lambertian face
POOR_FIT_PCT = 15.0


@dataclass(frozen=True)
class Chart:
    """A maker's or reviewer's chart: PAR under the centre at full level, and the spread at half of it."""

    par_centre: float
    height_cm: float
    depth_cm: float
    spread_length_cm: float
    spread_width_cm: float


@lru_cache(maxsize=4096)
def fit_emitter(fixture: Fixture) -> Emitter:
    """Fit the light of a fixture from the form that says most: readings, a file, a chart, a beam, or else power.

    Raises EmitterError where the PPF is more than physics allows for the power drawn.
    """
    if fixture.form == 3:
        return _checked(fixture, fit_readings(fixture, stated(fixture)).emitter)
    return _checked(fixture, stated(fixture))


def stated(fixture: Fixture) -> Emitter:
    """What a fixture's row says of its light, not what a meter read: a file, a chart, PPF and beam, or the power."""
    if fixture.light.photometry is not None and fixture.ppf_umol_s is not None:
        return from_photometry(fixture)
    chart = chart_of(fixture)
    if chart is not None:
        return fit_chart(fixture, chart)
    return from_beam(fixture) or from_power(fixture)


def chart_of(fixture: Fixture) -> Chart | None:
    """The chart in a fixture's row, or None where it is not complete."""
    par, height, depth = fixture.par_centre, fixture.at_height_cm, fixture.at_depth_cm
    length, width = fixture.spread_length_cm, fixture.spread_width_cm
    if par is None or height is None or depth is None or length is None or width is None:
        return None
    return Chart(par, height, depth, length, width)


def from_beam(fixture: Fixture) -> Emitter | None:
    """Form 2: a PPF with its beam angle (full angle at half the peak intensity); None where either is blank."""
    if fixture.ppf_umol_s is None or fixture.beam_angle_deg is None:
        return None
    return Emitter(fixture.ppf_umol_s, ((lobe_exponent(fixture.beam_angle_deg), 1.0),), 0.0, 2)


def from_power(fixture: Fixture) -> Emitter:
    """Form 5: nothing but the power: 1.8 umol/J into 120 degrees (common practice, no source), with a warning."""
    ppf = ASSUMED_EFFICACY * fixture.power_w
    warning = (
        f"{fixture.fixture}: its row says nothing usable about its light, so {ppf:.0f} µmol/s "
        f"({ASSUMED_EFFICACY:g} µmol/J) into {ASSUMED_BEAM_DEG:.0f} degrees is assumed."
    )
    return Emitter(ppf, ((ASSUMED_M, 1.0),), 0.0, 5, (warning,))


def fit_chart(fixture: Fixture, chart: Chart) -> Emitter:
    """Form 1: the m whose PAR at half the spread, along and across, is nearest half of the centre's; then the PPF.

    Least squares over both points by a search over log m from 0.5 to 60. `residual_pct` is how far the worse of the
    two points is from half, in per cent of half.
    """
    centre, along, across = (
        open_panel(fixture, chart.height_cm, chart.depth_cm, x, y)
        for x, y in ((0.0, 0.0), (chart.spread_length_cm / 2, 0.0), (0.0, chart.spread_width_cm / 2))
    )

    def misses(log_m: npt.ArrayLike) -> Array:
        m = np.exp(np.asarray(log_m, dtype=float))
        middle = centre.per_flux(m)
        return np.stack([along.per_flux(m) / middle - 0.5, across.per_flux(m) / middle - 0.5])

    m = math.exp(_least(lambda log_m: (misses(log_m) ** 2).sum(axis=0), math.log(SMALLEST_M), math.log(LARGEST_M)))
    residual = float(np.abs(misses(math.log(m))).max()) / 0.5 * 100.0
    warnings: tuple[str, ...] = ()
    if residual > POOR_FIT_PCT:
        warnings = (
            f"{fixture.fixture}: no single lobe fits its chart: at the stated spread PAR would be "
            f"{residual:.0f} % off half of the centre's.",
        )
    ppf = chart.par_centre / float(centre.per_flux(np.array(m)))
    return Emitter(ppf, ((m, 1.0),), residual, 1, warnings)


def _least(cost: Callable[[Array], Array], low: float, high: float) -> float:
    """The place between `low` and `high` where `cost` is least, by zooming in on the best of 33 even steps."""
    for _ in range(7):
        grid = np.linspace(low, high, 33)
        best = int(np.argmin(cost(grid)))
        low, high = float(grid[max(best - 1, 0)]), float(grid[min(best + 1, grid.size - 1)])
    return float(grid[best])


def _checked(fixture: Fixture, emitter: Emitter) -> Emitter:
    """Refuse more photons than the power drawn can make, and warn above what the best lamps reach."""
    efficacy = emitter.ppf / fixture.power_w
    figures = f"{emitter.ppf:.0f} µmol/s from {fixture.power_w:g} W is {efficacy:.2f} µmol/J"
    if efficacy > PHOTON_LIMIT:
        raise EmitterError(
            f"{fixture.fixture}: {figures}, more than any lamp can give ({PHOTON_LIMIT:.2f} µmol/J: every photon at "
            "700 nm and no loss)."
        )
    if efficacy <= BEST_EFFICACY:
        return emitter
    warning = f"{fixture.fixture}: {figures}, better than the best lamps on the market ({BEST_EFFICACY:g} µmol/J)."
    return replace(emitter, warnings=(*emitter.warnings, warning))


def output_after(fixture: Fixture, hours: float) -> float:
    """Share of its first output that a fixture still gives after `hours` of full-level running.

    LEDs: exp(ln 0.7 x hours / l70_hours), exponential lumen maintenance as in IES TM-21-11. Tubes: 1 less
    lamp_loss_pct, whatever the hours, because they are changed when they have lost that much. Neither: 1.
    """
    if fixture.lamp_months is not None:
        return 1.0 - fixture.lamp_loss_pct / 100.0
    if fixture.l70_hours is not None:
        return math.exp(math.log(0.7) * hours / fixture.l70_hours)
    return 1.0
