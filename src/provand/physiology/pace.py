"""How long a race takes: power laws, regressions on marathon times, and the oxygen index."""

from __future__ import annotations

import math

from provand.card import equation

HALF_M = 21097.5
MARATHON_M = 42195.0
KM_PER_MI = 1.609344


@equation(
    gives="time_s",
    source="riegel1981",
    at="endurance equation, fitted to records",
    mark="read2",
    population="record holders; well calibrated up to the half in 2303 recreational runners (Vickers 2016)",
    holds={"known_time_s": (210.0, 13800.0)},
    note="The everyday exponent 1.06 is the value of 1977; the records of 1981 give 1.07732 for men and "
    "1.08283 for women.",
)
def riegel_time_s(
    *, known_time_s: float, known_distance_m: float, target_distance_m: float, fatigue_ratio: float
) -> float:
    """Return the time for another distance by a power law of time on distance.

    Parameters: known_time_s, time of the known race [s]; known_distance_m, its distance [m];
    target_distance_m, the distance to predict [m]; fatigue_ratio, exponent k, 1.06 by custom [ratio].
    Returns: predicted time [s].
    Equation: T2 = T1 (D2 / D1)^k.
    Valid range: 3.5 to 230 min; outside it computes and the figure carries a caveat. The marathon of
    recreational runners comes out 10 min or more too fast for half of them (Vickers 2016).
    Source: Riegel 1981, American Scientist 69:285-290 (no DOI).

    >>> half_s = riegel_time_s(known_time_s=1470, known_distance_m=5000, target_distance_m=HALF_M,
    ...                        fatigue_ratio=1.06)
    >>> round(half_s, 1)
    6762.3
    """
    return known_time_s * math.pow(target_distance_m / known_distance_m, fatigue_ratio)


@equation(
    gives="fatigue_ratio",
    source="riegel1981",
    at="endurance equation, solved for the exponent",
    mark="computed",
    population="one runner with two races",
    holds={"first_time_s": (210.0, 13800.0), "second_time_s": (210.0, 13800.0)},
    turns=("first_distance_m", "second_distance_m"),
    note="Has a pole where the two distances are equal.",
)
def riegel_fatigue_ratio(
    *, first_time_s: float, first_distance_m: float, second_time_s: float, second_distance_m: float
) -> float:
    """Return a runner's own exponent from two races of different distance.

    Parameters: first_time_s, time of the first race [s]; first_distance_m, its distance [m];
    second_time_s, time of the second race [s]; second_distance_m, its distance, another one [m].
    Returns: exponent k [ratio].
    Equation: k = ln(T2 / T1) / ln(D2 / D1).
    Valid range: races of 3.5 to 230 min; outside it computes and the figure carries a caveat.
    Source: Riegel 1981, American Scientist 69:285-290 (no DOI).

    >>> round(riegel_fatigue_ratio(first_time_s=2940, first_distance_m=10000,
    ...                            second_time_s=6600, second_distance_m=HALF_M), 5)
    1.08317
    """
    return math.log(second_time_s / first_time_s) / math.log(second_distance_m / first_distance_m)


@equation(
    gives="time_s",
    source="vickers2016",
    at="Additional file 1, model 1",
    mark="read2",
    population="2303 recreational runners, internet survey; marathon only; validation MSE 228 min²",
    holds={
        "known_distance_m": (5000.0, HALF_M),
        "training_km_per_week": (5 * KM_PER_MI, 100 * KM_PER_MI),
    },
    note="0.06423826 is often copied tenfold, with 1.06 for 1.07; the paper's mileage is in miles. The range "
    "of mileage, 5 to 100 miles a week, is our estimate.",
)
def vickers_one_time_s(*, known_time_s: float, known_distance_m: float, training_km_per_week: float) -> float:
    """Return the marathon time from one race and the usual training distance.

    Parameters: known_time_s, time of the known race [s]; known_distance_m, its distance [m];
    training_km_per_week, usual training (the paper counts miles) [km/week].
    Returns: marathon time [s].
    Equation: vR = 42195 / (T1 (42195 / D1)^1.07); v = 0.16018617 + 0.83076202 vR + 0.06423826 (miles /
    10); T = 42195 / v, with v in m/s.
    Valid range: prior race of 5 km to the half, 5 to 100 miles a week; outside it computes and the figure
    carries a caveat.
    Source: Vickers & Vertosick 2016, doi 10.1186/s13102-016-0052-y, Additional file 1.

    >>> t = vickers_one_time_s(known_time_s=2640, known_distance_m=10000, training_km_per_week=80.4672)
    >>> round(t, 1)
    12684.4
    """
    riegel_m_per_s = MARATHON_M / (known_time_s * math.pow(MARATHON_M / known_distance_m, 1.07))
    tens_of_miles = training_km_per_week / KM_PER_MI / 10
    return MARATHON_M / (0.16018617 + 0.83076202 * riegel_m_per_s + 0.06423826 * tens_of_miles)


