"""What only a look at its light can tell of a catalog: light that cannot be, forms that disagree, readings that do not
fit, a blue share that its spectra contradict."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from lightplan.inputs import checks
from lightplan.inputs.catalog import CatalogReading
from lightplan.inputs.catalog_model import Fixture
from lightplan.inputs.errors import Fault, Problem
from lightplan.light.agreement import disagreements
from lightplan.light.claims import claim_problems
from lightplan.light.emission import EmitterError
from lightplan.light.emitter import fit_emitter

#: a fit takes some milliseconds, and who has more fixtures than this looks at few of them
MOST_FITTED = 300
#: forms of which the tables' own rules have told all that there is
TOLD_BY_RULES = (2, 5)


def check_paths(paths: Iterable[Path | str], catalog_dir: Path | str | None = None) -> list[Problem]:
    """Return every problem of every file, as `inputs.checks.check_paths`, and those of the light of the fixtures."""
    return checks.check_paths(paths, catalog_dir, light_problems)


def light_problems(reading: CatalogReading) -> list[Problem]:
    """Return what is wrong with the light of a catalog's fixtures, as far as their rows can be read."""
    faults = [fault for number in range(len(reading.catalog.fixtures)) for fault in _faults(reading, number)]
    found = [*reading.problems_of(reading.doubts.trusted(faults)), *claim_problems(reading)]
    left = sum(fixture.form not in TOLD_BY_RULES for fixture in reading.catalog.fixtures[MOST_FITTED:])
    if left > 0:
        file = reading.tables["fixtures"].file
        message = f"the light of {left} fixtures after the first {MOST_FITTED} rows is not looked at"
        found.append(Problem(file, None, None, message, "warning"))
    return found


def _faults(reading: CatalogReading, number: int) -> Iterator[Fault]:
    fixture = reading.catalog.fixtures[number]
    rows = [k for k, row in enumerate(reading.catalog.readings) if row.fixture == fixture.fixture]
    needs = (("fixtures", number), *(("readings", row) for row in rows))
    if number >= MOST_FITTED or reading.doubts.touch(Fault(("fixtures", number), "", needs=needs)):
        return
    if any(fault.severity == "error" for fault in fixture.faults()):
        return
    place = ("readings", rows[0], "par") if fixture.form == 3 else ("fixtures", number, _column(fixture))
    try:
        emitter = fit_emitter(fixture)
    except EmitterError as error:
        yield Fault(place, str(error), needs=needs)
        return
    if fixture.form not in TOLD_BY_RULES:
        yield from (Fault(place, text, "warning", needs) for text in emitter.warnings)
    for found in disagreements(fixture):
        yield Fault(("fixtures", number, found.column), found.message, "warning", needs)


def _column(fixture: Fixture) -> str:
    return "par_centre" if fixture.form == 1 else "ppf_umol_s"
