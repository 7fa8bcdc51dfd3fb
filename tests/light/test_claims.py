"""Claims of one fixture that contradict each other."""

from __future__ import annotations

from pathlib import Path

import pytest

import lightplan
from lightplan.light.channels import spectrum_named
from lightplan.light.claims import BLUE_OFF, blue_contradiction, blue_of_spectra, claim_faults
from tests.choose.small import dimmable, fixture, make_catalog

CHANNELS = [
    {"fixture": "Bar", "channel": "one", "ppf_share": 0.25, "spectrum": "blue"},
    {"fixture": "Bar", "channel": "two", "ppf_share": 0.75, "spectrum": "CIE LED-B3"},
    {"fixture": "Dimmer", "channel": "one", "ppf_share": 0.5, "spectrum": "blue"},
    {"fixture": "Dimmer", "channel": "two", "ppf_share": 0.5},
]
PEAKS = [{"spectrum": "blue", "peak_nm": 450, "fwhm_nm": 20, "power": 1}]
FIXTURES = "fixture,price,power_w,length_cm,width_cm,ppf_umol_s,beam_angle_deg,blue_share_pct\n"
ROWS = "Bar,20,10,10,8,15,120,20\nPlain,20,10,10,8,15,120,20\n"


def catalog(told: float | None):
    own = {} if told is None else {"blue_share_pct": told}
    return make_catalog(fixture(**own), dimmable(blue_share_pct=10), channels=CHANNELS, peaks=PEAKS)


def made() -> float:
    """Blue share of the bar by hand: shares times those of the spectra."""
    given = catalog(None)
    return 0.25 * spectrum_named(given, "blue").blue_share + 0.75 * spectrum_named(given, "CIE LED-B3").blue_share


def test_the_blue_share_of_spectra_is_that_of_all_channels() -> None:
    assert blue_of_spectra(catalog(None), "Bar") == pytest.approx(made())
    assert blue_of_spectra(catalog(None), "Dimmer") is None
    nowhere = make_catalog(fixture(), channels=[{**CHANNELS[0], "ppf_share": 1, "spectrum": "CIE E"}])
    gone = nowhere.model_copy(
        update={"channels": tuple(c.model_copy(update={"spectrum": "gone"}) for c in nowhere.channels)}
    )
    assert blue_of_spectra(gone, "Bar") is None


@pytest.mark.parametrize(("off", "told"), [(0, False), (BLUE_OFF - 0.1, False), (BLUE_OFF + 0.1, True), (-30, True)])
def test_a_contradiction_is_told_beyond_the_tolerance(off: float, told: bool) -> None:
    given = catalog(100 * made() + off)
    said = blue_contradiction(given, "Bar")
    assert (said is not None) == told
    if said is not None:
        assert f"{100 * made() + off:g}, but" in said
        assert f"make {100 * made():.0f} %" in said
    assert len(list(claim_faults(given))) == told


def test_nothing_told_is_no_contradiction() -> None:
    assert blue_contradiction(catalog(None), "Bar") is None
    assert blue_contradiction(catalog(None), "Dimmer") is None


def write(folder: Path, rows: str = ROWS, **tables: str) -> None:
    (folder / "fixtures.csv").write_text(FIXTURES + rows, encoding="utf-8")
    (folder / "channels.csv").write_text(
        "fixture,channel,ppf_share,spectrum\nPlain,all,1,blue\nBar,all,1,CIE LED-B3\n", encoding="utf-8"
    )
    (folder / "peaks.csv").write_text(
        tables.get("peaks", "spectrum,peak_nm,fwhm_nm,power\nblue,450,20,1\n"), encoding="utf-8"
    )


def test_check_names_file_row_and_both_values(tmp_path: Path) -> None:
    write(tmp_path)
    (problem,) = lightplan.check_paths([tmp_path])
    assert (Path(problem.file).name, problem.row, problem.column) == ("fixtures.csv", 3, "blue_share_pct")
    assert problem.severity == "warning"
    assert "'Plain': blue_share_pct is 20, but the spectra of its channels make 100 %" in problem.message


def test_what_rests_on_wrong_values_is_not_told(tmp_path: Path) -> None:
    write(tmp_path, peaks="spectrum,peak_nm,fwhm_nm,power\nblue,450,-20,1\n")
    (problem,) = lightplan.check_paths([tmp_path])
    assert problem.column == "fwhm_nm"
