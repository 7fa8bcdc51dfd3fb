"""The user's catalog: fixtures, their channels and spectra, extras, shades and corals, as checked objects."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from math import ceil
from typing import Annotated, Any, Literal, Self

from pydantic import AfterValidator, SkipValidation, model_validator

from lightplan.inputs import catalog_rules as rules
from lightplan.inputs.colour_rules import colour_faults
from lightplan.inputs.dial import DialCurve, dial_of
from lightplan.inputs.errors import Fault
from lightplan.inputs.fields import (
    MOST_CM,
    MOST_COUNT,
    MOST_HOURS,
    MOST_KG,
    MOST_MONEY,
    MOST_PAR,
    MOST_PPF,
    MOST_WATTS,
    Checked,
    Name,
    Note,
    Text,
    about,
    fail,
    held,
)
from lightplan.inputs.light_data import DialRow, LightData, Photometry, Reading, rows_of
from lightplan.inputs.light_rules import light_faults

# beam angles whose lobe cos^m has m = ln 0.5 / ln cos(beam / 2) between 0.5 and 60, the range of the light model
NARROWEST_BEAM_DEG = 17.4
WIDEST_BEAM_DEG = 151.0
# form 5, a fixture without light data: common practice, no source
GUESSED_CLAIM_ERROR_PCT = 40.0

# wavelengths that a table may hold: from what lamps give off as ultraviolet to as heat
SHORTEST_NM, LONGEST_NM = 200.0, 3000.0
MOST_POWER = 1e9
# name of the one channel of a fixture without rows in channels.csv
ONLY_CHANNEL = "all"

NEEDED_BY = "timing:none, hang:wire, plan or group:NAME"


class Fixture(Checked):
    """One model of light: a row of fixtures.csv."""

    fixture: Annotated[Name, about("", "name of the model, as you want to see it everywhere")]
    price: Annotated[float, about("money", "price of one", low=0, high=MOST_MONEY)]
    power_w: Annotated[
        float, about("W", "what the plug draws at full level, not the model's name", above=0, high=MOST_WATTS)
    ]
    length_cm: Annotated[float, about("cm", "length of the body", above=0, high=MOST_CM)]
    width_cm: Annotated[float, about("cm", "width of the body", above=0, high=MOST_CM)]
    par_centre: Annotated[
        float | None, about("µmol/m²/s", "PAR under the centre at full level", above=0, high=MOST_PAR)
    ] = None
    at_height_cm: Annotated[
        float | None, about("cm", "hanging height at which par_centre was measured", above=0, high=MOST_CM)
    ] = None
    at_depth_cm: Annotated[
        float | None, about("cm", "depth at which par_centre was measured; 0 = in air", low=0, high=MOST_CM)
    ] = None
    spread_length_cm: Annotated[
        float | None, about("cm", "length over which PAR stays above half of par_centre", above=0, high=MOST_CM)
    ] = None
    spread_width_cm: Annotated[
        float | None, about("cm", "width over which PAR stays above half of par_centre", above=0, high=MOST_CM)
    ] = None
    ppf_umol_s: Annotated[float | None, about("µmol/s", "PPF at full level", above=0, high=MOST_PPF)] = None
    beam_angle_deg: Annotated[
        float | None,
        about("degrees", "full angle at half the peak intensity", low=NARROWEST_BEAM_DEG, high=WIDEST_BEAM_DEG),
    ] = None
    photometry: Annotated[
        Text | None, about("", "photometric file (LM-63, Type C) beside the catalog, used with ppf_umol_s")
    ] = None
    dimming: Annotated[
        Literal["none", "whole", "channels"], about("", "none = on/off only, whole = one level, channels = one each")
    ] = "none"
    min_level_pct: Annotated[float, about("%", "lowest level above off", low=0, high=100)] = 10.0
    timing: Annotated[Literal["none", "built-in"], about("", "whether it switches and ramps by itself")] = "none"
    group: Annotated[Name | None, about("", "family of fixtures that share one control hub")] = None
    blue_share_pct: Annotated[
        float | None, about("%", "part of the PAR in 400-500 nm, where no spectrum is known", low=0, high=100)
    ] = None
    hang: Annotated[
        Literal["wire", "rigid"], about("", "wire = its height can change from scene to scene, rigid = it cannot")
    ] = "wire"
    weight_kg: Annotated[float | None, about("kg", "weight of one", low=0, high=MOST_KG)] = None
    min_height_cm: Annotated[float, about("cm", "lowest hanging height it may have", low=0, high=MOST_CM)] = 0.0
    l70_hours: Annotated[
        float | None, about("h", "LEDs: hours to 70 % output; blank = no ageing", above=0, high=MOST_HOURS)
    ] = None
    lamp_months: Annotated[
        float | None, about("months", "tubes: months until the lamps are changed", above=0, high=1200)
    ] = None
    lamp_cost: Annotated[
        float, about("money", "tubes: price of one change of all its lamps", low=0, high=MOST_MONEY)
    ] = 0.0
    lamp_loss_pct: Annotated[float, about("%", "tubes: output lost by the change of lamps", low=0, below=100)] = 20.0
    life_years: Annotated[
        float | None, about("years", "bought again after so long; blank = outlasts the years", above=0, high=1000)
    ] = None
    standby_w: Annotated[float, about("W", "drawn while not lit", low=0, high=MOST_WATTS)] = 0.0
    power_factor: Annotated[float, about("", "power factor at the plug", above=0, high=1)] = 0.9
    claim_error_pct: Annotated[
        float,
        about(
            "%",
            "claim error, how far the box may be wrong: own readings 10, an independent review 15, a maker's chart 25, "
            "a marketplace listing 40 (common practice, no source)",
            low=0,
            below=100,
        ),
    ] = 10.0
    max_count: Annotated[int | None, about("", "most that may be bought; blank = no limit", low=0, high=MOST_COUNT)] = (
        None
    )
    owned: Annotated[
        int, about("", "how many you have that do not hang yet; they cost nothing", low=0, high=MOST_COUNT)
    ] = 0
    resale_pct: Annotated[float, about("%", "part of the price got back after the years", low=0, high=100)] = 0.0
    notes: Annotated[Note, about("", "anything you want to remember")] = ""
    light: Annotated[LightData, SkipValidation, held()] = LightData()

    def faults(self) -> Iterator[Fault]:
        """Yield what does not fit together in this row: light data given by halves, impossible output, lamps."""
        return rules.fixture_faults(self)

    @property
    def readings(self) -> tuple[Reading, ...]:
        """What a meter read under it, as the catalog's readings.csv tells."""
        return self.light.readings

    @property
    def form(self) -> Literal[1, 2, 3, 4, 5]:
        """The form of light data that applies, of several the one that says most of how the light spreads.

        3 readings, 4 a photometric file with PPF, 1 chart, 2 PPF and beam angle, 5 none (a guess from power_w).
        """
        if self.readings:
            return 3
        if self.light.photometry is not None and self.ppf_umol_s is not None:
            return 4
        if self.par_centre is not None:
            return 1
        return 2 if self.ppf_umol_s is not None and self.beam_angle_deg is not None else 5

    @property
    def dimmable(self) -> bool:
        """True where the level can be set, of the whole fixture or channel by channel."""
        return self.dimming != "none"

    @property
    def is_tube(self) -> bool:
        """True for a fixture whose lamps are changed."""
        return self.lamp_months is not None

    @property
    def min_level(self) -> float:
        """Lowest level above off, 0 to 1; a fixed-output fixture has only 1."""
        return self.min_level_pct / 100 if self.dimmable else 1.0

    @property
    def claim_error(self) -> float:
        """Claim error as a fraction; without light data at least 0.4 (common practice, no source)."""
        guessed = GUESSED_CLAIM_ERROR_PCT if self.form == 5 else 0.0
        return max(self.claim_error_pct, guessed) / 100


