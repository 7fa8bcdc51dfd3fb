"""Where in a tank lights of different colour are seen side by side: a map from above."""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt
import numpy as np

from lightplan.choose.look import ColourMap
from lightplan.choose.maps import ParMap
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank
from lightplan.present.drawings.above import above
from lightplan.present.drawings.colours import Theme
from lightplan.present.drawings.drawn import Drawn

TITLE = "colour difference"


def colour_differences(
    tank: Tank,
    catalog: Catalog,
    shown: ColourMap,
    lights: Sequence[Drawn],
    theme: Theme = "light",
    inches: bool = False,
    limit: float | None = None,
) -> alt.LayerChart:
    """A tank from above, with how far the colour at each place is from the mean at that depth (CIEDE2000).

    From about 3 on it is seen at a glance, so a map that is all below that is one colour to the eye. `limit`: upper end
    of its colours, the same for maps that are compared (default: the map's own, at least 10). ValueError where no light
    of known colour reaches any place.
    """
    if not np.isfinite(shown.difference).any():
        raise ValueError("No light of known colour reaches this depth.")
    laid = ParMap(shown.x_cm, shown.y_cm, shown.depth_cm, shown.difference, TITLE)
    return above(tank, catalog, lights=lights, par=laid, limit=limit, theme=theme, inches=inches, spots=False)
