"""The heat that a body must shed and the sweat that this takes: required sweat rate, steady state.

The pieces follow ISO 7933 (predicted heat strain) with the skin temperature of bare skin. The standard was
made for work up to 250 W/m2 (2004: 450) in air of 15 to 50 C; runners make 400 to 800 W/m2, so every
result for them stands outside it and is shown with that caveat.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from provand.card import equation

MOST_AIR_SPEED_M_PER_S = 3.0
MOST_GROUND_SPEED_M_PER_S = 1.5
"""The clothing corrections were measured up to these speeds; faster counts as these."""

BALANCE_LIMIT_RATIO = 1.7
"""Required over possible evaporation from which ISO 7933 gives up: the body cannot stay in balance."""

MOST_SWEAT_W_PER_M2 = 900.0
"""Sweating is taken no higher than this, about 2.4 L/h for 1.8 m2; our estimate: two standard deviations
above the mean of 1.28 +/- 0.57 L/h in endurance athletes (barnes2019). Near the limit of balance the
equation would run to tens of litres an hour."""

STILL_AIR_INSULATION_M2_KELVIN_PER_W = 0.111
CLO_M2_KELVIN_PER_W = 0.155
WORKERS = "workers and test persons of the ISO 7933 validation"
SURFACE_STOP_C = 0.0005


@equation(
    gives="body_surface_m2",
    source="dubois1916",
    at="formula",
    mark="memory",
    population="a few persons of very different build",
    holds={"body_mass_kg": (3, 150), "height_m": (0.7, 2.2)},
)
def body_surface_m2(*, body_mass_kg: float, height_m: float) -> float:
    """Return the surface of a body.

    Parameters: body_mass_kg [kg]; height_m [m].
    Returns: surface [m2].
    Equation: 0.202 m^0.425 h^0.725.
    Valid range: children to large adults.
    Source: Du Bois 1916 (Arch Intern Med 17:863), the form that ISO 7933 uses.

    >>> round(body_surface_m2(body_mass_kg=70.0, height_m=1.75), 3)
    1.844
    """
    return 0.202 * math.pow(body_mass_kg, 0.425) * math.pow(height_m, 0.725)


@equation(
    gives="vapour_kpa",
    source="iso7933",
    at="saturated vapour pressure",
    mark="pkg",
    population="physics",
    holds={"temp_c": (-10, 60)},
)
def saturated_vapour_kpa(*, temp_c: float) -> float:
    """Return the pressure of water vapour in saturated air.

    Parameters: temp_c, temperature of air or skin [C].
    Returns: vapour pressure [kPa].
    Equation: 0.6105 exp(17.27 t / (t + 237.3)).
    Valid range: over water, -10 to 60 C.
    Source: ISO 7933:2023.

    >>> round(saturated_vapour_kpa(temp_c=20.0), 3)
    2.337
    """
    return 0.6105 * math.exp(17.27 * temp_c / (temp_c + 237.3))


@equation(
    gives="core_temp_c",
    source="iso7933",
    at="core temperature at steady work",
    mark="pkg",
    population=WORKERS,
    holds={"metabolic_w_per_m2": (56, 250)},
)
def core_temp_c(*, metabolic_w_per_m2: float) -> float:
    """Return the core temperature that steady work settles at when heat can be shed.

    Parameters: metabolic_w_per_m2, metabolic rate [W/m2].
    Returns: core temperature [C].
    Equation: 36.6 + 0.0036 M.
    Valid range: 56 to 250 W/m2; above it extrapolated.
    Source: ISO 7933:2023.

    >>> round(core_temp_c(metabolic_w_per_m2=575.0), 2)
    38.67
    """
    return 36.6 + 0.0036 * metabolic_w_per_m2


@equation(
    gives="skin_temp_c",
    source="mehnert2000",
    at="regression for bare skin, 0.2 clo or less",
    mark="read",
    population="laboratory exposures of nude or lightly clad persons",
    holds={
        "air_temp_c": (15, 50),
        "radiant_temp_c": (15, 60),
        "vapour_kpa": (0.5, 4.5),
        "air_speed_m_per_s": (0.1, 3),
        "core_temp_c": (36.5, 39.5),
    },
)
def skin_temp_c(
    *,
    air_temp_c: float,
    radiant_temp_c: float,
    vapour_kpa: float,
    air_speed_m_per_s: float,
    core_temp_c: float,
) -> float:
    """Return the mean temperature of bare skin.

    Parameters: air_temp_c, radiant_temp_c [C]; vapour_kpa, of the air [kPa];
    air_speed_m_per_s, past the body [m/s]; core_temp_c [C].
    Returns: skin temperature [C].
    Equation: 7.191 + 0.064 ta + 0.061 tr + 0.198 pa - 0.348 v + 0.616 tre.
    Valid range: up to 0.2 clo; clothing makes it warmer.
    Source: Mehnert 2000 (10.1007/s004210050651).

    >>> round(skin_temp_c(air_temp_c=28.0, radiant_temp_c=45.0, vapour_kpa=1.89,
    ...                   air_speed_m_per_s=3.0, core_temp_c=38.67), 2)
    34.88
    """
    return (
        7.191
        + 0.064 * air_temp_c
        + 0.061 * radiant_temp_c
        + 0.198 * vapour_kpa
        - 0.348 * air_speed_m_per_s
        + 0.616 * core_temp_c
    )


@equation(
    gives="convection_w_per_m2",
    source="iso7933",
    at="respiratory convection",
    mark="pkg",
    population=WORKERS,
    holds={"metabolic_w_per_m2": (56, 450), "air_temp_c": (15, 50), "vapour_kpa": (0, 4.5)},
)
def breath_convection_w_per_m2(*, metabolic_w_per_m2: float, air_temp_c: float, vapour_kpa: float) -> float:
    """Return the heat that breathing carries off by warming air.

    Parameters: metabolic_w_per_m2 [W/m2]; air_temp_c [C]; vapour_kpa [kPa].
    Returns: heat [W/m2].
    Equation: 0.001516 M (28.56 + 0.115 ta + 0.641 pa - ta).
    Valid range: 15 to 50 C.
    Source: ISO 7933:2023.

    >>> round(breath_convection_w_per_m2(metabolic_w_per_m2=575.0, air_temp_c=18.0, vapour_kpa=1.238), 2)
    11.7
    """
    exhaled_c = 28.56 + 0.115 * air_temp_c + 0.641 * vapour_kpa
    return 0.001516 * metabolic_w_per_m2 * (exhaled_c - air_temp_c)


@equation(
    gives="evaporation_w_per_m2",
    source="iso7933",
    at="respiratory evaporation",
    mark="pkg",
    population=WORKERS,
    holds={"metabolic_w_per_m2": (56, 450), "air_temp_c": (15, 50), "vapour_kpa": (0, 4.5)},
)
def breath_evaporation_w_per_m2(*, metabolic_w_per_m2: float, air_temp_c: float, vapour_kpa: float) -> float:
    """Return the heat that breathing carries off as vapour.

    Parameters: metabolic_w_per_m2 [W/m2]; air_temp_c [C]; vapour_kpa [kPa].
    Returns: heat [W/m2].
    Equation: 0.00127 M (59.34 + 0.53 ta - 11.63 pa).
    Valid range: 15 to 50 C.
    Source: ISO 7933:2023.

    >>> round(breath_evaporation_w_per_m2(metabolic_w_per_m2=575.0, air_temp_c=18.0, vapour_kpa=1.238), 2)
    39.79
    """
    return 0.00127 * metabolic_w_per_m2 * (59.34 + 0.53 * air_temp_c - 11.63 * vapour_kpa)


@equation(
    gives="coefficient_w_per_m2_per_kelvin",
    source="iso7933",
    at="dynamic convection",
    mark="pkg",
    population="physics of a moving person",
    holds={"air_speed_m_per_s": (0.2, 3)},
)
def convection_w_per_m2_per_kelvin(*, air_speed_m_per_s: float) -> float:
    """Return how strongly moving air takes heat from a surface.

    Parameters: air_speed_m_per_s, past the body [m/s].
    Returns: heat transfer coefficient [W/m2/K].
    Equation: 8.7 v^0.6 above 1 m/s, else 3.5 + 5.2 v.
    Valid range: 0.2 to 3 m/s; in still air free convection is stronger and is left out.
    Source: ISO 7933:2023.

    >>> round(convection_w_per_m2_per_kelvin(air_speed_m_per_s=3.0), 2)
    16.82
    """
    if air_speed_m_per_s > 1:
        return 8.7 * math.pow(air_speed_m_per_s, 0.6)
    return 3.5 + 5.2 * air_speed_m_per_s


@equation(
    gives="coefficient_w_per_m2_per_kelvin",
    source="iso7933",
    at="radiation of a standing person, emissivity 0.97",
    mark="pkg",
    population="physics of a standing person",
    holds={"surface_temp_c": (10, 45), "radiant_temp_c": (-10, 80)},
)
def radiation_w_per_m2_per_kelvin(*, surface_temp_c: float, radiant_temp_c: float) -> float:
    """Return how strongly a clothed surface exchanges heat by radiation.

    Parameters: surface_temp_c, of skin or cloth; radiant_temp_c, of the surroundings [C].
    Returns: heat transfer coefficient [W/m2/K].
    Equation: 0.97 * 0.77 * 5.67e-8 (T1^4 - T2^4) / (T1 - T2), factored so that equal temperatures are safe.
    Valid range: standing posture, no reflective clothing.
    Source: ISO 7933:2023; absolute zero is rounded to -273 C there.

    >>> round(radiation_w_per_m2_per_kelvin(surface_temp_c=30.0, radiant_temp_c=30.0), 2)
    4.71
    """
    hot, cold = surface_temp_c + 273, radiant_temp_c + 273
    return 0.97 * 0.77 * 5.67e-8 * (hot * hot + cold * cold) * (hot + cold)


@equation(
    gives="wettedness_ratio",
    source="iso7933",
    at="required skin wettedness",
    mark="pkg",
    population=WORKERS,
    holds={"required_evaporation_w_per_m2": (0, 900), "max_evaporation_w_per_m2": (50, 2000)},
)
def required_wettedness(*, required_evaporation_w_per_m2: float, max_evaporation_w_per_m2: float) -> float:
    """Return how much of the skin would have to be wet to shed the heat.

    Parameters: required_evaporation_w_per_m2, max_evaporation_w_per_m2 [W/m2].
    Returns: wettedness [ratio]; from 1.7 on the body cannot be kept in balance: slow down.
    Equation: Ereq / Emax; air too humid to take any vapour counts as 0.001 W/m2.
    Valid range: any.
    Source: ISO 7933:2023.

    >>> required_wettedness(required_evaporation_w_per_m2=300.0, max_evaporation_w_per_m2=600.0)
    0.5
    """
    return required_evaporation_w_per_m2 / max(max_evaporation_w_per_m2, 0.001)


@equation(
    gives="efficiency_ratio",
    source="iso7933",
    at="evaporative efficiency of sweating",
    mark="pkg",
    population=WORKERS,
    holds={"wettedness_ratio": (0, 1.7)},
)
def sweat_efficiency_ratio(*, wettedness_ratio: float) -> float:
    """Return the share of sweat that evaporates and cools; the rest drips off.

    Parameters: wettedness_ratio, required wettedness [ratio].
    Returns: efficiency [ratio].
    Equation: 1 - w^2/2 up to 1; (2 - w)^2/2 up to 1.7; at least 0.05.
    Valid range: 0 to 1.7; above, 0.05.
    Source: ISO 7933:2023.

    >>> sweat_efficiency_ratio(wettedness_ratio=1.0)
    0.5
    """
    if wettedness_ratio <= 1:
        return 1 - wettedness_ratio * wettedness_ratio / 2
    dry = max(2 - wettedness_ratio, 0.0)
    return max(dry * dry / 2, 0.05)


@equation(
    gives="sweat_w_per_m2",
    source="iso7933",
    at="required sweat rate, capped by us",
    mark="estimate",
    population=WORKERS,
    holds={"required_evaporation_w_per_m2": (0, 900), "max_evaporation_w_per_m2": (50, 2000)},
    note="the standard caps at 400 (acclimatised 500) W/m2, too low for runners; ours is 900",
)
def required_sweat_w_per_m2(
    *, required_evaporation_w_per_m2: float, max_evaporation_w_per_m2: float
) -> float:
    """Return the sweating that sheds the heat, in watts.

    Parameters: required_evaporation_w_per_m2, max_evaporation_w_per_m2 [W/m2].
    Returns: sweating [W/m2].
    Equation: max(0, Ereq) / r(w), no more than 900.
    Valid range: w below 1.7; above, the cap.
    Source: ISO 7933:2023; the cap is our estimate.

    >>> required_sweat_w_per_m2(required_evaporation_w_per_m2=300.0, max_evaporation_w_per_m2=300.0)
    600.0
    """
    wettedness_ratio = required_wettedness(
        required_evaporation_w_per_m2=max(required_evaporation_w_per_m2, 0.0),
        max_evaporation_w_per_m2=max_evaporation_w_per_m2,
    )
    needed = max(required_evaporation_w_per_m2, 0.0)
    return min(needed / sweat_efficiency_ratio(wettedness_ratio=wettedness_ratio), MOST_SWEAT_W_PER_M2)


class HeatBalance(NamedTuple):
    """The balance of one moment; heat flows away from the body are positive."""

    skin_temp_c: float
    convection_w_per_m2: float
    radiation_w_per_m2: float
    required_evaporation_w_per_m2: float
    max_evaporation_w_per_m2: float
    wettedness_ratio: float
    sweat_w_per_m2: float

    @property
    def can_hold(self) -> bool:
        """Whether sweating can keep the body in balance."""
        return self.wettedness_ratio < BALANCE_LIMIT_RATIO


class _Clothing(NamedTuple):
    area_ratio: float
    insulation_m2_kelvin_per_w: float
    vapour_w_per_m2_per_kpa: float


def _clothing(air_speed_m_per_s: float, ground_speed_m_per_s: float, clothing_clo: float) -> _Clothing:
    """Return what thin clothing does while air moves and limbs swing (ISO 7933, up to 0.6 clo)."""
    v, wa = air_speed_m_per_s, ground_speed_m_per_s
    area_ratio = 1 + 0.28 * clothing_clo
    cloth = min(1.0, 1.044 * math.exp((0.066 * v - 0.398) * v + (0.094 * wa - 0.378) * wa))
    air = min(1.0, math.exp((0.047 * v - 0.472) * v + (0.117 * wa - 0.342) * wa))
    both = ((0.6 - clothing_clo) * air + clothing_clo * cloth) / 0.6
    still = STILL_AIR_INSULATION_M2_KELVIN_PER_W / area_ratio
    whole = (CLO_M2_KELVIN_PER_W * clothing_clo + still) * both
    permeability = min(0.9, 0.38 * ((2.6 * both - 6.5) * both + 4.9))
    return _Clothing(area_ratio, whole - still * air, 16.7 * permeability / whole)


def heat_balance(
    *,
    metabolic_w_per_m2: float,
    core_temp_c: float,
    air_temp_c: float,
    radiant_temp_c: float,
    humidity_frac: float,
    air_speed_m_per_s: float,
    ground_speed_m_per_s: float,
    clothing_clo: float,
) -> HeatBalance:
    """Return the heat balance of a person in steady work on the level, in up to 0.2 clo.

    Metabolic rate in W/m2, temperatures in C, humidity of 1, air speed past the body and speed over ground
    in m/s, clothing in clo. The surface temperature is found by repetition. Never NaN: air that takes no
    vapour, or more heat than sweat can shed, shows in `wettedness_ratio` (1.7 or more: `can_hold` is False).
    """
    v_m_per_s = min(air_speed_m_per_s, MOST_AIR_SPEED_M_PER_S)
    clothing = _clothing(v_m_per_s, min(ground_speed_m_per_s, MOST_GROUND_SPEED_M_PER_S), clothing_clo)
    vapour_kpa = saturated_vapour_kpa(temp_c=air_temp_c) * humidity_frac
    skin_c = skin_temp_c(
        air_temp_c=air_temp_c,
        radiant_temp_c=radiant_temp_c,
        vapour_kpa=vapour_kpa,
        air_speed_m_per_s=v_m_per_s,
        core_temp_c=core_temp_c,
    )
    convection = clothing.area_ratio * convection_w_per_m2_per_kelvin(air_speed_m_per_s=v_m_per_s)
    surface_c, before_c = skin_c, math.inf
    while abs(surface_c - before_c) > SURFACE_STOP_C:
        before_c = surface_c
        radiation = clothing.area_ratio * radiation_w_per_m2_per_kelvin(
            surface_temp_c=surface_c, radiant_temp_c=radiant_temp_c
        )
        taken = clothing.insulation_m2_kelvin_per_w * (convection * air_temp_c + radiation * radiant_temp_c)
        surface_c = (taken + skin_c) / (clothing.insulation_m2_kelvin_per_w * (convection + radiation) + 1)
    by_air = convection * (surface_c - air_temp_c)
    by_radiation = radiation * (surface_c - radiant_temp_c)
    by_breath = breath_convection_w_per_m2(
        metabolic_w_per_m2=metabolic_w_per_m2, air_temp_c=air_temp_c, vapour_kpa=vapour_kpa
    ) + breath_evaporation_w_per_m2(
        metabolic_w_per_m2=metabolic_w_per_m2, air_temp_c=air_temp_c, vapour_kpa=vapour_kpa
    )
    required = metabolic_w_per_m2 - by_breath - by_air - by_radiation
    possible = (saturated_vapour_kpa(temp_c=skin_c) - vapour_kpa) * clothing.vapour_w_per_m2_per_kpa
    return HeatBalance(
        skin_temp_c=skin_c,
        convection_w_per_m2=by_air,
        radiation_w_per_m2=by_radiation,
        required_evaporation_w_per_m2=required,
        max_evaporation_w_per_m2=possible,
        wettedness_ratio=required_wettedness(
            required_evaporation_w_per_m2=required, max_evaporation_w_per_m2=possible
        ),
        sweat_w_per_m2=required_sweat_w_per_m2(
            required_evaporation_w_per_m2=required, max_evaporation_w_per_m2=possible
        ),
    )
