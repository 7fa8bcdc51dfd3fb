"""Colours as a screen shows them: white sand and test colours under a mix, and which of them a screen cannot show."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.light.colour import SHOWN, adapted
from lightplan.light.colour_tables import colour_science
from lightplan.light.mixing import Mix
from lightplan.light.spectrum import Array

Bools = NDArray[np.bool_]

#: so far beyond what a screen shows is still taken for its edge: less than one of its 255 steps
EDGE = 1e-3


@dataclass(frozen=True)
class Swatch:
    """One thing under a light as a screen shows it: `colour` as #rrggbb in sRGB.

    `outside`: the true colour is stronger than any screen of that kind shows; what is shown is the nearest paler one
    of the same lightness.
    """

    name: str
    colour: str
    outside: bool


def swatches(mix: Mix, *, used_to_it: bool) -> tuple[Swatch, ...]:
    """White sand and the 14 test colours under a mix, the sand first; none in the dark.

    `used_to_it`: as seen by an eye wholly adapted to the mix, to which the sand is white. Else as seen by one that
    comes in from daylight (D65), with the sand as bright as the screen can show it in its colour.
    """
    shown = mix.shown
    if not shown[0, 1] > 0:
        return ()
    seen = adapted(shown, shown[0]) if used_to_it else shown / shown[0, 1]
    linear = _linear(seen)
    inside, outside = _within(linear, seen[:, 1], np.inf)
    # the sand sets how bright all is
    brightest = float(inside[0].max())
    inside, too_bright = _within(inside / brightest, seen[:, 1] / brightest, 1.0)
    encoded = np.asarray(colour_science().cctf_encoding(np.clip(inside, 0.0, 1.0), function="sRGB"))
    steps = np.rint(encoded * 255).astype(int)
    return tuple(
        Swatch(name, "#{:02x}{:02x}{:02x}".format(*step), bool(out))
        for name, step, out in zip(SHOWN, steps, outside | too_bright, strict=True)
    )


def brightest(xyz: Array) -> NDArray[np.uint8]:
    """Colours (n, 3) of red, green and blue for lights XYZ (n, 3), each as bright as a screen shows it, or the nearest
    paler one that it can show: for drawings that only point to a colour."""
    inside, _ = _within(_linear(xyz), xyz[:, 1], np.inf)
    most = inside.max(axis=1, keepdims=True)
    shares = np.divide(inside, most, out=np.zeros_like(inside), where=most > 0)
    encoded = np.asarray(colour_science().cctf_encoding(np.clip(shares, 0.0, 1.0), function="sRGB"))
    return np.asarray(np.rint(encoded * 255), dtype=np.uint8)


def _linear(xyz: Array) -> Array:
    """Linear sRGB (n, 3) of XYZ (n, 3), white Y 1, by the matrix of IEC 61966-2-1; beyond 0 to 1 outside the screen."""
    return np.asarray(xyz @ np.asarray(colour_science().RGB_COLOURSPACES["sRGB"].matrix_XYZ_to_RGB).T)


def _within(linear: Array, lightness: Array, top: float) -> tuple[Array, Bools]:
    """Colours mixed with as much grey of their own lightness as brings them between 0 and `top`; which needed it.

    `lightness` (n,) is Y. A colour lighter than `top` becomes grey at it.
    """
    grey = np.minimum(lightness, top)[:, None]
    away = linear - grey
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(away < 0, grey / -away, np.where(away > 0, (top - grey) / away, np.inf)).min(axis=1)
    share = np.clip(share, 0.0, 1.0)
    reach = np.abs(linear).max(axis=1)
    outside = (linear.min(axis=1) < -EDGE * reach) | (linear.max(axis=1) > top * (1 + EDGE))
    return grey + away * share[:, None], outside
