"""Rows of the purchase model about heights and shades that several settings share."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from lightplan.choose.scope import Built, active_settings, choices_by_spot, is_whole

Key = TypeVar("Key", float, tuple[float, int])
Place = tuple[float, int]  # hanging height in cm, shade number (-1: none)


def position_rows(built: Built) -> None:
    """Tie what must not change: rigid lights keep their height in every setting, mirrored pairs hang at one height, and
    a daily look (rehang = false) keeps heights and shades of "settled"."""
    shared: dict[tuple[int, int], dict[float, int]] = {}
    shaded: dict[tuple[int, int], list[int]] = {}
    for k, choices in choices_by_spot(built).items():
        spot = built.job.candidates.spots[k]
        if choices and is_whole(built, k) and (built.use[k] >= 0 or spot.placed):
            looks = _look_rows(built, k, choices)
            _height_rows(built, k, choices, looks, shared)
            for base, places in looks.items():
                for (_, shade), column in places.items():
                    shaded.setdefault((base, shade), []).append(column)
    for (_, shade), columns in shaded.items():
        # a shade that a daily look keeps hangs there whether its light is lit or not
        if shade >= 0:
            built.program.row([*columns, int(built.shade[shade])], [*([1.0] * len(columns)), -1.0], high=0.0)


def _look_rows(built: Built, spot: int, choices: list[int]) -> dict[int, dict[Place, int]]:
    """One place (height and shade) for each setting that looks are anchored to, kept by it and by them."""
    settings = built.job.scenarios.settings
    looks: dict[int, dict[Place, int]] = {}
    for base in sorted({n for s in active_settings(built) if (n := settings[s].anchor) is not None}):
        looks[base] = _one_of(built, spot, [_place(built, j) for j in choices])
        for setting in active_settings(built):
            if base in (setting, settings[setting].anchor):
                for j in choices:
                    if built.lit[setting, j] >= 0:
                        built.program.row([built.lit[setting, j], looks[base][_place(built, j)]], [1.0, -1.0], high=0.0)
    return looks


def _height_rows(
    built: Built,
    spot: int,
    choices: list[int],
    looks: dict[int, dict[Place, int]],
    shared: dict[tuple[int, int], dict[float, int]],
) -> None:
    """One height for all that must hang alike: all settings of a rigid light, both of a mirrored pair."""
    candidates = built.job.candidates
    heights = candidates.spots[spot].heights
    rigid = built.job.fixtures[candidates.spots[spot].fixture].hang == "rigid"
    twin = int(candidates.twin[spot])
    if len(heights) == 1 or not (rigid or twin not in (-1, spot)):
        return
    for setting in active_settings(built):
        anchor = built.job.scenarios.settings[setting].anchor
        base = setting if anchor is None else anchor
        group = (spot if twin < 0 else min(spot, twin), -1 if rigid else base)
        if group not in shared:
            shared[group] = _one_of(built, spot, heights)
        at_height: dict[float, list[int]] = {height: [] for height in heights}
        for j in choices:
            if built.lit[setting, j] >= 0:
                at_height[_place(built, j)[0]].append(int(built.lit[setting, j]))
        _no_more_than(built, at_height, shared[group])
        if setting in looks:
            places: dict[float, list[int]] = {height: [] for height in heights}
            for (height, _), column in looks[setting].items():
                places[height].append(column)
            _no_more_than(built, places, shared[group])


def _no_more_than(built: Built, parts: dict[float, list[int]], wholes: dict[float, int]) -> None:
    for height, columns in parts.items():
        if columns:
            built.program.row([*columns, wholes[height]], [*([1.0] * len(columns)), -1.0], high=0.0)


def _one_of(built: Built, spot: int, keys: Iterable[Key]) -> dict[Key, int]:
    """A 0/1 column for each key, one of them chosen where the spot is used."""
    columns: dict[Key, int] = {key: built.program.column(0.0, 1.0, whole=True) for key in dict.fromkeys(keys)}
    use = int(built.use[spot])
    if use < 0:
        built.program.row(list(columns.values()), [1.0] * len(columns), 1.0, 1.0)
    else:
        built.program.row([*columns.values(), use], [*([1.0] * len(columns)), -1.0], 0.0, 0.0)
    return columns


def _place(built: Built, choice: int) -> Place:
    candidates = built.job.candidates
    return float(candidates.hanging_height[candidates.choice_hanging[choice]]), int(candidates.choice_shade[choice])
