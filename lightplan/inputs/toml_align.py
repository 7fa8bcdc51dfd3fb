"""Which of the old tables of a list is which of the new ones, so that each keeps its own comments."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

# by these keys a table of a list is told from the others
NAMES = ("name", "fixture", "extra", "shade", "coral")
# comparing each with each is slow from here on; the rest are then taken in their order
MOST_PAIRS = 250_000
SAME_NAME = 10.0
# speaks for two tables without names, of which every value was changed, where nothing speaks for others
SAME_KIND = 0.01

Tables = Sequence[Mapping[str, Any]]


def _alike(one: Mapping[str, Any], other: Mapping[str, Any]) -> float:
    """Return how much speaks for two tables being the same one; 0 = nothing."""
    equal = sum(1 for key, value in one.items() if key in other and other[key] == value)
    if any(key in one or key in other for key in NAMES):
        named = any(key in one and one[key] == other.get(key) for key in NAMES)
        return equal + (SAME_NAME if named else 0.0)
    return equal + SAME_KIND


def align(old: Tables, new: Tables) -> list[int | None]:
    """Return for each old table its position among the new ones, rising; None for one that is there no more."""
    start = 0
    while start < min(len(old), len(new)) and old[start] == new[start]:
        start += 1
    end = 0
    while end < min(len(old), len(new)) - start and old[-1 - end] == new[-1 - end]:
        end += 1
    middle = _middle(old[start : len(old) - end], new[start : len(new) - end])
    places: list[int | None] = list(range(start))
    places += [None if k is None else k + start for k in middle]
    return places + [len(new) - end + k for k in range(end)]


def _middle(old: Tables, new: Tables) -> list[int | None]:
    """Return the pairing, in order, for which most speaks."""
    if len(old) * len(new) > MOST_PAIRS:
        return [k if k < len(new) else None for k in range(len(old))]
    # best[i][j]: the most that can speak for a pairing of old[i:] and new[j:]
    best = [[0.0] * (len(new) + 1) for _ in range(len(old) + 1)]
    alike = [[_alike(one, other) for other in new] for one in old]
    for i in range(len(old) - 1, -1, -1):
        for j in range(len(new) - 1, -1, -1):
            paired = alike[i][j] + best[i + 1][j + 1] if alike[i][j] > 0 else 0.0
            best[i][j] = max(paired, best[i + 1][j], best[i][j + 1])
    places: list[int | None] = [None] * len(old)
    i = j = 0
    while i < len(old) and j < len(new):
        if alike[i][j] > 0 and best[i][j] == alike[i][j] + best[i + 1][j + 1]:
            places[i] = j
            i, j = i + 1, j + 1
        elif best[i][j] == best[i + 1][j]:
            i += 1
        else:
            j += 1
    return places
