"""Channels as the purchase model sees them: each with its share of the PPF and, where it is known, its blue share.

What a fixture's level and channels do to PAR depends on the effective level L alone, the sum of share x level over its
channels. What they do to the blue part of the PAR depends on B alone, the sum of share x blue share x level. For a
given L the least B comes from filling the least blue channels first, the most from filling the bluest first; so B lies
between a convex and a concave function of L, both piecewise linear, and everything between them can be had.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.light.channels import spectrum_named

#: blue shares closer than this are one
SAME_BLUE = 1e-9

Line = tuple[float, float]


@dataclass(frozen=True)
class ChannelPart:
    """A channel: its share of the fixture's PPF, 0 to 1, and its blue share, 0 to 1, None where it is not known."""

    name: str
    share: float
    blue: float | None


@dataclass(frozen=True)
class Colour:
    """What the channels of one fixture can do.

    `low` and `high` are the blue share with all channels alike, what is not known counted as none of it and as all of
    it. `free`: the blue share can be set, for the channels can be set one by one and differ in a blue share that is
    known of each; elsewhere all channels are run alike.
    """

    parts: tuple[ChannelPart, ...]
    low: float
    high: float
    free: bool

    @property
    def base(self) -> float:
        """The least blue share that any level can have: that of the least blue channel where they can be set."""
        return min(_blue(part) for part in self.parts) if self.free else self.low

    def most(self) -> list[Line]:
        """Lines (slope, intercept) whose least is the most B at each L from 0 to 1: the bluest channels first."""
        return _lines(sorted(self.parts, key=lambda part: -_blue(part)))

    def least(self) -> list[Line]:
        """Lines (slope, intercept) whose most is the least B at each L from 0 to 1: the bluest channels last."""
        return _lines(sorted(self.parts, key=_blue))

    def blue_range(self, level: float) -> tuple[float, float]:
        """The least and the most B at an effective level."""
        if not self.free:
            return self.low * level, self.high * level
        low, high = (max(s * level + i for s, i in self.least()), min(s * level + i for s, i in self.most()))
        return min(low, high), max(low, high)

    def levels(self, level: float, blue: float | None = None) -> tuple[float, ...]:
        """A level of each channel with this effective level and this B: all alike where that does (None: that), else
        moved from there towards the bluest first or last, just as far as B needs."""
        even = tuple(level for _ in self.parts)
        if blue is None or not self.free:
            return even
        start = level * self.low
        least, most = self.blue_range(level)
        end = most if blue > start else least
        if abs(end - start) <= SAME_BLUE:
            return even
        way = min(1.0, max(0.0, (blue - start) / (end - start)))
        filled = _filled(self.parts, level, bluest_first=blue > start)
        return tuple(min(1.0, (1 - way) * a + way * b) for a, b in zip(even, filled, strict=True))


def channel_parts(catalog: Catalog, fixture: Fixture) -> tuple[ChannelPart, ...]:
    """The channels of a fixture, with the blue share of their spectra, or else what the fixture's row tells of it."""
    told = None if fixture.blue_share_pct is None else fixture.blue_share_pct / 100
    return tuple(
        ChannelPart(
            row.channel,
            row.ppf_share,
            told if row.spectrum is None else spectrum_named(catalog, row.spectrum).blue_share,
        )
        for row in catalog.channels_of(fixture.fixture)
    )


def colour_of(catalog: Catalog, fixture: Fixture) -> Colour:
    """What the channels of a fixture can do."""
    parts = channel_parts(catalog, fixture)
    low, high = (
        sum(part.share * (unknown if part.blue is None else part.blue) for part in parts) for unknown in (0.0, 1.0)
    )
    blues = [part.blue for part in parts if part.blue is not None]
    differ = bool(blues) and max(blues) - min(blues) > SAME_BLUE
    return Colour(parts, low, high, len(blues) == len(parts) and differ and fixture.dimming == "channels")


def sets_channels(fixture: Fixture, parts: Sequence[ChannelPart]) -> bool:
    """True for a fixture with several channels, each of which has a level of its own."""
    return fixture.dimming == "channels" and len(parts) > 1


def effective_level(parts: Sequence[ChannelPart], levels: Mapping[str, float]) -> float:
    """The sum of share x level over the channels; one without a level is off."""
    return sum(part.share * levels.get(part.name, 0.0) for part in parts)


def _blue(part: ChannelPart) -> float:
    return 0.0 if part.blue is None else part.blue


def _lines(parts: Sequence[ChannelPart]) -> list[Line]:
    """The line on which B runs while each channel in turn is filled, those of one blue share together."""
    lines: list[Line] = []
    level = blue = 0.0
    for share_blue, group in itertools.groupby(parts, key=_blue):
        lines.append((share_blue, blue - share_blue * level))
        for part in group:
            level, blue = level + part.share, blue + part.share * share_blue
    return lines


def _filled(parts: Sequence[ChannelPart], level: float, *, bluest_first: bool) -> tuple[float, ...]:
    """Levels of the channels where they are filled one after the other, those of one blue share together."""
    order = sorted({_blue(part) for part in parts}, reverse=bluest_first)
    levels: dict[float, float] = {}
    for blue in order:
        share = sum(part.share for part in parts if _blue(part) == blue)
        levels[blue] = min(1.0, max(0.0, level / share)) if share > 0 else 0.0
        level -= levels[blue] * share
    return tuple(levels[_blue(part)] for part in parts)
