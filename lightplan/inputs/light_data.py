"""What a catalog tells of a fixture's light beside its row: readings of a meter, and dials that are not the output."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Annotated

from lightplan.inputs.errors import Fault
from lightplan.inputs.fields import MOST_CM, MOST_PAR, Checked, Name, Text, about

FARTHEST_OFF_CM = 1000.0
# mirror reflectance of a pane, as in the tank file
USUAL_WALLS = 0.5


class Reading(Checked):
    """One reading of a meter under one fixture at full level: a row of readings.csv."""

    fixture: Annotated[Name, about("", "name of the model, as in fixtures.csv")]
    height_cm: Annotated[
        float, about("cm", "hanging height above the water, or above the sensor in air", above=0, high=MOST_CM)
    ]
    depth_cm: Annotated[float, about("cm", "depth of the sensor; 0 = in air", low=0, high=MOST_CM)]
    x_cm: Annotated[
        float,
        about(
            "cm", "from the fixture's centre along its length", low=-FARTHEST_OFF_CM, high=FARTHEST_OFF_CM, stand_in=0.0
        ),
    ]
    y_cm: Annotated[
        float,
        about(
            "cm", "from the fixture's centre across its width", low=-FARTHEST_OFF_CM, high=FARTHEST_OFF_CM, stand_in=0.0
        ),
    ]
    par: Annotated[float, about("µmol/m²/s", "PAR that the meter read, fixture at full level", low=0, high=MOST_PAR)]
    tank_length_cm: Annotated[
        float | None,
        about(
            "cm", "read in a glass tank under whose middle the fixture hung: its length inside", above=0, high=MOST_CM
        ),
    ] = None
    tank_width_cm: Annotated[float | None, about("cm", "its width inside", above=0, high=MOST_CM)] = None
    walls: Annotated[
        float | None,
        about("", "how much of the light its panes mirror, as in the tank file; blank = 0.5", low=0, high=1),
    ] = None

    @property
    def tank(self) -> tuple[float, float, float] | None:
        """Length and width of the tank it was read in, cm, and what its panes mirror; None in open water or air."""
        if self.tank_length_cm is None or self.tank_width_cm is None:
            return None
        return self.tank_length_cm, self.tank_width_cm, USUAL_WALLS if self.walls is None else self.walls


class DialRow(Checked):
    """Where a dimmer's dial is not its output: a row of dial.csv."""

    fixture: Annotated[Name, about("", "name of the model, as in fixtures.csv")]
    channel: Annotated[
        Name | None, about("", "name of the channel, as in channels.csv; blank = every channel of the fixture")
    ] = None
    dial_pct: Annotated[float, about("%", "where the dial, slider or app stands", low=0, high=100)]
    output_pct: Annotated[float, about("%", "light that comes out, of that at full level", low=0, high=100)]


class Photometry(Checked):
    """What a photometric file says of how a light spreads: candelas by angle from straight down.

    At an angle round of phi from the light's longer side they are candela + candela_oval cos 2 phi, and at most
    candela_off more or less.
    """

    file: Annotated[Text, about("", "name of the file beside the catalog")]
    planes: Annotated[int, about("", "how many planes round the light it has", low=1)]
    lumens: Annotated[float, about("lm", "flux of its candelas", above=0)]
    angle_deg: Annotated[
        tuple[float, ...], about("degrees", "vertical angles, 0 is straight down", stand_in=[0.0, 90.0])
    ]
    candela: Annotated[tuple[float, ...], about("cd", "mean of all planes at each", stand_in=[1.0, 1.0])]
    candela_oval: Annotated[tuple[float, ...], about("cd", "how much more along than across", stand_in=[0.0, 0.0])]
    candela_off: Annotated[tuple[float, ...], about("cd", "of the plane farthest from that", stand_in=[0.0, 0.0])]

    def faults(self) -> Iterator[Fault]:
        """Yield columns of unlike length, angles that do not rise, candelas that cannot be."""
        every = (self.candela, self.candela_oval, self.candela_off)
        if len(self.angle_deg) < 2 or any(len(row) != len(self.angle_deg) for row in every):
            yield Fault(("angle_deg",), "needs two angles or more, with as many candelas")
        elif any(b <= a for a, b in pairwise(self.angle_deg)) or not 0 <= self.angle_deg[0] < self.angle_deg[-1] <= 180:
            yield Fault(("angle_deg",), "needs angles that rise from 0 to 90 or 180")
        elif min(self.candela) < 0 or min(self.candela_off) < 0 or not max(self.candela) > 0:
            yield Fault(("candela",), "needs candelas that are not below 0, and one above it")


@dataclass(frozen=True)
class LightData:
    """What the catalog's other tables and files tell of one fixture's light. Many ask for its hash, so it is kept."""

    readings: tuple[Reading, ...] = ()
    photometry: Photometry | None = None

    def __hash__(self) -> int:
        """The same for equal data."""
        return self._kept_hash

    @cached_property
    def _kept_hash(self) -> int:
        return hash((self.readings, self.photometry))

    def __reduce__(self) -> tuple[type[LightData], tuple[tuple[Reading, ...], Photometry | None]]:
        """Travel between processes without the hash, which is another in each."""
        return LightData, (self.readings, self.photometry)

    def brighter(self, factor: float) -> LightData:
        """The same of a fixture that gives so many times the light."""
        return replace(self, readings=tuple(row.model_copy(update={"par": factor * row.par}) for row in self.readings))


def rows_of(readings: Iterable[Reading]) -> Mapping[str, tuple[Reading, ...]]:
    """Readings by the name of the fixture under which they were taken."""
    rows: dict[str, list[Reading]] = {}
    for row in readings:
        rows.setdefault(row.fixture, []).append(row)
    return {name: tuple(own) for name, own in rows.items()}
