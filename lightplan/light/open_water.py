"""PAR of one fixture at full level in open water, as charts and readings count: no walls, no cover.

Lengths in cm, PAR in umol m-2 s-1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from lightplan.inputs.catalog_model import Fixture
from lightplan.light.emission import Emitter
from lightplan.light.optics import CM2_PER_M2, Array, intensity, rays_to
from lightplan.light.quadrature import axis, node_count

OPEN_WATER_INDEX = 1.339  # sea water at 25 C, 589 nm, salinity 35: Quan and Fry 1995, Appl. Opt. 34, 3477
OPEN_WATER_ATTENUATION = 0.15  # per metre: common practice, no source
ROUND_M = 20.0  # nodes on the face are dense enough for lobes up to this; narrower ones are off by a little more


@dataclass(frozen=True)
class OpenPanel:
    """Rays from a fixture's face to one point in open water: log cosines, weights, m-2 per unit flux, and cos 2 phi."""

    log_cos: Array
    weight: Array
    wave: Array

    def per_flux(self, m: Array) -> Array:
        """PAR for unit PPF, m-2, for every exponent m (any shape)."""
        lobe = np.exp(m[..., None] * self.log_cos)
        return np.asarray((m + 1.0) / (2.0 * math.pi) * (lobe @ self.weight))

    def par(self, emitter: Emitter) -> float:
        """PAR, umol m-2 s-1, of an emitter at full level."""
        cos_a = np.exp(self.log_cos)
        light = np.maximum(intensity(cos_a, emitter.lobes), 0.0)
        if emitter.oval:
            light = light + np.clip(intensity(cos_a, emitter.oval), -light, light) * self.wave
        return emitter.ppf * float(light @ self.weight)


def open_panel(fixture: Fixture, height_cm: float, depth_cm: float, x_cm: float, y_cm: float) -> OpenPanel:
    """The rays to a point so far along (x) and across (y) from the middle of a fixture that hangs so high."""
    apparent = max(height_cm, 1.0) + depth_cm / OPEN_WATER_INDEX
    x_axis = axis(node_count(fixture.length_cm, apparent, ROUND_M))
    y_axis = axis(node_count(fixture.width_cm, apparent, ROUND_M))
    dx, dy = x_cm - 0.5 * fixture.length_cm * x_axis.node, y_cm - 0.5 * fixture.width_cm * y_axis.node
    rays = rays_to(np.hypot(dx[:, None], dy).ravel(), height_cm, depth_cm, OPEN_WATER_INDEX, OPEN_WATER_ATTENUATION)
    share = (x_axis.share[:, None] * y_axis.share).ravel()
    along, across = (dx**2)[:, None], dy**2
    wave = ((along - across) / np.maximum(along + across, 1e-12)).ravel()
    return OpenPanel(np.log(rays.cos_a), CM2_PER_M2 * share * rays.geometry, wave)


def spread(fixture: Fixture, emitter: Emitter, height_cm: float, depth_cm: float) -> tuple[float, float]:
    """Length and width, cm, over which PAR in open water stays above half of that at the centre (design 2)."""
    half = 0.5 * open_panel(fixture, height_cm, depth_cm, 0.0, 0.0).par(emitter)

    def width(along: float, across: float) -> float:
        low, high = 0.0, 10.0 * (height_cm + depth_cm + fixture.length_cm + fixture.width_cm)
        for _ in range(40):
            middle = 0.5 * (low + high)
            par = open_panel(fixture, height_cm, depth_cm, along * middle, across * middle).par(emitter)
            low, high = (middle, high) if par > half else (low, middle)
        return low + high

    return width(1.0, 0.0), width(0.0, 1.0)
