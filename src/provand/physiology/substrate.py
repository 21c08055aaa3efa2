"""How much of the energy is carbohydrate: by intensity, by breath, and in grams a minute."""

from __future__ import annotations

from provand.card import equation
from provand.physiology.metabolic import J_PER_KCAL

RAPOPORT_KCAL_PER_G = 4.0
MIX_KCAL_PER_G = 4.07
FAT_KCAL_PER_G = 9.75
GLUCOSE_G_PER_UMOL = 180.16e-6


@equation(
    gives="intensity_frac",
    source="williams1983",
    at="79 % of maximum over the half; line through it and three other means ours",
    mark="estimate",
    population="half 79 % at 94.6 min (n 10); marathons 64.5 to 81 % by time",
    holds={"finish_s": (5100.0, 14400.0)},
    note="Between runners SD 0.05. Daniels and Gilbert's share is 0.07 to 0.17 higher. The range is ours.",
)
def race_intensity_frac(*, finish_s: float) -> float:
    """Return the share of maximal oxygen uptake that runners hold over a half or a marathon.

    Parameters: finish_s, finish time [s].
    Returns: share of maximal oxygen uptake [frac].
    Equation: i = 0.79 - 0.0008 (t - 95), t in min.
    Valid range: 85 to 240 min; outside it computes and the figure carries a caveat.
    Source: our line through Williams & Nute 1983, doi 10.1136/bjsm.17.3.152, and O'Brien 1993.

    >>> round(race_intensity_frac(finish_s=7080), 4)
    0.7716
    """
    return 0.79 - 0.0008 * (finish_s / 60 - 95)


@equation(
    gives="carb_share_frac",
    source="rapoport2010",
    at="Fig. 1",
    mark="read2",
    population="trained, fasted male cyclists (Romijn 1993)",
    holds={"intensity_frac": (0.25, 0.85)},
    note="A low edge for runners: measured shares stand 0 to 0.4 higher. Just under 0 at intensity 0.",
)
def rapoport_share_frac(*, intensity_frac: float) -> float:
    """Return the share of energy from carbohydrate at an intensity, for fasted cyclists.

    Parameters: intensity_frac, share of maximal oxygen uptake [frac].
    Returns: share of energy from carbohydrate [frac].
    Equation: f = 0.565973 i² + 0.376443 i - 0.000295601.
    Valid range: 0.25 to 0.85; outside it computes and the figure carries a caveat.
    Source: Rapoport 2010, doi 10.1371/journal.pcbi.1000960, Fig. 1, on Romijn 1993.

    >>> round(rapoport_share_frac(intensity_frac=0.75), 4)
    0.6004
    """
    return intensity_frac * (0.376443 + 0.565973 * intensity_frac) - 0.000295601


@equation(
    gives="carb_g",
    source="rapoport2010",
    at="carbohydrate over a distance, 4 kcal/g",
    mark="read2",
    population="as the share of energy",
    holds={"intensity_frac": (0.25, 0.85)},
)
def rapoport_carb_g(
    *, body_mass_kg: float, distance_m: float, intensity_frac: float, energy_kcal_per_kg_per_km: float
) -> float:
    """Return the carbohydrate burnt over a distance.

    Parameters: body_mass_kg, body mass [kg]; distance_m, distance [m]; intensity_frac, share of maximal
    oxygen uptake [frac]; energy_kcal_per_kg_per_km, cost of distance, about 1 [kcal/kg/km].
    Returns: carbohydrate [g].
    Equation: g = f k m d / 4, d in km.
    Valid range: 0.25 to 0.85 of maximum; outside it computes and the figure carries a caveat.
    Source: Rapoport 2010, doi 10.1371/journal.pcbi.1000960.

    >>> g = rapoport_carb_g(body_mass_kg=60, distance_m=42195, intensity_frac=0.75,
    ...                     energy_kcal_per_kg_per_km=1)
    >>> round(g, 1)
    380.0
    """
    share = rapoport_share_frac(intensity_frac=intensity_frac)
    return share * energy_kcal_per_kg_per_km * body_mass_kg * distance_m / (1000 * RAPOPORT_KCAL_PER_G)


