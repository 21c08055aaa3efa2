"""After the race, and the drink before it: refilling glycogen, keeping fluid."""

from __future__ import annotations

from provand.card import equation
from provand.physiology.stores import GLYCOGEN_G_PER_MMOL

FASTED_REFILL_MMOL_PER_KG_PER_H = 6.0
"""Refilling on water alone, per kilogram of dry muscle; our estimate."""

REFILL_MMOL_PER_G = 23.0
"""Gain of refilling for each gram per kilogram and hour eaten (Craven 2021: 23.5 at 1.02)."""

MOST_USEFUL_G_PER_KG_PER_H = 1.2
"""Intake above which refilling gains nothing more (Craven 2021)."""

DRY_TO_WET_RATIO = 4.3
"""Wet muscle holds this many times the mass of its dry matter."""


@equation(
    gives="refill_mmol_per_kg_per_h",
    source="craven2021",
    at="pooled effect of eating, 23.5 (19.0 to 27.9) mmol/kg dry muscle/h at 1.02 g/kg/h",
    mark="estimate",
    population="adults after exercise that emptied their glycogen, up to 8 h",
    holds={"carb_g_per_kg_per_h": (0, 2)},
    note="after very deep depletion refilling is faster (wallis2008: 44 measured against 34)",
)
def refill_mmol_per_kg_per_h(*, carb_g_per_kg_per_h: float) -> float:
    """Return how fast muscle glycogen comes back while eating, per kilogram of dry muscle.

    Parameters: carb_g_per_kg_per_h, carbohydrate eaten per kilogram of body mass [g/kg/h].
    Returns: refilling [mmol/kg dry muscle/h].
    Equation: 6 + 23 min(I, 1.2).
    Valid range: the first 8 hours; 6 is our estimate, the slope follows the pooled effect.
    Source: Craven 2021 (10.1186/s40798-020-00297-0).

    >>> refill_mmol_per_kg_per_h(carb_g_per_kg_per_h=1.0)
    29.0
    """
    useful_g_per_kg_per_h = min(carb_g_per_kg_per_h, MOST_USEFUL_G_PER_KG_PER_H)
    return FASTED_REFILL_MMOL_PER_KG_PER_H + REFILL_MMOL_PER_G * useful_g_per_kg_per_h


@equation(
    gives="refill_g_per_h",
    source="wallis2008",
    at="dry to wet muscle, then to grams",
    mark="computed",
    population="adults; the wet-to-dry ratio of biopsies",
    holds={"refill_mmol_per_kg_per_h": (0, 60), "worked_muscle_kg": (2, 25)},
)
def refill_g_per_h(*, refill_mmol_per_kg_per_h: float, worked_muscle_kg: float) -> float:
    """Return refilling in grams for the muscle that worked.

    Parameters: refill_mmol_per_kg_per_h, per kilogram of dry muscle [mmol/kg/h];
    worked_muscle_kg, wet mass of the muscle that was emptied [kg].
    Returns: glycogen stored [g/h].
    Equation: rate / 4.3 * 0.162 * mass.
    Valid range: any; a runner's worked muscle is about a fifth of body mass.
    Source: the unit convention of Wallis 2008 (10.1249/MSS.0b013e31817e0f7e).

    >>> round(refill_g_per_h(refill_mmol_per_kg_per_h=44.0, worked_muscle_kg=10.0), 1)
    16.6
    """
    return refill_mmol_per_kg_per_h / DRY_TO_WET_RATIO * GLYCOGEN_G_PER_MMOL * worked_muscle_kg


@equation(
    gives="net_ml",
    source="shirreffs1996",
    at="medians of urine over about 7 h",
    mark="computed",
    population="twelve men after losing 2 % of body mass in the heat",
    holds={"drunk_ml": (0, 4000), "lost_ml": (0, 4000), "urine_ml": (0, 3000)},
)
def net_fluid_ml(*, drunk_ml: float, lost_ml: float, urine_ml: float) -> float:
    """Return how much fluid is above (or below) the start after drinking to replace a loss.

    Parameters: drunk_ml; lost_ml, sweat lost before; urine_ml, urine since [ml].
    Returns: net fluid [ml]; below zero is still short.
    Equation: drunk - lost - urine.
    Valid range: any.
    Source: Shirreffs 1996 (MSSE 28:1260) for the rows.

    >>> net_fluid_ml(drunk_ml=1545.0, lost_ml=1545.0, urine_ml=493.0)
    -493.0
    """
    return drunk_ml - lost_ml - urine_ml


@equation(
    gives="kept_frac",
    source="shirreffs1996",
    at="medians of urine over about 7 h",
    mark="computed",
    population="twelve men after losing 2 % of body mass in the heat",
    holds={"drunk_ml": (200, 4000), "urine_ml": (0, 3000)},
)
def kept_fluid_frac(*, drunk_ml: float, urine_ml: float) -> float:
    """Return the share of a drink that stays in the body.

    Parameters: drunk_ml; urine_ml, urine since [ml].
    Returns: share kept [of 1].
    Equation: 1 - urine / drunk.
    Valid range: any drink; a person who was not short of water keeps less.
    Source: Shirreffs 1996 (MSSE 28:1260), Maughan 2016 (10.3945/ajcn.115.114769).

    >>> round(kept_fluid_frac(drunk_ml=1545.0, urine_ml=493.0), 2)
    0.68
    """
    return 1 - urine_ml / drunk_ml


@equation(
    gives="drink_ml",
    source="sawka2007",
    at="before exercise: 5 to 7 ml/kg at least 4 h before, 3 to 5 ml/kg more about 2 h before",
    mark="read2",
    population="adults",
    holds={"dose_ml_per_kg": (3, 10), "body_mass_kg": (40, 120)},
)
def pre_race_drink_ml(*, dose_ml_per_kg: float, body_mass_kg: float) -> float:
    """Return the drink before exercise for a dose per kilogram.

    Parameters: dose_ml_per_kg [ml/kg]; body_mass_kg [kg].
    Returns: drink [ml].
    Equation: dose * mass.
    Valid range: the second dose only if no urine came or it was dark.
    Source: ACSM 2007 (10.1249/mss.0b013e31802ca597).

    >>> pre_race_drink_ml(dose_ml_per_kg=5.0, body_mass_kg=70.0)
    350.0
    """
    return dose_ml_per_kg * body_mass_kg
