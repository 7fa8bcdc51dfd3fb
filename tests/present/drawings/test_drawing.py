"""The pen: views to scale, ticks, units, SVG, and the image tag."""

from __future__ import annotations

import base64
import itertools
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.present.drawings.drawing import (
    CM,
    HIGHEST,
    INCHES,
    LEAST_TICK_PX,
    LOWEST,
    NARROWEST,
    WIDEST,
    Drawing,
    fit,
    image_tag,
    svg,
    ticks,
)

sizes = st.floats(1, 10_000)


@settings(max_examples=60, deadline=None, database=None)
@given(sizes, sizes)
def test_views_hold_what_they_show_and_stay_in_bounds(length: float, height: float) -> None:
    view = fit((0, length), (-height, 0))
    assert view.x[0] <= 0
    assert view.x[1] >= length
    assert view.y[0] <= -height
    assert view.y[1] >= 0
    assert NARROWEST - 0.1 <= view.width_px <= WIDEST + 0.1
    assert LOWEST - 0.1 <= view.height_px <= HIGHEST + 0.1


@settings(max_examples=60, deadline=None, database=None)
@given(st.floats(1, 5000), st.sampled_from([CM, INCHES]))
def test_ticks_are_round_and_apart(length: float, unit: object) -> None:
    scale = 500 / length
    found = ticks(0, length, unit, scale)  # type: ignore[arg-type]
    whole = [value / unit.cm for value in found]  # type: ignore[attr-defined]
    assert whole == pytest.approx([round(value) for value in whole], abs=1e-4)
    assert all((b - a) * scale >= LEAST_TICK_PX - 1e-3 for a, b in itertools.pairwise(found))


def test_ticks_of_a_common_tank() -> None:
    assert ticks(0, 120, CM, 4.4) == [0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120]
    assert ticks(-55, 40, CM, 3.0) == [-40, -20, 0, 20, 40]
    assert ticks(0, 30, INCHES, 5) == pytest.approx([0, 12.7, 25.4])


def test_lengths_are_said_short() -> None:
    assert [CM.say(value) for value in (25, 22.5, 22.54, 1200)] == ["25 cm", "22.5 cm", "22.5 cm", "1200 cm"]
    assert INCHES.say(25) == "9.8 in"


def a_drawing() -> Drawing:
    drawing = Drawing(fit((0, 50), (0, 20)), "light", CM)
    drawing.axes((0, 50), (0, 20))
    drawing.rects("box", [{"x": 0, "x2": 50, "y": 0, "y2": 20}], fill="#eeeeee")
    return drawing


def test_what_has_no_rows_is_no_layer() -> None:
    drawing = a_drawing()
    drawing.dots("dots", [], shape="circle")
    assert [one["name"] for one in drawing.chart().to_dict()["layer"]] == ["box"]


def test_lines_can_be_laid_under_what_came_before() -> None:
    drawing = Drawing(fit((0, 50), (0, 20)), "dark", CM)
    place = drawing.here
    drawing.rects("box", [{"x": 0, "x2": 50, "y": 0, "y2": 20}])
    drawing.paths("line", [{"x": 0, "y": k, "path": 0, "place": k, "colour": "#ff0000"} for k in range(2)], place)
    assert [one["name"] for one in drawing.chart().to_dict()["layer"]] == ["line", "box"]


def test_the_same_chart_gives_the_same_svg() -> None:
    assert svg(a_drawing().chart()) == svg(a_drawing().chart())


def test_svg_has_a_see_through_page_and_no_address_but_namespaces() -> None:
    picture = svg(a_drawing().chart())
    assert set(re.findall(r"https?://[^\"' )]+", picture)) <= {
        "http://www.w3.org/2000/svg",
        "http://www.w3.org/1999/xlink",
    }
    assert 'fill="white"' not in picture


def test_image_tag_holds_the_picture_and_a_safe_alt_text() -> None:
    picture = svg(a_drawing().chart())
    tag = image_tag(picture, '"><script>alert(1)</script> & more')
    assert "<script" not in tag
    assert 'alt="&quot;&gt;&lt;script&gt;alert(1)&lt;/script&gt; &amp; more"' in tag
    found = re.search(r'src="data:image/svg\+xml;base64,([^"]+)"', tag)
    assert found is not None
    assert base64.b64decode(found[1]).decode("utf-8") == picture
    width = re.search(r"max-width:(\d+)px", tag)
    assert width is not None
    assert 500 < int(width[1]) < 640


def test_an_image_needs_its_width() -> None:
    with pytest.raises(ValueError, match="width"):
        image_tag("<svg></svg>", "nothing")