@equation(
    gives="wall_m",
    source="rapoport2010",
    at="distance to depletion; Figs. 2 and 3",
    mark="read2",
    population="as the share of energy",
    holds={
        "leg_frac": (0.15, 0.25),
        "muscle_kcal_per_kg": (40.0, 144.0),
        "intensity_frac": (0.25, 0.85),
    },
    note="Shares a store with no floor, and no feeding; a scale to compare by, not a forecast.",
)
def rapoport_wall_m(
    *,
    leg_frac: float,
    muscle_kcal_per_kg: float,
    liver_frac: float,
    liver_kcal_per_kg: float,
    intensity_frac: float,
    energy_kcal_per_kg_per_km: float,
) -> float:
    """Return the distance at which glycogen of legs and liver would be gone.

    Parameters: leg_frac, leg muscle over body mass [frac]; muscle_kcal_per_kg, glycogen in muscle
    [kcal/kg]; liver_frac, liver over body mass [frac]; liver_kcal_per_kg, glycogen in the liver [kcal/kg];
    intensity_frac, share of maximal oxygen uptake [frac]; energy_kcal_per_kg_per_km, cost of distance
    [kcal/kg/km].
    Returns: distance [m].
    Equation: d = (a M + b L) / (k f), d in km.
    Valid range: a 0.15 to 0.25, M 40 to 144, i 0.25 to 0.85; outside it carries a caveat.
    Source: Rapoport 2010, doi 10.1371/journal.pcbi.1000960.

    >>> wall_m = rapoport_wall_m(leg_frac=0.214, muscle_kcal_per_kg=80, liver_frac=0.025,
    ...                          liver_kcal_per_kg=360, intensity_frac=0.88, energy_kcal_per_kg_per_km=1)
    >>> round(wall_m)
    33955
    """
    stored = leg_frac * muscle_kcal_per_kg + liver_frac * liver_kcal_per_kg
    share = rapoport_share_frac(intensity_frac=intensity_frac)
    return 1000 * stored / (energy_kcal_per_kg_per_km * share)


@equation(
    gives="deficit_g",
    source="rapoport2010",
    at="least feeding to finish, 4 kcal/g",
    mark="read2",
    population="as the share of energy",
    holds={
        "leg_frac": (0.15, 0.25),
        "muscle_kcal_per_kg": (40.0, 144.0),
        "intensity_frac": (0.25, 0.85),
    },
    note="The paper sets it to 0 where stores suffice; here it is then negative, the surplus.",
)
def rapoport_deficit_g(
    *,
    body_mass_kg: float,
    distance_m: float,
    leg_frac: float,
    muscle_kcal_per_kg: float,
    liver_frac: float,
    liver_kcal_per_kg: float,
    intensity_frac: float,
    energy_kcal_per_kg_per_km: float,
) -> float:
    """Return the carbohydrate that stores lack over a distance.

    Parameters: body_mass_kg, body mass [kg]; distance_m, distance [m]; leg_frac, leg muscle over body mass
    [frac]; muscle_kcal_per_kg, glycogen in muscle [kcal/kg]; liver_frac, liver over body mass [frac];
    liver_kcal_per_kg, glycogen in the liver [kcal/kg]; intensity_frac, share of maximal oxygen uptake
    [frac]; energy_kcal_per_kg_per_km, cost of distance [kcal/kg/km].
    Returns: carbohydrate that is lacking, negative for a surplus [g].
    Equation: g = (f k d - (a M + b L)) m / 4, d in km.
    Valid range: a 0.15 to 0.25, M 40 to 144, i 0.25 to 0.85; outside it carries a caveat.
    Source: Rapoport 2010, doi 10.1371/journal.pcbi.1000960.

    >>> g = rapoport_deficit_g(body_mass_kg=62, distance_m=42195, leg_frac=0.20, muscle_kcal_per_kg=60,
    ...                        liver_frac=0.025, liver_kcal_per_kg=360, intensity_frac=0.75,
    ...                        energy_kcal_per_kg_per_km=1)
    >>> round(g, 1)
    67.2
    """
    burnt_g = rapoport_carb_g(
        body_mass_kg=body_mass_kg,
        distance_m=distance_m,
        intensity_frac=intensity_frac,
        energy_kcal_per_kg_per_km=energy_kcal_per_kg_per_km,
    )
    stored = leg_frac * muscle_kcal_per_kg + liver_frac * liver_kcal_per_kg
    return burnt_g - stored * body_mass_kg / RAPOPORT_KCAL_PER_G


