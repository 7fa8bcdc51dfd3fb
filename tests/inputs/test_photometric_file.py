"""Photometric files that are right in odd ways, and broken ones, which get one sentence."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.inputs.errors import InputError
from lightplan.inputs.photometric_file import MOST_FILE_BYTES, read_photometry
from tests.inputs.photometric import START, lm63, lobe, steps

GOOD = lm63(lobe(2), steps(10), (0.0, 90.0, 180.0))


@pytest.mark.parametrize(
    "text",
    [
        GOOD.replace("\n", "\r\n"),
        GOOD.replace(" ", ",  "),
        GOOD.replace("IESNA:LM-63-2002\n", "IES:LM-63-2019\n"),
        GOOD.replace(START, ""),
        GOOD.replace("TILT=NONE", "tilt = none"),
        lm63(lobe(2), steps(10), (0.0, 90.0, 180.0), multiplier=2.5, lumens=1200.0),
        "\ufeff" + GOOD,
    ],
)
def test_files_that_say_the_same(text: str) -> None:
    found, plain = read_photometry(text.encode(), "a.ies"), read_photometry(GOOD.encode(), "a.ies")
    assert found.lumens == pytest.approx(plain.lumens, rel=1e-9)
    assert found.candela == pytest.approx(plain.candela, rel=1e-9)
    assert (found.planes, found.angle_deg[-1]) == (3, 90.0)


def test_names_of_makers_may_have_any_accents() -> None:
    text = GOOD.replace("nobody", "Jörg & Æther")
    assert read_photometry(text.encode("cp1252"), "a.ies").planes == 3


WRONG = {
    "empty": (b"", "this file is empty"),
    "binary": (b"\0\1\2" * 50, "this is not text"),
    "no tilt": (b"hello\nworld\n", "there is no line TILT="),
    "tilt in it": (GOOD.replace("TILT=NONE", "TILT=INCLUDE").encode(), "TILT=INCLUDE: only lights that burn as"),
    "tilt in a file": (GOOD.replace("TILT=NONE", "TILT=lamp.tlt").encode(), "TILT=lamp.tlt: only lights"),
    "nothing after": (b"TILT=NONE\n", "it ends after 0 of the 13 numbers"),
    "short": (GOOD[: len(GOOD) - 40].encode(), "it ends after"),
    "long": (GOOD.encode() + b"5 5 5\n", "it has 46 in the place of 43 numbers"),
    "words": (GOOD.replace("1000", "much").encode(), "'much' stands where a number should be"),
    "nan": (GOOD.replace("1000", "nan").encode(), "'nan' is not a number that can stand here"),
    "huge": (GOOD.replace("1000", "1e308").encode(), "'1e308' is not a number that can stand here"),
    "huge together": (GOOD.replace("1 -1 1 10", "1 -1 1e8 10").encode(), "more than any light has"),
    "negative": (GOOD.replace("1000", "-1000").encode(), "a candela is -1000, needs numbers that are not below 0"),
    "dark": (lm63(lambda v, h: 0.0, steps(10)).encode(), "no light goes down by it"),
    "only up": (lm63(lambda v, h: float(v > 90), steps(10, 180)).encode(), "no light goes down by it"),
    "type B": (lm63(lobe(1), steps(10), kind=2).encode(), "its photometry is of type B, needs type C"),
    "count": (GOOD.replace("1 -1 1 10 3", "1 -1 1 10.5 3").encode(), "it has 10.5 vertical angles"),
    "minus count": (GOOD.replace("1 -1 1 10 3", "1 -1 1 10 -3").encode(), "it has -3 horizontal angles"),
    "huge count": (GOOD.replace("1 -1 1 10 3", "1 -1 1 1000000 3").encode(), "1e+06 vertical angles"),
    "multiplier": (GOOD.replace("1 -1 1 10", "1 -1 0 10").encode(), "its multiplier is 0"),
    "no lumens": (GOOD.replace("1 -1 1 10", "1 0 1 10").encode(), "1 lamps of 0 lumens"),
    "falling": (lm63(lobe(1), steps(10)[::-1]).encode(), "its vertical angles do not rise"),
    "twice the same": (lm63(lobe(1), [0, 10, 10, 90]).encode(), "its vertical angles do not rise"),
    "hardly apart": (
        lm63(lobe(9), [0, 10, 80, 90]).replace("0 10 80 90", "0 10 10.000000000000002 90").encode(),
        "its vertical angles do not rise",
    ),
    "from the side": (lm63(lobe(1), steps(10)[2:]).encode(), "its vertical angles go from 20 to 90"),
    "odd planes": (lm63(lobe(1), steps(10), (0.0, 120.0)).encode(), "its horizontal angles go from 0 to 120"),
    "falling planes": (lm63(lobe(1), steps(10), (90.0, 0.0)).encode(), "its horizontal angles do not rise"),
}


@pytest.mark.parametrize("name", WRONG)
def test_broken_files_get_a_sentence(name: str) -> None:
    data, sentence = WRONG[name]
    with pytest.raises(InputError) as caught:
        read_photometry(data, "a.ies")
    (problem,) = caught.value.problems
    assert sentence in problem.message
    assert (problem.file, problem.message.count("\n")) == ("a.ies", 0)


def test_a_file_that_is_too_large_is_not_read() -> None:
    with pytest.raises(InputError, match="too large, needs 2 MB at most"):
        read_photometry(GOOD.encode() + b" " * MOST_FILE_BYTES, "a.ies")


@settings(max_examples=150)
@given(place=st.integers(0, len(GOOD) - 1), what=st.binary(max_size=6), length=st.integers(0, 30))
def test_a_file_with_anything_in_it_is_read_or_refused(place: int, what: bytes, length: int) -> None:
    data = GOOD.encode()
    try:
        found = read_photometry(data[:place] + what + data[place + length :], "a.ies")
    except InputError:
        return
    assert found.lumens > 0
