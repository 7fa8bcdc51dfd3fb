"""Lights as drawings show them: where a body is, what it is called, whether it stays; from a plan, layout or tank."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lightplan.choose.lights import HungLight
from lightplan.choose.scenarios import SETTLED
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank
from lightplan.present.drawings.labels import short

LONGEST_LABEL = 40


@dataclass(frozen=True)
class Drawn:
    """A light on a drawing: its number in the table of lights, its name, its centre, its body along x and y, its
    height above the water, all in cm; whether it hangs already and stays; whether it is off."""

    number: int
    label: str
    x: float
    y: float
    length: float
    width: float
    height: float
    stays: bool = False
    off: bool = False

    @property
    def note(self) -> str:
        """What is written beside its number: nothing, "stays", "off" or both."""
        return ", ".join(word for word, said in (("stays", self.stays), ("off", self.off)) if said)

    @property
    def x_ends(self) -> tuple[float, float]:
        """Left and right end of its body."""
        return self.x - self.length / 2, self.x + self.length / 2

    @property
    def y_ends(self) -> tuple[float, float]:
        """Front and back end of its body."""
        return self.y - self.width / 2, self.y + self.width / 2


def drawn_lights(lights: Sequence[HungLight], catalog: Catalog, scene: str = SETTLED) -> tuple[Drawn, ...]:
    """The lights of a plan in one scene, numbered as in its table of where to hang them.

    Raises KeyError for a scene that the plan has not, or a fixture that the catalog has not.
    """
    rows = [light.in_scene(scene) for light in lights]
    return drawn_layout(rows, catalog, [light.placed for light in lights])


def drawn_layout(
    layout: Sequence[LayoutLight], catalog: Catalog, stays: Sequence[bool] | None = None
) -> tuple[Drawn, ...]:
    """The lights of a layout, numbered by its rows; `stays` says of each whether it hangs already."""
    kept = stays if stays is not None else [False] * len(layout)
    return tuple(
        _drawn(number, light, catalog, staying)
        for number, (light, staying) in enumerate(zip(layout, kept, strict=True), start=1)
    )


def drawn_placed(tank: Tank, catalog: Catalog) -> tuple[Drawn, ...]:
    """The lights that hang over a tank already, at the first of their heights; those not in the catalog are missing."""
    rows = [
        LayoutLight(fixture=p.fixture, x_cm=p.x_cm, y_cm=p.y_cm, height_cm=p.heights[0], turned=p.turned)
        for p in tank.placed
        if p.heights and catalog.has_fixture(p.fixture)
    ]
    return drawn_layout(rows, catalog, [True] * len(rows))


def _drawn(number: int, light: LayoutLight, catalog: Catalog, stays: bool) -> Drawn:
    fixture = catalog.fixture(light.fixture)
    length, width = fixture.length_cm, fixture.width_cm
    return Drawn(
        number=number,
        label=light.fixture,
        x=light.x_cm,
        y=light.y_cm,
        length=width if light.turned else length,
        width=length if light.turned else width,
        height=light.height_cm,
        stays=stays,
        off=light.is_off,
    )


def key_lines(lights: Iterable[Drawn], most: int) -> list[str]:
    """What the numbers stand for, lights alike in one line: "1 to 3, 5: Bar 60, stays"; at most so many lines."""
    alike: dict[tuple[str, str], list[int]] = {}
    for light in lights:
        alike.setdefault((light.label, light.note), []).append(light.number)
    entries = list(alike.items())
    shown = entries if len(entries) <= most else entries[: most - 1]
    lines = []
    for (label, note), numbers in shown:
        what = ", ".join(part for part in (short(label, LONGEST_LABEL), note) if part)
        lines.append(f"{_runs(numbers)}: {what}")
    missing = len(entries) - len(shown)
    return [*lines, f"and {missing} kinds more"] if missing else lines


def _runs(numbers: Sequence[int]) -> str:
    """Rising numbers in short: 1, 2, 5 to 8."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)
