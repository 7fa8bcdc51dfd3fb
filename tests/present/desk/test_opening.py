"""Opening and saving: what was saved is there again, and what cannot be opened changes nothing."""

from __future__ import annotations

import copy
import dataclasses
import json
import math
import zipfile
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.variant import Variant
from lightplan.inputs.bundle import files_of, zip_of
from lightplan.inputs.draft import TextTable, with_table, with_tank
from lightplan.inputs.errors import InputError
from lightplan.present.commands.json_text import json_text
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.opening import (
    PLAN_BROKEN,
    PLAN_FILE,
    PLAN_LEFT,
    SLIDERS_BROKEN,
    SLIDERS_FILE,
    SLIDERS_MOVED,
    examples,
    file_name,
    open_empty,
    open_example,
    open_files,
    saved,
)
from tests.inputs.books import book
from tests.present.conftest import CORALS, EXTRAS, FIXTURES, SHADES, TANK

FILES = {
    "tiny.toml": ("# my own words\n" + TANK).encode(),
    "fixtures.csv": FIXTURES.encode(),
    "extras.csv": EXTRAS.encode(),
    "shades.csv": SHADES.encode(),
    "corals.csv": CORALS.encode(),
    "notes.txt": b"bought in spring",
}
SLIDERS = Variant(budget=math.inf, years=7, par_scale=1.05, kinds=frozenset({"none"}), without=frozenset({"Plain bar"}))


def opened(files) -> Desk:
    desk = Desk("x")
    open_files(desk, list(files.items()))
    return desk


@pytest.fixture
def planned(tiny_plan):
    """A desk with the tiny tank and its plan."""
    desk = opened(FILES)
    desk.plan = dataclasses.replace(tiny_plan, tank=desk.reading.tank, catalog=desk.reading.catalog)
    return desk


def again(desk: Desk) -> Desk:
    """What somebody else sees who opens what was saved."""
    return opened({"saved.zip": saved(desk)})


def test_every_example_can_be_opened_and_is_right():
    assert len(examples()) >= 4
    for name, title in examples().items():
        desk = Desk("x")
        open_example(desk, name)
        assert (desk.title, desk.draft.tank_file) == (title, name)
        assert desk.reading.usable
        # the others' tanks and layouts are left out
        assert [file for file in desk.draft.others if not file.endswith((".csv", ".ies"))] == []
        assert again(desk).reading.tank == desk.reading.tank


def test_an_empty_tank_can_be_saved_and_opened():
    desk = Desk("x")
    open_empty(desk)
    assert desk.title
    assert again(desk).draft.tank == desk.draft.tank


def test_files_come_back_letter_by_letter(planned):
    planned.plan = None
    assert files_of([("saved.zip", saved(planned))]) == FILES
    assert again(planned).draft.others == {"notes.txt": b"bought in spring"}


def test_photometric_files_are_carried_along_and_read():
    open_example(desk := Desk("x"), next(iter(examples())))
    content = desk.draft.others["flint_pendant.ies"]
    again = opened({"saved.zip": saved(desk)})
    assert again.draft.others["flint_pendant.ies"] == content
    assert again.reading.catalog == desk.reading.catalog
    assert again.reading.catalog.fixture("Flint pendant 50").form == 4


def test_sliders_and_plan_come_back(planned):
    planned.variant = Variant(years=7)
    tank, catalog = planned.wished()
    planned.plan = dataclasses.replace(planned.plan, tank=tank, catalog=catalog)
    found = again(planned)
    assert found.variant == planned.variant
    assert found.plan.to_dict() == planned.plan.to_dict()
    assert (found.notes, found.outdated) == ((), False)
    # and what is saved of that is the very same
    assert saved(found) == saved(planned)


def test_every_slider_comes_back(planned):
    planned.plan, planned.variant = None, SLIDERS
    # without a budget in the file, no limit is where it stands
    assert again(planned).variant == dataclasses.replace(SLIDERS, budget=None)
    planned.draft = with_tank(planned.draft, {**planned.draft.tank, "limits": {"budget": 100}})
    assert again(planned).variant == SLIDERS


