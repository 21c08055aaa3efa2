"""What a metre or a minute of running, walking or cycling costs, on slopes and in the wind."""

from __future__ import annotations

import math

from provand.card import equation

AIR_ML_S3_PER_KG_PER_MIN_PER_M3 = 0.0245197
"""Léger and Mercier's cubic, 0.000525542 in km/h, turned into m/s: times 3.6 cubed."""


@equation(
    gives="cost_j_per_kg_per_m",
    source="minetti2002",
    at="regression of the cost of running on slope",
    mark="read2",
    population="10 trained runners on a treadmill",
    holds={"grade_frac": (-0.45, 0.45)},
    turns=("grade_frac",),
    note="Its own level cost, 3.6, stands above the measured 3.40; for ratios of slope to level use 3.6. Far "
    "outside it turns negative. Minetti 1994 put the cheapest slope at -10.6 % and 3.07.",
)
def minetti_running_j_per_kg_per_m(*, grade_frac: float) -> float:
    """Return the net cost of running a metre along a slope.

    Parameters: grade_frac, rise over distance, negative downhill [frac].
    Returns: cost above rest, per metre along the slope [J/kg/m].
    Equation: C = 155.4 i⁵ - 30.4 i⁴ - 43.3 i³ + 46.3 i² + 19.5 i + 3.6.
    Valid range: -0.45 to 0.45; outside it computes and the figure carries a caveat. Smooth the grade of a
    recorded course first.
    Source: Minetti 2002, doi 10.1152/japplphysiol.01177.2001.

    >>> round(minetti_running_j_per_kg_per_m(grade_frac=0.1), 4)
    5.9682
    """
    i = grade_frac
    return 3.6 + i * (19.5 + i * (46.3 + i * (-43.3 + i * (-30.4 + i * 155.4))))


@equation(
    gives="cost_j_per_kg_per_m",
    source="minetti2002",
    at="regression of the cost of walking on slope",
    mark="read2",
    population="10 trained runners on a treadmill, at their best walking speed",
    holds={"grade_frac": (-0.45, 0.45)},
    turns=("grade_frac",),
    note="Poor near level: it gives 2.5 where 1.64 was measured. Looney 2019 is the default for walking.",
)
def minetti_walking_j_per_kg_per_m(*, grade_frac: float) -> float:
    """Return the net cost of walking a metre along a slope at the best speed for it.

    Parameters: grade_frac, rise over distance, negative downhill [frac].
    Returns: cost above rest, per metre along the slope [J/kg/m].
    Equation: C = 280.5 i⁵ - 58.7 i⁴ - 76.8 i³ + 51.9 i² + 19.6 i + 2.5.
    Valid range: -0.45 to 0.45; outside it computes and the figure carries a caveat.
    Source: Minetti 2002, doi 10.1152/japplphysiol.01177.2001.

    >>> round(minetti_walking_j_per_kg_per_m(grade_frac=0.1), 4)
    4.8991
    """
    i = grade_frac
    return 2.5 + i * (19.6 + i * (51.9 + i * (-76.8 + i * (-58.7 + i * 280.5))))


@equation(
    gives="cost_ratio",
    source="minetti2002",
    at="regression of the cost of running, over its own level value 3.6",
    mark="computed",
    population="10 trained runners on a treadmill",
    holds={"grade_frac": (-0.45, 0.45)},
    turns=("grade_frac",),
)
def flat_equivalent_ratio(*, grade_frac: float) -> float:
    """Return the level distance that costs as much as one metre along a slope.

    Parameters: grade_frac, rise over distance, negative downhill [frac].
    Returns: cost on the slope over cost on the level [ratio].
    Equation: C(i) / C(0).
    Valid range: -0.45 to 0.45; outside it computes and the figure carries a caveat.
    Source: Minetti 2002, doi 10.1152/japplphysiol.01177.2001.

    >>> round(flat_equivalent_ratio(grade_frac=0.05), 4)
    1.3014
    """
    level = minetti_running_j_per_kg_per_m(grade_frac=0.0)
    return minetti_running_j_per_kg_per_m(grade_frac=grade_frac) / level


