"""The report: complete, safe, well formed, the same for the same plan, and in need of nothing else."""

from __future__ import annotations

import base64
import dataclasses
import itertools
import re
from html.parser import HTMLParser

import pytest

from lightplan.choose.meter_points import points_to_measure
from lightplan.choose.plan import Plan, plan
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank
from lightplan.present.report.drawings import ReportDrawings
from lightplan.present.report.page import report_html
from lightplan.present.texts.cautions import cautions
from lightplan.present.texts.plan_parts import plan_head
from lightplan.version import VERSION

VOID = {"meta", "img", "br", "hr"}
EVIL = "<script>alert(1)</script>"
NAMES = (EVIL, 'Say "so" & go', "Reef 🐠 'one'", "مصباح الشعاب")


class Page(HTMLParser):
    """A page taken apart: its tags with their attributes, its text, and what is wrong with its nesting."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words, self._open, self._skip = "", [], False
        self.feed(text)
        assert self._open == []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self._open.append(tag)

    def handle_endtag(self, tag):
        assert self._open.pop() == tag

    def handle_data(self, data):
        if "style" not in self._open:
            self.words += f" {data}"

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs in self.tags if name == tag]

    def pictures(self) -> list[str]:
        sources = [str(img["src"]) for img in self.all("img")]
        return [base64.b64decode(source.partition("base64,")[2]).decode() for source in sources]


@pytest.fixture(scope="module")
def page(plans) -> Page:
    return Page(report_html(plans["scenes"]))


def named(made: Plan, name: str) -> Plan:
    """The same plan with one name for everything."""
    tank = made.tank.model_copy(
        update={
            "box": made.tank.box.model_copy(update={"name": name}),
            "zones": tuple(zone.model_copy(update={"name": name}) for zone in made.tank.zones),
        }
    )
    fixtures = tuple(fixture.model_copy(update={"fixture": name}) for fixture in made.catalog.fixtures)
    rows = (dataclasses.replace(row, light=dataclasses.replace(row.light, zone=name)) for row in made.zones)
    return dataclasses.replace(
        made,
        tank=tank,
        catalog=Catalog(fixtures=fixtures[:1], extras=made.catalog.extras, shades=made.catalog.shades),
        lights=tuple(dataclasses.replace(light, fixture=name) for light in made.lights),
        items=tuple(dataclasses.replace(item, item=name) for item in made.items),
        zones=tuple(rows),
        what_if={},
        warnings=(name,),
        inputs={name: "0" * 64},
    )


def test_it_holds_what_buyer_and_installer_need_in_order(scenes_plan, page):
    titles = [attrs["id"] for attrs in page.all("section")]
    assert titles == ["buy", "hang", "switch", "light", "measure", "cost", "margins", "events", "basis"]
    for text in (*plan_head(scenes_plan), *cautions(scenes_plan)):
        assert text in page.words
    for heading in ("Middle of each light", "Edges of each light", "Height of each light", "What each point carries"):
        assert heading in page.words
    for point in points_to_measure(scenes_plan):
        assert f"{point.par:.0f}" in page.words
    assert f"lightplan {VERSION}" in page.words
    assert "not measured" in page.words
    assert "Not modelled" in page.words


def test_cautions_stand_before_what_they_warn_of(page):
    words = page.words
    assert words.index("Weight over head") < words.index("Middle of each light")
    assert words.index("Mains near salt water") < words.index("Levels")


def test_the_page_is_well_formed_and_can_be_read_aloud(page):
    assert page.all("html")[0]["lang"] == "en"
    assert len(page.all("h1")) == len(page.all("main")) == 1
    levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch("h[1-6]", tag)]
    assert all(after <= before + 1 for before, after in itertools.pairwise(levels))
    assert all(th.get("scope") in ("col", "row") for th in page.all("th"))
    assert all(img.get("alt") for img in page.all("img"))
    ids = [attrs["id"] for _, attrs in page.tags if "id" in attrs]
    assert len(ids) == len(set(ids))
    links = [str(a["href"]) for a in page.all("a")]
    assert links
    assert all(link[1:] in ids for link in links)


def test_it_needs_nothing_from_anywhere(plans, page):
    assert not {"script", "link", "iframe", "object", "form", "base"} & {tag for tag, _ in page.tags}
    text = report_html(plans["scenes"])
    assert not re.search(r"https?:|//[a-z]|@import|url\(", text)
    assert all(str(img["src"]).startswith("data:image/svg+xml;base64,") for img in page.all("img"))
    for picture in page.pictures():
        outside = re.findall(r'(?:href|src)="(?!data:|#)([^"]*)"', picture)
        assert outside == []
        assert "<script" not in picture
    assert "default-src 'none'" in text


def test_the_same_plan_gives_the_same_page(plans):
    made = plans["tiny"]
    assert report_html(made) == report_html(dataclasses.replace(made, seconds=99.0))


def test_there_is_a_map_for_every_scene_in_one_scale(scenes_plan, page):
    limit = f">{ReportDrawings(scenes_plan).limit:g}</text>"
    maps = [picture for picture in page.pictures() if "Colours and lines" in picture]
    assert len(page.pictures()) == 5  # above, front, bars twice, above in the other scene
    assert len(maps) == 3
    assert all(limit in picture for picture in maps)
    assert "first-day" in " ".join(str(img["alt"]) for img in page.all("img"))


@pytest.mark.parametrize("name", NAMES)
def test_names_do_no_harm(plans, name):
    text = report_html(named(plans["tiny"], name))
    taken_apart = Page(text)
    assert name in taken_apart.words
    assert EVIL not in text
    assert all(EVIL not in picture for picture in taken_apart.pictures())
    assert not taken_apart.all("script")


def test_the_closest_plan_says_first_what_it_misses_and_what_would_help(closest_plan):
    page = Page(report_html(closest_plan))
    titles = [attrs["id"] for attrs in page.all("section")]
    assert titles[:3] == ["misses", "changes", "buy"]
    assert "No plan meets every wish; this is the closest." in page.words
    assert "middle in normal running: too" in page.words


def test_no_plan_at_all_still_makes_a_page(tiny_plan):
    bare = dataclasses.replace(
        tiny_plan, status="none", gap=None, bound=None, lights=(), items=(), zones=(), cost=None, value=None,
        margins=(), what_if={}, warnings=("The search was stopped.",),
    )  # fmt: skip
    page = Page(report_html(bare))
    assert [attrs["id"] for attrs in page.all("section")] == ["warnings", "basis"]
    assert "There is no plan to show." in page.words
    assert page.pictures() == []


@pytest.mark.parametrize("status", ["interrupted", "time limit"])
def test_an_unfinished_search_says_so(tiny_plan, status):
    words = Page(report_html(dataclasses.replace(tiny_plan, status=status, gap=0.07))).words
    assert "at most 7.0 % dearer" in words
    assert "The search ended because" in words


def test_inches_are_used_all_over(tiny_plan):
    words = Page(report_html(tiny_plan, inches=True)).words
    assert "In inches" in words
    assert "Lengths in inches" in words
    assert "In cm" not in words


def test_a_tank_without_zones_has_a_page_too(tiny_plan):
    bare = Tank(tank=tiny_plan.tank.box.model_dump(), money={"currency": "EUR"})
    found = plan(bare, tiny_plan.catalog)
    page = Page(report_html(found))
    assert "Nothing." in page.words
    placed = dataclasses.replace(found, lights=tiny_plan.lights)
    assert Page(report_html(placed)).pictures()
