"""What the lights draw when most of them are lit, and how far that loads the circuit they hang on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lightplan.choose.lights import HungLight
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank

#: continuous load on a circuit above this share of its breaker is warned of (common practice, no source)
CIRCUIT_SHARE = 0.8


@dataclass(frozen=True)
class SceneLoad:
    """What all lights together draw in one scene: real power in W, apparent power (W / power factor) in VA."""

    scene: str
    watts: float
    volt_amperes: float


@dataclass(frozen=True)
class CircuitLoad:
    """What a circuit carries in the scene with the largest current, in A: `lights_a`, and `other_a` of all else.

    The power factor of everything else on the circuit is taken as 1.
    """

    scene: str
    volts: float
    breaker_a: float
    lights_a: float
    other_a: float

    @property
    def total_a(self) -> float:
        """Current of everything on the circuit, A."""
        return self.lights_a + self.other_a

    @property
    def share(self) -> float:
        """That current as a share of the breaker's rating."""
        return self.total_a / self.breaker_a

    @property
    def over(self) -> bool:
        """True above 80 % of the breaker's rating."""
        return self.share > CIRCUIT_SHARE


def scene_loads(catalog: Catalog, lights: Sequence[HungLight]) -> tuple[SceneLoad, ...]:
    """What is drawn in each scene, in the order in which the lights name them."""
    fixtures = {light.fixture: catalog.fixture(light.fixture) for light in lights}
    loads = []
    for scene in dict.fromkeys(scene for light in lights for scene in light.scenes):
        watts = [fixtures[light.fixture].power_w * light.scenes[scene].level for light in lights]
        apparent = [w / fixtures[light.fixture].power_factor for w, light in zip(watts, lights, strict=True)]
        loads.append(SceneLoad(scene, math.fsum(watts), math.fsum(apparent)))
    return tuple(loads)


def circuit_load(tank: Tank, catalog: Catalog, lights: Sequence[HungLight]) -> CircuitLoad | None:
    """The load of the tank's circuit in the scene with the largest current; None without a circuit in the tank file."""
    circuit = tank.circuit
    if circuit is None:
        return None
    loads = scene_loads(catalog, lights)
    most = max(loads, key=lambda load: load.volt_amperes, default=SceneLoad("", 0.0, 0.0))
    return CircuitLoad(
        scene=most.scene,
        volts=circuit.volts,
        breaker_a=circuit.breaker_a,
        lights_a=most.volt_amperes / circuit.volts,
        other_a=circuit.other_w / circuit.volts,
    )


def circuit_warning(load: CircuitLoad | None) -> str | None:
    """A sentence where a circuit carries more than 80 % of its breaker's rating, else None."""
    if load is None or not load.over:
        return None
    return (
        f"The circuit carries {load.total_a:.1f} A of its breaker's {load.breaker_a:g} A ({100 * load.share:.3g} %), "
        "more than the 80 % that common practice allows for long hours: ask a licensed electrician."
    )
