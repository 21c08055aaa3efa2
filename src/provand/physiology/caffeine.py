"""Caffeine in the body: one compartment, taken up and cleared at first order; doses add.

For stacking doses and for what is left at bedtime; it says nothing of performance. An equation starts at
its own dose: whoever adds doses leaves out those not yet taken.
"""

from __future__ import annotations

import math

from provand.card import equation

ADULTS = "adults given 50 to 750 mg; people differ threefold"


@equation(
    gives="caffeine_mg",
    source="newton1981",
    at="one compartment, first order; linear over 50 to 750 mg",
    mark="read",
    population=ADULTS,
    holds={
        "dose_mg": (0, 400),
        "available_frac": (0.6, 1),
        "absorption_per_h": (1.2, 5),
        "half_life_h": (1.5, 11),
        "elapsed_h": (0, 24),
    },
    turns=("elapsed_h", "absorption_per_h"),
    note="fluvoxamine and late pregnancy lengthen the half-life far beyond this range",
)
def caffeine_in_body_mg(
    *, dose_mg: float, available_frac: float, absorption_per_h: float, half_life_h: float, elapsed_h: float
) -> float:
    """Return the caffeine in the body some time after a dose.

    Parameters: dose_mg [mg]; available_frac, share that reaches the blood [of 1]; absorption_per_h, ka
    [1/h]; half_life_h [h]; elapsed_h, time since the dose, not below 0 [h].
    Returns: amount [mg].
    Equation: F D ka / (ka - ke) (exp(-ke t) - exp(-ka t)), ke = ln 2 / half-life, written so that
    ka = ke gives its limit F D ke t exp(-ke t).
    Valid range: 50 to 750 mg; ka 4.94 for a solution, 3.2 to 4.0 for gum, 1.3 to 2.4 for a capsule.
    Source: the textbook form; Newton 1981 (10.1007/BF00609587) for linearity.

    >>> round(caffeine_in_body_mg(dose_mg=100.0, available_frac=1.0, absorption_per_h=4.0,
    ...     half_life_h=5.0, elapsed_h=1.0), 1)
    88.3
    """
    elimination = math.log(2) / half_life_h
    x = (absorption_per_h - elimination) * elapsed_h
    taken_up = absorption_per_h * elapsed_h * (-math.expm1(-x) / x if x else 1.0)
    return available_frac * dose_mg * taken_up * math.exp(-elimination * elapsed_h)


@equation(
    gives="caffeine_mg_per_l",
    source="newton1981",
    at="amount over volume of distribution",
    mark="read",
    population=ADULTS,
    holds={"in_body_mg": (0, 600), "body_mass_kg": (40, 120), "volume_l_per_kg": (0.5, 0.75)},
)
def caffeine_mg_per_l(*, in_body_mg: float, body_mass_kg: float, volume_l_per_kg: float) -> float:
    """Return the concentration of caffeine in plasma.

    Parameters: in_body_mg, amount in the body [mg]; body_mass_kg [kg];
    volume_l_per_kg, volume of distribution [L/kg].
    Returns: concentration [mg/L].
    Equation: amount / (V m).
    Valid range: volume 0.5 to 0.75 L/kg.
    Source: Newton 1981 (10.1007/BF00609587).

    >>> caffeine_mg_per_l(in_body_mg=210.0, body_mass_kg=70.0, volume_l_per_kg=0.6)
    5.0
    """
    return in_body_mg / (volume_l_per_kg * body_mass_kg)


@equation(
    gives="peak_h",
    source="newton1981",
    at="slope of the one-compartment curve is zero",
    mark="computed",
    population=ADULTS,
    holds={"absorption_per_h": (1.2, 5), "half_life_h": (1.5, 11)},
)
def caffeine_peak_h(*, absorption_per_h: float, half_life_h: float) -> float:
    """Return the time from a dose to the most caffeine in the body.

    Parameters: absorption_per_h, ka [1/h]; half_life_h [h].
    Returns: time [h].
    Equation: ln(ka / ke) / (ka - ke).
    Valid range: uptake faster than clearance.
    Source: the textbook form.

    >>> round(60 * caffeine_peak_h(absorption_per_h=3.5, half_life_h=5.5))
    59
    """
    elimination = math.log(2) / half_life_h
    return math.log(absorption_per_h / elimination) / (absorption_per_h - elimination)


