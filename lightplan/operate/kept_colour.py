"""Turning a light up or down as a whole, its colour kept: the levels of its channels stay in proportion.

Levels and outputs are shares of full level, 0 to 1; an output is the sum of PPF share x level over the channels.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

from lightplan.choose.par import output_share
from lightplan.inputs.catalog import Catalog, Channel
from lightplan.inputs.layout import LayoutLight

#: levels closer than this are one
ALIKE = 1e-9
#: with more channels than this each is rounded by itself: all ways to round them would be too many
MOST_ROUNDED = 8
PER_CENT = 100


def own_levels(light: LayoutLight, catalog: Catalog) -> dict[str, float]:
    """The level of each channel of a light by name; empty where all are alike, so that there is nothing to keep."""
    levels = {row.channel: light.channel_level(row.channel) for row in catalog.channels_of(light.fixture)}
    if max(levels.values()) - min(levels.values()) <= ALIKE or not catalog.fixture(light.fixture).dimmable:
        return {}
    return levels if output_share(light, catalog) > 0 else {}


def most_output(parts: Sequence[Channel], levels: Mapping[str, float]) -> float:
    """The most that a light can give with its channels in these proportions; 1 where there are none (empty)."""
    return min(1.0, _output(parts, levels) / max(levels.values())) if levels else 1.0


def in_proportion(parts: Sequence[Channel], levels: Mapping[str, float], output: float) -> dict[str, float]:
    """The channels at this output, in these proportions, in whole per cent; empty for no proportions.

    Each is rounded up or down so that their output comes nearest to what is wanted. Where the brightest is at full and
    more is wanted, all others rise evenly towards full: no more can be had in these proportions.
    """
    if not levels:
        return {}
    most = most_output(parts, levels)
    factor, rest = min(output, most) / _output(parts, levels), 0.0
    if output > most + ALIKE:
        rest = min(1.0, (output - most) / (1.0 - most))
    wanted = [min(1.0, factor * levels[row.channel] * (1.0 - rest) + rest) * PER_CENT for row in parts]
    if len(parts) > MOST_ROUNDED:
        return {row.channel: round(level) / PER_CENT for row, level in zip(parts, wanted, strict=True)}
    ends = [sorted({math.floor(level + ALIKE), math.ceil(level - ALIKE)}) for level in wanted]
    found = min(itertools.product(*ends), key=lambda tried: _off(parts, tried, wanted, output))
    return {row.channel: level / PER_CENT for row, level in zip(parts, found, strict=True)}


def at_output(light: LayoutLight, catalog: Catalog, output: float) -> LayoutLight:
    """The light turned to this output, its colour kept; all its channels alike where they are so today."""
    parts = catalog.channels_of(light.fixture)
    levels = in_proportion(parts, own_levels(light, catalog), output)
    whole = _output(parts, levels) if levels else output
    return light.model_copy(
        update={
            "level_pct": min(100.0, round(PER_CENT * whole, 6)),
            "channel_levels": {name: PER_CENT * level for name, level in levels.items()},
            # where its dials stood for the old level
            "dial_pct": None,
            "channel_dials": {},
        }
    )


def _output(parts: Sequence[Channel], levels: Mapping[str, float]) -> float:
    return math.fsum(row.ppf_share * levels[row.channel] for row in parts)


def _off(parts: Sequence[Channel], tried: Sequence[int], wanted: Sequence[float], output: float) -> tuple[float, float]:
    """How far rounded levels are off in their output, then one by one."""
    whole = math.fsum(row.ppf_share * level for row, level in zip(parts, tried, strict=True))
    each = math.fsum((level - want) ** 2 for level, want in zip(tried, wanted, strict=True))
    return round(abs(whole - PER_CENT * output), 9), each
