"""The par command: PAR at given points under given lights."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np

from lightplan.choose.par import par_at
from lightplan.choose.trust import doubtful_points
from lightplan.inputs.checks import read_inputs
from lightplan.inputs.errors import InputError, Problem, errors_only, refuse_errors
from lightplan.inputs.layout import lights_of_scene, load_layout, load_points
from lightplan.inputs.tables import write_csv
from lightplan.light.emitter import EmitterError
from lightplan.present.commands.jobs import DONE, WRONG_INPUT, fixtures_file
from lightplan.present.commands.json_text import json_text
from lightplan.present.commands.streams import answer, tell_problems

#: decimals of PAR in tables: far finer than any meter
PAR_DECIMALS = 3


def answer_par(
    tank: Path, catalog: Path | None, layout: Path, points: Path, scene: str | None, *, as_json: bool
) -> int:
    """Write the PAR at each point, in µmol m-2 s-1, as CSV or JSON. Returns the exit code."""
    try:
        rows = _par_rows(tank, catalog, layout, points, scene)
    except InputError as error:
        tell_problems(error.problems)
        return WRONG_INPUT
    if as_json:
        answer(json_text({"points": [{"point": point, "par": par} for point, par in rows]}, indent=2, ascii_only=True))
        return DONE
    stream = io.StringIO(newline="")
    write_csv(stream, ("point", "par"), rows)
    answer(stream.getvalue())
    return DONE


def _par_rows(
    tank: Path, catalog: Path | None, layout: Path, points: Path, scene: str | None
) -> list[tuple[str, float]]:
    """Every point with its PAR; InputError with the problems of all files that can be read."""
    named, problems = load_points(points)
    wrong = list(errors_only(problems))
    try:
        inputs = read_inputs(tank, catalog)
        lights, found = load_layout(layout, inputs.catalog)
        warnings = refuse_errors(found)
        lights = lights_of_scene(lights, scene, str(layout))
    except InputError as error:
        raise InputError([*error.problems, *wrong]) from None
    if wrong:
        raise InputError(wrong)
    tell_problems([*inputs.warnings, *warnings])
    try:
        places = np.array([(p.x_cm, p.y_cm, p.depth_cm) for p in named])
        par = par_at(inputs.tank, inputs.catalog, lights, places)
        doubtful = doubtful_points(inputs.tank, inputs.catalog, lights, places, [p.point for p in named])
    except EmitterError as error:
        raise InputError([Problem(fixtures_file(tank, catalog), None, None, str(error))]) from None
    file = fixtures_file(tank, catalog)
    tell_problems([Problem(file, None, None, sentence, "warning") for sentence in doubtful])
    return [(point.point, round(float(value), PAR_DECIMALS)) for point, value in zip(named, par, strict=True)]
