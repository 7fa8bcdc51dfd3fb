from __future__ import annotations

import pickle

import pytest

from lightplan.inputs.errors import (
    Fault,
    InputError,
    Problem,
    Speller,
    hint,
    known_instead,
    nearest,
    refuse_errors,
    shown,
)

WRONG = Problem("a.csv", 3, "price", "price is 'abc': needs a number, 0 or more")
DOUBTFUL = Problem("a.csv", 4, "notes", "a long note", "warning")


def test_problem_is_one_sentence_with_file_and_row() -> None:
    assert str(WRONG) == "a.csv, row 3: price is 'abc': needs a number, 0 or more"


def test_problem_in_a_tank_file_has_a_line() -> None:
    assert str(Problem("a.toml", 7, "par", "par is 3")) == "a.toml, line 7: par is 3"


def test_problem_names_the_column_where_its_message_does_not() -> None:
    assert str(Problem("a.csv", 3, "price", "too dear")) == "a.csv, row 3, price: too dear"


def test_problem_of_a_whole_file_names_only_the_file() -> None:
    assert str(Problem("a.csv", None, None, "this file is empty")) == "a.csv: this file is empty"


def test_warning_says_so() -> None:
    assert str(DOUBTFUL) == "a.csv, row 4, notes: warning: a long note"


def test_problem_as_data() -> None:
    assert WRONG.to_dict() == {
        "file": "a.csv",
        "row": 3,
        "column": "price",
        "message": "price is 'abc': needs a number, 0 or more",
        "severity": "error",
    }


def test_error_holds_all_problems_and_travels_between_processes() -> None:
    error = pickle.loads(pickle.dumps(InputError([WRONG, DOUBTFUL])))
    assert error.problems == (WRONG, DOUBTFUL)
    assert str(error).splitlines() == [str(WRONG), str(DOUBTFUL)]


def test_refuse_errors_raises_errors_and_returns_warnings() -> None:
    assert refuse_errors([DOUBTFUL]) == (DOUBTFUL,)
    with pytest.raises(InputError) as caught:
        refuse_errors([DOUBTFUL, WRONG])
    assert caught.value.problems == (WRONG,)


def test_fault_below_moves_path_and_needs() -> None:
    fault = Fault(("par",), "no", needs=(("coral",),)).below(("zone", 1))
    assert (fault.path, fault.needs) == (("zone", 1, "par"), (("zone", 1, "coral"),))


@pytest.mark.parametrize(("word", "near"), [("lenght_cm", "length_cm"), ("LENGTH_CM", "length_cm"), ("zzz", None)])
def test_nearest(word: str, near: str | None) -> None:
    assert nearest(word, ["length_cm", "width_cm"]) == near


def test_problem_stays_on_one_line_whatever_is_in_it() -> None:
    text = str(Problem("a\udc80.csv", 1, "x\n\u202e", "unknown column"))
    assert text == "a\\udc80.csv, row 1, x\\n\\u202e: unknown column"


def test_known_words_are_named_where_none_is_near() -> None:
    assert known_instead("zzz", ["length_cm", "width_cm"]) == "; known are length_cm, width_cm"
    assert known_instead("zzz", [f"name {k}" for k in range(20)]).endswith("name 11, ...")


def test_hint_is_empty_where_nothing_is_near() -> None:
    assert hint("zzz", ["length_cm"]) == ""
    assert hint("lenght_cm", ["length_cm"]) == "; did you mean 'length_cm'?"


def test_speller_stops_giving_hints_when_that_would_take_long() -> None:
    speller = Speller(f"name {k}" for k in range(1000))
    hints = [speller.hint(f"nome {k}") for k in range(100)]
    assert hints[0] != ""
    assert hints[-1] == ""
    assert "name 3" in speller
    assert "nome 3" not in speller


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (True, "true"),
        ("a", "'a'"),
        (2.50, "2.5"),
        ([1, "x"], "[1, 'x']"),
        (list(range(20)), "[0, 1, 2, 3, 4, 5, 6, 7, ...]"),
        ({"a": 1}, "a table"),
        ([{"a": 1}], "a list of tables"),
        (10**4000, "a number too large to write here"),
    ],
)
def test_shown(value: object, text: str) -> None:
    assert shown(value) == text


def test_long_values_are_cut() -> None:
    assert len(shown("x" * 500)) == 60
