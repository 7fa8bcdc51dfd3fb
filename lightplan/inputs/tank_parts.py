"""Parts of a tank file that say what is where: the tank, its obstacles, its zones, and where lights may hang."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from lightplan.inputs.errors import Fault
from lightplan.inputs.fields import (
    BAND,
    DEPTH_SPAN,
    DEPTHS,
    DLI_BAND,
    FURTHEST_OUT_CM,
    HEIGHTS,
    MOST_CM,
    MOST_KG,
    POSITIONS,
    SPAN,
    Band,
    Checked,
    Depths,
    DepthSpan,
    DliBand,
    Heights,
    Name,
    Positions,
    Span,
    about,
)

FURTHEST_CM = MOST_CM + FURTHEST_OUT_CM
# finer steps than this can't be hung, and give more spots than any plan can weigh
FINEST_STEP_CM = 0.5


class Walls(Checked):
    """Mirror reflectance of each inner face; clean glass about 0.85, a dark or overgrown back 0.1."""

    left: Annotated[float, about("", "reflectance of the left pane", low=0, high=1)] = 0.5
    right: Annotated[float, about("", "reflectance of the right pane", low=0, high=1)] = 0.5
    front: Annotated[float, about("", "reflectance of the front pane", low=0, high=1)] = 0.5
    back: Annotated[float, about("", "reflectance of the back pane", low=0, high=1)] = 0.5


class Box(Checked):
    """The water volume, its cover, its water and its walls."""

    name: Annotated[Name, about("", "name of the tank")] = "tank"
    length_cm: Annotated[float, about("cm", "inner length, left to right", above=0, high=MOST_CM)]
    width_cm: Annotated[float, about("cm", "inner width, front to back", above=0, high=MOST_CM)]
    depth_cm: Annotated[float, about("cm", "depth of the water", above=0, high=MOST_CM)]
    cover_transmission: Annotated[float, about("", "part of the light a cover lets through", above=0, high=1)] = 1.0
    attenuation_per_m: Annotated[float, about("1/m", "how clear the water is", low=0, high=20)] = 0.15
    refractive_index: Annotated[float, about("", "of the water", low=1, high=2)] = 1.339
    rim_above_water_cm: Annotated[float, about("cm", "how far the rim stands above the water", low=0, high=1000)] = 3.0
    ceiling_above_water_cm: Annotated[
        float | None, about("cm", "only to print measures people can take", above=0, high=MOST_CM)
    ] = None
    walls: Annotated[Walls, about("", "mirror reflectance of each inner face")] = Walls()


class Brace(Checked):
    """Bracing, a lid strip, or a sheet of mesh lying on the rim."""

    x_cm: Annotated[Span, about("cm", "from and to, from the left", needs=SPAN, stand_in=[0, 1])]
    y_cm: Annotated[Span, about("cm", "from and to, from the front", needs=SPAN, stand_in=[0, 1])]
    transmission: Annotated[float, about("", "part of the light that it lets through", low=0, high=1)] = 0.0


class Rock(Checked):
    """A block that casts a shadow."""

    x_cm: Annotated[Span, about("cm", "from and to, from the left", needs=SPAN, stand_in=[0, 1])]
    y_cm: Annotated[Span, about("cm", "from and to, from the front", needs=SPAN, stand_in=[0, 1])]
    depth_cm: Annotated[DepthSpan, about("cm", "top and bottom, below the surface", needs=DEPTH_SPAN, stand_in=[0, 1])]


class Zone(Checked):
    """A box in the water where like corals sit, and the light they want."""

    name: Annotated[Name, about("", "name of the zone")]
    x_cm: Annotated[Span, about("cm", "from and to, from the left", needs=SPAN, stand_in=[0, 1])]
    y_cm: Annotated[Span, about("cm", "from and to, from the front", needs=SPAN, stand_in=[0, 1])]
    depth_cm: Annotated[
        Depths, about("cm", "below the surface, one number or top and bottom", needs=DEPTHS, stand_in=[0, 1])
    ]
    coral: Annotated[Name | None, about("", "kind of coral, whose band in corals.csv applies; or give par")] = None
    par: Annotated[
        Band | None, about("µmol/m²/s", "band, lowest and highest acceptable PAR; or give coral", needs=BAND)
    ] = None
    dli: Annotated[
        DliBand | None, about("mol/m²/d", "lowest and highest acceptable DLI, in normal running", needs=DLI_BAND)
    ] = None

    def faults(self) -> Iterator[Fault]:
        """Yield a zone with no band, or with two."""
        if self.coral is None and self.par is None:
            message = 'neither coral nor par is given: needs coral = "..." or par = [lowest, highest]'
            yield Fault(("par",), message, needs=(("coral",),))
        if self.coral is not None and self.par is not None:
            yield Fault(("par",), "both coral and par are given: needs one of the two", needs=(("coral",),))


class Hanging(Checked):
    """Where bought lights may hang, and how high."""

    rows_y_cm: Annotated[
        Positions | None, about("cm", "rows, from the front; blank = one along the middle", needs=POSITIONS)
    ] = None
    step_cm: Annotated[float, about("cm", "step between spots along a row", low=FINEST_STEP_CM, high=MOST_CM)] = 10.0
    heights_cm: Annotated[Heights, about("cm", "hanging heights to choose from", needs=HEIGHTS)] = (15.0, 25.0, 40.0)
    turned: Annotated[bool, about("", "offer each spot turned a quarter, too")] = False
    mirrored: Annotated[bool, about("", "what hangs at x hangs at length - x too")] = False
    overhang_cm: Annotated[
        float | None, about("cm", "how far bodies may stand out over the rim; blank = no limit", low=0, high=MOST_CM)
    ] = None
    spot_load_kg: Annotated[float | None, about("kg", "what each spot can carry", above=0, high=MOST_KG)] = None


class Spot(Checked):
    """A place on a joist or rail; where there are any, they replace the rows."""

    x_cm: Annotated[float, about("cm", "from the left", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    y_cm: Annotated[float, about("cm", "from the front", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    load_kg: Annotated[float | None, about("kg", "what it can carry", above=0, high=MOST_KG)] = None


class Placed(Checked):
    """A light that hangs already, and stays."""

    fixture: Annotated[Name, about("", "name of the model, as in fixtures.csv")]
    x_cm: Annotated[float, about("cm", "centre, from the left", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    y_cm: Annotated[float, about("cm", "centre, from the front", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    height_cm: Annotated[
        float | None, about("cm", "its height above the water; or give heights_cm", above=0, high=MOST_CM)
    ] = None
    heights_cm: Annotated[Heights | None, about("cm", "the heights it may have; or give height_cm", needs=HEIGHTS)] = (
        None
    )
    turned: Annotated[bool, about("", "turned a quarter")] = False

    @property
    def heights(self) -> tuple[float, ...]:
        """The heights it may have, in cm: one, or several to choose from."""
        if self.heights_cm is not None:
            return self.heights_cm
        return () if self.height_cm is None else (self.height_cm,)

    def faults(self) -> Iterator[Fault]:
        """Yield a light with no height, or with a height given twice."""
        if self.height_cm is None and self.heights_cm is None:
            message = "height_cm is missing: needs height_cm = 20, or heights_cm = [20, 30]"
            yield Fault(("height_cm",), message, needs=(("heights_cm",),))
        if self.height_cm is not None and self.heights_cm is not None:
            message = "both height_cm and heights_cm are given: needs one of the two"
            yield Fault(("heights_cm",), message, needs=(("height_cm",),))
