"""Doses turned into amounts: by body mass, by the hour, by the time of the race. Arithmetic, carded.

The doses come from rules, each with its source; here they are only multiplied, so that every amount on a
page has a chain of figures behind it.
"""

from __future__ import annotations

from provand.card import equation


@equation(
    gives="carb_g_per_day",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def per_mass_g_per_day(*, dose_g_per_kg_per_day: float, body_mass_kg: float) -> float:
    """Return the amount for a day from a dose by body mass.

    Parameters: dose_g_per_kg_per_day, dose [g/kg/day]; body_mass_kg, body mass [kg].
    Returns: amount for a day [g/day].
    Equation: dose times body mass.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(per_mass_g_per_day(dose_g_per_kg_per_day=10, body_mass_kg=62), 2)
    620
    """
    return dose_g_per_kg_per_day * body_mass_kg


@equation(
    gives="amount_g",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def per_mass_g(*, dose_g_per_kg: float, body_mass_kg: float) -> float:
    """Return the amount from a dose by body mass.

    Parameters: dose_g_per_kg, dose [g/kg]; body_mass_kg, body mass [kg].
    Returns: amount [g].
    Equation: dose times body mass.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(per_mass_g(dose_g_per_kg=2, body_mass_kg=58), 2)
    116
    """
    return dose_g_per_kg * body_mass_kg


@equation(
    gives="amount_g_per_h",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def per_mass_g_per_h(*, dose_g_per_kg_per_h: float, body_mass_kg: float) -> float:
    """Return the hourly amount from a dose by body mass.

    Parameters: dose_g_per_kg_per_h, dose [g/kg/h]; body_mass_kg, body mass [kg].
    Returns: hourly amount [g/h].
    Equation: dose times body mass.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(per_mass_g_per_h(dose_g_per_kg_per_h=1.2, body_mass_kg=57), 2)
    68.4
    """
    return dose_g_per_kg_per_h * body_mass_kg


@equation(
    gives="fluid_ml",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def per_mass_ml(*, dose_ml_per_kg: float, body_mass_kg: float) -> float:
    """Return the fluid from a dose by body mass.

    Parameters: dose_ml_per_kg, dose [ml/kg]; body_mass_kg, body mass [kg].
    Returns: fluid [ml].
    Equation: dose times body mass.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(per_mass_ml(dose_ml_per_kg=5, body_mass_kg=74), 2)
    370
    """
    return dose_ml_per_kg * body_mass_kg


@equation(
    gives="amount_mg",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def per_mass_mg(*, dose_mg_per_kg: float, body_mass_kg: float) -> float:
    """Return the milligrams from a dose by body mass.

    Parameters: dose_mg_per_kg, dose [mg/kg]; body_mass_kg, body mass [kg].
    Returns: amount [mg].
    Equation: dose times body mass.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(per_mass_mg(dose_mg_per_kg=3, body_mass_kg=54), 2)
    162
    """
    return dose_mg_per_kg * body_mass_kg


@equation(
    gives="fluid_l",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def per_loss_l(*, fluid_l_per_kg: float, loss_kg: float) -> float:
    """Return the fluid after exercise from the body mass lost.

    Parameters: fluid_l_per_kg, fluid for each kilogram lost [l/kg]; loss_kg, body mass lost [kg].
    Returns: fluid [l].
    Equation: fluid for a kilogram times kilograms lost.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(per_loss_l(fluid_l_per_kg=1.5, loss_kg=1.3), 2)
    1.95
    """
    return fluid_l_per_kg * loss_kg


@equation(
    gives="dose_g_per_kg_per_day",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def dose_of_amount_g_per_kg_per_day(*, carb_g_per_day: float, body_mass_kg: float) -> float:
    """Return the dose by body mass that an amount for a day is.

    Parameters: carb_g_per_day, amount for a day [g/day]; body_mass_kg, body mass [kg].
    Returns: dose [g/kg/day].
    Equation: amount over body mass.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(dose_of_amount_g_per_kg_per_day(carb_g_per_day=310, body_mass_kg=62), 2)
    5.0
    """
    return carb_g_per_day / body_mass_kg


@equation(
    gives="dose_ml_per_kg",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def dose_of_fluid_ml_per_kg(*, fluid_ml: float, body_mass_kg: float) -> float:
    """Return the dose by body mass that an amount of fluid is.

    Parameters: fluid_ml, fluid [ml]; body_mass_kg, body mass [kg].
    Returns: dose [ml/kg].
    Equation: fluid over body mass.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(dose_of_fluid_ml_per_kg(fluid_ml=500, body_mass_kg=45), 2)
    11.11
    """
    return fluid_ml / body_mass_kg


@equation(
    gives="dose_mg_per_kg",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def dose_of_amount_mg_per_kg(*, amount_mg: float, body_mass_kg: float) -> float:
    """Return the dose by body mass that an amount is.

    Parameters: amount_mg, amount [mg]; body_mass_kg, body mass [kg].
    Returns: dose [mg/kg].
    Equation: amount over body mass.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(dose_of_amount_mg_per_kg(amount_mg=200, body_mass_kg=90), 2)
    2.22
    """
    return amount_mg / body_mass_kg


@equation(
    gives="step_g_per_kg_per_day",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def step_up_g_per_kg_per_day(*, dose_g_per_kg_per_day: float, usual_g_per_kg_per_day: float) -> float:
    """Return how far a dose lies above what is usual.

    Parameters: dose_g_per_kg_per_day, dose of the rule [g/kg/day];
    usual_g_per_kg_per_day, usual intake by body mass [g/kg/day].
    Returns: step up, negative for a step down [g/kg/day].
    Equation: dose less usual.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(step_up_g_per_kg_per_day(dose_g_per_kg_per_day=10, usual_g_per_kg_per_day=5), 2)
    5
    """
    return dose_g_per_kg_per_day - usual_g_per_kg_per_day


@equation(
    gives="dose_g_per_kg",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def hours_before_g_per_kg(*, dose_g_per_kg_per_h: float, before_h: float) -> float:
    """Return the dose of a meal from the hours between it and the start.

    Parameters: dose_g_per_kg_per_h, dose for each hour before the start [g/kg/h];
    before_h, hours before the start [h].
    Returns: dose [g/kg].
    Equation: hourly dose times hours.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(hours_before_g_per_kg(dose_g_per_kg_per_h=1, before_h=3), 2)
    3
    """
    return dose_g_per_kg_per_h * before_h


@equation(
    gives="carb_g_per_race",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def whole_race_g_per_race(*, carb_g_per_h: float, finish_s: float) -> float:
    """Return the amount for the whole race from an hourly rate.

    Parameters: carb_g_per_h, hourly rate [g/h]; finish_s, time of the race [s].
    Returns: amount [g/race].
    Equation: rate times hours, 3,600 seconds each.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(whole_race_g_per_race(carb_g_per_h=60, finish_s=8100), 2)
    135.0
    """
    return carb_g_per_h * finish_s / 3600


@equation(
    gives="carb_g_per_h",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def share_of_use_g_per_h(*, carb_use_g_per_h: float, share_frac: float) -> float:
    """Return a share of the hourly carbohydrate use.

    Parameters: carb_use_g_per_h, carbohydrate use [g/h]; share_frac, share of it [frac].
    Returns: rate [g/h].
    Equation: use times share.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(share_of_use_g_per_h(carb_use_g_per_h=90, share_frac=0.7), 2)
    63.0
    """
    return carb_use_g_per_h * share_frac


@equation(
    gives="speed_km_per_h",
    source="arithmetic",
    at="identity",
    mark="computed",
    population="any",
    note="arithmetic",
)
def mean_speed_km_per_h(*, distance_m: float, finish_s: float) -> float:
    """Return the mean speed over a race.

    Parameters: distance_m, distance [m]; finish_s, time [s].
    Returns: speed [km/h].
    Equation: distance over time, 3.6 km/h for each m/s.
    Valid range: any; the dose's own rule says when it applies.
    Source: arithmetic, no source.

    >>> round(mean_speed_km_per_h(distance_m=21097.5, finish_s=9600), 2)
    7.91
    """
    return 3.6 * distance_m / finish_s
