"""Menus posed for tests and bench: an invented athlete's days in kitchens that are named."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from menu_foods import invented_foods

from provand.planner.menu.limits import day_limits, share_bands
from provand.planner.menu.problem import Kitchen, MealKind, MealSlot, MenuProblem

FIVE: tuple[MealKind, ...] = ("breakfast", "snack", "lunch", "snack", "dinner")


def slots_of(
    kinds: Sequence[MealKind], kitchens: Sequence[Kitchen] | Kitchen, *, day: int = 0
) -> tuple[MealSlot, ...]:
    """Return the meals of one day, each in its kitchen."""
    places = [kitchens] * len(kinds) if isinstance(kitchens, str) else kitchens
    return tuple(
        MealSlot(f"{day + 1}.{at + 1} {kind}", kind, None, day, place, low, high)  # type: ignore[arg-type]
        for at, (kind, place, (low, high)) in enumerate(zip(kinds, places, share_bands(kinds), strict=True))
    )


def posed(
    *,
    days: int = 1,
    body_mass_kg: float = 68.0,
    carb_g_per_kg: float = 10.0,
    kinds: Sequence[MealKind] = FIVE,
    kitchens: Sequence[Kitchen] | Kitchen = "full",
    max_fibre_g: float | None = None,
    **changes: Any,
) -> MenuProblem:
    """Return the problem of some days alike."""
    limit = day_limits(
        body_mass_kg=body_mass_kg, carb_g=carb_g_per_kg * body_mass_kg, max_fibre_g=max_fibre_g
    )
    slots = tuple(slot for day in range(days) for slot in slots_of(kinds, kitchens, day=day))
    given: dict[str, Any] = {"slots": slots, "days": (limit,) * days, "foods": invented_foods()} | changes
    return MenuProblem(**given)
