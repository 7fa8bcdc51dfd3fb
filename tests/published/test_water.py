"""The clearest natural water, against the column of the source that the table of the package is not taken from."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.light.water import clear_water

#: Ksw, diffuse attenuation of the clearest natural sea water, m-1, from 400 to 700 nm in steps of 10: Smith and Baker
#: 1981, Applied Optics 20, 177-184, Table I, values from memory; and beyond both ends of it
ATTENUATION = (
    *(0.0209, 0.0196, 0.0184, 0.0172, 0.0170, 0.0168, 0.0176, 0.0175, 0.0194, 0.0212, 0.0271, 0.0370, 0.0489, 0.0519),
    *(0.0568, 0.0648, 0.0717, 0.0807, 0.109, 0.158, 0.245, 0.290, 0.310, 0.320, 0.330, 0.350, 0.400, 0.430, 0.450),
    *(0.500, 0.650),
)
BEYOND = {380: 0.0267, 390: 0.0233, 720: 1.17, 730: 1.80, 740: 2.38, 750: 2.47, 760: 2.55, 770: 2.51, 780: 2.36}


def test_attenuation_is_that_of_the_clearest_sea_water():
    """Absorption and half of the scattering, as the paper reckons it, within what three figures leave."""
    at = np.arange(400.0, 701.0, 10.0)
    assert clear_water(at) == pytest.approx(np.array(ATTENUATION), rel=5e-3, abs=1e-4)
    ends = clear_water(np.array(list(BEYOND), dtype=float))
    assert ends == pytest.approx(np.array(list(BEYOND.values())), rel=5e-3, abs=1e-4)
