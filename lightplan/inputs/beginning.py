"""What an empty draft begins with: a small tank with one zone, and the bands of common corals."""

from __future__ import annotations

from lightplan.inputs.text_table import TextTable

# measures of a common small tank, to be typed over
BEGINNING = """\
[tank]
name = "My tank"
length_cm = 60
width_cm = 45
depth_cm = 45

[[zone]]
name = "rock top"
x_cm = [20, 40]
y_cm = [15, 30]
depth_cm = 15
coral = "small-polyp"
"""

# PAR in µmol/m²/s: common practice, no source; the same as in the example catalog
CORALS = TextTable(
    ("coral", "par_min", "par_max", "note"),
    (
        ("mushroom", "30", "100", "common practice, no source; shade-loving; opens wide where it has enough"),
        ("soft", "50", "150", "common practice, no source; leather and finger corals"),
        ("zoanthid", "60", "200", "common practice, no source; tolerates much"),
        (
            "large-polyp",
            "50",
            "150",
            "common practice, no source; fleshy corals on the sand or low on the rock",
        ),
        ("hammer and torch", "80", "200", "common practice, no source; branching large-polyp corals"),
        ("plating", "100", "250", "common practice, no source; thin plates half way up the rock"),
        (
            "small-polyp",
            "200",
            "400",
            "common practice, no source; branching stony corals, upper half of the tank",
        ),
        (
            "crest small-polyp",
            "300",
            "600",
            "common practice, no source; the most demanding branching corals; just under the surface",
        ),
    ),
)
