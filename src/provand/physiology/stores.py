"""Glycogen in muscle and liver: from what laboratories print to grams, and what a night costs the liver."""

from __future__ import annotations

from provand.card import equation

GLYCOGEN_G_PER_MMOL = 0.162
"""A glucosyl unit in a chain, one water short of glucose."""

GLUCOSE_G_PER_MMOL = 0.18016
"""The same unit once it is set free as glucose."""


@equation(
    gives="glycogen_g",
    source="fernandezelias2015",
    at="glucosyl unit, 162 g/mol",
    mark="computed",
    population="any",
)
def glycogen_g(*, glucosyl_mmol: float) -> float:
    """Return the mass of glycogen that holds so many glucosyl units.

    Parameters: glucosyl_mmol, glucosyl units [mmol].
    Returns: glycogen [g].
    Equation: g = 0.162 n.
    Valid range: any.
    Source: molar mass of the unit; use in doi 10.1007/s00421-015-3175-z.

    >>> round(glycogen_g(glucosyl_mmol=13.5 * 125), 1)
    273.4
    """
    return GLYCOGEN_G_PER_MMOL * glucosyl_mmol


@equation(
    gives="glucose_g",
    source="jeukendrup1999",
    at="glucose, 180.16 g/mol",
    mark="computed",
    population="any",
)
def freed_glucose_g(*, glucosyl_mmol: float) -> float:
    """Return the mass of glucose that so many glucosyl units give when freed.

    Parameters: glucosyl_mmol, glucosyl units [mmol].
    Returns: glucose, 11 % more than the glycogen it came from [g].
    Equation: g = 0.18016 n.
    Valid range: any.
    Source: molar mass of glucose 180.16 g/mol; rates in Jeukendrup 1999, PMC2269151.

    >>> round(freed_glucose_g(glucosyl_mmol=13.5 * 125), 1)
    304.0
    """
    return GLUCOSE_G_PER_MMOL * glucosyl_mmol


@equation(
    gives="wet_dry_ratio",
    source="fernandezelias2015",
    at="water of muscle, 3459 to 3814 g per kg of dry mass",
    mark="computed",
    population="trained men, at rest and after exercise",
    holds={"water_g_per_kg": (3000.0, 4000.0)},
    note="The default of 4.4 is a little drier than this paper; 4.3 is usual. The range is ours.",
)
def muscle_wet_dry_ratio(*, water_g_per_kg: float) -> float:
    """Return how many times heavier muscle is wet than dry.

    Parameters: water_g_per_kg, water per kilogram of dry muscle [g/kg].
    Returns: wet mass over dry mass [ratio].
    Equation: k = 1 + w / 1000.
    Valid range: 3000 to 4000 g/kg; outside it computes and the figure carries a caveat.
    Source: Fernández-Elías 2015, doi 10.1007/s00421-015-3175-z.

    >>> muscle_wet_dry_ratio(water_g_per_kg=3459)
    4.459
    """
    return 1 + water_g_per_kg / 1000


@equation(
    gives="wet_mmol_per_kg",
    source="fernandezelias2015",
    at="wet over dry mass",
    mark="computed",
    population="any muscle",
    holds={"wet_dry_ratio": (4.0, 5.0)},
    note="Magnetic resonance gives mmol per litre of muscle, near the wet value.",
)
def wet_glycogen_mmol_per_kg(*, dry_mmol_per_kg: float, wet_dry_ratio: float) -> float:
    """Return glycogen per kilogram of wet muscle from that of dry muscle.

    Parameters: dry_mmol_per_kg, glucosyl units per kilogram of dry muscle [mmol/kg]; wet_dry_ratio, wet
    mass over dry mass, 4.4 by default [ratio].
    Returns: glucosyl units per kilogram of wet muscle [mmol/kg].
    Equation: ww = dm / k.
    Valid range: k 4 to 5; outside it computes and the figure carries a caveat.
    Source: Fernández-Elías 2015, doi 10.1007/s00421-015-3175-z.

    >>> round(wet_glycogen_mmol_per_kg(dry_mmol_per_kg=408, wet_dry_ratio=4.4), 1)
    92.7
    """
    return dry_mmol_per_kg / wet_dry_ratio


