"""Wet-bulb globe temperature from a weather forecast: Liljegren's globe and wick, and the sums of ISO 7243.

Written anew from the published model and the constants of its authors' program, version 1.1.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from provand.card import equation

STEFAN_W_PER_M2_PER_KELVIN4 = 5.6696e-8
SOLAR_CONSTANT_W_PER_M2 = 1367.0
AIR_HEAT_J_PER_KG_PER_KELVIN = 1003.5
AIR_KG_PER_KMOL = 28.97
WATER_KG_PER_KMOL = 18.015
AIR_GAS_J_PER_KG_PER_KELVIN = 8314.34 / AIR_KG_PER_KMOL
PRANDTL = AIR_HEAT_J_PER_KG_PER_KELVIN / (AIR_HEAT_J_PER_KG_PER_KELVIN + 1.25 * AIR_GAS_J_PER_KG_PER_KELVIN)
GLOBE_DIAMETER_M = 0.0508
GLOBE_EMISSIVITY = 0.95
GLOBE_ALBEDO = 0.05
WICK_DIAMETER_M = 0.007
WICK_LENGTH_M = 0.0254
WICK_EMISSIVITY = 0.95
WICK_ALBEDO = 0.4
GROUND_EMISSIVITY = 0.999
GROUND_ALBEDO = 0.45
LEAST_WIND_M_PER_S = 0.13
LEAST_COS_ZENITH = 0.00873
"""Half a degree above the horizon: below it the sun counts as set for the direct beam."""

ZERO_C_KELVIN = 273.15
LEAST_STOP_KELVIN = 1e-9
INSTRUMENT = "physics of the instrument; within 1 C of measurements at seven depots"


@equation(
    gives="vapour_hpa",
    source="liljegren2008",
    at="saturated vapour over water, authors' program",
    mark="read",
    population="physics",
    holds={"temp_kelvin": (255, 325)},
)
def moist_vapour_hpa(*, temp_kelvin: float) -> float:
    """Return the pressure of water vapour in saturated moist air.

    Parameters: temp_kelvin [K].
    Returns: vapour pressure [hPa].
    Equation: 1.004 * 6.1121 exp(17.502 (T - 273.15) / (T - 32.18)).
    Valid range: over water, -18 to 52 C.
    Source: Liljegren 2008 (10.1080/15459620802310770).

    >>> round(moist_vapour_hpa(temp_kelvin=293.15), 2)
    23.47
    """
    return 1.004 * 6.1121 * math.exp(17.502 * (temp_kelvin - ZERO_C_KELVIN) / (temp_kelvin - 32.18))


@equation(
    gives="viscosity_kg_per_m_per_s",
    source="liljegren2008",
    at="viscosity of air, authors' program",
    mark="read",
    population="physics",
    holds={"temp_kelvin": (250, 340)},
)
def air_viscosity_kg_per_m_per_s(*, temp_kelvin: float) -> float:
    """Return the viscosity of air.

    Parameters: temp_kelvin [K].
    Returns: dynamic viscosity [kg/m/s].
    Equation: 2.6693e-6 sqrt(28.97 T) / (3.617^2 om), om = 1.048 - 0.034 (T/97 - 2.9) / 0.4.
    Valid range: temperatures of weather.
    Source: Liljegren 2008 (10.1080/15459620802310770).

    >>> f"{air_viscosity_kg_per_m_per_s(temp_kelvin=300.0):.3g}"
    '1.84e-05'
    """
    collision = 1.048 - 0.034 * (temp_kelvin / 97 - 2.9) / 0.4
    return 2.6693e-6 * math.sqrt(AIR_KG_PER_KMOL * temp_kelvin) / (3.617 * 3.617 * collision)


@equation(
    gives="conductivity_w_per_m_per_kelvin",
    source="liljegren2008",
    at="thermal conductivity of air, authors' program",
    mark="read",
    population="physics",
    holds={"temp_kelvin": (250, 340)},
)
def air_conductivity_w_per_m_per_kelvin(*, temp_kelvin: float) -> float:
    """Return the thermal conductivity of air.

    Parameters: temp_kelvin [K].
    Returns: conductivity [W/m/K].
    Equation: (Cp + 1.25 Ra) * viscosity.
    Valid range: temperatures of weather.
    Source: Liljegren 2008 (10.1080/15459620802310770).

    >>> round(air_conductivity_w_per_m_per_kelvin(temp_kelvin=300.0), 4)
    0.0251
    """
    per_viscosity = AIR_HEAT_J_PER_KG_PER_KELVIN + 1.25 * AIR_GAS_J_PER_KG_PER_KELVIN
    return per_viscosity * air_viscosity_kg_per_m_per_s(temp_kelvin=temp_kelvin)


@equation(
    gives="heat_j_per_kg",
    source="liljegren2008",
    at="heat of vaporisation, authors' program",
    mark="read",
    population="physics",
    holds={"temp_kelvin": (283, 313)},
    note="the authors' program has the slope's sign turned: handbooks fall from 2.478e6 at 10 C to 2.407e6 "
    "at 40 C. Kept, as the published accuracy is that of the program; the wet bulb moves by up to 0.15 C",
)
def vaporisation_j_per_kg(*, temp_kelvin: float) -> float:
    """Return the heat that evaporates a kilogram of water.

    Parameters: temp_kelvin [K].
    Returns: heat [J/kg].
    Equation: 2.4073e6 - 71100 (313.15 - T) / 30, as the authors' program has it.
    Valid range: 10 to 40 C; true values fall as water warms, this line rises: 6 % too low at 10 C.
    Source: Liljegren 2008 (10.1080/15459620802310770).

    >>> round(vaporisation_j_per_kg(temp_kelvin=313.15))
    2407300
    """
    return 2.4073e6 - 71100 * (313.15 - temp_kelvin) / 30


@equation(
    gives="diffusivity_m2_per_s",
    source="liljegren2008",
    at="diffusivity of water vapour in air, authors' program",
    mark="read",
    population="physics",
    holds={"temp_kelvin": (250, 340), "pressure_hpa": (600, 1080)},
)
def vapour_diffusivity_m2_per_s(*, temp_kelvin: float, pressure_hpa: float) -> float:
    """Return how fast water vapour spreads in air.

    Parameters: temp_kelvin [K]; pressure_hpa [hPa].
    Returns: diffusivity [m2/s].
    Equation: 3.64e-8 (T / sqrt(132 * 647.3))^2.334 (36.4 * 218)^(1/3) (132 * 647.3)^(5/12)
    sqrt(1/28.97 + 1/18.015) / (p / 1013.25).
    Valid range: weather.
    Source: Liljegren 2008 (10.1080/15459620802310770).

    >>> f"{vapour_diffusivity_m2_per_s(temp_kelvin=298.15, pressure_hpa=1013.25):.3g}"
    '2.59e-05'
    """
    temps = 132 * 647.3
    critical = math.pow(36.4 * 218, 1 / 3) * math.pow(temps, 5 / 12)
    masses = math.sqrt(1 / AIR_KG_PER_KMOL + 1 / WATER_KG_PER_KMOL)
    warmth = math.pow(temp_kelvin / math.sqrt(temps), 2.334)
    return 3.64e-8 * warmth * critical * masses / (pressure_hpa / 1013.25)


@equation(
    gives="emissivity_ratio",
    source="liljegren2008",
    at="emissivity of the clear sky, authors' program",
    mark="read",
    population="physics",
    holds={"vapour_hpa": (1, 60)},
)
def sky_emissivity_ratio(*, vapour_hpa: float) -> float:
    """Return the emissivity of the sky from the vapour near the ground.

    Parameters: vapour_hpa [hPa].
    Returns: emissivity [ratio].
    Equation: 0.575 e^0.143.
    Valid range: clear sky; clouds emit more.
    Source: Liljegren 2008 (10.1080/15459620802310770).

    >>> round(sky_emissivity_ratio(vapour_hpa=17.0), 3)
    0.862
    """
    return 0.575 * math.pow(vapour_hpa, 0.143)


@equation(
    gives="solar_w_per_m2",
    source="liljegren2008",
    at="limit of 0.85 of the sun outside the air, authors' program",
    mark="read",
    population="physics",
    holds={"solar_w_per_m2": (0, 1300), "cos_zenith_ratio": (0.01, 1), "sun_distance_ratio": (0.98, 1.02)},
)
def possible_solar_w_per_m2(
    *, solar_w_per_m2: float, cos_zenith_ratio: float, sun_distance_ratio: float
) -> float:
    """Return a sunshine reading, held to what can reach the ground.

    Parameters: solar_w_per_m2, on level ground [W/m2]; cos_zenith_ratio; sun_distance_ratio, 1 = mean.
    Returns: sunshine on level ground [W/m2].
    Equation: min(S, 0.85 * 1367 cos z / d^2); below half a degree of sun S is kept.
    Valid range: any.
    Source: Liljegren 2008 (10.1080/15459620802310770).

    >>> possible_solar_w_per_m2(solar_w_per_m2=500.0, cos_zenith_ratio=0.6, sun_distance_ratio=1.0)
    500.0
    """
    if cos_zenith_ratio < LEAST_COS_ZENITH:
        return solar_w_per_m2
    outside = SOLAR_CONSTANT_W_PER_M2 * cos_zenith_ratio / (sun_distance_ratio * sun_distance_ratio)
    return min(solar_w_per_m2, 0.85 * outside)


@equation(
    gives="direct_frac",
    source="liljegren2008",
    at="direct share of sunshine, authors' program",
    mark="read",
    population="physics",
    holds={"solar_w_per_m2": (20, 1300), "cos_zenith_ratio": (0.01, 1), "sun_distance_ratio": (0.98, 1.02)},
)
def direct_beam_frac(*, solar_w_per_m2: float, cos_zenith_ratio: float, sun_distance_ratio: float) -> float:
    """Return the share of sunshine that comes straight from the sun.

    Parameters: solar_w_per_m2, on level ground [W/m2]; cos_zenith_ratio; sun_distance_ratio, 1 = mean.
    Returns: direct share [of 1], 0 when the sun is down.
    Equation: n = min(0.85, S d^2 / (1367 cos z)); exp(3 - 1.34 n - 1.65 / n), at most 0.9.
    Valid range: any.
    Source: Liljegren 2008 (10.1080/15459620802310770).

    >>> round(direct_beam_frac(solar_w_per_m2=500.0, cos_zenith_ratio=0.6, sun_distance_ratio=1.0), 3)
    0.592
    """
    if cos_zenith_ratio < LEAST_COS_ZENITH or solar_w_per_m2 <= 0:
        return 0.0
    outside = SOLAR_CONSTANT_W_PER_M2 * cos_zenith_ratio / (sun_distance_ratio * sun_distance_ratio)
    clearness = min(0.85, solar_w_per_m2 / outside)
    return min(math.exp(3 - 1.34 * clearness - 1.65 / clearness), 0.9)


def _settled(step: Callable[[float], float], start: float, stop: float) -> float:
    """Return the fixed point of `step` by Liljegren's damped repetition, to within `stop`.

    A tenth of each step is taken, as in the authors' program; where that overshoots (hot, humid, high up)
    the share is halved, so that it always settles.
    """
    x, share = start, 0.1
    found = step(x)
    while abs(found - x) >= max(stop, LEAST_STOP_KELVIN):
        moved = found - x
        x += share * moved
        found = step(x)
        if (found - x) * moved < 0:
            share /= 2
    return found


def _convection(
    *, film: float, pressure: float, wind: float, diameter: float, shape: Callable[[float], float]
) -> float:
    """Return a convection coefficient (W/m2/K) from the film temperature (K) and a shape's Nusselt number."""
    density = pressure * 100 / (AIR_GAS_J_PER_KG_PER_KELVIN * film)
    viscosity = air_viscosity_kg_per_m_per_s(temp_kelvin=film)
    reynolds = max(wind, LEAST_WIND_M_PER_S) * density * diameter / viscosity
    return shape(reynolds) * air_conductivity_w_per_m_per_kelvin(temp_kelvin=film) / diameter


