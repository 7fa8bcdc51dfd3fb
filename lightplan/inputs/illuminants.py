"""The lights of the CIE that are built in, by the names a table may use."""

from __future__ import annotations

#: opening of their names in tables: no spectrum of the user's may begin so
CIE = "CIE "
#: published names: A, C, D50 to D75 and E, fluorescent lamps FL, discharge lamps HP, LED lamps, indoor daylight ID
#: (CIE 15:2018, Colorimetry, 4th edition, and its tables; E is equal energy)
PUBLISHED = (
    *("A", "C", "D50", "D55", "D65", "D75", "E"),
    *(f"FL{number}" for number in range(1, 13)),
    *(f"FL3.{number}" for number in range(1, 16)),
    *(f"HP{number}" for number in range(1, 6)),
    *("LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-BH1", "LED-RGB1", "LED-V1", "LED-V2"),
    *("ID50", "ID65"),
)
ILLUMINANTS = tuple(f"{CIE}{name}" for name in PUBLISHED)


def is_illuminant(name: str) -> bool:
    """Tell whether a name is that of a built-in light of the CIE."""
    return name in ILLUMINANTS
