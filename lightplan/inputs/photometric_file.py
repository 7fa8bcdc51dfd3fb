"""Photometric files in the open format ANSI/IES LM-63 (1986 to 2019), Type C: how a light spreads, from a laboratory.

A file has lines of text, a line TILT=, and then numbers alone: lamps, lumens of each (-1: the candelas are absolute), a
multiplier, how many vertical and horizontal angles, the type (1: C), unit, width, length and height, a ballast factor,
a figure for later use, watts; the vertical angles (0 is straight down), the horizontal ones, and for each of these
planes its candelas at every vertical angle. Angles in degrees, flux in lumens.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import chain
from typing import NoReturn

import numpy as np
from numpy.typing import NDArray

from lightplan.inputs.errors import InputError, Problem
from lightplan.inputs.light_data import Photometry

Array = NDArray[np.float64]

MOST_FILE_BYTES = 2_000_000
MOST_ANGLES = 721
MOST_CANDELA = 1e9
#: numbers before the angles
HEAD = 13
TYPE_C = 1.0
#: where the planes end, and with that how they go on all round
SYMMETRIES = {0.0: "all round", 90.0: "each quarter alike", 180.0: "both halves alike", 360.0: "all planes told"}
#: angles that are meant to be alike may differ by so much
SAME_DEG = 1e-3
#: angles nearer than this are no two angles
LEAST_STEP_DEG = 1e-6
TILT = re.compile(r"^\s*TILT\s*=\s*(.*?)\s*$", re.MULTILINE | re.IGNORECASE)
NUMBER = re.compile(r"[^\s,]+")


@dataclass(frozen=True)
class Web:
    """A file's candelas: vertical angles (V,), horizontal ones (H,), rising, and candelas (H, V).

    `lengthwise`: whether the plane at 0 runs along the longer side; the length of a file lies in the plane from 0 to
    180, its width in that from 90 to 270 (from memory of the standard).
    """

    vertical: Array
    horizontal: Array
    candela: Array
    lengthwise: bool = True

    def around(self) -> Array:
        """What part of the way round each plane stands for, (H,): half of the gaps beside it, mirrored or not."""
        if self.horizontal.size == 1:
            return np.ones(1)
        gaps = np.diff(self.horizontal)
        half = np.zeros(self.horizontal.size)
        half[:-1] += gaps / 2.0
        half[1:] += gaps / 2.0
        return np.asarray(half / half.sum())

    def mean(self) -> Array:
        """Candelas at each vertical angle, the mean all round, (V,)."""
        return np.asarray(self.around() @ self.candela)

    def oval(self) -> Array:
        """How many candelas more than the mean go along the longer side at each vertical angle, (V,).

        The part of cos 2 phi in the candelas, by least squares over the planes, which leaves the mean as it is.
        """
        share, wave = self.around(), self._wave()
        square = float(share @ wave**2)
        if square < SAME_DEG:
            return np.zeros(self.vertical.size)
        return np.asarray((share * wave) @ (self.candela - self.mean()) / square)

    def off(self) -> Array:
        """How far the plane farthest off is from mean and oval part together, candelas, (V,)."""
        return np.asarray(np.abs(self.candela - self.mean() - self._wave()[:, None] * self.oval()).max(axis=0))

    def _wave(self) -> Array:
        wave = np.cos(2.0 * np.radians(self.horizontal)) * (1.0 if self.lengthwise else -1.0)
        return np.asarray(wave - self.around() @ wave)


def read_photometry(data: bytes, file: str) -> Photometry:
    """Return what a photometric file says; InputError with a plain sentence where it can't be used."""
    try:
        web = _web(_text(data))
    except _WrongError as wrong:
        raise InputError([Problem(file, None, None, str(wrong))]) from None
    mean = web.mean()
    return Photometry(
        file=file,
        planes=web.horizontal.size,
        lumens=flux(web.vertical, mean),
        angle_deg=tuple(web.vertical.tolist()),
        candela=tuple(mean.tolist()),
        candela_oval=tuple(web.oval().tolist()),
        candela_off=tuple(web.off().tolist()),
    )


def flux(angle_deg: Array, candela: Array) -> float:
    """Flux of a light that is alike all round: 2 pi times the integral of I sin a over a, with straight lines for I.

    Between two angles the integral of (I + s (x - a)) sin x is [-(I + s (x - a)) cos x + s sin x] (by parts).
    """
    angle = np.radians(angle_deg)
    low, high, first, last = angle[:-1], angle[1:], candela[:-1], candela[1:]
    slope = (last - first) / (high - low)
    parts = first * np.cos(low) - last * np.cos(high) + slope * (np.sin(high) - np.sin(low))
    return 2.0 * math.pi * float(parts.sum())


class _WrongError(Exception):
    """Why a file can't be used, as the end of a sentence that begins with its name."""


def _wrong(message: str) -> NoReturn:
    raise _WrongError(message)


