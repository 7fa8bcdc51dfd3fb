"""A mix is the sum of its parts, whichever way it is put together."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.light.colour import chromaticity
from lightplan.light.colour_tables import illuminant
from lightplan.light.mixing import Mix, mixed
from tests.light.spectra import parts

some = settings(max_examples=40, deadline=None)


@some
@given(parts(), st.randoms(use_true_random=False))
def test_a_mix_is_the_same_whichever_way_it_is_summed(lights, chance):
    whole = mixed(lights)
    shuffled = [*lights, *((spectrum, 0.0) for spectrum, _ in lights)]
    chance.shuffle(shuffled)
    cut = chance.randrange(len(shuffled) + 1)
    halves = mixed(shuffled[:cut]) + mixed(shuffled[cut:])
    for other in (halves, Mix(tuple(lights))):
        assert other.par == pytest.approx(whole.par)
        assert other.blue_share == pytest.approx(whole.blue_share)
        assert other.shown == pytest.approx(whole.shown)
        assert chromaticity(other.xyz) == pytest.approx(chromaticity(whole.xyz))
        at = np.arange(380.0, 780.0, 7.0)
        assert other.photons_per_nm(at) == pytest.approx(whole.photons_per_nm(at))


@some
@given(parts(), st.floats(0.01, 100))
def test_doubling_every_light_changes_par_and_not_its_colour(lights, times):
    once, more = mixed(lights), mixed((spectrum, times * par) for spectrum, par in lights)
    assert more.par == pytest.approx(times * once.par)
    assert more.xyz == pytest.approx(times * once.xyz)
    assert more.blue_share == pytest.approx(once.blue_share)
    assert chromaticity(more.xyz) == pytest.approx(chromaticity(once.xyz))
    assert 0 <= once.blue_share <= 1


@some
@given(parts())
def test_the_colour_of_a_mix_lies_between_those_of_its_parts(lights):
    places = np.array([chromaticity(Mix((part,)).xyz) for part in lights])
    whole = np.array(chromaticity(mixed(lights).xyz))
    assert (whole >= places.min(axis=0) - 1e-9).all()
    assert (whole <= places.max(axis=0) + 1e-9).all()


def test_parts_of_one_spectrum_become_one_and_the_dark_has_no_colour():
    white = illuminant("CIE D65")
    assert mixed([(white, 1.0), (white, 2.0), (illuminant("CIE A"), 0.0)]).parts == ((white, 3.0),)
    dark = mixed([(white, 0.0)])
    assert (dark.par, dark.blue_share, chromaticity(dark.xyz)) == (0, None, None)
    assert not dark.shown.any()
    assert not dark.photons_per_nm([500.0]).any()
    with pytest.raises(ValueError, match="0 or more"):
        Mix(((white, -1.0),))
