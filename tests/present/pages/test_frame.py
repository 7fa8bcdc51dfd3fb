"""What all pages share: the list of pages, and whose desk it is."""

from __future__ import annotations

from streamlit.testing.v1 import AppTest

from lightplan.present.desk.desk import Desk
from lightplan.present.pages import frame
from lightplan.present.pages.frame import KEY, pages_of
from tests.present.pages.conftest import script


def visit(**address) -> AppTest:
    """The first page, with an address and without a desk."""
    test = AppTest.from_function(script, default_timeout=60)
    test.session_state["page to show"] = "start"
    for key, value in address.items():
        test.query_params[key] = value
    test.run()
    assert not test.exception
    return test


def key_in_address(test: AppTest) -> str:
    (key,) = test.query_params[KEY] if isinstance(test.query_params[KEY], list) else [test.query_params[KEY]]
    return key


def test_pages_have_names_of_their_own_in_the_order_of_the_job():
    pages = pages_of(Desk("x"))
    assert list(pages)[:4] == ["start", "tank", "catalog", "plan"]
    assert len({title for title, _ in pages.values()}) == len(pages)


def test_a_visitor_has_a_desk_whose_key_stands_in_the_address():
    test = visit()
    desk = test.session_state[KEY]
    assert key_in_address(test) == desk.key
    assert test.run().session_state[KEY] is desk
    # another page of the library's own drops what stands in the address
    test.query_params.clear()
    test.run()
    assert key_in_address(test) == desk.key


def test_a_reload_finds_the_desk_by_its_address():
    desk = visit().session_state[KEY]
    assert visit(desk=desk.key).session_state[KEY] is desk


def test_an_address_that_nobody_has_is_a_new_desk():
    test = visit(desk="made up")
    assert key_in_address(test) != "made up"
    assert test.session_state[KEY] is not visit(desk="made up").session_state[KEY]


def test_an_address_of_somebody_elses_is_a_copy():
    first = visit().session_state[KEY]
    # all sessions of these tests have one name
    first.session = "somebody else"
    test = visit(desk=first.key)
    second = test.session_state[KEY]
    assert second is not first
    assert key_in_address(test) == second.key


def test_a_session_whose_desk_was_taken_over_goes_on_with_a_copy():
    test = visit()
    desk = test.session_state[KEY]
    desk.session = "somebody else"
    test.run()
    assert test.session_state[KEY] is not desk
    assert key_in_address(test) == test.session_state[KEY].key
    assert desk.session == "somebody else"


def test_without_a_server_everybody_is_there():
    assert frame._present("anybody")
