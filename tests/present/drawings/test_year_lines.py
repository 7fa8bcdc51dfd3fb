"""Lines over the years: light that fades, and ways that cross where the dearer one has paid."""

from __future__ import annotations

from typing import Any

import pytest

from lightplan.choose.payback import payback
from lightplan.choose.running import RunningCosts, running_costs
from lightplan.present.drawings.charts import light_left, paid_so_far
from lightplan.present.drawings.drawing import WIDEST
from lightplan.present.drawings.year_lines import MOST_LINES
from lightplan.present.drawings.year_plot import TALL_PX
from tests.choose.costed import costed_plan, hung
from tests.choose.small import Data, dimmable, fixture, make_catalog, make_tank
from tests.present.drawings.helpers import rows, said, texts


def costs_of(*kinds: Data, years: int = 4, rate: float = 0.0, **more: Any) -> RunningCosts:
    tank = make_tank(money={"currency": "EUR", "years": years, "discount_rate": rate})
    lights = [hung(kind["fixture"], **more) for kind in kinds]
    return running_costs(costed_plan(tank, make_catalog(*kinds), *lights))


def line(chart: Any, number: int) -> list[tuple[float, float]]:
    """A line's points: time as a share of the years, height as a share of the plot."""
    found = [row for row in rows(chart, "lines") if row["path"] == number]
    return [(row["x"] / WIDEST, row["y"] / TALL_PX) for row in sorted(found, key=lambda row: row["place"])]


TUBE = fixture("Tube", lamp_months=24, lamp_cost=5, lamp_loss_pct=20)
LED = fixture("Led", l70_hours=4 * 365 * 8)


def test_light_falls_and_comes_back_with_new_lamps() -> None:
    chart = light_left(costs_of(TUBE, LED))
    tube, led = line(chart, 1), line(chart, 2)
    assert tube[0] == (0, pytest.approx(1))
    assert tube[12] == pytest.approx((0.5, 0.8))
    assert tube[13] == pytest.approx((0.5, 1))
    assert tube[-1] == pytest.approx((1, 0.8))
    assert led[-1] == pytest.approx((1, 0.7))
    assert [height for _, height in led] == sorted((height for _, height in led), reverse=True)
    assert texts(chart, "numbers") == ["1", "2"]
    assert texts(chart, "lines below") == ["1: Tube", "2: Led"]
    assert "% of the first day's light" in said(chart)


def test_models_that_fade_alike_share_a_line() -> None:
    chart = light_left(costs_of(LED, fixture("Twin", l70_hours=4 * 365 * 8, life_years=9), fixture("Plain")), "dark")
    assert texts(chart, "lines below") == ["1: Led, Twin", "2: Plain"]


def test_light_that_stays_fades_on_where_a_bought_one_is_replaced() -> None:
    tank = make_tank(money={"years": 4})
    catalog = make_catalog(fixture("Led", l70_hours=4 * 365 * 8, life_years=2))
    costs = running_costs(costed_plan(tank, catalog, hung("Led"), hung("Led", placed=True)))
    assert texts(light_left(costs), "lines below") == ["1: Led", "2: Led that stays"]


def test_quick_changes_are_drawn_at_their_lowest() -> None:
    chart = light_left(costs_of(fixture("Tube", lamp_months=0.1, lamp_cost=1, lamp_loss_pct=30)))
    assert line(chart, 1) == [(0, pytest.approx(0.7)), (1, pytest.approx(0.7))]


def test_more_lines_than_can_be_told_apart_are_counted() -> None:
    kinds = [fixture(f"Led {k}", l70_hours=20000 + 1000 * k, length_cm=4) for k in range(MOST_LINES + 2)]
    chart = light_left(costs_of(*kinds))
    assert texts(chart, "lines below")[-1] == "and 2 lines more, not drawn"


def test_what_is_off_cannot_be_drawn() -> None:
    with pytest.raises(ValueError, match="No light is lit"):
        light_left(costs_of(dimmable(), level=0.0))


def test_ways_cross_where_the_dearer_one_has_paid() -> None:
    dear, cheap = (costs_of(fixture(price=price, power_w=power)) for price, power in ((90, 20), (40, 50)))
    chart = paid_so_far([("Panel", dear), ("Bars", cheap)])
    paid = payback(dear, cheap).simple_years
    assert paid is not None
    above = [x for (x, one), (_, other) in zip(line(chart, 1), line(chart, 2), strict=True) if one > other]
    assert max(above) * 4 == pytest.approx(paid, abs=1 / 12)
    assert texts(chart, "lines below") == ["1: Panel", "2: Bars"]
    assert "EUR, paid so far" in said(chart)


def test_todays_money_is_named_and_lower() -> None:
    costs = costs_of(fixture(power_w=100), rate=0.05)
    today, paid = (paid_so_far([("Bar", costs)], todays_money=todays) for todays in (True, False))
    assert texts(today, "title") == ["EUR, in today's money so far"]
    assert texts(paid, "title") == ["EUR, paid so far"]
    assert texts(paid, "numbers") == []
    assert line(today, 1)[0][1] > line(paid, 1)[0][1]


@pytest.mark.parametrize("count", [0, MOST_LINES + 1])
def test_no_ways_or_too_many_cannot_be_drawn(count: int) -> None:
    with pytest.raises(ValueError, match="ways can be drawn"):
        paid_so_far([("Bar", costs_of(fixture()))] * count)
