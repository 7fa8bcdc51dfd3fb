"""Links from page to page, and what is still to be put right before one goes on."""

from __future__ import annotations

from lightplan.present.pages.links import wrong, wrong_words
from tests.present.pages.conftest import Screen


def test_what_is_wrong_is_counted_by_page():
    assert wrong_words(0, 0) == ""
    assert wrong_words(1, 0) == "Still to be put right: 1 thing on the page of the tank."
    assert wrong_words(2, 3) == "Still to be put right: 2 things on the page of the tank and 3 things in the catalog."


def test_an_empty_tank_lacks_a_catalog_and_says_so_at_the_end_of_the_page(empty, example):
    assert wrong(empty) == "Still to be put right: 1 thing in the catalog."
    assert "1 thing in the catalog" in Screen(empty, "tank").text
    assert wrong(example()) == ""
    assert "to be put right" not in Screen(example(), "tank").text
