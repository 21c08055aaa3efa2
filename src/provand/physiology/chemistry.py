"""Labels and solutions: energy of a label, salts and sodium, osmoles, sugars in a mix, cooked and dry."""

from __future__ import annotations

from provand.card import equation

GLUCOSE_G_PER_MOL = 180.156
"""Glucose and fructose alike."""
SUCROSE_G_PER_MOL = 342.297
"""Sucrose, lactose and maltose alike."""
SALT_G_PER_MOL = 58.443
CITRATE_G_PER_MOL = 294.10
"""Trisodium citrate with two waters; 258.07 without."""
SODIUM_G_PER_MOL = 22.990
"""Molar masses from tables of atomic weights, from memory."""

LABEL_SALT_PER_SODIUM = 2.5
"""The salt of a label is sodium times this, by law (eu2011, Annex I); true salt is 2.542."""

SUGAR_VOLUME_ML_PER_G = 0.62
"""What a gram of dissolved sugar adds to the volume; from memory."""

FOOD = "food and drink"
ENERGY_PARTS: dict[str, tuple[float, float]] = {
    "carb_g": (0, 100),
    "polyol_g": (0, 50),
    "erythritol_g": (0, 50),
    "protein_g": (0, 100),
    "fat_g": (0, 100),
    "alcohol_g": (0, 50),
    "organic_acid_g": (0, 20),
    "fibre_g": (0, 50),
}


@equation(
    gives="energy_kcal",
    source="eu2011",
    at="Annex XIV",
    mark="read",
    population=FOOD,
    holds=ENERGY_PARTS,
)
def label_energy_kcal(
    *,
    carb_g: float,
    polyol_g: float,
    erythritol_g: float,
    protein_g: float,
    fat_g: float,
    alcohol_g: float,
    organic_acid_g: float,
    fibre_g: float,
) -> float:
    """Return the energy of a European label in kilocalories; kilojoules are summed apart.

    Parameters: carb_g, without any polyols; polyol_g, without erythritol; erythritol_g; protein_g; fat_g;
    alcohol_g; organic_acid_g; fibre_g, each per 100 g or per portion [g].
    Returns: energy [kcal].
    Equation: 4 C + 2.4 polyols + 0 erythritol + 4 P + 9 F + 7 alcohol + 3 acids + 2 fibre.
    Valid range: labels under this rule; food tables use factors of each food.
    Source: Regulation (EU) 1169/2011, Annex XIV.

    >>> label_energy_kcal(carb_g=62.0, polyol_g=0.0, erythritol_g=0.0, protein_g=7.5, fat_g=3.0,
    ...     alcohol_g=0.0, organic_acid_g=0.0, fibre_g=4.5)
    314.0
    """
    sugars = 4 * carb_g + 2.4 * polyol_g + 0 * erythritol_g
    return sugars + 4 * protein_g + 9 * fat_g + 7 * alcohol_g + 3 * organic_acid_g + 2 * fibre_g


@equation(
    gives="energy_kj",
    source="eu2011",
    at="Annex XIV",
    mark="read",
    population=FOOD,
    holds=ENERGY_PARTS,
)
def label_energy_kj(
    *,
    carb_g: float,
    polyol_g: float,
    erythritol_g: float,
    protein_g: float,
    fat_g: float,
    alcohol_g: float,
    organic_acid_g: float,
    fibre_g: float,
) -> float:
    """Return the energy of a European label in kilojoules, by its own factors.

    Parameters: as for kilocalories [g].
    Returns: energy [kJ].
    Equation: 17 C + 10 polyols + 0 erythritol + 17 P + 37 F + 29 alcohol + 13 acids + 8 fibre.
    Valid range: labels under this rule; it is not 4.184 times the kilocalories.
    Source: Regulation (EU) 1169/2011, Annex XIV.

    >>> label_energy_kj(carb_g=62.0, polyol_g=0.0, erythritol_g=0.0, protein_g=7.5, fat_g=3.0,
    ...     alcohol_g=0.0, organic_acid_g=0.0, fibre_g=4.5)
    1328.5
    """
    sugars = 17 * carb_g + 10 * polyol_g + 0 * erythritol_g
    return sugars + 17 * protein_g + 37 * fat_g + 29 * alcohol_g + 13 * organic_acid_g + 8 * fibre_g


