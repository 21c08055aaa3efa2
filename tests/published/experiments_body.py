"""Set-ups of several equations on recovery, heat, sweat, caffeine, energy, labels, as papers report them."""

from __future__ import annotations

import math

from harness import experiment

from provand.physiology.caffeine import (
    allowed_caffeine_mg,
    caffeine_in_body_mg,
    caffeine_mg_per_l,
    caffeine_peak_h,
    portion_caffeine_mg,
)
from provand.physiology.chemistry import (
    CITRATE_G_PER_MOL,
    GLUCOSE_G_PER_MOL,
    SALT_G_PER_MOL,
    fructose_in_mix_g,
    maltodextrin_mosm_per_l,
    osmolarity_mosm_per_l,
    recipe_fructose_g,
    salt_for_sodium_g,
    sodium_mg,
    solution_ml,
)
from provand.physiology.energy import (
    CARB_KCAL_PER_G,
    day_energy_kcal_per_day,
    energy_available_kcal_per_kg_per_day,
    fat_free_mass_kg,
    mifflin_woman_kcal_per_day,
    weir_kcal_per_min,
)
from provand.physiology.heat import flag, heat_slow_down_frac
from provand.physiology.heat_balance import body_surface_m2, core_temp_c, heat_balance
from provand.physiology.label_rounding import (
    eu_printed_grams,
    eu_printed_salt,
    us_printed_energy,
    us_printed_grams,
    us_printed_sodium,
)
from provand.physiology.recovery import kept_fluid_frac, net_fluid_ml, refill_mmol_per_kg_per_h
from provand.physiology.sodium import serum_sodium_mmol_per_l, sodium_line_l
from provand.physiology.stores import muscle_glycogen_g, wet_glycogen_mmol_per_kg
from provand.physiology.sweat import (
    breath_water_g_per_min,
    carried_sigma_ratio,
    carried_sweat_l_per_h,
    gas_loss_g_per_min,
    heat_balance_sweat_l_per_h,
    log_offset_ratio,
    metabolic_loss_kg,
    sweat_at_score_l_per_h,
    weight_of_tests_frac,
)
from provand.physiology.wbgt import (
    direct_beam_frac,
    globe_temp_c,
    natural_wet_bulb_c,
    possible_solar_w_per_m2,
    wbgt_sun_c,
)

LOW_SCORE, HIGH_SCORE = -1.645, 1.645


@experiment
def net_after_drinking_ml(*, lost_ml: float, drunk_over_lost_ratio: float, urine_ml: float) -> float:
    """Return the net fluid after drinking a multiple of the loss."""
    return net_fluid_ml(drunk_ml=drunk_over_lost_ratio * lost_ml, lost_ml=lost_ml, urine_ml=urine_ml)


@experiment
def urine_kept_over_water_ratio(*, water_urine_ml: float, urine_ml: float) -> float:
    """Return how much more of a litre stays after 4 h than of a litre of water, as a share of the litre."""
    kept = kept_fluid_frac(drunk_ml=1000.0, urine_ml=urine_ml)
    return kept - kept_fluid_frac(drunk_ml=1000.0, urine_ml=water_urine_ml)


@experiment
def eating_gain_mmol_per_kg_per_h(*, carb_g_per_kg_per_h: float) -> float:
    """Return how much faster glycogen comes back with food than with water."""
    fed = refill_mmol_per_kg_per_h(carb_g_per_kg_per_h=carb_g_per_kg_per_h)
    return fed - refill_mmol_per_kg_per_h(carb_g_per_kg_per_h=0.0)


@experiment
def refilled_g_per_h(*, refill_mmol_per_kg_per_h: float, worked_muscle_kg: float) -> float:
    """Return refilling in grams by way of the equations on stores."""
    wet = wet_glycogen_mmol_per_kg(dry_mmol_per_kg=refill_mmol_per_kg_per_h, wet_dry_ratio=4.3)
    return muscle_glycogen_g(body_mass_kg=worked_muscle_kg, muscle_frac=1.0, wet_mmol_per_kg=wet)


@experiment
def drink_sodium_mg(*, drink_l: float, sodium_mmol_per_l: float) -> float:
    """Return the sodium of a drink."""
    return sodium_mg(sodium_mmol=drink_l * sodium_mmol_per_l)


