"""The colour scale rises evenly in lightness, and words stand out from their page."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.present.drawings.colours import PALETTES, VIRIDIS, Palette, scale_colours


def luminance(colours: np.ndarray) -> np.ndarray:
    """Relative luminance of sRGB colours (n, 3): WCAG 2.2, "relative luminance"."""
    share = colours / 255
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    return np.asarray(linear @ [0.2126, 0.7152, 0.0722])


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours: WCAG 2.2."""
    low, high = sorted(luminance(np.array([[int(c[i : i + 2], 16) for i in (1, 3, 5)] for c in (one, other)])))
    return float((high + 0.05) / (low + 0.05))


def test_scale_has_256_colours_from_its_first_stop_to_its_last() -> None:
    colours = scale_colours()
    assert colours.shape == (256, 3)
    ends = ["".join(f"{v:02x}" for v in colours[k]) for k in (0, -1)]
    assert ends == [VIRIDIS.split()[0], VIRIDIS.split()[-1]]


def test_lightness_rises_evenly() -> None:
    # CIE 1976 lightness of the luminance, away from black: 116 Y^(1/3) - 16
    lightness = 116 * np.cbrt(luminance(scale_colours())) - 16
    steps = np.diff(lightness[::16])
    assert steps.min() > 0.6 * steps.mean()
    assert steps.max() < 1.4 * steps.mean()


@pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES)
def test_words_can_be_read(palette: Palette) -> None:
    # 4.5: WCAG 2.2, success criterion 1.4.3; 3 for lines: 1.4.11
    assert contrast(palette.text, palette.page) > 7
    assert contrast(palette.quiet, palette.page) > 4.5
    assert contrast(palette.text, palette.water) > 7
    assert contrast(palette.accent, palette.band) > 3
    assert contrast(palette.line, palette.page) > 3
