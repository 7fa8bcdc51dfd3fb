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
#: after so many the slope of levels is known far better than anybody can set them
HALVINGS = 30

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
        """A level of each channel with this effective level and this B: all alike where that does (None: that), else as
        near to that as B allows, by the least sum of share x (distance from the effective level) squared. So channels
        of nearly one blue share get nearly one level, and none is at full or off that need not be."""
        even = tuple(level for _ in self.parts)
        if blue is None or not self.free:
            return even
        start = level * self.low
        least, most = self.blue_range(level)
        end = most if blue > start else least
        if abs(end - start) <= SAME_BLUE:
            return even
        filled = _filled(self.parts, level, bluest_first=blue > start)
        return _smoothest(self.parts, level, min(max(blue, least), most), (even, filled))


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


def _smoothest(
    parts: Sequence[ChannelPart], level: float, blue: float, ends: tuple[tuple[float, ...], tuple[float, ...]]
) -> tuple[float, ...]:
    """The levels with this effective level and B that differ least: 0 to 1, linear in the channel's blue share between
    (the Karush-Kuhn-Tucker conditions of that least square). The slope is found by halving between `ends`, slope 0 and
    an endless one, and the last two are mixed, so that level and B are met as exactly as both ends meet theirs."""
    near, far = ends
    steep = 0.0, 1.0
    for _ in range(HALVINGS):
        share = sum(steep) / 2
        slope = share / (1.0 - share) * (1.0 if _blue_part(parts, far) > _blue_part(parts, near) else -1.0)
        tried = _on_a_slope(parts, level, slope)
        if (_blue_part(parts, tried) - blue) * (_blue_part(parts, far) - blue) > 0:
            far, steep = tried, (steep[0], share)
        else:
            near, steep = tried, (share, steep[1])
    gap = _blue_part(parts, far) - _blue_part(parts, near)
    way = (blue - _blue_part(parts, near)) / gap if abs(gap) > 0 else 1.0
    return tuple(min(1.0, max(0.0, a + way * (b - a))) for a, b in zip(near, far, strict=True))


def _on_a_slope(parts: Sequence[ChannelPart], level: float, slope: float) -> tuple[float, ...]:
    """Levels that rise with the blue share by `slope`, within 0 to 1, shifted to have this effective level."""

    def at(fixed: float, end: float) -> tuple[float, ...]:
        """The levels where a channel of this blue share just meets an end."""
        return tuple(min(1.0, max(0.0, end + slope * (_blue(part) - fixed))) for part in parts)

    # between such places the effective level is linear in the shift
    meets = sorted(((_blue(part), end) for part in parts for end in (0.0, 1.0)), key=lambda m: m[1] - slope * m[0])
    for low, high in itertools.pairwise(meets):
        first, last = at(*low), at(*high)
        if _output(parts, last) >= level:
            rise = _output(parts, last) - _output(parts, first)
            way = min(1.0, max(0.0, (level - _output(parts, first)) / rise)) if rise > 0 else 0.0
            return tuple(a + way * (b - a) for a, b in zip(first, last, strict=True))
    return at(*meets[-1])


def _output(parts: Sequence[ChannelPart], levels: Sequence[float]) -> float:
    return sum(part.share * own for part, own in zip(parts, levels, strict=True))


def _blue_part(parts: Sequence[ChannelPart], levels: Sequence[float]) -> float:
    return sum(part.share * own * _blue(part) for part, own in zip(parts, levels, strict=True))


def _filled(parts: Sequence[ChannelPart], level: float, *, bluest_first: bool) -> tuple[float, ...]:
    """Levels of the channels where they are filled one after the other, those of one blue share together."""
    order = sorted({_blue(part) for part in parts}, reverse=bluest_first)
    levels: dict[float, float] = {}
    for blue in order:
        share = sum(part.share for part in parts if _blue(part) == blue)
        levels[blue] = min(1.0, max(0.0, level / share)) if share > 0 else 0.0
        level -= levels[blue] * share
    return tuple(levels[_blue(part)] for part in parts)
