"""Which figures this plan's readers must not see: the parts withheld, and weights for who is to see none."""

from __future__ import annotations

from provand.plan.document import Plan
from provand.plan.withheld import is_hidden
from provand.units import unit_of

_WEIGHTS = {"g", "kg", "mg", "kcal", "kj"}


def hides(plan: Plan, figure_id: str) -> bool:
    """Return whether a figure, or a rule by what it gives, belongs to a part that this plan withholds."""
    if "grams" in plan.withheld and _WEIGHTS & set((unit_of(figure_id) or "").split("/")):
        return True
    return is_hidden(figure_id, plan.withheld)
