"""The code of a plan is of the whole plan: a copy that is changed has another one."""

from __future__ import annotations

from plans import a_plan

from provand.record import canonical, code


def test_a_changed_copy_has_a_code_of_its_own() -> None:
    plan = a_plan()
    first = plan.code
    other = plan.model_copy(update={"basis": "what somebody else told us"})
    assert first == plan.code == code(canonical(plan))
    assert other.code == code(canonical(other)) != first
    assert plan == plan.model_copy()
