"""What a day and a meal are held to, from body mass and the target of the day (data: our assumptions)."""

from __future__ import annotations

from collections.abc import Sequence

from provand.planner.menu.problem import DayLimit
from provand.protocol.rules import value


def day_limits(
    *, body_mass_kg: float | None, carb_g: float | None, max_fibre_g: float | None = None
) -> DayLimit:
    """Return what one day is held to.

    Without a body mass there is no limit of fat or protein; `max_fibre_g` is that of a rule, where one is
    to be followed.
    """
    mass_kg, protein = body_mass_kg, value("menu.protein")
    return DayLimit(
        carb_g=carb_g,
        carb_tolerance_frac=value("menu.carb_tolerance").mid,
        max_fibre_g=value("menu.fibre").high if max_fibre_g is None else max_fibre_g,
        max_fat_g=None if mass_kg is None else value("menu.fat").high * mass_kg,
        min_protein_g=None if mass_kg is None else protein.low * mass_kg,
        max_protein_g=None if mass_kg is None else protein.high * mass_kg,
        max_meal_g=value("menu.meal").high,
        max_sweet_drinks=round(value("menu.sweet_drinks").high),
    )


def share_bands(kinds: Sequence[str]) -> tuple[tuple[float, float], ...]:
    """Return the least and the most of the day's carbohydrate that each of its meals may hold."""
    shares = [_share(kind) for kind in kinds]
    band, whole = value("menu.share_band"), sum(shares)
    return tuple((band.low * share / whole, min(1.0, band.high * share / whole)) for share in shares)


def _share(kind: str) -> float:
    shares = {
        "breakfast": value("menu.breakfast"),
        "snack": value("menu.snack"),
        "lunch": value("menu.lunch"),
        "dinner": value("menu.dinner"),
    }
    return shares[kind].mid
