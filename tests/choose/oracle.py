"""Brute force over everything that may be bought and hung: what the purchase model must agree with, on tiny tanks.

Nothing here is shared with the purchase model: grids, bands, scenes, margins, money, room and hanging rules are written
down once more from the specification, every set of lights and every way to hang and light them is tried one by one, and
only the levels of dimmable lights are left to a solver (scipy's `linprog`). The PAR of each light alone, which the
model takes as given too, comes from `lightplan.light`, and so does the blue share of each channel.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog  # type: ignore[import-untyped]

from lightplan.inputs.catalog import Catalog, Extra, Fixture
from lightplan.inputs.tank import Scene, Tank, Zone
from lightplan.light.channels import channel_lights
from lightplan.light.emitter import fit_emitter
from lightplan.light.field import Source, influence

Array = NDArray[np.float64]
Place = tuple[float, str | None]  # height in cm, shade
Lit = tuple[int, float, str | None]  # number of a spot, height in cm, shade
Stock = tuple[int, ...]  # how many of each shade

NEAR = 1e-6
#: a light that is lit gives some light, whatever its lowest level is said to be
LEAST_LIT = 0.001
HOURS_TO_MOL = 3600 / 1e6


# --- money and power, in plain sums -----------------------------------------------------------------------------------


def present_value_of_one_a_year(rate: float, years: int) -> float:
    return sum((1 + rate) ** -year for year in range(1, years + 1))


def bought_again(fixture: Fixture, tank: Tank) -> float:
    """Present value of buying it again at each end of its life that falls inside the years."""
    if fixture.life_years is None:
        return 0.0
    total, times = 0.0, 1
    while times * fixture.life_years < tank.money.years - 1e-9:
        total += fixture.price * (1 + tank.money.discount_rate) ** -(times * fixture.life_years)
        times += 1
    return total


def clock(text: str) -> int:
    hour, minute = text.split(":")
    return 60 * int(hour) + int(minute)


def hours(tank: Tank, fixture: Fixture) -> tuple[float, float, float]:
    """Start in minutes, full hours and ramp hours of a fixture: its own where given."""
    start, full, ramp = tank.photoperiod.start, tank.photoperiod.full_hours, tank.photoperiod.ramp_hours
    for row in tank.hours:
        if row.fixture == fixture.fixture:
            start = start if row.start is None else row.start
            full = full if row.full_hours is None else row.full_hours
            ramp = ramp if row.ramp_hours is None else row.ramp_hours
    return clock(start), full, ramp


def equivalent_hours(tank: Tank, fixture: Fixture) -> float:
    _, full, ramp = hours(tank, fixture)
    return full + ramp if fixture.timing == "built-in" else full


def share_at(tank: Tank, fixture: Fixture, minute: int) -> float:
    """Share of its level in the middle of a minute of the day."""
    start, full, ramp = hours(tank, fixture)
    if fixture.timing == "none":
        return 1.0 if (minute + 0.5 - start - 60 * ramp) % 1440 < 60 * full else 0.0
    since = (minute + 0.5 - start) % 1440
    if since < 60 * ramp:
        return since / (60 * ramp)
    if since < 60 * (ramp + full):
        return 1.0
    return max(0.0, 1 - (since - 60 * (ramp + full)) / (60 * ramp)) if ramp else 0.0


def price_at(tank: Tank, minute: int) -> float:
    if not tank.tariffs:
        return 0.30
    flat = 0.0
    for row in tank.tariffs:
        if row.from_ is None or row.to is None:
            flat = row.price_per_kwh
        elif (minute - clock(row.from_)) % 1440 < (clock(row.to) - clock(row.from_)) % 1440:
            return row.price_per_kwh
    return flat


@dataclass(frozen=True)
class Running:
    """What one fixture costs a year in "settled": for each unit of level, besides that while lit, and while off."""

    level: float
    lit: float
    off: float


def running_cost(tank: Tank, fixture: Fixture) -> Running:
    level = lit = off = 0.0
    for minute in range(1440):
        price = price_at(tank, minute) * 365 / 60 / 1000
        share = share_at(tank, fixture, minute)
        level += price * fixture.power_w * share
        lit += 0.0 if share > 0 else price * fixture.standby_w
        off += price * fixture.standby_w
    lamps = fixture.lamp_cost * 12 / fixture.lamp_months if fixture.lamp_months else 0.0
    return Running(level, lit + lamps, off)


def lowest_level(fixture: Fixture) -> float:
    """Lowest level above off."""
    return max(LEAST_LIT, fixture.min_level_pct / 100) if fixture.dimming != "none" else 1.0


def needs(extra: Extra, fixture: Fixture) -> bool:
    kind, _, name = extra.needed_by.partition(":")
    if kind == "group":
        return fixture.group == name
    return (kind == "timing" and fixture.timing == "none") or (kind == "hang" and fixture.hang == "wire")


def extras_price(catalog: Catalog, counts: Counter[str]) -> float:
    """Timers, hubs, kits and rentals for so many bought fixtures of each name."""
    total = 0.0
    for extra in catalog.extras:
        needing = sum(counts[f.fixture] for f in catalog.fixtures if needs(extra, f))
        if extra.needed_by == "plan" or (extra.needed_by.startswith("group:") and extra.serves is None and needing):
            total += extra.price
        else:
            total += extra.price * -(-needing // (extra.serves or 1))
    return total


def purchase_price(catalog: Catalog, counts: Counter[str]) -> float:
    return sum(f.price * max(0, counts[f.fixture] - f.owned) for f in catalog.fixtures)


def later_price(tank: Tank, catalog: Catalog, counts: Counter[str]) -> float:
    """Present value of buying again, less that of selling what was bought in the end."""
    end = (1 + tank.money.discount_rate) ** -tank.money.years
    again = sum(bought_again(f, tank) * counts[f.fixture] for f in catalog.fixtures)
    sold = sum(f.price * f.resale_pct / 100 * max(0, counts[f.fixture] - f.owned) for f in catalog.fixtures)
    return again - sold * end


def ownership_of(
    tank: Tank, catalog: Catalog, lights: Iterable[tuple[str, bool, float]], shades: dict[str, int]
) -> float:
    """Ownership cost of lights (fixture, placed, level in "settled") and so many of each shade."""
    lights = list(lights)
    counts = Counter(name for name, placed, _ in lights if not placed)
    yearly = 0.0
    for name, _, level in lights:
        cost = running_cost(tank, catalog.fixture(name))
        yearly += level * cost.level + cost.lit if level > 0 else cost.off
    return (
        purchase_price(catalog, counts)
        + extras_price(catalog, counts)
        + sum(shade.price * shades.get(shade.shade, 0) for shade in catalog.shades)
        + later_price(tank, catalog, counts)
        + present_value_of_one_a_year(tank.money.discount_rate, tank.money.years) * yearly
    )


# --- what is wanted where ---------------------------------------------------------------------------------------------


def side(low: float, high: float) -> list[float]:
    steps = math.ceil((high - low) / 2 - 1e-9)
    return [low + (high - low) * k / steps for k in range(steps + 1)] if steps else [low]


def grid(tank: Tank, zone: Zone, depth: float) -> list[tuple[float, float, float]]:
    """Points of a zone at a depth, those strictly inside a rock left out."""
    points = [(x, y, depth) for x in side(*zone.x_cm) for y in side(*zone.y_cm)]
    spans = [(rock.x_cm, rock.y_cm, rock.depth_cm) for rock in tank.rocks]
    return [p for p in points if not any(all(a < v < b for v, (a, b) in zip(p, s, strict=True)) for s in spans)]


def band(tank: Tank, catalog: Catalog, zone: Zone, scene: Scene) -> tuple[float, float]:
    """Lowest and highest PAR of a zone in a scene."""
    if zone.name in scene.zones:
        low, high = scene.zones[zone.name].par
    else:
        low, high = zone.par or next((c.par_min, c.par_max) for c in catalog.corals if c.coral == zone.coral)
        low, high = low * scene.par_scale, high * scene.par_scale
    return (low if scene.at_least else 0.0), high


@dataclass(frozen=True)
class Wish:
    """One scene under one margin: what each fixture gives of what its box says, and each zone's bands."""

    scene: str
    margin: str
    output: dict[str, float]
    bands: tuple[tuple[float, float], ...]
    dli: tuple[tuple[float, float] | None, ...]
    blue: tuple[float, float] | None = None