@equation(
    gives="carb_g_per_min",
    source="peronnet1991",
    at="stoichiometry of glucose",
    mark="read2",
    population="steady state, protein left out",
    holds={"respiratory_ratio": (0.7036, 0.9965)},
)
def peronnet_carb_g_per_min(*, oxygen_l_per_min: float, respiratory_ratio: float) -> float:
    """Return carbohydrate burnt, from breath, counted as glucose.

    Parameters: oxygen_l_per_min, oxygen uptake, STPD [L/min]; respiratory_ratio, carbon dioxide given over
    oxygen taken [ratio].
    Returns: carbohydrate [g/min].
    Equation: c = VO2 (4.585 R - 3.226).
    Valid range: R 0.704 to 0.996, under 80 % of maximum; outside it carries a caveat.
    Source: Péronnet & Massicotte 1991, Can J Sport Sci 16:23-29.

    >>> round(peronnet_carb_g_per_min(oxygen_l_per_min=2.5, respiratory_ratio=0.88), 4)
    2.022
    """
    return oxygen_l_per_min * (4.585 * respiratory_ratio - 3.226)


@equation(
    gives="carb_g_per_min",
    source="jeukendrup2005",
    at="40 to 50 % of maximum",
    mark="read2",
    population="steady state, protein left out; half glycogen, half glucose",
    holds={"respiratory_ratio": (0.7046, 0.9965)},
)
def jeukendrup_low_carb_g_per_min(*, oxygen_l_per_min: float, respiratory_ratio: float) -> float:
    """Return carbohydrate burnt, from breath, at 40 to 50 % of maximal oxygen uptake.

    Parameters: oxygen_l_per_min, oxygen uptake, STPD [L/min]; respiratory_ratio, carbon dioxide given over
    oxygen taken [ratio].
    Returns: carbohydrate [g/min].
    Equation: c = VO2 (4.344 R - 3.061).
    Valid range: R 0.705 to 0.996; outside it computes and the figure carries a caveat.
    Source: Jeukendrup & Wallis 2005, doi 10.1055/s-2004-830512.

    >>> round(jeukendrup_low_carb_g_per_min(oxygen_l_per_min=1.2, respiratory_ratio=0.82), 4)
    0.6013
    """
    return oxygen_l_per_min * (4.344 * respiratory_ratio - 3.061)


@equation(
    gives="carb_g_per_min",
    source="jeukendrup2005",
    at="50 to 75 % of maximum",
    mark="read2",
    population="steady state, protein left out; glycogen to glucose as 80 to 20",
    holds={"respiratory_ratio": (0.7036, 0.9965)},
)
def jeukendrup_carb_g_per_min(*, oxygen_l_per_min: float, respiratory_ratio: float) -> float:
    """Return carbohydrate burnt, from breath, at 50 to 75 % of maximal oxygen uptake.

    Parameters: oxygen_l_per_min, oxygen uptake, STPD [L/min]; respiratory_ratio, carbon dioxide given over
    oxygen taken [ratio].
    Returns: carbohydrate [g/min].
    Equation: c = VO2 (4.210 R - 2.962).
    Valid range: R 0.704 to 0.996; outside it computes and the figure carries a caveat.
    Source: Jeukendrup & Wallis 2005, doi 10.1055/s-2004-830512.

    >>> round(jeukendrup_carb_g_per_min(oxygen_l_per_min=2.5, respiratory_ratio=0.88), 4)
    1.857
    """
    return oxygen_l_per_min * (4.210 * respiratory_ratio - 2.962)


@equation(
    gives="fat_g_per_min",
    source="peronnet1991",
    at="stoichiometry of human fat",
    mark="read2",
    population="steady state, protein left out",
    holds={"respiratory_ratio": (0.7036, 0.9965)},
)
def breath_fat_g_per_min(*, oxygen_l_per_min: float, respiratory_ratio: float) -> float:
    """Return fat burnt, from breath.

    Parameters: oxygen_l_per_min, oxygen uptake, STPD [L/min]; respiratory_ratio, carbon dioxide given over
    oxygen taken [ratio].
    Returns: fat [g/min].
    Equation: t = VO2 (1.695 - 1.701 R).
    Valid range: R 0.704 to 0.996; above it turns negative, and the figure carries a caveat.
    Source: Péronnet & Massicotte 1991, Can J Sport Sci 16:23-29, as in doi 10.1055/s-2004-830512.

    >>> round(breath_fat_g_per_min(oxygen_l_per_min=2.5, respiratory_ratio=0.88), 4)
    0.4953
    """
    return oxygen_l_per_min * (1.695 - 1.701 * respiratory_ratio)