def test_sliders_that_were_not_moved_need_no_file(planned):
    assert set(zipfile.ZipFile(BytesIO(saved(planned))).namelist()) == {*FILES, PLAN_FILE}


def test_a_plan_of_other_wishes_is_not_saved(planned):
    planned.variant = Variant(years=7)
    assert PLAN_FILE not in zipfile.ZipFile(BytesIO(saved(planned))).namelist()
    planned.draft = with_tank(planned.draft, {**planned.draft.tank, "money": {"years": "ten"}})
    found = again(planned)
    assert found.draft.tank == planned.draft.tank
    assert found.plan is None


@pytest.mark.parametrize(
    "files",
    [
        {"tiny.toml": TANK.replace("par = [60, 300]", "par = [60, 301]").encode()},
        {"fixtures.csv": FIXTURES.replace("Plain bar,30", "Plain bar,31").encode()},
        {SLIDERS_FILE: b"[sliders]\nyears = 7\n"},
        {"tiny.toml": TANK.replace("length_cm = 40", 'length_cm = "long"').encode()},
    ],
    ids=["tank", "catalog", "sliders", "broken"],
)
def test_a_plan_that_was_made_for_something_else_is_not_shown(planned, files):
    found = opened({**files_of([("saved.zip", saved(planned))]), **files})
    assert found.plan is None
    assert found.notes == (PLAN_LEFT,)
    assert found.title == "Tiny"


@pytest.mark.parametrize(
    "content",
    [b"", b"no plan", b"3", b"[]", b"{}", b'{"status": "optimal"}', b"\xff\xfe", b"[" * 100_000, b"nan", b'"x"'],
    ids=["empty", "text", "number", "list", "bare", "half", "bytes", "deep", "nan", "word"],
)
def test_a_plan_that_cannot_be_read_is_not_shown(content):
    found = opened({**FILES, PLAN_FILE: content})
    assert (found.plan, found.notes) == (None, (PLAN_BROKEN,))


LEAVES = st.none() | st.booleans() | st.sampled_from([0, -1, 1e308, math.inf, "x", [], {}, [1], {"a": 1}, 10**30])


def places(data, path=()):
    """The places of all values inside data."""
    inner = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in inner:
        yield (*path, key)
        yield from places(value, (*path, key))


@pytest.fixture(scope="module")
def plan_data(plans):
    return json.loads(json_text(plans["tiny"].to_dict()))


def test_whatever_is_wrong_in_a_plan_breaks_nothing(plan_data):
    everywhere = list(places(plan_data))

    @settings(max_examples=60, deadline=None)
    @given(st.sampled_from(everywhere), LEAVES)
    def spoilt(place, value):
        data = copy.deepcopy(plan_data)
        level = data
        for key in place[:-1]:
            level = level[key]
        level[place[-1]] = value
        found = opened({**FILES, PLAN_FILE: json.dumps(data).encode()})
        if found.plan is None:
            assert found.notes in ((PLAN_BROKEN,), (PLAN_LEFT,))
        else:
            found.plan.to_dict()

    spoilt()


@pytest.mark.parametrize(
    "content",
    [b"", b"no table", b"sliders = 3", b"[sliders]\nyears = 5.5", b"[sliders]\ncolour = [", b"\xff", b'a = "\xed\xa0"',
     b"a = " + b"[" * 100_000],
    ids=["empty", "text", "number", "half a year", "half", "bytes", "halves", "deep"],
)  # fmt: skip
def test_sliders_that_cannot_be_read_stand_as_in_the_tank_file(content):
    found = opened({**FILES, SLIDERS_FILE: content})
    assert (found.variant, found.notes) == (Variant(), (SLIDERS_BROKEN,))


