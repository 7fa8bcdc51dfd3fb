"""The whole of a tank file as one checked object."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from lightplan.inputs import tank_rules as rules
from lightplan.inputs.catalog_model import Catalog
from lightplan.inputs.errors import Fault
from lightplan.inputs.fields import Checked, about
from lightplan.inputs.tank_parts import Box, Brace, Hanging, Placed, Rock, Spot, Zone
from lightplan.inputs.tank_wishes import (
    Circuit,
    Control,
    Limits,
    Margin,
    Meter,
    Money,
    OwnHours,
    Photoperiod,
    Scene,
    Tariff,
)

# far more than any tank has, and few enough to be checked against each other
MOST = 1000
MOST_SPOTS = 10_000
MOST_SCENES = 100


class Tank(Checked):
    """A tank with everything wanted of its light."""

    box: Annotated[Box, Field(alias="tank"), about("", "the tank")]
    braces: Annotated[
        tuple[Brace, ...], Field(alias="brace", max_length=MOST), about("", "bracing, lid strips, mesh on the rim")
    ] = ()
    rocks: Annotated[
        tuple[Rock, ...], Field(alias="rock", max_length=MOST), about("", "blocks that cast a shadow")
    ] = ()
    zones: Annotated[
        tuple[Zone, ...], Field(alias="zone", max_length=MOST), about("", "boxes where like corals sit")
    ] = ()
    hanging: Annotated[Hanging, about("", "where bought lights may hang")] = Hanging()
    spots: Annotated[
        tuple[Spot, ...], Field(alias="spot", max_length=MOST_SPOTS), about("", "joists and rails instead of rows")
    ] = ()
    placed: Annotated[tuple[Placed, ...], Field(max_length=MOST), about("", "lights that hang already and stay")] = ()
    photoperiod: Annotated[Photoperiod, about("", "the daily hours of light")] = Photoperiod()
    hours: Annotated[tuple[OwnHours, ...], Field(max_length=MOST), about("", "hours of single fixtures")] = ()
    tariffs: Annotated[
        tuple[Tariff, ...], Field(alias="tariff", max_length=MOST), about("", "price of power; none = 0.30 flat")
    ] = ()
    money: Annotated[Money, about("", "currency, years, interest")] = Money()
    limits: Annotated[Limits, about("", "what a purchase may not exceed")] = Limits()
    circuit: Annotated[Circuit | None, about("", "the circuit that the lights hang on")] = None
    control: Annotated[Control, about("", "how much control the lights must have")] = Control()
    margin: Annotated[Margin, about("", "what the plan must also stand")] = Margin()
    meter: Annotated[Meter, about("", "the PAR meter")] = Meter()
    scenes: Annotated[
        tuple[Scene, ...], Field(alias="scene", max_length=MOST_SCENES), about("", "settings the lights must produce")
    ] = ()

    def faults(self) -> Iterator[Fault]:
        """Yield what does not fit together in the file, whatever the catalog says."""
        return rules.tank_faults(self)


def band_of(zone: Zone, catalog: Catalog) -> tuple[float, float]:
    """Return a zone's band in µmol/m²/s: its own, or that of its coral; KeyError for a coral not in the catalog."""
    if zone.par is not None:
        return zone.par
    for coral in catalog.corals:
        if coral.coral == zone.coral:
            return (coral.par_min, coral.par_max)
    raise KeyError(f"no coral {zone.coral!r} in corals.csv")
