"""Checking a plan's light over the full grid, by code that shares nothing with the model's rows.

The model multiplies stored arrays; this places the lights in the tank once more, one by one, and asks for the PAR.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.channels import channel_parts
from lightplan.choose.par import Measured, output_share
from lightplan.choose.sample import edge_grid, zone_grid
from lightplan.choose.schedule import dli, hours_of
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Rock, Tank, Zone

#: how far outside its band a point may be and still count as met, as a share of the band's end
TOLERANCE = 0.005
#: in places with less of a band's upper end, and for smaller blue shares than this, colour is judged no more finely
LEAST_LIGHT = LEAST_BLUE = 0.01


@dataclass(frozen=True)
class Band:
    """What a zone must have: PAR in µmol m-2 s-1, and where that is asked for DLI in mol m-2 d-1 and a blue share."""

    low: float
    high: float
    dli_low: float = 0.0
    dli_high: float = math.inf
    blue_low: float = 0.0
    blue_high: float = 1.0


@dataclass(frozen=True)
class ZoneLight:
    """The light of a zone under given lights: PAR in µmol m-2 s-1, DLI in mol m-2 d-1.

    `par_min` and `par_max` are over the grids of its top and bottom, the means over that at mid-depth; `dimmable_share`
    is the part of the mean that comes from dimmable lights, None in the dark. `misses` are (end, wanted, got, miss).
    `blue_share` is that of the mean, None in the dark and where that of some light is not known.
    """

    zone: str
    par_min: float
    par_mean: float
    par_max: float
    dli_mean: float
    dimmable_share: float | None
    misses: tuple[tuple[str, float, float, float], ...]
    blue_share: float | None = None

    @property
    def met(self) -> bool:
        """True where every point of the grid lies within the band, to the tolerance."""
        return all(miss <= TOLERANCE for _, _, _, miss in self.misses)


def zone_light(
    tank: Tank,
    catalog: Catalog,
    zone: Zone,
    lights: Sequence[LayoutLight],
    band: Band,
    output: Mapping[str, float] | None = None,
    measured: Measured | None = None,
) -> ZoneLight:
    """Measure one zone under the lights of a layout, with outputs off by the factors given.

    `measured` knows these lights where several layouts of the same tank are measured in turn.
    """
    measured = measured or Measured(tank, catalog, lights)
    edges, middle = judged_grids(zone, tank.rocks)
    claims = np.array([1.0 if output is None else output.get(light.fixture, 1.0) for light in lights])
    strength = np.array([output_share(light, catalog) for light in lights]) * claims
    full = measured.full(lights, edges)
    each = full * strength
    hours = np.array([hours_of(tank, catalog.fixture(light.fixture)).equivalent_hours for light in lights])
    par, daily = each.sum(axis=1), dli((each * hours).sum(axis=1), 1.0)
    full_mean = (measured.full(lights, middle) if len(middle) else full).mean(axis=0)
    mean = full_mean * strength
    blue = np.array([blue_part(light, catalog) for light in lights]).reshape(-1, 2) * claims[:, None]
    dimmable = np.array([catalog.fixture(light.fixture).dimmable for light in lights], dtype=bool)
    total = float(mean.sum())
    return ZoneLight(
        zone=zone.name,
        par_min=float(par.min()),
        par_mean=total,
        par_max=float(par.max()),
        dli_mean=dli(float(mean @ hours), 1.0),
        dimmable_share=float(mean[dimmable].sum()) / total if total > 0 else None,
        misses=(*_misses(band, par, daily), *_blue_misses(band, par, full @ blue)),
        blue_share=_share(full_mean @ blue, total),
    )


def judged_grids(zone: Zone, rocks: Sequence[Rock]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Points (n, 3), cm, by which `zone_light` judges a zone: at its top and bottom, and at mid-depth."""
    return edge_grid(zone, rocks), zone_grid(zone, sum(zone.depth_cm) / 2, rocks)


def blue_part(light: LayoutLight, catalog: Catalog) -> tuple[float, float]:
    """What of a light's PAR at full level is blue at its levels: the least and the most that it can be, which differ
    where the blue share of a channel that is lit is not known."""
    parts = channel_parts(catalog, catalog.fixture(light.fixture))
    least, most = (
        math.fsum(p.share * light.channel_level(p.name) * (unknown if p.blue is None else p.blue) for p in parts)
        for unknown in (0.0, 1.0)
    )
    return least, most


def _share(blue: NDArray[np.float64], total: float) -> float | None:
    """The blue share of a mean PAR of which the blue part is so much at least and at most."""
    if total <= 0 or blue[1] - blue[0] > 1e-9 * total:
        return None
    return float(blue[0]) / total


def _blue_misses(
    band: Band, par: NDArray[np.float64], blue: NDArray[np.float64]
) -> list[tuple[str, float, float, float]]:
    """Every end of the blue share that some point lies outside of, the worst point of each; `blue` (points, 2) is the
    least and the most that the blue part of the PAR can be. Dark points have no colour."""
    out = []
    judged = np.maximum(par, LEAST_LIGHT * band.high if math.isfinite(band.high) else LEAST_LIGHT)
    for name, wanted, over in (
        ("blue lower", band.blue_low, band.blue_low * par - blue[:, 0]),
        ("blue upper", band.blue_high, blue[:, 1] - band.blue_high * par),
    ):
        miss = over / judged / max(wanted, LEAST_BLUE)
        worst = int(np.argmax(miss))
        if miss[worst] > 1e-9:
            got = blue[worst, 0 if name == "blue lower" else 1] / par[worst]
            out.append((name, wanted, float(got), float(miss[worst])))
    return out


def _misses(band: Band, par: NDArray[np.float64], daily: NDArray[np.float64]) -> list[tuple[str, float, float, float]]:
    """Every band end that some point lies outside of, the worst point of each."""
    ends = (
        ("lower", band.low, float(par.min()), True),
        ("upper", band.high, float(par.max()), False),
        ("DLI lower", band.dli_low, float(daily.min()), True),
        ("DLI upper", band.dli_high, float(daily.max()), False),
    )
    out = []
    for name, wanted, got, below in ends:
        if not math.isfinite(wanted) or wanted <= 0:
            continue
        miss = (wanted - got) / wanted if below else (got - wanted) / wanted
        if miss > 1e-9:
            out.append((name, wanted, got, miss))
    return out