def _check_needed_by(text: str) -> str:
    kind, colon, name = (part.strip() for part in text.partition(":"))
    if kind == "group" and colon and name:
        return f"group:{name}"
    plain = f"{kind}{colon}{name}"
    if plain not in {"timing:none", "hang:wire", "plan"}:
        raise fail(f"needs {NEEDED_BY}")
    return plain


class Extra(Checked):
    """A timer, hub, hanging kit or rental: a row of extras.csv."""

    extra: Annotated[Name, about("", "name of the extra")]
    price: Annotated[float, about("money", "price of one", low=0, high=MOST_MONEY)]
    needed_by: Annotated[
        Name,
        AfterValidator(_check_needed_by),
        about(
            "",
            "timing:none = for bought fixtures without timing, hang:wire = for bought fixtures on wires, "
            "group:NAME = for a family, plan = once",
            needs=NEEDED_BY,
            stand_in="plan",
        ),
    ]
    serves: Annotated[
        int | None,
        about(
            "",
            "fixtures that one serves; blank = 1 for timing:none and hang:wire, the whole family for group:NAME",
            low=1,
            high=MOST_COUNT,
        ),
    ] = None

    @property
    def group(self) -> str | None:
        """The family that needs it, or None where it is not needed by a family."""
        return self.needed_by.removeprefix("group:") if self.needed_by.startswith("group:") else None

    def units(self, count: int) -> int:
        """Return how many are needed for `count` fixtures that need it (for `plan`: for a plan at all, once)."""
        if count <= 0:
            return 0
        if self.needed_by == "plan" or (self.group is not None and self.serves is None):
            return 1
        return ceil(count / (self.serves or 1))