@equation(
    gives="oxygen_ml_per_kg_per_min",
    source="acsm2017",
    at="Table 6.3, running",
    mark="read",
    population="adults on a treadmill",
    holds={"speed_m_per_s": (134 / 60, 6.0), "grade_frac": (0.0, 0.2)},
    note="From 80 m/min if truly running. Not for downhill, nor for hills outdoors. The upper ends are ours.",
)
def acsm_running_ml_per_kg_per_min(*, speed_m_per_s: float, grade_frac: float) -> float:
    """Return the gross oxygen cost of running by the guideline's equation.

    Parameters: speed_m_per_s, speed [m/s]; grade_frac, rise over distance [frac].
    Returns: oxygen cost, rest included [ml/kg/min].
    Equation: VO2 = 3.5 + 0.2 S + 0.9 S G, S in m/min.
    Valid range: over 134 m/min, level or uphill; outside it computes and the figure carries a caveat.
    Source: ACSM's Guidelines, 10th edition, Table 6.3, in doi 10.1249/FIT.0000000000000577.

    >>> round(acsm_running_ml_per_kg_per_min(speed_m_per_s=160 / 60, grade_frac=0.05), 2)
    42.7
    """
    speed_m_per_min = 60 * speed_m_per_s
    return 3.5 + speed_m_per_min * (0.2 + 0.9 * grade_frac)


@equation(
    gives="oxygen_ml_per_kg_per_min",
    source="acsm2017",
    at="Table 6.3, walking",
    mark="read",
    population="adults on a treadmill",
    holds={"speed_m_per_s": (50 / 60, 100 / 60), "grade_frac": (0.0, 0.2)},
    note="Not for downhill. The upper end of the grade is ours.",
)
def acsm_walking_ml_per_kg_per_min(*, speed_m_per_s: float, grade_frac: float) -> float:
    """Return the gross oxygen cost of walking by the guideline's equation.

    Parameters: speed_m_per_s, speed [m/s]; grade_frac, rise over distance [frac].
    Returns: oxygen cost, rest included [ml/kg/min].
    Equation: VO2 = 3.5 + 0.1 S + 1.8 S G, S in m/min.
    Valid range: 50 to 100 m/min, level or uphill; outside it computes and the figure carries a caveat.
    Source: ACSM's Guidelines, 10th edition, Table 6.3, in doi 10.1249/FIT.0000000000000577.

    >>> round(acsm_walking_ml_per_kg_per_min(speed_m_per_s=1.5, grade_frac=0.1), 2)
    28.7
    """
    speed_m_per_min = 60 * speed_m_per_s
    return 3.5 + speed_m_per_min * (0.1 + 1.8 * grade_frac)


@equation(
    gives="oxygen_ml_per_kg_per_min",
    source="leger1984",
    at="abstract, treadmill",
    mark="read",
    population="130 men and women, trained and untrained, of 10 treadmill studies",
    holds={"speed_m_per_s": (8 / 3.6, 25 / 3.6)},
)
def leger_treadmill_ml_per_kg_per_min(*, speed_m_per_s: float) -> float:
    """Return the gross oxygen cost of running on a treadmill.

    Parameters: speed_m_per_s, speed [m/s].
    Returns: oxygen cost, rest included [ml/kg/min].
    Equation: VO2 = 2.209 + 3.163 v, v in km/h.
    Valid range: 8 to 25 km/h; outside it computes and the figure carries a caveat.
    Source: Léger & Mercier 1984, Sports Medicine 1:270-277 (PMID 6390604).

    >>> round(leger_treadmill_ml_per_kg_per_min(speed_m_per_s=12 / 3.6), 3)
    40.165
    """
    return 2.209 + 3.163 * 3.6 * speed_m_per_s


@equation(
    gives="oxygen_ml_per_kg_per_min",
    source="leger1984",
    at="abstract, air term of the track equation",
    mark="read",
    population="adults of average size; air term after Pugh 1970",
    holds={"speed_m_per_s": (8 / 3.6, 25 / 3.6)},
    note="The abstract has lost the exponent; it calls the equation cubic. At middle distance Pugh 1971 has "
    "7.5 % of the cost, Davies 1980 4 %: keep wind as a range. Below 4 m/s calm air may be left out.",
)
def calm_air_ml_per_kg_per_min(*, speed_m_per_s: float) -> float:
    """Return the oxygen cost of the runner's own wind in calm air.

    Parameters: speed_m_per_s, speed [m/s].
    Returns: oxygen cost to add to a treadmill's [ml/kg/min].
    Equation: VO2 = 0.000525542 v³, v in km/h.
    Valid range: 8 to 25 km/h; outside it computes and the figure carries a caveat.
    Source: Léger & Mercier 1984, Sports Medicine 1:270-277 (PMID 6390604).

    >>> round(calm_air_ml_per_kg_per_min(speed_m_per_s=3.0), 4)
    0.662
    """
    return AIR_ML_S3_PER_KG_PER_MIN_PER_M3 * speed_m_per_s * speed_m_per_s * speed_m_per_s


