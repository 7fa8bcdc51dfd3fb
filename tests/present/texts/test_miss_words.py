"""What a plan misses, in sentences."""

from __future__ import annotations

from lightplan.present.texts.miss_words import missed_lines


def test_a_plan_that_meets_every_wish_misses_nothing(scenes_plan):
    assert missed_lines(scenes_plan) == []


def test_a_miss_names_zone_scene_and_figures(closest_plan):
    lines = missed_lines(closest_plan)
    row = next(row for row in closest_plan.zones if not row.light.met)
    assert len(lines) == sum(not row.light.met for row in closest_plan.zones)
    assert lines[0].startswith(f"{row.light.zone} in normal running: too ")
    assert f"(PAR {row.light.par_min:.0f} to {row.light.par_max:.0f}, wants 60 to 70)" in lines[0]
