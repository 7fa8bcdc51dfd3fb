"""What must hold inside a catalog beyond the single values: one function a rule."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from lightplan.inputs.errors import ALL_ROWS, Fault, KeyPath

if TYPE_CHECKING:
    from lightplan.inputs.catalog_model import Catalog, Coral, Fixture

CHART_COLUMNS = ("par_centre", "at_height_cm", "at_depth_cm", "spread_length_cm", "spread_width_cm")
BEAM_COLUMNS = ("ppf_umol_s", "beam_angle_deg")

# 700 nm photons without any loss: 1 / (N_A h c / 700 nm), with the constants of the SI (2019)
MOST_PHOTON_EFFICACY = 5.85
# above this it would be better than the best lamps on the market (common practice, no source)
DOUBTFUL_PHOTON_EFFICACY = 3.5


def repeated(names: Iterable[str]) -> Iterator[tuple[int, int]]:
    """Yield (position, earlier position) of each name that stood before."""
    first: dict[str, int] = {}
    for position, name in enumerate(names):
        if name in first:
            yield position, first[name]
        else:
            first[name] = position


def rows_by(names: Sequence[str]) -> dict[str, list[int]]:
    """Return the positions of the rows of each name, in the order of the file."""
    rows: dict[str, list[int]] = {}
    for position, name in enumerate(names):
        rows.setdefault(name, []).append(position)
    return rows


def keys(*names: str) -> tuple[KeyPath, ...]:
    """Return file keys as paths inside one row."""
    return tuple((name,) for name in names)


def half_given(fixture: Fixture, columns: tuple[str, ...], form: str) -> Iterator[Fault]:
    """A form of light data that is given in part can't be used, and nothing says what was meant."""
    given = [column for column in columns if getattr(fixture, column) is not None]
    missing = [column for column in columns if column not in given]
    if given and missing:
        message = f"{form} by halves: {', '.join(given)} without {', '.join(missing)}; fill all or none"
        yield Fault((missing[0],), message, needs=keys(*columns))


def chart_by_halves(fixture: Fixture) -> Iterator[Fault]:
    """Form 1 needs all of its five columns."""
    return half_given(fixture, CHART_COLUMNS, "a chart is given")


def beam_by_halves(fixture: Fixture) -> Iterator[Fault]:
    """Form 2 needs both of its columns; a photometric file goes with the PPF alone."""
    if fixture.photometry is None:
        yield from half_given(fixture, BEAM_COLUMNS, "PPF and beam angle are given")


def too_efficient(fixture: Fixture) -> Iterator[Fault]:
    """No lamp gives more photons than 5.85 µmol/J, and none on sale more than about 3.5."""
    if fixture.ppf_umol_s is None:
        return
    efficacy = fixture.ppf_umol_s / fixture.power_w
    needs = keys("ppf_umol_s", "power_w")
    said = f"ppf_umol_s is {fixture.ppf_umol_s:g} for {fixture.power_w:g} W, which is {efficacy:.2f} µmol/J"
    if efficacy > MOST_PHOTON_EFFICACY:
        most = f"{MOST_PHOTON_EFFICACY} x power_w = {MOST_PHOTON_EFFICACY * fixture.power_w:.0f} at most"
        yield Fault(("ppf_umol_s",), f"{said}: no lamp can do that, needs {most}", needs=needs)
    elif efficacy > DOUBTFUL_PHOTON_EFFICACY:
        doubt = f"better than the best lamps ({DOUBTFUL_PHOTON_EFFICACY}); check both numbers"
        yield Fault(("ppf_umol_s",), f"{said}: {doubt}", "warning", needs)


def no_light_data(fixture: Fixture) -> Iterator[Fault]:
    """Without light data the output is a guess (common practice, no source)."""
    columns = (*CHART_COLUMNS, *BEAM_COLUMNS, "photometry")
    if not fixture.readings and not any(getattr(fixture, column) is not None for column in columns):
        guess = f"taken as 1.8 µmol/J x {fixture.power_w:g} W = {1.8 * fixture.power_w:.0f} µmol/s over 120 degrees"
        message = f"{fixture.fixture!r} has no light data: PPF is {guess}, claim error at least 40 %"
        needs = keys("fixture", "power_w", "photometry", *CHART_COLUMNS, *BEAM_COLUMNS)
        yield Fault(("ppf_umol_s",), message, "warning", needs)


