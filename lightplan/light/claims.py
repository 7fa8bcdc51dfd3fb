"""Claims of one fixture about its colour that contradict each other, as only a look at its light shows."""

from __future__ import annotations

from collections.abc import Iterator

from lightplan.inputs.catalog import Catalog, CatalogReading
from lightplan.inputs.errors import Fault, KeyPath, Problem
from lightplan.light.channels import spectrum_named

#: points of a per cent by which a told blue share may differ from that of the spectra: maker's curves are read off
#: small drawings (common practice, no source)
BLUE_OFF = 5.0
#: what says how blue a fixture is besides its own row: whatever of it is wrong, nothing is told
_OF_SPECTRA: tuple[KeyPath, ...] = (("channels",), ("spectra",), ("peaks",))


def blue_of_spectra(catalog: Catalog, fixture: str) -> float | None:
    """Blue share of a fixture at full level by the spectra of its channels alone, 0 to 1; None where that of a channel
    with light is not known, or cannot be one."""
    rows = [row for row in catalog.channels_of(fixture) if row.ppf_share > 0]
    whole, blue = sum(row.ppf_share for row in rows), 0.0
    for row in rows:
        try:
            spectrum = None if row.spectrum is None else spectrum_named(catalog, row.spectrum)
        except (KeyError, ValueError):
            spectrum = None
        if spectrum is None:
            return None
        blue += row.ppf_share * spectrum.blue_share
    return blue / whole if whole > 0 else None


def blue_contradiction(catalog: Catalog, fixture: str) -> str | None:
    """Say how a fixture's `blue_share_pct` and its spectra contradict each other; None where they do not."""
    told, made = catalog.fixture(fixture).blue_share_pct, blue_of_spectra(catalog, fixture)
    if told is None or made is None or abs(told - 100 * made) <= BLUE_OFF:
        return None
    return (
        f"blue_share_pct is {told:g}, but the spectra of its channels make {100 * made:.0f} %: more than "
        f"{BLUE_OFF:g} points apart, and the spectra count"
    )


def claim_faults(catalog: Catalog) -> Iterator[Fault]:
    """Yield a warning for every fixture whose claims about its colour contradict each other."""
    for position, fixture in enumerate(catalog.fixtures):
        own = ("fixtures", position)
        said = blue_contradiction(catalog, fixture.fixture)
        if said is not None:
            message = f"{fixture.fixture!r}: {said}"
            yield Fault((*own, "blue_share_pct"), message, "warning", ((*own, "fixture"), *_OF_SPECTRA))


def claim_problems(reading: CatalogReading) -> list[Problem]:
    """What `claim_faults` finds in a catalog as it was read; nothing that rests on a value that was wrong."""
    return reading.problems_of(reading.doubts.trusted(claim_faults(reading.catalog)))
