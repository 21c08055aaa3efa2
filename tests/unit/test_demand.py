"""What a step costs: running, or walking where that is the lesser."""

from __future__ import annotations

import pytest

from provand.estimate.demand import REST_W_PER_KG, cost_w_per_kg
from provand.physiology.cost import looney_walking_w_per_kg, minetti_running_j_per_kg_per_m


def running(speed_m_per_s: float) -> float:
    return minetti_running_j_per_kg_per_m(grade_frac=0.0) * speed_m_per_s + REST_W_PER_KG


@pytest.mark.parametrize("speed_m_per_s", [1.0, 1.4, 1.8])
def test_at_walking_speeds_walking_is_the_lesser_and_counts(speed_m_per_s: float) -> None:
    walking = looney_walking_w_per_kg(speed_m_per_s=speed_m_per_s, grade_frac=0.0)
    assert cost_w_per_kg(speed_m_per_s=speed_m_per_s, grade_frac=0.0) == walking < running(speed_m_per_s)


@pytest.mark.parametrize("speed_m_per_s", [2.0, 3.0, 4.5])
def test_above_them_running_counts(speed_m_per_s: float) -> None:
    assert cost_w_per_kg(speed_m_per_s=speed_m_per_s, grade_frac=0.0) == running(speed_m_per_s)
