"""The commands calibrate and retune: what lights give by the meter, and how to set them by it."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lightplan.choose.scenarios import SETTLED, scenes_of
from lightplan.choose.solver import SolverError
from lightplan.inputs.alone import read_alone
from lightplan.inputs.catalog import TABLES, Reading, write_fixtures
from lightplan.inputs.checks import read_inputs
from lightplan.inputs.errors import InputError, Problem, errors_only, refuse_errors
from lightplan.inputs.files import decode, read_bytes
from lightplan.inputs.layout import lights_of_scene, load_layout
from lightplan.inputs.meter import Hung, MeterReading, load_meter
from lightplan.inputs.photometry_named import read_beside
from lightplan.inputs.table_folder import TableFolder
from lightplan.inputs.tables import write_rows
from lightplan.inputs.tank import Tank
from lightplan.inputs.tank_writing import tank_text
from lightplan.inputs.toml_text import parse
from lightplan.light.emitter import EmitterError
from lightplan.operate.calibrate import Calibration, calibrate
from lightplan.operate.outcome import Retuned
from lightplan.operate.retune import retune
from lightplan.operate.retune_alone import retune_alone
from lightplan.present.commands.jobs import CLOSEST, DONE, NO_PLAN, WRONG_INPUT, Code, fixtures_file
from lightplan.present.commands.streams import tell, tell_problems
from lightplan.present.commands.studying import Answered, answer_as
from lightplan.present.commands.whole import disk_sentence, refuse_target, write_whole
from lightplan.present.texts.calibration_parts import calibration_head, calibration_parts
from lightplan.present.texts.retune_parts import retuned_head, retuned_parts


@dataclass(frozen=True)
class SurveyFiles:
    """Where a tank, its catalog, its layout and the readings are, and where results go; `scene` of a hang.csv."""

    tank: Path
    catalog: Path | None
    layout: Path
    readings: Path | None
    scene: str | None = None
    out: Path | None = None


@dataclass(frozen=True)
class _Read:
    hung: Hung
    readings: tuple[MeterReading, ...] | None
    wanted: str


def answer_calibrate(files: SurveyFiles, *, as_json: bool) -> Code:
    """Tell what lights give by the meter; write a corrected catalog where asked. Returns the exit code."""

    def work() -> Code:
        read = _read(files)
        found = calibrate(read.hung.tank, read.hung.catalog, read.hung.layout, read.readings or (), str(files.readings))
        answer_as(as_json, found.tank.box.name, _calibrated(found))
        if files.out is not None:
            write_whole(files.out, corrected_files(found, files.tank, files.catalog))
        return DONE

    return _guarded(work, files)


def answer_retune(files: SurveyFiles, *, as_json: bool) -> Code:
    """Tell the levels that bring every zone nearest to its band. Returns the exit code."""

    def work() -> Code:
        read = _read(files)
        said = str(files.readings or files.layout)
        tank, catalog, layout = read.hung.tank, read.hung.catalog, read.hung.layout
        found = retune(tank, catalog, layout, read.readings, said, read.wanted)
        done = _retuned(found)
        answer_as(as_json, tank.box.name, done)
        return done.code

    return _guarded(work, files)


def answer_retune_alone(readings: Path, immersion_factor: float | None, *, as_json: bool) -> Code:
    """Tell the levels from readings of each light alone. Returns the exit code."""
    try:
        found = retune_alone(read_alone(readings), immersion_factor, str(readings))
    except InputError as error:
        tell_problems(error.problems)
        return WRONG_INPUT
    except SolverError as error:
        tell_problems([Problem(str(readings), None, None, str(error))])
        return NO_PLAN
    done = _retuned(found)
    answer_as(as_json, readings.name, done)
    return done.code


def _guarded(work: Callable[[], Code], files: SurveyFiles) -> Code:
    """Do it; whatever a user can cause becomes a sentence and an exit code."""
    try:
        if files.out is not None:
            refuse_target(files.out)
        return work()
    except InputError as error:
        tell_problems(error.problems)
        return WRONG_INPUT
    except EmitterError as error:
        tell_problems([Problem(fixtures_file(files.tank, files.catalog), None, None, str(error))])
        return WRONG_INPUT
    except SolverError as error:
        tell_problems([Problem(str(files.readings or files.layout), None, None, str(error))])
        return NO_PLAN
    except OSError as error:
        tell(f"{error.filename or files.out}: {disk_sentence(error)}")
        return WRONG_INPUT


def _read(files: SurveyFiles) -> _Read:
    """Everything that is read; InputError with the problems of all files that can be read."""
    try:
        inputs = read_inputs(files.tank, files.catalog)
        lights, found = load_layout(files.layout, inputs.catalog)
        warnings = refuse_errors(found)
        lights = lights_of_scene(lights, files.scene, str(files.layout))
    except InputError as error:
        more = () if files.readings is None else errors_only(load_meter(files.readings)[1])
        raise InputError([*error.problems, *more]) from None
    hung, readings = Hung(inputs.tank, inputs.catalog, lights), None
    if files.readings is not None:
        readings, problems = load_meter(files.readings, hung)
        refuse_errors(problems)
    tell_problems([*inputs.warnings, *warnings])
    return _Read(hung, readings, _wanted(inputs.tank, files.scene))


def _wanted(tank: Tank, scene: str | None) -> str:
    """The scene whose bands are wanted: that of the hanging plan where the tank has it."""
    return scene if scene is not None and scene in {known.name for known in scenes_of(tank)} else SETTLED


def _calibrated(found: Calibration) -> Answered:
    return Answered(found.to_dict(), tuple(calibration_head(found)), tuple(calibration_parts(found)), DONE)


def _retuned(found: Retuned) -> Answered:
    code = DONE if found.met else CLOSEST if found.proven else NO_PLAN
    return Answered(found.to_dict(), tuple(retuned_head(found)), tuple(retuned_parts(found)), code)


def corrected_files(found: Calibration, tank: Path, catalog: Path | None) -> dict[str, bytes]:
    """The catalog and the tank file as read, name -> content: a folder that `plan` can be run on.

    Tables other than fixtures.csv, and readings.csv where what it tells of was read anew, are the user's own, as they
    are. InputError where one cannot be read.
    """
    folder = TableFolder(catalog or tank.parent, TABLES)
    files = {
        f"{name}.csv": folder.data(name)[1] for name in TABLES if name != "fixtures" and folder.path(name) is not None
    }
    corrected = found.corrected_catalog()
    files |= {
        photometry.file: read_beside(folder.directory, photometry.file) for photometry in found.catalog.photometry
    }
    files["fixtures.csv"] = _text(lambda stream: write_fixtures(stream, corrected.fixtures))
    if corrected.readings != found.catalog.readings:
        files["readings.csv"] = _text(lambda stream: write_rows(stream, Reading, corrected.readings))
    text = decode(read_bytes(tank), str(tank))
    data: dict[str, Any] = parse(text, str(tank))
    if found.water_read:
        data["tank"]["attenuation_per_m"] = round(found.attenuation_per_m, 3)
    files[tank.name] = tank_text(data, text).encode("utf-8")
    return files


def _text(write: Callable[[io.StringIO], None]) -> bytes:
    stream = io.StringIO(newline="")
    write(stream)
    return stream.getvalue().encode("utf-8")