@equation(
    gives="fatigue_ratio",
    source="vickers2016",
    at="Additional file 1, model 2, exponent",
    mark="read2",
    population="2303 recreational runners, internet survey; marathon only",
    holds={"training_km_per_week": (5 * KM_PER_MI, 100 * KM_PER_MI)},
    note="The range of mileage is our estimate.",
)
def vickers_two_fatigue_ratio(*, personal_fatigue_ratio: float, training_km_per_week: float) -> float:
    """Return the exponent from a runner's longer race to the marathon.

    Parameters: personal_fatigue_ratio, exponent between the runner's two shorter races [ratio];
    training_km_per_week, usual training (the paper counts miles) [km/week].
    Returns: exponent to use from the longer race to the marathon [ratio].
    Equation: kM = 1.4510756 - 0.23797948 k - 0.01410023 (miles / 10).
    Valid range: 5 to 100 miles a week; outside it computes and the figure carries a caveat.
    Source: Vickers & Vertosick 2016, doi 10.1186/s13102-016-0052-y, Additional file 1.

    >>> k = vickers_two_fatigue_ratio(personal_fatigue_ratio=1.08317, training_km_per_week=48.28032)
    >>> round(k, 3)
    1.151
    """
    tens_of_miles = training_km_per_week / KM_PER_MI / 10
    return 1.4510756 - 0.23797948 * personal_fatigue_ratio - 0.01410023 * tens_of_miles


@equation(
    gives="time_s",
    source="vickers2016",
    at="Additional file 1, model 2",
    mark="read2",
    population="2303 recreational runners, internet survey; marathon only; validation MSE 208 min²",
    holds={"training_km_per_week": (5 * KM_PER_MI, 100 * KM_PER_MI)},
    turns=("first_distance_m", "second_distance_m"),
    note="The range of mileage is our estimate. Has a pole where the two distances are equal.",
)
def vickers_two_time_s(
    *,
    first_time_s: float,
    first_distance_m: float,
    second_time_s: float,
    second_distance_m: float,
    training_km_per_week: float,
) -> float:
    """Return the marathon time from two races and the usual training distance.

    Parameters: first_time_s, time of the shorter race [s]; first_distance_m, its distance [m];
    second_time_s, time of the longer race [s]; second_distance_m, its distance, less than a marathon [m];
    training_km_per_week, usual training (the paper counts miles) [km/week].
    Returns: marathon time [s].
    Equation: T = T2 (42195 / D2)^kM, with k of the two races and kM of model 2.
    Valid range: D1 < D2 < 42195 m, 5 to 100 miles a week; outside it computes and the figure carries a
    caveat.
    Source: Vickers & Vertosick 2016, doi 10.1186/s13102-016-0052-y, Additional file 1.

    >>> t = vickers_two_time_s(first_time_s=2940, first_distance_m=10000, second_time_s=6600,
    ...                        second_distance_m=HALF_M, training_km_per_week=48.28032)
    >>> round(t, 1)
    14656.5
    """
    personal_ratio = riegel_fatigue_ratio(
        first_time_s=first_time_s,
        first_distance_m=first_distance_m,
        second_time_s=second_time_s,
        second_distance_m=second_distance_m,
    )
    marathon_ratio = vickers_two_fatigue_ratio(
        personal_fatigue_ratio=personal_ratio, training_km_per_week=training_km_per_week
    )
    return riegel_time_s(
        known_time_s=second_time_s,
        known_distance_m=second_distance_m,
        target_distance_m=MARATHON_M,
        fatigue_ratio=marathon_ratio,
    )