@equation(
    gives="carb_share_frac",
    source="jeukendrup2005",
    at="energy of the mix 4.07, of fat 9.75 kcal/g",
    mark="read2",
    population="any",
)
def energy_share_frac(*, carb_g_per_min: float, fat_g_per_min: float) -> float:
    """Return the share of energy from carbohydrate, from what is burnt.

    Parameters: carb_g_per_min, carbohydrate burnt [g/min]; fat_g_per_min, fat burnt [g/min].
    Returns: share of energy from carbohydrate [frac].
    Equation: s = 4.07 c / (4.07 c + 9.75 t).
    Valid range: both 0 or more, not both 0.
    Source: Jeukendrup & Wallis 2005, doi 10.1055/s-2004-830512.

    >>> round(energy_share_frac(carb_g_per_min=1.857, fat_g_per_min=0.4953), 3)
    0.61
    """
    carb_kcal_per_min = MIX_KCAL_PER_G * carb_g_per_min
    return carb_kcal_per_min / (carb_kcal_per_min + FAT_KCAL_PER_G * fat_g_per_min)


@equation(
    gives="carb_g_per_min",
    source="jeukendrup2005",
    at="energy of the mix 4.07 kcal/g; other conventions by argument",
    mark="computed",
    population="any",
    note="Conventions for a gram: 3.74 glucose, 4.0 food, 4.07 mix in exercise, 4.2 glycogen; one a run.",
)
def carb_burn_g_per_min(
    *, power_w_per_kg: float, body_mass_kg: float, carb_share_frac: float, carb_kcal_per_g: float
) -> float:
    """Return the carbohydrate that supplies a share of a metabolic power.

    Parameters: power_w_per_kg, metabolic power [W/kg]; body_mass_kg, body mass [kg]; carb_share_frac, share
    of energy from carbohydrate [frac]; carb_kcal_per_g, energy of a gram by the convention of the run
    [kcal/g].
    Returns: carbohydrate [g/min].
    Equation: c = s P m 60 / 4184 / e.
    Valid range: share 0 to 1.
    Source: energy balance; conventions in Jeukendrup & Wallis 2005, doi 10.1055/s-2004-830512.

    >>> c = carb_burn_g_per_min(power_w_per_kg=13.9467, body_mass_kg=70, carb_share_frac=0.6004,
    ...                         carb_kcal_per_g=4.0)
    >>> round(c, 3)
    2.101
    """
    return carb_share_frac * power_w_per_kg * body_mass_kg * (60 / J_PER_KCAL) / carb_kcal_per_g


@equation(
    gives="fat_g_per_min",
    source="jeukendrup2005",
    at="energy of fat 9.75 kcal/g",
    mark="computed",
    population="any",
)
def fat_burn_g_per_min(*, power_w_per_kg: float, body_mass_kg: float, carb_share_frac: float) -> float:
    """Return the fat that supplies what carbohydrate does not.

    Parameters: power_w_per_kg, metabolic power [W/kg]; body_mass_kg, body mass [kg]; carb_share_frac, share
    of energy from carbohydrate [frac].
    Returns: fat [g/min].
    Equation: t = (1 - s) P m 60 / 4184 / 9.75.
    Valid range: share 0 to 1.
    Source: energy balance; 9.75 kcal/g as in Jeukendrup & Wallis 2005, doi 10.1055/s-2004-830512.

    >>> round(fat_burn_g_per_min(power_w_per_kg=13.9467, body_mass_kg=70, carb_share_frac=0.6004), 3)
    0.574
    """
    return (1 - carb_share_frac) * power_w_per_kg * body_mass_kg * (60 / J_PER_KCAL) / FAT_KCAL_PER_G


@equation(
    gives="glucose_g_per_min",
    source="jeukendrup1999",
    at="tracer rates of glucose, µmol/kg/min",
    mark="computed",
    population="any",
)
def glucose_turnover_g_per_min(*, turnover_umol_per_kg_per_min: float, body_mass_kg: float) -> float:
    """Return a tracer rate of glucose in grams a minute for a whole body.

    Parameters: turnover_umol_per_kg_per_min, rate per kilogram [umol/kg/min]; body_mass_kg, body mass [kg].
    Returns: glucose [g/min].
    Equation: g = r m 180.16e-6.
    Valid range: any.
    Source: molar mass of glucose 180.16 g/mol; rates in Jeukendrup 1999, PMC2269151.

    >>> round(glucose_turnover_g_per_min(turnover_umol_per_kg_per_min=51.5, body_mass_kg=70), 3)
    0.649
    """
    return turnover_umol_per_kg_per_min * body_mass_kg * GLUCOSE_G_PER_UMOL
