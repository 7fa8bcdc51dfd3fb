"""Where the dials of a light are put for its levels, by dial.csv: for all that tells people what to set."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from lightplan.inputs.catalog_model import Catalog

#: levels closer than this are one
ALIKE = 1e-9


@dataclass(frozen=True)
class Dials:
    """Where dials stand, in whole per cent: that of the light as a whole, or those of its channels by name.

    None and empty where a dial shows the level, where nobody has told of it, and of a light that is off.
    """

    whole: float | None = None
    each: dict[str, float] = field(default_factory=dict)

    def as_data(self) -> dict[str, Any]:
        """Return the keys `dial_pct` and `dials_pct`, each only where there is something to tell."""
        told = {} if self.whole is None else {"dial_pct": self.whole}
        return {**told, "dials_pct": dict(self.each)} if self.each else dict(told)


def dials_for(catalog: Catalog, fixture: str, level: float, levels: Mapping[str, float]) -> Dials:
    """Return where the dials of a fixture are put for a level, 0 to 1; `levels` are those of channels that have others.

    Nothing is told of a fixture that the catalog does not have.
    """
    if not catalog.has_fixture(fixture) or not catalog.fixture(fixture).dimmable:
        return Dials()
    own = {row.channel: levels.get(row.channel, level) for row in catalog.channels_of(fixture)}
    if max(own.values()) - min(own.values()) <= ALIKE:
        whole = _dial(catalog, fixture, min(own.values()), None)
        if whole is not None:
            return Dials(whole)
    found = {name: _dial(catalog, fixture, share, name) for name, share in own.items()}
    return Dials(None, {name: dial for name, dial in found.items() if dial is not None})


def _dial(catalog: Catalog, fixture: str, level: float, channel: str | None) -> float | None:
    curve = catalog.dial_of(fixture, channel)
    return None if curve is None or level <= 0 else float(round(curve.at(100.0 * level)))
