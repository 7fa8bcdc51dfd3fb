"""What all pages to print have around them."""

from __future__ import annotations

from lightplan.present.report.shell import Section, page_html


def test_sections_are_linked_and_empty_ones_left_out() -> None:
    text = page_html(
        "Light plan", "A & B", ["So."], [Section("one", "First", "<p>x</p>"), Section("two", "Second", "")], []
    )
    assert '<a href="#one">First</a>' in text
    assert "Second" not in text
    assert "<title>A &amp; B: light plan</title>" in text
