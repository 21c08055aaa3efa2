"""What a body needs in a day: rest, activity, what is available, what a loading day brings."""

from __future__ import annotations

from provand.card import equation

CARB_KCAL_PER_G = 4.0
PROTEIN_KCAL_PER_G = 4.0
FAT_KCAL_PER_G = 9.0

ADULT = {"body_mass_kg": (45.0, 120.0), "height_m": (1.5, 2.0), "age_years": (19.0, 78.0)}
LEAN = {"fat_free_mass_kg": (30.0, 90.0)}


@equation(
    gives="rest_kcal_per_day",
    source="mifflin1990",
    at="rounded equation, men",
    mark="read2",
    population="251 men, 19 to 78 years",
    holds=ADULT,
    note="within about 10 % for most; athletes are leaner than the sample",
)
def mifflin_man_kcal_per_day(*, body_mass_kg: float, height_m: float, age_years: float) -> float:
    """Return a man's resting energy use.

    Parameters: body_mass_kg [kg]; height_m [m]; age_years [years].
    Returns: resting energy [kcal/day].
    Equation: 10 W + 6.25 H - 5 A + 5, H in cm.
    Valid range: 19 to 78 years.
    Source: Mifflin 1990 (10.1093/ajcn/51.2.241).

    >>> mifflin_man_kcal_per_day(body_mass_kg=74.0, height_m=1.82, age_years=41.0)
    1677.5
    """
    return 10 * body_mass_kg + 625 * height_m - 5 * age_years + 5


@equation(
    gives="rest_kcal_per_day",
    source="mifflin1990",
    at="rounded equation, women",
    mark="read2",
    population="247 women, 19 to 78 years",
    holds=ADULT,
    note="within about 10 % for most; athletes are leaner than the sample",
)
def mifflin_woman_kcal_per_day(*, body_mass_kg: float, height_m: float, age_years: float) -> float:
    """Return a woman's resting energy use.

    Parameters: body_mass_kg [kg]; height_m [m]; age_years [years].
    Returns: resting energy [kcal/day].
    Equation: 10 W + 6.25 H - 5 A - 161, H in cm.
    Valid range: 19 to 78 years.
    Source: Mifflin 1990 (10.1093/ajcn/51.2.241).

    >>> mifflin_woman_kcal_per_day(body_mass_kg=62.0, height_m=1.70, age_years=27.0)
    1386.5
    """
    return 10 * body_mass_kg + 625 * height_m - 5 * age_years - 161


@equation(
    gives="rest_kcal_per_day",
    source="mifflin1990",
    at="full equation",
    mark="read2",
    population="498 adults, 19 to 78 years",
    holds={**ADULT, "man_ratio": (0, 1)},
)
def mifflin_full_kcal_per_day(
    *, body_mass_kg: float, height_m: float, age_years: float, man_ratio: float
) -> float:
    """Return resting energy use by the unrounded equation.

    Parameters: body_mass_kg [kg]; height_m [m]; age_years [years]; man_ratio, 1 for a man, 0 for a woman.
    Returns: resting energy [kcal/day].
    Equation: 9.99 W + 6.25 H - 4.92 A + 166 s - 161, H in cm.
    Valid range: 19 to 78 years.
    Source: Mifflin 1990 (10.1093/ajcn/51.2.241).

    >>> round(mifflin_full_kcal_per_day(body_mass_kg=74.0, height_m=1.82, age_years=41.0, man_ratio=1.0), 2)
    1680.04
    """
    return 9.99 * body_mass_kg + 625 * height_m - 4.92 * age_years + 166 * man_ratio - 161


@equation(
    gives="rest_kcal_per_day",
    source="harris1919",
    at="equation for men",
    mark="read2",
    population="136 men",
    holds=ADULT,
)
def harris_man_kcal_per_day(*, body_mass_kg: float, height_m: float, age_years: float) -> float:
    """Return a man's resting energy use by the oldest equation in use.

    Parameters: body_mass_kg [kg]; height_m [m]; age_years [years].
    Returns: resting energy [kcal/day].
    Equation: 66.473 + 13.7516 W + 5.0033 H - 6.755 A, H in cm.
    Valid range: adults of a century ago.
    Source: Harris and Benedict 1919.

    >>> round(harris_man_kcal_per_day(body_mass_kg=74.0, height_m=1.82, age_years=41.0), 1)
    1717.7
    """
    return 66.473 + 13.7516 * body_mass_kg + 500.33 * height_m - 6.755 * age_years


