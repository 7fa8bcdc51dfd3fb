"""The editors of cells come with the page, as long as the library has them where they are looked for."""

from __future__ import annotations

from pathlib import Path

import streamlit

from lightplan.present.pages.fetching import SCRIPT, editor_files


def test_the_installed_library_has_both_editors():
    folder = Path(streamlit.__file__).parent / "static" / "static" / "js"
    assert len(editor_files()) == 2
    assert all((folder / name).is_file() for name in editor_files())


def test_only_the_page_itself_is_asked():
    assert "document.baseURI" in SCRIPT
    assert "http" not in SCRIPT.replace(".href", "")
