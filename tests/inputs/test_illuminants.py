from __future__ import annotations

import pytest

from lightplan.inputs.illuminants import ILLUMINANTS, is_illuminant


@pytest.mark.parametrize("name", ["CIE A", "CIE D65", "CIE E", "CIE FL2", "CIE FL3.15", "CIE HP5", "CIE LED-RGB1"])
def test_lights_of_the_cie_go_by_their_published_names(name: str) -> None:
    assert is_illuminant(name)
    assert not is_illuminant(name.removeprefix("CIE "))
    assert not is_illuminant(name.lower())


def test_each_stands_there_once() -> None:
    assert len(set(ILLUMINANTS)) == len(ILLUMINANTS) == 50
