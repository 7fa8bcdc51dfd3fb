"""All drawings in one place: charts to scale for the pages and the report, and how they become SVG."""

from __future__ import annotations

from lightplan.present.above import above
from lightplan.present.colours import Theme
from lightplan.present.drawing import image_tag, svg
from lightplan.present.drawn import Drawn, drawn_layout, drawn_lights, drawn_placed
from lightplan.present.footprint_chart import footprint
from lightplan.present.side import side
from lightplan.present.zone_chart import zone_bars

__all__ = [
    "Drawn",
    "Theme",
    "above",
    "drawn_layout",
    "drawn_lights",
    "drawn_placed",
    "footprint",
    "image_tag",
    "side",
    "svg",
    "zone_bars",
]
