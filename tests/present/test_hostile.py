"""Spreadsheets are hostile input: each thing that breaks programs, through the commands, works or gets a sentence."""

from __future__ import annotations

import csv
import io
import json
import os
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path

import pytest

from lightplan.inputs.draft import read_draft, with_tank
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.opening import file_name
from tests.present.conftest import FIXTURES, TANK, Said

LAYOUT = "fixture,x_cm,y_cm,height_cm,level_pct\nPlain bar,20,15,20,100\n"
POINTS = "point,x_cm,y_cm,depth_cm\nspot,20,15,15\n"
METER = "point,x_cm,y_cm,depth_cm,par\nspot,20,15,15,80\n"
ALONE = "point,par_min,par_max,light,dimming,level_pct,par\nrock,50,150,bar,whole,100,200\n"
#: in one file all that is worth reading, so that a wrong piece of it can be put in the place of a right one
FILES = {
    "fixtures.csv": FIXTURES,
    "tank.toml": TANK,
    "layout.csv": LAYOUT,
    "points.csv": POINTS,
    "meter.csv": METER,
    "alone.csv": ALONE,
}
ZONE = TANK[TANK.index("[[zone]]") : TANK.index("[hanging]")]
BAR = "Plain bar,30,20,30,6,36,120,none,none,0.5,10,"

Run = Callable[..., Said]


@dataclass(frozen=True)
class Case:
    """A change of one file, and what comes of it: words of the sentence, or "" where it works."""

    file: str
    old: str
    new: str | bytes
    told: str = ""


CASES = {
    # names
    "commas": Case("fixtures.csv", "Plain bar", '"a, b, c"'),
    "quotes": Case("fixtures.csv", "Plain bar", '"say ""hi"" \'now\'"'),
    "a quote that is never closed": Case("fixtures.csv", "Plain bar", '"Plain bar', 'a quote (")'),
    "a formula": Case("fixtures.csv", "Plain bar", "=HYPERLINK(1)", "may not begin with ="),
    "a formula with spaces": Case("fixtures.csv", "Plain bar", '"  =1+1"', "may not begin with ="),
    "a plus": Case("fixtures.csv", "Plain bar", "+1", "may not begin with +"),
    "an at": Case("fixtures.csv", "Plain bar", "@SUM(1)", "may not begin with @"),
    "a full-width formula": Case("fixtures.csv", "Plain bar", "＝1", "may not begin with ＝"),
    "a formula in a note": Case("corals.csv", "made up", "-1+1", "may not begin with -"),
    "a formula in the tank": Case("tank.toml", '"middle"', '"@x"', "may not begin with @"),
    "a tab before a formula": Case("fixtures.csv", "Plain bar", '"\t=1"', "may not begin with ="),
    "a control character": Case("fixtures.csv", "Plain bar", "Plain\x1b[2Jbar", "control characters"),
    "a null": Case("fixtures.csv", "Plain bar", "Plain\0bar", "not UTF-8 text"),
    "a script": Case("fixtures.csv", "Plain bar", "<script>alert(1)</script>"),
    "emoji": Case("fixtures.csv", "Plain bar", "🐠🪸 👩‍🚀"),
    "right to left": Case("fixtures.csv", "Plain bar", "مصباح טבלה"),
    "a mark that turns the order": Case("fixtures.csv", "Plain bar", "a\u202eb", "control characters"),
    "composed and decomposed": Case("fixtures.csv", BAR, f"e\u0301{BAR[9:]}\n\xe9{BAR[9:]}", "twice"),
    "very long": Case("fixtures.csv", "Plain bar", "x" * 201, "200 characters at most"),
    "only spaces": Case("fixtures.csv", "Plain bar", '"\u00a0\u200b"', "may not be empty"),
    "two rows of one name": Case("fixtures.csv", BAR, f"{BAR}\n{BAR}", "twice"),
    "two zones of one name": Case("tank.toml", "[hanging]", f"{ZONE}[hanging]", "twice"),
    "a path": Case("tank.toml", '"Tiny"', '"../../etc/passwd"'),
    # numbers
    "NaN": Case("fixtures.csv", ",30,20,", ",NaN,20,", "price is 'NaN'"),
    "inf": Case("fixtures.csv", ",30,20,", ",30,inf,", "power_w is 'inf'"),
    "1e308": Case("fixtures.csv", ",30,20,", ",1e308,20,", "price is '1e308'"),
    "beyond a float": Case("fixtures.csv", ",30,20,", ",1e999,20,", "price is '1e999'"),
    "tiny": Case("fixtures.csv", ",30,20,", ",1e-320,20,"),
    "digits of elsewhere": Case("fixtures.csv", ",30,20,", ",３０,20,", "price is '３０'"),
    "underscores": Case("fixtures.csv", ",30,20,", ",3_0,20,", "price is '3_0'"),
    "NaN in the tank": Case("tank.toml", "depth_cm = 15", "depth_cm = nan", "depth_cm is"),
    "inf in the tank": Case("tank.toml", "length_cm = 40", "length_cm = inf", "length_cm is"),
    "1e308 in the tank": Case("tank.toml", "par = [60, 300]", "par = [60, 1e308]", "par is"),
    "NaN in a layout": Case("layout.csv", ",20,100", ",nan,100", "height_cm is 'nan'"),
    "NaN in points": Case("points.csv", "spot,20", "spot,nan", "x_cm is 'nan'"),
    "NaN in readings": Case("meter.csv", ",80", ",nan", "par is 'nan'"),
    "inf in readings of one light": Case("alone.csv", "100,200", "100,inf", "par is 'inf'"),
    # tanks
    "a zone outside the tank": Case("tank.toml", "x_cm = [16, 24]", "x_cm = [16, 50]", "outside"),
    "a zone below the bottom": Case("tank.toml", "depth_cm = 15", "depth_cm = 31", "outside the tank"),
    "a band upside down": Case("tank.toml", "par = [60, 300]", "par = [300, 60]", "upside down"),
    "a fixture longer than the room": Case("fixtures.csv", ",20,30,6,", ",20,600,6,"),
    "a tab in TOML": Case("tank.toml", "depth_cm = 15", "\tdepth_cm\t=\t15\t# tab"),
    "a tab in a text of TOML": Case("tank.toml", '"Tiny"', '"Ti\tny"', "control characters"),
    "TOML that is none": Case("tank.toml", "[hanging]", "[hanging", "closing ]"),
    # files
    "an empty catalog": Case("fixtures.csv", FIXTURES, "", "empty"),
    "an empty tank": Case("tank.toml", TANK, "", "empty"),
    "an empty layout": Case("layout.csv", LAYOUT, "", "empty"),
    "only a header": Case("fixtures.csv", FIXTURES, FIXTURES.splitlines()[0], "the catalog has no fixture"),
    "a picture": Case("fixtures.csv", FIXTURES, b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "not UTF-8"),
    "a web page": Case("fixtures.csv", FIXTURES, "<!DOCTYPE html><html><body>x</body></html>", "missing"),
}  # fmt: skip

