"""From oxygen to energy, from energy to power: one convention a run, named on each card."""

from __future__ import annotations

from provand.card import equation

J_PER_KCAL = 4184.0
REST_ML_PER_KG_PER_MIN = 3.5


@equation(
    gives="energy_kcal_per_l",
    source="lusk1924",
    at="table of the non-protein respiratory quotient, as a line",
    mark="read2",
    population="stoichiometry of starch and fat, protein left out",
    holds={"respiratory_ratio": (0.70, 1.00)},
    note="About 3 % under Péronnet and Massicotte 1991; published equations differ by up to 5.2 %.",
)
def lusk_kcal_per_l(*, respiratory_ratio: float) -> float:
    """Return the energy set free by a litre of oxygen, by the older table.

    Parameters: respiratory_ratio, carbon dioxide given over oxygen taken [ratio].
    Returns: energy per litre of oxygen [kcal/L].
    Equation: E = 3.815 + 1.232 R.
    Valid range: R 0.70 to 1.00, steady state; outside it computes and the figure carries a caveat.
    Source: Lusk 1924, J Biol Chem 59:41-42.

    >>> round(lusk_kcal_per_l(respiratory_ratio=0.90), 4)
    4.9238
    """
    return 3.815 + 1.232 * respiratory_ratio


@equation(
    gives="energy_kcal_per_l",
    source="peronnet1991",
    at="energy per litre of oxygen, in kcal",
    mark="read2",
    population="stoichiometry of glucose and human fat, protein left out",
    holds={"respiratory_ratio": (0.7036, 0.9965)},
    note="The kJ form implies 4.182 kJ a kcal, not 4.184.",
)
def peronnet_kcal_per_l(*, respiratory_ratio: float) -> float:
    """Return the energy set free by a litre of oxygen, by the newer table.

    Parameters: respiratory_ratio, carbon dioxide given over oxygen taken [ratio].
    Returns: energy per litre of oxygen [kcal/L].
    Equation: E = 4.0372 + 1.1563 R.
    Valid range: R 0.7036 to 0.9965, steady state; outside it computes and the figure carries a caveat.
    Source: Péronnet & Massicotte 1991, Can J Sport Sci 16:23-29.

    >>> round(peronnet_kcal_per_l(respiratory_ratio=0.88), 4)
    5.0547
    """
    return 4.0372 + 1.1563 * respiratory_ratio


@equation(
    gives="energy_kj_per_l",
    source="peronnet1991",
    at="energy per litre of oxygen, in kJ",
    mark="read2",
    population="stoichiometry of glucose and human fat, protein left out",
    holds={"respiratory_ratio": (0.7036, 0.9965)},
)
def peronnet_kj_per_l(*, respiratory_ratio: float) -> float:
    """Return the energy set free by a litre of oxygen, by the newer table, in kilojoules.

    Parameters: respiratory_ratio, carbon dioxide given over oxygen taken [ratio].
    Returns: energy per litre of oxygen [kJ/L].
    Equation: E = 16.8835 + 4.8353 R.
    Valid range: R 0.7036 to 0.9965, steady state; outside it computes and the figure carries a caveat.
    Source: Péronnet & Massicotte 1991, Can J Sport Sci 16:23-29.

    >>> round(2.5 * peronnet_kj_per_l(respiratory_ratio=0.88), 3)
    52.846
    """
    return 16.8835 + 4.8353 * respiratory_ratio


@equation(
    gives="power_w_per_kg",
    source="nist2008",
    at="thermochemical calorie, 4.184 J",
    mark="memory",
    population="any",
)
def metabolic_power_w_per_kg(*, oxygen_ml_per_kg_per_min: float, energy_kcal_per_l: float) -> float:
    """Return the metabolic power of an oxygen uptake.

    Parameters: oxygen_ml_per_kg_per_min, oxygen uptake [ml/kg/min]; energy_kcal_per_l, energy per litre of
    oxygen [kcal/L].
    Returns: metabolic power [W/kg].
    Equation: P = VO2 E 4.184 / 60.
    Valid range: steady state.
    Source: thermochemical calorie, NIST SP 811 (2008), Appendix B.

    >>> round(metabolic_power_w_per_kg(oxygen_ml_per_kg_per_min=40, energy_kcal_per_l=4.9238), 3)
    13.734
    """
    return oxygen_ml_per_kg_per_min * energy_kcal_per_l * (J_PER_KCAL / 60000)


