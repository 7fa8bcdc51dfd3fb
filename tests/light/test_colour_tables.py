"""The CIE's tables are there under the names that a user may write."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from lightplan.inputs.illuminants import ILLUMINANTS
from lightplan.light.colour_tables import TEST_COLOURS, illuminant, reflected_at, seen_at


@pytest.mark.parametrize("name", ILLUMINANTS)
def test_every_light_of_the_cie_is_there_at_its_own_step(name):
    spectrum = illuminant(name)
    assert spectrum.wavelength_nm.tolist() == list(range(380, 781, 5))
    assert illuminant(name) is spectrum


def test_other_names_are_refused():
    for name in ("LED-B3", "CIE B", "CIE D60", "CIE X"):
        with pytest.raises(KeyError):
            illuminant(name)


def test_the_eye_sees_from_380_to_780():
    assert seen_at(np.array([379.0, 781.0])).tolist() == [[0, 0, 0], [0, 0, 0]]
    assert seen_at(np.array([555.0]))[0, 1] == pytest.approx(1.0, abs=1e-4)


def test_test_colours_reflect_a_share():
    shares = reflected_at(np.arange(380.0, 781.0, 5.0))
    assert shares.shape == (81, len(TEST_COLOURS))
    assert ((shares >= 0) & (shares <= 1)).all()
    # leaf green has its peak in the green, strong red reflects red
    assert 520 <= 380 + 5 * int(shares[:60, 13].argmax()) <= 570 or shares[-1, 13] > shares[:60, 13].max()
    assert shares[60, 8] > 5 * shares[30, 8]


def test_colour_science_is_loaded_only_when_colour_is_asked_for():
    code = (
        "import sys, lightplan.light.colour, lightplan.light.mixing, lightplan.light.screen, lightplan.light.water\n"
        "print('colour' in sys.modules)\n"
        "from lightplan.light.colour_tables import illuminant\n"
        "illuminant('CIE D65')\n"
        "print('colour' in sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, check=True)
    assert (done.stdout.split(), done.stderr) == (["False", "True"], "")