def _balance(at: dict[str, float]) -> dict[str, float]:
    core = at.pop("core_temp_c", 0.0) or core_temp_c(metabolic_w_per_m2=at["metabolic_w_per_m2"])
    return heat_balance(core_temp_c=core, clothing_clo=0.2, **at)._asdict()


@experiment
def balance_skin_temp_c(**at: float) -> float:
    """Return the skin temperature of the heat balance."""
    return _balance(at)["skin_temp_c"]


@experiment
def balance_convection_w_per_m2(**at: float) -> float:
    """Return the heat given to the air."""
    return _balance(at)["convection_w_per_m2"]


@experiment
def balance_radiation_w_per_m2(**at: float) -> float:
    """Return the heat given off by radiation."""
    return _balance(at)["radiation_w_per_m2"]


@experiment
def balance_required_w_per_m2(**at: float) -> float:
    """Return the evaporation that balance needs."""
    return _balance(at)["required_evaporation_w_per_m2"]


@experiment
def balance_possible_w_per_m2(**at: float) -> float:
    """Return the evaporation that the air would take."""
    return _balance(at)["max_evaporation_w_per_m2"]


@experiment
def balance_sweat_w_per_m2(**at: float) -> float:
    """Return the required sweating."""
    return _balance(at)["sweat_w_per_m2"]


@experiment
def runner_sweat_over_table_ratio(
    *, metabolic_w: float, body_mass_kg: float, height_m: float, speed_m_per_s: float, air_temp_c: float,
    humidity_frac: float, table_l_per_h: float,
) -> float:  # fmt: skip
    """Return the heat balance's sweat rate in calm air and shade over a printed one."""
    surface = body_surface_m2(body_mass_kg=body_mass_kg, height_m=height_m)
    return (
        heat_balance_sweat_l_per_h(
            metabolic_w_per_m2=metabolic_w / surface,
            air_temp_c=air_temp_c,
            radiant_temp_c=air_temp_c,
            humidity_frac=humidity_frac,
            air_speed_m_per_s=speed_m_per_s,
            ground_speed_m_per_s=speed_m_per_s,
            clothing_clo=0.2,
            body_surface_m2=surface,
        )
        / table_l_per_h
    )


@experiment
def sunny_runner_sweat_l_per_h(
    *, metabolic_w: float, body_mass_kg: float, height_m: float, air_speed_m_per_s: float, air_temp_c: float,
    radiant_rise_c: float, humidity_frac: float,
) -> float:  # fmt: skip
    """Return the heat balance's sweat rate of a runner in sun and wind."""
    surface = body_surface_m2(body_mass_kg=body_mass_kg, height_m=height_m)
    return heat_balance_sweat_l_per_h(
        metabolic_w_per_m2=metabolic_w / surface,
        air_temp_c=air_temp_c,
        radiant_temp_c=air_temp_c + radiant_rise_c,
        humidity_frac=humidity_frac,
        air_speed_m_per_s=air_speed_m_per_s,
        ground_speed_m_per_s=1.5,
        clothing_clo=0.2,
        body_surface_m2=surface,
    )


@experiment
def breath_and_gas_loss_g(
    *, oxygen_l_per_min: float, exchange_ratio: float, vapour_mmhg: float, duration_min: float
) -> float:
    """Return the mass lost by breath water and by gas exchange."""
    water = breath_water_g_per_min(oxygen_l_per_min=oxygen_l_per_min, vapour_mmhg=vapour_mmhg)
    gas = gas_loss_g_per_min(oxygen_l_per_min=oxygen_l_per_min, exchange_ratio=exchange_ratio)
    return duration_min * (water + gas)


@experiment
def metabolic_loss_of_effort_g(
    *, oxygen_l_per_min: float, exchange_ratio: float, duration_min: float
) -> float:
    """Return the mass lost by the rule of 0.20 g a kilocalorie, energy by oxygen uptake."""
    energy = duration_min * weir_kcal_per_min(
        oxygen_l_per_min=oxygen_l_per_min, exchange_ratio=exchange_ratio
    )
    return 1000 * metabolic_loss_kg(energy_kcal=energy)


def _carried(tests: dict[str, float], race_l_per_h: float) -> float:
    measured = [value for name, value in sorted(tests.items()) if name.startswith("measured")]
    offsets = [
        log_offset_ratio(measured_l_per_h=value, modelled_l_per_h=tests["test_modelled_l_per_h"])
        for value in measured
    ]
    return carried_sweat_l_per_h(
        modelled_l_per_h=race_l_per_h,
        log_offset_ratio=math.fsum(offsets) / len(offsets),
        weight_frac=weight_of_tests_frac(test_count=float(len(offsets))),
    )