@equation(
    gives="oxygen_ml_per_kg_per_min",
    source="davies1980",
    at="efficiencies 0.35 in a head wind, -1.2 in a following wind; form ours",
    mark="estimate",
    population="3 men in a wind tunnel; air term of Léger and Mercier",
    turns=("speed_m_per_s",),
    note="For runners. A walker in a gale needs near three times as much (Pugh 1971).",
)
def wind_ml_per_kg_per_min(*, speed_m_per_s: float, headwind_m_per_s: float) -> float:
    """Return the oxygen cost of wind over that of calm air, for a runner.

    Parameters: speed_m_per_s, running speed [m/s]; headwind_m_per_s, wind against the runner at body
    height, negative from behind [m/s].
    Returns: oxygen cost over calm air, negative for help [ml/kg/min].
    Equation: 0.0245197 v ((v + w) |v + w| - v²); help counts 0.35 / 1.2 of it.
    Valid range: 8 to 25 km/h, winds up to a gale; a range, not a number: published shares differ twofold.
    Source: cubic of Léger & Mercier 1984 (PMID 6390604); efficiencies of Davies 1980, J Appl Physiol 48:702.

    >>> round(wind_ml_per_kg_per_min(speed_m_per_s=3.0, headwind_m_per_s=4.0), 4)
    2.9424
    """
    air_m_per_s = speed_m_per_s + headwind_m_per_s
    extra = air_m_per_s * abs(air_m_per_s) - speed_m_per_s * speed_m_per_s
    return AIR_ML_S3_PER_KG_PER_MIN_PER_M3 * speed_m_per_s * (max(extra, 0.0) + 0.35 / 1.2 * min(extra, 0.0))


@equation(
    gives="oxygen_l_per_min",
    source="pugh1971",
    at="summary, items 2 and 4",
    mark="read",
    population="one 65 kg runner and one 75 kg walker in a wind tunnel",
    holds={"wind_m_per_s": (0.0, 18.5), "tunnel_wind_m_per_s": (1.0, 18.5)},
)
def pugh_oxygen_l_per_min(
    *,
    calm_oxygen_l_per_min: float,
    tunnel_oxygen_l_per_min: float,
    tunnel_wind_m_per_s: float,
    wind_m_per_s: float,
) -> float:
    """Return a person's oxygen uptake against wind, from uptakes in calm air and in one wind.

    Parameters: calm_oxygen_l_per_min, uptake in calm air [L/min]; tunnel_oxygen_l_per_min, uptake in the
    wind of the test [L/min]; tunnel_wind_m_per_s, that wind [m/s]; wind_m_per_s, the wind asked for [m/s].
    Returns: oxygen uptake [L/min].
    Equation: VO2 = calm + (tunnel - calm) (w / w_tunnel)²: the rise goes with the square of the wind.
    Valid range: 0 to 18.5 m/s at one speed; outside it computes and the figure carries a caveat.
    Source: Pugh 1971, doi 10.1113/jphysiol.1971.sp009381.

    >>> vo2 = pugh_oxygen_l_per_min(calm_oxygen_l_per_min=0.8, tunnel_oxygen_l_per_min=3.1,
    ...                             tunnel_wind_m_per_s=18.5, wind_m_per_s=8.0)
    >>> round(vo2, 3)
    1.23
    """
    share = wind_m_per_s / tunnel_wind_m_per_s
    return calm_oxygen_l_per_min + (tunnel_oxygen_l_per_min - calm_oxygen_l_per_min) * share * share


@equation(
    gives="power_w_per_kg",
    source="looney2023",
    at="quadratic regression",
    mark="memory",
    population="1085 runners on treadmills, 18 to 44 years; R 0.89 (SD 0.06)",
    holds={"speed_m_per_s": (1.78, 5.22)},
    note="The range is the mean speed and two standard deviations. Coefficients from memory; they give the "
    "abstract's mean power at its mean speed and spread.",
)
def looney_running_w_per_kg(*, speed_m_per_s: float) -> float:
    """Return the gross metabolic power of level running.

    Parameters: speed_m_per_s, speed [m/s].
    Returns: metabolic power, rest included [W/kg].
    Equation: P = 4.43 + 1.51 v + 0.37 v².
    Valid range: 1.8 to 5.2 m/s; outside it computes and the figure carries a caveat.
    Source: Looney 2023, doi 10.1519/JSC.0000000000004626.

    >>> round(looney_running_w_per_kg(speed_m_per_s=3.5), 4)
    14.2475
    """
    return 4.43 + speed_m_per_s * (1.51 + 0.37 * speed_m_per_s)


