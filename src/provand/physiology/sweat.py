"""Sweat: from the heat balance to litres, from a weighed test to a rate, from one day to another."""

from __future__ import annotations

import math

from provand.card import equation
from provand.physiology.heat_balance import WORKERS, core_temp_c, heat_balance

SWEAT_G_PER_W_PER_H = 2.67 / 1.8
"""Grams of sweat an hour for each watt of required sweating (ISO 7933)."""

METABOLIC_LOSS_KG_PER_KCAL = 0.00020
"""Mass lost as carbon dioxide and breath water for each kilocalorie burned (cheuvront2017)."""

BETWEEN_RUNNERS_SIGMA_RATIO = 0.32
"""Logarithmic spread of sweat rates about the heat balance: 0.22 to 0.33 between runners, about 0.20
for the model; our estimate."""

REPEAT_SIGMA_RATIO = 0.13
"""Logarithmic spread of repeated tests in like conditions (from smith2021)."""

SIGMA_PER_C_RATIO = 0.02
"""Doubt added for each degree between test and race; our estimate."""


@equation(
    gives="sweat_l_per_h",
    source="iso7933",
    at="sweat mass from watts",
    mark="pkg",
    population=WORKERS,
    holds={"required_sweat_w_per_m2": (0, 900), "body_surface_m2": (1.2, 2.6)},
)
def sweat_rate_l_per_h(*, required_sweat_w_per_m2: float, body_surface_m2: float) -> float:
    """Return the sweat rate of a whole body; a litre weighs a kilogram.

    Parameters: required_sweat_w_per_m2 [W/m2]; body_surface_m2 [m2].
    Returns: sweat rate [L/h].
    Equation: SW * 2.67 / 1.8 * A / 1000.
    Valid range: any.
    Source: ISO 7933:2023.

    >>> round(sweat_rate_l_per_h(required_sweat_w_per_m2=284.16, body_surface_m2=1.8434), 3)
    0.777
    """
    return required_sweat_w_per_m2 * SWEAT_G_PER_W_PER_H * body_surface_m2 / 1000


@equation(
    gives="sweat_l_per_h",
    source="iso7933",
    at="required sweat rate at steady state, bare-skin temperature, core temperature of steady work",
    mark="estimate",
    population=WORKERS + "; runners make two to three times their heat",
    holds={
        "metabolic_w_per_m2": (56, 450),
        "air_temp_c": (15, 50),
        "radiant_temp_c": (15, 110),
        "humidity_frac": (0.1, 1),
        "air_speed_m_per_s": (0.1, 3),
        "ground_speed_m_per_s": (0, 1.5),
        "clothing_clo": (0.1, 0.2),
        "body_surface_m2": (1.2, 2.6),
    },
    turns=("radiant_temp_c", "humidity_frac", "air_speed_m_per_s", "ground_speed_m_per_s", "clothing_clo"),
    note="in runners about 0.6 to 1.2 of measured rates; low below 20 C, so safe for a ceiling",
)
def heat_balance_sweat_l_per_h(
    *,
    metabolic_w_per_m2: float,
    air_temp_c: float,
    radiant_temp_c: float,
    humidity_frac: float,
    air_speed_m_per_s: float,
    ground_speed_m_per_s: float,
    clothing_clo: float,
    body_surface_m2: float,
) -> float:
    """Return the sweat rate that keeps a runner's heat in balance.

    Parameters: metabolic_w_per_m2 [W/m2]; air_temp_c, radiant_temp_c [C]; humidity_frac [of 1];
    air_speed_m_per_s, past the body; ground_speed_m_per_s [m/s]; clothing_clo [clo]; body_surface_m2 [m2].
    Returns: sweat rate [L/h]; between runners it varies by about x0.6 to x1.7.
    Equation: required sweat rate of the heat balance, times surface.
    Valid range: ISO 7933 up to 450 W/m2 and from 15 C; runners exceed it, in the cool it goes to zero.
    Source: ISO 7933:2023; skin by Mehnert 2000.

    >>> round(heat_balance_sweat_l_per_h(
    ...     metabolic_w_per_m2=575.0, air_temp_c=28.0, radiant_temp_c=28.0, humidity_frac=0.5,
    ...     air_speed_m_per_s=3.0, ground_speed_m_per_s=1.5, clothing_clo=0.2, body_surface_m2=1.8434), 2)
    1.27
    """
    balance = heat_balance(
        metabolic_w_per_m2=metabolic_w_per_m2,
        core_temp_c=core_temp_c(metabolic_w_per_m2=metabolic_w_per_m2),
        air_temp_c=air_temp_c,
        radiant_temp_c=radiant_temp_c,
        humidity_frac=humidity_frac,
        air_speed_m_per_s=air_speed_m_per_s,
        ground_speed_m_per_s=ground_speed_m_per_s,
        clothing_clo=clothing_clo,
    )
    return sweat_rate_l_per_h(required_sweat_w_per_m2=balance.sweat_w_per_m2, body_surface_m2=body_surface_m2)


