"""What must hold between a tank and a catalog: one function a rule."""

from __future__ import annotations

from collections.abc import Iterator

from lightplan.inputs.catalog_model import Catalog, Fixture
from lightplan.inputs.errors import ALL_ROWS, Fault, KeyPath, Speller
from lightplan.inputs.tank_model import Tank
from lightplan.inputs.tank_parts import Placed

# bodies that touch do not overlap, whatever the last digit of their places
TOUCH_CM = 1e-6


# whole columns of names: where such a column can't be read, nothing is said about names that are not in it
FIXTURE_NAMES: tuple[KeyPath, ...] = (("fixtures", ALL_ROWS, "fixture"),)
CORAL_NAMES: tuple[KeyPath, ...] = (("corals", ALL_ROWS, "coral"),)


def fixture_unknown(tank: Tank, catalog: Catalog) -> Iterator[Fault]:
    """Lights that hang, and hours, are those of fixtures in the catalog."""
    names = Speller(fixture.fixture for fixture in catalog.fixtures)
    tables = {"placed": [row.fixture for row in tank.placed], "hours": [row.fixture for row in tank.hours]}
    for table, wanted in tables.items():
        for position, name in enumerate(wanted):
            if not catalog.has_fixture(name):
                message = f"fixture is {name!r}: fixtures.csv has no such row{names.hint(name)}"
                yield Fault((table, position, "fixture"), message, needs=FIXTURE_NAMES)


def coral_unknown(tank: Tank, catalog: Catalog) -> Iterator[Fault]:
    """Corals are those in the catalog."""
    names = Speller(coral.coral for coral in catalog.corals)
    for position, zone in enumerate(tank.zones):
        if zone.coral is not None and zone.coral not in names:
            message = f"coral is {zone.coral!r}: corals.csv has no such row{names.hint(zone.coral)}"
            yield Fault(("zone", position, "coral"), message, needs=CORAL_NAMES)


def _may_be_bought(fixture: Fixture, tank: Tank) -> bool:
    allowed = fixture.timing == "built-in" or not tank.control.built_in_timing
    return fixture.max_count != 0 and allowed


def weight_blank(tank: Tank, catalog: Catalog) -> Iterator[Fault]:
    """A load limit needs the weight of everything that may be bought."""
    limits: list[tuple[str, KeyPath]] = []
    if tank.limits.load_kg is not None:
        limits.append(("[limits] load_kg", ("limits", "load_kg")))
    if tank.hanging.spot_load_kg is not None:
        limits.append(("[hanging] spot_load_kg", ("hanging", "spot_load_kg")))
    loads = [position for position, spot in enumerate(tank.spots) if spot.load_kg is not None]
    limits += [("[[spot]] load_kg", ("spot", position, "load_kg")) for position in loads[:1]]
    if not limits:
        return
    named = " and ".join(name for name, _ in limits)
    for position, fixture in enumerate(catalog.fixtures):
        if fixture.weight_kg is None and _may_be_bought(fixture, tank):
            message = f"weight_kg is blank: needs a weight, for tank {tank.box.name!r} has {named}"
            needs = (*(path for _, path in limits), ("fixtures", position, "max_count"))
            yield Fault(("fixtures", position, "weight_kg"), message, needs=needs, in_catalog=True)


def claims_leave_nothing(tank: Tank, catalog: Catalog) -> Iterator[Fault]:
    """With claims low, a fixture still gives some light."""
    factor = tank.margin.claims_factor
    rows = enumerate(catalog.fixtures)
    position, worst = max(rows, key=lambda row: row[1].claim_error, default=(0, None))
    if worst is not None and factor * worst.claim_error >= 1:
        error = f"{worst.claim_error * 100:g} % claim error of {worst.fixture!r}"
        most = f"needs less than {1 / worst.claim_error:.3g}"
        message = f"claims is {factor:g}: times the {error} leaves no light, {most}"
        yield Fault(("margin", "claims"), message, needs=(("fixtures", position),))


