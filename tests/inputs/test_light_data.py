"""What a fixture carries of other tables goes with it, wherever it is copied, sent or written."""

from __future__ import annotations

import pickle
from typing import Any

from lightplan.inputs.catalog import Catalog, Fixture, Reading
from lightplan.inputs.columns import columns

BAR = {"fixture": "Bar", "price": 50, "power_w": 30, "length_cm": 60, "width_cm": 5}
ROW = {"fixture": "Bar", "height_cm": 25, "depth_cm": 20, "x_cm": 0, "y_cm": 0, "par": 150}


def catalog(**tables: Any) -> Catalog:
    return Catalog.model_validate({"fixtures": [BAR, {**BAR, "fixture": "Baz"}], "readings": [ROW], **tables})


def test_each_fixture_has_its_own_readings() -> None:
    found = catalog()
    assert found.fixture("Bar").readings == (Reading.model_validate(ROW),)
    assert found.fixture("Baz").readings == ()
    assert (found.fixture("Bar").form, found.fixture("Baz").form) == (3, 5)


def test_what_is_carried_is_no_column_and_is_not_written_twice() -> None:
    assert "light" not in columns(Fixture)
    data = catalog().model_dump(mode="json", exclude_unset=True)
    assert "light" not in data["fixtures"][0]
    assert Catalog.model_validate(data) == catalog()


def test_a_copy_with_other_fixtures_keeps_the_readings_of_these() -> None:
    found = catalog()
    renamed = found.fixture("Bar").model_copy(update={"fixture": "light 1"})
    other = found.model_copy(update={"fixtures": (renamed,)})
    assert [row.fixture for row in other.readings] == ["light 1"]
    again = Catalog.model_validate(other.model_dump(mode="json", exclude_unset=True))
    assert again.fixture("light 1").readings == other.fixture("light 1").readings
    assert found.model_copy(update={"fixtures": found.fixtures}).readings == found.readings


def test_fixtures_of_another_catalog_bring_their_readings() -> None:
    found = Catalog(fixtures=catalog().fixtures)
    assert found.readings == catalog().readings
    assert found.model_dump(exclude_unset=True)["readings"]


def test_brighter_readings() -> None:
    light = catalog().fixture("Bar").light
    assert [row.par for row in light.brighter(1.2).readings] == [180]


def test_equal_data_have_equal_hashes_here_and_where_they_were_sent() -> None:
    one, other = catalog().fixture("Bar"), catalog().fixture("Bar")
    assert hash(one) == hash(other)
    sent = pickle.loads(pickle.dumps(one))
    assert (sent, hash(sent)) == (one, hash(one))
    assert b"_kept_hash" not in pickle.dumps(one)