@equation(
    gives="energy_kcal",
    source="usda2016",
    at="specific factors of a food",
    mark="read",
    population="foods of the table",
    holds={
        "protein_g": (0, 100),
        "fat_g": (0, 100),
        "carb_g": (0, 100),
        "protein_kcal_per_g": (0, 9),
        "fat_kcal_per_g": (0, 9.5),
        "carb_kcal_per_g": (0, 4.2),
    },
)
def table_energy_kcal(
    *,
    protein_g: float,
    fat_g: float,
    carb_g: float,
    protein_kcal_per_g: float,
    fat_kcal_per_g: float,
    carb_kcal_per_g: float,
) -> float:
    """Return the energy of a food by its own factors, as the American table has it.

    Parameters: protein_g, fat_g, carb_g, by difference and with fibre [g]; the factors of the food [kcal/g].
    Returns: energy [kcal].
    Equation: sum of mass times factor.
    Valid range: the table's foods; never recompute them with 4, 4 and 9.
    Source: USDA Standard Reference 28.

    >>> round(table_energy_kcal(protein_g=7.13, fat_g=0.66, carb_g=79.95, protein_kcal_per_g=3.82,
    ...     fat_kcal_per_g=8.37, carb_kcal_per_g=4.16), 2)
    365.35
    """
    return protein_g * protein_kcal_per_g + fat_g * fat_kcal_per_g + carb_g * carb_kcal_per_g


@equation(
    gives="salt_g",
    source="eu2011",
    at="Annex I",
    mark="read",
    population=FOOD,
    holds={"sodium_mg": (0, 5000)},
)
def label_salt_g(*, sodium_mg: float) -> float:
    """Return the salt that a European label prints for a mass of sodium.

    Parameters: sodium_mg [mg].
    Returns: salt [g].
    Equation: sodium * 2.5.
    Valid range: labels; weighed salt holds 1.7 % less sodium than this.
    Source: Regulation (EU) 1169/2011, Annex I.

    >>> label_salt_g(sodium_mg=520.0)
    1.3
    """
    return sodium_mg / 1000 * LABEL_SALT_PER_SODIUM


@equation(
    gives="sodium_mg",
    source="eu2011",
    at="Annex I turned round",
    mark="read",
    population=FOOD,
    holds={"salt_g": (0, 15)},
)
def label_sodium_mg(*, salt_g: float) -> float:
    """Return the sodium behind the salt of a European label.

    Parameters: salt_g, as printed [g].
    Returns: sodium [mg].
    Equation: salt / 2.5.
    Valid range: labels; for salt on a scale use sodium_of_salt_mg.
    Source: Regulation (EU) 1169/2011, Annex I.

    >>> label_sodium_mg(salt_g=0.45)
    180.0
    """
    return 1000 * salt_g / LABEL_SALT_PER_SODIUM


@equation(
    gives="sodium_mg",
    source="iupac",
    at="molar masses",
    mark="computed",
    population="pure salts",
    holds={"salt_g": (0, 30), "sodium_count": (1, 3), "salt_g_per_mol": (58, 300)},
)
def sodium_of_salt_mg(*, salt_g: float, sodium_count: float, salt_g_per_mol: float) -> float:
    """Return the sodium in a weighed salt.

    Parameters: salt_g [g]; sodium_count, sodium atoms in its formula; salt_g_per_mol [g/mol].
    Returns: sodium [mg].
    Equation: 1000 salt * n * 22.990 / M.
    Valid range: pure and dry; citrate may come with or without water.
    Source: molar masses.

    >>> round(sodium_of_salt_mg(salt_g=1.0, sodium_count=1.0, salt_g_per_mol=58.443), 1)
    393.4
    """
    return 1000 * salt_g * sodium_count * SODIUM_G_PER_MOL / salt_g_per_mol


@equation(
    gives="salt_g",
    source="iupac",
    at="molar masses",
    mark="computed",
    population="pure salts",
    holds={"sodium_mg": (0, 5000), "sodium_count": (1, 3), "salt_g_per_mol": (58, 300)},
)
def salt_for_sodium_g(*, sodium_mg: float, sodium_count: float, salt_g_per_mol: float) -> float:
    """Return the salt to weigh for a wanted mass of sodium.

    Parameters: sodium_mg [mg]; sodium_count, sodium atoms in its formula; salt_g_per_mol [g/mol].
    Returns: salt [g].
    Equation: sodium / 1000 * M / (n * 22.990).
    Valid range: pure and dry.
    Source: molar masses.

    >>> round(salt_for_sodium_g(sodium_mg=700.0, sodium_count=1.0, salt_g_per_mol=58.443), 2)
    1.78
    """
    return sodium_mg / 1000 * salt_g_per_mol / (sodium_count * SODIUM_G_PER_MOL)


@equation(
    gives="sodium_mg",
    source="iupac",
    at="molar mass of sodium",
    mark="computed",
    population="chemistry",
    holds={"sodium_mmol": (0, 500)},
)
def sodium_mg(*, sodium_mmol: float) -> float:
    """Return millimoles of sodium as milligrams.

    Parameters: sodium_mmol [mmol].
    Returns: sodium [mg].
    Equation: 22.990 n.
    Valid range: any.
    Source: molar mass.

    >>> round(sodium_mg(sodium_mmol=10.0), 1)
    229.9
    """
    return SODIUM_G_PER_MOL * sodium_mmol


