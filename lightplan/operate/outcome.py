"""What comes of setting lights anew: levels, the light they bring, what is missed, and what would do."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any, Literal

from lightplan.choose.as_data import DECIMALS
from lightplan.choose.verify import TOLERANCE
from lightplan.inputs.layout import LayoutLight
from lightplan.operate.calibrate import Calibration

#: the kinds of change that may help where levels alone do not
Kind = Literal["height", "shade", "place", "stronger", "weaker"]


@dataclass(frozen=True)
class SetLight:
    """How a light is to be set: `light` is its number in the layout or its name in alone.csv, `fixture` its model where
    that is known; levels before and after, as shares of its full output, `levels_before` and `levels` those of its
    channels where they differ. `dial_pct` is where its dial stands for the level after, `dials_pct` those of its
    channels, where that is another number."""

    light: int | str
    fixture: str | None
    before: float | None
    level: float
    dimmable: bool
    levels: dict[str, float] = field(default_factory=dict)
    levels_before: dict[str, float] = field(default_factory=dict)
    dial_pct: float | None = None
    dials_pct: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Lit:
    """The light of a zone, or at a point, once the lights are set: PAR in µmol m-2 s-1.

    `par` is the mean of a zone at mid-depth, `par_min` and `par_max` are over its grids; at a point all are the same.
    `misses` are (end, wanted, got, miss), as in `verify.ZoneLight`.
    """

    kind: Literal["zone", "point"]
    name: str
    par: float
    par_min: float
    par_max: float
    wanted: tuple[float, float]
    misses: tuple[tuple[str, float, float, float], ...]

    @property
    def met(self) -> bool:
        """True where it is within its band, to the tolerance of every check (0.5 %)."""
        return all(miss <= TOLERANCE for _, _, _, miss in self.misses)

    @property
    def worst(self) -> float:
        """The largest miss, as a share of the band's end."""
        return max((miss for _, _, _, miss in self.misses), default=0.0)


@dataclass(frozen=True)
class Remedy:
    """One change that helps where levels alone do not: a sentence, which missed places it is for, and whether all is
    then met."""

    kind: Kind
    text: str
    helps: tuple[str, ...]
    enough: bool


@dataclass(frozen=True)
class Retuned:
    """Levels, the light that they bring, what they miss, and what would do. `power_w` is None where it is not known.

    `proven`: whether no whole-per-cent levels are nearer, or as near for less power. `calibration` is what the readings
    said, None where the catalog was believed or there is no geometry. `colour`: what becomes of the blue share that the
    scene asks for, in sentences.
    """

    levels: tuple[SetLight, ...]
    readings: tuple[Lit, ...]
    power_w: float | None
    proven: bool
    remedies: tuple[Remedy, ...]
    calibration: Calibration | None
    layout: tuple[LayoutLight, ...]
    notes: tuple[str, ...] = ()
    colour: tuple[str, ...] = ()

    @property
    def keeps_colour(self) -> bool:
        """True where the channels of some light differ, and are kept in proportion."""
        return any(light.levels_before for light in self.levels)

    @property
    def met(self) -> bool:
        """True where every zone or point is within its band."""
        return all(row.met for row in self.readings)

    def to_dict(self) -> dict[str, Any]:
        """As plain data: the keys of design 7, and more of the same."""
        return {
            "levels": [{key: v for key, v in asdict(light).items() if v != {}} for light in self.levels],
            "readings": [
                {
                    row.kind: row.name,
                    "par": round(row.par, DECIMALS),
                    "par_min": round(row.par_min, DECIMALS),
                    "par_max": round(row.par_max, DECIMALS),
                    "wanted": list(row.wanted),
                    "met": row.met,
                }
                for row in self.readings
            ],
            "misses": [
                {row.kind: row.name, "end": end, "wanted": wanted, "got": round(got, DECIMALS), "miss": round(miss, 6)}
                for row in self.readings
                for end, wanted, got, miss in row.misses
                if miss > TOLERANCE
            ],
            "power_w": None if self.power_w is None else round(self.power_w, DECIMALS),
            "met": self.met,
            "proven": self.proven,
            "remedies": [asdict(remedy) for remedy in self.remedies],
            "calibration": None if self.calibration is None else self.calibration.to_dict(),
            "notes": list(self.notes),
            "colour": list(self.colour),
        }
