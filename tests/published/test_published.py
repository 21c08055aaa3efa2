"""Every equation meets the numbers that somebody published, or says that it does not."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise
from random import Random

import pytest
from harness import ANCHORED, Row, experiments, rows

from provand.card import Card, function_of, sources
from provand.physiology import all_cards

CARDS = all_cards()
POINTS = 30
STEPS = 9


MET = [pytest.param(row, id=row.id) for row in rows() if not row.known_failure]
MISSED = [pytest.param(row, id=row.id) for row in rows() if row.known_failure]


def _off(row: Row) -> float:
    """Return how far the equation is from the published number, in its tolerances."""
    assert isinstance(row.expected, float)
    return abs(row.value() - row.expected) / row.tolerance


@pytest.mark.parametrize("row", MET)
def test_row_is_met(row: Row) -> None:
    assert _off(row) <= 1, f"{row.value():.8g} for {row.expected:.8g}: {row.source}, {row.at}"


@pytest.mark.parametrize("row", MISSED)
def test_row_that_is_known_to_be_missed_is_still_missed(row: Row) -> None:
    assert _off(row) > 1, f"{row.value():.8g} meets {row.expected:.8g}: drop known_failure from {row.id}"


def test_ids_are_unique() -> None:
    assert [name for name, count in Counter(row.id for row in rows()).items() if count > 1] == []


@pytest.mark.parametrize("row", [pytest.param(row, id=row.id) for row in rows()])
def test_row_has_a_source(row: Row) -> None:
    assert row.source in sources()


@pytest.mark.parametrize("name", sorted(CARDS))
def test_card_has_a_row_and_a_source(name: str) -> None:
    assert CARDS[name].source in sources()
    assert any(row.equation == name for row in rows())


def test_every_experiment_has_a_row() -> None:
    assert set(experiments()) - {row.experiment for row in rows()} == set()


def test_enough_rows_and_enough_of_them_on_somebody_elses_number() -> None:
    met = [row for row in rows() if not row.known_failure]
    assert len(met) >= 120
    assert sum(row.anchor in ANCHORED for row in met) >= 40


def _box(card: Card) -> dict[str, tuple[float, float]]:
    """Return where to sample each parameter: the range of its source, or half to twice what rows give."""
    box = {}
    for parameter in card.parameters:
        given = [row.input[parameter] for row in rows() if row.equation == card.name]
        ends = [factor * value for value in given if isinstance(value, float) for factor in (0.5, 2.0)]
        box[parameter] = card.holds.get(parameter) or (min(ends), max(ends))
    return box


@pytest.mark.parametrize(
    "name", sorted(name for name in CARDS if any(row.equation == name for row in rows()))
)
def test_equation_is_finite_and_turns_only_where_its_card_says(name: str) -> None:
    card, function, box, random = CARDS[name], function_of(name), _box(CARDS[name]), Random(name)
    for _ in range(POINTS):
        point = {parameter: random.uniform(*ends) for parameter, ends in box.items()}
        for parameter, (low, high) in box.items():
            along = [
                function(**{**point, parameter: low + (high - low) * step / (STEPS - 1)})
                for step in range(STEPS)
            ]
            assert all(map(math.isfinite, along)), (parameter, point)
            if parameter not in card.turns:
                slack = 1e-12 * max(map(abs, along))
                up = all(b >= a - slack for a, b in pairwise(along))
                down = all(b <= a + slack for a, b in pairwise(along))
                assert up or down, (parameter, point, along)
