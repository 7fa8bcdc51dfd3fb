"""Pieces of an HTML page: texts with every name made safe, tables, lists, figures, sections."""

from __future__ import annotations

import html
import unicodedata
from collections.abc import Iterable, Sequence

from lightplan.present.drawings.drawing import image_tag
from lightplan.present.texts.plan_parts import Bullets, Grid

#: tables with at least so many columns may be wider than a phone: they scroll by themselves
WIDE = 5
#: figures with more letters are no single figures, such as levels of channels: they may be broken
LONG = 14
RIGHT_TO_LEFT = frozenset({"R", "AL"})


def text(words: str) -> str:
    """A text as it can stand in HTML."""
    return html.escape(words.encode("utf-8", "replace").decode("utf-8"))


def name(words: str) -> str:
    """A text that is a name more or less; one in a script from right to left keeps its order to itself.

    Not for sentences: one that begins with such a name would be turned as a whole.
    """
    safe = text(words)
    turned = any(unicodedata.bidirectional(letter) in RIGHT_TO_LEFT for letter in words)
    return f"<bdi>{safe}</bdi>" if turned else safe


def heading(level: int, words: str) -> str:
    """A heading, level 1 to 6."""
    return f"<h{level}>{text(words)}</h{level}>"


def paragraphs(lines: Iterable[str], kind: str = "") -> str:
    """Sentences, each a paragraph of its own, of a CSS class where one is given."""
    return "".join(f"<p{_class(kind)}>{text(line)}</p>" for line in lines)


def bullets(lines: Iterable[str], kind: str = "") -> str:
    """A list of sentences."""
    items = "".join(f"<li>{text(line)}</li>" for line in lines)
    return f"<ul{_class(kind)}>{items}</ul>" if items else ""


def drawn(content: Iterable[Grid | Bullets | str], caption: str, *, sums: bool = False) -> str:
    """The content of a part of a plan; `caption` says what its table is about, `sums` that its last row adds up."""
    out = []
    for piece in content:
        if isinstance(piece, Grid):
            out.append(table(piece, caption, sums=sums))
        else:
            # a sentence or two below a table are notes to it
            out.append(bullets(piece.lines) if isinstance(piece, Bullets) else paragraphs([piece], "note"))
    return "".join(out)


def table(grid: Grid, caption: str, to_fill: str = "", *, sums: bool = False) -> str:
    """A table with its headings; `to_fill` names a last column that is left empty to write in, `sums` says that the
    last row adds up the others.

    The first column of words names its row. The caption is for those who listen: eyes have it in the heading above.
    """
    titles = [title.removeprefix(">") for title in grid.columns]
    right = [title.startswith(">") for title in grid.columns]
    named = right.index(False) if False in right else 0
    top = "".join(_top(title, side) for title, side in zip(titles, right, strict=True))
    top += f'<th scope="col" class="fill">{text(to_fill)}</th>' if to_fill else ""
    rows = [_cells(row, right, named) + ('<td class="fill"></td>' if to_fill else "") for row in grid.rows]
    # a row whose name is blank goes on with the one before
    kinds = ["" if row[named] else "more" for row in grid.rows]
    if sums and rows:
        kinds[-1] = "total"
    body = "".join(f"<tr{_class(kind)}>{cells}</tr>" for kind, cells in zip(kinds, rows, strict=True))
    hidden = f'<caption class="hidden">{text(caption)}</caption>'
    slim = len(titles) + bool(to_fill) < WIDE
    kind = _class("slim" if slim else "")
    whole = f"<table{kind}>{hidden}<thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>"
    if slim:
        return whole
    label = html.escape(caption, quote=True)
    return f'<div class="scroll" role="region" aria-label="{label}, table" tabindex="0">{whole}</div>'


def _top(title: str, right: bool) -> str:
    kind = _class("right" if right else "")
    return f'<th scope="col"{kind}>{text(title)}</th>' if title else f"<td{kind}></td>"


def _cells(row: Sequence[str], right: Sequence[bool], named: int) -> str:
    cells = []
    for place, (cell, side) in enumerate(zip(row, right, strict=True)):
        kind = _class(("right long" if len(cell) > LONG else "right") if side else "")
        names = place == named and cell
        cells.append(f'<th scope="row"{kind}>{name(cell)}</th>' if names else f"<td{kind}>{name(cell)}</td>")
    return "".join(cells)


def figure(picture: str, alt: str, caption: str, kind: str = "") -> str:
    """A drawing (SVG text) on a light card, with what it shows for those who cannot see it, and a caption."""
    card = f'<div class="card">{image_tag(picture, alt)}</div>'
    return f"<figure{_class(kind)}>{card}<figcaption>{text(caption)}</figcaption></figure>"


def section(key: str, title: str, *content: str) -> str:
    """A section of the page with its heading, to be linked to as #key."""
    top = f'<h2 id="{key}-h">{text(title)}</h2>'
    return f'<section id="{key}" aria-labelledby="{key}-h">{top}{"".join(content)}</section>'


def below(title: str, *content: str) -> str:
    """A part of a section with a heading of its own, kept together on paper where it fits."""
    return f'<div class="part">{heading(3, title)}{"".join(content)}</div>'


def _class(kind: str) -> str:
    return f' class="{kind}"' if kind else ""
