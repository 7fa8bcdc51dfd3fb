"""The README against the package: its tables, its plan, its commands, its files and its figures.

python tests/test_readme.py      writes the generated tables anew
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

import lightplan
from lightplan.inputs.alone import AloneReading
from lightplan.inputs.catalog import TABLES
from lightplan.inputs.catalog_model import Channel, Coral, Die, Extra, Fixture, Shade, SpectrumRow
from lightplan.inputs.columns import columns
from lightplan.inputs.fields import Checked
from lightplan.inputs.layout import LayoutLight, NamedPoint
from lightplan.inputs.light_data import DialRow, Reading
from lightplan.inputs.meter import MeterReading
from lightplan.inputs.tables import markdown_table
from lightplan.inputs.tank_model import Tank
from lightplan.present.cli import app
from lightplan.present.commands import results

ROOT = Path(lightplan.__file__).parents[1]
README = ROOT / "README.md"
GENERATED = re.compile(r"(?<=<!-- generated: )(?P<model>\w+) -->\n(?P<table>.*?)(?=<!-- end -->)", re.DOTALL)
FIRST = "lightplan plan catalog_example/tall_lagoon.toml --catalog catalog_example"
CUT = "..."


def tables_inside(model: type[Checked]) -> Iterator[type[Checked]]:
    """The models of all tables inside a model, at any depth."""
    for column in columns(model).values():
        if column.inner is not None:
            yield column.inner
            yield from tables_inside(column.inner)


#: every table of the file formats, by the name of its model
MODELS = {
    model.__name__: model
    for model in (
        Fixture,
        Channel,
        SpectrumRow,
        Die,
        Extra,
        Shade,
        Coral,
        Reading,
        DialRow,
        Tank,
        *tables_inside(Tank),
        LayoutLight,
        NamedPoint,
        MeterReading,
        AloneReading,
    )
}


def readme() -> str:
    return README.read_text(encoding="utf-8")


def regenerated(text: str) -> str:
    """The text with each generated table as the declarations have it now."""
    return GENERATED.sub(lambda found: f"{found['model']} -->\n{markdown_table(MODELS[found['model']])}", text)


def block(marker: str) -> str:
    """The fenced block between a marker and the end, without its indentation."""
    found = re.search(
        rf"^( *)<!-- {re.escape(marker)} -->\n *```\w+\n(.*?)\n *```\n", readme(), re.DOTALL | re.MULTILINE
    )
    assert found, marker
    return "\n".join(line.removeprefix(found[1]) for line in found[2].splitlines())


@pytest.fixture
def said(monkeypatch):
    """Run a command as the README writes it, from the top of the source: its exit code and standard output."""
    monkeypatch.chdir(ROOT)

    def run(command: str) -> tuple[int, str]:
        program, *arguments = shlex.split(command)
        assert program == "lightplan"
        result = CliRunner().invoke(app, arguments, prog_name=program)
        return result.exit_code, result.stdout

    return run


def test_tables_are_as_declared():
    assert readme() == regenerated(readme()), "run `python tests/test_readme.py` to write them anew"


def test_every_table_of_the_file_formats_is_there_once():
    assert sorted(found["model"] for found in GENERATED.finditer(readme())) == sorted(MODELS)


def test_every_file_of_the_catalog_is_named():
    for name in TABLES:
        assert f"{name}.csv" in readme()


def test_every_column_is_explained():
    bare = [f"{name}: {c.key}" for name, model in MODELS.items() for c in columns(model).values() if not c.what]
    assert bare == []


def test_the_two_commands_are_there():
    assert f"```sh\npip install -e . && {FIRST}\n```" in readme()
    assert '```sh\npip install -e ".[test]" && pytest\n```' in readme()


def masked(line: str) -> str:
    """A line without what may differ between equally cheap settings: numbers, levels, how wide the columns are."""
    return " ".join(re.sub(r"\d+(\.\d+)?( %)?|\boff\b|\bon\b|─+", "#", line).split())


def test_the_printed_plan_is_a_real_one(said):
    code, out = said(FIRST)
    assert code == 0
    printed = block("printed: catalog_example/tall_lagoon.toml").splitlines()
    answer = out.splitlines()
    end_of_places = printed.index("Where to hang")
    assert printed[:end_of_places] == answer[:end_of_places], "the head and what to buy"
    rest = iter(masked(line) for line in answer[end_of_places:])
    for line in printed[end_of_places:]:
        assert line.strip() == CUT or masked(line) in rest, f"not printed, or not in this order: {line}"
    total = next(line for line in printed if "all of it over" in line)
    assert total in answer


def test_the_printed_weeks_are_real_ones(said, tmp_path):
    out = shlex.quote(str(tmp_path))
    assert said(f"lightplan plan catalog_example/tall_lagoon.toml --out {out}")[0] == 0
    (command,) = re.findall(r"lightplan rampup catalog_example.*", readme())
    code, printed = said(command.replace("my_plan", out))
    assert code == 0
    told = block("weeks").splitlines()
    answer = printed.splitlines()
    assert told[:2] == answer[:2]
    rest = iter(masked(line) for line in answer)
    for line in told:
        assert line.strip() == CUT or masked(line) in rest, f"not printed, or not in this order: {line}"


def test_the_example_of_par_is_a_real_one(said):
    asked, *lines = block("answer").splitlines()
    code, out = said(asked.removeprefix("$ "))
    assert code == 0
    header, *rows = out.splitlines()
    assert header == lines[0]
    assert [row.rpartition(",")[0] for row in rows] == [line.rpartition(",")[0] for line in lines[1:]]
    pars, told = ([float(row.rpartition(",")[2]) for row in table] for table in (rows, lines[1:]))
    assert pars == pytest.approx(told, rel=1e-3)


def test_the_printed_check_against_the_meter_is_a_real_one(said):
    (command,) = re.findall(r"```sh\n(lightplan calibrate .*)\n```", readme())
    code, out = said(command)
    assert code == 0
    answer = iter(out.splitlines())
    for line in block("printed: calibrate").splitlines():
        assert line.strip() == CUT or line in answer, f"not printed, or not in this order: {line}"
    (alone,) = re.findall(r"```sh\n(lightplan retune --alone .*)\n```", readme())
    assert said(alone)[0] == 0


def test_the_smallest_tank_makes_a_plan(said, tmp_path):
    folder = tmp_path / "my_reef"
    assert said(f"lightplan example {shlex.quote(str(folder))}")[0] == 0
    tank = folder / "my_tank.toml"
    tank.write_text(block("tank"), encoding="utf-8")
    assert said(f"lightplan check {shlex.quote(str(folder))}")[0] == 0
    assert said(f"lightplan plan {shlex.quote(str(tank))} --out {shlex.quote(str(tmp_path / 'my_plan'))}")[0] == 0
    assert {path.name for path in (tmp_path / "my_plan").iterdir()} == set(results.FILES)


def test_commands_and_their_options_are_all_there_and_no_others():
    group = typer.main.get_command(app)
    commands = group.commands
    (lines,) = re.findall(r"## Commands\n\n```text\n(.*?)```", readme(), re.DOTALL)
    usage: dict[str, set[str]] = {}
    for line in lines.splitlines():
        if re.match(r"lightplan [a-z]+ ", line):
            # a command that is used in two ways has two lines
            usage.setdefault(line.split()[1], set()).update(re.findall(r"--[a-z-]+", line))
    assert usage.keys() == commands.keys()
    for name, command in commands.items():
        options = {
            option
            for parameter in command.params
            for option in (*parameter.opts, *parameter.secondary_opts)
            if option.startswith("--")
        }
        assert usage[name] == options - {"--help"}
    every = {option for options in usage.values() for option in options}
    assert set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", readme())) <= every | {"--version", "--help"}


def test_results_are_described():
    for name, names in (("buy", results.BUY), ("hang", results.HANG), ("zones", results.ZONES)):
        row = next(line for line in readme().splitlines() if line.startswith(f"| `{name}.csv`"))
        told = re.findall(r"`(\w+)`", row.split("|")[2])
        assert [key for key in told if key in names] == list(names)


def test_keys_of_the_plan_are_described():
    tank = lightplan.read_tank(ROOT / "catalog_example" / "cube.toml")
    data = lightplan.plan(tank, lightplan.read_catalog(ROOT / "catalog_example")).to_dict()
    _, _, rows = readme().partition("| key of `plan.json` |")
    rows = rows[: rows.index("\n\n")]
    told = [key for row in rows.splitlines() for key in re.findall(r"`(\w+)`", row.split("|")[1])]
    assert told == list(data)
    for key in ("cost", "energy", "value", "what_if", "given"):
        assert f"{{{', '.join(data[key])}}}" in rows
    for key in ("buy", "hang", "zones"):
        assert all(inner in rows for inner in data[key][0])


def test_use_from_python(capsys, monkeypatch):
    monkeypatch.chdir(ROOT)
    (code,) = re.findall(r"```python\n(.*?)```", readme(), re.DOTALL)
    exec(compile(code, "README.md", "exec"), {})
    assert capsys.readouterr().out.startswith("optimal 533.")


@pytest.mark.parametrize(
    ("row", "margins", "first_day", "dimmable"),
    [(0, False, False, True), (1, False, False, False), (2, False, True, True), (3, False, True, False),
     (4, True, True, True)],
)  # fmt: skip
def test_what_control_is_worth(row, margins, first_day, dimmable):
    tank = lightplan.read_tank(ROOT / "catalog_example" / "cube.toml")
    catalog = lightplan.read_catalog(ROOT / "catalog_example")
    if not margins:
        tank = tank.model_copy(update={"margin": tank.margin.model_copy(update={"claims": False, "ageing": False})})
    if not first_day:
        tank = tank.model_copy(update={"scenes": ()})
    if not dimmable:
        catalog = catalog.model_copy(update={"fixtures": tuple(f for f in catalog.fixtures if not f.dimmable)})
    plan = lightplan.plan(tank, catalog, gap=0.0)
    _, _, lines = readme().partition("| what is asked | what may be bought |")
    cells = [cell.strip() for cell in lines.splitlines()[2 + row].split("|")]
    assert plan.status == "optimal"
    assert round(plan.cost.ownership) == int(cells[5])
    assert round(plan.cost.purchase + plan.cost.extras) == int(cells[4])
    assert all(item.item in cells[3] for item in plan.items if item.kind in ("fixture", "owned"))


if __name__ == "__main__":
    README.write_text(regenerated(readme()), encoding="utf-8", newline="\n")
