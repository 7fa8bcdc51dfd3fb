"""From the model's columns to lights that somebody can hang: where, how high, behind what, at which level."""

from __future__ import annotations

from dataclasses import dataclass, field

from lightplan.choose.channels import sets_channels
from lightplan.choose.exact import Solution
from lightplan.choose.job import Job
from lightplan.inputs.layout import LayoutLight


@dataclass(frozen=True)
class Place:
    """How a light hangs and burns in one scene: height in cm, shade or None, level 0 to 1 (0: off).

    `levels` has the level of each channel by its name where channels can be set one by one; `level` is then the sum of
    their levels, each times its channel's share of the PPF.
    """

    height_cm: float
    shade: str | None
    level: float
    levels: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class HungLight:
    """One light of a plan, and its place in each scene, by name."""

    fixture: str
    x_cm: float
    y_cm: float
    turned: bool
    placed: bool
    scenes: dict[str, Place]

    def in_scene(self, scene: str) -> LayoutLight:
        """The light as a row of a layout."""
        return self.at(self.scenes[scene])

    def at(self, place: Place) -> LayoutLight:
        """The light as a row of a layout, at a place."""
        return LayoutLight(
            fixture=self.fixture,
            x_cm=self.x_cm,
            y_cm=self.y_cm,
            height_cm=place.height_cm,
            turned=self.turned,
            level_pct=min(100.0, 100.0 * place.level),
            shade=place.shade,
            channel_levels={name: min(100.0, 100.0 * level) for name, level in place.levels.items()},
        )


def hung_spots(job: Job, solution: Solution) -> list[int]:
    """The spots with a light: the placed ones first, then those used, from left to right and front to back."""
    spots = job.candidates.spots
    placed = [k for k, spot in enumerate(spots) if spot.placed]
    used = sorted(solution.spots, key=lambda k: (spots[k].x, spots[k].y, spots[k].fixture, spots[k].turned))
    return [*placed, *used]


def hung_lights(job: Job, solution: Solution) -> tuple[HungLight, ...]:
    """The lights of a solution, with their places in the nominal scenes."""
    nominal = [(scenario.scene, scenario.setting) for scenario in job.scenarios.nominal]
    lights = []
    for k in hung_spots(job, solution):
        spot = job.candidates.spots[k]
        places = {scene: place_in(job, solution, k, setting) for scene, setting in nominal}
        lights.append(HungLight(job.fixtures[spot.fixture].fixture, spot.x, spot.y, spot.turned, spot.placed, places))
    return tuple(lights)


def layout_of(job: Job, solution: Solution, setting: int) -> list[LayoutLight]:
    """All lights of a solution in one setting, as a layout."""
    lights = hung_lights(job, solution)
    spots = hung_spots(job, solution)
    return [light.at(place_in(job, solution, k, setting)) for light, k in zip(lights, spots, strict=True)]


def place_in(job: Job, solution: Solution, spot: int, setting: int) -> Place:
    """Where a spot's light hangs in a setting and how it burns; one that is off hangs at its resting place."""
    here = solution.lit[setting].get(spot)
    if here is None:
        height, shade = _resting_place(job, solution, spot, setting)
        return Place(height, shade, 0.0, _channels(job, spot, 0.0, None))
    choice, level = here
    channels = _channels(job, spot, level, solution.blue_of(setting, spot))
    return Place(_height(job, choice), _shade(job, choice), level, channels)


def _channels(job: Job, spot: int, level: float, blue: float | None) -> dict[str, float]:
    """The level of each channel of a spot's light; none where they cannot be set one by one."""
    number = job.candidates.spots[spot].fixture
    colour = job.colours[number]
    if not sets_channels(job.fixtures[number], colour.parts):
        return {}
    return {part.name: own for part, own in zip(colour.parts, colour.levels(level, blue), strict=True)}


def _height(job: Job, choice: int) -> float:
    return float(job.candidates.hanging_height[job.candidates.choice_hanging[choice]])


def _shade(job: Job, choice: int) -> str | None:
    shade = int(job.candidates.choice_shade[choice])
    return job.candidates.shades[shade].shade if shade >= 0 else None


def _resting_place(job: Job, solution: Solution, spot: int, setting: int) -> tuple[float, str | None]:
    """Height and shade of a light that is off: as high as its fellows or its other settings fix, else as settled, else
    lowest; behind the shade that a daily look and "settled" share, else bare."""
    candidates, settings = job.candidates, job.scenarios.settings
    body = candidates.spots[spot]
    twin = int(candidates.twin[spot])
    rigid = job.fixtures[body.fixture].hang == "rigid"
    base = settings[setting].anchor
    family = setting if base is None else base
    looks = [s for s, rule in enumerate(settings) if family in (s, rule.anchor)]
    shades = [_shade(job, solution.lit[s][spot][0]) for s in looks if spot in solution.lit[s]]
    # where something must hang alike, the one that is lit says how high
    alike: list[tuple[int, int]] = []
    if twin not in (-1, spot):
        alike += [(twin, setting)]
    if rigid:
        alike += [(k, s) for k in (spot, twin) if k >= 0 for s in range(len(settings))]
    alike += [(spot, s) for s in looks] if len(looks) > 1 else []
    for k, s in [*alike, (spot, 0), *([(twin, 0)] if twin >= 0 else [])]:
        if k in solution.lit[s]:
            return _height(job, solution.lit[s][k][0]), next(iter(shades), None)
    return body.lowest, None