@equation(
    gives="exposure_mg_h_per_l",
    source="newton1981",
    at="area under the curve",
    mark="computed",
    population=ADULTS,
    holds={
        "dose_mg_per_kg": (0, 6),
        "available_frac": (0.6, 1),
        "half_life_h": (1.5, 11),
        "volume_l_per_kg": (0.5, 0.75),
    },
)
def caffeine_exposure_mg_h_per_l(
    *, dose_mg_per_kg: float, available_frac: float, half_life_h: float, volume_l_per_kg: float
) -> float:
    """Return the whole exposure to a dose: concentration summed over time.

    Parameters: dose_mg_per_kg [mg/kg]; available_frac [of 1]; half_life_h [h]; volume_l_per_kg [L/kg].
    Returns: area under the curve [mg h/L].
    Equation: F D / CL, CL = ln 2 V / half-life.
    Valid range: as the curve.
    Source: the textbook form.

    >>> round(caffeine_exposure_mg_h_per_l(dose_mg_per_kg=2.5, available_frac=1.0, half_life_h=5.5,
    ...     volume_l_per_kg=0.62), 1)
    32.0
    """
    clearance_l_per_kg_per_h = math.log(2) * volume_l_per_kg / half_life_h
    return available_frac * dose_mg_per_kg / clearance_l_per_kg_per_h


@equation(
    gives="half_life_h",
    source="parsons1978",
    at="clearance and volume, smokers and others",
    mark="computed",
    population="adults",
    holds={"volume_l_per_kg": (0.4, 0.9), "clearance_l_per_kg_per_h": (0.03, 0.2)},
    note="the mean half-life of a group is not this of its mean clearance and volume: use one pair",
)
def half_life_from_clearance_h(*, volume_l_per_kg: float, clearance_l_per_kg_per_h: float) -> float:
    """Return the half-life that a volume and a clearance make together.

    Parameters: volume_l_per_kg [L/kg]; clearance_l_per_kg_per_h [L/kg/h].
    Returns: half-life [h].
    Equation: ln 2 V / CL.
    Valid range: one person; for means of groups it misses what they report by up to a quarter.
    Source: the textbook form; Parsons 1978 (10.1002/cpt197824140) for the rows.

    >>> round(half_life_from_clearance_h(volume_l_per_kg=0.72, clearance_l_per_kg_per_h=0.155), 2)
    3.22
    """
    return math.log(2) * volume_l_per_kg / clearance_l_per_kg_per_h


@equation(
    gives="left_frac",
    source="newton1981",
    at="first-order clearance alone",
    mark="computed",
    population=ADULTS,
    holds={"half_life_h": (1.5, 11), "elapsed_h": (0, 24)},
)
def caffeine_left_frac(*, half_life_h: float, elapsed_h: float) -> float:
    """Return the share of an absorbed dose that is still in the body.

    Parameters: half_life_h [h]; elapsed_h [h].
    Returns: share [of 1].
    Equation: 2^(-t / half-life).
    Valid range: two hours and more after a dose.
    Source: the textbook form.

    >>> round(caffeine_left_frac(half_life_h=5.5, elapsed_h=8.0), 3)
    0.365
    """
    return math.exp(-math.log(2) * elapsed_h / half_life_h)


@equation(
    gives="caffeine_mg",
    source="guest2021",
    at="dose per kilogram, held to a limit in milligrams (efsa2015)",
    mark="read2",
    population="adults; minors and pregnancy have their own limits",
    holds={"dose_mg_per_kg": (0, 6), "body_mass_kg": (40, 120), "max_dose_mg": (0, 400)},
)
def allowed_caffeine_mg(*, dose_mg_per_kg: float, body_mass_kg: float, max_dose_mg: float) -> float:
    """Return a dose per kilogram in milligrams, held to a safe limit.

    Parameters: dose_mg_per_kg [mg/kg]; body_mass_kg [kg]; max_dose_mg, 200 at once or 400 a day for
    adults [mg].
    Returns: dose [mg].
    Equation: min(dose * mass, limit).
    Valid range: healthy adults; the limit and the 3 mg/kg range meet at 66.7 kg.
    Source: Guest 2021 (10.1186/s12970-020-00383-4) and EFSA 2015 (10.2903/j.efsa.2015.4102).

    >>> allowed_caffeine_mg(dose_mg_per_kg=4.0, body_mass_kg=85.0, max_dose_mg=200.0)
    200.0
    """
    return min(dose_mg_per_kg * body_mass_kg, max_dose_mg)


@equation(
    gives="caffeine_mg",
    source="usda2016",
    at="caffeine per 100 g",
    mark="read",
    population="foods of the table; brewed drinks vary about twofold",
    holds={"portion_g": (0, 1000), "caffeine_mg_per_g": (0, 40)},
)
def portion_caffeine_mg(*, portion_g: float, caffeine_mg_per_g: float) -> float:
    """Return the caffeine of a portion.

    Parameters: portion_g [g]; caffeine_mg_per_g, of the food [mg/g].
    Returns: caffeine [mg].
    Equation: mass * content.
    Valid range: any food; decaffeinated is not zero.
    Source: USDA Standard Reference.

    >>> round(portion_caffeine_mg(portion_g=237.0, caffeine_mg_per_g=0.40), 1)
    94.8
    """
    return portion_g * caffeine_mg_per_g
