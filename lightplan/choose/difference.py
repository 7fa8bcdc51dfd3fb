"""What one plan has that another has not, as plain figures: money, light, lights, control."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from lightplan.choose.plan import Plan
from lightplan.choose.scenarios import SETTLED, scenes_of


@dataclass(frozen=True)
class Figures:
    """One plan in figures; None (or nothing, or 0) where there is no plan.

    Money in the tank's currency: `purchase` with extras and shades, `per_year` power and upkeep, `ownership` over the
    years. `kwh_per_year`, `peak_w` in W, `delivered_par` and `zones` (each zone's mean in "settled", by name) in
    µmol m-2 s-1. `lights` are those that hang, fixture -> count, placed ones too; `dimmable` of them can be dimmed,
    `tunable` channel by channel. `dimmable_share` is the least over the zones in "settled", 0 to 1, None in the dark.
    `scenes` are those that it meets, in the tank's order. `blue` is the blue share of each zone's mean in "settled", by
    name, 0 to 1, where it is known.
    """

    purchase: float | None
    per_year: float | None
    ownership: float | None
    kwh_per_year: float | None
    peak_w: float | None
    delivered_par: float | None
    zones: dict[str, float]
    lights: dict[str, int]
    dimmable: int
    tunable: int
    dimmable_share: float | None
    scenes: tuple[str, ...]
    blue: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Difference:
    """Two plans in figures, and what is between them.

    `lights` are the fixtures of which there are more (above 0) or fewer (below 0) in the later plan; `gained` are the
    scenes that only the later plan meets, `lost` those that only the earlier one does.
    """

    before: Figures
    after: Figures
    lights: dict[str, int]
    gained: tuple[str, ...]
    lost: tuple[str, ...]

    @property
    def added(self) -> tuple[tuple[str, int], ...]:
        """Lights that only the later plan has: (fixture, count)."""
        return tuple((name, count) for name, count in self.lights.items() if count > 0)

    @property
    def removed(self) -> tuple[tuple[str, int], ...]:
        """Lights that only the earlier plan has: (fixture, count)."""
        return tuple((name, -count) for name, count in self.lights.items() if count < 0)


def difference(before: Plan, after: Plan) -> Difference:
    """Compare two plans, of one tank or of two; either may be the closest only, or none at all (status "none")."""
    old, new = figures(before), figures(after)
    names = dict.fromkeys([*old.lights, *new.lights])
    moved = {name: new.lights.get(name, 0) - old.lights.get(name, 0) for name in names}
    return Difference(
        before=old,
        after=new,
        lights={name: count for name, count in moved.items() if count},
        gained=tuple(scene for scene in new.scenes if scene not in old.scenes),
        lost=tuple(scene for scene in old.scenes if scene not in new.scenes),
    )


def figures(plan: Plan) -> Figures:
    """One plan in figures."""
    cost = plan.cost
    settled = [row.light for row in plan.zones if row.scene == SETTLED]
    shares = [light.dimmable_share for light in settled if light.dimmable_share is not None]
    kinds = Counter(plan.catalog.fixture(light.fixture).dimming for light in plan.lights)
    return Figures(
        purchase=None if cost is None else cost.purchase + cost.extras,
        per_year=None if cost is None else cost.energy_per_year + cost.upkeep_per_year,
        ownership=None if cost is None else cost.ownership,
        kwh_per_year=None if cost is None else cost.kwh_per_year,
        peak_w=None if cost is None else cost.peak_w,
        delivered_par=None if plan.value is None else plan.value.delivered_par,
        zones={light.zone: light.par_mean for light in settled},
        lights=dict(Counter(light.fixture for light in plan.lights)),
        dimmable=kinds["whole"] + kinds["channels"],
        tunable=kinds["channels"],
        dimmable_share=min(shares, default=None),
        scenes=_scenes(plan),
        blue={light.zone: light.blue_share for light in settled if light.blue_share is not None},
    )


def _scenes(plan: Plan) -> tuple[str, ...]:
    """The scenes that a plan meets, when claims are wrong all one way, too; mixes of wrong claims are no wish."""
    if plan.status == "none":
        return ()
    missed = {row.scene for row in plan.zones if not row.light.met}
    missed |= {miss.scene for row in plan.margins for miss in row.misses}
    return tuple(scene.name for scene in scenes_of(plan.tank) if scene.name not in missed)