@equation(
    gives="sodium_mmol",
    source="iupac",
    at="molar mass of sodium",
    mark="computed",
    population="chemistry",
    holds={"sodium_mg": (0, 10000)},
)
def sodium_mmol(*, sodium_mg: float) -> float:
    """Return milligrams of sodium as millimoles.

    Parameters: sodium_mg [mg].
    Returns: sodium [mmol].
    Equation: m / 22.990.
    Valid range: any.
    Source: molar mass.

    >>> round(sodium_mmol(sodium_mg=500.0), 2)
    21.75
    """
    return sodium_mg / SODIUM_G_PER_MOL


@equation(
    gives="osmoles_mosm_per_l",
    source="iupac",
    at="ideal osmolarity",
    mark="computed",
    population="solutions",
    holds={"solute_g_per_l": (0, 200), "solute_g_per_mol": (50, 400), "particle_count": (1, 4)},
)
def osmolarity_mosm_per_l(*, solute_g_per_l: float, solute_g_per_mol: float, particle_count: float) -> float:
    """Return the osmolarity that a solute adds, as if ideal.

    Parameters: solute_g_per_l [g/L]; solute_g_per_mol [g/mol];
    particle_count, pieces it falls into: 1 for sugar, 2 for salt, 4 for citrate.
    Returns: osmolarity [mOsm/L].
    Equation: 1000 c n / M.
    Valid range: dilute; sucrose splits in acid drinks, up to twice.
    Source: molar masses.

    >>> round(osmolarity_mosm_per_l(solute_g_per_l=45.0, solute_g_per_mol=342.297, particle_count=1.0), 1)
    131.5
    """
    return 1000 * solute_g_per_l * particle_count / solute_g_per_mol


@equation(
    gives="osmoles_mosm_per_l",
    source="iupac",
    at="mean chain by dextrose equivalent, DE = 100 * 180.16 / Mn",
    mark="read",
    population="maltodextrin",
    holds={"maltodextrin_g_per_l": (0, 200), "dextrose_equivalent_percent": (3, 20)},
)
def maltodextrin_mosm_per_l(*, maltodextrin_g_per_l: float, dextrose_equivalent_percent: float) -> float:
    """Return the osmolarity that maltodextrin adds, from its dextrose equivalent.

    Parameters: maltodextrin_g_per_l [g/L]; dextrose_equivalent_percent, DE of the powder [%].
    Returns: osmolarity [mOsm/L].
    Equation: c DE / 18.016.
    Valid range: DE 3 to 20.
    Source: the definition of dextrose equivalent.

    >>> round(maltodextrin_mosm_per_l(maltodextrin_g_per_l=45.0, dextrose_equivalent_percent=12.0), 1)
    30.0
    """
    return maltodextrin_g_per_l * dextrose_equivalent_percent / 18.016


@equation(
    gives="fructose_g",
    source="iupac",
    at="sucrose splits into one glucose and one fructose",
    mark="computed",
    population="sugars",
    holds={"free_fructose_g": (0, 100), "sucrose_g": (0, 100)},
    note="glucose in a mix is the same sum with free glucose",
)
def fructose_in_mix_g(*, free_fructose_g: float, sucrose_g: float) -> float:
    """Return the fructose that the gut sees: free, and from sucrose.

    Parameters: free_fructose_g; sucrose_g [g].
    Returns: fructose [g].
    Equation: free + sucrose * 180.156 / 342.297.
    Valid range: both known; unknown stays unknown.
    Source: molar masses.

    >>> round(fructose_in_mix_g(free_fructose_g=40.94, sucrose_g=0.89), 2)
    41.41
    """
    return free_fructose_g + sucrose_g * GLUCOSE_G_PER_MOL / SUCROSE_G_PER_MOL


@equation(
    gives="fructose_g",
    source="practice",
    at="recipe by ratio",
    mark="computed",
    population="drinks mixed from maltodextrin and fructose",
    holds={"carb_g": (0, 300), "fructose_ratio": (0, 1.5)},
)
def recipe_fructose_g(*, carb_g: float, fructose_ratio: float) -> float:
    """Return the fructose to weigh for a mix of glucose and fructose as 1 to a ratio.

    Parameters: carb_g, both together [g]; fructose_ratio, fructose to one part of glucose [ratio].
    Returns: fructose [g]; the rest is maltodextrin.
    Equation: T r / (1 + r).
    Valid range: any.
    Source: arithmetic.

    >>> round(recipe_fructose_g(carb_g=80.0, fructose_ratio=0.8), 2)
    35.56
    """
    return carb_g * fructose_ratio / (1 + fructose_ratio)


