"""The bench of the schedule: both rows hold on the invented half, and the hand is a real rival."""

from __future__ import annotations

from schedule import invented_inputs, race_schedule

from provand.planner.check import judge
from provand.planner.greedy import greedy
from provand.planner.race import best_line, pose


def test_the_rows_hold() -> None:
    ratios = race_schedule()
    assert [ratio.holds for ratio in ratios] == [True, True]
    assert ratios[1].ratio == 0.0


def test_the_greedy_hand_lays_a_schedule_that_keeps_every_limit() -> None:
    problem = pose(invented_inputs())
    schedule = greedy(problem)
    assert len(schedule) >= 3
    assert judge(problem, schedule, best_line(problem, schedule)).broken == ()
