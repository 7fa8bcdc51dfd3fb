"""Pieces of drawings: names find places, narrow tanks keep their words apart."""

from __future__ import annotations

from lightplan.present.drawings import pieces
from lightplan.present.drawings.drawing import CM, Drawing, fit
from lightplan.present.drawings.labels import Labels


def a_drawing(length: float = 100) -> tuple[Drawing, Labels]:
    drawing = Drawing(fit((0, length), (0, 50)), "light", CM)
    return drawing, Labels(drawing.view.px(1), (*drawing.view.x, *drawing.view.y))


def rows(drawing: Drawing, name: str) -> list[dict[str, float]]:
    found: list[dict[str, float]] = drawing.chart().to_dict()["datasets"].get(name, [])
    return found


def test_a_name_stands_in_its_box_where_there_is_room() -> None:
    drawing, labels = a_drawing()
    pieces.names(drawing, labels, [("sand", (20, 60, 10, 40))], on_map=False)
    (row,) = rows(drawing, "zone names")
    assert (row["x"], row["y"]) == (40, 25)


def test_two_names_on_one_place_do_not_cover_each_other() -> None:
    drawing, labels = a_drawing()
    pieces.names(drawing, labels, [("sand", (20, 60, 10, 40)), ("ledge", (20, 60, 10, 40))], on_map=True)
    one, other = rows(drawing, "zone names")
    assert abs(one["y"] - other["y"]) > drawing.view.px(16)


def test_a_small_word_is_left_out_where_there_is_no_room() -> None:
    drawing, labels = a_drawing()
    labels.block((0, 100, 0, 50))
    drawing.rects("box", [pieces.box_row((0, 1), (0, 1))])
    pieces.small_names(drawing, labels, "rock", [(10, 30, 10, 30)])
    assert rows(drawing, "rock names") == []


def test_names_of_the_sides_keep_apart_under_a_narrow_tank() -> None:
    drawing, _ = a_drawing(5)
    pieces.start_words(drawing)
    pieces.sides(drawing, 5)
    left, right = (rows(drawing, f"{side} side")[0]["x"] for side in ("left", "right"))
    assert right - left >= drawing.view.px(pieces.SIDES_WIDE_PX) - 1e-9
    assert drawing.left == drawing.view.x[0]


def test_long_lines_are_cut() -> None:
    drawing, _ = a_drawing()
    pieces.lines_below(drawing, ["x" * 200, "short"], 60)
    one, other = rows(drawing, "lines below")
    assert len(str(one["text"])) == pieces.LONGEST_LINE
    assert one["y"] > other["y"]