@experiment
def carried_from_tests_l_per_h(*, race_modelled_l_per_h: float, **tests: float) -> float:
    """Return the race's sweat rate carried over from tests that share one modelled rate."""
    return _carried(tests, race_modelled_l_per_h)


@experiment
def carried_end_l_per_h(
    *, race_modelled_l_per_h: float, temp_difference_c: float, high: float, **tests: float
) -> float:
    """Return the low (0) or high (1) end of a carried sweat rate."""
    count = sum(name.startswith("measured") for name in tests)
    return sweat_at_score_l_per_h(
        middle_l_per_h=_carried(tests, race_modelled_l_per_h),
        sigma_ratio=carried_sigma_ratio(test_count=float(count), temp_difference_c=temp_difference_c),
        normal_score_ratio=HIGH_SCORE if high else LOW_SCORE,
    )


@experiment
def serum_sodium_change_mmol_per_l(*, water_gain_l: float, body_water_l: float) -> float:
    """Return the change of serum sodium from 140 mmol/L when water alone is gained."""
    after = serum_sodium_mmol_per_l(
        start_sodium_mmol_per_l=140.0,
        body_water_l=body_water_l,
        water_gain_l=water_gain_l,
        cation_gain_mmol=0.0,
    )
    return after - 140.0


@experiment
def fluid_limit_l(*, sweat_loss_l: float, cations_mmol_per_l: float, body_water_l: float) -> float:
    """Return the smaller of loss and sodium line, from 140 mmol/L."""
    line = sodium_line_l(
        sweat_loss_l=sweat_loss_l,
        start_sodium_mmol_per_l=140.0,
        low_sodium_mmol_per_l=135.0,
        sweat_sodium_mmol_per_l=cations_mmol_per_l - 4.0,
        sweat_potassium_mmol_per_l=4.0,
        body_water_l=body_water_l,
    )
    return min(sweat_loss_l, line)


@experiment
def sodium_at_the_line_mmol_per_l(
    *, sweat_loss_l: float, cations_mmol_per_l: float, body_water_l: float
) -> float:
    """Return the serum sodium that the equation gives when fluid is drunk up to its line."""
    drunk = sodium_line_l(
        sweat_loss_l=sweat_loss_l,
        start_sodium_mmol_per_l=140.0,
        low_sodium_mmol_per_l=135.0,
        sweat_sodium_mmol_per_l=cations_mmol_per_l - 4.0,
        sweat_potassium_mmol_per_l=4.0,
        body_water_l=body_water_l,
    )
    return serum_sodium_mmol_per_l(
        start_sodium_mmol_per_l=140.0,
        body_water_l=body_water_l,
        water_gain_l=drunk - sweat_loss_l,
        cation_gain_mmol=-sweat_loss_l * cations_mmol_per_l,
    )


def _instrument(at: dict[str, float]) -> dict[str, float]:
    cos_zenith, distance = at["cos_zenith_ratio"], at.pop("sun_distance_ratio")
    at["direct_frac"] = direct_beam_frac(
        solar_w_per_m2=at["solar_w_per_m2"], cos_zenith_ratio=cos_zenith, sun_distance_ratio=distance
    )
    at["solar_w_per_m2"] = possible_solar_w_per_m2(
        solar_w_per_m2=at["solar_w_per_m2"], cos_zenith_ratio=cos_zenith, sun_distance_ratio=distance
    )
    return at


@experiment
def weather_globe_c(**at: float) -> float:
    """Return the globe temperature with the direct share found from the sunshine."""
    return globe_temp_c(**_instrument(at))


@experiment
def weather_wet_bulb_c(**at: float) -> float:
    """Return the natural wet-bulb temperature with the direct share found from the sunshine."""
    return natural_wet_bulb_c(**_instrument(at))


@experiment
def weather_wbgt_c(**at: float) -> float:
    """Return the WBGT with the direct share found from the sunshine."""
    instrument = _instrument(at)
    return wbgt_sun_c(
        natural_wet_bulb_c=natural_wet_bulb_c(**instrument),
        globe_temp_c=globe_temp_c(**instrument),
        air_temp_c=at["air_temp_c"],
    )


