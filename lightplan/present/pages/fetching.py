"""Parts of the library's tables that it fetches only when the first cell is typed into: too late for who types fast."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import streamlit as st

#: the editors of cells, as the library calls the files that it serves
EDITORS = ("data-grid-overlay-editor.*.js", "number-overlay-editor.*.js")
#: fetches them from where the page itself came from; a failure changes nothing
SCRIPT = """<script>
for (const name of NAMES) import(new URL("static/js/" + name, document.baseURI).href).catch(() => {});
</script>"""


@cache
def editor_files() -> tuple[str, ...]:
    """The names of these files in the library that is installed; none where it calls them otherwise."""
    folder = Path(st.__file__).parent / "static" / "static" / "js"
    return tuple(sorted(path.name for pattern in EDITORS for path in folder.glob(pattern)))


def fetch_editors() -> None:
    """Fetch the editors of cells with the page: else the keys that are pressed while they come are lost."""
    if editor_files():
        st.html(SCRIPT.replace("NAMES", json.dumps(editor_files())), unsafe_allow_javascript=True)
