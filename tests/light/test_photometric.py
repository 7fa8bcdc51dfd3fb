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


def oval(v: float, h: float) -> float:
    """More along than across, most so to the sides."""
    return lobe(2)(v, h) * (1.0 + 0.6 * float(np.sin(np.radians(v)) * np.cos(2.0 * np.radians(h))))


def test_an_oval_light_is_reckoned_so() -> None:
    row = filed(oval, tuple(steps(15, 90.0)))
    emitter = from_photometry(row)
    assert emitter.warnings == ()
    angle = np.radians(np.arange(0.0, 90.0))
    more = sum(s * (m + 1) / (2 * math.pi) * np.cos(angle) ** m for m, s in emitter.oval)
    light = sum(s * (m + 1) / (2 * math.pi) * np.cos(angle) ** m for m, s in emitter.lobes)
    assert more == pytest.approx(0.6 * np.sin(angle) * light, abs=0.01 * light.max())


def test_the_longer_side_of_a_file_is_that_of_the_light() -> None:
    along = from_photometry(filed(oval, tuple(steps(15, 90.0))))
    wide = filed(oval, tuple(steps(15, 90.0)), length_cm=10.0, width_cm=60.0)
    assert from_photometry(wide).oval == along.turned().oval
    assert along.turned().turned() == along
    turned = lm63(oval, steps(1), steps(15, 90.0)).replace(" 2 0.15 0.6 0\n", " 2 0.6 0.15 0\n")
    plain = lm63(oval, steps(1), steps(15, 90.0))
    one, other = (read_photometry(text.encode(), "made.ies") for text in (turned, plain))
    assert one.candela == other.candela
    assert one.candela_oval == pytest.approx([-value for value in other.candela_oval])


def test_two_planes_tell_an_oval_exactly() -> None:
    photometry = read_photometry(lm63(oval, steps(1), (0.0, 90.0)).encode(), "made.ies")
    both = [oval(v, 0.0) - oval(v, 90.0) for v in steps(1)]
    assert np.abs(photometry.candela_oval) == pytest.approx(np.array(both) / 2.0, abs=1e-6)
    assert max(photometry.candela_off) < 1e-6


def test_what_is_no_oval_is_said_to_be_reckoned_as_one() -> None:
    """More to one side than to the other: half of it is left out."""

    def askew(v: float, h: float) -> float:
        return lobe(2)(v, h) * (1.0 + 0.5 * float(np.cos(np.radians(h))))

    row = filed(askew, tuple(steps(15, 180.0)))
    assert row.light.photometry is not None
    assert uneven_pct(row.light.photometry) == pytest.approx(50.0, abs=0.5)
    (warning,) = from_photometry(row).warnings
    assert "goes to some sides up to 50 % more or less on average than is reckoned with" in warning
    assert fit_emitter(row).oval == ()


def test_a_fixture_without_a_file_has_no_such_light() -> None:
    with pytest.raises(ValueError, match="no photometric file"):
        from_photometry(bare())
    with pytest.raises(ValueError, match="no photometric file with a PPF"):
        from_photometry(filed(lobe(2.0)).model_copy(update={"ppf_umol_s": None}))


@pytest.mark.parametrize(("share", "told"), [(0.08, 0), (0.12, 1)])
def test_an_uneven_light_is_told_from_10_per_cent(share: float, told: int) -> None:
    def askew(v: float, h: float) -> float:
        return lobe(2)(v, h) * (1.0 + share * float(np.cos(np.radians(h))))

    assert len(from_photometry(filed(askew, tuple(steps(15, 180.0)))).warnings) == told