@equation(
    gives="oxygen_ml_per_kg_per_min",
    source="daniels1979",
    at="Appendix, oxygen cost of running",
    mark="read2",
    population="trained runners",
    note="For the index and the share of the maximum only, not for energy: 8 % under Looney 2023 at 3.5 m/s.",
)
def daniels_oxygen_ml_per_kg_per_min(*, speed_m_per_s: float) -> float:
    """Return the oxygen cost of level running as the performance index counts it.

    Parameters: speed_m_per_s, running speed [m/s].
    Returns: oxygen cost [ml/kg/min].
    Equation: VO2 = -4.60 + 0.182258 v + 0.000104 v², v in m/min.
    Valid range: speeds of races; below 25 m/min it is negative.
    Source: Daniels & Gilbert 1979, Oxygen Power (book, no DOI).

    >>> round(daniels_oxygen_ml_per_kg_per_min(speed_m_per_s=250 / 60), 4)
    47.4645
    """
    speed_m_per_min = 60 * speed_m_per_s
    return -4.60 + speed_m_per_min * (0.182258 + 0.000104 * speed_m_per_min)


@equation(
    gives="intensity_frac",
    source="daniels1979",
    at="Appendix, share of the maximum that is held",
    mark="read2",
    population="trained runners, racing all out",
    holds={"time_s": (660.0, 14400.0)},
    note="Over 1 below 11 min; never under 0.80, so it overstates beyond about 4 h.",
)
def daniels_intensity_frac(*, time_s: float) -> float:
    """Return the share of maximal oxygen uptake that trained runners hold for a race of a given time.

    Parameters: time_s, race time [s].
    Returns: share of maximal oxygen uptake [frac].
    Equation: F = 0.8 + 0.1894393 exp(-0.012778 t) + 0.2989558 exp(-0.1932605 t), t in min.
    Valid range: 11 to 240 min; outside it computes and the figure carries a caveat.
    Source: Daniels & Gilbert 1979, Oxygen Power (book, no DOI).

    >>> round(daniels_intensity_frac(time_s=7200), 5)
    0.84088
    """
    time_min = time_s / 60
    return 0.8 + 0.1894393 * math.exp(-0.012778 * time_min) + 0.2989558 * math.exp(-0.1932605 * time_min)


@equation(
    gives="performance_index",
    source="daniels1979",
    at="tables of performances",
    mark="read2",
    population="trained runners, racing all out",
    holds={"time_s": (660.0, 14400.0)},
    note="Reads like a maximal oxygen uptake in ml/kg/min, and is not one.",
)
def daniels_index(*, time_s: float, distance_m: float) -> float:
    """Return the performance index of a race: oxygen cost over the share that is held.

    Parameters: time_s, race time [s]; distance_m, race distance [m].
    Returns: index [index].
    Equation: index = VO2(D / T) / F(T).
    Valid range: 11 to 240 min; outside it computes and the figure carries a caveat.
    Source: Daniels & Gilbert 1979, Oxygen Power (book, no DOI).

    >>> round(daniels_index(time_s=2400, distance_m=10000), 3)
    51.944
    """
    oxygen_ml_per_kg_per_min = daniels_oxygen_ml_per_kg_per_min(speed_m_per_s=distance_m / time_s)
    return oxygen_ml_per_kg_per_min / daniels_intensity_frac(time_s=time_s)


@equation(
    gives="time_s",
    source="daniels1979",
    at="tables of performances, along one row",
    mark="computed",
    population="trained runners, racing all out",
    holds={"known_time_s": (660.0, 14400.0)},
    note="Solved by Brent's method between 1 and 6000 min.",
)
def daniels_time_s(*, known_time_s: float, known_distance_m: float, target_distance_m: float) -> float:
    """Return the time for another distance at the same performance index.

    Parameters: known_time_s, time of the known race [s]; known_distance_m, its distance [m];
    target_distance_m, the distance to predict [m].
    Returns: predicted time [s].
    Equation: index(T2, D2) = index(T1, D1), solved for T2.
    Valid range: 11 to 240 min; outside it computes and the figure carries a caveat; ValueError where no
    time between 1 and 6000 min has that index.
    Source: Daniels & Gilbert 1979, Oxygen Power (book, no DOI).

    >>> round(daniels_time_s(known_time_s=3120, known_distance_m=10000, target_distance_m=HALF_M), 1)
    6918.4
    """
    from scipy.optimize import brentq  # noqa: PLC0415 - heavy, and needed by this prediction alone

    index = daniels_index(time_s=known_time_s, distance_m=known_distance_m)
    root: float = brentq(
        lambda time_s: daniels_index(time_s=time_s, distance_m=target_distance_m) - index, 60.0, 360000.0
    )
    return root
