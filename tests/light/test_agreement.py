"""Forms that contradict each other are named with both values."""

from __future__ import annotations

import pytest

from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.photometric_file import read_photometry
from lightplan.light.agreement import beam_of, disagreements
from lightplan.light.emission import Emitter
from lightplan.light.emitter import fit_emitter, spread
from lightplan.light.open_water import open_panel
from lightplan.light.optics import lobe_exponent
from tests.inputs.photometric import lm63, lobe, steps
from tests.light.read_under import grid, noisy, par_under, with_readings
from tests.light.test_emitter import BEAM, charted, fixture

AFTERNOON = grid([25.0], [10.0, 40.0], [0.0, 10.0, 20.0, 30.0, 45.0], [0.0, 15.0])


def said(row: Fixture) -> list[str]:
    return [found.message for found in disagreements(row)]


def test_forms_that_agree() -> None:
    assert said(fixture()) == []
    assert said(fixture(**BEAM)) == []
    assert said(charted(200.0, 2.0, 25.0, 30.0)) == []
    assert said(charted(200.0, 2.0, 25.0, 30.0, **BEAM)) == []
    assert said(charted(215.0, 2.0, 25.0, 30.0, **BEAM)) == []


def test_forms_that_give_another_ppf() -> None:
    (found,) = disagreements(charted(230.0, 2.0, 25.0, 30.0, **BEAM))
    assert found.message == (
        "Bar 60: its chart means 230 µmol/s, but ppf_umol_s says 200; that is more than the claim error of 10 % apart."
    )
    assert found.column == "ppf_umol_s"
    assert said(charted(230.0, 2.0, 25.0, 30.0, claim_error_pct=25.0, **BEAM)) == []


def test_forms_that_give_another_spread() -> None:
    row = charted(200.0, 2.0, 25.0, 30.0, ppf_umol_s=200.0, beam_angle_deg=60.0)
    (sentence,) = said(row)
    implied = spread(row, Emitter(200.0, ((lobe_exponent(60.0), 1.0),)), 25.0, 30.0)[0]
    assert f"spread_length_cm {row.spread_length_cm:.0f} cm" in sentence
    assert f"beam_angle_deg 60 means {implied:.0f} cm" in sentence


def read(row: Fixture, ppf: float = 200.0) -> Fixture:
    body = row.length_cm, row.width_cm
    return with_readings(row, AFTERNOON, noisy(par_under("wide", ppf, body, AFTERNOON), 1))


def test_readings_and_a_chart() -> None:
    own = fit_emitter(read(fixture(power_w=150.0)))
    like, unlike = (charted(ppf, 1.0, 25.0, 20.0, power_w=150.0) for ppf in (200.0, 320.0))
    assert said(read(like)) == []
    (found,) = disagreements(read(unlike))
    assert found.column == "par_centre"
    means = open_panel(unlike, 25.0, 20.0, 0.0, 0.0).par(own)
    assert f"its readings mean {means:.0f} PAR" in found.message
    assert f"but par_centre says {unlike.par_centre:.0f}" in found.message


def test_readings_and_ppf_with_beam() -> None:
    assert said(read(fixture(ppf_umol_s=210.0, beam_angle_deg=125.0, power_w=150.0))) == []
    both = disagreements(read(fixture(ppf_umol_s=400.0, beam_angle_deg=40.0, power_w=150.0)))
    assert [found.column for found in both] == ["ppf_umol_s", "beam_angle_deg"]
    assert "but ppf_umol_s says 400" in both[0].message
    assert "but beam_angle_deg says 40" in both[1].message


def test_light_that_cannot_be_is_told_elsewhere() -> None:
    assert said(charted(2000.0, 2.0, 25.0, 30.0, **BEAM)) == []


@pytest.mark.parametrize("beam", [30.0, 60.0, 120.0])
def test_the_beam_of_one_lobe_is_its_own(beam: float) -> None:
    assert beam_of(Emitter(1.0, ((lobe_exponent(beam), 1.0),))) == pytest.approx(beam, abs=0.2)


def test_a_photometric_file_and_a_chart() -> None:
    filed_too = {"ppf_umol_s": 200.0, "photometry": "made.ies"}
    photometry = read_photometry(lm63(lobe(2.0), steps(1), (0.0,)).encode(), "made.ies")
    rows = [charted(ppf, 2.0, 25.0, 30.0, **filed_too) for ppf in (200.0, 300.0)]
    like, unlike = (Catalog(fixtures=(row,), photometry=(photometry,)).fixtures[0] for row in rows)
    assert said(like) == []
    (found,) = disagreements(unlike)
    assert found.column == "par_centre"
    assert "its photometric file with its PPF means" in found.message
    wide = Catalog(
        fixtures=(charted(200.0, 2.0, 25.0, 30.0, beam_angle_deg=150.0, **filed_too),), photometry=(photometry,)
    )
    assert "beam_angle_deg" in [found.column for found in disagreements(wide.fixtures[0])]
