"""What heat does to pace, the flags that say so, and the sun and wind that reach a runner."""

from __future__ import annotations

import math
from typing import Literal

from provand.card import equation

Flag = Literal["white", "green", "yellow", "red", "black"]

NO_SLOWING_BELOW_C = 10.0
"""WBGT up to which heat is taken to cost no time."""

FLAG_FROM_C: tuple[tuple[float, Flag], ...] = ((10.0, "green"), (18.0, "yellow"), (23.0, "red"))
"""WBGT from which a flag flies; black flies above 28, and exactly 28 is still red."""

BLACK_ABOVE_C = 28.0


def flag(*, wbgt_c: float) -> Flag:
    """Return the colour of the heat flag for a WBGT in C (armstrong2007; half-open by us, 28 still red)."""
    if wbgt_c > BLACK_ABOVE_C:
        return "black"
    colour: Flag = "white"
    for from_c, name in FLAG_FROM_C:
        if wbgt_c >= from_c:
            colour = name
    return colour


@equation(
    gives="slow_down_frac",
    source="ely2007",
    at="finish times of top men by quarter of WBGT; the line is ours",
    mark="estimate",
    population="top three men of seven marathons; slower runners lose more",
    holds={"wbgt_c": (5, 25), "slowing_frac_per_c": (0.0019, 0.0057)},
    note="always a range: 0.0019 to 0.0057 per degree; pace first, then sweat at that pace",
)
def heat_slow_down_frac(*, wbgt_c: float, slowing_frac_per_c: float) -> float:
    """Return how much slower heat makes a long race.

    Parameters: wbgt_c [C]; slowing_frac_per_c, slow-down for each degree above 10 [1/C].
    Returns: share of time added [of 1].
    Equation: a * max(0, WBGT - 10).
    Valid range: marathons run in WBGT 5 to 25 C.
    Source: our line through Ely 2007 (10.1249/mss.0b013e31802d3aba).

    >>> round(heat_slow_down_frac(wbgt_c=20.0, slowing_frac_per_c=0.0019), 4)
    0.019
    """
    return slowing_frac_per_c * max(wbgt_c - NO_SLOWING_BELOW_C, 0.0)


@equation(
    gives="unsuccessful_frac",
    source="roberts2010",
    at="quadratic of starters treated or not finishing on WBGT",
    mark="read2",
    population="one marathon in the north, not acclimatised, 1 to 25 C",
    holds={"wbgt_c": (1, 25)},
    turns=("wbgt_c",),
)
def unsuccessful_starters_frac(*, wbgt_c: float) -> float:
    """Return the share of starters who did not finish or needed care, by WBGT at the start.

    Parameters: wbgt_c [C].
    Returns: share of starters [of 1].
    Equation: (0.514 W^2 - 8.097 W + 78.926) / 1000.
    Valid range: 1 to 25 C; least at 7.9 C. One race: for the organiser's talk, not for one athlete.
    Source: Roberts 2010 (10.1249/MSS.0b013e3181b1cdcf), quoted second-hand.

    >>> round(unsuccessful_starters_frac(wbgt_c=20.5), 4)
    0.1289
    """
    return (wbgt_c * (0.514 * wbgt_c - 8.097) + 78.926) / 1000


@equation(
    gives="solar_w_per_m2",
    source="haurwitz1945",
    at="clear-sky formula, coefficients as a public implementation has them",
    mark="pkg",
    population="clear sky, sea level to modest height",
    holds={"cos_zenith_ratio": (0.02, 1)},
    note="texts also print 0.057 in the exponent; 0.059 is what the implementation and its test values hold",
)
def clear_sky_w_per_m2(*, cos_zenith_ratio: float) -> float:
    """Return the sunshine on level ground under a clear sky.

    Parameters: cos_zenith_ratio, cosine of the sun's distance from overhead, above 0.
    Returns: sunshine [W/m2].
    Equation: 1098 cos z exp(-0.059 / cos z).
    Valid range: sun above the horizon; no haze, no height.
    Source: Haurwitz 1945 (J Meteorol 2:154).

    >>> round(clear_sky_w_per_m2(cos_zenith_ratio=0.5), 1)
    487.9
    """
    return 1098 * cos_zenith_ratio * math.exp(-0.059 / cos_zenith_ratio)


@equation(
    gives="cloud_ratio",
    source="kasten1980",
    at="sunshine under cloud over clear sky",
    mark="memory",
    population="ten years of hourly records of one city",
    holds={"cloud_frac": (0, 1)},
)
def cloud_ratio(*, cloud_frac: float) -> float:
    """Return what clouds leave of the sunshine of a clear sky.

    Parameters: cloud_frac, share of the sky covered [of 1].
    Returns: sunshine over clear sunshine [ratio].
    Equation: 1 - 0.75 N^3.4.
    Valid range: averages; thin high cloud lets more through.
    Source: Kasten and Czeplak 1980 (Solar Energy 24:177).

    >>> cloud_ratio(cloud_frac=1.0)
    0.25
    """
    return 1 - 0.75 * math.pow(cloud_frac, 3.4)


