"""What fixtures give for their power and price, as a table."""

from __future__ import annotations

from collections.abc import Iterable

from lightplan.choose.figures import FixtureFigures, fixture_figures
from lightplan.inputs.catalog import Fixture
from lightplan.present.texts.plan_parts import Grid
from lightplan.present.texts.words import KINDS, money, percent


def figure_grid(fixtures: Iterable[Fixture], currency: str) -> Grid:
    """A row for each fixture: kind, PPF, light per watt, price per µmol/s, claim error."""
    price = f">price per µmol/s{', ' + currency if currency else ''}"
    rows = tuple((f.fixture, KINDS[f.dimming], *_figures(fixture_figures(f))) for f in fixtures)
    return Grid(("fixture", "kind", ">PPF, µmol/s", ">light per watt, µmol/J", price, ">claim error"), rows)


def _figures(figures: FixtureFigures) -> tuple[str, ...]:
    error = percent(figures.claim_error)
    if figures.ppf is None or figures.photon_efficacy is None or figures.price_per_umol_s is None:
        return ("cannot be", "", "", error)
    guess = ", guessed" if figures.guessed else ""
    return (
        f"{figures.ppf:.0f}{guess}",
        f"{figures.photon_efficacy:.2f}",
        money(figures.price_per_umol_s, decimals=2),
        error,
    )
