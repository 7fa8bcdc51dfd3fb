"""The solve seam against published optima: it must find them, prove them, and say when there is none."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
import pytest

from lightplan.choose.program import Program
from lightplan.choose.solver import Answer, solve

# Fourer, Gay, Kernighan, AMPL: A Modeling Language for Mathematical Programming, 2nd edition, chapter 2, the diet
# problem (diet2): price in dollars a package; per cent of a day's need of vitamins A, C, B1 and B2, milligrams of
# sodium, and calories in a package. Between 2 and 10 packages of each food, for a week.
FOODS = {
    "beef": (3.19, 60, 20, 10, 15, 938, 295),
    "chicken": (2.59, 8, 0, 20, 20, 2180, 770),
    "fish": (2.29, 8, 10, 15, 10, 945, 440),
    "ham": (2.89, 40, 40, 35, 10, 278, 430),
    "macaroni and cheese": (1.89, 15, 35, 15, 15, 1182, 315),
    "meat loaf": (1.99, 70, 30, 15, 15, 896, 400),
    "spaghetti": (1.99, 25, 50, 25, 15, 1329, 370),
    "turkey": (2.49, 60, 20, 15, 10, 1397, 450),
}
VITAMINS = (700, 20000)
CALORIES = (16000, 24000)

# Hillier, Lieberman, Introduction to Operations Research, binary integer programming, Table 12.4 (Southwestern
# Airways): cost of each of 12 sequences of flights in thousands of dollars, and which sequences cover each of the 11
# flights.
SEQUENCE_COSTS = (2, 3, 4, 6, 7, 5, 7, 8, 9, 9, 8, 9)
FLIGHTS = (
    (1, 4, 7, 10),
    (2, 5, 8, 11),
    (3, 6, 9, 12),
    (4, 7, 9, 10, 12),
    (1, 6, 10, 11),
    (4, 5, 9),
    (7, 8, 10, 11, 12),
    (2, 4, 5, 9),
    (5, 8, 11),
    (3, 7, 8, 12),
    (6, 9, 10, 11, 12),
)
CREWS = 3


@dataclass(frozen=True)
class Published:
    """A published optimum and how far from it an answer may be."""

    value: float
    within: float


LEAST_DIET = Published(118.0594032, 1e-6)  # AMPL book, chapter 2: sodium raised to 50,000 mg
LEAST_WHOLE_DIET = Published(119.30, 1e-9)  # the same in whole packages; the text: about 1.24 above the former
LEAST_CREW_COST = Published(18.0, 1e-9)  # Hillier, Lieberman, as above; reached by two sets of sequences


def diet(sodium: float, *, whole: bool) -> Program:
    program = Program()
    for price, *_ in FOODS.values():
        program.column(2.0, 10.0, cost=price, whole=whole)
    spans = [VITAMINS, VITAMINS, VITAMINS, VITAMINS, (0, sodium), CALORIES]
    for number, (low, high) in enumerate(spans, start=1):
        program.row(range(len(FOODS)), [float(food[number]) for food in FOODS.values()], low, high)
    return program


def crews(*, count: bool = True) -> Program:
    program = Program()
    for cost in SEQUENCE_COSTS:
        program.column(0.0, 1.0, cost=float(cost), whole=True)
    for flight in FLIGHTS:
        program.row([sequence - 1 for sequence in flight], [1.0] * len(flight), low=1.0)
    if count:
        program.row(range(len(SEQUENCE_COSTS)), [1.0] * len(SEQUENCE_COSTS), CREWS, CREWS)
    return program


def proves(answer: Answer, published: Published) -> bool:
    """True where the optimum was found and the bound says that nothing is better."""
    near = [abs(x - published.value) <= published.within + 1e-9 for x in (answer.objective, answer.bound)]
    return answer.outcome == "optimal" and all(near)


def packages(answer: Answer) -> dict[str, float]:
    assert answer.values is not None
    return dict(zip(FOODS, answer.values.tolist(), strict=True))


def test_diet_in_parts_of_packages() -> None:
    answer = solve(diet(50_000, whole=False))
    assert proves(answer, LEAST_DIET)
    bought = packages(answer)
    # AMPL book, chapter 2, the solution listed there
    assert bought["beef"] == pytest.approx(5.36061, abs=5e-6)
    assert bought["spaghetti"] == pytest.approx(9.30605, abs=5e-6)


def test_diet_in_whole_packages() -> None:
    answer = solve(diet(50_000, whole=True))
    assert proves(answer, LEAST_WHOLE_DIET)
    assert LEAST_WHOLE_DIET.value - LEAST_DIET.value == pytest.approx(1.24, abs=0.005)
    # AMPL book, chapter 2: the packages in its order of the foods
    assert [round(n) for n in packages(answer).values()] == [9, 2, 2, 8, 10, 10, 7, 2]


@pytest.mark.parametrize("whole", [False, True])
def test_diet_with_little_sodium_is_infeasible(whole: bool) -> None:
    # AMPL book, chapter 2: no diet meets the limit of 40,000 mg
    answer = solve(diet(40_000, whole=whole))
    assert answer.outcome == "infeasible"
    assert not answer.has_solution


def test_diet_within_a_gap_is_no_worse_than_the_gap_says() -> None:
    answer = solve(diet(50_000, whole=True), gap=0.05)
    assert answer.bound <= LEAST_WHOLE_DIET.value + 1e-9
    assert LEAST_WHOLE_DIET.value - 1e-9 <= answer.objective <= LEAST_WHOLE_DIET.value / (1 - 0.05)


@pytest.mark.parametrize("count", [True, False])
def test_crews_cover_all_flights(count: bool) -> None:
    answer = solve(crews(count=count))
    assert proves(answer, LEAST_CREW_COST)
    assert answer.values is not None
    chosen = {int(n) + 1 for n in np.flatnonzero(answer.values > 0.5)}
    assert all(chosen & set(flight) for flight in FLIGHTS)


def test_crew_data_are_as_published() -> None:
    """The table was typed in: trying all triples gives the published optimum, and its tie."""
    covering = [
        triple
        for triple in itertools.combinations(range(1, 13), CREWS)
        if all(set(triple) & set(flight) for flight in FLIGHTS)
    ]
    costs = {triple: sum(SEQUENCE_COSTS[s - 1] for s in triple) for triple in covering}
    least = min(costs.values())
    assert least == LEAST_CREW_COST.value
    assert {t for t, cost in costs.items() if cost == least} == {(3, 4, 11), (1, 5, 12)}


def test_cut_off_hides_no_better_solution() -> None:
    """Below a cut-off under the optimum there is nothing; above it, the optimum is found as without one."""
    under = solve(crews(), cutoff=LEAST_CREW_COST.value - 0.5)
    assert under.outcome == "infeasible" or under.objective >= LEAST_CREW_COST.value - 1e-9
    over = solve(crews(), cutoff=LEAST_CREW_COST.value + 0.5)
    assert math.isclose(over.objective, LEAST_CREW_COST.value)