@equation(
    gives="sweat_l_per_h",
    source="zouhal2011",
    at="set so that marathoners' loss of mass comes out; not a published equation",
    mark="estimate",
    population="643 marathon runners",
    holds={"air_temp_c": (0, 40), "body_surface_m2": (1.2, 2.6)},
    note="added to the heat balance for the middle estimate only, never for the low one",
)
def cool_air_sweat_l_per_h(*, air_temp_c: float, body_surface_m2: float) -> float:
    """Return the sweat that runners lose in cool air though the heat balance asks for none.

    Parameters: air_temp_c [C]; body_surface_m2 [m2].
    Returns: sweat rate to add [L/h].
    Equation: 130 g/m2/h * clip((20 - ta) / 10, 0, 1) * A.
    Valid range: below 20 C; from 20 C on it is 0, at 10 C and below full.
    Source: our estimate, set on the mass lost by 643 marathoners (10.1136/bjsm.2010.074641).

    >>> round(cool_air_sweat_l_per_h(air_temp_c=15.0, body_surface_m2=1.8), 3)
    0.117
    """
    return 0.130 * min(max((20 - air_temp_c) / 10, 0.0), 1.0) * body_surface_m2


@equation(
    gives="loss_l",
    source="iso7933",
    at="ten-minute lag of sweating",
    mark="pkg",
    population=WORKERS,
    holds={"sweat_l_per_h": (0, 4), "elapsed_min": (0, 960)},
)
def sweat_loss_l(*, sweat_l_per_h: float, elapsed_min: float) -> float:
    """Return the sweat lost since the start; sweating follows the heat with a lag of ten minutes.

    Parameters: sweat_l_per_h, steady rate [L/h]; elapsed_min [min].
    Returns: sweat lost [L].
    Equation: SR (t - 10 (1 - exp(-t/10))) / 60.
    Valid range: from a rested start.
    Source: ISO 7933:2023 (time constant).

    >>> round(sweat_loss_l(sweat_l_per_h=0.6, elapsed_min=30.0), 3)
    0.205
    """
    return sweat_l_per_h * (elapsed_min - 10 * (1 - math.exp(-elapsed_min / 10))) / 60


@equation(
    gives="loss_kg",
    source="cheuvront2017",
    at="0.20 g/kcal",
    mark="read",
    population="endurance runners and cyclists",
    holds={"energy_kcal": (0, 10000)},
)
def metabolic_loss_kg(*, energy_kcal: float) -> float:
    """Return the mass lost by burning fuel and breathing, which is not sweat.

    Parameters: energy_kcal, energy used [kcal].
    Returns: mass [kg]; a finisher who is only this much lighter has lost no net water.
    Equation: 0.20 g a kilocalorie.
    Valid range: mixed fuel, moderate humidity.
    Source: Cheuvront and Montain 2017 (Exp Physiol), authors' summary.

    >>> round(metabolic_loss_kg(energy_kcal=3000.0), 3)
    0.6
    """
    return METABOLIC_LOSS_KG_PER_KCAL * energy_kcal


@equation(
    gives="water_g_per_min",
    source="mitchell1972",
    at="respiratory water",
    mark="memory",
    population="men exercising",
    holds={"oxygen_l_per_min": (0.2, 6), "vapour_mmhg": (0, 40)},
)
def breath_water_g_per_min(*, oxygen_l_per_min: float, vapour_mmhg: float) -> float:
    """Return the water lost by breathing.

    Parameters: oxygen_l_per_min, oxygen uptake [L/min]; vapour_mmhg, vapour pressure of the air [mmHg].
    Returns: water [g/min].
    Equation: 0.019 VO2 (44 - Pa).
    Valid range: temperate air.
    Source: Mitchell 1972 (J Appl Physiol 32:474).

    >>> round(breath_water_g_per_min(oxygen_l_per_min=2.5, vapour_mmhg=8.0), 2)
    1.71
    """
    return 0.019 * oxygen_l_per_min * (44 - vapour_mmhg)


