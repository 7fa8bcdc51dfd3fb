"""Random tiny tanks and catalogs, small enough for brute force: from any source of chance, so from hypothesis too."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Any

import numpy as np
from hypothesis import strategies as st

from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank
from tests.choose.oracle import Oracle, bodies, lowest_level

Data = dict[str, Any]

#: what brute force gets through in a small part of a second
MOST_BODIES = 9
MOST_WAYS = 900


@dataclass(frozen=True)
class Case:
    """A tank and a catalog as plain data, as the models want it."""

    tank_data: Data
    catalog_data: Data

    @property
    def tank(self) -> Tank:
        return Tank.model_validate(self.tank_data)

    @property
    def catalog(self) -> Catalog:
        return Catalog.model_validate(self.catalog_data)

    def with_tank(self, **tables: Any) -> Case:
        """The same with other tables in the tank file."""
        return Case({**self.tank_data, **tables}, self.catalog_data)


def maybe(chance: random.Random, share: float) -> bool:
    return chance.randint(1, 100) <= round(100 * share)


def pick(chance: random.Random, *values: Any) -> Any:
    return values[chance.randint(0, len(values) - 1)]


def number(chance: random.Random, low: float, high: float) -> float:
    """A number with few digits, so that what fails can be read."""
    return round(low + (high - low) * chance.randint(0, 100) / 100, 3)


# --- catalog ----------------------------------------------------------------------------------------------------------


def random_fixture(chance: random.Random, name: str) -> Data:
    power = pick(chance, 8, 12, 20, 35)
    row: Data = {
        "fixture": name,
        "price": pick(chance, 15, 24.5, 40, 70, 99.95),
        "power_w": power,
        "length_cm": pick(chance, 8, 12, 20, 28),
        "width_cm": pick(chance, 6, 8, 12),
        "ppf_umol_s": round(power * number(chance, 1.0, 2.6), 2),
        "beam_angle_deg": pick(chance, 60, 90, 120),
        "claim_error_pct": pick(chance, 5, 10, 20, 30),
        "weight_kg": pick(chance, 0.5, 1.0, 2.5),
    }
    if maybe(chance, 0.5):
        row |= {"dimming": pick(chance, "whole", "channels"), "min_level_pct": pick(chance, 0, 10, 40)}
    if maybe(chance, 0.3):
        row["timing"] = "built-in"
    if maybe(chance, 0.25):
        row["hang"] = "rigid"
    if maybe(chance, 0.2):
        row["group"] = "family"
    if maybe(chance, 0.2):
        row |= {"lamp_months": 12, "lamp_cost": pick(chance, 6, 18), "lamp_loss_pct": 20}
    elif maybe(chance, 0.4):
        row["l70_hours"] = pick(chance, 20000, 40000)
    if maybe(chance, 0.3):
        row["life_years"] = pick(chance, 1.5, 2, 4, 7)
    if maybe(chance, 0.3):
        row["standby_w"] = pick(chance, 0.4, 2.0)
    if maybe(chance, 0.3):
        row["resale_pct"] = pick(chance, 10, 40)
    if maybe(chance, 0.15):
        row["owned"] = pick(chance, 1, 2)
    if maybe(chance, 0.15):
        row["max_count"] = pick(chance, 0, 1, 2)
    if maybe(chance, 0.15):
        row["min_height_cm"] = pick(chance, 12, 15)
    return row


def random_catalog(chance: random.Random) -> Data:
    fixtures = [random_fixture(chance, name) for name in ("Ash", "Birch", "Cedar")[: pick(chance, 1, 2, 2, 3)]]
    extras = [
        {"extra": "timer", "price": 9, "needed_by": "timing:none", "serves": pick(chance, 1, 2)},
        {"extra": "kit", "price": 6.5, "needed_by": "hang:wire"},
        {"extra": "rental", "price": 20, "needed_by": "plan"},
    ]
    if any("group" in f for f in fixtures):
        extras.append({"extra": "hub", "price": 30, "needed_by": "group:family"} | pick(chance, {}, {"serves": 1}))
    out: Data = {"fixtures": fixtures, "extras": [e for e in extras if maybe(chance, 0.5)]}
    if maybe(chance, 0.4):
        out["shades"] = [
            {
                "shade": "mesh",
                "transmission": pick(chance, 0.4, 0.6, 0.8),
                "price": pick(chance, 3, 12),
                "heat_ok": maybe(chance, 0.3),
            }
        ]
    return out


# --- tank -------------------------------------------------------------------------------------------------------------


def random_zone(chance: random.Random, name: str, box: Data) -> Data:
    x, y = number(chance, 0, box["length_cm"] - 4), number(chance, 0, box["width_cm"] - 3)
    top = number(chance, 2, box["depth_cm"] - 6)
    zone: Data = {"name": name, "par": [1, 1000]}
    zone["x_cm"] = [x, round(x + pick(chance, 1, 2, 4), 3)]
    zone["y_cm"] = [y, round(y + pick(chance, 1, 2, 3), 3)]
    zone["depth_cm"] = pick(chance, top, [top, round(top + pick(chance, 2, 5), 3)])
    return zone


def random_hanging(chance: random.Random, box: Data) -> Data:
    out: Data = {"hanging": {"heights_cm": pick(chance, [10], [10, 20], [20, 10])}}
    if maybe(chance, 0.3):
        xs = [number(chance, 0, box["length_cm"]) for _ in range(pick(chance, 2, 3))]
        out["spot"] = [{"x_cm": x, "y_cm": round(box["width_cm"] / 2, 3)} for x in dict.fromkeys(xs)]
        if maybe(chance, 0.3):
            out["spot"][0]["load_kg"] = 1
    else:
        out["hanging"]["step_cm"] = round(box["length_cm"] / pick(chance, 2, 3, 4), 3)
        if maybe(chance, 0.2):
            out["hanging"]["mirrored"] = True
    if maybe(chance, 0.2):
        out["hanging"]["turned"] = True
    if maybe(chance, 0.2):
        out["hanging"]["overhang_cm"] = pick(chance, 0, 5)
    return out


def random_wishes(chance: random.Random, tank: Data, catalog: Data) -> Data:
    """Margins, limits, control, hours, tariffs and money."""
    out: Data = {"margin": {"claims": pick(chance, False, False, True, 0.5), "ageing": maybe(chance, 0.2)}}
    if maybe(chance, 0.25):
        out["meter"] = {"available": False}
    if maybe(chance, 0.25):
        out["control"] = {"dimmable_share": pick(chance, 0.3, 0.6, 1)}
    if maybe(chance, 0.1):
        out.setdefault("control", {})["built_in_timing"] = True
    if maybe(chance, 0.4):
        limits = {"budget": 120, "power_w": 30, "load_kg": 2, "fixtures": 1, "models": 1}
        out["limits"] = {name: limits[name] for name in {pick(chance, *limits) for _ in range(2)}}
    out["photoperiod"] = {"start": "10:30", "full_hours": pick(chance, 6, 8), "ramp_hours": pick(chance, 0, 1.5)}
    if maybe(chance, 0.2):
        out["hours"] = [{"fixture": catalog["fixtures"][0]["fixture"], "full_hours": 5}]
    if maybe(chance, 0.4):
        evening = {"price_per_kwh": 0.5, "from": "17:00", "to": "21:30"}
        night = {"price_per_kwh": 0.15, "from": "22:00", "to": "06:00"}
        out["tariff"] = [{"price_per_kwh": 0.28}, *pick(chance, [evening], [night, evening])]
    out["money"] = {"years": pick(chance, 1, 5, 8), "discount_rate": pick(chance, 0, 0.03, 0.08)}
    if maybe(chance, 0.45):
        out["scene"] = random_scenes(chance, tank)
    return out


def random_scenes(chance: random.Random, tank: Data) -> list[Data]:
    scene: Data = {"name": "first day", "par_scale": pick(chance, 0.3, 0.5, 0.7)}
    if maybe(chance, 0.5):
        scene["at_least"] = False
    if maybe(chance, 0.4):
        scene["rehang"] = False
    if maybe(chance, 0.2):
        scene["zone"] = {tank["zone"][0]["name"]: {"par": [20, 90]}}
    if maybe(chance, 0.1):
        return [{"name": "settled", "par_scale": 0.9}, scene]
    return [scene]


def random_placed(chance: random.Random, tank: Data, catalog: Data) -> list[Data]:
    row: Data = {"fixture": pick(chance, *catalog["fixtures"])["fixture"], "turned": maybe(chance, 0.3)}
    row |= {"x_cm": number(chance, 0, tank["tank"]["length_cm"]), "y_cm": number(chance, 0, 20)}
    return [row | pick(chance, {"height_cm": 18}, {"heights_cm": [12, 25]})]


def random_case(chance: random.Random) -> Case:
    """A tank and a catalog whose bands most often suit some set of lights that might hang there."""
    catalog = random_catalog(chance)
    box: Data = {"length_cm": pick(chance, 24, 40, 52), "width_cm": pick(chance, 20, 30), "depth_cm": 30}
    if maybe(chance, 0.3):
        box |= {"cover_transmission": 0.85, "walls": {"left": 0.8, "right": 0.1, "front": 0.6, "back": 0.3}}
    tank: Data = {"tank": box}
    tank["zone"] = [random_zone(chance, name, box) for name in ("crest", "sand")[: pick(chance, 1, 2)]]
    if maybe(chance, 0.15):
        tank["brace"] = [{"x_cm": [10, 14], "y_cm": [0, 30], "transmission": 0.3}]
    tank |= random_hanging(chance, box)
    if maybe(chance, 0.25):
        tank["placed"] = random_placed(chance, tank, catalog)
    tank |= random_wishes(chance, tank, catalog)
    _thin_out(Case(tank, catalog))
    _set_bands(chance, Case(tank, catalog))
    return Case(tank, catalog)


#: LED dies of which colours are made: peak and full width at half its height, nm
DIES = {"deep": (450, 20), "violet": (410, 15), "green": (520, 35), "red": (640, 20), "far": (505, 60)}


def random_colours(chance: random.Random) -> Case:
    """A random case with channels and spectra, in which scenes ask for blue shares."""
    case = random_case(chance)
    while not any("dimming" in fixture for fixture in case.catalog_data["fixtures"]):
        case = random_case(chance)
    catalog = case.catalog_data
    catalog["peaks"] = [
        {"spectrum": name, "peak_nm": peak, "fwhm_nm": width, "power": 1} for name, (peak, width) in DIES.items()
    ]
    catalog["channels"] = []
    for row in catalog["fixtures"]:
        if row.get("dimming") == "whole" and maybe(chance, 0.5):
            row["dimming"] = "channels"
        if row.get("dimming") == "channels" or maybe(chance, 0.2):
            catalog["channels"] += random_channels(chance, row["fixture"])
        if maybe(chance, 0.6):
            row["blue_share_pct"] = pick(chance, 10, 25, 40, 60)
    scenes = case.tank_data.setdefault("scene", [])
    if not any(scene["name"] == "settled" for scene in scenes) and maybe(chance, 0.7):
        scenes.append({"name": "settled"})
    if len(scenes) < 2 and maybe(chance, 0.5):
        scenes.append({"name": "dusk", "par_scale": 0.5, "rehang": maybe(chance, 0.7)})
    for scene in scenes:
        low = pick(chance, 0, 0, 20, 30, 40, 60)
        scene["blue_share_pct"] = [low, pick(chance, 100, low + 40, low + 10, low)]
    return case


def random_channels(chance: random.Random, fixture: str) -> list[Data]:
    """One to four channels, most of them of a colour that is known."""
    names = ("white", "cool", "warm", "night")[: pick(chance, 1, 2, 2, 3, 4)]
    parts = [pick(chance, 1, 2, 3) for _ in names]
    rows = []
    for name, part in zip(names, parts, strict=True):
        row = {"fixture": fixture, "channel": name, "ppf_share": part / sum(parts)}
        rows.append(row | ({"spectrum": pick(chance, *DIES)} if maybe(chance, 0.9) else {}))
    return rows


def _thin_out(case: Case) -> None:
    """Fewer heights, shades, fixtures and spots, until brute force gets through them soon."""
    tank, catalog = case.tank_data, case.catalog_data
    while True:
        found = bodies(case.tank, case.catalog)
        ways = 1 + sum(2 * len(b.heights) * (1 + len(catalog.get("shades", []))) for b in found) ** 2
        if len(found) <= MOST_BODIES and ways <= MOST_WAYS:
            return
        if tank["hanging"].pop("turned", False):
            continue
        if len(catalog["fixtures"]) > 1 and not _is_needed(case, catalog["fixtures"][-1]):
            catalog["fixtures"].pop()
        elif len(tank["hanging"]["heights_cm"]) > 1:
            tank["hanging"]["heights_cm"] = tank["hanging"]["heights_cm"][:1]
        elif len(tank.get("spot", [])) > 2:
            tank["spot"].pop()
        elif catalog.pop("shades", None) is None:
            tank["hanging"]["step_cm"] = 2 * tank["hanging"].get("step_cm", 10)


def _is_needed(case: Case, fixture: Data) -> bool:
    name, tank = fixture["fixture"], case.tank_data
    families = {e["needed_by"] for e in case.catalog_data["extras"]}
    named = [row["fixture"] for row in [*tank.get("placed", []), *tank.get("hours", [])]]
    return name in named or f"group:{fixture.get('group')}" in families


def _set_bands(chance: random.Random, case: Case) -> None:
    """Bands around the light of some lights that might be bought, or any bands at all."""
    oracle = Oracle(case.tank, case.catalog)
    sets = [spots for _, spots in oracle.purchases()]
    spots = [*oracle.placed, *pick(chance, *sets)]
    light = np.zeros(len(oracle.points))
    for k in spots:
        body = oracle.bodies[k]
        level = max(lowest_level(body.fixture), pick(chance, 0.4, 0.7, 1.0))
        light += level * oracle.par[k, pick(chance, *body.heights)]
    claims = 1 + 0.35 * float(case.tank.margin.claims)
    for zone, part in zip(case.tank_data["zone"], oracle.edge, strict=True):
        if maybe(chance, 0.15) or not light[part].max() > 1:
            low = number(chance, 5, 150)
            high = low * number(chance, 1.2, 4)
        else:
            low = light[part].min() / (claims * number(chance, 1.02, 1.6))
            high = light[part].max() * claims * number(chance, 1.02, 1.6)
        if maybe(chance, 0.05):
            low = 0.0
        zone["par"] = [round(float(low), 2), round(float(max(high, low + 1)), 2)]
        if maybe(chance, 0.15):
            daily = 0.0036 * 8 * float(light[part].mean())
            zone["dli"] = [round(daily * 0.6, 3), round(daily * 1.7 + 0.1, 3)]


def cases() -> st.SearchStrategy[Case]:
    """Random cases that hypothesis can make smaller."""
    return st.randoms(use_true_random=False).map(random_case)


def cases_with_a_plan() -> st.SearchStrategy[Case]:
    """Random cases in which some lights that must be bought meet every wish."""
    return cases().filter(has_plan)


def has_plan(case: Case, *, buying: bool = True) -> bool:
    """True where brute force finds a plan, one that buys a light where `buying`."""
    best = Oracle(case.tank, case.catalog).cheapest()
    return best is not None and (bool(best.spots) or not buying)
