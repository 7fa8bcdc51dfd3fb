"""Links from page to page: the row of all pages, and the one that comes next."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from lightplan.present.desk.desk import Desk
from lightplan.present.pages.marks import escaped
from lightplan.present.texts.words import counted

#: where the pages of a visit are kept, by their name in the address
PAGES = "pages"
#: most problems that are told in full at the top of a page, so that the page itself stays in sight
MOST_TOLD = 3


def show_pages() -> None:
    """The row of all pages, above each page: on a phone, too, where the library's own would hide in a side bar."""
    with st.container(horizontal=True, key="all_pages"):
        for page in st.session_state[PAGES].values():
            st.page_link(page)


def show_link(page: str, label: str) -> None:
    """A link to a page by its name in the address."""
    with st.container(key=f"link_{page}"):
        st.page_link(st.session_state[PAGES][page], label=label, width="content")


def wrong_words(tank: int, catalog: int) -> str:
    """How many things are to be put right, and where; nothing where there are none."""
    found = [
        f"{counted(count, 'thing')} {where}"
        for count, where in ((tank, "on the page of the tank"), (catalog, "in the catalog"))
        if count
    ]
    return "" if not found else f"Still to be put right: {' and '.join(found)}."


def wrong(desk: Desk) -> str:
    """How many things of the desk are to be put right, and where."""
    tank = sum(problem.severity == "error" for problem in desk.reading.tank_problems())
    return wrong_words(tank, len(desk.reading.errors) - tank)


def show_wrong(found: Sequence[tuple[str, str]]) -> None:
    """The top of a page: what is to be put right on it, for what causes it may be far below.

    `found`: for each problem the anchor of the heading under which it stands, and its sentence.
    """
    told = list(dict.fromkeys(found))
    if not told:
        return
    lines = [f"{escaped(sentence)}. [Go there](#{anchor})" for anchor, sentence in told[:MOST_TOLD]]
    if len(told) > MOST_TOLD:
        lines.append(f"and {len(told) - MOST_TOLD} more further down.")
    head = f"{counted(len(told), 'thing')} to put right:"
    st.error(f"{head} {lines[0]}" if len(lines) == 1 else "\n".join([head, *(f"- {line}" for line in lines)]))


def show_understood(desk: Desk) -> None:
    """What was guessed about the files that were opened, for somebody to look at the figures with that in mind."""
    for text in desk.understood:
        st.caption(escaped(text))


def go_on(desk: Desk, page: str, label: str) -> None:
    """The end of a page: what is still to be put right, and the link to the page that comes next."""
    st.divider()
    words = wrong(desk)
    if words:
        st.warning(f"{words} Each stands beside what causes it.")
    show_link(page, label)
