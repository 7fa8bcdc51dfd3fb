"""All drawings in one place: charts to scale for the pages and the report, and how they become SVG."""

from __future__ import annotations

from lightplan.present.drawings.above import above
from lightplan.present.drawings.chromaticity_chart import chromaticity_diagram
from lightplan.present.drawings.colour_map import colour_differences
from lightplan.present.drawings.colours import Theme
from lightplan.present.drawings.cost_chart import cost_years
from lightplan.present.drawings.curve_chart import CHOSEN, cost_curve, saving_bars
from lightplan.present.drawings.drawing import image_tag, svg
from lightplan.present.drawings.drawn import Drawn, drawn_layout, drawn_lights, drawn_placed
from lightplan.present.drawings.fixture_fit import fixture_fit
from lightplan.present.drawings.footprint_chart import footprint
from lightplan.present.drawings.ramp_lines import ramp_curve
from lightplan.present.drawings.side import side
from lightplan.present.drawings.spectrum_chart import spectrum_curves, wavelengths
from lightplan.present.drawings.swatch_chart import swatch_board
from lightplan.present.drawings.year_lines import light_left, paid_so_far
from lightplan.present.drawings.zone_chart import zone_bars

__all__ = [
    "CHOSEN",
    "Drawn",
    "Theme",
    "above",
    "chromaticity_diagram",
    "colour_differences",
    "cost_curve",
    "cost_years",
    "drawn_layout",
    "drawn_lights",
    "drawn_placed",
    "fixture_fit",
    "footprint",
    "image_tag",
    "light_left",
    "paid_so_far",
    "ramp_curve",
    "saving_bars",
    "side",
    "spectrum_curves",
    "svg",
    "swatch_board",
    "wavelengths",
    "zone_bars",
]
