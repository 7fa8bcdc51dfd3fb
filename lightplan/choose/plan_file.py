"""The keys of plan.json as declared data: what each must hold, so that a saved plan can be checked in one go."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from lightplan.choose.scenarios import SETTLED, scenes_of
from lightplan.choose.verify import TOLERANCE
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.cross_rules import cross_faults
from lightplan.inputs.errors import Fault, KeyPath
from lightplan.inputs.fields import FURTHEST_OUT_CM, MOST_CM, MOST_COUNT, Checked, about
from lightplan.inputs.tank import Tank

FURTHEST_CM = MOST_CM + FURTHEST_OUT_CM
BAND = "two numbers, [lowest, highest]"
TEXTS = "a list of texts"
NUMBER_OR_TEXT = "a number or a text"
NO_TEXTS: dict[str, str] = {}
NO_LEVELS: dict[str, float] = {}

End = Literal["lower", "upper", "DLI lower", "DLI upper", "blue lower", "blue upper"]


class PlaceData(Checked):
    """How a light hangs and burns in one scene."""

    height_cm: Annotated[float, about("cm", "height above the water", above=0, high=MOST_CM)]
    shade: Annotated[str | None, about("", "shade under it")] = None
    level: Annotated[float | None, about("", "level", low=0, high=1)] = None
    levels: Annotated[
        dict[str, Annotated[float, Field(ge=0, le=1)]], about("", "level of each channel", needs="a number from 0 to 1")
    ] = NO_LEVELS
    # told for people: they follow from the levels and the catalog
    dial_pct: Annotated[float | None, about("%", "where its dial stands", low=0, high=100)] = None
    dials_pct: Annotated[
        dict[str, Annotated[float, Field(ge=0, le=100)]], about("%", "dial of each channel", needs="a number, 0 to 100")
    ] = NO_LEVELS

    def faults(self) -> Iterator[Fault]:
        """Yield a place with no level, or with one of the whole and others of the channels."""
        if (self.level is None) == (not self.levels):
            has = "neither of them is there" if self.level is None else "both are there"
            yield Fault(("level",), f"needs level, or levels with one for each channel: {has}", needs=(("levels",),))


class LightData(Checked):
    """A light that hangs, with its place in each scene."""

    fixture: Annotated[str, about("", "name of the model")]
    x_cm: Annotated[float, about("cm", "centre, from the left", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    y_cm: Annotated[float, about("cm", "centre, from the front", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    turned: Annotated[bool, about("", "turned a quarter")]
    placed: Annotated[bool, about("", "hung already")]
    scenes: Annotated[dict[str, PlaceData], about("", "its place in each scene")]


class ItemData(Checked):
    """A line of the shopping list."""

    item: Annotated[str, about("", "what is bought")]
    kind: Annotated[Literal["fixture", "owned", "extra", "shade"], about("", "what sort of thing it is")]
    count: Annotated[int, about("", "how many", low=1, high=MOST_COUNT)]
    unit_price: Annotated[float, about("money", "price of one", low=0)]
    price: Annotated[float, about("money", "price of all", low=0)]


class ZoneMissData(Checked):
    """A band end that a zone misses, by whatever little."""

    end: Annotated[End, about("", "which end")]
    wanted: Annotated[float, about("", "the end")]
    got: Annotated[float, about("", "the worst point")]
    miss: Annotated[float, about("", "share of the end")]


class MissData(ZoneMissData):
    """The same, with its scene and zone."""

    scene: Annotated[str, about("", "the scene")]
    zone: Annotated[str, about("", "the zone")]


class ZoneData(Checked):
    """One zone in one scene."""

    zone: Annotated[str, about("", "the zone")]
    scene: Annotated[str, about("", "the scene")]
    par_min: Annotated[float, about("", "lowest PAR")]
    par_mean: Annotated[float, about("", "average PAR")]
    par_max: Annotated[float, about("", "highest PAR")]
    wanted: Annotated[tuple[float, float], about("", "the band", needs=BAND, stand_in=[0, 1])]
    met: Annotated[bool, about("", "whether the zone's light lies in its band")]
    dli_mean: Annotated[float, about("", "average DLI")]
    dimmable_share: Annotated[float | None, about("", "part of the mean PAR from dimmable lights")]
    blue_share: Annotated[float | None, about("", "blue share of the mean PAR")] = None
    misses: Annotated[tuple[ZoneMissData, ...], about("", "band ends missed")] = ()

    @property
    def has_misses(self) -> bool:
        """False in a plan of an older version, which tells misses only in the list of all of them."""
        return "misses" in self.model_fields_set

    def faults(self) -> Iterator[Fault]:
        """Yield a verdict that the misses do not bear out."""
        if not self.has_misses:
            return
        worst = max((miss.miss for miss in self.misses), default=0.0)
        # a miss just outside the tolerance may have been rounded to it
        if (worst > TOLERANCE) if self.met else (worst < TOLERANCE - 1e-6):
            message = f"met is {'true' if self.met else 'false'}: the misses of the zone say otherwise"
            yield Fault(("met",), message, needs=(("misses",),))


class CostData(Checked):
    """What the plan costs."""

    purchase: Annotated[float, about("money", "lights, at once")]
    extras: Annotated[float, about("money", "extras and shades, at once")]
    energy_per_year: Annotated[float, about("money", "power, a year")]
    upkeep_per_year: Annotated[float, about("money", "lamps, a year")]
    ownership: Annotated[float, about("money", "all of it over the years")]
    currency: Annotated[str, about("", "label of the currency")] = ""


class EnergyData(Checked):
    """What the plan draws."""

    kwh_per_year: Annotated[float, about("kWh", "a year")]
    peak_w: Annotated[float, about("W", "in the largest scene")]


class ValueData(Checked):
    """What the money buys."""

    delivered_par: Annotated[float, about("", "average PAR over the zones")]
    purchase_per_par: Annotated[float | None, about("", "price of a unit of it")]
    purchase_per_umol_s: Annotated[float | None, about("", "the same over the zones' area")]
    ownership_per_mol: Annotated[float | None, about("", "price of the light of all years")]


class WishData(Checked):
    """A wish whose loosening alone makes a plan possible."""

    wish: Annotated[str, about("", "the wish")]
    from_: Annotated[float | str, Field(alias="from"), about("", "what it is", needs=NUMBER_OR_TEXT)]
    to: Annotated[float | str, about("", "what it would have to be", needs=NUMBER_OR_TEXT)]
    proven: Annotated[bool, about("", "nothing less would do")] = True


class MarginData(Checked):
    """Whether a scene under a margin is met."""

    scenario: Annotated[str, about("", "the scenario")]
    met: Annotated[bool | None, about("", "whether it is met")]
    misses: Annotated[tuple[MissData, ...], about("", "what it misses")] = ()


class DarkZoneData(Checked):
    """A zone without one of the lights."""

    zone: Annotated[str, about("", "the zone")]
    par_min: Annotated[float, about("", "lowest PAR")]
    par_mean: Annotated[float, about("", "average PAR")]
    low: Annotated[bool, about("", "below its band")]


class WithoutData(Checked):
    """All zones without one of the lights."""

    light: Annotated[int, about("", "its place in hang", low=1, high=MOST_COUNT)]
    fixture: Annotated[str, about("", "name of the model")]
    zones: Annotated[tuple[DarkZoneData, ...], about("", "each zone")]


class BrightZoneData(Checked):
    """A zone with all lights at full level."""

    zone: Annotated[str, about("", "the zone")]
    par_max: Annotated[float, about("", "highest PAR")]
    over: Annotated[bool, about("", "above its band")]


class WhatIfData(Checked):
    """What happens when a light goes out, or all come back at full level."""

    without: Annotated[tuple[WithoutData, ...], about("", "each light out")] = ()
    all_full: Annotated[tuple[BrightZoneData, ...], about("", "all at full level")] = ()


class GivenData(Checked):
    """The tank and the catalog that the plan was made from."""

    tank: Annotated[Tank, about("", "the tank")]
    catalog: Annotated[Catalog, about("", "the catalog")]


class PlanData(Checked):
    """All keys of plan.json."""

    status: Annotated[
        Literal["optimal", "time limit", "interrupted", "closest", "none"], about("", "what kind of answer it is")
    ]
    gap: Annotated[float | None, about("", "how far above the least cost, as a share", low=0)]
    bound: Annotated[float | None, about("", "the proven least")]
    seconds: Annotated[float, about("s", "time taken", low=0)]
    impossible: Annotated[bool | None, about("", "proven that no plan meets every wish")] = None
    compared: Annotated[bool, about("", "whether other lights were looked at")] = True
    goal: Annotated[str, about("", "what it was chosen for, if not for its cost")] = ""
    buy: Annotated[tuple[ItemData, ...], about("", "the shopping list")]
    hang: Annotated[tuple[LightData, ...], about("", "the lights that hang")]
    zones: Annotated[tuple[ZoneData, ...], about("", "each zone in each scene")]
    cost: Annotated[CostData | None, about("", "what it costs")]
    energy: Annotated[EnergyData | None, about("", "what it draws")]
    value: Annotated[ValueData | None, about("", "what the money buys")]
    misses: Annotated[tuple[MissData, ...], about("", "band ends missed")]
    relax: Annotated[tuple[WishData, ...], about("", "wishes to loosen")]
    margins: Annotated[tuple[MarginData, ...], about("", "scenes under margins")]
    what_if: Annotated[WhatIfData, about("", "what if")]
    warnings: Annotated[tuple[str, ...], about("", "sentences", needs=TEXTS, stand_in=[])]
    given: Annotated[GivenData, about("", "tank and catalog")]
    inputs: Annotated[dict[str, str], about("", "SHA-256 of each file", needs="a text for each file")] = NO_TEXTS
    version: Annotated[str, about("", "version that wrote it")]

    def faults(self) -> Iterator[Fault]:
        """Yield what does not fit together: tank and catalog, names, a plan without a cost."""
        for fault in cross_faults(self.given.tank, self.given.catalog):
            if fault.severity == "error":
                yield fault.below(("given", "catalog" if fault.in_catalog else "tank"))
        yield from self._halves()
        yield from self._names()

    def _halves(self) -> Iterator[Fault]:
        """A plan has a cost, and what is none has not."""
        whole = self.status != "none"
        for key in ("cost", "energy", "value"):
            if (getattr(self, key) is not None) != whole:
                message = f"{key} is {'missing' if whole else 'given'}: the status is {self.status!r}"
                yield Fault((key,), message, needs=(("status",),))
        if not whole and self.hang:
            yield Fault(("hang",), "hang has lights: the status is 'none'", needs=(("status",),))

    def _names(self) -> Iterator[Fault]:
        """What is named is in the tank and the catalog given."""
        tank, catalog = self.given.tank, self.given.catalog
        scenes = [scene.name for scene in scenes_of(tank)]
        zones = {zone.name for zone in tank.zones}
        bought = {
            "fixture": {row.fixture for row in catalog.fixtures},
            "owned": {row.fixture for row in catalog.fixtures},
            "extra": {row.extra for row in catalog.extras},
            "shade": {row.shade for row in catalog.shades},
        }
        for k, item in enumerate(self.buy):
            if item.item not in bought[item.kind]:
                yield _stranger(("buy", k, "item"), item.item, "catalog")
        for k, light in enumerate(self.hang):
            if light.fixture not in bought["fixture"]:
                yield _stranger(("hang", k, "fixture"), light.fixture, "catalog")
            if set(light.scenes) != set(scenes):
                message = f"scenes has {', '.join(light.scenes) or 'none'}: needs {', '.join(scenes)}"
                yield Fault(("hang", k, "scenes"), message, needs=(("given",),))
            for name, place in light.scenes.items():
                if place.shade is not None and place.shade not in bought["shade"]:
                    yield _stranger(("hang", k, "scenes", name, "shade"), place.shade, "catalog")
                if place.levels and light.fixture in bought["fixture"]:
                    yield from _channels(("hang", k, "scenes", name, "levels"), place, light.fixture, catalog)
        for k, row in enumerate(self.zones):
            if row.zone not in zones:
                yield _stranger(("zones", k, "zone"), row.zone, "tank")
            if row.scene not in scenes:
                yield _stranger(("zones", k, "scene"), row.scene, "tank")
        yield from self._all_zones(zones)

    def _all_zones(self, zones: set[str]) -> Iterator[Fault]:
        """A plan speaks of every zone in normal running."""
        told = {row.zone for row in self.zones if row.scene == SETTLED}
        missing = sorted(zones - told) if self.status != "none" else []
        if missing:
            message = f"zones has no row for {missing[0]!r} in scene {SETTLED!r}"
            yield Fault(("zones",), message, needs=(("given",), ("status",)))


def _channels(path: KeyPath, place: PlaceData, fixture: str, catalog: Catalog) -> Iterator[Fault]:
    """A place's levels are those of the channels of its fixture."""
    names = {row.channel for row in catalog.channels_of(fixture)}
    if set(place.levels) != names:
        message = f"levels has {', '.join(place.levels)}: needs {', '.join(sorted(names))}"
        yield Fault(path, message, needs=(("given",),))


def _stranger(path: KeyPath, name: str, where: str) -> Fault:
    message = f"{path[-1]} is {name!r}: the {where} that is given has none of that name"
    return Fault(path, message, needs=(("given",),))