@equation(
    gives="glycogen_g",
    source="janssen2000",
    at="muscle over body mass: 38.4 % men, 30.6 % women",
    mark="computed",
    population="468 men and women, 18 to 88 years, for the muscle",
    holds={"muscle_frac": (0.10, 0.50), "wet_mmol_per_kg": (0.0, 280.0)},
    note="Whole muscle, or leg muscle alone (0.15 to 0.25 of body mass). The ranges are ours.",
)
def muscle_glycogen_g(*, body_mass_kg: float, muscle_frac: float, wet_mmol_per_kg: float) -> float:
    """Return the glycogen in the muscle of a body.

    Parameters: body_mass_kg, body mass [kg]; muscle_frac, muscle meant over body mass [frac];
    wet_mmol_per_kg, glucosyl units per kilogram of wet muscle [mmol/kg].
    Returns: glycogen [g].
    Equation: g = m a M 0.162.
    Valid range: share 0.10 to 0.50, store 0 to 280; outside it carries a caveat.
    Source: Janssen 2000, doi 10.1152/jappl.2000.89.1.81, for the share.

    >>> g = muscle_glycogen_g(body_mass_kg=70, muscle_frac=0.384, wet_mmol_per_kg=408 / 4.4)
    >>> round(g, 1)
    403.8
    """
    return glycogen_g(glucosyl_mmol=body_mass_kg * muscle_frac * wet_mmol_per_kg)


@equation(
    gives="glycogen_g",
    source="taylor1996",
    at="liver glycogen, fasted and after a meal",
    mark="computed",
    population="healthy adults; cyclists 325 to 454 mmol/L (Gonzalez 2015)",
    holds={"liver_l": (1.2, 2.6), "liver_mmol_per_l": (0.0, 500.0)},
    note="The ranges are ours.",
)
def liver_glycogen_g(*, liver_l: float, liver_mmol_per_l: float) -> float:
    """Return the glycogen in the liver.

    Parameters: liver_l, volume of the liver [L]; liver_mmol_per_l, glucosyl units per litre [mmol/L].
    Returns: glycogen [g].
    Equation: g = V c 0.162.
    Valid range: 1.2 to 2.6 L, 0 to 500 mmol/L; outside it computes and the figure carries a caveat.
    Source: Taylor 1996, PMC507070; volume 1.8 L by default, near Fuchs 2016.

    >>> round(liver_glycogen_g(liver_l=1.8, liver_mmol_per_l=207), 1)
    60.4
    """
    return glycogen_g(glucosyl_mmol=liver_l * liver_mmol_per_l)


@equation(
    gives="glycogen_g",
    source="nilsson1973",
    at="splanchnic glycogenolysis at rest, 0.54 mmol/min",
    mark="read2",
    population="men resting after a night's fast",
    holds={"fast_min": (0.0, 960.0), "glycogenolysis_mmol_per_min": (0.3, 0.6)},
    note="The range is ours. Rates from magnetic resonance over a night are alike: 4.0 to 5.2 g/h together.",
)
def overnight_fall_g(*, fast_min: float, glycogenolysis_mmol_per_min: float) -> float:
    """Return the glycogen that the liver spends over a fast at rest.

    Parameters: fast_min, length of the fast [min]; glycogenolysis_mmol_per_min, rate [mmol/min].
    Returns: glycogen [g].
    Equation: g = r t 0.162.
    Valid range: up to 16 h; outside it computes and the figure carries a caveat.
    Source: Nilsson 1973, Scand J Clin Lab Invest 32:331-337 (reference from memory).

    >>> round(overnight_fall_g(fast_min=600, glycogenolysis_mmol_per_min=0.54), 1)
    52.5
    """
    return glycogen_g(glucosyl_mmol=fast_min * glycogenolysis_mmol_per_min)