def _sphere(reynolds: float) -> float:
    return 2 + 0.6 * math.sqrt(reynolds) * math.pow(PRANDTL, 0.3333)


def _cylinder(reynolds: float) -> float:
    return 0.281 * math.pow(reynolds, 0.6) * math.pow(PRANDTL, 0.44)


def _fourth(kelvin: float) -> float:
    return kelvin * kelvin * kelvin * kelvin


WEATHER: dict[str, tuple[float, float]] = {
    "air_temp_c": (-10, 50),
    "humidity_frac": (0.05, 1),
    "pressure_hpa": (600, 1080),
    "wind_m_per_s": (0.13, 15),
    "solar_w_per_m2": (0, 1150),
    "direct_frac": (0, 0.9),
    "cos_zenith_ratio": (0.1, 1),
}


@equation(
    gives="globe_temp_c",
    source="liljegren2008",
    at="globe equation, authors' program",
    mark="read",
    population=INSTRUMENT,
    holds=WEATHER,
    turns=("stop_kelvin",),
)
def globe_temp_c(
    *,
    air_temp_c: float,
    humidity_frac: float,
    pressure_hpa: float,
    wind_m_per_s: float,
    solar_w_per_m2: float,
    direct_frac: float,
    cos_zenith_ratio: float,
    stop_kelvin: float,
) -> float:
    """Return what a black globe would show.

    Parameters: air_temp_c [C]; humidity_frac [of 1]; pressure_hpa [hPa]; wind_m_per_s, at 2 m [m/s];
    solar_w_per_m2, on level ground [W/m2]; direct_frac, direct share [of 1]; cos_zenith_ratio;
    stop_kelvin, the repetition ends when a step moves less [K], 0.02 in the authors' program.
    Returns: globe temperature [C].
    Equation: Tg^4 = 0.5 (ea + 0.999) Ta^4 - h (Tg - Ta) / (0.95 sigma)
    + 0.95 S / (2 * 0.95 sigma) (fd (1 / (2 cos z) - 1) + 1.45).
    Valid range: wind below 0.13 m/s counts as 0.13; a settled answer differs by up to 0.02 K.
    Source: Liljegren 2008 (10.1080/15459620802310770).

    >>> round(globe_temp_c(air_temp_c=20.0, humidity_frac=0.6, pressure_hpa=1013.25, wind_m_per_s=2.0,
    ...     solar_w_per_m2=500.0, direct_frac=0.592, cos_zenith_ratio=0.6, stop_kelvin=1e-6), 1)
    30.2
    """
    air = air_temp_c + ZERO_C_KELVIN
    sky = sky_emissivity_ratio(vapour_hpa=humidity_frac * moist_vapour_hpa(temp_kelvin=air))
    surroundings = 0.5 * (sky + GROUND_EMISSIVITY) * _fourth(air)
    beam = direct_frac / (2 * cos_zenith_ratio) - direct_frac if direct_frac > 0 else 0.0
    absorbed = (1 - GLOBE_ALBEDO) * solar_w_per_m2 / 2 * (beam + 1 + GROUND_ALBEDO)
    emitted = GLOBE_EMISSIVITY * STEFAN_W_PER_M2_PER_KELVIN4

    def step(globe: float) -> float:
        h = _convection(
            film=(globe + air) / 2,
            pressure=pressure_hpa,
            wind=wind_m_per_s,
            diameter=GLOBE_DIAMETER_M,
            shape=_sphere,
        )
        return math.pow(surroundings + (absorbed - h * (globe - air)) / emitted, 0.25)

    return _settled(step, air, stop_kelvin) - ZERO_C_KELVIN


