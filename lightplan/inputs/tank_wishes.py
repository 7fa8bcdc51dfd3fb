"""Parts of a tank file that say what is wanted and what it may cost: hours, money, limits, margins and scenes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from lightplan.inputs.errors import Fault
from lightplan.inputs.fields import (
    BAND,
    CLOCK,
    MOST_COUNT,
    MOST_KG,
    MOST_MONEY,
    MOST_WATTS,
    PERCENT_BAND,
    Band,
    Checked,
    Clock,
    Name,
    PercentBand,
    Text,
    about,
)

HOURS_A_DAY = 24.0


def day_too_short(full_hours: float, ramp_hours: float) -> Iterator[Fault]:
    """The hours at full level and both ramps fit into one day."""
    total = full_hours + 2 * ramp_hours
    if total > HOURS_A_DAY:
        message = f"full_hours + 2 x ramp_hours is {total:g}: needs {HOURS_A_DAY:g} at most"
        yield Fault(("ramp_hours",), message, needs=(("full_hours",),))


class Photoperiod(Checked):
    """The daily hours of light."""

    start: Annotated[Clock, about("HH:MM", "beginning of sunrise", needs=CLOCK)] = "10:00"
    full_hours: Annotated[float, about("h", "hours at full level", above=0, high=HOURS_A_DAY)] = 8.0
    ramp_hours: Annotated[float, about("h", "length of sunrise, and of sunset", low=0, high=HOURS_A_DAY / 2)] = 0.0

    def faults(self) -> Iterator[Fault]:
        """Yield hours that do not fit into a day."""
        return day_too_short(self.full_hours, self.ramp_hours)


class OwnHours(Checked):
    """The daily hours of one fixture, where they differ; what is left out is as in the photoperiod."""

    fixture: Annotated[Name, about("", "name of the model, as in fixtures.csv")]
    start: Annotated[Clock | None, about("HH:MM", "beginning of sunrise", needs=CLOCK)] = None
    full_hours: Annotated[float | None, about("h", "hours at full level", above=0, high=HOURS_A_DAY)] = None
    ramp_hours: Annotated[float | None, about("h", "length of sunrise, and of sunset", low=0, high=HOURS_A_DAY / 2)] = (
        None
    )


class Tariff(Checked):
    """The price of power, all day or between two times."""

    price_per_kwh: Annotated[float, about("money/kWh", "price of power", low=0, high=MOST_MONEY)]
    from_: Annotated[
        Clock | None, Field(alias="from"), about("HH:MM", "holds from; blank = where no other does", needs=CLOCK)
    ] = None
    to: Annotated[Clock | None, about("HH:MM", "holds to; may be past midnight", needs=CLOCK)] = None

    def faults(self) -> Iterator[Fault]:
        """Yield a row with one time only, or with two that are the same."""
        if (self.from_ is None) != (self.to is None):
            missing, given = ("from", "to") if self.from_ is None else ("to", "from")
            message = f"{given} is given without {missing}: needs both, or neither for the rest of the day"
            yield Fault((missing,), message, needs=((given,),))
        if self.from_ is not None and self.from_ == self.to:
            message = f"from and to are both {self.to!r}: leave both out for the whole day"
            yield Fault(("to",), message, needs=(("from",),))


class Money(Checked):
    """The owner's currency, and how later payments are weighed."""

    currency: Annotated[Text, about("", "label of your currency")] = ""
    years: Annotated[int, about("years", "how long the lights will be owned", low=1, high=100)] = 5
    discount_rate: Annotated[float, about("1/year", "0.03 = 3 % a year", above=-0.5, high=1)] = 0.03


class Limits(Checked):
    """What a purchase may not exceed; each is optional."""

    budget: Annotated[float | None, about("money", "purchase and extras", low=0, high=MOST_MONEY)] = None
    power_w: Annotated[float | None, about("W", "power of the largest scene", low=0, high=MOST_WATTS)] = None
    load_kg: Annotated[float | None, about("kg", "weight of all bought lights", low=0, high=MOST_KG)] = None
    fixtures: Annotated[int | None, about("", "number of bought lights", low=0, high=MOST_COUNT)] = None
    models: Annotated[int | None, about("", "number of different bought models", low=0, high=MOST_COUNT)] = None


class Circuit(Checked):
    """The circuit that the lights hang on; above 80 % of it there is a warning."""

    volts: Annotated[float, about("V", "mains voltage", above=0, high=1000)]
    breaker_a: Annotated[float, about("A", "rating of the breaker", above=0, high=1000)]
    other_w: Annotated[float, about("W", "drawn by everything else on it", low=0, high=MOST_WATTS)] = 0.0


class Control(Checked):
    """How much control the lights must have."""

    dimmable_share: Annotated[
        float | None, about("", "least part of each zone's PAR from dimmable lights", low=0, high=1)
    ] = None
    built_in_timing: Annotated[bool, about("", "only fixtures with timing built-in may be bought")] = False


class Margin(Checked):
    """What the plan must also stand."""

    claims: Annotated[
        bool | Annotated[float, Field(ge=0, le=100)],
        about("", "claims off by claim error, or a factor on it", needs="true, false or a number from 0 to 100"),
    ] = True
    ageing: Annotated[bool, about("", "normal running at the end of the years, too")] = False

    @property
    def claims_factor(self) -> float:
        """The factor on every claim error: true = 1, false = 0."""
        return float(self.claims)


class Meter(Checked):
    """The PAR meter."""

    available: Annotated[bool, about("", "whether the owner measures and sets the levels by it")] = True
    immersion_factor: Annotated[
        float,
        about("", "readings under water are multiplied by it (common practice: 1.0 to 1.4)", above=0, high=10),
    ] = 1.0


class SceneZone(Checked):
    """What a scene wants of one zone instead of the zone's own band."""

    par: Annotated[Band, about("µmol/m²/s", "band in this scene, not scaled", needs=BAND, stand_in=[0, 1])]


NO_ZONES: dict[Name, SceneZone] = {}


class Scene(Checked):
    """One setting of all lights that a purchase must be able to produce."""

    name: Annotated[Name, about("", 'name of the scene; "settled" amends normal running')]
    par_scale: Annotated[float, about("", "multiplies both ends of every band", above=0, high=1000)] = 1.0
    blue_share_pct: Annotated[
        PercentBand | None, about("%", "lowest and highest blue share at every point of every zone", needs=PERCENT_BAND)
    ] = None
    at_least: Annotated[bool, about("", "false: only upper ends of bands bind, and no bought light is off")] = True
    rehang: Annotated[bool, about("", "false: heights and shades as in normal running")] = True
    zones: Annotated[dict[Name, SceneZone], Field(alias="zone"), about("", "bands of single zones")] = NO_ZONES
