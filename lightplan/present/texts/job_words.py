"""What is to be planned, in a line."""

from __future__ import annotations

from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank
from lightplan.present.texts.words import counted, length


def job_line(tank: Tank, catalog: Catalog, *, inches: bool = False) -> str:
    """A tank by name and size, with how many zones it has and how many models of light are to be chosen from."""
    box = tank.box
    size = " x ".join(length(side, inches) for side in (box.length_cm, box.width_cm, box.depth_cm))
    unit = "inches" if inches else "cm"
    models = counted(len(catalog.fixtures), "model")
    return f"{box.name}: {size} {unit}, {counted(len(tank.zones), 'zone')}, {models} of light to choose from."
