"""Start: what is opened is on the desk, what cannot be opened changes nothing, and everything can be saved."""

from __future__ import annotations

from lightplan.inputs.bundle import files_of
from lightplan.inputs.draft import TextTable, with_table, with_tank
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.opening import saved
from tests.present.pages.conftest import Screen


def upload(screen: Screen, *files: tuple[str, bytes]) -> Screen:
    screen.test.file_uploader[0].set_value([(name, content, "text/plain") for name, content in files])
    return screen.run()


def test_an_example_is_opened():
    desk = Desk("test")
    screen = Screen(desk, "start")
    screen.set("selectbox", "Example tank", "tall_lagoon.toml")
    assert not desk.title
    screen.press("Open the example")
    assert desk.draft.tank_file == "tall_lagoon.toml"
    assert desk.reading.usable


def test_an_empty_tank_is_begun(example):
    desk = example()
    Screen(desk, "start").press("Begin with an empty tank")
    assert desk.draft.tables["fixtures"].rows == ()
    assert desk.plan is None


def test_what_was_saved_is_opened_by_somebody_else(example):
    desk, other = example("mid_reef"), Desk("other")
    screen = Screen(other, "start")
    upload(screen, ("saved.zip", saved(desk)))
    assert not other.title
    screen.press("Open these files")
    assert other.draft.tank == desk.draft.tank
    assert other.title == desk.title


def test_files_that_cannot_be_opened_are_told_and_change_nothing(example):
    desk = example()
    before, title = desk.draft, desk.title
    screen = upload(Screen(desk, "start"), ("<b>.toml", b"[tank"))
    screen.press("Open these files")
    assert (desk.draft, desk.title) == (before, title)
    assert screen.test.error
    assert "<b>" not in screen.text.replace("\\<", "")


def test_everything_can_be_saved_but_a_formula(example):
    desk = example()
    screen = Screen(desk, "start")
    (button,) = [b for b in screen.test.download_button if b.label.startswith("Save everything")]
    assert not button.disabled
    assert "cube.toml" in files_of([("saved.zip", saved(desk))])
    desk.draft = with_table(desk.draft, "fixtures", TextTable(("fixture", "price"), (("=1+1", "3"),)))
    screen.run()
    assert not [b for b in screen.test.download_button if b.label.startswith("Save everything")]
    assert any("formula" in error.value for error in screen.test.error)


def test_it_says_what_is_open_and_what_is_to_be_put_right(example):
    desk = example()
    screen = Screen(desk, "start")
    assert "Small cube" in screen.text
    desk.notes = ("mind <this>",)
    desk.draft = with_tank(desk.draft, {**desk.draft.tank, "money": {"years": "ten"}})
    screen.run()
    assert "mind \\<this\\>" in screen.text
    assert "put right" in screen.text


def test_what_was_guessed_about_the_files_stands_on_the_pages_they_fill(example):
    desk = example()
    files = files_of([("saved.zip", saved(desk))])
    files["fixtures.csv"] = files["fixtures.csv"].replace(b",", b";")
    files.pop("corals.csv")
    screen = upload(Screen(desk, "start"), *files.items())
    screen.press("Open these files")
    said = "understood as cells between semicolons"
    shown = [said in Screen(desk, page).text for page in ("start", "tank", "catalog", "plan")]
    assert shown == [True, True, True, False]
