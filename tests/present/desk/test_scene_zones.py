"""Bands of single zones in a scene: rows of an editor and back into the scenes."""

from __future__ import annotations

from lightplan.present.desk.scene_zones import scene_zone_rows, with_scene_zones

SCENES = [
    {"name": "dusk", "par_scale": 0.5},
    {"name": "new light", "zone": {"left": {"par": [10, 20]}, "right end": {"par": [5, 9.5]}}},
]


def test_there_and_back():
    rows = scene_zone_rows(SCENES)
    assert rows.to_numpy().tolist() == [["new light", "left", 10, 20], ["new light", "right end", 5, 9.5]]
    assert with_scene_zones(SCENES, rows) == SCENES


def test_a_band_taken_away_or_added():
    rows = scene_zone_rows(SCENES).drop(index=0)
    rows.loc[7] = ["dusk", "left", 1.0, 2.0]
    assert with_scene_zones(SCENES, rows) == [
        {"name": "dusk", "par_scale": 0.5, "zone": {"left": {"par": [1, 2]}}},
        {"name": "new light", "zone": {"right end": {"par": [5, 9.5]}}},
    ]


def test_a_scene_that_is_not_there_is_added_and_the_old_list_is_left_alone():
    rows = scene_zone_rows(SCENES)
    rows.loc[0, "scene"] = "noon"
    assert with_scene_zones(SCENES, rows)[-1] == {"name": "noon", "zone": {"left": {"par": [10, 20]}}}
    assert "left" in SCENES[1]["zone"]


def test_half_a_row_is_kept():
    rows = scene_zone_rows([])
    rows.loc[0] = ["dusk", "left", None, None]
    assert with_scene_zones([{"name": "dusk"}], rows) == [{"name": "dusk", "zone": {"left": {}}}]


def test_odd_data_has_no_rows():
    for scenes in (None, 3, [1], [{"zone": 2}], [{"name": "a", "zone": {"b": 4}}]):
        assert len(scene_zone_rows(scenes)) <= 1