class Shade(Checked):
    """A sheet or mesh laid under a fixture: a row of shades.csv."""

    shade: Annotated[Name, about("", "name of the shade")]
    transmission: Annotated[float, about("", "part of the light that it lets through", low=0, high=1)]
    price: Annotated[float, about("money", "price of one", low=0, high=MOST_MONEY)]
    heat_ok: Annotated[bool, about("", "whether it may lie under tubes")] = False


class Channel(Checked):
    """One channel of a fixture: a row of channels.csv."""

    fixture: Annotated[Name, about("", "name of the model, as in fixtures.csv")]
    channel: Annotated[Name, about("", "name of the channel")]
    ppf_share: Annotated[float, about("", "part of the fixture's PPF; those of a fixture add up to 1", low=0, high=1)]
    spectrum: Annotated[
        Name | None, about("", "as in spectra.csv or peaks.csv, or a light of the CIE, such as CIE LED-B3")
    ] = None


class SpectrumRow(Checked):
    """One wavelength of a spectrum: a row of spectra.csv."""

    spectrum: Annotated[Name, about("", "name of the spectrum, the same in each of its rows")]
    wavelength_nm: Annotated[
        float, about("nm", "wavelength, rising from row to row", low=SHORTEST_NM, high=LONGEST_NM, stand_in=500.0)
    ]
    power: Annotated[float, about("", "radiant power for each nm, on any scale", low=0, high=MOST_POWER)]


class Die(Checked):
    """One kind of LED die in a spectrum, its light a Gaussian: a row of peaks.csv."""

    spectrum: Annotated[Name, about("", "name of the spectrum, the same in each of its rows")]
    peak_nm: Annotated[float, about("nm", "wavelength of the peak", low=300, high=850, stand_in=500.0)]
    fwhm_nm: Annotated[float, about("nm", "full width of the peak at half its height", low=2, high=300, stand_in=20.0)]
    power: Annotated[float, about("", "radiant power of the whole peak, against the others", above=0, high=MOST_POWER)]


class Coral(Checked):
    """A kind of coral and its band, as common practice has it: a row of corals.csv."""

    coral: Annotated[Name, about("", "kind of coral")]
    par_min: Annotated[float, about("µmol/m²/s", "lowest acceptable PAR", low=0, high=MOST_PAR)]
    par_max: Annotated[float, about("µmol/m²/s", "highest acceptable PAR", above=0, high=MOST_PAR)]
    note: Annotated[Note, about("", "anything you want to remember")] = ""

    def faults(self) -> Iterator[Fault]:
        """Yield a band that is upside down."""
        return rules.coral_faults(self)


def _whole(rows: list[Channel]) -> tuple[Channel, ...]:
    """Return the channels of one fixture with shares that add up to 1, which in files they do nearly."""
    whole = sum(row.ppf_share for row in rows)
    if whole in (0.0, 1.0):
        return tuple(rows)
    return tuple(row.model_copy(update={"ppf_share": row.ppf_share / whole}) for row in rows)


def _light_of(catalog: Catalog) -> list[LightData]:
    """Return what other tables and files of a catalog tell of each fixture's light."""
    rows = rows_of(catalog.readings)
    files = {photometry.file: photometry for photometry in catalog.photometry}
    return [
        LightData(rows.get(row.fixture, ()), None if row.photometry is None else files.get(row.photometry))
        for row in catalog.fixtures
    ]


