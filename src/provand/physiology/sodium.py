"""Sodium in sweat and blood: patch to whole body, where serum sodium goes, the sodium line of the ceiling."""

from __future__ import annotations

from provand.card import equation

OSMOTIC_OFFSET_MMOL_PER_L = 23.8
"""Intercept of the Nguyen-Kurtz regression."""

CATION_SLOPE_RATIO = 1.03
"""Slope of the Nguyen-Kurtz regression."""

HELD_SODIUM_MMOL_PER_L = 140.0
"""The level that the sodium share holds."""


@equation(
    gives="sodium_mmol_per_l",
    source="baker2016",
    at="regression of whole-body washdown on forearm patch",
    mark="read",
    population="athletes; forearm patch 12.6 to 104.8 mmol/L",
    holds={"forearm_mmol_per_l": (12.6, 104.8)},
    note="for the forearm only: a patch elsewhere has another bias and no equation here",
)
def whole_body_sodium_mmol_per_l(*, forearm_mmol_per_l: float) -> float:
    """Return the sodium of whole-body sweat from a forearm patch.

    Parameters: forearm_mmol_per_l, sodium in the patch [mmol/L].
    Returns: sodium of whole-body sweat [mmol/L].
    Equation: 0.57 x + 11.05.
    Valid range: 12.6 to 104.8 mmol/L; limits of agreement about 12 to 17 mmol/L either way.
    Source: Baker 2016 (10.1080/02640414.2015.1055291).

    >>> round(whole_body_sodium_mmol_per_l(forearm_mmol_per_l=43.6), 1)
    35.9
    """
    return 0.57 * forearm_mmol_per_l + 11.05


@equation(
    gives="body_water_l",
    source="weschler2005",
    at="share of body mass",
    mark="memory",
    population="adults: 0.6 for men, 0.5 for women",
    holds={"body_mass_kg": (40, 120), "water_frac": (0.45, 0.65)},
)
def body_water_l(*, body_mass_kg: float, water_frac: float) -> float:
    """Return the water of the body.

    Parameters: body_mass_kg [kg]; water_frac, share of it that is water [of 1].
    Returns: body water [L].
    Equation: share * mass.
    Valid range: adults; lean athletes hold more.
    Source: textbook shares, 0.6 men and 0.5 women.

    >>> body_water_l(body_mass_kg=70.0, water_frac=0.6)
    42.0
    """
    return water_frac * body_mass_kg


@equation(
    gives="sodium_mmol_per_l",
    source="weschler2005",
    at="Nguyen-Kurtz equation",
    mark="read",
    population="patients; root mean square error 4.8 to 6.4 mmol/L",
    holds={
        "start_sodium_mmol_per_l": (130, 150),
        "body_water_l": (20, 70),
        "water_gain_l": (-4, 4),
        "cation_gain_mmol": (-500, 500),
    },
    note="a direction, not a forecast for one person; never shown as odds of low sodium",
)
def serum_sodium_mmol_per_l(
    *, start_sodium_mmol_per_l: float, body_water_l: float, water_gain_l: float, cation_gain_mmol: float
) -> float:
    """Return where serum sodium goes when water and salts come and go.

    Parameters: start_sodium_mmol_per_l, before [mmol/L]; body_water_l, before [L];
    water_gain_l, drunk less lost [L]; cation_gain_mmol, sodium and potassium in less out [mmol].
    Returns: serum sodium after [mmol/L].
    Equation: ((Na1 + 23.8) TBW + 1.03 dE) / (TBW + dTBW) - 23.8.
    Valid range: hours; stores of sodium in bone and skin are left out.
    Source: Nguyen-Kurtz in Weschler 2005 (PMID 16180947).

    >>> round(serum_sodium_mmol_per_l(start_sodium_mmol_per_l=140.0, body_water_l=38.0,
    ...     water_gain_l=1.5, cation_gain_mmol=0.0), 2)
    133.78
    """
    pool_mmol = (start_sodium_mmol_per_l + OSMOTIC_OFFSET_MMOL_PER_L) * body_water_l
    after_l = body_water_l + water_gain_l
    return (pool_mmol + CATION_SLOPE_RATIO * cation_gain_mmol) / after_l - OSMOTIC_OFFSET_MMOL_PER_L


