"""How labels round what they print; halves go up.

European figures follow the guidance of 2012 to Regulation 1169/2011 (eu2012, quoted second-hand), American
ones 21 CFR 101.9 (c) (cfr101). A printed figure therefore stands for every content that prints so.
"""

from __future__ import annotations

import math


def _to(amount: float, multiple: float) -> str:
    """Return an amount rounded to a multiple, as text without idle zeros."""
    return f"{round(math.floor(amount / multiple + 0.5 + 1e-9) * multiple, 6):g}"


def eu_printed_energy(*, energy_kcal: float) -> str:
    """Return energy as a European label prints it: to 1 kcal (or kJ)."""
    return _to(energy_kcal, 1)


def eu_printed_grams(*, part_g: float) -> str:
    """Return carbohydrate, sugars, fat, protein or fibre as a European label prints it.

    >>> eu_printed_grams(part_g=10.4), eu_printed_grams(part_g=9.94), eu_printed_grams(part_g=0.5)
    ('10', '9.9', '0')
    """
    if part_g <= 0.5:
        return "0"
    return _to(part_g, 1 if part_g >= 10 else 0.1)


def eu_printed_salt(*, salt_g: float) -> str:
    """Return salt as a European label prints it.

    >>> eu_printed_salt(salt_g=1.24), eu_printed_salt(salt_g=0.314), eu_printed_salt(salt_g=0.012)
    ('1.2', '0.31', '0')
    """
    if salt_g < 0.0125:
        return "0"
    return _to(salt_g, 0.1 if salt_g >= 1 else 0.01)


def us_printed_energy(*, energy_kcal: float) -> str:
    """Return calories as an American label prints them.

    >>> us_printed_energy(energy_kcal=47.0), us_printed_energy(energy_kcal=52.0)
    ('45', '50')
    """
    if energy_kcal < 5:
        return "0"
    return _to(energy_kcal, 5 if energy_kcal <= 50 else 10)


def us_printed_sodium(*, sodium_mg: float) -> str:
    """Return sodium as an American label prints it.

    >>> us_printed_sodium(sodium_mg=138.0), us_printed_sodium(sodium_mg=143.0)
    ('140', '140')
    """
    if sodium_mg < 5:
        return "0"
    return _to(sodium_mg, 5 if sodium_mg <= 140 else 10)


def us_printed_grams(*, part_g: float) -> str:
    """Return carbohydrate, fibre, sugars or protein as an American label prints it.

    >>> us_printed_grams(part_g=0.7), us_printed_grams(part_g=23.5)
    ('less than 1', '24')
    """
    if part_g < 0.5:
        return "0"
    return _to(part_g, 1) if part_g >= 1 else "less than 1"


def us_printed_fat(*, fat_g: float) -> str:
    """Return fat as an American label prints it.

    >>> us_printed_fat(fat_g=0.4), us_printed_fat(fat_g=2.3), us_printed_fat(fat_g=7.6)
    ('0', '2.5', '8')
    """
    if fat_g < 0.5:
        return "0"
    return _to(fat_g, 0.5 if fat_g < 5 else 1)
