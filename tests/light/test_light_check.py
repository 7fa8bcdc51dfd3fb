"""What only a fit can tell of a catalog, told with its row."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from lightplan.inputs.catalog import load_catalog
from lightplan.inputs.errors import Problem
from lightplan.light import light_check
from lightplan.light.light_check import light_problems
from tests.light.read_under import grid, par_under

HEADER = "fixture,price,power_w,length_cm,width_cm,ppf_umol_s,beam_angle_deg\n"
READ = "fixture,height_cm,depth_cm,x_cm,y_cm,par\n"
AFTERNOON = grid([20.0], [0.0, 20.0], [0.0, 10.0, 20.0, 35.0, 60.0], [0.0, 12.0])


def rows(ppf: float, *, odd: float = 1.0) -> str:
    par = par_under("wide", ppf, (60.0, 15.0), AFTERNOON) * np.where(np.arange(len(AFTERNOON)) == 3, odd, 1.0)
    return READ + "".join(f"Lamp,{h},{d},{x},{y},{p:.1f}\n" for (h, d, x, y), p in zip(AFTERNOON, par, strict=True))


@pytest.fixture
def told(tmp_path: Path):
    def tell(lamp: str, readings: str | None = None, header: str = HEADER) -> list[Problem]:
        (tmp_path / "fixtures.csv").write_text(header + lamp, encoding="utf-8")
        if readings is not None:
            (tmp_path / "readings.csv").write_text(readings, encoding="utf-8")
        reading = load_catalog(tmp_path)
        assert not [problem for problem in reading.problems if problem.severity == "error"]
        return light_problems(reading)

    return tell


def test_nothing_wrong(told) -> None:
    assert told("Lamp,100,100,60,15,200,120\n", rows(200.0)) == []
    assert told("Lamp,100,100,60,15,,\n", rows(200.0)) == []


def test_forms_that_disagree(told) -> None:
    (problem,) = told("Lamp,100,100,60,15,300,120\n", rows(200.0))
    assert (Path(problem.file).name, problem.row, problem.column) == ("fixtures.csv", 2, "ppf_umol_s")
    assert problem.severity == "warning"
    assert "its readings mean" in problem.message
    assert "but ppf_umol_s says 300" in problem.message


def test_light_that_cannot_be_is_an_error(told) -> None:
    (problem,) = told("Lamp,100,100,60,15,,\n", rows(900.0))
    assert (Path(problem.file).name, problem.row, problem.severity) == ("readings.csv", 2, "error")


def test_a_chart_that_cannot_be_is_told_of_its_par(told) -> None:
    chart = "fixture,price,power_w,length_cm,width_cm,par_centre,at_height_cm,at_depth_cm,spread_length_cm,"
    text = f"{chart}spread_width_cm\nLamp,100,20,60,15,900,30,20,90,60\n"
    (problem,) = told(text, header="")
    assert (Path(problem.file).name, problem.row, problem.column) == ("fixtures.csv", 2, "par_centre")
    assert problem.severity == "error"


def test_a_reading_that_does_not_fit(told) -> None:
    (problem,) = told("Lamp,100,100,60,15,,\n", rows(200.0, odd=2.0))
    assert "its reading 4 (20 cm up, 0 deep, at 10, 12)" in problem.message


def test_of_very_many_only_the_first_are_fitted(told, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(light_check, "MOST_FITTED", 1)
    lamps = "Lamp,100,100,60,15,200,120\nOther,100,100,60,15,200,120\n"
    # what a PPF and a beam angle say needs no fit
    assert told(lamps) == []
    (problem,) = told(lamps, rows(200.0).replace("Lamp,", "Other,"))
    assert "the light of 1 fixtures after the first 1 rows is not looked at" in problem.message


def test_just_so_many_are_fitted(told, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(light_check, "MOST_FITTED", 1)
    lamps = "Lamp,100,100,60,15,200,120\nOther,100,100,60,15,300,120\n"
    (problem,) = told(lamps, rows(200.0).replace("Lamp,", "Other,"))
    assert "is not looked at" in problem.message
    monkeypatch.setattr(light_check, "MOST_FITTED", 2)
    (problem,) = told(lamps, rows(200.0).replace("Lamp,", "Other,"))
    assert "but ppf_umol_s says 300" in problem.message
