"""What tests of drawings share: a small tank with everything in it, and ways to look into a chart."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree as ET

import altair as alt

from lightplan.present.drawings.charts import svg
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone

CATALOG = make_catalog(fixture(), dimmable())
FULL = {
    "tank": {"length_cm": 60, "width_cm": 30, "depth_cm": 30, "ceiling_above_water_cm": 200},
    "zone": [zone("ledge"), zone("cave", x_cm=[40, 55], y_cm=[4, 20], depth_cm=[15, 25])],
    "rock": [{"x_cm": [2, 8], "y_cm": [20, 28], "depth_cm": [12, 30]}],
    "brace": [{"x_cm": [28, 32], "y_cm": [0, 30]}],
    "placed": [{"fixture": "Bar", "x_cm": 20, "y_cm": 15, "height_cm": 12, "turned": True}],
}


def full_tank(**tables: Any) -> Any:
    """A tank with zones, a rock, a brace and a light that stays; tables may be replaced."""
    return make_tank(**{**FULL, **tables})


def rows(chart: alt.LayerChart, name: str) -> list[dict[str, Any]]:
    """The rows of one layer, by its name; none where there is no such layer."""
    spec = chart.to_dict()
    names = [layer["name"] for layer in spec["layer"]]
    found: list[dict[str, Any]] = spec["datasets"].get(name, [])
    assert (name in names) == bool(found)
    return found


def texts(chart: alt.LayerChart, name: str) -> list[str]:
    """The words of one layer."""
    return [row["text"] for row in rows(chart, name)]


def layer(chart: alt.LayerChart, name: str) -> dict[str, Any]:
    """One layer's mark, by its name."""
    found: dict[str, Any] = next(one for one in chart.to_dict()["layer"] if one["name"] == name)["mark"]
    return found


def scales(chart: alt.LayerChart) -> tuple[float, float]:
    """px a cm across and up."""
    spec = chart.to_dict()
    domains = [spec["encoding"][channel]["scale"]["domain"] for channel in "xy"]
    across, up = (high - low for low, high in domains)
    return spec["width"] / across, spec["height"] / up


def said(chart: alt.LayerChart) -> list[str]:
    """Every text in the SVG; fails where it is not well-formed or points anywhere outside."""
    picture = svg(chart)
    root = ET.fromstring(picture)
    for element in root.iter():
        for key, value in element.attrib.items():
            if key.endswith("href"):
                assert value.startswith("data:image/png;base64,"), value[:60]
            assert "url(http" not in value
        assert element.tag.rpartition("}")[2] not in {"script", "style", "foreignObject", "a", "use"}
    return ["".join(element.itertext()) for element in root.iter() if element.tag.endswith("}text")]
