"""Forms of an equation that are in print, and wrong: none of them may meet the row of the right form."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from harness import rows

MARATHON_M = 42195.0
KM_PER_MI = 1.609344


def vickers_one(
    known_time_s: float,
    known_distance_m: float,
    training_km_per_week: float,
    *,
    exponent: float = 1.07,
    per_ten_miles: float = 0.06423826,
    km_per_mi: float = KM_PER_MI,
) -> float:
    riegel = MARATHON_M / (known_time_s * math.pow(MARATHON_M / known_distance_m, exponent))
    tens = training_km_per_week / km_per_mi / 10
    return MARATHON_M / (0.16018617 + 0.83076202 * riegel + per_ten_miles * tens)


def looney_walking(speed_m_per_s: float, grade_frac: float, *, base: float = 1.1, power: float = 4) -> float:
    percent = 100 * grade_frac
    level = 1.44 + 1.94 * math.pow(speed_m_per_s, 0.43) + 0.24 * math.pow(speed_m_per_s, power)
    return level + 0.34 * speed_m_per_s * percent * (1 - math.pow(1.05, 1 - math.pow(base, percent + 32)))


def flat_ratio_on_measured_level(grade_frac: float) -> float:
    i = grade_frac
    return (3.6 + i * (19.5 + i * (46.3 + i * (-43.3 + i * (-30.4 + i * 155.4))))) / 3.40


FORMS: dict[str, tuple[str, Callable[..., float]]] = {
    "right Vickers": ("S1-104", vickers_one),
    "coefficient of mileage tenfold": ("S1-104", lambda **x: vickers_one(**x, per_ten_miles=0.6423826)),
    "1.06 for 1.07": ("S1-104", lambda **x: vickers_one(**x, exponent=1.06)),
    "kilometres taken for miles": ("S1-104", lambda **x: vickers_one(**x, km_per_mi=1.0)),
    "right Looney": ("S2-118b", looney_walking),
    "1.11 for 1.1": ("S2-118b", lambda **x: looney_walking(**x, base=1.11)),
    "square for the fourth power": ("S2-118a", lambda **x: looney_walking(**x, power=2)),
    "air without its exponent": ("S2-109a", lambda speed_m_per_s: 0.000525542 * 3.6 * speed_m_per_s),
    "measured level cost under a fitted slope": ("S2-105e", flat_ratio_on_measured_level),
}


@pytest.mark.parametrize("name", FORMS)
def test_wrong_form_misses_and_right_form_meets_the_row(name: str) -> None:
    row_id, form = FORMS[name]
    row = next(row for row in rows() if row.id == row_id)
    assert isinstance(row.expected, float)
    assert (abs(form(**row.input) - row.expected) <= row.tolerance) == name.startswith("right")
