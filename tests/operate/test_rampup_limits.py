"""The limits of a ramp-up, and the fewest weeks by each zone's own figures."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightplan.operate.rampup_limits import NEVER, Limits


def limits(start: float, settled: float, **options: float) -> Limits:
    """One zone whose peak PAR is ten times its DLI."""
    wide = np.array([np.inf])
    dli = np.array([start]), np.array([settled])
    return Limits(dli[0], 10 * dli[0], dli[1], 10 * dli[1], wide, wide, **options)


@pytest.mark.parametrize(
    ("start", "settled", "weeks", "kind"),
    [
        (10, 10, 1, "dli rise"),
        (10, 11, 1, "dli rise"),
        (10, 11.1, 2, "dli rise"),
        (10, 12.1, 2, "dli rise"),
        (0, 10, 9, "dli rise"),
        (5, 10, 8, "dli rise"),
        (10, 8, 1, "dli rise"),
        (10, 6.4, 2, "dli drop"),
        (10, 6.3, 3, "dli drop"),
    ],
)
def test_fewest_weeks_are_those_of_compound_growth(start, settled, weeks, kind):
    needed, zone, found = limits(start, settled).fewest()[0]
    assert (needed, zone) == (weeks, 0)
    assert found == kind or weeks == 1


def test_peak_par_can_set_the_pace():
    own = Limits(*(np.array([v]) for v in (10.0, 100.0, 11.0, 150.0, np.inf, np.inf)))
    assert own.fewest()[0] == (3, 0, "peak rise")


@given(st.floats(0.1, 100), st.floats(0.1, 100), st.floats(0.01, 1))
def test_an_even_course_of_the_fewest_weeks_holds_and_a_shorter_does_not(start, settled, rise):
    own = limits(start, settled, weekly_rise=rise, peak_rise=rise)
    weeks = own.fewest()[0][0]
    assert weeks < NEVER
    first, rest = (0.0, weeks) if not own.starting[0] else (1.0, weeks - 1)
    begin = max(float(own.first_dli[0]) if first else start, 1e-12)
    later = [begin * (settled / begin) ** (k / max(rest, 1)) for k in range(rest + 1)]
    course = np.array([[start], *([[v] for v in later] if first else [[v] for v in later[1:]])])
    assert own.excesses(course, 10 * course, tolerance=1e-4) == []
    if weeks > 1:
        shorter = course[[0, *range(2, len(course))]]
        assert own.excesses(shorter, 10 * shorter) != [] or own.starting[0]


def test_nothing_leads_out_of_the_dark_without_a_start():
    own = limits(0.0, 10.0, start_share=1e-12)
    assert own.fewest()[0][0] > 100