@dataclass
class Setting:
    """Levels, heights and shades that are set once: the wishes they must meet, and whether all bought lights are on."""

    scene: str
    margin: str
    all_lit: bool
    wishes: list[Wish] = field(default_factory=list)

    @property
    def is_settled(self) -> bool:
        return self.scene == "settled" and self.margin == "nominal"


def outputs(tank: Tank, catalog: Catalog, margin: str) -> dict[str, float]:
    out = {}
    for f in catalog.fixtures:
        _, full, _ = hours(tank, f)
        error = float(tank.margin.claims) * f.claim_error
        aged = 1.0
        if f.lamp_months is not None:
            aged = 1 - f.lamp_loss_pct / 100
        elif f.l70_hours is not None:
            aged = 0.7 ** (tank.money.years * 365 * full / f.l70_hours)
        out[f.fixture] = {"nominal": 1.0, "low": 1 - error, "high": 1 + error, "aged": aged}[margin]
    return out


def families(tank: Tank, catalog: Catalog) -> list[list[Setting]]:
    """All settings, those together that must keep one height and shade for each light; the nominal settled one first.

    A look that is not hung anew (rehang = false) keeps the heights and shades of "settled" under the same margin.
    Without a meter nobody knows which margin is true, and one setting must do for all margins of its scene.
    """
    scenes = {s.name: s for s in tank.scenes}
    scenes = {"settled": scenes.get("settled", Scene(name="settled")), **scenes}
    margins = ["nominal", *(["low", "high"] if float(tank.margin.claims) > 0 else [])]
    out: dict[tuple[str, str], list[Setting]] = {}
    for name, scene in scenes.items():
        for margin in [*margins, *(["aged"] if tank.margin.ageing and name == "settled" else [])]:
            own = margin if tank.meter.available else "nominal"
            base = name if scene.rehang or name == "settled" else "settled"
            family = out.setdefault((base, own), [])
            if not any(s.scene == name for s in family):
                family.append(Setting(name, own, not scene.at_least))
            bands = tuple(band(tank, catalog, zone, scene) for zone in tank.zones)
            dli = tuple(zone.dli if name == "settled" else None for zone in tank.zones)
            setting = next(s for s in family if s.scene == name)
            blue = (
                None if scene.blue_share_pct is None else (scene.blue_share_pct[0] / 100, scene.blue_share_pct[1] / 100)
            )
            setting.wishes.append(Wish(name, margin, outputs(tank, catalog, margin), bands, dli, blue))
    return list(out.values())


