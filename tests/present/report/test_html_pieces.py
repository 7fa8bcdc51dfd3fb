"""Pieces of a page: safe texts, tables that can be read aloud, figures."""

from __future__ import annotations

import pytest

from lightplan.present.report import html_pieces as page
from lightplan.present.texts.plan_parts import Bullets, Grid


@pytest.mark.parametrize(
    ("words", "safe"),
    [
        ("<script>alert('x')</script>", "&lt;script&gt;alert(&#x27;x&#x27;)&lt;/script&gt;"),
        ('a "b" & c', "a &quot;b&quot; &amp; c"),
        ("reef 🐠", "reef 🐠"),
        ("lone \ud800", "lone ?"),
    ],
)
def test_texts_are_safe(words, safe):
    assert page.text(words) == page.name(words) == safe


def test_a_name_from_right_to_left_keeps_to_itself():
    assert page.name("مصباح <60>") == "<bdi>مصباح &lt;60&gt;</bdi>"
    assert page.table(Grid(("a",), (("مصباح",),)), "c").count("<bdi>") == 1
    assert page.bullets(["مصباح: 35 %."]) == "<ul><li>مصباح: 35 %.</li></ul>"


def test_a_table_names_its_columns_and_rows():
    made = page.table(Grid((">", "what", ">price"), (("1", "lamp <b>", "2"), ("", "total", "2"))), "To buy", sums=True)
    assert '<caption class="hidden">To buy</caption>' in made
    assert '<td class="right"></td><th scope="col">what</th><th scope="col" class="right">price</th>' in made
    assert '<th scope="row">lamp &lt;b&gt;</th>' in made
    assert '<tr class="total"><td class="right"></td><th scope="row">total</th>' in made
    assert "region" not in made


def test_a_row_that_goes_on_has_no_empty_heading():
    made = page.table(Grid(("scene", ">level"), (("a", "1"), ("", "2"))), "c")
    assert '<tr class="more"><td></td><td class="right">2</td></tr>' in made


def test_what_is_long_may_be_broken():
    levels = "violet 32 %, blue 0 %, white 7 %"
    made = page.table(Grid(("light", ">level", ">PAR"), (("a", levels, "100 to 300"),)), "c")
    assert f'<td class="right long">{levels}</td><td class="right">100 to 300</td>' in made


def test_a_wide_table_scrolls_by_itself_and_can_be_reached_by_keyboard():
    made = page.table(Grid(("a", "b", "c", "d"), (("1", "2", "3", "4"),)), 'say "so"', "reading")
    assert made.startswith('<div class="scroll" role="region" aria-label="say &quot;so&quot;, table" tabindex="0">')
    assert made.count('class="fill"') == 2


def test_parts_are_drawn_by_their_kind():
    made = page.drawn((Grid(("a",), (("1",),)), Bullets(("x",)), "y"), "c")
    assert made.index('<table class="slim">') < made.index("<ul><li>x</li></ul>") < made.index('<p class="note">y</p>')
    assert page.bullets(()) == ""


def test_a_figure_says_what_it_shows():
    made = page.figure('<svg width="300" height="10"></svg>', 'from "above"', "a < b", kind="bars")
    assert made.startswith('<figure class="bars">')
    assert 'alt="from &quot;above&quot;"' in made
    assert "<figcaption>a &lt; b</figcaption>" in made
    assert "data:image/svg+xml;base64," in made
