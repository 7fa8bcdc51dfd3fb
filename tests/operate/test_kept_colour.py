"""A light turned as a whole: its channels stay in proportion."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.par import output_share
from lightplan.inputs.catalog import Catalog, Channel
from lightplan.operate.kept_colour import at_output, in_proportion, most_output, own_levels
from tests.operate.surveyed import catalog_of, light

quick = settings(max_examples=60, deadline=None, derandomize=True, database=None)
#: the panel has four channels, each with a level of its own
SHARES = {"violet": 0.1, "blue": 0.4, "white": 0.45, "colour": 0.05}
TODAY = {"violet": 60.0, "blue": 80.0, "white": 20.0, "colour": 0.0}
PARTS = tuple(Channel(fixture="Panel", channel=name, ppf_share=share) for name, share in SHARES.items())


def catalog(dimming: str = "channels") -> Catalog:
    plain = catalog_of()
    fixtures = [f.model_copy(update={"dimming": dimming}) if f.fixture == "Panel" else f for f in plain.fixtures]
    return plain.model_copy(update={"fixtures": tuple(fixtures), "channels": PARTS})


def panel(**levels: float):
    return light("Panel", 40).model_copy(update={"channel_levels": levels})


def test_what_differs_is_known() -> None:
    assert own_levels(panel(**TODAY), catalog()) == pytest.approx({name: v / 100 for name, v in TODAY.items()})
    # where a column is blank the level of the whole light stands for it
    assert own_levels(panel(blue=50.0), catalog())["white"] == 1.0
    for nothing in (panel(), panel(**dict.fromkeys(SHARES, 30.0)), panel(**dict.fromkeys(SHARES, 0.0))):
        assert own_levels(nothing, catalog()) == {}
    assert own_levels(panel(**TODAY), catalog("none")) == {}
    assert own_levels(light("Bar", 40), catalog()) == {}


def test_the_brightest_channel_sets_the_most() -> None:
    whole = 0.1 * 0.6 + 0.4 * 0.8 + 0.45 * 0.2
    assert most_output(PARTS, own_levels(panel(**TODAY), catalog())) == pytest.approx(whole / 0.8)
    assert most_output(PARTS, {}) == 1.0


def test_by_hand() -> None:
    today = own_levels(panel(**TODAY), catalog())
    half = in_proportion(PARTS, today, 0.235)
    assert half == {"violet": 0.3, "blue": 0.4, "white": 0.1, "colour": 0.0}
    at_most = in_proportion(PARTS, today, most_output(PARTS, today))
    assert (at_most["blue"], at_most["violet"], at_most["white"]) == (1.0, 0.75, 0.25)


@quick
@given(
    st.lists(st.tuples(st.floats(0.02, 1), st.floats(0.01, 1)), min_size=2, max_size=10),
    st.floats(0.02, 1),
)
def test_proportions_are_kept_to_whole_per_cents(rows: list[tuple[float, float]], way: float) -> None:
    whole = sum(share for share, _ in rows)
    parts = [Channel(fixture="Panel", channel=str(k), ppf_share=share / whole) for k, (share, _) in enumerate(rows)]
    levels = {str(k): level for k, (_, level) in enumerate(rows)}
    output = way * most_output(parts, levels)
    found = in_proportion(parts, levels, output)
    factor = output / sum(row.ppf_share * levels[row.channel] for row in parts)
    for name, level in found.items():
        assert 0 <= level <= 1
        assert level == pytest.approx(round(100 * level) / 100)
        assert abs(level - factor * levels[name]) < 0.01 + 1e-9
    off = abs(sum(row.ppf_share * found[row.channel] for row in parts) - output)
    assert off <= 0.005 + 1e-9


def test_a_light_is_turned_with_all_its_channels() -> None:
    turned = at_output(panel(**TODAY), catalog(), 0.235)
    assert turned.channel_levels == pytest.approx({"violet": 30, "blue": 40, "white": 10, "colour": 0})
    assert output_share(turned, catalog()) == pytest.approx(0.235)
    assert turned.level_pct == pytest.approx(23.5)
    plain = at_output(panel(**dict.fromkeys(SHARES, 30.0)), catalog(), 0.6)
    assert (plain.level_pct, plain.channel_levels) == (60.0, {})
    off = at_output(panel(**TODAY), catalog(), 0.0)
    assert off.is_off
