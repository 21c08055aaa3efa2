"""From the mouth to the muscle: how drinks empty, how sugar is absorbed, how much of it is burned.

The body is a chain of pools: stomach (volume, glucose, fructose), intestine (glucose, fructose), body
(glucose, fructose). Maltodextrin, starch and half of sucrose count as glucose, the other half as fructose.
A person differs from the mean by factors on these rates; whoever simulates people multiplies the result.
"""

from __future__ import annotations

import math

from provand.card import equation

WATER_RATE_PER_MIN = 0.0775
"""Share of the stomach that leaves in a minute when it holds water (fit to Calbet 1997 and Mitchell 1989)."""

HALVING_CARB_G_PER_L = 110.0
"""Concentration at which emptying falls to half of water's (same fit)."""

NEAT_CARB_G_PER_L = 180.0
"""Above this concentration, the strongest that was measured, the floor for neat gels applies."""

NEAT_FLOOR_G_PER_MIN = 0.5
"""Sugar that leaves at least: the low end of 1.8 to 3.9 kcal/min for mixed meals (mixedmeal2018)."""

GLUCOSE_CEILING_G_PER_MIN = 1.14
"""Most glucose that is absorbed in a minute; least squares on the feeding trials, standard error 0.10."""

FRUCTOSE_CEILING_G_PER_MIN = 1.00
"""Most fructose that is absorbed in a minute; our estimate, which the trials do not bound."""

HALF_SATURATION_G = 1.0
"""Sugar in the intestine at which absorption runs at half its ceiling; our estimate."""

BODY_RATE_PER_MIN = 0.025
"""Share of absorbed sugar that leaves the body's pool in a minute; same fit, standard error 0.004."""

GLUCOSE_BURNED_FRAC = 0.97
"""Share of the glucose leaving the pool that is burned; 0.96 to 1.00 in tracer studies."""

FRUCTOSE_BURNED_FRAC = 0.79
"""Share of the fructose leaving the pool that is burned; same fit, standard error 0.10."""

ONE_SUGAR_LIMIT_G_PER_H = 60.0
"""Glucose planned in an hour at most; what exceeds it must be fructose."""

CYCLISTS = "fasted trained men cycling at 50 to 65 % of maximal oxygen uptake"
FIT = "three constants fitted to five feeding trials; an interpolation"


@equation(
    gives="emptying_rate_per_min",
    source="mitchell1989",
    at="volumes emptied in 120 min, with the half-time of calbet1997",
    mark="computed",
    population="trained men cycling at 70 % of maximal oxygen uptake; resting men for the half-time",
    holds={"carb_g_per_l": (0, 250)},
    note=FIT,
)
def emptying_rate_per_min(*, carb_g_per_l: float) -> float:
    """Return the share of the stomach's content that leaves in a minute.

    Parameters: carb_g_per_l, carbohydrate dissolved in the stomach [g/L].
    Returns: emptying rate k [1/min]; volume and sugar leave together, dV/dt = -k V.
    Equation: k = 0.0775 / (1 + (c / 110)^2).
    Valid range: 0 to 250 g/L; above it secretion dilutes what the model does not, and k is too low.
    Source: our fit to Mitchell 1989 (MSSE 21:269) and Calbet 1997 (PMC1159224).

    >>> round(emptying_rate_per_min(carb_g_per_l=60.0), 5)
    0.05973
    """
    strength = carb_g_per_l / HALVING_CARB_G_PER_L
    return WATER_RATE_PER_MIN / (1 + strength * strength)


@equation(
    gives="neat_emptying_rate_per_min",
    source="mixedmeal2018",
    at="Table 2, low end of the early energy rate",
    mark="estimate",
    population="resting adults after a mixed liquid meal",
    holds={"carb_g_per_l": (0, 1000), "stomach_carb_g": (0.5, 200)},
    note="keeps a gel taken without water from lying in the stomach for hours",
)
def neat_emptying_rate_per_min(*, carb_g_per_l: float, stomach_carb_g: float) -> float:
    """Return the emptying rate with a floor for what is stronger than any drink that was measured.

    Parameters: carb_g_per_l, carbohydrate in the stomach [g/L]; stomach_carb_g, all of it [g], above 0.
    Returns: emptying rate [1/min].
    Equation: k(c) up to 180 g/L; above, max(k(c), min(k(180), 0.5 / S)).
    Valid range: up to a neat gel (about 700 g/L); not measured above 180 g/L.
    Source: our rule; 0.5 g/min is the low end of 1.8 to 3.9 kcal/min (PMC6213197, Table 2).

    >>> round(neat_emptying_rate_per_min(carb_g_per_l=700.0, stomach_carb_g=25.0), 5)
    0.02
    """
    rate_per_min = emptying_rate_per_min(carb_g_per_l=carb_g_per_l)
    if carb_g_per_l <= NEAT_CARB_G_PER_L:
        return rate_per_min
    strongest_per_min = emptying_rate_per_min(carb_g_per_l=NEAT_CARB_G_PER_L)
    return max(rate_per_min, min(strongest_per_min, NEAT_FLOOR_G_PER_MIN / stomach_carb_g))


