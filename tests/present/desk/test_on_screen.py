"""Problems for those who see no file: the screen's words, and rows by name."""

from __future__ import annotations

import pytest

from lightplan.inputs.draft import TextTable, check_draft, empty_draft, with_table
from lightplan.present.desk.on_screen import in_words, row_name, table_problems, wrong_rows

COLUMNS = ("fixture", "price", "power_w", "length_cm", "width_cm")
ROWS = (
    ("Alder", "80", "30", "60", "8"),
    ("Birch", "", "65", "45", "20"),
    ("Alder", "99", "40", "60", "8"),
    ("", "10", "5", "10", "3"),
)


def draft():
    return with_table(empty_draft(), "fixtures", TextTable(COLUMNS, ROWS))


@pytest.mark.parametrize(
    ("message", "said"),
    [
        (
            "zone 'right rock': x_cm is [80, 140]: outside the tank, needs numbers from 0 to 120 (length_cm)",
            "zone 'right rock': x (from the left) is [80, 140]: outside the tank, needs numbers from 0 to 120 (length)",
        ),
        ("par is [400, 100]: upside down", "PAR is [400, 100]: upside down"),
        ("power_w is blank: needs a number", "power is blank: needs a number"),
        ("name is 'x_cm and par': stands there twice", "name is 'x_cm and par': stands there twice"),
        ("a part of it, no compared key", "a part of it, no compared key"),
    ],
)
def test_keys_become_words_but_not_in_what_the_user_has_typed(message, said):
    assert in_words(message) == said


def test_in_a_table_in_which_a_key_means_something_else_it_has_other_words():
    assert in_words("x_cm is 'x_cm': needs a number", "readings") == "along is 'x_cm': needs a number"
    assert in_words("y_cm is blank: needs a number", "meter") == "from front is blank: needs a number"
    assert in_words("depth_cm is -1", "readings") == "depth is -1"


def test_a_problem_names_its_row():
    told = [problem.message for problem in table_problems(draft(), check_draft(draft()), "fixtures")]
    assert any(text.startswith("Birch: price is blank") for text in told)
    assert any(text.startswith("row 4: fixture is blank") for text in told)
    # said once where the message names the row already
    assert all(not text.startswith("Alder: fixture is 'Alder'") for text in told)
    assert len(told) == len(check_draft(draft()).table_problems("fixtures"))


def test_rows_with_an_error_are_known_by_name():
    wrong = wrong_rows(draft(), check_draft(draft()), "fixtures")
    assert wrong == {"Birch", "Alder", "row 4"}
    assert row_name(draft(), "fixtures", 99) == "row 100"
