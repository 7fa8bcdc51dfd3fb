"""Photometric files put beside the catalog on the desk."""

from __future__ import annotations

import pytest

from lightplan.inputs.errors import InputError
from lightplan.present.desk import light_files
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.light_files import add_light_file
from lightplan.present.desk.opening import open_empty
from tests.inputs.photometric import lm63, lobe, steps

FILE = lm63(lobe(2), steps(10)).encode()


@pytest.fixture
def desk() -> Desk:
    open_empty(made := Desk("x"))
    return made


def test_a_file_is_kept_as_it_came(desk):
    add_light_file(desk, "bar.ies", FILE)
    add_light_file(desk, "bar.ies", FILE + b"\n")
    assert desk.draft.others == {"bar.ies": FILE + b"\n"}


@pytest.mark.parametrize(("name", "data"), [("bar.ies", b"x"), ("../bar.ies", FILE), ("bar.ies", b"")])
def test_what_cannot_be_used_changes_nothing(desk, name, data):
    before = desk.draft
    with pytest.raises(InputError):
        add_light_file(desk, name, data)
    assert desk.draft is before


def test_there_may_not_be_too_many(desk, monkeypatch):
    monkeypatch.setattr(light_files, "MOST_FILES", 2)
    add_light_file(desk, "a.ies", FILE)
    with pytest.raises(InputError, match="too many files"):
        add_light_file(desk, "b.ies", FILE)
