"""How the light of a fixture fades over the years, and comes back with new lamps or a new fixture.

Times are years since the light was hung, shares are of the output on the first day.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from lightplan.choose.money import MONTHS_PER_YEAR, replacements
from lightplan.choose.schedule import settled_hours_per_year
from lightplan.inputs.catalog import Fixture
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import output_after

#: what fades more slowly than this share a year does not fade
_STEADY = 1e-12


@dataclass(frozen=True)
class Ageing:
    """Output falls as ``exp(-decay x age)``, `decay` a year, and is whole again every `renewed` years (None: never).

    For LEDs this is the lumen maintenance of IES TM-21-11. That lamps of tubes fade by the same law, down to what
    lamp_loss_pct leaves when they are changed, is common practice, no source.
    """

    decay: float
    renewed: float | None

    def just_before(self, time: float) -> float:
        """Output at a time, before a renewal that is due at that very time."""
        return self._at_age(time - renewals_before(time, self.renewed) * (self.renewed or 0.0))

    def lowest(self, start: float, end: float) -> float:
        """The least output from `start` to `end`, a renewal at `end` not yet done."""
        done = renewals_before(end, self.renewed)
        if self.renewed is not None and done > renewals_before(start, self.renewed) and done * self.renewed > start:
            # a renewal within the time ends a whole life
            return self._at_age(self.renewed)
        return self.just_before(end)

    def mean(self, start: float, end: float) -> float:
        """The mean output from `start` to `end`, which must be later."""
        return (self._given_until(end) - self._given_until(start)) / (end - start)

    def _at_age(self, age: float) -> float:
        return math.exp(-self.decay * age) if age > 0 else 1.0

    def _given_until(self, time: float) -> float:
        """Output summed over the time since the beginning, in years at full output."""
        done = renewals_before(time, self.renewed)
        if done == 0 or self.renewed is None:
            return self._given_in(time)
        return done * self._given_in(self.renewed) + self._given_in(time - done * self.renewed)

    def _given_in(self, age: float) -> float:
        return age if self.decay * age < _STEADY else -math.expm1(-self.decay * age) / self.decay


def renewals_before(time: float, every: float | None) -> int:
    """How often something is renewed by `time` (years), if `every` so many years; one at that very time not yet."""
    return round(replacements(1.0, every, time, 0.0))


def ageing_of(tank: Tank, fixture: Fixture, *, placed: bool) -> Ageing:
    """How a fixture ages in this tank: by its hours at full level, whatever its level is, as the plan reckons them.

    Lamps of tubes are changed, and a light that was bought is bought again at the end of its life; a placed one is not.
    """
    hours = settled_hours_per_year(tank, fixture)
    if fixture.lamp_months is not None:
        lamp_years = fixture.lamp_months / MONTHS_PER_YEAR
        # tubes: what is left at the change, whatever the hours
        return Ageing(-math.log(output_after(fixture, 0.0)) / lamp_years, lamp_years)
    life = None if placed else fixture.life_years
    if fixture.l70_hours is None:
        return Ageing(0.0, life)
    left = output_after(fixture, fixture.l70_hours)
    return Ageing(-math.log(left) / fixture.l70_hours * hours, life)