class Catalog(Checked):
    """All of the user's tables."""

    fixtures: Annotated[tuple[Fixture, ...], about("", "fixtures.csv")]
    extras: Annotated[tuple[Extra, ...], about("", "extras.csv")] = ()
    shades: Annotated[tuple[Shade, ...], about("", "shades.csv")] = ()
    corals: Annotated[tuple[Coral, ...], about("", "corals.csv")] = ()
    channels: Annotated[tuple[Channel, ...], about("", "channels.csv")] = ()
    spectra: Annotated[tuple[SpectrumRow, ...], about("", "spectra.csv")] = ()
    peaks: Annotated[tuple[Die, ...], about("", "peaks.csv")] = ()
    readings: Annotated[tuple[Reading, ...], about("", "readings.csv")] = ()
    dial: Annotated[tuple[DialRow, ...], about("", "dial.csv")] = ()
    photometry: Annotated[tuple[Photometry, ...], about("", "photometric files that fixtures name")] = ()

    def faults(self) -> Iterator[Fault]:
        """Yield names that stand twice, extras for a family that no fixture is of, channels that do not fit."""
        yield from rules.catalog_faults(self)
        yield from colour_faults(self)
        yield from light_faults(self)

    @model_validator(mode="after")
    def _hand_out(self) -> Self:
        """Give each fixture what else is told of its light, so that a fixture alone says all of it."""
        if self.readings or self.photometry:
            told = _light_of(self)
            rows = (row.model_copy(update={"light": light}) for row, light in zip(self.fixtures, told, strict=True))
            self.__dict__["fixtures"] = tuple(rows)
        self._take_back()
        return self

    def _take_back(self) -> None:
        """Have in the other tables what the fixtures carry, so that nothing is lost where the tables are written."""
        if _light_of(self) == [row.light for row in self.fixtures]:
            return
        files = {row.photometry: row.light.photometry for row in self.fixtures if row.light.photometry is not None}
        self.__dict__["photometry"] = tuple(files.values())
        self.__dict__["readings"] = tuple(
            reading if reading.fixture == row.fixture else reading.model_copy(update={"fixture": row.fixture})
            for row in self.fixtures
            for reading in row.readings
        )
        told = _light_of(self)
        rows = (row.model_copy(update={"light": light}) for row, light in zip(self.fixtures, told, strict=True))
        self.__dict__["fixtures"] = tuple(rows)
        self.__pydantic_fields_set__.update(("readings", "photometry"))

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """Return a copy with some tables replaced (unchecked, as pydantic has it)."""
        copied = super().model_copy(update=update, deep=deep)
        if update is not None and "fixtures" in update:
            copied._take_back()
        # pydantic copies what is cached, too, which may be of other fixtures
        for kept in ("_by_name", "_channels"):
            copied.__dict__.pop(kept, None)
        return copied

    @cached_property
    def _by_name(self) -> dict[str, Fixture]:
        return {fixture.fixture: fixture for fixture in self.fixtures}

    @cached_property
    def _channels(self) -> dict[str, tuple[Channel, ...]]:
        rows: dict[str, list[Channel]] = {}
        for row in self.channels:
            rows.setdefault(row.fixture, []).append(row)
        return {name: _whole(own) for name, own in rows.items()}

    def channels_of(self, name: str) -> tuple[Channel, ...]:
        """Return the channels of a fixture, with shares that add up to 1; KeyError where the catalog has none such.

        A fixture without rows in channels.csv has one channel, "all", of unknown spectrum.
        """
        fixture = self.fixture(name)
        if name not in self._channels:
            self._channels[name] = (Channel(fixture=fixture.fixture, channel=ONLY_CHANNEL, ppf_share=1.0),)
        return self._channels[name]

    def dial_of(self, name: str, channel: str | None = None) -> DialCurve | None:
        """Return the dial of a fixture, or of one of its channels; None where level and dial are the same.

        Of a fixture as a whole it is also None where its channels have different dials. KeyError as in `channels_of`.
        """
        rows = [row for row in self.dial if row.fixture == name]
        if not rows:
            return None
        return dial_of(rows, [row.channel for row in self.channels_of(name)], channel)

    def fixture(self, name: str) -> Fixture:
        """Return the fixture of that name; KeyError where the catalog has none."""
        return self._by_name[name]

    def has_fixture(self, name: str) -> bool:
        """Tell whether the catalog has a fixture of that name."""
        return name in self._by_name