@equation(
    gives="left_ml",
    source="calbet1997",
    at="first-order course of one drink",
    mark="computed",
    population="resting men; 600 ml drinks",
    holds={"drunk_ml": (0, 1000), "carb_g_per_l": (0, 250), "elapsed_min": (0, 240)},
)
def left_in_stomach_ml(*, drunk_ml: float, carb_g_per_l: float, elapsed_min: float) -> float:
    """Return what is left in the stomach of one drink taken at once.

    Parameters: drunk_ml [ml]; carb_g_per_l, its strength [g/L]; elapsed_min, time since [min].
    Returns: volume left [ml].
    Equation: V exp(-k(c) t); exact, as volume and sugar leave together and c stays.
    Valid range: one drink, empty stomach, 0 to 250 g/L; secretion and lag are left out.
    Source: the fit of emptying_rate_per_min.

    >>> round(left_in_stomach_ml(drunk_ml=500.0, carb_g_per_l=0.0, elapsed_min=30.0))
    49
    """
    return drunk_ml * math.exp(-emptying_rate_per_min(carb_g_per_l=carb_g_per_l) * elapsed_min)


@equation(
    gives="half_time_min",
    source="calbet1997",
    at="half-time of 600 ml at 0.1 kcal/ml",
    mark="computed",
    population="resting men; 600 ml drinks",
    holds={"carb_g_per_l": (0, 250)},
)
def emptying_half_time_min(*, carb_g_per_l: float) -> float:
    """Return the time in which half of a drink leaves the stomach.

    Parameters: carb_g_per_l, strength of the drink [g/L].
    Returns: half-time [min].
    Equation: ln 2 / k(c).
    Valid range: 0 to 250 g/L, and liquid mixed meals counted as 4 kcal a gram (rows S6-115).
    Source: Calbet 1997 (PMC1159224).

    >>> round(emptying_half_time_min(carb_g_per_l=25.0), 1)
    9.4
    """
    return math.log(2) / emptying_rate_per_min(carb_g_per_l=carb_g_per_l)


@equation(
    gives="stomach_ml",
    source="mitchell1989",
    at="balance of intake and emptying",
    mark="computed",
    population="trained men drinking every 15 min",
    holds={"drunk_ml_per_h": (0, 1500), "carb_g_per_l": (0, 250)},
)
def steady_stomach_ml(*, drunk_ml_per_h: float, carb_g_per_l: float) -> float:
    """Return the volume at which the stomach settles under steady drinking.

    Parameters: drunk_ml_per_h, intake [ml/h]; carb_g_per_l, its strength [g/L].
    Returns: volume [ml].
    Equation: V = (intake / 60) / k(c).
    Valid range: 0 to 250 g/L; the model knows no fullness that slows drinking.
    Source: the fit of emptying_rate_per_min.

    >>> round(steady_stomach_ml(drunk_ml_per_h=800.0, carb_g_per_l=60.0))
    223
    """
    return drunk_ml_per_h / 60 / emptying_rate_per_min(carb_g_per_l=carb_g_per_l)