# --- what may hang ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Body:
    """A light at a place; `across` and `along` are its sizes along x and y."""

    fixture: Fixture
    x: float
    y: float
    turned: bool
    heights: tuple[float, ...]
    placed: bool

    @property
    def across(self) -> float:
        return self.fixture.width_cm if self.turned else self.fixture.length_cm

    @property
    def along(self) -> float:
        return self.fixture.length_cm if self.turned else self.fixture.width_cm

    def overlaps(self, other: Body) -> bool:
        return (
            abs(self.x - other.x) < (self.across + other.across) / 2 - NEAR
            and abs(self.y - other.y) < (self.along + other.along) / 2 - NEAR
        )

    def mirrors(self, other: Body, length: float) -> bool:
        same = self.fixture is other.fixture and self.turned == other.turned
        return same and abs(self.x + other.x - length) < NEAR and abs(self.y - other.y) < NEAR


def centres(tank: Tank) -> list[tuple[float, float, float | None]]:
    """Where lights may hang, and what each place carries."""
    everywhere = tank.hanging.spot_load_kg
    if tank.spots:
        return [(s.x_cm, s.y_cm, everywhere if s.load_kg is None else s.load_kg) for s in tank.spots]
    middle, step = tank.box.length_cm / 2, tank.hanging.step_cm
    rows = [tank.box.width_cm / 2] if tank.hanging.rows_y_cm is None else tank.hanging.rows_y_cm
    most = int(middle / step + 1e-9)
    return [(middle + k * step, y, everywhere) for y in rows for k in range(-most, most + 1)]


def sticks_out(tank: Tank, body: Body) -> bool:
    out = tank.hanging.overhang_cm
    if out is None:
        return False
    return (
        body.x - body.across / 2 < -out - NEAR
        or body.x + body.across / 2 > tank.box.length_cm + out + NEAR
        or body.y - body.along / 2 < -out - NEAR
        or body.y + body.along / 2 > tank.box.width_cm + out + NEAR
    )


def bodies(tank: Tank, catalog: Catalog) -> list[Body]:
    """All placed lights, then everything that may be bought and hung somewhere."""
    placed = [Body(catalog.fixture(p.fixture), p.x_cm, p.y_cm, p.turned, p.heights, True) for p in tank.placed]
    found = []
    for fixture in catalog.fixtures:
        heights = tuple(h for h in tank.hanging.heights_cm if h >= fixture.min_height_cm)
        if not heights or (tank.control.built_in_timing and fixture.timing == "none"):
            continue
        ways = (False, True) if tank.hanging.turned and fixture.length_cm != fixture.width_cm else (False,)
        for (x, y, load), turned in itertools.product(centres(tank), ways):
            body = Body(fixture, x, y, turned, heights, False)
            too_heavy = load is not None and (fixture.weight_kg or 0.0) > load + 1e-9
            if not too_heavy and not sticks_out(tank, body) and not any(body.overlaps(p) for p in placed):
                found.append(body)
    return placed + found