@equation(
    gives="power_w_per_kg",
    source="acsm2017",
    at="Table 6.3, resting term",
    mark="read",
    population="adults sitting; a convention",
    holds={"respiratory_ratio": (0.70, 1.00)},
    note="3.5 ml/kg/min is 2 % above the other convention, 1 kcal/kg/h: never mix them.",
)
def resting_power_w_per_kg(*, respiratory_ratio: float) -> float:
    """Return the metabolic power of rest as oxygen equations count it.

    Parameters: respiratory_ratio, carbon dioxide given over oxygen taken [ratio].
    Returns: resting metabolic power [W/kg].
    Equation: 3.5 ml/kg/min times Lusk's energy.
    Valid range: R 0.70 to 1.00; outside it computes and the figure carries a caveat.
    Source: ACSM's Guidelines, 10th edition, Table 6.3, in doi 10.1249/FIT.0000000000000577; Lusk 1924.

    >>> round(resting_power_w_per_kg(respiratory_ratio=0.85), 4)
    1.1867
    """
    energy = lusk_kcal_per_l(respiratory_ratio=respiratory_ratio)
    return metabolic_power_w_per_kg(oxygen_ml_per_kg_per_min=REST_ML_PER_KG_PER_MIN, energy_kcal_per_l=energy)


@equation(
    gives="power_w_per_kg",
    source="minetti2002",
    at="definition of net cost",
    mark="computed",
    population="any; cost differs by 7 % (SD) between runners",
)
def gross_power_w_per_kg(*, cost_j_per_kg_per_m: float, speed_m_per_s: float, rest_w_per_kg: float) -> float:
    """Return the metabolic power of moving: net cost times speed, and rest.

    Parameters: cost_j_per_kg_per_m, net cost of a metre [J/kg/m]; speed_m_per_s, speed along the slope
    [m/s]; rest_w_per_kg, power of rest [W/kg].
    Returns: gross metabolic power [W/kg].
    Equation: P = C v + rest.
    Valid range: steady state; other equations stand 8 % under to 9 % over at 3.5 m/s.
    Source: Minetti 2002, doi 10.1152/japplphysiol.01177.2001.

    >>> p = gross_power_w_per_kg(cost_j_per_kg_per_m=3.6, speed_m_per_s=2.930208, rest_w_per_kg=1.2017)
    >>> round(p, 4)
    11.7504
    """
    return cost_j_per_kg_per_m * speed_m_per_s + rest_w_per_kg


@equation(
    gives="energy_kcal_per_h",
    source="nist2008",
    at="thermochemical calorie, 4.184 J",
    mark="memory",
    population="any",
)
def energy_kcal_per_h(*, power_w_per_kg: float, body_mass_kg: float) -> float:
    """Return the energy a body turns over in an hour.

    Parameters: power_w_per_kg, metabolic power [W/kg]; body_mass_kg, body mass [kg].
    Returns: energy [kcal/h].
    Equation: E = P m 3600 / 4184.
    Valid range: any.
    Source: thermochemical calorie, NIST SP 811 (2008), Appendix B.

    >>> round(energy_kcal_per_h(power_w_per_kg=13.734, body_mass_kg=70), 1)
    827.2
    """
    return power_w_per_kg * body_mass_kg * (3600 / J_PER_KCAL)


@equation(
    gives="energy_kcal_per_kg_per_km",
    source="nist2008",
    at="thermochemical calorie, 4.184 J",
    mark="memory",
    population="any",
)
def distance_cost_kcal_per_kg_per_km(*, power_w_per_kg: float, speed_m_per_s: float) -> float:
    """Return the energy that a kilometre costs each kilogram.

    Parameters: power_w_per_kg, metabolic power [W/kg]; speed_m_per_s, speed [m/s].
    Returns: energy [kcal/kg/km].
    Equation: k = P / v 1000 / 4184.
    Valid range: speeds above 0.
    Source: thermochemical calorie, NIST SP 811 (2008), Appendix B.

    >>> round(distance_cost_kcal_per_kg_per_km(power_w_per_kg=11.7505, speed_m_per_s=2.93021), 4)
    0.9584
    """
    return power_w_per_kg / speed_m_per_s * (1000 / J_PER_KCAL)


@equation(
    gives="energy_kcal_per_h",
    source="ainsworth2011",
    at="definition: 1 MET is 1 kcal/kg/h",
    mark="memory",
    population="tables of activities; a convention",
    note="3.5 ml/kg/min is another convention, 2 % higher: never mix them.",
)
def met_kcal_per_h(*, activity_met: float, body_mass_kg: float) -> float:
    """Return the energy of an activity from a table of METs.

    Parameters: activity_met, table value of the activity [MET]; body_mass_kg, body mass [kg].
    Returns: energy, rest included [kcal/h].
    Equation: E = MET m.
    Valid range: adults; a table is a mean of many people.
    Source: Ainsworth 2011, doi 10.1249/MSS.0b013e31821ece12.

    >>> met_kcal_per_h(activity_met=7, body_mass_kg=60)
    420
    """
    return activity_met * body_mass_kg