#: which files each command reads
READS = {
    "check": set(FILES) | {"corals.csv"},
    "plan": {"fixtures.csv", "tank.toml", "corals.csv"},
    "par": {"fixtures.csv", "tank.toml", "corals.csv", "layout.csv", "points.csv"},
    "retune": {"fixtures.csv", "tank.toml", "corals.csv", "layout.csv", "meter.csv"},
    "alone": {"alone.csv"},
}


@pytest.fixture
def place(folder: Path) -> Path:
    """A folder with everything that the commands read."""
    for name in ("tiny.toml", "narrow.toml", "scenes.toml"):
        (folder / name).unlink()
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def arguments(command: str, place: Path) -> list[object]:
    layout = ["--layout", place / "layout.csv"]
    return {
        "check": ["check", place],
        "plan": ["plan", place / "tank.toml", "--time-limit", 10],
        "par": ["par", place / "tank.toml", *layout, "--points", place / "points.csv"],
        "retune": ["retune", place / "tank.toml", *layout, "--readings", place / "meter.csv"],
        "alone": ["retune", "--alone", place / "alone.csv"],
    }[command]


def change(place: Path, case: Case) -> None:
    path = place / case.file
    if isinstance(case.new, bytes):
        path.write_bytes(case.new)
        return
    text = path.read_text(encoding="utf-8")
    assert case.old in text
    path.write_text(text.replace(case.old, case.new, 1), encoding="utf-8")
    if case.old == "Plain bar" and not case.told:
        layout = (place / "layout.csv").read_text(encoding="utf-8")
        (place / "layout.csv").write_text(layout.replace(case.old, case.new), encoding="utf-8")


@pytest.mark.parametrize("name", CASES)
def test_hostile_input_works_or_gets_a_sentence(run: Run, place: Path, name: str) -> None:
    case = CASES[name]
    change(place, case)
    for command, files in READS.items():
        if case.file not in files:
            continue
        said = run(*arguments(command, place))
        if not case.told:
            assert said.code in {0, 3}, (command, said)
            continue
        assert said.code == 1, (command, said)
        lines = [line for line in said.err.splitlines() if "warning: " not in line]
        about = [line for line in lines if line.startswith(str(place / case.file))]
        assert any(case.told in line for line in about), (command, lines)
        # a check goes on to what rests on the file
        assert command == "check" or about == lines


@pytest.mark.parametrize("file", FILES)
def test_a_folder_where_a_file_should_be(run: Run, place: Path, file: str) -> None:
    (place / file).unlink()
    (place / file).mkdir()
    for command, files in READS.items():
        if file in files:
            said = run(*arguments(command, place))
            assert (said.code, said.err.count("\n")) == (1, 1), (command, said)
            assert "needs a file" in said.err


@pytest.mark.parametrize("file", ["fixtures.csv", "layout.csv", "points.csv"])
def test_ten_thousand_rows(run: Run, place: Path, file: str) -> None:
    header, row = FILES[file].splitlines()[:2]
    first, _, rest = row.partition(",")
    names = [first] * 9_999 if file == "layout.csv" else [f"{first} {number}" for number in range(9_999)]
    many = "\n".join([header, row, *(f"{name},{rest}" for name in names)])
    (place / file).write_text(f"{many}\n", encoding="utf-8")
    said = run("check", place)
    assert said.code == 0
    assert said.out.endswith("No problems.\n")
    if file == "points.csv":
        assert run(*arguments("par", place)).out.count("\n") == 10_001