@equation(
    gives="volume_ml",
    source="practice",
    at="volume of dissolved sugar, 0.62 ml/g",
    mark="memory",
    population="sugar drinks up to syrup",
    holds={"water_ml": (0, 2000), "sugar_g": (0, 500)},
)
def solution_ml(*, water_ml: float, sugar_g: float) -> float:
    """Return the volume of a drink when sugar goes into water that is already measured.

    Parameters: water_ml [ml]; sugar_g [g].
    Returns: volume [ml].
    Equation: water + 0.62 sugar.
    Valid range: "in 1 L" and "made up to 1 L" differ by this.
    Source: partial volume of sugars, from memory.

    >>> round(solution_ml(water_ml=1000.0, sugar_g=80.0), 1)
    1049.6
    """
    return water_ml + SUGAR_VOLUME_ML_PER_G * sugar_g


@equation(
    gives="water_ml",
    source="practice",
    at="volume of dissolved sugar, 0.62 ml/g, turned round",
    mark="memory",
    population="sugar drinks up to syrup",
    holds={"drink_ml": (0, 2000), "sugar_g": (0, 500)},
)
def water_to_make_up_ml(*, drink_ml: float, sugar_g: float) -> float:
    """Return the water that fills a drink up to its volume once the sugar is in.

    Parameters: drink_ml, volume filled up to [ml]; sugar_g [g].
    Returns: water [ml].
    Equation: volume - 0.62 sugar.
    Valid range: "made up to 1 L" takes less water than "in 1 L".
    Source: partial volume of sugars, from memory.

    >>> round(water_to_make_up_ml(drink_ml=1000.0, sugar_g=80.0), 1)
    950.4
    """
    return drink_ml - SUGAR_VOLUME_ML_PER_G * sugar_g


@equation(
    gives="osmolality_mosm_per_kg",
    source="iupac",
    at="osmoles over the water of the drink",
    mark="computed",
    population="solutions",
    holds={"osmoles_mosm_per_l": (0, 1000), "water_kg_per_l": (0.5, 1)},
)
def osmolality_mosm_per_kg(*, osmoles_mosm_per_l: float, water_kg_per_l: float) -> float:
    """Return the osmoles of a drink for each kilogram of its water, as if ideal.

    Parameters: osmoles_mosm_per_l, all solutes together [mOsm/L]; water_kg_per_l, water in a litre [kg/L].
    Returns: osmolality [mOsm/kg].
    Equation: osmoles / water.
    Valid range: ideal; real drinks lie some percent off, acid ones with sucrose far above.
    Source: the definition.

    >>> round(osmolality_mosm_per_kg(osmoles_mosm_per_l=277.5, water_kg_per_l=0.969), 1)
    286.4
    """
    return osmoles_mosm_per_l / water_kg_per_l


@equation(
    gives="carb_g",
    source="iupac",
    at="water taken up when a chain is split",
    mark="computed",
    population="starch and sugars",
    holds={"carb_g": (0, 100), "unit_g_per_mol": (160, 182)},
)
def monosaccharide_g(*, carb_g: float, unit_g_per_mol: float) -> float:
    """Return a carbohydrate as monosaccharide, the way the British food table prints it.

    Parameters: carb_g, as weighed [g]; unit_g_per_mol, mass for each simple sugar in it: half a sucrose
    171.149, a starch unit 162.141 [g/mol].
    Returns: carbohydrate as monosaccharide [g].
    Equation: m * 180.156 / unit.
    Valid range: divide the table's figures by this before mixing them with labels.
    Source: molar masses; the table uses 1.05 for sucrose and 1.10 for starch.

    >>> round(monosaccharide_g(carb_g=100.0, unit_g_per_mol=171.1485), 1)
    105.3
    """
    return carb_g * GLUCOSE_G_PER_MOL / unit_g_per_mol


@equation(
    gives="dry_g",
    source="usda2016",
    at="carbohydrate of the dry and the cooked food",
    mark="computed",
    population="rice, pasta and grains; kitchens differ by 15 %",
    holds={"cooked_g": (0, 1000), "cooked_carb_frac": (0.1, 0.4), "dry_carb_frac": (0.6, 0.9)},
)
def dry_mass_g(*, cooked_g: float, cooked_carb_frac: float, dry_carb_frac: float) -> float:
    """Return the dry food that makes a cooked portion, by its carbohydrate.

    Parameters: cooked_g [g]; cooked_carb_frac, dry_carb_frac, carbohydrate of each [of 1].
    Returns: dry mass [g].
    Equation: cooked * cooked share / dry share.
    Valid range: nothing lost in the water.
    Source: USDA Standard Reference; 15 % either way in kitchens is our estimate.

    >>> round(dry_mass_g(cooked_g=250.0, cooked_carb_frac=0.2817, dry_carb_frac=0.7995))
    88
    """
    return cooked_g * cooked_carb_frac / dry_carb_frac
