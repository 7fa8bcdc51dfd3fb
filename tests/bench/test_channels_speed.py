"""How long a plan takes with lights of four channels, next to the same plan with lights dimmed as a whole.

    pytest -s tests/bench/test_channels_speed.py                       the small cube, some seconds
    LIGHTPLAN_LONG=1 pytest -s tests/bench/test_channels_speed.py      other examples, too, some minutes

The aim is a settled plan with four channels within twice the time of that with dimmable lights. Then blue shares are
asked for: of normal running, and two different ones of normal running and of an evening. Light data are the same in
all runs, and so are HiGHS and the gap. Processor seconds count, which other work on the machine changes least. Only the
answers are tested, never the timings.
"""

from __future__ import annotations

import os
import time
from pathlib import Path
from typing import Any

import pytest

from lightplan.choose.plan import Plan, plan
from lightplan.inputs.catalog import Catalog, read_catalog
from lightplan.inputs.tank import Margin, Tank, read_tank

EXAMPLE = Path(__file__).parents[2] / "catalog_example"
LONG = os.environ.get("LIGHTPLAN_LONG") == "1"
EXAMPLES = ("cube", "tall_lagoon", "mid_reef") if LONG else ("cube",)
GAP, LIMIT = 0.01, 300.0
#: channels of every light that can be dimmed: share of the PPF and spectrum; 0.43 of the light is blue
CHANNELS = {
    "white": (0.4, "cold white"), "blue": (0.25, "blue dies"), "violet": (0.1, "violet dies"),
    "red": (0.25, "red and green dies"),
}  # fmt: skip
#: blue shares of normal running and of an evening with 70 % of its light
LOOKS = {"no blue share": (None,), "one blue share": ((30, 35),), "two looks": ((25, 35), (50, 80))}


def catalog_of(dimming: str) -> Catalog:
    """The example's catalog with all lights that can be dimmed dimmed in one way, of the same channels."""
    catalog = read_catalog(EXAMPLE)
    kinds = [f.model_copy(update={"dimming": dimming}) if f.dimmable else f for f in catalog.fixtures]
    rows = [
        {"fixture": f.fixture, "channel": name, "ppf_share": share, "spectrum": spectrum}
        for f in kinds if f.dimmable
        for name, (share, spectrum) in CHANNELS.items()
    ]  # fmt: skip
    data: dict[str, Any] = catalog.model_dump(by_alias=True, exclude_unset=True)
    return Catalog.model_validate(
        data | {"fixtures": [f.model_dump(exclude_unset=True) for f in kinds], "channels": rows}
    )


def tank_of(name: str, look: str) -> Tank:
    """An example's bands alone, with blue shares."""
    scenes = [
        {"name": scene, "blue_share_pct": share, "par_scale": scale}
        for (scene, scale), share in zip((("settled", 1.0), ("evening", 0.7)), LOOKS[look], strict=False)
    ]
    tank = read_tank(EXAMPLE / f"{name}.toml").model_copy(update={"scenes": (), "margin": Margin(claims=False)})
    return Tank.model_validate(tank.model_dump(by_alias=True, exclude_unset=True) | {"scene": scenes})


def timed(name: str, look: str, dimming: str) -> Plan:
    wall, started = time.monotonic(), time.process_time()
    answer = plan(tank_of(name, look), catalog_of(dimming), gap=GAP, time_limit=LIMIT, or_closest=False)
    taken = f"{time.process_time() - started:.2f} s of the processor, {time.monotonic() - wall:.2f} s in all"
    cost = "no plan" if answer.cost is None else f"cost {answer.cost.ownership:.2f}"
    print(f"\n{name}, {look}, {dimming}: {taken}, {answer.status}, {cost} (load {os.getloadavg()[0]:.1f})")
    return answer


def cost(answer: Plan) -> float:
    assert answer.cost is not None
    return answer.cost.ownership


@pytest.mark.parametrize("name", EXAMPLES)
def test_channels_cost_no_more_where_no_look_is_asked_for(name: str) -> None:
    whole, channels = (timed(name, "no blue share", dimming) for dimming in ("whole", "channels"))
    if whole.status == channels.status == "optimal":
        assert cost(channels) * (1 - GAP) <= cost(whole) <= cost(channels) / (1 - GAP)
    for look in ("one blue share", "two looks"):
        answer = timed(name, look, "channels")
        if answer.cost is not None and channels.bound is not None:
            # what is asked for besides makes nothing cheaper
            assert cost(answer) >= channels.bound * (1 - 1e-6)
