"""What the parts of a food come to: too much for its mass, or energy that is in the other unit."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from provand.physiology.chemistry import label_energy_kcal, label_energy_kj

SLACK_G = 2.0
"""Ours: parts are rounded and measured apart, so together they may pass the mass by this much in 100 g."""
KJ_RATIO = (3.4, 5.2)
"""Ours: energy that is so many times what the parts come to is in kJ (4.184), whatever stands beside it."""
MOST_KCAL_PER_G = 9.3
"""Pure fat holds 9, by its own factor up to 9.02; the rest is rounding."""
LEAST_KCAL = 20.0
"""Ours: below it, rounding and what is not printed decide."""


class Parts(NamedTuple):
    """Parts of a food, carbohydrate without fibre; None is unknown."""

    carb_g: float | None
    fibre_g: float | None
    fat_g: float | None
    protein_g: float | None
    polyols_g: float | None = None

    def solids_g(self) -> float:
        """Return what the known parts weigh together."""
        return sum(part or 0 for part in (self.carb_g, self.fibre_g, self.fat_g, self.protein_g))

    def _for_energy(self) -> dict[str, float]:
        polyol_g = self.polyols_g or 0.0
        return {
            "carb_g": (self.carb_g or 0.0) - polyol_g,
            "polyol_g": polyol_g,
            "erythritol_g": 0.0,
            "protein_g": self.protein_g or 0.0,
            "fat_g": self.fat_g or 0.0,
            "alcohol_g": 0.0,
            "organic_acid_g": 0.0,
            "fibre_g": self.fibre_g or 0.0,
        }

    def energy_kcal(self) -> float:
        """Return the energy of the known parts by the European rule."""
        return label_energy_kcal(**self._for_energy())

    def energy_kj(self) -> float:
        """Return the same in kJ, by its own factors."""
        return label_energy_kj(**self._for_energy())


def energy_faults(
    parts: Parts,
    *,
    mass_g: float | None,
    energy_kcal: float | None = None,
    energy_kj: float | None = None,
) -> Iterator[str]:
    """Yield what is wrong with energy as printed: more than pure fat, or that of the other unit.

    The second is seen only where carbohydrate, fat and protein are all known.
    """
    if mass_g is not None and energy_kcal is not None and energy_kcal > MOST_KCAL_PER_G * mass_g:
        yield f"{energy_kcal:.0f} kcal cannot be in {mass_g:g} g, fat itself holds less: it reads like kJ"
        return
    if None in (parts.carb_g, parts.fat_g, parts.protein_g) or parts.energy_kcal() < LEAST_KCAL:
        return
    low, high = KJ_RATIO
    if energy_kcal is not None and low <= energy_kcal / parts.energy_kcal() <= high:
        yield (
            f"{energy_kcal:.0f} kcal is about four times the {parts.energy_kcal():.0f} kcal of its parts: "
            "it reads like kJ"
        )
    if energy_kj is not None and low <= parts.energy_kj() / max(energy_kj, 0.1) <= high:
        yield (
            f"{energy_kj:.0f} kJ is about a quarter of the {parts.energy_kj():.0f} kJ of its parts: "
            "it reads like kcal"
        )