@equation(
    gives="rest_kcal_per_day",
    source="harris1919",
    at="equation for women",
    mark="read2",
    population="103 women",
    holds=ADULT,
)
def harris_woman_kcal_per_day(*, body_mass_kg: float, height_m: float, age_years: float) -> float:
    """Return a woman's resting energy use by the oldest equation in use.

    Parameters: body_mass_kg [kg]; height_m [m]; age_years [years].
    Returns: resting energy [kcal/day].
    Equation: 655.0955 + 9.5634 W + 1.8496 H - 4.6756 A, H in cm.
    Valid range: adults of a century ago.
    Source: Harris and Benedict 1919.

    >>> round(harris_woman_kcal_per_day(body_mass_kg=62.0, height_m=1.70, age_years=27.0), 1)
    1436.2
    """
    return 655.0955 + 9.5634 * body_mass_kg + 184.96 * height_m - 4.6756 * age_years


@equation(
    gives="rest_kcal_per_day",
    source="roza1984",
    at="equation for men",
    mark="read2",
    population="men; 95 % within 213 kcal",
    holds=ADULT,
)
def roza_man_kcal_per_day(*, body_mass_kg: float, height_m: float, age_years: float) -> float:
    """Return a man's resting energy use by the revised oldest equation.

    Parameters: body_mass_kg [kg]; height_m [m]; age_years [years].
    Returns: resting energy [kcal/day].
    Equation: 88.362 + 13.397 W + 4.799 H - 5.677 A, H in cm.
    Valid range: adults; 95 % within 213 kcal/day.
    Source: Roza and Shizgal 1984.

    >>> round(roza_man_kcal_per_day(body_mass_kg=74.0, height_m=1.82, age_years=41.0), 1)
    1720.4
    """
    return 88.362 + 13.397 * body_mass_kg + 479.9 * height_m - 5.677 * age_years


@equation(
    gives="rest_kcal_per_day",
    source="roza1984",
    at="equation for women",
    mark="read2",
    population="women; 95 % within 201 kcal",
    holds=ADULT,
)
def roza_woman_kcal_per_day(*, body_mass_kg: float, height_m: float, age_years: float) -> float:
    """Return a woman's resting energy use by the revised oldest equation.

    Parameters: body_mass_kg [kg]; height_m [m]; age_years [years].
    Returns: resting energy [kcal/day].
    Equation: 447.593 + 9.247 W + 3.098 H - 4.330 A, H in cm.
    Valid range: adults; 95 % within 201 kcal/day.
    Source: Roza and Shizgal 1984.

    >>> round(roza_woman_kcal_per_day(body_mass_kg=62.0, height_m=1.70, age_years=27.0), 1)
    1430.7
    """
    return 447.593 + 9.247 * body_mass_kg + 309.8 * height_m - 4.330 * age_years


@equation(
    gives="rest_kcal_per_day",
    source="cunningham1980",
    at="equation on lean mass",
    mark="read2",
    population="adults; matched a purpose-made equation in 90 recreational athletes",
    holds=LEAN,
    note="the default where fat-free mass is measured",
)
def cunningham_kcal_per_day(*, fat_free_mass_kg: float) -> float:
    """Return resting energy use from fat-free mass; the best match in recreational athletes.

    Parameters: fat_free_mass_kg [kg].
    Returns: resting energy [kcal/day].
    Equation: 500 + 22 FFM.
    Valid range: adults; as good as the measurement of fat-free mass.
    Source: Cunningham 1980; athletes in 10.1371/journal.pone.0108460.

    >>> cunningham_kcal_per_day(fat_free_mass_kg=52.0)
    1644.0
    """
    return 500 + 22 * fat_free_mass_kg


@equation(
    gives="rest_kcal_per_day",
    source="cunningham1991",
    at="equation on fat-free mass, pooled studies",
    mark="read2",
    population="adults of several studies",
    holds=LEAN,
)
def cunningham_later_kcal_per_day(*, fat_free_mass_kg: float) -> float:
    """Return resting energy use from fat-free mass by the later equation.

    Parameters: fat_free_mass_kg [kg].
    Returns: resting energy [kcal/day].
    Equation: 370 + 21.6 FFM.
    Valid range: adults.
    Source: Cunningham 1991.

    >>> round(cunningham_later_kcal_per_day(fat_free_mass_kg=52.0), 1)
    1493.2
    """
    return 370 + 21.6 * fat_free_mass_kg


@equation(
    gives="day_kcal_per_day",
    source="fao2001",
    at="Table 5.3: physical activity level, times resting energy",
    mark="read",
    population="groups of adults; light 1.40 to 1.69, active 1.70 to 1.99, vigorous 2.00 to 2.40",
    holds={"rest_kcal_per_day": (900, 2600), "activity_ratio": (1.4, 2.4)},
    note="made for groups; exercise that the level already holds is never added again",
)
def day_energy_kcal_per_day(*, rest_kcal_per_day: float, activity_ratio: float) -> float:
    """Return the energy of a whole day from rest and the physical activity level.

    Parameters: rest_kcal_per_day [kcal/day]; activity_ratio, physical activity level [ratio].
    Returns: energy of the day [kcal/day].
    Equation: rest * level.
    Valid range: levels 1.40 to 2.40.
    Source: FAO/WHO/UNU 2001.

    >>> round(day_energy_kcal_per_day(rest_kcal_per_day=1302.0, activity_ratio=1.85))
    2409
    """
    return rest_kcal_per_day * activity_ratio


