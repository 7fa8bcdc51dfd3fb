"""The screens for everybody: by keyboard, read aloud, in the dark, on a phone, without colours."""

from __future__ import annotations

import re
from pathlib import Path

import axe_playwright_python
import pytest

from tests.screens.conftest import Visitor

PAGES = ("Start", "Tank and corals", "Catalog", "Plan", "Look", "Running costs", "First weeks", "Meter check", "Report")
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 800}
#: how a page is looked at: size of the window and theme
LOOKS = {"light": (DESK, "light"), "dark": (DESK, "dark"), "phone": (PHONE, "dark")}
AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
#: what the library's own widgets do wrong, by rule and by what stands in the tag; nothing here is ours to mend
OF_THE_LIBRARY = (
    # the field that files are dropped on is a section by name and none by role; its button does the same by keyboard
    ("presentation-role-conflict", 'data-testid="stFileUploaderDropzone"'),
)
RULES = """async () => (await axe.run(document, {iframes: false, resultTypes: ['violations']})).violations
    .flatMap(rule => rule.nodes.map(node => [rule.id, node.html, node.failureSummary]))"""
FOCUSED = """() => { const one = document.activeElement;
    return (one.getAttribute('aria-label') || one.innerText || '').trim(); }"""
COVERED = """() => { const title = document.querySelector('h1'), box = title.getBoundingClientRect();
    const top = document.elementFromPoint(box.x + 5, box.y + box.height / 2);
    return box.top < 0 || box.bottom > innerHeight || !title.contains(top); }"""
WIDER = """() => [document.documentElement, document.querySelector('[data-testid=stMain]')]
    .map(one => one.scrollWidth - innerWidth)"""
SCROLLED = "() => document.querySelector('[data-testid=stMain]').scrollTop"
#: contrast of words with the page, as WCAG 2.2 reckons it, with what makes them paler
CONTRAST = """one => {
    const parts = text => text.match(/[0-9.]+/g).map(Number), light = ([r, g, b]) => [r, g, b].map(v => v / 255)
        .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
        .reduce((sum, v, k) => sum + v * [0.2126, 0.7152, 0.0722][k], 0);
    const page = parts(getComputedStyle(document.querySelector('[data-testid=stApp]')).backgroundColor);
    const [r, g, b, a = 1] = parts(getComputedStyle(one).color);
    const shown = [r, g, b].map((v, k) => a * v + (1 - a) * page[k]);
    const [low, high] = [light(shown), light(page)].sort((one, other) => one - other);
    return (high + 0.05) / (low + 0.05); }"""
#: whether the theme has come with a change of the system's
THEME = "theme => getComputedStyle(document.querySelector('[data-testid=stApp]')).colorScheme === theme"


def faults(page) -> list[str]:
    """What the rules of accessibility find on a page and in the report inside it, without what is the library's own."""
    found = []
    for frame in page.frames:
        frame.evaluate(AXE)
        found += frame.evaluate(RULES)
    return [
        f"{rule}: {html}: {why}"
        for rule, html, why in found
        if not any(rule == known and mark in html for known, mark in OF_THE_LIBRARY)
    ]


@pytest.fixture(scope="module")
def with_plan(chromium, address):
    """The address of a plan of the smallest example, with one pinned and a slider moved; who opens it gets a copy."""
    one = Visitor(chromium, address)
    one.open_example("Small cube")
    one.visit("Plan")
    one.press("Find the cheapest plan")
    one.page.get_by_text("all told over 5 years").wait_for()
    one.press("Pin this plan")
    one.slide("Years you will own the lights", 1)
    one.page.get_by_text("all told over 6 years").wait_for()
    one.page.get_by_text("Looking for the cheapest plan").wait_for(state="detached")
    yield one.page.url
    one.context.close()


def opened(visitor, url: str):
    visitor.page.goto(url)
    visitor.page.get_by_text("all told over 6 years").wait_for()
    visitor.settle()
    return visitor


def test_no_page_breaks_a_rule_of_accessibility_in_any_theme_or_size(visitor, with_plan):
    one = opened(visitor(), with_plan)
    found = {}
    for page in PAGES:
        one.visit(page)
        for look, (size, theme) in LOOKS.items():
            one.page.set_viewport_size(size)
            one.page.emulate_media(color_scheme=theme)
            one.page.wait_for_function(THEME, arg=theme)
            one.settle()
            found[page, look] = faults(one.page)
    assert {where: told for where, told in found.items() if told} == {}


