"""Words on drawings: widths, cut names, and places that do not overlap."""

from __future__ import annotations

import pytest

from lightplan.present.drawings.labels import Labels, short, width_px


def test_long_names_end_in_an_ellipsis() -> None:
    assert short("left crest") == "left crest"
    assert short("x" * 24) == "x" * 24
    assert short("a very long name of a zone", 12) == "a very long…"
    assert len(short("x" * 200)) == 24


def test_widths_grow_with_letters_and_scripts() -> None:
    assert width_px("ill", 16) < width_px("mwm", 16)
    assert width_px("珊瑚", 16) == pytest.approx(2 * 1.05 * 16)
    assert width_px("", 16) == 0


def test_the_first_free_place_is_taken() -> None:
    labels = Labels(0.1, (0, 100, 0, 100))
    assert labels.put("one", 14, [(50, 50), (50, 60)]) == (50, 50)
    assert labels.put("two", 14, [(50, 50), (50, 60)]) == (50, 60)


def test_where_all_is_taken_the_freest_place_is_taken_or_none() -> None:
    labels = Labels(0.1, (0, 100, 0, 100))
    labels.block((0, 100, 0, 50))
    labels.block((0, 100, 40, 50))
    assert labels.put("a", 14, [(50, 45), (50, 20)], most=0.1) is None
    assert labels.put("a", 14, [(50, 45), (50, 20)]) == (50, 20)
    assert labels.put("a", 14, []) is None


def test_labels_stay_inside() -> None:
    labels = Labels(0.1, (0, 100, 0, 100))
    assert labels.put("name", 14, [(0, 50), (50, 99.9), (50, 50)]) == (50, 50)


def test_a_frame_keeps_its_inside_free() -> None:
    labels = Labels(0.1, (0, 100, 0, 100))
    labels.frame((20, 80, 20, 80))
    assert labels.overlap(labels.box("a", 14, 50, 50)) == 0
    assert labels.overlap(labels.box("a", 14, 20, 50)) > 0
