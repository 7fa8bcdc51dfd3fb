"""The costs of one model; how it adds up stands in test_running."""

from __future__ import annotations

import pytest

from lightplan.choose.running_parts import MONTH_DAYS, fixture_costs, weighted
from lightplan.inputs.catalog import Catalog
from lightplan.light.emitter import EmitterError
from tests.choose.costed import costed_plan, hung
from tests.choose.small import fixture, make_catalog, make_tank


def test_a_year_has_365_days() -> None:
    assert sum(MONTH_DAYS) == 365


def test_weights_without_light_do_not_count() -> None:
    assert weighted([(0.8, 1.0), (0.5, 2.0), (None, 3.0), (0.1, 0.0)]) == pytest.approx(0.6)
    assert weighted([(None, 1.0)]) is None
    assert weighted([]) is None


def test_only_the_named_model_counts() -> None:
    plan = costed_plan(make_tank(), make_catalog(fixture(), fixture("Other", power_w=30)), hung(), hung("Other"))
    model = fixture_costs(plan, plan.tank, "Other")
    assert (model.name, model.count, model.years[0].kwh) == ("Other", 1, pytest.approx(30 * 8 * 0.365))


def test_price_of_lights_that_one_had_is_no_reason_to_get_money_back() -> None:
    plan = costed_plan(make_tank(), make_catalog(fixture(owned=1, resale_pct=50)), hung(), hung())
    assert fixture_costs(plan, plan.tank, "Bar").years[-1].resale == pytest.approx(10)


def test_light_that_cannot_be_is_refused() -> None:
    impossible = {"ppf_umol_s": None, "beam_angle_deg": None, "par_centre": 1e5, "at_height_cm": 20, "at_depth_cm": 0}
    row = fixture(**impossible, spread_length_cm=40, spread_width_cm=40)
    plan = costed_plan(make_tank(), Catalog.model_construct(fixtures=make_catalog(row).fixtures), hung())
    with pytest.raises(EmitterError, match="more than any lamp can give"):
        fixture_costs(plan, plan.tank, "Bar")
