"""What a plan's reader should be told besides the plan: guesses it rests on, loads, and what could not be tried."""

from __future__ import annotations

from collections.abc import Sequence

from lightplan.choose.candidates import overlap
from lightplan.choose.circuit import circuit_load, circuit_warning
from lightplan.choose.job import Job
from lightplan.choose.lights import HungLight
from lightplan.choose.scenarios import ANY_BLUE, SETTLED, blue_band
from lightplan.choose.trust import doubtful_zones
from lightplan.inputs.catalog import Fixture
from lightplan.inputs.tank import Tank
from lightplan.light.agreement import disagreements
from lightplan.light.claims import blue_contradiction


def plan_remarks(job: Job, lights: Sequence[HungLight]) -> list[str]:
    """Everything worth a warning about a plan's inputs and its lights, one plain sentence each."""
    return [
        *_about_inputs(job),
        *_about_fixtures(job, lights),
        *_about_readings(job, lights),
        *_about_blue(job, lights),
        *_left_out(job),
        *_placed_overlaps(job),
        *_circuit(job, lights),
    ]


def _about_inputs(job: Job) -> list[str]:
    tank, out = job.tank, []
    if not tank.tariffs:
        out.append("No tariff in the tank file: power is reckoned at 0.30 per kWh at all hours.")
    if tank.control.dimmable_share and not any(job.fixtures[s.fixture].dimmable for s in job.candidates.spots):
        out.append(
            f"At least {100 * tank.control.dimmable_share:g} % of the light should come from dimmable lights, but none "
            "that may hang here can be dimmed: with that wish, no light may run in normal running at all."
        )
    if not tank.zones:
        out.append("The tank has no zones, so nothing needs light and nothing is bought.")
    return out


def _about_fixtures(job: Job, lights: Sequence[HungLight]) -> list[str]:
    """Guesses and contradictions in the light data of the fixtures that the plan uses."""
    used = {light.fixture for light in lights}
    out = []
    for fixture, emitter in zip(job.fixtures, job.emitters, strict=True):
        if fixture.fixture in used:
            out += [text if text.endswith(".") else f"{text}." for text in emitter.warnings]
            out += [found.message for found in disagreements(fixture)]
            blue = blue_contradiction(job.catalog, fixture.fixture)
            if blue is not None:
                out.append(f"{fixture.fixture}: {blue}.")
    return out


def _about_readings(job: Job, lights: Sequence[HungLight]) -> list[str]:
    """Zones whose light in normal running rests on what readings do not tell."""
    layout = [light.in_scene(SETTLED) for light in lights if SETTLED in light.scenes]
    return doubtful_zones(job.tank, job.catalog, layout)


def _about_blue(job: Job, lights: Sequence[HungLight]) -> list[str]:
    """Lights whose blue share is not known, where a scene asks for one: in the plan, or left out for it."""
    if all(blue_band(scene) == ANY_BLUE for scene in job.tank.scenes):
        return []
    unknown = [f.fixture for f, colour in zip(job.fixtures, job.colours, strict=True) if colour.low < colour.high]
    if not unknown:
        return []
    used = {light.fixture for light in lights}
    said = "; ".join(f"{name} (in this plan)" if name in used else name for name in unknown)
    return [
        "A blue share is asked for, and that of these lights is not known: they count as without any blue light where "
        f"more of it is asked for, and as all blue where less of it is: {said}."
    ]


def _left_out(job: Job) -> list[str]:
    """Fixtures that no spot can take, with the reason; one sentence for all with the same reason."""
    hung = {spot.fixture for spot in job.candidates.spots}
    control = job.tank.control
    reasons: dict[str, list[str]] = {}
    for number, fixture in enumerate(job.fixtures):
        if number in hung or fixture.max_count == 0 or (control.built_in_timing and fixture.timing != "built-in"):
            continue
        reasons.setdefault(_why_nowhere(fixture, job.tank), []).append(fixture.fixture)
    return [f"Left out, as {reason}: {', '.join(names)}." for reason, names in reasons.items()]


def _why_nowhere(fixture: Fixture, tank: Tank) -> str:
    if all(height < fixture.min_height_cm for height in tank.hanging.heights_cm):
        return "no height in heights_cm is as high as they must hang"
    if tank.hanging.mirrored:
        return "no pair of mirrored spots has room for them"
    if tank.hanging.overhang_cm is not None:
        return "no spot has room for them within the allowed overhang, or none may carry their weight"
    return "no spot has room for them beside what hangs already, or none may carry their weight"


def _placed_overlaps(job: Job) -> list[str]:
    placed = [spot for spot in job.candidates.spots if spot.placed]
    return [
        f"Two placed lights overlap seen from above: {job.fixtures[one.fixture].fixture} at x {one.x:g} cm and "
        f"{job.fixtures[two.fixture].fixture} at x {two.x:g} cm."
        for number, one in enumerate(placed)
        for two in placed[number + 1 :]
        if overlap(one, two)
    ]


def _circuit(job: Job, lights: Sequence[HungLight]) -> list[str]:
    """A warning where the largest scene loads the circuit beyond 80 % of its breaker, power factor included."""
    warning = circuit_warning(circuit_load(job.tank, job.catalog, lights))
    return [] if warning is None else [warning]