@equation(
    gives="wet_bulb_c",
    source="liljegren2008",
    at="natural wet bulb equation, authors' program",
    mark="read",
    population=INSTRUMENT,
    holds=WEATHER,
    turns=("pressure_hpa", "stop_kelvin"),
)
def natural_wet_bulb_c(
    *,
    air_temp_c: float,
    humidity_frac: float,
    pressure_hpa: float,
    wind_m_per_s: float,
    solar_w_per_m2: float,
    direct_frac: float,
    cos_zenith_ratio: float,
    stop_kelvin: float,
) -> float:
    """Return what a wet wick in the open would show.

    Parameters: as for the globe.
    Returns: natural wet-bulb temperature [C].
    Equation: Tw = Ta - (Lv Mw / (Cp Ma)) (ew - ea) / (p - ew) (Pr / Sc)^0.56 + F / h, F the radiation
    taken from sky, ground and sun less that given off.
    Valid range: wind below 0.13 m/s counts as 0.13; a settled answer differs by up to 0.02 K.
    Source: Liljegren 2008 (10.1080/15459620802310770).

    >>> round(natural_wet_bulb_c(air_temp_c=20.0, humidity_frac=0.6, pressure_hpa=1013.25, wind_m_per_s=2.0,
    ...     solar_w_per_m2=500.0, direct_frac=0.592, cos_zenith_ratio=0.6, stop_kelvin=1e-6), 1)
    17.2
    """
    air = air_temp_c + ZERO_C_KELVIN
    vapour = humidity_frac * moist_vapour_hpa(temp_kelvin=air)
    surroundings = 0.5 * (sky_emissivity_ratio(vapour_hpa=vapour) + GROUND_EMISSIVITY) * _fourth(air)
    end = WICK_DIAMETER_M / (4 * WICK_LENGTH_M)
    slant = math.tan(math.acos(cos_zenith_ratio)) / math.pi if direct_frac > 0 else 0.0
    lit = (1 - direct_frac) * (1 + end) + direct_frac * (slant + end) + GROUND_ALBEDO
    absorbed = (1 - WICK_ALBEDO) * solar_w_per_m2 * lit
    emitted = WICK_EMISSIVITY * STEFAN_W_PER_M2_PER_KELVIN4
    masses = WATER_KG_PER_KMOL / (AIR_HEAT_J_PER_KG_PER_KELVIN * AIR_KG_PER_KMOL)

    def step(wick: float) -> float:
        film = (wick + air) / 2
        h = _convection(
            film=film, pressure=pressure_hpa, wind=wind_m_per_s, diameter=WICK_DIAMETER_M, shape=_cylinder
        )
        density = pressure_hpa * 100 / (AIR_GAS_J_PER_KG_PER_KELVIN * film)
        spread = density * vapour_diffusivity_m2_per_s(temp_kelvin=film, pressure_hpa=pressure_hpa)
        schmidt = air_viscosity_kg_per_m_per_s(temp_kelvin=film) / spread
        wet = moist_vapour_hpa(temp_kelvin=wick)
        drying = (wet - vapour) / (pressure_hpa - wet) * math.pow(PRANDTL / schmidt, 0.56)
        gained = emitted * (surroundings - _fourth(wick)) + absorbed
        return air - vaporisation_j_per_kg(temp_kelvin=film) * masses * drying + gained / h

    return _settled(step, _dew_point(vapour), stop_kelvin) - ZERO_C_KELVIN


