"""Pages of plain text."""

from __future__ import annotations

import io

import pytest
from rich.text import Text

from lightplan.present.commands import blocks
from lightplan.present.commands.blocks import bullets, page, section, table


def test_a_table_sets_numbers_to_the_right():
    assert page([table(["name", ">PAR"], [("a", "5"), ("bb", "100")])]).splitlines() == [
        "name   PAR",
        "──────────",
        "a        5",
        "bb     100",
    ]


def test_bullets_wrap_under_themselves():
    lines = page([section("Heading", bullets(["word " * 30, "short"]))]).splitlines()
    assert lines[:2] == ["", "Heading"]
    assert lines[2].startswith("  - word word")
    assert lines[3].startswith("    word")
    assert lines[4] == "  - short"


class Screen(io.StringIO):
    """A terminal, or a file, with an encoding of its own."""

    def __init__(self, terminal: bool, encoding: str) -> None:
        super().__init__()
        self._terminal, self._encoding = terminal, encoding

    def isatty(self) -> bool:
        return self._terminal

    @property
    def encoding(self) -> str:
        return self._encoding


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_every_encoding_has_its_lines(monkeypatch, encoding):
    monkeypatch.setattr(blocks.sys, "stdout", Screen(False, encoding))
    text = page([table(["a", "b"], [("1", "ربيع")])])
    assert "1" in text
    text.encode(encoding)


def test_bold_only_on_a_terminal_and_no_wider_than_it(monkeypatch):
    for name in ("NO_COLOR", "FORCE_COLOR", "TTY_COMPATIBLE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "50")
    parts = [Text("word " * 30, style="bold")]
    assert "\x1b" not in page(parts)
    assert max(map(len, page(parts).splitlines())) > 80
    monkeypatch.setattr(blocks.sys, "stdout", Screen(True, "utf-8"))
    assert "\x1b[1m" in page(parts)
    assert max(map(len, page(parts).splitlines())) < 70