@equation(
    gives="absorbed_g_per_min",
    source="jentjens2004",
    at="with pallikarakis1986, podlogar2022, pfeiffer2010, roberts2014: least squares",
    mark="computed",
    population=CYCLISTS,
    holds={"gut_glucose_g": (0, 200)},
    note="no term for body size: none is published",
)
def glucose_absorption_g_per_min(*, gut_glucose_g: float) -> float:
    """Return how fast glucose leaves the intestine for the blood.

    Parameters: gut_glucose_g, glucose in the intestine [g].
    Returns: absorption [g/min].
    Equation: 1.14 G / (1.0 + G).
    Valid range: any amount; the ceiling 1.14 has a standard error of 0.10, about 15 % between people.
    Source: our fit to the oxidation trials; half-saturation is our estimate.

    >>> round(glucose_absorption_g_per_min(gut_glucose_g=9.0), 3)
    1.026
    """
    return GLUCOSE_CEILING_G_PER_MIN * gut_glucose_g / (HALF_SATURATION_G + gut_glucose_g)


@equation(
    gives="absorbed_g_per_min",
    source="rowlands2008",
    at="ceiling not bounded by the data",
    mark="estimate",
    population=CYCLISTS,
    holds={"gut_fructose_g": (0, 200)},
)
def fructose_absorption_g_per_min(*, gut_fructose_g: float) -> float:
    """Return how fast fructose leaves the intestine for the blood.

    Parameters: gut_fructose_g, fructose in the intestine [g].
    Returns: absorption [g/min].
    Equation: 1.00 F / (1.0 + F).
    Valid range: fructose taken with glucose; alone it is absorbed less well than this.
    Source: our estimate beside Rowlands 2008 (JAP 104:1709).

    >>> round(fructose_absorption_g_per_min(gut_fructose_g=4.0), 2)
    0.8
    """
    return FRUCTOSE_CEILING_G_PER_MIN * gut_fructose_g / (HALF_SATURATION_G + gut_fructose_g)


@equation(
    gives="burned_g_per_min",
    source="pallikarakis1986",
    at="with podlogar2022, pfeiffer2010, roberts2014: least squares; glucose share from tracer studies",
    mark="computed",
    population=CYCLISTS,
    holds={"body_glucose_g": (0, 100), "body_fructose_g": (0, 100)},
    note="the rate 0.025 per minute holds the lag of breath CO2 too: blood sees the sugar sooner",
)
def burned_g_per_min(*, body_glucose_g: float, body_fructose_g: float) -> float:
    """Return how fast eaten sugar is burned, from what has been absorbed and not yet used.

    Parameters: body_glucose_g, body_fructose_g, absorbed sugar in the body's pool [g].
    Returns: exogenous oxidation [g/min].
    Equation: 0.97 * 0.025 Bg + 0.79 * 0.025 Bf; the rest of what leaves is stored or becomes lactate.
    Valid range: trained men, fasted, 50 to 65 % of maximal oxygen uptake; root mean square error 12 %.
    Source: our fit to 21 points of 12 trials; worst residual 21 %.

    >>> round(burned_g_per_min(body_glucose_g=40.0, body_fructose_g=20.0), 3)
    1.365
    """
    burned_g = GLUCOSE_BURNED_FRAC * body_glucose_g + FRUCTOSE_BURNED_FRAC * body_fructose_g
    return BODY_RATE_PER_MIN * burned_g


@equation(
    gives="plateau_g_per_min",
    source="jentjens2005",
    at="late level of the gut model",
    mark="computed",
    population=CYCLISTS,
    holds={"glucose_g_per_min": (0, 3), "fructose_g_per_min": (0, 2)},
)
def plateau_burned_g_per_min(*, glucose_g_per_min: float, fructose_g_per_min: float) -> float:
    """Return the rate at which eaten sugar is burned after more than three hours of steady feeding.

    Parameters: glucose_g_per_min, fructose_g_per_min, sugar eaten [g/min].
    Returns: exogenous oxidation [g/min].
    Equation: 0.97 min(rg, 1.14) + 0.79 min(rf, 1.00).
    Valid range: after 3 h; half of it is reached at about 50 min and 90 % at about 130 min.
    Source: the steady state of our fitted gut model.

    >>> round(plateau_burned_g_per_min(glucose_g_per_min=1.0, fructose_g_per_min=0.8), 3)
    1.602
    """
    glucose_used = GLUCOSE_BURNED_FRAC * min(glucose_g_per_min, GLUCOSE_CEILING_G_PER_MIN)
    return glucose_used + FRUCTOSE_BURNED_FRAC * min(fructose_g_per_min, FRUCTOSE_CEILING_G_PER_MIN)