def _dew_point(vapour: float) -> float:
    """Return the dew point (K) of a vapour pressure (hPa): the start of the wick's repetition."""
    z = math.log(vapour / (6.1121 * 1.004))
    return ZERO_C_KELVIN + 240.97 * z / (17.502 - z)


@equation(
    gives="wbgt_c",
    source="iso7243",
    at="with solar load",
    mark="pkg",
    population="definition",
    holds={"natural_wet_bulb_c": (-10, 40), "globe_temp_c": (-10, 75), "air_temp_c": (-10, 50)},
)
def wbgt_sun_c(*, natural_wet_bulb_c: float, globe_temp_c: float, air_temp_c: float) -> float:
    """Return the wet-bulb globe temperature in sun.

    Parameters: natural_wet_bulb_c, globe_temp_c, air_temp_c [C].
    Returns: WBGT [C].
    Equation: 0.7 Tnwb + 0.2 Tg + 0.1 Ta.
    Valid range: the definition.
    Source: ISO 7243.

    >>> round(wbgt_sun_c(natural_wet_bulb_c=25.0, globe_temp_c=32.0, air_temp_c=20.0), 1)
    25.9
    """
    return 0.7 * natural_wet_bulb_c + 0.2 * globe_temp_c + 0.1 * air_temp_c