@equation(
    gives="power_w_per_kg",
    source="looney2019",
    at="graded walking equation",
    mark="read2",
    population="95 people of 11 studies; SEE 0.20 W/kg level, 0.42 graded",
    holds={"speed_m_per_s": (0.0, 1.96), "grade_frac": (-0.40, 0.45)},
    turns=("speed_m_per_s", "grade_frac"),
    note="The paper's grade is in percent. One copy has 1.11 for 1.1, others S² for S⁴: both are wrong.",
)
def looney_walking_w_per_kg(*, speed_m_per_s: float, grade_frac: float) -> float:
    """Return the gross metabolic power of walking on a slope.

    Parameters: speed_m_per_s, speed [m/s]; grade_frac, rise over distance, negative downhill [frac].
    Returns: metabolic power, rest included [W/kg].
    Equation: P = 1.44 + 1.94 S^0.43 + 0.24 S⁴ + 0.34 S G (1 - 1.05^(1 - 1.1^(G + 32))), G in percent.
    Valid range: up to 1.96 m/s, -40 to 45 %; outside it computes and the figure carries a caveat.
    Source: Looney 2019, doi 10.1249/MSS.0000000000002002.

    >>> round(looney_walking_w_per_kg(speed_m_per_s=1.3, grade_frac=0.1), 4)
    8.3964
    """
    grade_percent = 100 * grade_frac
    square = speed_m_per_s * speed_m_per_s
    level = 1.44 + 1.94 * math.pow(speed_m_per_s, 0.43) + 0.24 * square * square
    slope = 1 - math.pow(1.05, 1 - math.pow(1.1, grade_percent + 32))
    return level + 0.34 * speed_m_per_s * grade_percent * slope


@equation(
    gives="power_w",
    source="martin1998",
    at="model of road cycling power at steady speed",
    mark="read2",
    population="6 cyclists on a road; standard error 2.7 W",
    holds={"speed_m_per_s": (5.0, 15.0), "grade_frac": (-0.1, 0.2), "air_speed_m_per_s": (0.0, 25.0)},
    turns=("speed_m_per_s",),
    note="Fw 0.0044 m², Crr 0.0032 and chain efficiency 0.976 are the paper's; the ranges are ours. This is "
    "mechanical power: the body spends four to five times as much.",
)
def martin_cycling_w(
    *,
    speed_m_per_s: float,
    air_speed_m_per_s: float,
    grade_frac: float,
    total_mass_kg: float,
    drag_area_m2: float,
    air_density_kg_per_m3: float,
) -> float:
    """Return the power a cyclist must put into the pedals at a steady speed.

    Parameters: speed_m_per_s, speed over the road [m/s]; air_speed_m_per_s, speed through the air [m/s];
    grade_frac, rise over distance [frac]; total_mass_kg, rider and bicycle [kg]; drag_area_m2, CdA [m2];
    air_density_kg_per_m3, density of air [kg/m3].
    Returns: mechanical power [W].
    Equation: P = (½ rho (CdA + Fw) va² v + Crr m g v cos + v (91 + 8.7 v) / 1000 + m g v sin) / Ec.
    Valid range: steady riding on paved road; outside it computes and the figure carries a caveat.
    Source: Martin 1998, doi 10.1123/jab.14.3.276.

    >>> power = martin_cycling_w(speed_m_per_s=9, air_speed_m_per_s=9, grade_frac=0, total_mass_kg=85,
    ...                          drag_area_m2=0.32, air_density_kg_per_m3=1.2)
    >>> round(power, 2)
    171.55
    """
    slope_rad = math.atan(grade_frac)
    weight = total_mass_kg * 9.81
    air = 0.5 * air_density_kg_per_m3 * (drag_area_m2 + 0.0044) * air_speed_m_per_s * air_speed_m_per_s
    road = weight * (0.0032 * math.cos(slope_rad) + math.sin(slope_rad))
    bearings = (91 + 8.7 * speed_m_per_s) / 1000
    return speed_m_per_s * (air + road + bearings) / 0.976