@equation(
    gives="mass_g_per_min",
    source="mitchell1972",
    at="mass of carbon dioxide out less oxygen in",
    mark="memory",
    population="physics: gas densities 1.9769 and 1.4290 g/L",
    holds={"oxygen_l_per_min": (0.2, 6), "exchange_ratio": (0.73, 1)},
)
def gas_loss_g_per_min(*, oxygen_l_per_min: float, exchange_ratio: float) -> float:
    """Return the mass lost because the carbon dioxide breathed out is heavier than the oxygen taken in.

    Parameters: oxygen_l_per_min [L/min]; exchange_ratio, carbon dioxide over oxygen [ratio].
    Returns: mass [g/min].
    Equation: VO2 (1.9769 R - 1.4290).
    Valid range: dry gas at 0 C and one atmosphere.
    Source: gas densities.

    >>> round(gas_loss_g_per_min(oxygen_l_per_min=2.5, exchange_ratio=0.85), 3)
    0.628
    """
    return oxygen_l_per_min * (1.9769 * exchange_ratio - 1.4290)


@equation(
    gives="sweat_l_per_h",
    source="baker2017",
    at="Table 3: the balance of masses",
    mark="read",
    population="athletes weighed nude, towelled, bladder emptied",
    holds={
        "mass_before_kg": (40, 120),
        "mass_after_kg": (40, 120),
        "drunk_kg": (0, 6),
        "eaten_kg": (0, 1),
        "voided_kg": (0, 2),
        "kit_gain_kg": (0, 2),
        "energy_kcal": (0, 6000),
        "duration_min": (30, 400),
    },
)
def sweat_test_l_per_h(
    *,
    mass_before_kg: float,
    mass_after_kg: float,
    drunk_kg: float,
    eaten_kg: float,
    voided_kg: float,
    kit_gain_kg: float,
    energy_kcal: float,
    duration_min: float,
) -> float:
    """Return the sweat rate of a weighed session.

    Parameters: mass_before_kg, mass_after_kg; drunk_kg, swallowed only; eaten_kg; voided_kg, urine and
    stool between the weighings; kit_gain_kg, water held by kit if weighed in it, else 0 [kg];
    energy_kcal, energy used [kcal]; duration_min [min].
    Returns: sweat rate [L/h].
    Equation: (before - after + drunk + eaten - voided + kit - 0.20 g/kcal) / t.
    Valid range: 30 min and more; drink spat or poured over the head is not drunk.
    Source: Baker 2017, Table 3 (PMC5371639); metabolic mass by Cheuvront and Montain 2017.

    >>> round(sweat_test_l_per_h(mass_before_kg=70.0, mass_after_kg=68.6, drunk_kg=0.5, eaten_kg=0.04,
    ...     voided_kg=0.1, kit_gain_kg=0.0, energy_kcal=1200.0, duration_min=90.0), 3)
    1.067
    """
    lighter_kg = mass_before_kg - mass_after_kg + drunk_kg + eaten_kg - voided_kg + kit_gain_kg
    return (lighter_kg - METABOLIC_LOSS_KG_PER_KCAL * energy_kcal) / (duration_min / 60)


@equation(
    gives="log_offset_ratio",
    source="estimate",
    at="offset on the logarithm of the modelled rate",
    mark="estimate",
    population="runners with sweat tests",
    holds={"measured_l_per_h": (0.1, 4), "modelled_l_per_h": (0.1, 4)},
)
def log_offset_ratio(*, measured_l_per_h: float, modelled_l_per_h: float) -> float:
    """Return how far a test lies from the heat balance of its own day; tests are averaged.

    Parameters: measured_l_per_h, of the test; modelled_l_per_h, heat balance of the test day [L/h].
    Returns: offset [logarithm of a ratio].
    Equation: ln(measured / modelled).
    Valid range: modelled 0.1 L/h and more; below, the model says too little.
    Source: ours.

    >>> round(log_offset_ratio(measured_l_per_h=0.95, modelled_l_per_h=0.778), 3)
    0.2
    """
    return math.log(measured_l_per_h / modelled_l_per_h)


