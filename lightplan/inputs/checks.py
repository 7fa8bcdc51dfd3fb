"""Checking whole jobs: a tank with its catalog, or folders of them, every problem of every file in one go."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from lightplan.inputs.alone import load_alone
from lightplan.inputs.catalog import CatalogReading, load_catalog
from lightplan.inputs.catalog_model import Catalog
from lightplan.inputs.cross_rules import cross_faults
from lightplan.inputs.errors import Fault, InputError, Problem, refuse_errors, without_notes
from lightplan.inputs.files import decode_as, read_bytes
from lightplan.inputs.layout import load_layout, load_points
from lightplan.inputs.meter import load_meter
from lightplan.inputs.sheets import SHEETS
from lightplan.inputs.tables import in_order
from lightplan.inputs.tank_file import TankReading, load_tank
from lightplan.inputs.tank_model import Tank


@dataclass(frozen=True)
class Inputs:
    """A checked tank with its catalog, and the warnings about both."""

    tank: Tank
    catalog: Catalog
    warnings: tuple[Problem, ...]


def pair_faults(reading: TankReading, catalog: CatalogReading) -> tuple[list[Fault], list[Fault]]:
    """Return what is wrong between a tank and a catalog: the faults of the tank's file, those of the catalog's."""
    faults = (reading.doubts | catalog.doubts).trusted(cross_faults(reading.tank, catalog.catalog))
    return [fault for fault in faults if not fault.in_catalog], [fault for fault in faults if fault.in_catalog]


def pair_problems(reading: TankReading, catalog: CatalogReading) -> tuple[list[Problem], list[Problem]]:
    """Return what is wrong between a tank and a catalog: the problems of the tank's file, those of the catalog's."""
    of_tank, of_catalog = pair_faults(reading, catalog)
    return reading.problems_of(of_tank), catalog.problems_of(of_catalog)


def read_inputs(path: Path | str, catalog_dir: Path | str | None = None) -> Inputs:
    """Read a tank and its catalog (default: the tank's folder); InputError with every problem of both."""
    catalog = load_catalog(Path(path).parent if catalog_dir is None else catalog_dir)
    problems = list(catalog.problems)
    try:
        reading = load_tank(path)
    except InputError as error:
        raise InputError([*error.problems, *(p for p in problems if p.severity == "error")]) from None
    of_tank, of_catalog = pair_problems(reading, catalog)
    everything = [*in_order([*reading.problems, *of_tank]), *problems, *of_catalog]
    return Inputs(reading.tank, catalog.catalog, refuse_errors(everything))


Further = Callable[[CatalogReading], Iterable[Problem]]


def nothing_further(_: CatalogReading) -> Iterable[Problem]:
    """Return no more problems of a catalog than its own reading tells."""
    return ()


class _Check:
    """One run of `check_paths`: what was found so far, each catalog read once, each problem told once."""

    def __init__(self, catalog_dir: Path | str | None, further: Further) -> None:
        self.catalog_dir = catalog_dir
        self.further = further
        self.catalogs: dict[Path, CatalogReading] = {}
        self.found: dict[Problem, None] = {}

    def tell(self, problems: Iterable[Problem]) -> None:
        self.found.update(dict.fromkeys(problems))

    def catalog(self, directory: Path) -> CatalogReading:
        directory = directory if self.catalog_dir is None else Path(self.catalog_dir)
        if directory not in self.catalogs:
            self.catalogs[directory] = load_catalog(directory)
            self.tell(self.catalogs[directory].problems)
            self.tell(self.further(self.catalogs[directory]))
        return self.catalogs[directory]

    def tank(self, path: Path) -> None:
        try:
            reading = load_tank(path)
        except InputError as error:
            self.tell(error.problems)
            if os.path.exists(path):
                self.catalog(path.parent)
            return
        encoding = decode_as(read_bytes(path), str(path))[1]
        if encoding:
            self.tell([Problem(str(path), None, None, f"understood as {encoding} text", "note")])
        of_tank, of_catalog = pair_problems(reading, self.catalog(path.parent))
        self.tell([*in_order([*reading.problems, *of_tank]), *of_catalog])

    def folder(self, path: Path) -> None:
        reading = self.catalog(path)
        for tank in sorted(path.glob("*.toml")):
            self.tank(tank)
        read: dict[str, Callable[[Path], tuple[object, tuple[Problem, ...]]]] = {
            "layout": lambda table: load_layout(table, reading.catalog, doubts=reading.doubts),
            "points": load_points,
            # which tank and lights they belong to nobody has said: only the table itself is checked
            "meter": load_meter,
            "alone": load_alone,
        }
        for kind, load in read.items():
            found = (place for ending in (".csv", *SHEETS) for place in path.glob(f"*{kind}*{ending}"))
            for table in sorted(found):
                if _kind(table) == kind:
                    self.tell(load(table)[1])


def _kind(table: Path) -> str:
    """Tell tables that go with a tank apart; of a name with several such words, the last counts."""
    return max(("layout", "points", "meter", "alone"), key=table.stem.rfind)


def check_paths(
    paths: Iterable[Path | str], catalog_dir: Path | str | None = None, further: Further = nothing_further
) -> list[Problem]:
    """Return every problem of every file, errors and warnings; never raises for anything a user can cause.

    A path is a tank file (its catalog in `catalog_dir` or in its own folder), or a folder, of which the catalog, all
    tanks (*.toml), layouts (*layout*.csv), points (*points*.csv), readings (*meter*.csv) and readings of each light
    alone (*alone*.csv) are checked. `further` is asked for what else is wrong with each catalog.
    """
    return list(without_notes(check_with_notes(paths, catalog_dir, further)))


def check_with_notes(
    paths: Iterable[Path | str], catalog_dir: Path | str | None = None, further: Further = nothing_further
) -> list[Problem]:
    """Return what `check_paths` does, and notes of what was guessed about a file, such as its encoding."""
    check = _Check(catalog_dir, further)
    for path in map(Path, paths):
        if os.path.isdir(path):
            check.folder(path)
        else:
            check.tank(path)
    return list(check.found)
