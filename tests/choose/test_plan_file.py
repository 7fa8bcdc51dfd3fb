"""What the data of a saved plan are declared to hold, beside what its writer writes."""

from __future__ import annotations

from typing import Any

import pytest

from lightplan.choose.as_data import plan_to_dict
from lightplan.choose.plan import plan
from lightplan.choose.plan_file import PlaceData, PlanData, ZoneData
from lightplan.choose.verify import TOLERANCE
from lightplan.inputs.columns import columns
from tests.choose.small import dimmable, make_catalog, make_tank

ROW = {"zone": "ledge", "scene": "settled", "par_min": 1, "par_mean": 2, "par_max": 3, "wanted": [1, 3]}
ROW |= {"dli_mean": 1, "dimmable_share": None}


def test_every_key_that_is_written_is_declared() -> None:
    written = plan_to_dict(plan(make_tank(), make_catalog(dimmable(ppf_umol_s=30))))
    assert set(written) == set(columns(PlanData))
    assert set(written["zones"][0]) == set(columns(ZoneData))


@pytest.mark.parametrize(
    ("met", "misses", "fits"),
    [
        (True, (), True),
        (True, (TOLERANCE,), True),
        (True, (0.1,), False),
        (False, (0.1,), True),
        (False, (TOLERANCE,), True),
        (False, (TOLERANCE / 2,), False),
        (False, (), False),
    ],
)
def test_verdict_and_misses_agree(met: bool, misses: tuple[float, ...], fits: bool) -> None:
    rows = [{"end": "lower", "wanted": 2, "got": 1, "miss": miss} for miss in misses]
    data: Any = ROW | {"met": met, "misses": rows}
    if fits:
        assert ZoneData.model_validate(data).met is met
    else:
        with pytest.raises(ValueError, match="the misses of the zone say otherwise"):
            ZoneData.model_validate(data)


def test_zone_of_an_older_version_tells_no_misses() -> None:
    assert not ZoneData.model_validate(ROW | {"met": False}).has_misses


@pytest.mark.parametrize(
    ("level", "fits"),
    [
        ({"level": 0.5}, True),
        ({"levels": {"blue": 0.5, "white": 0.0}}, True),
        ({}, False),
        ({"level": 0.5, "levels": {"blue": 0.5}}, False),
    ],
)
def test_place_has_one_level_or_those_of_its_channels(level: Any, fits: bool) -> None:
    data: Any = {"height_cm": 10, "shade": None, **level}
    if fits:
        assert PlaceData.model_validate(data).levels == level.get("levels", {})
    else:
        with pytest.raises(ValueError, match="needs level, or levels with one for each channel"):
            PlaceData.model_validate(data)


def test_levels_are_those_of_the_channels() -> None:
    channels = [{"fixture": "Dimmer", "channel": name, "ppf_share": 0.5} for name in ("blue", "white")]
    catalog = make_catalog(dimmable(ppf_umol_s=30, dimming="channels"), channels=channels)
    data = plan_to_dict(plan(make_tank(), catalog))
    place = data["hang"][0]["scenes"]["settled"]
    assert set(place) == {"height_cm", "shade", "levels"}
    assert place["levels"]["blue"] == place["levels"]["white"]
    assert PlanData.model_validate(data).hang[0].scenes["settled"].levels == place["levels"]
    place["levels"] = {"blue": 0.5, "red": 0.5}
    with pytest.raises(ValueError, match="levels has blue, red: needs blue, white"):
        PlanData.model_validate(data)