@experiment
def extra_slow_down_percent(*, wbgt_c: float, cool_wbgt_c: float, slowing_frac_per_c: float) -> float:
    """Return how much slower a warm class of races is than a cool one, in per cent."""
    warm = heat_slow_down_frac(wbgt_c=wbgt_c, slowing_frac_per_c=slowing_frac_per_c)
    return 100 * (warm - heat_slow_down_frac(wbgt_c=cool_wbgt_c, slowing_frac_per_c=slowing_frac_per_c))


@experiment
def flag_index(*, wbgt_c: float) -> float:
    """Return the place of the flag's colour: white 0, green 1, yellow 2, red 3, black 4."""
    return float(("white", "green", "yellow", "red", "black").index(flag(wbgt_c=wbgt_c)))


@experiment
def caffeine_level_mg_per_l(
    *,
    dose_mg_per_kg: float,
    absorption_per_h: float,
    half_life_h: float,
    volume_l_per_kg: float,
    elapsed_h: float,
) -> float:
    """Return the concentration after one dose, all of it available."""
    in_body = caffeine_in_body_mg(
        dose_mg=70 * dose_mg_per_kg,
        available_frac=1.0,
        absorption_per_h=absorption_per_h,
        half_life_h=half_life_h,
        elapsed_h=elapsed_h,
    )
    return caffeine_mg_per_l(in_body_mg=in_body, body_mass_kg=70.0, volume_l_per_kg=volume_l_per_kg)


@experiment
def caffeine_peak_mg_per_l(
    *, dose_mg_per_kg: float, absorption_per_h: float, half_life_h: float, volume_l_per_kg: float
) -> float:
    """Return the highest concentration after one dose."""
    return caffeine_level_mg_per_l(
        dose_mg_per_kg=dose_mg_per_kg,
        absorption_per_h=absorption_per_h,
        half_life_h=half_life_h,
        volume_l_per_kg=volume_l_per_kg,
        elapsed_h=caffeine_peak_h(absorption_per_h=absorption_per_h, half_life_h=half_life_h),
    )


@experiment
def caffeine_peak_after_min(*, absorption_per_h: float, half_life_h: float) -> float:
    """Return the minutes to the highest concentration."""
    return 60 * caffeine_peak_h(absorption_per_h=absorption_per_h, half_life_h=half_life_h)


@experiment
def caffeine_of_two_doses_mg_per_l(
    *, first_mg_per_kg: float, second_mg_per_kg: float, second_at_h: float, at_h: float,
    absorption_per_h: float, half_life_h: float, volume_l_per_kg: float,
) -> float:  # fmt: skip
    """Return the concentration after two doses, which add."""
    return math.fsum(
        caffeine_level_mg_per_l(
            dose_mg_per_kg=dose,
            absorption_per_h=absorption_per_h,
            half_life_h=half_life_h,
            volume_l_per_kg=volume_l_per_kg,
            elapsed_h=at_h - taken_h,
        )
        for dose, taken_h in ((first_mg_per_kg, 0.0), (second_mg_per_kg, second_at_h))
    )


@experiment
def caffeine_curve_area_mg_h_per_l(
    *, dose_mg_per_kg: float, absorption_per_h: float, half_life_h: float, volume_l_per_kg: float
) -> float:
    """Return the area under the curve by adding it up, against the closed form."""
    step_h = 0.01
    levels = [
        caffeine_level_mg_per_l(
            dose_mg_per_kg=dose_mg_per_kg,
            absorption_per_h=absorption_per_h,
            half_life_h=half_life_h,
            volume_l_per_kg=volume_l_per_kg,
            elapsed_h=step_h * (step + 0.5),
        )
        for step in range(10000)
    ]
    return step_h * math.fsum(levels)


@experiment
def caffeine_day_mg(*, coffee_g: float, cola_g: float, espresso_g: float) -> float:
    """Return the caffeine of a day's coffee, cola and espresso by table contents."""
    return math.fsum(
        portion_caffeine_mg(portion_g=portion, caffeine_mg_per_g=content)
        for portion, content in ((coffee_g, 0.40), (cola_g, 0.09), (espresso_g, 2.12))
    )


@experiment
def caffeine_over_single_limit_mg(*, dose_mg_per_kg: float, body_mass_kg: float) -> float:
    """Return by how much a dose per kilogram passes the single limit of 200 mg."""
    wanted = dose_mg_per_kg * body_mass_kg
    return wanted - allowed_caffeine_mg(
        dose_mg_per_kg=dose_mg_per_kg, body_mass_kg=body_mass_kg, max_dose_mg=200.0
    )