def _body(light: Placed, catalog: Catalog) -> tuple[float, float, float, float] | None:
    """Return left, right, front and back of a placed light's body in cm, seen from above."""
    if not catalog.has_fixture(light.fixture):
        return None
    fixture = catalog.fixture(light.fixture)
    length, width = fixture.length_cm, fixture.width_cm
    if light.turned:
        length, width = width, length
    return light.x_cm - length / 2, light.x_cm + length / 2, light.y_cm - width / 2, light.y_cm + width / 2


def _sizes(light: Placed, catalog: Catalog) -> tuple[KeyPath, ...]:
    """Return where in the catalog the size of a placed light's body stands."""
    position = next((k for k, row in enumerate(catalog.fixtures) if row.fixture == light.fixture), 0)
    return (("fixtures", position, "length_cm"), ("fixtures", position, "width_cm"))


def placed_overlap(tank: Tank, catalog: Catalog) -> Iterator[Fault]:
    """Two lights that hang already hardly overlap seen from above, though one may hang above the other."""
    bodies = [(body, position) for position, light in enumerate(tank.placed) if (body := _body(light, catalog))]
    bodies.sort()
    reached: list[tuple[tuple[float, float, float, float], int]] = []
    for body, position in bodies:
        reached = [(other, k) for other, k in reached if other[1] > body[0] + TOUCH_CM]
        for other, k in reached:
            # one warning a light is enough
            if other[2] < body[3] - TOUCH_CM and body[2] < other[3] - TOUCH_CM:
                first, second = sorted((position, k))
                message = f"x_cm, y_cm: this light overlaps placed light {first + 1} seen from above"
                needs = (("placed", first), *_sizes(tank.placed[first], catalog), *_sizes(tank.placed[second], catalog))
                yield Fault(("placed", second, "x_cm"), message, "warning", (("placed", second), *needs))
                break
        reached.append((body, position))


def never_high_enough(tank: Tank, catalog: Catalog) -> Iterator[Fault]:
    """A fixture that may only hang above all heights on offer can't be in any plan."""
    highest = max(tank.hanging.heights_cm)
    for position, fixture in enumerate(catalog.fixtures):
        if fixture.min_height_cm > highest:
            message = f"min_height_cm is {fixture.min_height_cm:g}: above all heights_cm of tank {tank.box.name!r}"
            needs: tuple[KeyPath, ...] = (("hanging", "heights_cm"),)
            yield Fault(("fixtures", position, "min_height_cm"), message, "warning", needs, in_catalog=True)


def placed_too_low(tank: Tank, catalog: Catalog) -> Iterator[Fault]:
    """A light that hangs below its least height stays, but its owner should know."""
    for position, light in enumerate(tank.placed):
        least = catalog.fixture(light.fixture).min_height_cm if catalog.has_fixture(light.fixture) else 0.0
        if light.heights and min(light.heights) < least:
            key = "height_cm" if light.heights_cm is None else "heights_cm"
            message = f"{key} has {min(light.heights):g}: below the fixture's min_height_cm of {least:g}"
            yield Fault(("placed", position, key), message, "warning", (("fixtures", ALL_ROWS, "min_height_cm"),))


def none_dimmable(tank: Tank, catalog: Catalog) -> Iterator[Fault]:
    """A share of dimmable light can only come from lights that can be dimmed."""
    share = tank.control.dimmable_share
    if not share or any(f.dimmable and _may_be_bought(f, tank) for f in catalog.fixtures):
        return
    placed = [catalog.fixture(light.fixture) for light in tank.placed if catalog.has_fixture(light.fixture)]
    if not any(fixture.dimmable for fixture in placed):
        message = f"dimmable_share is {share:g}: no fixture that may be bought or hangs already can be dimmed"
        needs: tuple[KeyPath, ...] = (("fixtures", ALL_ROWS, "dimming"), *FIXTURE_NAMES)
        yield Fault(("control", "dimmable_share"), message, "warning", needs)


CROSS_RULES = (
    fixture_unknown,
    coral_unknown,
    weight_blank,
    claims_leave_nothing,
    placed_overlap,
    never_high_enough,
    placed_too_low,
    none_dimmable,
)


def cross_faults(tank: Tank, catalog: Catalog) -> Iterator[Fault]:
    """Yield every rule that a tank and a catalog break together."""
    for rule in CROSS_RULES:
        yield from rule(tank, catalog)