def test_the_main_job_can_be_done_by_keyboard_alone(visitor):
    one = visitor()
    one.go()

    def tab_to(name: str, most: int = 60) -> None:
        for _ in range(most):
            one.page.keyboard.press("Tab")
            if one.page.evaluate(FOCUSED) == name:
                return
        pytest.fail(f"Tab does not lead to {name!r}")

    def enter() -> None:
        one.page.keyboard.press("Enter")
        one.settle()

    # nothing is clicked from here on
    tab_to("Open the example")
    enter()
    one.arrive("Tank and corals")
    # past every field and through every table, to the link at the end of the page
    tab_to("Next: the catalog, the lights that you could buy", 200)
    enter()
    one.arrive("Catalog")
    tab_to("Next: the plan", 300)
    enter()
    one.arrive("Plan")
    tab_to("Find the cheapest plan")
    enter()
    one.page.get_by_text("all told over 5 years").wait_for()
    one.settle()
    tab_to("Years you will own the lights")
    one.page.keyboard.press("ArrowRight")
    one.page.get_by_text("all told over 6 years").wait_for()
    one.page.get_by_text("Looking for the cheapest plan").wait_for(state="detached")
    one.settle()
    tab_to("Next: the report, to print or to save", 100)
    enter()
    one.arrive("Report")


def test_on_a_phone_nothing_is_too_wide_and_no_page_is_hidden_after_a_tap(visitor, with_plan):
    one = opened(visitor(viewport=PHONE, is_mobile=True, has_touch=True, device_scale_factor=2), with_plan)
    for page in PAGES:
        one.page.get_by_role("link", name=page, exact=True).first.tap()
        one.arrive(page)
        assert max(one.page.evaluate(WIDER)) <= 0, page
        assert not one.page.evaluate(COVERED), page


def test_a_page_begins_at_its_top_and_then_stays_where_somebody_reads(visitor):
    one = visitor(viewport=PHONE)
    one.open_example("Small cube")
    for link, title in (("Next: the catalog, the lights that you could buy", "Catalog"), ("Next: the plan", "Plan")):
        one.page.get_by_role("link", name=link).click()
        one.arrive(title)
        assert one.page.evaluate(SCROLLED) == 0
    one.visit("Tank and corals")
    switch = one.page.get_by_text("Lights may also hang turned a quarter")
    switch.scroll_into_view_if_needed()
    place = one.page.evaluate(SCROLLED)
    switch.click()
    one.settle()
    assert 0.5 * place < one.page.evaluate(SCROLLED) < 1.5 * place


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_on_a_phone_words_of_buttons_and_boxes_can_be_read(visitor, theme):
    one = visitor(viewport=PHONE, color_scheme=theme)
    one.open_example("Small cube")
    # a long line beside a box is broken, not cut off
    words = one.page.get_by_text("Keep a margin: lights may give less or more than claimed")
    assert words.evaluate("one => one.parentElement.scrollWidth <= one.parentElement.clientWidth")
    assert words.evaluate("one => one.getBoundingClientRect().right <= innerWidth")
    # nor is what cannot be pressed yet as pale as the page
    one.visit("Meter check")
    button = one.page.locator("[data-testid=stBaseButton-primary]:disabled")
    assert button.locator("p").evaluate(CONTRAST) > 1.5


def test_nothing_is_told_by_colour_alone(visitor, with_plan):
    one = opened(visitor(), with_plan)
    # each zone has its verdict in words, in the table and in what is read aloud in the place of the drawing
    table = one.page.get_by_role("table", name="PAR in normal running")
    verdicts = [row.inner_text().split()[-1] for row in table.get_by_role("row").all()[1:]]
    assert len(verdicts) == 3
    assert set(verdicts) == {"ok"}
    # what a move of a slider costs has its sign
    deltas = one.page.locator("[data-testid=stMetricDelta]").all_inner_texts()
    assert deltas
    assert all(re.search(r"[+-]\d", text) for text in deltas)
    # a drawing has words
    for picture in one.page.get_by_role("img").all():
        assert len(picture.get_attribute("alt") or picture.get_attribute("aria-label") or "") > 10