@equation(
    gives="fat_free_mass_kg",
    source="cunningham1991",
    at="two compartments",
    mark="computed",
    population="adults",
    holds={"body_mass_kg": (40, 120), "fat_frac": (0.05, 0.4)},
)
def fat_free_mass_kg(*, body_mass_kg: float, fat_frac: float) -> float:
    """Return the mass that is not fat.

    Parameters: body_mass_kg [kg]; fat_frac, share of fat [of 1].
    Returns: fat-free mass [kg].
    Equation: mass (1 - fat).
    Valid range: as good as the measurement of fat.
    Source: the definition.

    >>> round(fat_free_mass_kg(body_mass_kg=68.0, fat_frac=0.16), 2)
    57.12
    """
    return body_mass_kg * (1 - fat_frac)


@equation(
    gives="available_kcal_per_kg_per_day",
    source="mountjoy2023",
    at="definition of energy availability",
    mark="read",
    population="women in laboratories at 30 and 45; men unknown, perhaps 20 to 25",
    holds={
        "eaten_kcal_per_day": (500, 6000),
        "exercise_kcal_per_day": (0, 4000),
        "fat_free_mass_kg": (30, 90),
    },
    note="field error is large: no diagnosis; say whether exercise is gross or net of rest",
)
def energy_available_kcal_per_kg_per_day(
    *, eaten_kcal_per_day: float, exercise_kcal_per_day: float, fat_free_mass_kg: float
) -> float:
    """Return the energy left for the body after exercise, per kilogram of fat-free mass.

    Parameters: eaten_kcal_per_day, exercise_kcal_per_day [kcal/day]; fat_free_mass_kg [kg].
    Returns: energy availability [kcal/kg/day].
    Equation: (EI - EEE) / FFM.
    Valid range: about 45 is healthy and 30 or less low, from short studies of sedentary young women.
    Source: IOC statement 2023 (10.1136/bjsports-2023-106994).

    >>> round(energy_available_kcal_per_kg_per_day(eaten_kcal_per_day=2350.0, exercise_kcal_per_day=900.0,
    ...     fat_free_mass_kg=47.0), 2)
    30.85
    """
    return (eaten_kcal_per_day - exercise_kcal_per_day) / fat_free_mass_kg


@equation(
    gives="energy_kcal_per_day",
    source="eu2011",
    at="Annex XIV factors 4, 4, 9",
    mark="read",
    population="food",
    holds={
        "carb_g_per_day": (0, 1200),
        "protein_g_per_day": (0, 300),
        "fat_g_per_day": (0, 300),
    },
)
def eaten_energy_kcal_per_day(
    *, carb_g_per_day: float, protein_g_per_day: float, fat_g_per_day: float
) -> float:
    """Return the energy of a day's food from its three fuels.

    Parameters: carb_g_per_day, available; protein_g_per_day; fat_g_per_day [g/day].
    Returns: energy [kcal/day].
    Equation: 4 C + 4 P + 9 F.
    Valid range: mixed diets; a loading day is a surplus by design.
    Source: Regulation (EU) 1169/2011, Annex XIV.

    >>> round(eaten_energy_kcal_per_day(carb_g_per_day=558.0, protein_g_per_day=86.8, fat_g_per_day=62.0), 1)
    3137.2
    """
    return (
        CARB_KCAL_PER_G * carb_g_per_day
        + PROTEIN_KCAL_PER_G * protein_g_per_day
        + FAT_KCAL_PER_G * fat_g_per_day
    )


@equation(
    gives="energy_kcal_per_min",
    source="weir1949",
    at="energy of oxygen without urinary nitrogen",
    mark="memory",
    population="adults",
    holds={"oxygen_l_per_min": (0.2, 6), "exchange_ratio": (0.7, 1)},
)
def weir_kcal_per_min(*, oxygen_l_per_min: float, exchange_ratio: float) -> float:
    """Return the energy used from oxygen uptake and the exchange ratio.

    Parameters: oxygen_l_per_min [L/min]; exchange_ratio, carbon dioxide over oxygen [ratio].
    Returns: energy [kcal/min].
    Equation: VO2 (3.941 + 1.106 R).
    Valid range: steady effort, R 0.7 to 1.
    Source: Weir 1949 (J Physiol 109:1).

    >>> round(weir_kcal_per_min(oxygen_l_per_min=2.5, exchange_ratio=0.85), 2)
    12.2
    """
    return oxygen_l_per_min * (3.941 + 1.106 * exchange_ratio)