@equation(
    gives="weight_frac",
    source="smith2021",
    at="shrinkage by the two variances",
    mark="estimate",
    population="runners with sweat tests",
    holds={"test_count": (1, 20)},
)
def weight_of_tests_frac(*, test_count: float) -> float:
    """Return how much of the mean offset of the tests is believed.

    Parameters: test_count, number of tests.
    Returns: share [of 1].
    Equation: n s0^2 / (n s0^2 + sr^2), s0 = 0.32 between runners, sr = 0.13 between repeats.
    Valid range: tests of the same athlete.
    Source: ours; the repeat spread follows Smith 2021 (10.3390/nu13061807).

    >>> round(weight_of_tests_frac(test_count=1.0), 3)
    0.858
    """
    prior = test_count * BETWEEN_RUNNERS_SIGMA_RATIO * BETWEEN_RUNNERS_SIGMA_RATIO
    return prior / (prior + REPEAT_SIGMA_RATIO * REPEAT_SIGMA_RATIO)


@equation(
    gives="sweat_l_per_h",
    source="estimate",
    at="offset carried to another day",
    mark="estimate",
    population="runners with sweat tests",
    holds={"modelled_l_per_h": (0.1, 4), "log_offset_ratio": (-1, 1), "weight_frac": (0, 1)},
)
def carried_sweat_l_per_h(*, modelled_l_per_h: float, log_offset_ratio: float, weight_frac: float) -> float:
    """Return the sweat rate expected on another day, from tests and the heat balance of that day.

    Parameters: modelled_l_per_h, heat balance of the race [L/h]; log_offset_ratio, mean over the tests;
    weight_frac, how much of it is believed.
    Returns: sweat rate [L/h].
    Equation: HB exp(s b).
    Valid range: within about 8 C of the tests; further off the test tells little.
    Source: ours.

    >>> round(carried_sweat_l_per_h(modelled_l_per_h=1.272, log_offset_ratio=0.1997, weight_frac=0.858), 2)
    1.51
    """
    return modelled_l_per_h * math.exp(weight_frac * log_offset_ratio)


@equation(
    gives="sigma_ratio",
    source="smith2021",
    at="spread left after the tests",
    mark="estimate",
    population="runners with sweat tests",
    holds={"test_count": (0, 20), "temp_difference_c": (0, 25)},
)
def carried_sigma_ratio(*, test_count: float, temp_difference_c: float) -> float:
    """Return the logarithmic spread of a carried sweat rate.

    Parameters: test_count, number of tests (0: none); temp_difference_c, degrees between the mean air
    temperature of the tests and the race, unsigned [C].
    Returns: sigma of the logarithm [ratio].
    Equation: sqrt(s0^2 sr^2 / (n s0^2 + sr^2) + sr^2 + (0.02 dT)^2).
    Valid range: at no test it is 0.345, a little above the spread between runners.
    Source: ours.

    >>> round(carried_sigma_ratio(test_count=1.0, temp_difference_c=10.0), 3)
    0.267
    """
    between = BETWEEN_RUNNERS_SIGMA_RATIO * BETWEEN_RUNNERS_SIGMA_RATIO
    repeat = REPEAT_SIGMA_RATIO * REPEAT_SIGMA_RATIO
    further = SIGMA_PER_C_RATIO * temp_difference_c
    return math.sqrt(between * repeat / (test_count * between + repeat) + repeat + further * further)


@equation(
    gives="sweat_l_per_h",
    source="estimate",
    at="log-normal band",
    mark="estimate",
    population="runners",
    holds={"middle_l_per_h": (0, 4), "sigma_ratio": (0, 0.6), "normal_score_ratio": (-2.5, 2.5)},
)
def sweat_at_score_l_per_h(*, middle_l_per_h: float, sigma_ratio: float, normal_score_ratio: float) -> float:
    """Return the sweat rate at a place of its log-normal band.

    Parameters: middle_l_per_h [L/h]; sigma_ratio, logarithmic spread;
    normal_score_ratio, -1.645 for the low end (5 in 100) and 1.645 for the high one.
    Returns: sweat rate [L/h].
    Equation: middle * exp(z sigma).
    Valid range: without a test x0.59 to x1.69.
    Source: ours; the band holds model and runner.

    >>> round(sweat_at_score_l_per_h(middle_l_per_h=1.0, sigma_ratio=0.32, normal_score_ratio=-1.645), 2)
    0.59
    """
    return middle_l_per_h * math.exp(normal_score_ratio * sigma_ratio)