def test_ten_thousand_wrong_rows_are_all_told(run: Run, place: Path) -> None:
    header, row = FIXTURES.splitlines()[:2]
    wrong = "\n".join(row.replace("Plain bar", f"Bar {number}").replace(",30,", ",x,", 1) for number in range(10_000))
    (place / "fixtures.csv").write_text(f"{header}\n{wrong}\n", encoding="utf-8")
    (place / "layout.csv").unlink()
    said = run("check", place)
    assert (said.code, said.out.split(",")[0]) == (1, "10000 errors")


# what is written is safe to open

NAMES = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</svg><style>*{}</style>",
    "&lt;b&gt; &amp;amp;",
    "javascript:alert(1)",
    "a, \"b\"; 'c'",
    "🐠 مصباح",
    "{{7*7}} ${x} %s",
    "]]> --> <!--",
    "\\u003cscript\\u003e",
]
#: tags that no report of lightplan's has
TAGS = frozenset({"script", "iframe", "object", "embed", "form", "link", "base"})


class Page(HTMLParser):
    """A report as a browser sees it: its tags, their attributes, and its text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(key, value or "") for key, value in attrs]

    def handle_data(self, data: str) -> None:
        self.text += data


@pytest.mark.parametrize("name", NAMES)
def test_names_are_text_in_everything_that_is_written(run: Run, place: Path, name: str) -> None:
    quoted = json.dumps(name, ensure_ascii=False)
    tank = TANK.replace('"Tiny"', quoted).replace('"middle"', quoted).replace('"EUR"', '"<b>E"')
    tank += f"\n[[scene]]\nname = {quoted}\npar_scale = 0.9\nat_least = false\n"
    (place / "tank.toml").write_text(tank, encoding="utf-8")
    for file, old in (("fixtures.csv", "Plain bar"), ("extras.csv", "timer"), ("shades.csv", "mesh")):
        stream = io.StringIO()
        rows = list(csv.reader(io.StringIO((place / file).read_text(encoding="utf-8"))))
        csv.writer(stream).writerows([name if cell == old else cell for cell in row] for row in rows)
        (place / file).write_text(stream.getvalue(), encoding="utf-8")
    out = place / "out"
    said = run("plan", place / "tank.toml", "--out", out)
    assert said.code in {0, 3}, said
    page = Page((out / "report.html").read_text(encoding="utf-8"))
    assert not set(page.tags) & TAGS, set(page.tags) & TAGS
    assert not [key for key, _ in page.attributes if key.startswith("on")]
    assert not [
        value for key, value in page.attributes if key in {"href", "src"} and not value.startswith(("#", "data:"))
    ]
    assert name in page.text
    for drawing in ("above.svg", "side.svg"):
        root = ET.fromstring((out / drawing).read_text(encoding="utf-8"))
        kinds = {element.tag.rpartition("}")[2] for element in root.iter()}
        assert not kinds & {"script", "foreignObject", "style", "a"}, kinds
        assert not [key for element in root.iter() for key in element.attrib if key.startswith("on")]
        assert name[:8] in "".join(root.itertext())
    zones = list(csv.DictReader(io.StringIO((out / "zones.csv").read_text(encoding="utf-8"))))
    assert {zone["zone"] for zone in zones} == {name}
    assert json.loads((out / "plan.json").read_text(encoding="utf-8"))["given"]["tank"]["tank"]["name"] == name
    assert sorted(os.listdir(out)) == [
        "above.svg", "buy.csv", "hang.csv", "plan.json", "report.html", "side.svg", "zones.csv",
    ]  # fmt: skip


def test_no_written_table_carries_a_formula(run: Run, place: Path) -> None:
    assert run("plan", place / "tank.toml", "--out", place / "out").code == 0
    for table in (place / "out").glob("*.csv"):
        for row in csv.reader(io.StringIO(table.read_text(encoding="utf-8"))):
            for cell in row:
                assert not cell.startswith(("=", "+", "@", "\t", "\r")), (table.name, cell)
                assert not cell.startswith("-") or float(cell) < 0


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("../../etc/passwd", "etcpasswd.zip"),
        ("CON: <x>|?*", "CON_x.zip"),
        ("a/b\\c", "abc.zip"),
        ("   ", "tank.zip"),
        ("...", "tank.zip"),
        ("مصباح 🐠", "مصباح.zip"),
        ("x" * 500, f"{'x' * 60}.zip"),
    ],
)
def test_file_names_made_from_names_are_cleaned(name: str, file: str) -> None:
    desk = Desk("x", read_draft({"tank.toml": TANK.encode(), "fixtures.csv": FIXTURES.encode()}))
    tank = {**desk.draft.tank, "tank": {**desk.draft.tank["tank"], "name": name}}
    desk.draft = with_tank(desk.draft, tank)
    assert file_name(desk) == file
