"""What must hold among channels and spectra: one function a rule."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING

from lightplan.inputs.catalog_rules import rows_by
from lightplan.inputs.errors import ALL_ROWS, Fault, KeyPath, Speller
from lightplan.inputs.illuminants import CIE, ILLUMINANTS, is_illuminant

if TYPE_CHECKING:
    from lightplan.inputs.catalog_model import Catalog

# shares written with two decimals still add up, such as 0.33 + 0.33 + 0.33
SHARES_OFF = 0.0101
# PAR, nm: a light with nothing there brings none, and has no part of it that could be blue
PAR_FROM, PAR_TO = 400.0, 700.0


def channel_of_unknown_fixture(catalog: Catalog) -> Iterator[Fault]:
    """Channels are those of fixtures in the catalog."""
    names = Speller(fixture.fixture for fixture in catalog.fixtures)
    needs: tuple[KeyPath, ...] = (("fixtures", ALL_ROWS, "fixture"),)
    for position, row in enumerate(catalog.channels):
        if row.fixture not in names:
            message = f"fixture is {row.fixture!r}: fixtures.csv has no such row{names.hint(row.fixture)}"
            yield Fault(("channels", position, "fixture"), message, needs=needs)


def channel_twice(catalog: Catalog) -> Iterator[Fault]:
    """A channel stands once in its fixture."""
    for rows in rows_by([f"{row.fixture}\n{row.channel}" for row in catalog.channels]).values():
        for position in rows[1:]:
            row = catalog.channels[position]
            message = f"channel is {row.channel!r}: stands there twice for {row.fixture!r}, each may stand once"
            needs: tuple[KeyPath, ...] = (("channels", rows[0], "channel"), ("channels", position, "fixture"))
            yield Fault(("channels", position, "channel"), message, needs=needs)


def shares_of_whole(catalog: Catalog) -> Iterator[Fault]:
    """The channels of a fixture make up all of its light."""
    for name, rows in rows_by([row.fixture for row in catalog.channels]).items():
        whole = sum(catalog.channels[position].ppf_share for position in rows)
        if catalog.has_fixture(name) and abs(whole - 1.0) > SHARES_OFF:
            message = f"ppf_share adds up to {whole:.4g} over the channels of {name!r}: needs 1 in all"
            needs = [("channels", position, key) for position in rows for key in ("ppf_share", "fixture")]
            yield Fault(("channels", rows[0], "ppf_share"), message, needs=(*needs, ("channels", ALL_ROWS, "fixture")))


def spectrum_unknown(catalog: Catalog) -> Iterator[Fault]:
    """A channel's spectrum is one of the user's or of the CIE's."""
    own = [*(row.spectrum for row in catalog.spectra), *(row.spectrum for row in catalog.peaks)]
    names = Speller([*own, *ILLUMINANTS])
    needs: tuple[KeyPath, ...] = (("spectra", ALL_ROWS, "spectrum"), ("peaks", ALL_ROWS, "spectrum"))
    for position, row in enumerate(catalog.channels):
        if row.spectrum is not None and row.spectrum not in names:
            where = "is not in spectra.csv or peaks.csv and is no light of the CIE"
            message = f"spectrum is {row.spectrum!r}: {where}{names.hint(row.spectrum)}"
            yield Fault(("channels", position, "spectrum"), message, needs=needs)


def name_of_the_cie(catalog: Catalog) -> Iterator[Fault]:
    """A spectrum of the user's cannot be taken for one that is built in."""
    for table, rows in (("spectra", catalog.spectra), ("peaks", catalog.peaks)):
        for name, positions in rows_by([row.spectrum for row in rows]).items():
            if name.casefold().startswith(CIE.casefold()):
                built_in = (
                    "is built in" if is_illuminant(name) else f"{CIE.strip()!r} opens the names of built-in lights"
                )
                message = f"spectrum is {name!r}: {built_in}, needs another name"
                yield Fault((table, positions[0], "spectrum"), message)