def photometry_without_ppf(fixture: Fixture) -> Iterator[Fault]:
    """A photometric file counts lumens, so it says how light spreads, not how many photons there are."""
    if fixture.photometry is not None and fixture.ppf_umol_s is None:
        message = (
            f"ppf_umol_s is blank: {fixture.photometry!r} says how the light spreads, not how many photons there are; "
            "needs the PPF"
        )
        yield Fault(("ppf_umol_s",), message, needs=keys("photometry"))


def lamps_by_halves(fixture: Fixture) -> Iterator[Fault]:
    """The cost of lamps needs to know how often, and lamps that are changed rarely cost nothing."""
    needs = keys("lamp_months", "lamp_cost")
    if fixture.lamp_cost > 0 and fixture.lamp_months is None:
        message = f"lamp_cost is {fixture.lamp_cost:g} but lamp_months is blank: how often are the lamps changed?"
        yield Fault(("lamp_months",), message, needs=needs)
    if fixture.lamp_months is not None and "lamp_cost" not in fixture.model_fields_set:
        message = f"lamp_months is {fixture.lamp_months:g} but lamp_cost is blank: lamps are counted as free"
        yield Fault(("lamp_cost",), message, "warning", needs)


def aged_twice(fixture: Fixture) -> Iterator[Fault]:
    """Output falls as that of LEDs or as that of tubes, not both."""
    if fixture.l70_hours is not None and fixture.lamp_months is not None:
        message = f"l70_hours is {fixture.l70_hours:g} but lamp_months is given too: it is taken to age as tubes do"
        yield Fault(("l70_hours",), message, "warning", keys("lamp_months"))


FIXTURE_RULES = (
    chart_by_halves,
    beam_by_halves,
    too_efficient,
    no_light_data,
    photometry_without_ppf,
    lamps_by_halves,
    aged_twice,
)


def fixture_faults(fixture: Fixture) -> Iterator[Fault]:
    """Yield every rule that one fixture breaks."""
    for rule in FIXTURE_RULES:
        yield from rule(fixture)


def coral_faults(coral: Coral) -> Iterator[Fault]:
    """A band's lower end is not above its upper end."""
    if coral.par_min > coral.par_max:
        message = f"par_min is {coral.par_min:g} and par_max {coral.par_max:g}: upside down, the lower end is above"
        yield Fault(("par_min",), message, needs=keys("par_min", "par_max"))


def double_names(catalog: Catalog) -> Iterator[Fault]:
    """A name stands once in its table."""
    tables = {
        ("fixtures", "fixture"): [row.fixture for row in catalog.fixtures],
        ("extras", "extra"): [row.extra for row in catalog.extras],
        ("shades", "shade"): [row.shade for row in catalog.shades],
        ("corals", "coral"): [row.coral for row in catalog.corals],
    }
    for (table, column), names in tables.items():
        for position, earlier in repeated(names):
            message = f"{column} is {names[position]!r}: stands there twice, each name may stand once"
            yield Fault((table, position, column), message, needs=((table, earlier, column),))


def family_without_fixture(catalog: Catalog) -> Iterator[Fault]:
    """A hub for a family that no fixture is of is most likely a misspelt name."""
    groups = {fixture.group for fixture in catalog.fixtures}
    for position, extra in enumerate(catalog.extras):
        if extra.group is not None and extra.group not in groups:
            message = f"needed_by is {extra.needed_by!r}: no fixture has this group, so it is never bought"
            yield Fault(("extras", position, "needed_by"), message, "warning", (("fixtures", ALL_ROWS, "group"),))


CATALOG_RULES = (double_names, family_without_fixture)


def catalog_faults(catalog: Catalog) -> Iterator[Fault]:
    """Yield every rule that the tables break together (the rows have rules of their own)."""
    for rule in CATALOG_RULES:
        yield from rule(catalog)
