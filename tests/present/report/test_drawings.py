"""The drawings of a report, and as files."""

from __future__ import annotations

import dataclasses
import xml.etree.ElementTree as ET

import numpy as np

from lightplan.choose.par import par_at
from lightplan.choose.sample import zone_grid
from lightplan.present.report.drawings import ReportDrawings, drawing_files, svg_file

SVG = "{http://www.w3.org/2000/svg}"


def test_the_scale_reaches_to_the_brightest_of_all_scenes_and_zones(scenes_plan):
    drawings = ReportDrawings(scenes_plan)
    tank, catalog = scenes_plan.tank, scenes_plan.catalog
    zone = tank.zones[0]
    for scene in drawings.scenes:
        lights = [light.in_scene(scene) for light in scenes_plan.lights]
        grid = np.vstack([zone_grid(zone, depth) for depth in zone.depth_cm])
        assert par_at(tank, catalog, lights, grid).max() <= drawings.limit
    assert drawings.depth_cm == 15
    assert drawings.y_cm == 15


def test_the_same_plan_is_drawn_alike(scenes_plan):
    one, two = ReportDrawings(scenes_plan), ReportDrawings(scenes_plan)
    assert one.above() == two.above()
    assert one.side == two.side
    assert one.above() != one.above("first-day")


def test_files_are_svg_with_a_title(scenes_plan):
    box = scenes_plan.tank.box.model_copy(update={"name": '<b> & "Riff" 🐠'})
    named = dataclasses.replace(scenes_plan, tank=scenes_plan.tank.model_copy(update={"box": box}))
    files = drawing_files(ReportDrawings(named))
    assert list(files) == ["above.svg", "side.svg"]
    for content in files.values():
        assert content.startswith(b'<?xml version="1.0" encoding="UTF-8"?>\n<svg')
        root = ET.fromstring(content)
        assert root.tag == f"{SVG}svg"
        assert str(root.findtext(f"{SVG}title")).startswith('<b> & "Riff" 🐠, normal running: from ')


def test_a_title_is_the_first_thing_in_the_file():
    assert svg_file('<svg width="1"><g></g></svg>', "a<b").decode().splitlines()[1] == (
        '<svg width="1"><title>a&lt;b</title><g></g></svg>'
    )
