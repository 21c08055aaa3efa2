"""How far a race time is known, and how speed is shared out on the way: fade, hills, critical speed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import linear_regression
from typing import NamedTuple

from provand.card import equation
from provand.physiology.cost import flat_equivalent_ratio


@equation(
    gives="spread_frac",
    source="hopkins2001",
    at="within-runner CV, half and marathon; rule ours",
    mark="estimate",
    population="CV 2.6 to 4.2 % in the fastest quarter of men",
    turns=("prior_distance_m", "target_distance_m"),
    note="CV by our choice: 3.0 % fast half of the field, 3.5 % default, 4.0 % slower half or debut; with "
    "3 % of doubt for each factor e of distance.",
)
def prediction_spread_frac(
    *, race_cv_frac: float, prior_count: float, prior_distance_m: float, target_distance_m: float
) -> float:
    """Return the standard deviation of the logarithm of a predicted race time.

    Parameters: race_cv_frac, coefficient of variation of one runner from race to race [frac];
    prior_count, recent races that the prediction rests on [count]; prior_distance_m, their distance [m];
    target_distance_m, the distance predicted [m].
    Returns: standard deviation of ln(time) [frac].
    Equation: sigma² = CV² (1 + 1/n) + (0.03 ln(D2 / D1))².
    Valid range: 5 km to the marathon; an estimate everywhere.
    Source: Hopkins & Hewson 2001, doi 10.1097/00005768-200109000-00023, for the CV; the rule is ours.

    >>> s = prediction_spread_frac(race_cv_frac=0.04, prior_count=1, prior_distance_m=21097.5,
    ...                            target_distance_m=42195)
    >>> round(s, 5)
    0.06027
    """
    of_races = race_cv_frac * race_cv_frac * (1 + 1 / prior_count)
    of_distance = 0.03 * math.log(target_distance_m / prior_distance_m)
    return math.sqrt(of_races + of_distance * of_distance)


@equation(
    gives="time_s",
    source="hopkins2001",
    at="log-normal spread; choice ours",
    mark="estimate",
    population="as the spread",
    note="The 10 % and 90 % points stand at -1.281552 and 1.281552 deviations.",
)
def spread_time_s(*, median_time_s: float, spread_frac: float, normal_deviate_ratio: float) -> float:
    """Return the race time so many deviations from the median of a log-normal prediction.

    Parameters: median_time_s, median of the prediction [s]; spread_frac, standard deviation of ln(time)
    [frac]; normal_deviate_ratio, deviations from the median, negative for faster [ratio].
    Returns: time at that point [s].
    Equation: T = median exp(z sigma).
    Valid range: any; an estimate everywhere.
    Source: Hopkins & Hewson 2001, doi 10.1097/00005768-200109000-00023, works on ln(time); the use is
    ours.

    >>> round(spread_time_s(median_time_s=7080, spread_frac=0.055, normal_deviate_ratio=-1.281552), 1)
    6598.1
    """
    return median_time_s * math.exp(normal_deviate_ratio * spread_frac)


@equation(
    gives="first_half_s",
    source="deaner2015",
    at="slowing of the second half: 15.6 % men, 11.7 % women",
    mark="computed",
    population="91,929 marathon performances",
    holds={"fade_frac": (0.0, 0.6)},
    note="The slowing is of pace, so the second half takes 1 + p times the first. The range is our estimate.",
)
def marathon_first_half_s(*, finish_s: float, fade_frac: float) -> float:
    """Return the time of the first half of a marathon whose second half is slower by a share.

    Parameters: finish_s, finish time [s]; fade_frac, share by which the second half is slower [frac].
    Returns: time of the first half [s].
    Equation: T_first = T / (2 + p).
    Valid range: p 0 to 0.6; outside it computes and the figure carries a caveat. A mean: of the men 28 %
    collapse by 40 % for 10 km, which no mean shows (Smyth 2021).
    Source: p from Deaner 2015, doi 10.1249/MSS.0000000000000432.

    >>> round(marathon_first_half_s(finish_s=15000, fade_frac=0.156), 1)
    6957.3
    """
    return finish_s / (2 + fade_frac)


@equation(
    gives="elapsed_frac",
    source="nikolaidis2019",
    at="mean change of speed in the half, 4.10 %; linear form ours",
    mark="estimate",
    population="half-marathon finishers, both sexes",
    holds={"distance_frac": (0.0, 1.0), "fade_frac": (0.01, 0.3)},
    note="0.0721 is fitted to 4.10 %, taken as the mean deviation of five segments. At a fade of exactly 0 "
    "the form is 0/0; an even pace needs no equation.",
)
def fade_elapsed_frac(*, distance_frac: float, fade_frac: float) -> float:
    """Return the share of the finish time spent by a share of the distance, the speed falling evenly.

    Parameters: distance_frac, share of the distance [frac]; fade_frac, excess of the first speed over the
    mean [frac].
    Returns: share of the finish time [frac].
    Equation: t / T = ln((1 + a) / (1 + a - 2 a x)) / ln((1 + a) / (1 - a)).
    Valid range: a above 0, up to 0.3; ZeroDivisionError at 0. Ours: no half that was measured has this shape
    in full, but none had an end spurt.
    Source: a = 0.0721 fitted to Nikolaidis 2019, doi 10.3390/medicina55010014.

    >>> round(fade_elapsed_frac(distance_frac=0.5, fade_frac=0.0721), 5)
    0.48196
    """
    fastest, slowest = 1 + fade_frac, 1 - fade_frac
    return math.log(fastest / (fastest - 2 * fade_frac * distance_frac)) / math.log(fastest / slowest)


@equation(
    gives="speed_ratio",
    source="townshend2010",
    at="speed and oxygen uptake uphill, level, downhill",
    mark="computed",
    population="8 distance runners over 9.7 km of hills",
    note="Constant power is a power ratio of 1; the runners measured held 1.124 uphill and 0.884 downhill.",
)
def hill_speed_ratio(*, cost_ratio: float, power_ratio: float) -> float:
    """Return the speed on a slope over the speed on the flat.

    Parameters: cost_ratio, cost on the slope over cost on the flat, from one equation [ratio];
    power_ratio, power on the slope over power on the flat [ratio].
    Returns: speed on the slope over speed on the flat [ratio].
    Equation: v(i) / v(0) = (P(i) / P(0)) / (C(i) / C(0)).
    Valid range: slopes that are run; the gain downhill is the doubtful side.
    Source: the definition of cost; power ratios from Townshend 2010, doi 10.1249/MSS.0b013e3181af21e2.

    >>> round(hill_speed_ratio(cost_ratio=1.46, power_ratio=1.124), 3)
    0.77
    """
    return power_ratio / cost_ratio


def flat_equivalent_m(*, lengths_m: Sequence[float], grades_frac: Sequence[float]) -> float:
    """Return the level distance [m] that costs as much as a course of pieces, each of one grade.

    Raises ValueError when lengths and grades differ in number. Source: Minetti 2002, its own level cost.

    >>> round(flat_equivalent_m(lengths_m=[1000, 1000], grades_frac=[0.05, -0.05]), 1)
    2064.2
    """
    pieces = zip(lengths_m, grades_frac, strict=True)
    return math.fsum(
        length_m * flat_equivalent_ratio(grade_frac=grade_frac) for length_m, grade_frac in pieces
    )


class CriticalSpeed(NamedTuple):
    """A runner's critical speed and the distance that can be run above it."""

    speed_m_per_s: float
    reserve_m: float