@equation(
    gives="sun_distance_ratio",
    source="liljegren2008",
    at="the public test of its program prints 1.0142 for 1 June 2000",
    mark="memory",
    population="astronomy",
    holds={"day_of_year_count": (1, 366)},
    turns=("day_of_year_count",),
)
def sun_distance_ratio(*, day_of_year_count: float) -> float:
    """Return the distance of the sun over its mean.

    Parameters: day_of_year_count, 1 for 1 January.
    Returns: distance [ratio].
    Equation: 1 - 0.01672 cos(2 pi (day - 4) / 365.256).
    Valid range: any year of our time, to 0.0005.
    Source: eccentricity and perihelion of the earth, from memory.

    >>> round(sun_distance_ratio(day_of_year_count=153.0), 3)
    1.014
    """
    return 1 - 0.01672 * math.cos(2 * math.pi * (day_of_year_count - 4) / 365.256)


@equation(
    gives="wind_m_per_s",
    source="liljegren2008",
    at="power-law profile",
    mark="read",
    population="open country or town, by the exponent",
    holds={
        "wind_m_per_s": (0, 20),
        "from_height_m": (2, 30),
        "to_height_m": (1, 10),
        "profile_ratio": (0.07, 0.55),
    },
)
def wind_at_height_m_per_s(
    *, wind_m_per_s: float, from_height_m: float, to_height_m: float, profile_ratio: float
) -> float:
    """Return the wind at another height: a forecast's 10 m down to a runner's 2 m.

    Parameters: wind_m_per_s, where it is known [m/s]; from_height_m, to_height_m [m];
    profile_ratio, exponent by stability of the air, A very unstable to F stable: in town 0.15, 0.15, 0.20,
    0.25, 0.30, 0.30; in the country 0.07, 0.07, 0.10, 0.15, 0.35, 0.55.
    Returns: wind [m/s].
    Equation: u (z2 / z1)^p.
    Valid range: level ground; between houses anything may blow.
    Source: Liljegren 2008 (10.1080/15459620802310770).

    >>> round(wind_at_height_m_per_s(wind_m_per_s=4.0, from_height_m=10.0, to_height_m=2.0,
    ...                              profile_ratio=0.25), 2)
    2.67
    """
    return wind_m_per_s * math.pow(to_height_m / from_height_m, profile_ratio)


@equation(
    gives="projected_ratio",
    source="jendritzky1990",
    at="standing person, mean over all headings",
    mark="memory",
    population="standing adults",
    holds={"sun_elevation_deg": (0, 90)},
)
def projected_area_ratio(*, sun_elevation_deg: float) -> float:
    """Return the share of a standing person's surface that the sun sees, averaged over headings.

    Parameters: sun_elevation_deg [deg].
    Returns: projected over radiating surface [ratio].
    Equation: 0.308 cos(e (0.998 - e^2 / 50000)).
    Valid range: 0 to 90 degrees; one heading differs by up to a fifth.
    Source: Jendritzky 1990, after Fanger 1970.

    >>> round(projected_area_ratio(sun_elevation_deg=45.0), 3)
    0.225
    """
    e = sun_elevation_deg
    return 0.308 * math.cos(math.radians(e * (0.998 - e * e / 50000)))


@equation(
    gives="rise_c",
    source="ashrae55",
    at="solar gain of an occupant, all sky in view, no glass; heading averaged",
    mark="pkg",
    population="standing adults",
    holds={
        "direct_w_per_m2": (200, 1000),
        "sun_elevation_deg": (0, 90),
        "absorbed_frac": (0.57, 0.84),
        "ground_albedo_frac": (0.05, 0.6),
    },
    turns=("sun_elevation_deg",),
    note="asphalt reflects about 0.1, grass 0.2 to 0.25; the standard's own default for floors is 0.6",
)
def radiant_rise_c(
    *, direct_w_per_m2: float, sun_elevation_deg: float, absorbed_frac: float, ground_albedo_frac: float
) -> float:
    """Return how far the sun lifts the mean radiant temperature of a runner above the air.

    Parameters: direct_w_per_m2, straight from the sun, across the beam [W/m2]; sun_elevation_deg [deg];
    absorbed_frac, share of sunshine that skin and kit absorb; ground_albedo_frac, share that ground
    reflects [of 1].
    Returns: rise [C].
    Equation: a / (6 * 0.95) I (fp + 0.1 + 0.5 rho (sin e + 0.2)), the sky's own light 0.2 I.
    Valid range: 200 to 1,000 W/m2; one heading differs by up to 6 C. A cool sky takes back part of the rise
    and hot ground adds to it: both are left out.
    Source: ASHRAE 55 (form read in a package), projected area of Jendritzky 1990.

    >>> round(radiant_rise_c(direct_w_per_m2=800.0, sun_elevation_deg=45.0, absorbed_frac=0.7,
    ...                      ground_albedo_frac=0.2), 1)
    40.8
    """
    fp = projected_area_ratio(sun_elevation_deg=sun_elevation_deg)
    reflected = 0.5 * ground_albedo_frac * (math.sin(math.radians(sun_elevation_deg)) + 0.2)
    return absorbed_frac / (6 * 0.95) * direct_w_per_m2 * (fp + 0.1 + reflected)
