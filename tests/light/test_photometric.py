"""From photometric files to emitters."""

from __future__ import annotations

import math

import numpy as np
import pytest

from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.photometric_file import read_photometry
from lightplan.light.emitter import fit_emitter
from lightplan.light.photometric import from_photometry, uneven_pct
from tests.inputs.photometric import Candela, lm63, lobe, steps
from tests.light.read_under import ANGLE, SHAPES, bare, intensity_of


def filed(candela: Candela, horizontal: tuple[float, ...] = (0.0,), **columns: object) -> Fixture:
    """A fixture with a file of a formula."""
    photometry = read_photometry(lm63(candela, steps(1), horizontal).encode(), "made.ies")
    row = bare().model_copy(update={"photometry": "made.ies", "ppf_umol_s": 150.0, **columns})
    return Catalog(fixtures=(row,), photometry=(photometry,)).fixtures[0]


@pytest.mark.parametrize("shape", SHAPES)
def test_the_light_of_a_file_is_met(shape: str) -> None:
    strength = SHAPES[shape]
    emitter = fit_emitter(filed(lambda v, _: 1000.0 * float(strength(np.radians(np.array([v])))[0])))
    assert (emitter.form, emitter.ppf) == (4, 150.0)
    assert emitter.residual_pct < 6.0
    light = sum(s * (m + 1) / (2 * math.pi) * np.cos(ANGLE) ** m for m, s in emitter.lobes)
    assert light.min() > -1e-6
    assert light == pytest.approx(intensity_of(shape), abs=0.12 * intensity_of(shape).max())
    assert math.fsum(share for _, share in emitter.lobes) == pytest.approx(1.0, abs=1e-6)


def test_one_lobe_is_found_again() -> None:
    emitter = fit_emitter(filed(lobe(4.0)))
    assert emitter.residual_pct < 0.2
    assert emitter.warnings == ()


def test_a_light_that_is_not_alike_all_round_is_said_to_be_reckoned_so() -> None:
    def candela(v: float, h: float) -> float:
        return lobe(2)(v, h) * (1.0 + 0.6 * float(np.cos(2.0 * np.radians(h))))

    row = filed(candela, tuple(steps(15, 90.0)))
    assert row.light.photometry is not None
    assert uneven_pct(row.light.photometry) == pytest.approx(60.0, abs=0.5)
    (warning,) = from_photometry(row).warnings
    assert "is not alike all round, but is reckoned as if it were" in warning
    assert "up to 60 %" in warning


def test_a_fixture_without_a_file_has_no_such_light() -> None:
    with pytest.raises(ValueError, match="no photometric file"):
        from_photometry(bare())