def fit_critical_speed(*, times_s: Sequence[float], distances_m: Sequence[float]) -> CriticalSpeed:
    """Return critical speed and reserve by least squares of distance on time, from efforts of 2 to 20 min.

    Raises StatisticsError from fewer than two efforts.

    >>> round(fit_critical_speed(times_s=[260, 550, 845], distances_m=[1200, 2400, 3600]).reserve_m, 2)
    136.81
    """
    line = linear_regression(times_s, distances_m)
    return CriticalSpeed(line.slope, line.intercept)


@equation(
    gives="time_s",
    source="vandewalle2018",
    at="linear distance-time relation",
    mark="memory",
    population="trained runners, efforts of 2 to 20 min",
    note="Never for a half or longer: below critical speed it lasts for ever, and a power law does better.",
)
def critical_speed_time_s(*, distance_m: float, critical_speed_m_per_s: float, reserve_m: float) -> float:
    """Return the time for a short race from critical speed.

    Parameters: distance_m, race distance [m]; critical_speed_m_per_s, critical speed [m/s];
    reserve_m, distance that can be run above it [m].
    Returns: time [s].
    Equation: T = (D - D') / CS.
    Valid range: results of 2 to 20 min; beyond, the time is too short.
    Source: the linear relation as in Vandewalle 2018, doi 10.1155/2018/8203062, which shows its limits.

    >>> t = critical_speed_time_s(distance_m=5000, critical_speed_m_per_s=4.10246, reserve_m=136.81)
    >>> round(t, 1)
    1185.4
    """
    return (distance_m - reserve_m) / critical_speed_m_per_s


@equation(
    gives="limit_s",
    source="vandewalle2018",
    at="hyperbolic speed-time relation",
    mark="memory",
    population="trained runners, efforts of 2 to 20 min",
    turns=("speed_m_per_s", "critical_speed_m_per_s"),
    note="Has a pole at critical speed; negative below it, where it says nothing.",
)
def critical_speed_limit_s(*, speed_m_per_s: float, critical_speed_m_per_s: float, reserve_m: float) -> float:
    """Return how long a speed above critical speed can be held.

    Parameters: speed_m_per_s, speed held [m/s]; critical_speed_m_per_s, critical speed [m/s];
    reserve_m, distance that can be run above it [m].
    Returns: time to the limit [s].
    Equation: t = D' / (v - CS).
    Valid range: speeds above critical speed that last 2 to 20 min.
    Source: the hyperbola as in Vandewalle 2018, doi 10.1155/2018/8203062.

    >>> t = critical_speed_limit_s(speed_m_per_s=4.5, critical_speed_m_per_s=4.10246, reserve_m=136.81)
    >>> round(t, 1)
    344.1
    """
    return reserve_m / (speed_m_per_s - critical_speed_m_per_s)