def _text(data: bytes) -> str:
    if len(data) > MOST_FILE_BYTES:
        _wrong(f"this file is too large, needs {MOST_FILE_BYTES // 1_000_000} MB at most")
    if not data.strip():
        _wrong("this file is empty")
    if b"\0" in data:
        _wrong("this is not text, needs a photometric file in the format LM-63")
    # names of makers may have any accents; what counts are numbers
    return data.decode("utf-8-sig", errors="replace")


def _web(text: str) -> Web:
    tilt = TILT.search(text)
    if tilt is None:
        _wrong("there is no line TILT=, so this is not a photometric file in the format LM-63")
    if tilt[1].upper() != "NONE":
        _wrong(f"TILT={tilt[1][:40]}: only lights that burn as they were measured can be used, needs TILT=NONE")
    numbers = _numbers(text[tilt.end() :])
    if len(numbers) < HEAD:
        _wrong(f"it ends after {len(numbers)} of the {HEAD} numbers that come before the angles")
    lamps, lumens, multiplier, vertical, horizontal, kind = numbers[:6]
    if kind != TYPE_C:
        letter = {2.0: "B", 3.0: "A"}.get(kind)
        _wrong(f"its photometry is of type {letter or f'{kind:g}'}, needs type C (1)")
    if not multiplier > 0:
        _wrong(f"its multiplier is {multiplier:g}, needs a number above 0")
    if not (lumens > 0 or lumens == -1) or not lamps > 0:
        _wrong(
            f"it has {lamps:g} lamps of {lumens:g} lumens, needs numbers above 0, or -1 lumens for absolute candelas"
        )
    counts = [_count(vertical, "vertical", 2), _count(horizontal, "horizontal", 1)]
    width, length = abs(numbers[7]), abs(numbers[8])
    web = _checked(numbers[HEAD:], counts[0], counts[1], multiplier)
    return replace(web, lengthwise=length >= width)


def _numbers(text: str) -> list[float]:
    """All numbers after the line TILT=; as many as may be needed and one more."""
    found: list[float] = []
    for match in NUMBER.finditer(text):
        try:
            value = float(match[0])
        except ValueError:
            _wrong(f"{match[0][:40]!r} stands where a number should be")
        if not abs(value) <= MOST_CANDELA:
            _wrong(f"{match[0][:40]!r} is not a number that can stand here")
        found.append(value)
    return found


def _count(value: float, which: str, least: int) -> int:
    if not value.is_integer() or not least <= value <= MOST_ANGLES:
        _wrong(f"it has {value:g} {which} angles, needs a whole number from {least} to {MOST_ANGLES}")
    return int(value)


def _checked(numbers: list[float], vertical: int, horizontal: int, multiplier: float) -> Web:
    needed = vertical + horizontal + vertical * horizontal
    if len(numbers) != needed:
        way = f"ends after {len(numbers)} of" if len(numbers) < needed else f"has {len(numbers)} in the place of"
        _wrong(f"it {way} {needed} numbers: {vertical} and {horizontal} angles, and candelas for each pair of them")
    values = np.array(numbers)
    web = Web(
        values[:vertical],
        values[vertical : vertical + horizontal],
        values[vertical + horizontal :].reshape(horizontal, vertical) * multiplier,
    )
    # one after the other: candelas can be judged only where the angles are right
    for sentence in chain(_wrong_vertical(web.vertical), _wrong_horizontal(web.horizontal), _wrong_candela(web)):
        _wrong(sentence)
    return web


def _wrong_vertical(angle: Array) -> Iterator[str]:
    if (np.diff(angle) < LEAST_STEP_DEG).any():
        yield "its vertical angles do not rise"
    elif abs(angle[0]) > SAME_DEG or min(abs(angle[-1] - 90.0), abs(angle[-1] - 180.0)) > SAME_DEG:
        yield f"its vertical angles go from {angle[0]:g} to {angle[-1]:g}, needs 0 (straight down) to 90 or 180"


def _wrong_horizontal(angle: Array) -> Iterator[str]:
    if (np.diff(angle) < LEAST_STEP_DEG).any():
        yield "its horizontal angles do not rise"
        return
    # a light alike on both sides of the plane across may be told from 90 to 270
    across = abs(angle[0] - 90.0) <= SAME_DEG and abs(angle[-1] - 270.0) <= SAME_DEG
    known = any(abs(angle[-1] - end) <= SAME_DEG for end in SYMMETRIES)
    if not across and not (abs(angle[0]) <= SAME_DEG and known and (angle.size > 1) == (angle[-1] > SAME_DEG)):
        yield (
            f"its horizontal angles go from {angle[0]:g} to {angle[-1]:g}, needs 0 alone, 0 to 90, 180 or 360, or 90 "
            "to 270"
        )


def _wrong_candela(web: Web) -> Iterator[str]:
    if (web.candela < 0).any():
        yield f"a candela is {web.candela.min():g}, needs numbers that are not below 0"
    elif web.candela.max() > MOST_CANDELA:
        yield f"a candela is {web.candela.max():g}, more than any light has"
    elif not flux(web.vertical[web.vertical <= 90.0 + SAME_DEG], web.mean()[web.vertical <= 90.0 + SAME_DEG]) > 0:
        yield "no light goes down by it"
