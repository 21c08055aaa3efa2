"""Under 75 minutes."""

from __future__ import annotations

from provand.planner.problem import Problem, Solution


def rinses(problem: Problem) -> Solution:
    raise NotImplementedError
