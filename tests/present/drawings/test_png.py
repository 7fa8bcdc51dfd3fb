"""Small pictures of maps: read back by an independent reader."""

from __future__ import annotations

import base64
import io

import numpy as np
from PIL import Image

from lightplan.present.drawings.colours import scale_colours
from lightplan.present.drawings.png import colour_picture, map_picture


def pixels(par: np.ndarray, limit: float) -> np.ndarray:
    head, data = map_picture(par, limit).split(",")
    assert head == "data:image/png;base64"
    with Image.open(io.BytesIO(base64.b64decode(data))) as picture:
        return np.array(picture.convert("RGBA"))


def test_rows_run_up_and_columns_to_the_right() -> None:
    found = pixels(np.array([[0.0, 50.0], [100.0, 100.0], [0.0, 0.0]]), 100)
    assert found.shape == (3, 2, 4)
    lowest, highest = scale_colours()[0].tolist(), scale_colours()[-1].tolist()
    assert found[2, 0, :3].tolist() == lowest
    assert found[1, :, :3].tolist() == [highest, highest]
    assert np.abs(found[2, 1, :3].astype(int) - scale_colours()[127]).max() <= 2


def test_beyond_the_limit_is_brightest_and_nothing_is_see_through() -> None:
    found = pixels(np.array([[500.0, np.nan, -1.0]]), 100)
    assert found[0, 0].tolist() == [*scale_colours()[-1].tolist(), 255]
    assert found[0, 1, 3] == 0
    assert found[0, 2].tolist() == [*scale_colours()[0].tolist(), 255]


def test_a_picture_of_any_colours_is_read_back_as_it_is() -> None:
    colours = np.arange(2 * 3 * 4, dtype=np.uint8).reshape(2, 3, 4) * 10
    head, data = colour_picture(colours).split(",")
    assert head == "data:image/png;base64"
    with Image.open(io.BytesIO(base64.b64decode(data))) as picture:
        assert np.array(picture).tolist() == colours[::-1].tolist()