@experiment
def load_over_need_kcal_per_day(
    *,
    body_mass_kg: float,
    height_m: float,
    age_years: float,
    activity_ratio: float,
    carb_g_per_kg_per_day: float,
) -> float:
    """Return the energy of a loading day's carbohydrate less a woman's need."""
    rest = mifflin_woman_kcal_per_day(body_mass_kg=body_mass_kg, height_m=height_m, age_years=age_years)
    need = day_energy_kcal_per_day(rest_kcal_per_day=rest, activity_ratio=activity_ratio)
    return CARB_KCAL_PER_G * carb_g_per_kg_per_day * body_mass_kg - need


@experiment
def energy_available_by_mass_kcal_per_kg_per_day(
    *, body_mass_kg: float, fat_frac: float, eaten_kcal_per_day: float, exercise_kcal_per_day: float
) -> float:
    """Return energy availability from body mass and fat."""
    return energy_available_kcal_per_kg_per_day(
        eaten_kcal_per_day=eaten_kcal_per_day,
        exercise_kcal_per_day=exercise_kcal_per_day,
        fat_free_mass_kg=fat_free_mass_kg(body_mass_kg=body_mass_kg, fat_frac=fat_frac),
    )


@experiment
def drink_mix_mosm_per_l(
    *, maltodextrin_g_per_l: float, fructose_g_per_l: float, salt_g_per_l: float
) -> float:
    """Return the ideal osmolarity of a home-made drink with maltodextrin of DE 12."""
    return math.fsum(
        (
            maltodextrin_mosm_per_l(
                maltodextrin_g_per_l=maltodextrin_g_per_l, dextrose_equivalent_percent=12.0
            ),
            osmolarity_mosm_per_l(
                solute_g_per_l=fructose_g_per_l, solute_g_per_mol=GLUCOSE_G_PER_MOL, particle_count=1.0
            ),
            osmolarity_mosm_per_l(
                solute_g_per_l=salt_g_per_l, solute_g_per_mol=SALT_G_PER_MOL, particle_count=2.0
            ),
        )
    )


@experiment
def salt_for_drink_g_per_l(*, sodium_mg_per_l: float, as_citrate: float) -> float:
    """Return the salt (0) or the citrate (1) to weigh for a litre."""
    if as_citrate:
        return salt_for_sodium_g(
            sodium_mg=sodium_mg_per_l, sodium_count=3.0, salt_g_per_mol=CITRATE_G_PER_MOL
        )
    return salt_for_sodium_g(sodium_mg=sodium_mg_per_l, sodium_count=1.0, salt_g_per_mol=SALT_G_PER_MOL)


@experiment
def recipe_glucose_g(*, carb_g: float, fructose_ratio: float) -> float:
    """Return the glucose part of a recipe by ratio."""
    return carb_g - recipe_fructose_g(carb_g=carb_g, fructose_ratio=fructose_ratio)


@experiment
def strength_in_a_litre_g_per_l(*, sugar_g: float) -> float:
    """Return the strength of a drink when sugar is added to a litre of water."""
    return 1000 * sugar_g / solution_ml(water_ml=1000.0, sugar_g=sugar_g)


@experiment
def glucose_in_mix_g(*, free_glucose_g: float, sucrose_g: float) -> float:
    """Return the glucose that the gut sees: the sum is the same as for fructose."""
    return fructose_in_mix_g(free_fructose_g=free_glucose_g, sucrose_g=sucrose_g)


@experiment
def us_printed_kcal(*, energy_kcal: float) -> float:
    """Return the number that an American label prints for energy."""
    return float(us_printed_energy(energy_kcal=energy_kcal))


@experiment
def us_printed_sodium_mg(*, sodium_mg: float) -> float:
    """Return the number that an American label prints for sodium."""
    return float(us_printed_sodium(sodium_mg=sodium_mg))


@experiment
def us_prints_less_than_one(*, part_g: float) -> float:
    """Return 1 where an American label prints "less than 1"."""
    return float(us_printed_grams(part_g=part_g) == "less than 1")


@experiment
def eu_printed_g(*, part_g: float) -> float:
    """Return the number that a European label prints for grams."""
    return float(eu_printed_grams(part_g=part_g))


@experiment
def eu_printed_salt_g(*, salt_g: float) -> float:
    """Return the number that a European label prints for salt."""
    return float(eu_printed_salt(salt_g=salt_g))