@equation(
    gives="sweat_g_per_m2_per_h",
    source="gonzalez2009",
    at="the older equation that it corrects (OSE)",
    mark="read",
    population="soldiers walking 2 to 8 h, up to 450 W/m2, 15 to 46 C, wind 0.4 to 2.5 m/s",
    holds={"required_evaporation_w_per_m2": (50, 360), "max_evaporation_w_per_m2": (20, 525)},
)
def older_walking_sweat_g_per_m2_per_h(
    *, required_evaporation_w_per_m2: float, max_evaporation_w_per_m2: float
) -> float:
    """Return the sweat of walkers by the older equation, which the paper corrects.

    Parameters: required_evaporation_w_per_m2, max_evaporation_w_per_m2 [W/m2].
    Returns: sweat [g/m2/h].
    Equation: 27.9 Ereq Emax^-0.455.
    Valid range: walkers at steady work; kept as the input of its correction.
    Source: Gonzalez 2009 (10.1152/japplphysiol.00089.2009).

    >>> round(older_walking_sweat_g_per_m2_per_h(
    ...     required_evaporation_w_per_m2=350.0, max_evaporation_w_per_m2=250.0), 1)
    791.8
    """
    return 27.9 * required_evaporation_w_per_m2 * math.pow(max_evaporation_w_per_m2, -0.455)


@equation(
    gives="sweat_g_per_m2_per_h",
    source="gonzalez2009",
    at="corrected older equation (OSEC)",
    mark="read",
    population="soldiers walking 2 to 8 h, 15 to 46 C",
    holds={"older_sweat_g_per_m2_per_h": (50, 1200)},
)
def walking_sweat_corrected_g_per_m2_per_h(*, older_sweat_g_per_m2_per_h: float) -> float:
    """Return the sweat of walkers by the corrected older equation.

    Parameters: older_sweat_g_per_m2_per_h, by the older equation [g/m2/h].
    Returns: sweat [g/m2/h].
    Equation: 147 exp(0.0012 OSE).
    Valid range: 20 C and above; below 20 C the paper puts 350 for 147.
    Source: Gonzalez 2009 (10.1152/japplphysiol.00089.2009).

    >>> round(walking_sweat_corrected_g_per_m2_per_h(older_sweat_g_per_m2_per_h=791.8), 1)
    380.2
    """
    return 147 * math.exp(0.0012 * older_sweat_g_per_m2_per_h)


@equation(
    gives="sweat_g_per_m2_per_h",
    source="gonzalez2009",
    at="piecewise equation (PW)",
    mark="read",
    population="soldiers walking 2 to 8 h, 15 to 46 C, wind 0.4 to 2.5 m/s",
    holds={"required_evaporation_w_per_m2": (50, 360), "max_evaporation_w_per_m2": (20, 525)},
    note="at a runner's air speed the possible evaporation is 1,000 W/m2 and more and it turns negative",
)
def walking_sweat_g_per_m2_per_h(
    *, required_evaporation_w_per_m2: float, max_evaporation_w_per_m2: float
) -> float:
    """Return the sweat of walkers; standard error of the estimate below 100 g/m2/h.

    Parameters: required_evaporation_w_per_m2, max_evaporation_w_per_m2 [W/m2].
    Returns: sweat [g/m2/h].
    Equation: 147 + 1.527 Ereq - 0.87 Emax.
    Valid range: walking only.
    Source: Gonzalez 2009 (10.1152/japplphysiol.00089.2009).

    >>> round(walking_sweat_g_per_m2_per_h(
    ...     required_evaporation_w_per_m2=350.0, max_evaporation_w_per_m2=250.0), 1)
    463.9
    """
    return 147 + 1.527 * required_evaporation_w_per_m2 - 0.87 * max_evaporation_w_per_m2
