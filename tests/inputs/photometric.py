"""Photometric files as laboratories write them, made of formulas."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

Candela = Callable[[float, float], float]
START = "IESNA:LM-63-2002\n[TEST] made of a formula\n[MANUFAC] nobody\n"


def lm63(
    candela: Candela,
    vertical: Sequence[float],
    horizontal: Sequence[float] = (0.0,),
    *,
    start: str = START,
    tilt: str = "NONE",
    lumens: float = -1.0,
    multiplier: float = 1.0,
    kind: int = 1,
) -> str:
    """A file whose candelas are those of a function of the vertical and horizontal angle, degrees."""
    rows = [" ".join(f"{candela(v, h) / multiplier:.10g}" for v in vertical) for h in horizontal]
    return (
        f"{start}TILT={tilt}\n"
        f"1 {lumens:g} {multiplier:g} {len(vertical)} {len(horizontal)} {kind} 2 0.15 0.6 0\n1 1 60\n"
        f"{' '.join(f'{v:g}' for v in vertical)}\n{' '.join(f'{h:g}' for h in horizontal)}\n" + "\n".join(rows) + "\n"
    )


def lobe(m: float, peak: float = 1000.0) -> Candela:
    """A beam of cos^m that lights nothing above it."""
    return lambda v, _: peak * max(float(np.cos(np.radians(v))), 0.0) ** m if v < 90.0 else 0.0


def steps(step: float, end: float = 90.0) -> list[float]:
    """Angles from 0 to the end."""
    return [float(angle) for angle in np.arange(0.0, end + step / 2, step)]