@equation(
    gives="wbgt_c",
    source="iso7243",
    at="without solar load",
    mark="pkg",
    population="definition",
    holds={"natural_wet_bulb_c": (-10, 40), "globe_temp_c": (-10, 75)},
)
def wbgt_shade_c(*, natural_wet_bulb_c: float, globe_temp_c: float) -> float:
    """Return the wet-bulb globe temperature without sun.

    Parameters: natural_wet_bulb_c, globe_temp_c [C].
    Returns: WBGT [C].
    Equation: 0.7 Tnwb + 0.3 Tg.
    Valid range: the definition.
    Source: ISO 7243.

    >>> round(wbgt_shade_c(natural_wet_bulb_c=25.0, globe_temp_c=32.0), 1)
    27.1
    """
    return 0.7 * natural_wet_bulb_c + 0.3 * globe_temp_c


@equation(
    gives="wbgt_c",
    source="liljegren2008",
    at="globe and wet bulb summed by iso7243",
    mark="computed",
    population=INSTRUMENT,
    holds=WEATHER,
    turns=("pressure_hpa", "wind_m_per_s", "direct_frac", "stop_kelvin"),
)
def outdoor_wbgt_c(
    *,
    air_temp_c: float,
    humidity_frac: float,
    pressure_hpa: float,
    wind_m_per_s: float,
    solar_w_per_m2: float,
    direct_frac: float,
    cos_zenith_ratio: float,
    stop_kelvin: float,
) -> float:
    """Return the wet-bulb globe temperature outdoors from the weather.

    Parameters: as for the globe; at night sun 0 and direct share 0.
    Returns: WBGT [C].
    Equation: 0.7 Tnwb + 0.2 Tg + 0.1 Ta, with Liljegren's wick and globe.
    Valid range: within 1 C of measurements.
    Source: Liljegren 2008 (10.1080/15459620802310770), ISO 7243.

    >>> round(outdoor_wbgt_c(air_temp_c=20.0, humidity_frac=0.6, pressure_hpa=1013.25, wind_m_per_s=2.0,
    ...     solar_w_per_m2=500.0, direct_frac=0.592, cos_zenith_ratio=0.6, stop_kelvin=1e-6), 1)
    20.1
    """
    wet_bulb_c = natural_wet_bulb_c(
        air_temp_c=air_temp_c,
        humidity_frac=humidity_frac,
        pressure_hpa=pressure_hpa,
        wind_m_per_s=wind_m_per_s,
        solar_w_per_m2=solar_w_per_m2,
        direct_frac=direct_frac,
        cos_zenith_ratio=cos_zenith_ratio,
        stop_kelvin=stop_kelvin,
    )
    globe_c = globe_temp_c(
        air_temp_c=air_temp_c,
        humidity_frac=humidity_frac,
        pressure_hpa=pressure_hpa,
        wind_m_per_s=wind_m_per_s,
        solar_w_per_m2=solar_w_per_m2,
        direct_frac=direct_frac,
        cos_zenith_ratio=cos_zenith_ratio,
        stop_kelvin=stop_kelvin,
    )
    return wbgt_sun_c(natural_wet_bulb_c=wet_bulb_c, globe_temp_c=globe_c, air_temp_c=air_temp_c)


@equation(
    gives="wbgt_c",
    source="brimicombe2023",
    at="approximation of the Australian bureau, sun and wind fixed",
    mark="read",
    population="moderately strong sun, light wind",
    holds={"air_temp_c": (0, 50), "humidity_frac": (0.05, 1)},
    note="not adequate: for comparison with tables that use it; sun and wind are fixed inside it",
)
def approximate_wbgt_c(*, air_temp_c: float, humidity_frac: float) -> float:
    """Return a rough WBGT from temperature and humidity alone.

    Parameters: air_temp_c [C]; humidity_frac [of 1].
    Returns: WBGT [C].
    Equation: 0.567 Ta + 0.393 e + 3.94, e = RH * 6.105 exp(17.27 Ta / (237.7 + Ta)) hPa.
    Valid range: one assumed sun and wind; several degrees off at night and in strong sun.
    Source: Brimicombe 2023 (10.1029/2022GH000701).

    >>> round(approximate_wbgt_c(air_temp_c=20.0, humidity_frac=0.6), 2)
    20.78
    """
    vapour_hpa = humidity_frac * 6.105 * math.exp(17.27 * air_temp_c / (237.7 + air_temp_c))
    return 0.567 * air_temp_c + 0.393 * vapour_hpa + 3.94
