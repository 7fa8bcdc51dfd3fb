"""Money, energy and daily light against figures printed elsewhere; the source stands beside each."""

from __future__ import annotations

import pytest

from lightplan.choose.money import annuity, replacements, spv, upv, upv_escalating
from lightplan.choose.running import running_costs
from lightplan.choose.schedule import FixtureHours, dli, kwh_per_day, par_for_dli
from tests.choose.costed import costed_plan, hung
from tests.choose.small import fixture, make_catalog, make_tank


# NIST Handbook 135 (Fuller, Petersen 1996), single present value formula D.2.1.1 and uniform present value; annual
# supplement NISTIR 85-3273. The handbook prints 3 and 2 decimals; these digits come from numpy-financial 1.0.0.
@pytest.mark.parametrize(
    ("years", "single", "uniform"),
    [(10, 0.74409, 8.53020), (12, 0.70138, 9.95400), (20, 0.55368, 14.87747), (25, 0.47761, 17.41315)],
)
def test_present_value_factors_of_handbook_135(years: int, single: float, uniform: float) -> None:
    assert spv(0.03, years) == pytest.approx(single, abs=5e-6)
    assert upv(0.03, years) == pytest.approx(uniform, abs=5e-6)


def test_annuity_is_the_capital_recovery_factor_of_handbook_135() -> None:
    """NIST Handbook 135, as above: 1/UPV for 10 years at 3 %."""
    assert annuity(0.03, 10) == pytest.approx(0.1172305, abs=5e-8)


# ASHRAE Pocket Guide, 2013, equal series present worth factors, printed with two decimals.
@pytest.mark.parametrize(
    ("rate", "years", "printed"),
    [
        (0.03, 7, 6.23),
        (0.03, 10, 8.53),
        (0.03, 15, 11.94),
        (0.07, 7, 5.39),
        (0.07, 10, 7.02),
        (0.07, 15, 9.11),
        (0.15, 15, 5.85),
        (0.025, 10, 8.75),
        (0.045, 15, 10.74),
    ],
)
def test_equal_series_present_worth_factors_of_the_ashrae_pocket_guide(rate: float, years: int, printed: float) -> None:
    assert upv(rate, years) == pytest.approx(printed, abs=0.005)


# NIST Handbook 135, modified uniform present value; the formula's label in the handbook was not seen.
@pytest.mark.parametrize(("escalation", "expected"), [(0.02, 18.081229), (0.03, 20.0)])
def test_modified_uniform_present_value_of_handbook_135(escalation: float, expected: float) -> None:
    assert upv_escalating(0.03, escalation, 20) == pytest.approx(expected, abs=1e-6)


def test_replacement_every_three_years_as_in_engrecon() -> None:
    """R package EngrEcon, documented example ``om_distribute(0.03, 50, 3, 1000)``."""
    assert replacements(1000, 3, 50, 0.03) == pytest.approx(8174.547, abs=0.001)


# A pair of life-cycle costs modelled on the heating-system example of NIST Handbook 135 (inputs not confirmed against
# the printed page); totals worked out with numpy-financial 1.0.0, npv.
@pytest.mark.parametrize(
    ("first", "again", "left_over", "yearly", "total"),
    [
        (103_000, 12_000, 3_500, 20_000 + 7_000, 511_170.51),
        (110_000, 12_500, 3_700, 13_000 + 8_000, 429_145.62),
    ],
)
def test_life_cycle_cost_with_a_replacement_and_a_resale(
    first: float, again: float, left_over: float, yearly: float, total: float
) -> None:
    assert life_cycle_cost(first, again, left_over, yearly) == pytest.approx(total, abs=0.01)


def life_cycle_cost(first: float, again: float, left_over: float, yearly: float) -> float:
    """20 years at 3 %, with one replacement after 12."""
    return first + replacements(again, 12, 20, 0.03) - left_over * spv(0.03, 20) + yearly * upv(0.03, 20)


def test_saving_of_the_alternative_over_its_life() -> None:
    """The same pair, the difference of the two."""
    saving = life_cycle_cost(103_000, 12_000, 3_500, 27_000) - life_cycle_cost(110_000, 12_500, 3_700, 21_000)
    assert saving == pytest.approx(82_024.89, abs=0.01)


def test_documented_examples_of_numpy_financial() -> None:
    """numpy-financial 1.0.0, the examples in the docstrings of npv, irr, pmt and pv."""
    flows = [-40_000, 5_000, 8_000, 12_000, 30_000]
    assert sum(flow * spv(0.08, year) for year, flow in enumerate(flows)) == pytest.approx(3065.22267, abs=1e-5)
    # the rate at which these are worth nothing lies within 1e-5 of the printed 0.28095
    returns = [-100, 39, 59, 55, 20]
    below, above = (sum(f * spv(0.28095 + off, year) for year, f in enumerate(returns)) for off in (-1e-5, 1e-5))
    assert below > 0 > above
    assert 200_000 * annuity(0.075 / 12, 12 * 15) == pytest.approx(1854.02472, abs=1e-5)
    month = 0.05 / 12
    assert 100 * upv(month, 120) - 15_692.93 * spv(month, 120) == pytest.approx(-100.00067, abs=1e-5)


# U.S. Department of Energy, Estimating appliance and home electronic energy use: kWh = W x hours a day x days / 1000,
# at 8.5 cents. (One page prints $33.50 for the second, from 394 kWh.)
@pytest.mark.parametrize(
    ("watts", "hours", "days", "kwh", "dollars"), [(200, 4, 120, 96.0, 8.16), (270, 4, 365, 394.2, 33.51)]
)
def test_energy_examples_of_the_department_of_energy(
    watts: float, hours: float, days: int, kwh: float, dollars: float
) -> None:
    used = days * kwh_per_day(watts, FixtureHours(start_min=600, full_hours=hours, ramp_hours=0, built_in=False))
    assert used == pytest.approx(kwh, abs=0.01)
    assert used * 0.085 == pytest.approx(dollars, abs=0.01)


def test_energy_example_of_a_whole_year_through_a_plan() -> None:
    """The second of them, as running costs of a light that burns like this."""
    tank = make_tank(photoperiod={"full_hours": 4}, tariff=[{"price_per_kwh": 0.085}])
    costs = running_costs(costed_plan(tank, make_catalog(fixture(power_w=270)), hung()))
    assert costs.cost.kwh_per_year == pytest.approx(394.2, abs=0.01)
    assert sum(month.energy for month in costs.months) == pytest.approx(33.51, abs=0.01)


# Definition of the daily light integral as in ANSI/ASABE S640. The third value stands on a growers' page, the fourth
# (printed as 1.6) in an instrument maker's notes.
@pytest.mark.parametrize(
    ("par", "hours", "moles"), [(200, 12, 8.64), (100, 10, 3.6), (1, 24, 0.0864), (38.1, 12, 1.64592)]
)
def test_daily_light_integral_as_in_ansi_asabe_s640(par: float, hours: float, moles: float) -> None:
    assert dli(par, hours) == pytest.approx(moles, rel=1e-12)
    if par == 38.1:
        assert round(dli(par, hours), 1) == 1.6


# The daily light of the two treatments in DiPerna, Hoogenboom, Noonan, Fabricius 2018, PLoS ONE 13(9) e0203882; the
# 12 hours are ours.
@pytest.mark.parametrize(("moles", "par"), [(32, 740.7), (6, 138.9)])
def test_par_that_gives_a_published_daily_light(moles: float, par: float) -> None:
    assert par_for_dli(moles, 12) == pytest.approx(par, abs=0.1)
