"""Photometric files are read from beside the catalog and from nowhere else."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

from lightplan.inputs.catalog import Catalog, load_catalog, read_catalog
from lightplan.inputs.draft import check_draft, draft_files, read_draft
from lightplan.inputs.errors import InputError
from lightplan.inputs.photometry_named import read_beside
from tests.inputs.conftest import TANK_TOML
from tests.inputs.photometric import lm63, lobe, steps

HEADER = "fixture,price,power_w,length_cm,width_cm,ppf_umol_s,photometry\n"
FILE = lm63(lobe(2), steps(10))


def catalog_with(folder: Path, *names: str) -> Path:
    rows = "".join(f"Bar {k},50,30,60,5,60,{name}\n" for k, name in enumerate(names))
    (folder / "fixtures.csv").write_text(HEADER + rows, encoding="utf-8")
    return folder


def told(folder: Path) -> list[str]:
    return [f"{problem.row} {problem.column} {problem.message}" for problem in load_catalog(folder).problems]


def test_a_file_is_read_once_for_all_that_name_it(tmp_path: Path) -> None:
    (tmp_path / "bar.ies").write_text(FILE, encoding="utf-8")
    catalog = read_catalog(catalog_with(tmp_path, "bar.ies", "bar.ies"))
    assert [photometry.file for photometry in catalog.photometry] == ["bar.ies"]
    assert [fixture.form for fixture in catalog.fixtures] == [4, 4]
    assert catalog.fixtures[0].light.photometry == catalog.photometry[0]
    assert Catalog.model_validate(catalog.model_dump(mode="json", exclude_unset=True)) == catalog


@pytest.mark.parametrize(
    "name", ["../secret.ies", "/etc/passwd", "sub/bar.ies", "..\\secret.ies", "C:secret.ies", ".."]
)
def test_names_that_lead_elsewhere_are_refused(tmp_path: Path, name: str) -> None:
    inside = tmp_path / "catalog"
    (inside / "sub").mkdir(parents=True)
    (tmp_path / "secret.ies").write_text(FILE, encoding="utf-8")
    (inside / "sub" / "bar.ies").write_text(FILE, encoding="utf-8")
    (problem,) = told(catalog_with(inside, name))
    assert problem.startswith(f"2 photometry photometry is {name!r}: ")
    assert "folder" in problem or "not a file name" in problem


def test_links_that_lead_elsewhere_are_refused(tmp_path: Path) -> None:
    inside = tmp_path / "catalog"
    inside.mkdir()
    (tmp_path / "secret.ies").write_text(FILE, encoding="utf-8")
    (inside / "there.ies").write_text(FILE, encoding="utf-8")
    (inside / "out.ies").symlink_to(tmp_path / "secret.ies")
    (inside / "in.ies").symlink_to(inside / "there.ies")
    (problem,) = told(catalog_with(inside, "out.ies", "in.ies"))
    assert problem.startswith("2 photometry")
    assert "this is a link to another folder" in problem


def test_what_is_no_file_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.ies")
    (tmp_path / "folder.ies").mkdir()
    said = told(catalog_with(tmp_path, "pipe.ies", "folder.ies", "none.ies"))
    assert [text.rpartition(": ")[2] for text in said] == [
        "this is no ordinary file, needs a photometric file",
        "this is no ordinary file, needs a photometric file",
        "there is no such file beside the catalog",
    ]


def test_a_broken_file_is_told_with_the_row_that_names_it(tmp_path: Path) -> None:
    (tmp_path / "bar.ies").write_text(FILE[:-20], encoding="utf-8")
    (problem,) = told(catalog_with(tmp_path, "bar.ies"))
    assert problem.startswith("2 photometry photometry is 'bar.ies': it ends after")


def test_a_file_beside_is_read_only_so_far(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lightplan.inputs.photometry_named.MOST_FILE_BYTES", 10)
    (tmp_path / "bar.ies").write_text(FILE, encoding="utf-8")
    assert len(read_beside(tmp_path, "bar.ies")) == 11
    with pytest.raises(InputError, match="without folders"):
        read_beside(tmp_path, "a/bar.ies")


def test_drafts_carry_the_files_that_came_with_them(folder: Any) -> None:
    files = {"tank.toml": TANK_TOML.encode(), "bar.ies": FILE.encode()}
    files["fixtures.csv"] = f"{HEADER}Bar,50,30,60,5,60,bar.ies\n".encode()
    draft = read_draft(files)
    reading = check_draft(draft)
    assert reading.problems == ()
    assert reading.catalog.fixtures[0].form == 4
    assert draft_files(draft) == files
    del files["bar.ies"]
    (problem,) = check_draft(read_draft(files)).problems
    assert "there is no such file among those that were opened" in problem.message
