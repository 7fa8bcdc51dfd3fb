"""What a plan rests on, in plain sentences: tank, water and panes, hours, prices, claims, and what is left out."""

from __future__ import annotations

from lightplan.choose.plan import Plan
from lightplan.choose.sample import GRID_STEP
from lightplan.choose.schedule import FLAT_PRICE_PER_KWH
from lightplan.choose.verify import TOLERANCE
from lightplan.inputs.catalog import Fixture
from lightplan.inputs.tank import Tank
from lightplan.present.texts.light_words import form_words
from lightplan.present.texts.plan_parts import Bullets, Part
from lightplan.present.texts.words import counted, length, listed, money, number, percent

#: what the model leaves out, as the README says it
NOT_MODELLED = (
    "Not modelled: light thrown back by sand and rock, ripples on the surface, light from the room, dirt and salt on "
    "lamps, covers and panes, fluorescence, what a camera sees, and growth."
)


def assumptions(plan: Plan, *, inches: bool = False) -> list[Part]:
    """The assumptions under a few headings."""
    return [
        Part("water", "Tank and water", (Bullets(tuple(_water(plan, inches))),)),
        Part("prices", "Hours and prices", (Bullets(tuple(_prices(plan))),)),
        Part("claims", "Lights and claims", (Bullets(tuple(_claims(plan))),)),
        Part("judging", "How PAR is judged", (Bullets(tuple(_judging(inches))),)),
    ]


def _water(plan: Plan, inches: bool) -> list[str]:
    box, unit = plan.tank.box, "inches" if inches else "cm"
    size = " x ".join(length(side, inches) for side in (box.length_cm, box.width_cm, box.depth_cm))
    cover = "none" if box.cover_transmission == 1 else f"lets {_share(box.cover_transmission)} of the light through"
    walls = [f"{side} {_share(getattr(box.walls, side))}" for side in ("left", "right", "front", "back")]
    in_the_way = [
        counted(len(things), one) for one, things in (("brace", plan.tank.braces), ("rock", plan.tank.rocks)) if things
    ]
    return [
        f"Inside: {size} {unit} (length, width, depth of the water).",
        f"Cover: {cover}.",
        f"Water: attenuation {number(box.attenuation_per_m)} per m, refractive index {number(box.refractive_index)}.",
        f"Panes mirror so much of the light that meets them: {listed(walls)}.",
        *([f"In the way of the light: {listed(in_the_way)}, as drawn."] if in_the_way else []),
        "For the light, the rim is taken to lie at the water's surface.",
    ]


def _share(share: float) -> str:
    return f"{100 * share:.3g} %"


def _prices(plan: Plan) -> list[str]:
    tank, daily = plan.tank, plan.tank.photoperiod
    ramp = f", with {number(daily.ramp_hours)} h of sunrise before and sunset after" if daily.ramp_hours else ""
    own = [row.fixture for row in tank.hours if any(light.fixture == row.fixture for light in plan.lights)]
    years = counted(tank.money.years, "year")
    return [
        f"Photoperiod: {number(daily.full_hours)} h at full level{ramp}, from {daily.start}, every day of the year.",
        *([f"Hours of their own: {listed(own)}."] if own else []),
        *tariff_lines(tank),
        f"Money: over {years}, interest {_share(tank.money.discount_rate)} a year.",
        f"Ageing to the end of the years is {'kept as a margin' if tank.margin.ageing else 'not kept as a margin'}.",
    ]


def tariff_lines(tank: Tank) -> list[str]:
    """What power costs, and when."""
    label = tank.money.currency
    if not tank.tariffs:
        price = money(FLAT_PRICE_PER_KWH, label)
        return [f"Power: {price} per kWh at all times, for the tank file has no tariff (common practice, no source)."]
    prices = [
        f"{_price(row.price_per_kwh, label)} per kWh"
        + (f" from {row.from_} to {row.to}" if row.from_ is not None else " at other times")
        for row in tank.tariffs
    ]
    if len(prices) == 1:
        prices = [prices[0].replace(" at other times", " at all times")]
    return [f"Power: {listed(prices)}."]


def _price(price: float, label: str) -> str:
    return f"{number(price)} {label}" if label else number(price)


def _claims(plan: Plan) -> list[str]:
    factor = plan.tank.margin.claims_factor
    margin = {
        0.0: "The plan keeps no margin for wrong claims.",
        1.0: "The plan keeps a margin for claims that are off by their whole claim error.",
    }.get(factor, f"The plan keeps a margin for claims that are off by {number(factor)} x their claim error.")
    meter = (
        "A PAR meter is at hand, so levels can be set again for each case."
        if plan.tank.meter.available
        else "There is no PAR meter, so one setting must do for every case."
    )
    fixtures = [plan.catalog.fixture(name) for name in dict.fromkeys(light.fixture for light in plan.lights)]
    return [*map(_claim, fixtures), margin, meter]


def _claim(fixture: Fixture) -> str:
    return f"{fixture.fixture}: light {form_words(fixture)}, claim error {percent(fixture.claim_error)}."


def _judging(inches: bool) -> list[str]:
    step = "2 cm" if not inches else f"{length(GRID_STEP, inches)} in (2 cm)"
    return [
        "PAR is the light of 400 to 700 nm on a level sensor that faces up.",
        f"Lowest and highest are over a grid of points at most {step} apart, at the top and the bottom of each zone, "
        "edges included; the average is at mid-depth.",
        f"A point up to {100 * TOLERANCE:g} % outside its band counts as met.",
        "A beam is one smooth lobe; lamps with lenses that make rings or stripes differ from it near the surface.",
        NOT_MODELLED,
    ]