def test_sliders_where_they_cannot_be_go_to_where_they_can(planned):
    wrong = b'[sliders]\nyears = 0\nbudget = nan\nclaims = 50.0\nkinds = ["gas"]\n'
    found = opened({**files_of([("saved.zip", saved(planned))]), SLIDERS_FILE: wrong})
    assert found.notes == (SLIDERS_MOVED, PLAN_LEFT)
    assert (found.variant.years, found.variant.budget, found.variant.kinds) == (1, None, frozenset())
    found.wished()


def test_sliders_of_a_tank_that_is_still_to_be_put_right_are_kept():
    broken = {"tiny.toml": TANK.replace("length_cm = 40", 'length_cm = "long"').encode()}
    found = opened({**FILES, **broken, SLIDERS_FILE: b"[sliders]\nyears = 7\n"})
    assert (found.variant, found.notes) == (Variant(years=7), ())


@pytest.mark.parametrize(
    "uploads",
    [
        [],
        [("fixtures.csv", FIXTURES.encode())],
        [("tiny.toml", b"[tank")],
        [("tiny.toml", TANK.encode()), ("fixtures.csv", b'fixture\n"open')],
        [("a.toml", TANK.encode()), ("b.toml", TANK.encode())],
        [("saved.zip", b"no zip")],
        [("saved.zip", zip_of({"../tiny.toml": TANK.encode()}))],
        [("plan.json", b"{}")],
        [("sliders.toml", b"[sliders]\nyears = 7\n")],
        [("tiny.toml", b"a = " + b"[" * 100_000)],
    ],
    ids=["none", "no tank", "half", "open quote", "two tanks", "no zip", "outside", "plan", "sliders", "deep"],
)
def test_files_that_cannot_be_opened_leave_the_desk_as_it_was(planned, uploads):
    planned.variant, planned.notes = Variant(years=7), ("a",)
    before = copy.copy(vars(planned))
    with pytest.raises(InputError):
        open_files(planned, uploads)
    assert vars(planned) == before


def test_what_cannot_be_written_is_told_and_not_saved(planned):
    table = TextTable(("fixture", "price"), (("=1+1", "3"),))
    planned.draft = with_table(planned.draft, "fixtures", table)
    with pytest.raises(InputError, match="formula"):
        saved(planned)


@pytest.mark.parametrize(
    ("name", "file"),
    [("Tall lagoon", "Tall_lagoon"), ("../../etc", "etc"), ("", "tank"), ("<b>", "b"), ("Mère à 2", "Mère_à_2"),
     ("x" * 300, "x" * 60), (None, "tank"), (3, "3"), ("/", "tank")],
)  # fmt: skip
def test_a_file_name_is_made_of_the_tanks_name(planned, name, file):
    planned.draft = with_tank(planned.draft, {"tank": {} if name is None else {"name": name}})
    assert file_name(planned) == f"{file}.zip"
    assert file_name(planned, "html") == f"{file}.html"


@pytest.mark.parametrize("tank", [{}, {"tank": 3}, {"tank": {"name": ["a"]}}])
def test_a_tank_without_a_name_has_a_title_and_a_file_name(planned, tank):
    planned.draft = with_tank(planned.draft, tank)
    assert file_name(planned).endswith(".zip")


def test_spreadsheets_are_opened_and_what_was_guessed_is_kept_beside():
    rows = [line.split(",") for line in FIXTURES.replace('"Fine, ""dim"" panel"', "Panel").splitlines()]
    desk = opened({"tiny.toml": FILES["tiny.toml"], "all.xlsx": book(".xlsx", fixtures=rows, Notes=[["x"]])})
    assert desk.reading.usable
    assert desk.understood == ("all.xlsx: understood as fixtures.csv; not read: 'Notes'.",)
    assert again(desk).reading.catalog == desk.reading.catalog
    open_empty(desk)
    assert desk.understood == ()


def test_a_spreadsheet_in_a_zip_is_opened_too():
    rows = [line.split(",") for line in FIXTURES.replace('"Fine, ""dim"" panel"', "Panel").splitlines()]
    packed = zip_of({"tiny.toml": FILES["tiny.toml"], "fixtures.ods": book(".ods", Sheet1=rows)})
    assert opened({"job.zip": packed}).reading.usable
