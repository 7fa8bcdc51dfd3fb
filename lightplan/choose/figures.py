"""What a fixture gives for its power and its price, whatever tank it hangs over."""

from __future__ import annotations

from dataclasses import dataclass

from lightplan.inputs.catalog import Fixture
from lightplan.light.emitter import EmitterError, fit_emitter


@dataclass(frozen=True)
class FixtureFigures:
    """PPF in µmol/s, photon efficacy in µmol/J (ANSI/ASABE S640), price per µmol/s; `guessed` without light data.

    `form` is the form of light data that was used (design 4.1), and `residual_pct` how far its fit is off, in per cent.
    Where the row's light data cannot be true, the figures are None and `wrong` says why.
    """

    fixture: str
    ppf: float | None
    photon_efficacy: float | None
    price_per_umol_s: float | None
    claim_error: float
    guessed: bool
    wrong: str = ""
    form: int = 5
    residual_pct: float | None = None


def fixture_figures(fixture: Fixture) -> FixtureFigures:
    """The figures of one fixture at full level."""
    error, guessed = fixture.claim_error, fixture.form == 5
    try:
        emitter = fit_emitter(fixture)
    except EmitterError as trouble:
        return FixtureFigures(fixture.fixture, None, None, None, error, guessed, str(trouble), fixture.form)
    ppf = emitter.ppf
    return FixtureFigures(
        fixture.fixture,
        ppf,
        ppf / fixture.power_w,
        fixture.price / ppf,
        error,
        guessed,
        form=fixture.form,
        residual_pct=emitter.residual_pct,
    )