# --- brute force ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Best:
    """The least value found, and the spots of the lights to buy for it."""

    value: float
    spots: tuple[int, ...]


@dataclass(frozen=True)
class Hung:
    """A light of an answer, as it hangs and burns in one scene."""

    fixture: str
    x: float
    y: float
    turned: bool
    placed: bool
    height: float
    shade: str | None
    level: float
    channels: Mapping[str, float] = field(default_factory=dict)


class Oracle:
    """Everything about one tank and one catalog, worked out by hand."""

    def __init__(self, tank: Tank, catalog: Catalog) -> None:
        self.tank, self.catalog = tank, catalog
        self.colours = {f.fixture: channel_lights(catalog, f.fixture) for f in catalog.fixtures}
        self.bodies = bodies(tank, catalog)
        self.placed = [k for k, body in enumerate(self.bodies) if body.placed]
        self.families = families(tank, catalog)
        self.pass_of: dict[str | None, float] = {None: 1.0, **{s.shade: s.transmission for s in catalog.shades}}
        self.running = {f.fixture: running_cost(tank, f) for f in catalog.fixtures}
        self.years = present_value_of_one_a_year(tank.money.discount_rate, tank.money.years)
        self._take_points()
        self._measure()
        self._known: dict[tuple[str, str, frozenset[Lit], bool], float | None] = {}

    def _take_points(self) -> None:
        edges = [
            [p for depth in sorted(set(zone.depth_cm)) for p in grid(self.tank, zone, depth)]
            for zone in self.tank.zones
        ]
        middles = [grid(self.tank, zone, (zone.depth_cm[0] + zone.depth_cm[1]) / 2) for zone in self.tank.zones]
        self.points = np.array([p for zone in [*edges, *middles] for p in zone], dtype=np.float64).reshape(-1, 3)
        ends = np.cumsum([0, *(len(zone) for zone in [*edges, *middles])])
        parts = [slice(a, b) for a, b in itertools.pairwise(ends.tolist())]
        self.edge, self.middle = parts[: len(edges)], parts[len(edges) :]

    def _measure(self) -> None:
        """PAR at all points of each light alone, at full level, at each of its heights."""
        emitters = {f.fixture: fit_emitter(f) for f in self.catalog.fixtures}
        hangings = [(k, height) for k, body in enumerate(self.bodies) for height in body.heights]
        sources = [
            Source(emitters[b.fixture.fixture], b.x, b.y, height, b.across, b.along)
            for b, height in ((self.bodies[k], height) for k, height in hangings)
        ]
        par = influence(self.tank, sources, self.points)
        self.par: dict[tuple[int, float], Array] = {hanging: par[:, i] for i, hanging in enumerate(hangings)}

    def light(self, lit: Lit) -> Array:
        spot, height, shade = lit
        return self.par[spot, height] * self.pass_of[shade]

    # --- sets of lights -------------------------------------------------------------------------------------------

    def counts(self, spots: Iterable[int]) -> Counter[str]:
        return Counter(self.bodies[k].fixture.fixture for k in spots)

    def purchases(self) -> list[tuple[float, tuple[int, ...]]]:
        """Every allowed set of bought lights with the cost that no level can change, the cheapest first."""
        sets = [()] + [s for s in self._sets((), len(self.placed)) if self._allowed(s)]
        found = [(self.fixed_price(s), s) for s in sets]
        return sorted(found)

    def _sets(self, chosen: tuple[int, ...], start: int) -> Iterator[tuple[int, ...]]:
        for k in range(start, len(self.bodies)):
            if not any(self.bodies[k].overlaps(self.bodies[other]) for other in chosen):
                yield (*chosen, k)
                yield from self._sets((*chosen, k), k + 1)

    def _allowed(self, spots: tuple[int, ...]) -> bool:
        limits, counts = self.tank.limits, self.counts(spots)
        fixtures = [self.catalog.fixture(name) for name in counts]
        if any(f.max_count is not None and counts[f.fixture] > f.max_count for f in fixtures):
            return False
        if limits.fixtures is not None and len(spots) > limits.fixtures:
            return False
        if limits.models is not None and len(counts) > limits.models:
            return False
        weight = sum((f.weight_kg or 0.0) * counts[f.fixture] for f in fixtures)
        if limits.load_kg is not None and weight > limits.load_kg + 1e-9:
            return False
        return not self.tank.hanging.mirrored or all(self.twin(k, spots) is not None for k in spots)

    def twin(self, spot: int, among: Iterable[int]) -> int | None:
        length = self.tank.box.length_cm
        return next((k for k in among if self.bodies[k].mirrors(self.bodies[spot], length)), None)

    def at_once(self, spots: Iterable[int]) -> float:
        """What is paid at once for lights and extras, without shades."""
        counts = self.counts(spots)
        return purchase_price(self.catalog, counts) + extras_price(self.catalog, counts)

    def fixed_price(self, spots: Sequence[int]) -> float:
        return self.at_once(spots) + later_price(self.tank, self.catalog, self.counts(spots))

    # --- ways to hang a set ---------------------------------------------------------------------------------------

    def rigid_heights(self, lights: Sequence[int]) -> Iterator[dict[int, float]]:
        """Every choice of heights of the lights on rigid hangings, which keep theirs in every setting."""
        rigid = [k for k in lights if self.bodies[k].fixture.hang == "rigid"]
        for heights in itertools.product(*(self.bodies[k].heights for k in rigid)):
            way = {k: (height, None) for k, height in zip(rigid, heights, strict=True)}
            if not self.tank.hanging.mirrored or self._level_pairs(way):
                yield {k: height for k, (height, _) in way.items()}

    def hangings(self, lights: Sequence[int], rigid: dict[int, float]) -> Iterator[dict[int, Place]]:
        """Every way to give some of the lights a height and a shade; those left out are not lit."""
        options: list[list[Place | None]] = []
        for k in lights:
            fixture = self.bodies[k].fixture
            shades = [None, *(s.shade for s in self.catalog.shades if s.heat_ok or fixture.lamp_months is None)]
            heights = (rigid[k],) if k in rigid else self.bodies[k].heights
            options.append([None, *itertools.product(heights, shades)])
        for places in itertools.product(*options):
            way = {k: place for k, place in zip(lights, places, strict=True) if place is not None}
            if not self.tank.hanging.mirrored or self._level_pairs(way):
                yield way

    def _level_pairs(self, way: Mapping[int, Place]) -> bool:
        """Mirrored pairs hang at one height."""
        bought = [k for k in way if not self.bodies[k].placed]
        twins = ((k, self.twin(k, bought)) for k in bought)
        return all(twin is None or abs(way[k][0] - way[twin][0]) < NEAR for k, twin in twins)

    def family_table(
        self, lights: Sequence[int], rigid: dict[int, float], family: list[Setting], *, missing: bool
    ) -> dict[Stock, float]:
        """The least value of a family of settings for each number of shades in use: cost, or sum of misses."""
        table: dict[Stock, float] = {}
        for way in self.hangings(lights, rigid):
            stock = tuple(sum(p[1] == s.shade for p in way.values()) for s in self.catalog.shades)
            total: float | None = 0.0
            for setting in family:
                best = self.best_of(lights, way, setting, alone=len(family) == 1, missing=missing)
                total = None if best is None or total is None else total + best
            if total is not None:
                table[stock] = min(total, table.get(stock, math.inf))
        return table

    def best_of(
        self, lights: Sequence[int], way: dict[int, Place], setting: Setting, *, alone: bool, missing: bool
    ) -> float | None:
        """The least value of one setting: all that hang in some way are lit, or any of them where others hang alike."""
        found: list[float] = []
        # a setting by itself is tried with every light left out in some other way
        for size in range(len(way) if alone else 0, len(way) + 1):
            for lit in itertools.combinations(way, size):
                if setting.all_lit and any(k not in lit and not self.bodies[k].placed for k in lights):
                    continue
                value = self.value(setting, frozenset((k, *way[k]) for k in lit), missing=missing)
                if value is None:
                    continue
                off = sum(self.running[self.bodies[k].fixture.fixture].off for k in lights if k not in lit)
                found.append(value + (self.years * off if setting.is_settled and not missing else 0.0))
        return min(found, default=None)

    # --- levels ---------------------------------------------------------------------------------------------------

    def value(self, setting: Setting, lit: frozenset[Lit], *, missing: bool) -> float | None:
        """Least running cost (or sum of misses) of exactly these lights in a setting; None where it cannot be."""
        key = (setting.scene, setting.margin, lit, missing)
        if key not in self._known:
            self._known[key] = self._levels(setting, sorted(lit, key=str), missing=missing)
        return self._known[key]

    def _levels(self, setting: Setting, lit: list[Lit], *, missing: bool) -> float | None:
        fixtures = [self.bodies[k].fixture for k, _, _ in lit]
        low = np.array([lowest_level(f) for f in fixtures])
        high = np.ones(len(lit))
        hard, band_rows = self._hard_rows(setting, lit), self._band_rows(setting, lit)
        if any(wish.blue is not None for wish in setting.wishes):
            return self._mixed(setting, lit, (hard, band_rows), missing=missing)
        if not self._conceivable(hard if missing else [*hard, *band_rows], low, high):
            return None
        price = np.array([self.running[f.fixture].level * self.years for f in fixtures])
        base = sum(self.running[f.fixture].lit * self.years for f in fixtures) if setting.is_settled else 0.0
        if missing:
            return self._least_misses(hard, band_rows, low, high)
        cost = price if setting.is_settled else np.zeros(len(lit))
        if np.all(low == high):
            return base + float(cost @ high)
        matrix, bound = _stacked([*hard, *band_rows], len(lit))
        least = _solved(cost, matrix, bound, [*zip(low, high, strict=True)])
        return None if least is None else base + least

    def _mixed(
        self, setting: Setting, lit: list[Lit], rows: tuple[list[_Rows], list[_Rows]], *, missing: bool
    ) -> float | None:
        """The same where a blue share is asked for: one unknown for the level of each channel that can be set."""
        fixtures = [self.bodies[k].fixture for k, _, _ in lit]
        dials = [
            (number, *dial)
            for number, f in enumerate(fixtures)
            for dial in (self._dials(f) if f.dimming == "channels" else [(1.0, *self._alike(f))])
        ]
        # how much of each light's level, and of its least and its most blue part, each unknown brings
        level, least, most = np.zeros((3, len(lit), len(dials)))
        for column, (number, share, blue_least, blue_most) in enumerate(dials):
            level[number, column], least[number, column] = share, share * blue_least
            most[number, column] = share * blue_most
        hard, soft = ([_Rows(r.name, r.matrix @ level, r.bound) for r in group] for group in rows)
        dark = np.array([lowest_level(f) for f in fixtures])
        hard.append(_Rows(None, -level, -dark))
        for wish in setting.wishes:
            each = self._each(wish, lit)
            for part, (_, high) in zip(self.edge, wish.bands, strict=True):
                if wish.blue is not None:
                    nothing = np.zeros(len(each[part]))
                    hard.append(_Rows(None, each[part] / high @ (wish.blue[0] * level - least), nothing))
                    hard.append(_Rows(None, each[part] / high @ (most - wish.blue[1] * level), nothing))
        low = np.array([0.0 if fixtures[n].dimming != "none" else 1.0 for n, *_ in dials])
        if not self._conceivable(hard if missing else [*hard, *soft], low, np.ones(len(dials))):
            return None
        if missing:
            return self._least_misses(hard, soft, low, np.ones(len(dials)))
        price = np.array([self.running[f.fixture].level * self.years for f in fixtures]) @ level
        base = sum(self.running[f.fixture].lit * self.years for f in fixtures) if setting.is_settled else 0.0
        matrix, bound = _stacked([*hard, *soft], len(dials))
        if not dials:
            return base
        cost = price if setting.is_settled else np.zeros(len(dials))
        found = _solved(cost, matrix, bound, [*zip(low, np.ones(len(dials)), strict=True)])
        return None if found is None else base + found

    def _dials(self, fixture: Fixture) -> list[tuple[float, float, float]]:
        """The channels that can be set by themselves: share, least and most blue share; one for all of them where what
        they bring to the blue share is not known of each."""
        own = self.colours[fixture.fixture]
        if any(c.blue_share is None for c in own):
            return [(1.0, *self._alike(fixture))]
        return [(c.ppf_share, c.blue_share or 0.0, c.blue_share or 0.0) for c in own]

    def _alike(self, fixture: Fixture) -> tuple[float, float]:
        """The least and the most that the blue share of the whole light can be."""
        own = self.colours[fixture.fixture]
        least, most = (
            sum(c.ppf_share * (unknown if c.blue_share is None else c.blue_share) for c in own) for unknown in (0, 1)
        )
        return least, most

    def blue_outside(self, scene: str, lights: Iterable[Hung]) -> float:
        """How far the blue share of these lights lies outside what a scene asks for, at its worst."""
        wish = next(w for family in self.families for s in family for w in s.wishes if w.scene == scene)
        if wish.blue is None:
            return 0.0
        least, most, par = np.zeros((3, len(self.points)))
        for one in lights:
            light, own = self.light(self._lit(one)), self.colours[one.fixture]
            amounts = [(c.ppf_share * one.channels.get(c.channel, one.level), c.blue_share) for c in own]
            par += light * sum(amount for amount, _ in amounts)
            least += light * sum(amount * (0.0 if blue is None else blue) for amount, blue in amounts)
            most += light * sum(amount * (1.0 if blue is None else blue) for amount, blue in amounts)
        edge = np.concatenate([np.arange(len(par))[part] for part in self.edge])
        out = np.maximum(wish.blue[0] * par - least, most - wish.blue[1] * par)[edge]
        return float(np.max(out[par[edge] > 0] / par[edge][par[edge] > 0], initial=0.0))

    def _least_misses(self, hard: list[_Rows], soft: list[_Rows], low: Array, high: Array) -> float | None:
        """One miss for each wish and zone, as a share of the band's end, by which both ends give."""
        numbers = {name: number for number, name in enumerate(dict.fromkeys(rows.name for rows in soft))}
        if np.all(low == high):
            worst = [0.0] * len(numbers)
            for rows in soft:
                over = float(np.max(rows.matrix @ high - rows.bound, initial=0.0))
                worst[numbers[rows.name]] = max(worst[numbers[rows.name]], over)
            return sum(worst)
        matrix, bound = _stacked([*hard, *soft], len(low))
        give = np.zeros((len(bound), len(numbers)))
        start = sum(len(rows.bound) for rows in hard)
        for rows in soft:
            give[start : start + len(rows.bound), numbers[rows.name]] = -1.0
            start += len(rows.bound)
        bounds = [*zip(low, high, strict=True), *([(0.0, None)] * len(numbers))]
        cost = np.concatenate([np.zeros(len(low)), np.ones(len(numbers))])
        return _solved(cost, np.hstack([matrix, give]), bound, bounds)

    def _conceivable(self, rows: list[_Rows], low: Array, high: Array) -> bool:
        """False where some row fails even with each level at whichever of its ends suits the row."""
        return all(
            bool(np.all(np.where(r.matrix > 0, r.matrix * low, r.matrix * high).sum(axis=1) <= r.bound + 1e-9))
            for r in rows
        )

    def _band_rows(self, setting: Setting, lit: list[Lit]) -> list[_Rows]:
        """The bands of every wish of a setting, each divided by its end, as rows of "at most"."""
        rows = []
        for wish in setting.wishes:
            each = self._each(wish, lit)
            for number, (part, (low, high)) in enumerate(zip(self.edge, wish.bands, strict=True)):
                name, here = (wish.scene, wish.margin, number), each[part]
                rows.append(_Rows(name, here / high, np.ones(len(here))))
                if low > 0:
                    rows.append(_Rows(name, -here / low, -np.ones(len(here))))
        return rows

    def _each(self, wish: Wish, lit: list[Lit]) -> Array:
        """PAR at all points of each light alone, (points, lights)."""
        each = [self.light(one) * wish.output[self.bodies[one[0]].fixture.fixture] for one in lit]
        return np.column_stack(each) if each else np.zeros((len(self.points), 0))

    def _hard_rows(self, setting: Setting, lit: list[Lit]) -> list[_Rows]:
        """What can never be missed: daily light, power, the share of dimmable lights."""
        fixtures = [self.bodies[k].fixture for k, _, _ in lit]
        rows = []
        moles = np.array([HOURS_TO_MOL * equivalent_hours(self.tank, f) for f in fixtures])
        for wish in setting.wishes:
            each = self._each(wish, lit) * moles
            for part, dli in zip(self.edge, wish.dli, strict=True):
                if dli is not None:
                    rows.append(_Rows(None, each[part], np.full(len(each[part]), dli[1])))
                    rows.append(_Rows(None, -each[part], np.full(len(each[part]), -dli[0])))
        if self.tank.limits.power_w is not None and any(w.margin == "nominal" for w in setting.wishes):
            watts = np.array([[f.power_w for f in fixtures]], dtype=np.float64)
            rows.append(_Rows(None, watts, np.array([self.tank.limits.power_w])))
        if self.tank.control.dimmable_share and setting.is_settled:
            each = self._each(setting.wishes[0], lit)
            part_of = np.array([1.0 if f.dimming != "none" else 0.0 for f in fixtures])
            for part in self.middle:
                mean = each[part].mean(axis=0)
                rows.append(_Rows(None, ((self.tank.control.dimmable_share - part_of) * mean)[None, :], np.zeros(1)))
        return rows

    # --- the answers ----------------------------------------------------------------------------------------------

    def cheapest(self) -> Best | None:
        """The least ownership cost of everything that meets every wish; None where nothing does."""
        best: Best | None = None
        for fixed, spots in self.purchases():
            # nothing costs less than what is paid for it: later sets cannot be cheaper
            if best is not None and fixed >= best.value:
                break
            value = self._least(spots, fixed, missing=False)
            if value is not None and (best is None or value < best.value):
                best = Best(value, spots)
        return best

    def closest(self) -> Best | None:
        """The least sum of misses, bands alone giving way; None where other rules stand in the way of any plan."""
        best: Best | None = None
        for _, spots in self.purchases():
            value = self._least(spots, 0.0, missing=True)
            if value is not None and (best is None or value < best.value):
                best = Best(value, spots)
        return best

    def miss(self, scene: str, lights: Iterable[Hung]) -> float:
        """Sum over the zones of what lights, as they are said to hang and burn in a scene, miss of its bands."""
        wish = next(w for family in self.families for s in family for w in s.wishes if w.scene == scene)
        par = sum((one.level * self.light(self._lit(one)) for one in lights), np.zeros(len(self.points)))
        total = 0.0
        for part, (low, high) in zip(self.edge, wish.bands, strict=True):
            short = (low - par[part].min()) / low if low > 0 else 0.0
            total += max(0.0, short, (par[part].max() - high) / high)
        return total

    def _lit(self, one: Hung) -> Lit:
        for k, body in enumerate(self.bodies):
            same_kind = (body.fixture.fixture, body.turned, body.placed) == (one.fixture, one.turned, one.placed)
            if same_kind and abs(body.x - one.x) < NEAR and abs(body.y - one.y) < NEAR:
                return k, next(h for h in body.heights if abs(h - one.height) < NEAR), one.shade
        raise LookupError(f"nothing may hang like {one}")

    def _least(self, spots: tuple[int, ...], fixed: float, *, missing: bool) -> float | None:
        lights = [*self.placed, *spots]
        found: list[float] = []
        for rigid in self.rigid_heights(lights):
            tables: list[dict[Stock, float]] = []
            for family in self.families:
                tables.append(self.family_table(lights, rigid, family, missing=missing))
                if not tables[-1]:
                    break
            if tables[-1]:
                found += self._with_shades(spots, tables, fixed, missing=missing)
        return min(found, default=None)

    def _with_shades(
        self, spots: tuple[int, ...], tables: list[dict[Stock, float]], fixed: float, *, missing: bool
    ) -> Iterator[float]:
        """Each number of shades that might be bought: enough for every family, one after the other."""
        most = len(self.placed) + len(spots)
        for stock in itertools.product(range(most + 1), repeat=len(self.catalog.shades)):
            price = sum(n * shade.price for n, shade in zip(stock, self.catalog.shades, strict=True))
            budget = self.tank.limits.budget
            if budget is not None and self.at_once(spots) + price > budget + 1e-9:
                continue
            enough = [
                min((v for used, v in t.items() if all(a <= b for a, b in zip(used, stock, strict=True))), default=None)
                for t in tables
            ]
            values = [v for v in enough if v is not None]
            if len(values) == len(enough):
                yield sum(values) + (0.0 if missing else fixed + price)


@dataclass(frozen=True)
class _Rows:
    """Rows `matrix @ levels <= bound`; `name` tells which wish and zone they belong to, None where they never give."""

    name: tuple[str, str, int] | None
    matrix: Array
    bound: Array


def _solved(cost: Array, matrix: Array, bound: Array, bounds: Sequence[tuple[float, float | None]]) -> float | None:
    """The least of cost . x where matrix x <= bound; None where there is none."""
    result = linprog(cost, A_ub=matrix, b_ub=bound, bounds=bounds)
    if result.status not in (0, 2):
        raise RuntimeError(result.message)
    return float(result.fun) if result.status == 0 else None


def _stacked(rows: list[_Rows], columns: int) -> tuple[Array, Array]:
    if not rows:
        return np.zeros((0, columns)), np.zeros(0)
    return np.vstack([r.matrix for r in rows]), np.concatenate([r.bound for r in rows])