def spectrum_in_both(catalog: Catalog) -> Iterator[Fault]:
    """A spectrum is told row by row or by its peaks, not both."""
    there = rows_by([row.spectrum for row in catalog.spectra])
    for name, positions in rows_by([row.spectrum for row in catalog.peaks]).items():
        if name in there:
            message = f"spectrum is {name!r}: spectra.csv has one of this name too, needs one of the two"
            needs: tuple[KeyPath, ...] = (("spectra", there[name][0], "spectrum"),)
            yield Fault(("peaks", positions[0], "spectrum"), message, needs=needs)


def spectrum_too_short(catalog: Catalog) -> Iterator[Fault]:
    """One row makes no curve."""
    for name, positions in rows_by([row.spectrum for row in catalog.spectra]).items():
        if len(positions) < 2:
            message = f"spectrum {name!r} has one row: needs two or more, each a wavelength with its power"
            # a row with a misspelt name is found by this, so there is no more to look at
            yield Fault(("spectra", positions[0], "spectrum"), message, needs=(("spectra", ALL_ROWS, "spectrum"),))


def wavelengths_rise(catalog: Catalog) -> Iterator[Fault]:
    """The rows of a spectrum go from short to long wavelengths; the first that does not is told."""
    for name, positions in rows_by([row.spectrum for row in catalog.spectra]).items():
        for before, position in pairwise(positions):
            nm, last = catalog.spectra[position].wavelength_nm, catalog.spectra[before].wavelength_nm
            if nm <= last:
                message = f"wavelength_nm is {nm:g} after {last:g} in {name!r}: needs wavelengths that rise"
                needs: list[KeyPath] = [
                    ("spectra", row, key) for row in (before, position) for key in ("wavelength_nm", "spectrum")
                ]
                yield Fault(("spectra", position, "wavelength_nm"), message, needs=tuple(needs))
                break


def spectrum_without_par(catalog: Catalog) -> Iterator[Fault]:
    """A spectrum has light between 400 and 700 nm."""
    for name, positions in rows_by([row.spectrum for row in catalog.spectra]).items():
        rows = [catalog.spectra[position] for position in positions]
        lit = any(
            a.wavelength_nm < PAR_TO and b.wavelength_nm > PAR_FROM and max(a.power, b.power) > 0
            for a, b in pairwise(rows)
        )
        rising = all(a.wavelength_nm < b.wavelength_nm for a, b in pairwise(rows))
        if not lit and rising and len(rows) > 1:
            message = f"power is 0 everywhere from 400 to 700 nm in {name!r}: it would bring no PAR"
            needs = tuple(("spectra", row, key) for row in positions for key in ("power", "wavelength_nm", "spectrum"))
            yield Fault(("spectra", positions[0], "power"), message, needs=needs)
    for name, positions in rows_by([row.spectrum for row in catalog.peaks]).items():
        dies = [catalog.peaks[position] for position in positions]
        if not any(PAR_FROM - die.fwhm_nm < die.peak_nm < PAR_TO + die.fwhm_nm for die in dies):
            message = f"peak_nm of all peaks of {name!r} is outside 400 to 700 nm: it would bring no PAR"
            needs = tuple(("peaks", row, key) for row in positions for key in ("peak_nm", "fwhm_nm", "spectrum"))
            yield Fault(("peaks", positions[0], "peak_nm"), message, needs=needs)


COLOUR_RULES = (
    channel_of_unknown_fixture,
    channel_twice,
    shares_of_whole,
    spectrum_unknown,
    name_of_the_cie,
    spectrum_in_both,
    spectrum_too_short,
    wavelengths_rise,
    spectrum_without_par,
)


def colour_faults(catalog: Catalog) -> Iterator[Fault]:
    """Yield every rule that channels and spectra break."""
    for rule in COLOUR_RULES:
        yield from rule(catalog)
