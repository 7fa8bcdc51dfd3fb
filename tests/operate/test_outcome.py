"""What comes of setting lights anew, as data."""

from __future__ import annotations

import json

from lightplan.operate.outcome import Lit, Remedy, Retuned, SetLight

MISSED = Lit("zone", "ledge", 90.0, 80.0, 120.0, (100.0, 200.0), (("lower", 100.0, 80.0, 0.2),))
NEARLY = Lit("zone", "sand", 90.0, 99.9, 120.0, (100.0, 200.0), (("lower", 100.0, 99.9, 0.001),))
FOUND = Retuned(
    (SetLight(1, "Bar", 1.0, 0.0, False),), (MISSED, NEARLY), 12.0, True, (Remedy("height", "lower it", (), False),),
    None, (),
)  # fmt: skip


def test_a_hair_is_no_miss():
    assert (MISSED.met, NEARLY.met, FOUND.met) == (False, True, False)
    assert MISSED.worst == 0.2


def test_as_data():
    data = json.loads(json.dumps(FOUND.to_dict()))
    assert data["misses"] == [{"zone": "ledge", "end": "lower", "wanted": 100.0, "got": 80.0, "miss": 0.2}]
    assert [row["met"] for row in data["readings"]] == [False, True]
    assert data["levels"] == [
        {"light": 1, "fixture": "Bar", "before": 1.0, "level": 0.0, "dimmable": False, "dial_pct": None}
    ]
    assert (data["power_w"], data["calibration"]) == (12.0, None)
