"""An HTML page that needs nothing else: its head, its sections with links to them, its foot."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lightplan.present.report import html_pieces as page
from lightplan.present.report.style import STYLE
from lightplan.version import VERSION

#: the page may load nothing from anywhere: no script, no picture or style but its own
_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"


@dataclass(frozen=True)
class Section:
    """A section of a page: its key in links, its heading, its content as HTML (nothing: it is left out)."""

    key: str
    title: str
    content: str


def page_html(kind: str, name: str, answer: Iterable[str], sections: Iterable[Section], made_by: Iterable[str]) -> str:
    """A page of a `kind` about something with a `name`, with sentences at its top (`answer`) and at its foot."""
    shown = [part for part in sections if part.content]
    links = "".join(f'<li><a href="#{part.key}">{page.text(part.title)}</a></li>' for part in shown)
    body = "".join(page.section(part.key, part.title, part.content) for part in shown)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta name="generator" content="lightplan {VERSION}">\n'
        f"<title>{page.text(name)}: {page.text(kind.lower())}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n"
        f'<header><p class="kind">{page.text(kind)}</p><h1>{page.name(name)}</h1>'
        f'<div class="answer">{page.paragraphs(answer)}</div>'
        f'<nav aria-label="Contents"><ul>{links}</ul></nav></header>\n'
        f"<main>\n{body}\n</main>\n<footer>{page.paragraphs(made_by)}</footer>\n</body>\n</html>\n"
    )
