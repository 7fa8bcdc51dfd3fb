"""Every problem in one go."""

from __future__ import annotations


def test_nothing_wrong(run, folder):
    said = run("check", folder)
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith("Light from ")
    assert said.out.endswith("\nNo problems.\n")


def test_warnings_are_shown_and_no_error(run, folder):
    rows = (folder / "fixtures.csv").read_text(encoding="utf-8")
    (folder / "fixtures.csv").write_text(f"{rows}Mystery,10,20,30,6\n", encoding="utf-8")
    said = run("check", folder)
    assert said.code == 0
    assert said.out.endswith("\n0 errors, 1 warning.\n")
    assert "warning: 'Mystery' has no light data" in said.err


def test_problems_of_all_files_in_one_go(run, folder):
    for name in ("tiny", "scenes"):
        text = (folder / f"{name}.toml").read_text(encoding="utf-8")
        (folder / f"{name}.toml").write_text(text.replace("step_cm = 20", "step_cm = -1"), encoding="utf-8")
    (folder / "shades.csv").write_text("shade,transmission,price\nmesh,1.5,8\n", encoding="utf-8")
    said = run("check", folder)
    assert said.code == 1
    assert said.out.endswith("\n3 errors, 0 warnings.\n")
    assert [line.split(",")[0].rsplit("/", 1)[-1] for line in said.err.splitlines()] == [
        "shades.csv", "scenes.toml", "tiny.toml",
    ]  # fmt: skip


def test_the_same_as_json(run, folder):
    (folder / "shades.csv").write_text("shade,transmission,price\nmesh,1.5,8\n", encoding="utf-8")
    said = run("check", folder / "tiny.toml", "--json")
    assert said.code == 1
    (problem,) = said.json["problems"]
    assert (problem["row"], problem["column"]) == (2, "transmission")
    assert set(problem) >= {"file", "row", "column", "message"}


def test_several_tanks_with_a_catalog_elsewhere(run, folder, tmp_path_factory):
    away = tmp_path_factory.mktemp("away") / "tiny.toml"
    away.write_text((folder / "tiny.toml").read_text(encoding="utf-8"), encoding="utf-8")
    assert run("check", away, folder / "tiny.toml", "--catalog", folder).code == 0
    assert run("check", away, folder / "tiny.toml").code == 1


READ = """\
fixture,height_cm,depth_cm,x_cm,y_cm,par
Plain bar,20,0,0,0,150
Plain bar,20,0,10,0,125
Plain bar,20,0,20,0,88
Plain bar,20,0,40,0,30
Plain bar,20,0,0,10,120
"""


def test_what_the_light_is_taken_from_and_how_well_it_fits(run, folder):
    (folder / "readings.csv").write_text(READ, encoding="utf-8")
    said = run("check", folder)
    assert "Plain bar: light from 5 readings, which the fit meets within" in said.out
    (light, *_) = run("check", folder, "--json").json["light"]
    assert (light["fixture"], light["form"], light["readings"]) == ("Plain bar", 3, 5)
    assert 0 < light["residual_pct"] < 20


def test_forms_that_disagree_are_named_with_both_values(run, folder):
    (folder / "readings.csv").write_text(READ, encoding="utf-8")
    said = run("check", folder)
    assert "fixtures.csv, row 2" in said.err
    assert "its readings mean" in said.err


def test_what_was_guessed_is_shown(run, folder):
    rows = (folder / "extras.csv").read_text(encoding="utf-8").replace(",9,", ",9.5,")
    (folder / "extras.csv").write_text(rows.replace(",", ";").replace(".", ","), encoding="utf-16")
    guessed = "understood as UTF-16 text, cells between semicolons, decimal commas (9,5 is 9.5)"
    said = run("check", folder)
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith(f"{folder / 'extras.csv'}: note: {guessed}\n")
    assert said.out.endswith("No problems.\n")
    told = run("check", folder, "--json").json
    assert told["problems"] == []
    assert told["understood"] == [{"file": str(folder / "extras.csv"), "message": guessed}]
    assert run("plan", folder / "tiny.toml").err == ""