@equation(
    gives="share_ratio",
    source="weschler2005",
    at="Nguyen-Kurtz solved for the sodium put back",
    mark="computed",
    population="athletes at 140 mmol/L",
    holds={
        "sweat_sodium_mmol_per_l": (10, 100),
        "sweat_potassium_mmol_per_l": (2, 8),
        "drunk_frac": (0, 1.2),
    },
)
def sodium_share_ratio(
    *, sweat_sodium_mmol_per_l: float, sweat_potassium_mmol_per_l: float, drunk_frac: float
) -> float:
    """Return the share of sweat sodium to put back so that serum sodium stays at 140 mmol/L.

    Parameters: sweat_sodium_mmol_per_l, sweat_potassium_mmol_per_l [mmol/L];
    drunk_frac, share of the sweat that is drunk [of 1].
    Returns: share [ratio]; 0 or less: none needed.
    Equation: (Na + K - (1 - f) 163.8 / 1.03) / Na.
    Valid range: says nothing of need: sodium taken in races did not change serum sodium in trials.
    Source: our solution of the equation in Weschler 2005.

    >>> round(sodium_share_ratio(sweat_sodium_mmol_per_l=40.0, sweat_potassium_mmol_per_l=4.0,
    ...     drunk_frac=0.9), 3)
    0.702
    """
    held = (HELD_SODIUM_MMOL_PER_L + OSMOTIC_OFFSET_MMOL_PER_L) / CATION_SLOPE_RATIO
    cations_mmol_per_l = sweat_sodium_mmol_per_l + sweat_potassium_mmol_per_l
    return (cations_mmol_per_l - (1 - drunk_frac) * held) / sweat_sodium_mmol_per_l


@equation(
    gives="line_l",
    source="weschler2005",
    at="Nguyen-Kurtz solved for the fluid that brings serum sodium to its lower limit",
    mark="computed",
    population="athletes; the equation errs by 4.8 to 6.4 mmol/L",
    holds={
        "sweat_loss_l": (0, 10),
        "start_sodium_mmol_per_l": (135, 145),
        "low_sodium_mmol_per_l": (125, 140),
        "sweat_sodium_mmol_per_l": (10, 100),
        "sweat_potassium_mmol_per_l": (2, 8),
        "body_water_l": (20, 70),
    },
    note="no sodium that is eaten or drunk enters: salt cannot raise the line",
)
def sodium_line_l(
    *,
    sweat_loss_l: float,
    start_sodium_mmol_per_l: float,
    low_sodium_mmol_per_l: float,
    sweat_sodium_mmol_per_l: float,
    sweat_potassium_mmol_per_l: float,
    body_water_l: float,
) -> float:
    """Return the fluid at which serum sodium would reach its lower limit: the sodium line of the ceiling.

    Parameters: sweat_loss_l, so far, low estimate [L]; start_sodium_mmol_per_l, before the race;
    low_sodium_mmol_per_l, the lower limit; sweat_sodium_mmol_per_l, high estimate;
    sweat_potassium_mmol_per_l [mmol/L]; body_water_l, low estimate [L].
    Returns: fluid since the last toilet before the start [L]; may be below zero late in a salty race.
    Equation: S + ((Na0 - Na1) TBW - 1.03 S (cNa + cK)) / (Na1 + 23.8).
    Valid range: a limit, never a target; thirst leads.
    Source: our solution of the equation in Weschler 2005 (PMID 16180947).

    >>> round(sodium_line_l(sweat_loss_l=6.0, start_sodium_mmol_per_l=140.0, low_sodium_mmol_per_l=135.0,
    ...     sweat_sodium_mmol_per_l=61.0, sweat_potassium_mmol_per_l=4.0, body_water_l=40.0), 2)
    4.73
    """
    spare_mmol = (start_sodium_mmol_per_l - low_sodium_mmol_per_l) * body_water_l
    sweat_mmol = sweat_loss_l * (sweat_sodium_mmol_per_l + sweat_potassium_mmol_per_l)
    per_litre = low_sodium_mmol_per_l + OSMOTIC_OFFSET_MMOL_PER_L
    return sweat_loss_l + (spare_mmol - CATION_SLOPE_RATIO * sweat_mmol) / per_litre
