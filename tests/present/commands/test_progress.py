"""The line that says how a search goes."""

from __future__ import annotations

import io
import math
import sys

from rich.console import Console

from lightplan.present.commands.progress import Count, Progress


def test_before_there_is_a_plan():
    progress = Progress("Cube", "EUR", 60)
    progress.tell(math.inf, -math.inf)
    assert progress.line() == "Cube: no plan yet, 0 s of 60 s (Ctrl-C stops)"
    progress.tell(math.inf, 120.0)
    assert progress.line() == "Cube: no plan yet, none can cost less than 120 EUR, 0 s of 60 s (Ctrl-C stops)"


def test_the_best_plan_and_how_much_too_dear_it_may_be():
    progress = Progress("Cube", "EUR", 60)
    progress.tell(200.0, -math.inf)
    assert progress.line() == "Cube: best plan so far 200 EUR, 0 s of 60 s (Ctrl-C keeps it)"
    progress.tell(200.0, 150.0)
    assert progress.line() == "Cube: best plan so far 200 EUR, at most 25.0 % too dear, 0 s of 60 s (Ctrl-C keeps it)"


def test_what_is_known_is_never_forgotten():
    progress = Progress("Cube", "", 60)
    for best, bound in ((200.0, 150.0), (math.inf, 100.0), (180.0, 90.0)):
        progress.tell(best, bound)
    assert "180, at most 16.7 % too dear" in progress.line()


def test_the_closest_is_told_in_misses_not_in_money():
    progress = Progress("Cube", "EUR", 60)
    progress.tell(200.0, 150.0)
    progress.say("closest")
    assert progress.line() == "Cube: no plan meets every wish, looking for the closest, 0 s of 60 s (Ctrl-C stops)"
    progress.tell(0.35, 0.1)
    assert progress.line() == (
        "Cube: no plan meets every wish, looking for the closest, best so far misses by 35 % in all, 0 s of 60 s "
        "(Ctrl-C stops)"
    )


def test_what_is_asked_after_the_search():
    progress = Progress("Cube", "EUR", 60)
    progress.tell(200.0, 150.0)
    progress.say("wishes")
    assert "asking which single wish stands in the way, 0 s of 60 s (Ctrl-C ends it)" in progress.line()
    progress.say("mixes")
    assert progress.line() == "Cube: the plan is found, trying mixes of wrong claims, 0 s of 60 s (Ctrl-C ends it)"
    progress.say("cheapest")
    assert "no plan yet" in progress.line()


def test_nothing_is_shown_where_there_is_no_terminal(capsys):
    with Progress("Cube", "EUR", 60) as progress:
        progress.tell(200.0, 150.0)
    assert capsys.readouterr() == ("", "")


def test_a_terminal_shows_the_line_and_is_left_clean():
    progress = Progress("Cube [red]", "EUR", 60)
    terminal = io.StringIO()
    progress._console = Console(file=terminal, force_terminal=True, markup=False, width=200)
    with progress:
        progress.tell(200.0, 150.0)
    shown = terminal.getvalue()
    assert "Cube [red]: best plan so far 200 EUR" in shown
    assert shown.endswith("\x1b[2K"), "the line is wiped at the end"


def test_the_line_goes_away_while_something_else_is_written():
    progress, terminal = Progress("Cube", "EUR", 60), io.StringIO()
    progress._console = Console(file=terminal, force_terminal=True, markup=False, width=200)
    with progress:
        with progress.aside():
            assert terminal.getvalue().endswith("\x1b[2K")
            before = sys.stdout
            print("a row", file=terminal)
        assert sys.stdout is not before, "what anybody prints goes above the line"
    assert terminal.getvalue().count("Cube: no plan yet") >= 2


def test_aside_of_no_line_nothing_changes(capsys):
    with Progress("Cube", "EUR", 60) as progress, progress.aside():
        print("a row")
    assert capsys.readouterr() == ("a row\n", "")


def test_progress_counts_once_there_is_something_to_count():
    count = Count("Tiny", "EUR", 60)
    assert "no plan yet" in count.line()
    count.count(2, 5)
    assert count.line() == "Tiny: 2 of 5 done, 0 s (Ctrl-C keeps what there is)"
