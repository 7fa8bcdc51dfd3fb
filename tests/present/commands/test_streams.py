"""Standard output and standard error."""

from __future__ import annotations

import io
import os
import sys
import threading

import pytest

from lightplan.inputs.errors import Problem
from lightplan.present.commands import streams
from lightplan.present.commands.streams import answer, leave, make_safe, tell, tell_problems


@pytest.fixture(autouse=True)
def at_once(monkeypatch) -> list[int]:
    """With what code the program ended at once; other tests may have left threads, for which it would in earnest."""
    codes: list[int] = []

    def end(code: int) -> None:
        codes.append(code)
        raise SystemExit(code)

    monkeypatch.setattr(os, "_exit", end)
    return codes


def test_answers_and_messages_go_where_they_belong(capsys):
    answer("the answer")
    answer("with an end\n")
    tell("a message")
    tell_problems([Problem("x.csv", 3, "price", "price is -1: needs more")])
    out, err = capsys.readouterr()
    assert out == "the answer\nwith an end\n"
    assert err == "a message\nx.csv, row 3: price is -1: needs more\n"


def test_what_an_encoding_has_no_sign_for_is_written_as_an_escape(monkeypatch):
    paper = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(paper, encoding="ascii"))
    monkeypatch.setattr(sys, "stderr", None)
    make_safe()
    answer("µ \udc80")
    assert paper.getvalue() == b"\\xb5 \\udc80\n"


@pytest.mark.parametrize("code", [0, 3])
def test_leaving_hands_over_the_code(code):
    with pytest.raises(SystemExit) as ended:
        leave(code)
    assert ended.value.code == code


def test_leaving_does_not_wait_for_a_solve_that_goes_on(at_once):
    released = threading.Event()
    thread = threading.Thread(target=released.wait, daemon=True)
    thread.start()
    with pytest.raises(SystemExit):
        leave(4)
    assert at_once == [4]
    released.set()
    thread.join()


def test_a_reader_that_went_away_is_no_success(monkeypatch):
    class Gone(io.StringIO):
        def flush(self) -> None:
            raise BrokenPipeError

    monkeypatch.setattr(sys, "stdout", Gone())
    monkeypatch.setattr(streams, "_give_up_output", lambda: None)
    with pytest.raises(SystemExit) as ended:
        leave(0)
    assert ended.value.code == 1