@equation(
    gives="strength_g_per_l",
    source="zhang2015",
    at="gel and water judged together",
    mark="computed",
    population="any drink, or gel with water",
    holds={"carb_g": (0, 200), "swallowed_ml": (50, 2000)},
)
def strength_g_per_l(*, carb_g: float, swallowed_ml: float) -> float:
    """Return the concentration of carbohydrate that goes down together.

    Parameters: carb_g, carbohydrate of drink and gel [g]; swallowed_ml, all fluid with it [ml].
    Returns: concentration [g/L].
    Equation: 1000 carb / volume.
    Valid range: any; the volume of dissolved sugar counts where it is known.
    Source: the definition; gels are judged with their water (Zhang 2015).

    >>> strength_g_per_l(carb_g=24.0, swallowed_ml=200.0)
    120.0
    """
    return 1000 * carb_g / swallowed_ml


@equation(
    gives="osmolality_mmol_per_kg",
    source="zhang2015",
    at="osmoles over the water of both",
    mark="computed",
    population="gels, 303 to 10,135 mmol/kg",
    holds={
        "gel_osmolality_mmol_per_kg": (300, 10200),
        "gel_water_g": (5, 100),
        "added_water_g": (0, 1000),
    },
)
def mixed_osmolality_mmol_per_kg(
    *, gel_osmolality_mmol_per_kg: float, gel_water_g: float, added_water_g: float
) -> float:
    """Return the osmolality of a gel and the water drunk with it.

    Parameters: gel_osmolality_mmol_per_kg [mmol/kg water]; gel_water_g, water in the gel [g];
    added_water_g, water drunk with it [g], 1 ml each.
    Returns: osmolality of the mix [mmol/kg].
    Equation: (osmolality * gel water) / (gel water + added water).
    Valid range: complete mixing; the stomach's own juice is left out.
    Source: Zhang 2015 (10.1123/ijsnem.2014-0215) for the range of gels.

    >>> round(mixed_osmolality_mmol_per_kg(
    ...     gel_osmolality_mmol_per_kg=4424.0, gel_water_g=24.0, added_water_g=200.0))
    474
    """
    return gel_osmolality_mmol_per_kg * gel_water_g / (gel_water_g + added_water_g)


@equation(
    gives="water_ml",
    source="zhang2015",
    at="the mix solved for the water",
    mark="computed",
    population="gels, 303 to 10,135 mmol/kg",
    holds={
        "gel_osmolality_mmol_per_kg": (300, 10200),
        "gel_water_g": (5, 100),
        "wanted_mmol_per_kg": (200, 300),
    },
)
def water_for_gel_ml(
    *, gel_osmolality_mmol_per_kg: float, gel_water_g: float, wanted_mmol_per_kg: float
) -> float:
    """Return the water that brings a gel down to a wanted osmolality.

    Parameters: gel_osmolality_mmol_per_kg [mmol/kg]; gel_water_g, water in the gel [g];
    wanted_mmol_per_kg, wanted osmolality of the mix [mmol/kg].
    Returns: water to drink with it [ml].
    Equation: gel water * (osmolality / wanted - 1).
    Valid range: osmolality above the wanted one; below it the answer is negative.
    Source: mixed_osmolality_mmol_per_kg turned round.

    >>> round(water_for_gel_ml(
    ...     gel_osmolality_mmol_per_kg=4424.0, gel_water_g=24.0, wanted_mmol_per_kg=300.0))
    330
    """
    return gel_water_g * (gel_osmolality_mmol_per_kg / wanted_mmol_per_kg - 1)


@equation(
    gives="min_fructose_g_per_h",
    source="jentjens2004",
    at="1.2 and 1.8 g/min of glucose burned alike",
    mark="practice",
    population="adults in training for endurance races",
    holds={"carb_g_per_h": (0, 150)},
)
def min_fructose_g_per_h(*, carb_g_per_h: float) -> float:
    """Return the least fructose in an hourly target, so that glucose stays at 60 g/h or less.

    Parameters: carb_g_per_h, planned carbohydrate [g/h].
    Returns: least fructose [g/h].
    Equation: max(0, carb - 60).
    Valid range: planned rates; unknown fructose of an item stays unknown, it is not 0.
    Source: common practice, resting on Jentjens 2004 (10.1152/japplphysiol.00974.2003).

    >>> min_fructose_g_per_h(carb_g_per_h=75.0)
    15.0
    """
    return max(0.0, carb_g_per_h - ONE_SUGAR_LIMIT_G_PER_H)
