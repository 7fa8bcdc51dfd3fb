"""Bands of single zones in a scene: rows of an editor and back into the scenes."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.present.desk.scene_zones import doubled, scene_zone_rows, with_scene_zones

quick = settings(max_examples=60, deadline=None)
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


def test_a_scene_without_its_last_band_says_nothing_of_zones():
    rows = scene_zone_rows(SCENES)
    assert with_scene_zones(SCENES, rows.drop(index=[0, 1])) == [SCENES[0], {"name": "new light"}]


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


NAMES = st.sampled_from(["dusk", "noon", "", " left ", "ü"])
PARS = st.lists(st.integers(0, 300) | st.floats(0.25, 300) | st.just("ten"), max_size=3) | st.just(7)
BANDS = st.fixed_dictionaries({}, optional={"par": PARS, "colour": st.just("blue")}) | st.just(4)
SCENE = st.fixed_dictionaries(
    {}, optional={"name": NAMES | st.just(5), "par_scale": st.just(0.5), "zone": st.dictionaries(NAMES, BANDS) | PARS}
)


@quick
@given(st.lists(SCENE | st.just("no table"), max_size=4))
def test_what_was_not_typed_into_comes_back_as_it_was(scenes):
    assert with_scene_zones(scenes, scene_zone_rows(scenes)) == scenes


@quick
@given(st.lists(SCENE, max_size=4), st.data())
def test_a_band_that_is_typed_changes_no_other(scenes, data):
    rows = scene_zone_rows(scenes).astype("object")
    if rows.empty:
        return
    number = data.draw(st.integers(0, len(rows) - 1))
    rows.loc[number, ["PAR from", "PAR to"]] = [1.0, 2.5]
    found = with_scene_zones(scenes, rows)
    bands = [(place, zone) for place, scene in enumerate(scenes) for zone in zones_of(scene)]
    assert [(place, zone) for place, scene in enumerate(found) for zone in zones_of(scene)] == bands
    for at, (place, zone) in enumerate(bands):
        old, new = scenes[place]["zone"][zone], found[place]["zone"][zone]
        more = {"colour": "blue"} if isinstance(old, dict) and "colour" in old else {}
        assert new == ({**more, "par": [1, 2.5]} if at == number else old)
    assert [{k: v for k, v in scene.items() if k != "zone"} for scene in found] == [
        {k: v for k, v in scene.items() if k != "zone"} for scene in scenes
    ]


def zones_of(scene):
    return scene["zone"] if isinstance(scene.get("zone"), dict) else {}


def test_scenes_of_one_name_and_of_none_keep_their_own_bands():
    scenes = [{"zone": {"a": {"par": [1, 2]}}}, {"name": "x", "zone": {"a": {"par": [3, 4]}}},
              {"name": "x", "zone": {"b": {"par": [5, 6]}}}]  # fmt: skip
    rows = scene_zone_rows(scenes)
    rows.loc[2, "PAR to"] = 60.0
    assert with_scene_zones(scenes, rows) == [*scenes[:2], {"name": "x", "zone": {"b": {"par": [5, 60]}}}]


def test_a_row_typed_bit_by_bit_leaves_no_scene_behind():
    scenes = [{"name": "dusk"}]
    rows = scene_zone_rows(scenes)
    rows.loc[0] = {"scene": None, "zone": "left", "PAR from": None, "PAR to": None}
    half = with_scene_zones(scenes, rows)
    assert half == [*scenes, {"zone": {"left": {}}}]
    # the editor still has the scenes that it began with
    rows.loc[0, "scene"] = "dusk"
    assert with_scene_zones(scenes, rows) == [{"name": "dusk", "zone": {"left": {}}}]


def test_two_rows_for_one_band_are_told():
    rows = scene_zone_rows(SCENES)
    assert doubled(rows) == []
    rows.loc[2] = ["new light", "left", 7.0, 8.0]
    rows.loc[3] = ["new light", None, 7.0, None]
    assert doubled(rows) == [("new light", "left")]
    assert with_scene_zones(SCENES, rows)[1]["zone"]["left"] == {"par": [7, 8]}
