"""Set-ups of several equations on pace, the cost of moving, fuels and stores, as papers report them."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from harness import experiment
from scipy.optimize import brentq, minimize_scalar

from provand.physiology.cost import (
    acsm_running_ml_per_kg_per_min,
    acsm_walking_ml_per_kg_per_min,
    calm_air_ml_per_kg_per_min,
    flat_equivalent_ratio,
    leger_treadmill_ml_per_kg_per_min,
    looney_running_w_per_kg,
    martin_cycling_w,
    minetti_running_j_per_kg_per_m,
    minetti_walking_j_per_kg_per_m,
    wind_ml_per_kg_per_min,
)
from provand.physiology.metabolic import (
    distance_cost_kcal_per_kg_per_km,
    energy_kcal_per_h,
    gross_power_w_per_kg,
    lusk_kcal_per_l,
    metabolic_power_w_per_kg,
    resting_power_w_per_kg,
)
from provand.physiology.pace import HALF_M, daniels_oxygen_ml_per_kg_per_min
from provand.physiology.pacing import (
    fade_elapsed_frac,
    fit_critical_speed,
    flat_equivalent_m,
    marathon_first_half_s,
)
from provand.physiology.recovery import refill_mmol_per_kg_per_h
from provand.physiology.stores import (
    glycogen_g,
    liver_glycogen_g,
    muscle_glycogen_g,
    wet_glycogen_mmol_per_kg,
)
from provand.physiology.substrate import (
    breath_fat_g_per_min,
    carb_burn_g_per_min,
    energy_share_frac,
    fat_burn_g_per_min,
    jeukendrup_carb_g_per_min,
    jeukendrup_low_carb_g_per_min,
    peronnet_carb_g_per_min,
    rapoport_share_frac,
)

WHOLE_BODY_KG = 1.0
"""One kilogram, where a paper reports a rate per kilogram."""


def _zero(function: Callable[[float], float], low: float, high: float) -> float:
    return float(brentq(function, low, high))


def _lowest(function: Callable[[float], float], low: float, high: float) -> float:
    return float(minimize_scalar(function, bounds=(low, high), method="bounded", options={"xatol": 1e-8}).x)


# Pace


@experiment
def half_split_s(*, finish_s: float, at_m: float, fade_frac: float) -> float:
    return finish_s * fade_elapsed_frac(distance_frac=at_m / HALF_M, fade_frac=fade_frac)


@experiment
def marathon_second_half_s(*, finish_s: float, fade_frac: float) -> float:
    return finish_s - marathon_first_half_s(finish_s=finish_s, fade_frac=fade_frac)


@experiment
def mean_change_of_speed_frac(*, fade_frac: float) -> float:
    """Mean deviation from the mean speed over the five segments in which the half was timed."""
    ends = (0.0, 0.237, 0.474, 0.711, 0.948, 1.0)
    times = [fade_elapsed_frac(distance_frac=end, fade_frac=fade_frac) for end in ends]
    speeds = [(b - a) / (t - s) for (a, b), (s, t) in zip(pairwise(ends), pairwise(times), strict=True)]
    return sum(abs(speed - 1) for speed in speeds) / len(speeds)


@experiment
def hilly_half_m(*, gentle_frac: float, gentle_m: float, steep_frac: float, steep_m: float) -> float:
    """Level distance that costs as much as a half with so much up and as much down of two grades."""
    lengths = [gentle_m, gentle_m, steep_m, steep_m, HALF_M - 2 * gentle_m - 2 * steep_m]
    return flat_equivalent_m(
        lengths_m=lengths, grades_frac=[gentle_frac, -gentle_frac, steep_frac, -steep_frac, 0.0]
    )


@experiment
def hilly_half_s(
    *, flat_s: float, gentle_frac: float, gentle_m: float, steep_frac: float, steep_m: float
) -> float:
    level_m = hilly_half_m(gentle_frac=gentle_frac, gentle_m=gentle_m, steep_frac=steep_frac, steep_m=steep_m)
    return flat_s * level_m / HALF_M


TRIAL_TIMES_S = (260.0, 550.0, 845.0)
TRIAL_DISTANCES_M = (1200.0, 2400.0, 3600.0)


@experiment
def fitted_critical_speed_m_per_s() -> float:
    return fit_critical_speed(times_s=TRIAL_TIMES_S, distances_m=TRIAL_DISTANCES_M).speed_m_per_s


@experiment
def fitted_reserve_m() -> float:
    return fit_critical_speed(times_s=TRIAL_TIMES_S, distances_m=TRIAL_DISTANCES_M).reserve_m


# Cost


@experiment
def up_and_down_ratio(*, grade_frac: float) -> float:
    """Mean cost of as much up as down, over the cost of the level."""
    return (flat_equivalent_ratio(grade_frac=grade_frac) + flat_equivalent_ratio(grade_frac=-grade_frac)) / 2


@experiment
def cheapest_walking_grade_frac() -> float:
    return _lowest(lambda grade_frac: minetti_walking_j_per_kg_per_m(grade_frac=grade_frac), -0.4, 0.0)


@experiment
def cheapest_running_grade_frac() -> float:
    return _lowest(lambda grade_frac: minetti_running_j_per_kg_per_m(grade_frac=grade_frac), -0.4, 0.0)


@experiment
def track_oxygen_ml_per_kg_per_min(*, speed_km_per_h: float) -> float:
    speed_m_per_s = speed_km_per_h / 3.6
    return leger_treadmill_ml_per_kg_per_min(speed_m_per_s=speed_m_per_s) + calm_air_ml_per_kg_per_min(
        speed_m_per_s=speed_m_per_s
    )


@experiment
def calm_air_share_frac(*, speed_m_per_s: float) -> float:
    """Share of the cost of track running that goes into one's own wind."""
    air = calm_air_ml_per_kg_per_min(speed_m_per_s=speed_m_per_s)
    return air / (leger_treadmill_ml_per_kg_per_min(speed_m_per_s=speed_m_per_s) + air)


@experiment
def tunnel_rise_l_per_min(*, body_mass_kg: float, speed_m_per_s: float, wind_m_per_s: float) -> float:
    """Rise of oxygen uptake on a treadmill in a wind tunnel, where the air's speed is the wind's alone."""
    over_calm = wind_ml_per_kg_per_min(
        speed_m_per_s=speed_m_per_s, headwind_m_per_s=wind_m_per_s - speed_m_per_s
    )
    return (over_calm + calm_air_ml_per_kg_per_min(speed_m_per_s=speed_m_per_s)) * body_mass_kg / 1000


@experiment
def looney_mean_w_per_kg(*, mean_m_per_s: float, sd_m_per_s: float) -> float:
    """Mean power over speeds of that mean and spread; for a quadratic, two points do."""
    ends = (mean_m_per_s - sd_m_per_s, mean_m_per_s + sd_m_per_s)
    return sum(looney_running_w_per_kg(speed_m_per_s=speed) for speed in ends) / 2


@experiment
def martin_trial_w() -> float:
    """The worked time trial: steady power with a wind from the side, and the gain of speed along it."""
    speed_m_per_s = 471.8 / 56.42
    headwind_m_per_s = 2.94 * 0.8660254  # 310 against 340 degrees
    steady_w = martin_cycling_w(
        speed_m_per_s=speed_m_per_s,
        air_speed_m_per_s=speed_m_per_s + headwind_m_per_s,
        grade_frac=0.003,
        total_mass_kg=90.0,
        drag_area_m2=0.2565,
        air_density_kg_per_m3=1.2234,
    )
    rolling_mass_kg = 90.0 + 0.14 / (0.311 * 0.311)
    gained_w = 0.5 * rolling_mass_kg * (8.45 * 8.45 - 8.28 * 8.28) / 56.42
    return steady_w + gained_w / 0.976


# From oxygen to energy


def _oxygen_w_per_kg(oxygen_ml_per_kg_per_min: float, respiratory_ratio: float) -> float:
    energy = lusk_kcal_per_l(respiratory_ratio=respiratory_ratio)
    return metabolic_power_w_per_kg(
        oxygen_ml_per_kg_per_min=oxygen_ml_per_kg_per_min, energy_kcal_per_l=energy
    )


@experiment
def minetti_gross_w_per_kg(*, speed_m_per_s: float, respiratory_ratio: float) -> float:
    return gross_power_w_per_kg(
        cost_j_per_kg_per_m=minetti_running_j_per_kg_per_m(grade_frac=0.0),
        speed_m_per_s=speed_m_per_s,
        rest_w_per_kg=resting_power_w_per_kg(respiratory_ratio=respiratory_ratio),
    )


@experiment
def leger_gross_w_per_kg(*, speed_m_per_s: float, respiratory_ratio: float) -> float:
    return _oxygen_w_per_kg(leger_treadmill_ml_per_kg_per_min(speed_m_per_s=speed_m_per_s), respiratory_ratio)


@experiment
def acsm_gross_w_per_kg(*, speed_m_per_s: float, respiratory_ratio: float) -> float:
    oxygen = acsm_running_ml_per_kg_per_min(speed_m_per_s=speed_m_per_s, grade_frac=0.0)
    return _oxygen_w_per_kg(oxygen, respiratory_ratio)


@experiment
def daniels_gross_w_per_kg(*, speed_m_per_s: float, respiratory_ratio: float) -> float:
    return _oxygen_w_per_kg(daniels_oxygen_ml_per_kg_per_min(speed_m_per_s=speed_m_per_s), respiratory_ratio)


@experiment
def acsm_walk_kcal(
    *, body_mass_kg: float, speed_m_per_s: float, distance_m: float, respiratory_ratio: float
) -> float:
    oxygen = acsm_walking_ml_per_kg_per_min(speed_m_per_s=speed_m_per_s, grade_frac=0.0)
    power = _oxygen_w_per_kg(oxygen, respiratory_ratio)
    return (
        energy_kcal_per_h(power_w_per_kg=power, body_mass_kg=body_mass_kg) * distance_m / speed_m_per_s / 3600
    )


@experiment
def acsm_run_kcal(
    *, body_mass_kg: float, speed_m_per_s: float, distance_m: float, respiratory_ratio: float
) -> float:
    power = acsm_gross_w_per_kg(speed_m_per_s=speed_m_per_s, respiratory_ratio=respiratory_ratio)
    return (
        energy_kcal_per_h(power_w_per_kg=power, body_mass_kg=body_mass_kg) * distance_m / speed_m_per_s / 3600
    )


@experiment
def acsm_run_kcal_per_min(*, body_mass_kg: float, speed_km_per_h: float, respiratory_ratio: float) -> float:
    power = acsm_gross_w_per_kg(speed_m_per_s=speed_km_per_h / 3.6, respiratory_ratio=respiratory_ratio)
    return energy_kcal_per_h(power_w_per_kg=power, body_mass_kg=body_mass_kg) / 60


@experiment
def minetti_run_kcal_per_min(
    *, body_mass_kg: float, speed_km_per_h: float, respiratory_ratio: float
) -> float:
    power = minetti_gross_w_per_kg(speed_m_per_s=speed_km_per_h / 3.6, respiratory_ratio=respiratory_ratio)
    return energy_kcal_per_h(power_w_per_kg=power, body_mass_kg=body_mass_kg) / 60


def _level_half_w_per_kg(*, finish_s: float, respiratory_ratio: float) -> float:
    return minetti_gross_w_per_kg(speed_m_per_s=HALF_M / finish_s, respiratory_ratio=respiratory_ratio)


@experiment
def level_half_kcal_per_h(*, finish_s: float, body_mass_kg: float, respiratory_ratio: float) -> float:
    power = _level_half_w_per_kg(finish_s=finish_s, respiratory_ratio=respiratory_ratio)
    return energy_kcal_per_h(power_w_per_kg=power, body_mass_kg=body_mass_kg)


@experiment
def level_half_kcal_per_kg_per_km(*, finish_s: float, respiratory_ratio: float) -> float:
    power = _level_half_w_per_kg(finish_s=finish_s, respiratory_ratio=respiratory_ratio)
    return distance_cost_kcal_per_kg_per_km(power_w_per_kg=power, speed_m_per_s=HALF_M / finish_s)


@experiment
def resting_kcal_per_kg_per_h(*, respiratory_ratio: float) -> float:
    power = resting_power_w_per_kg(respiratory_ratio=respiratory_ratio)
    return energy_kcal_per_h(power_w_per_kg=power, body_mass_kg=WHOLE_BODY_KG)


@experiment
def oxygen_kcal_per_h(*, oxygen_l_per_h: float, respiratory_ratio: float) -> float:
    return oxygen_l_per_h * lusk_kcal_per_l(respiratory_ratio=respiratory_ratio)


# Fuels


@experiment
def breath_share_frac(*, respiratory_ratio: float) -> float:
    """Share of energy from carbohydrate, from the breath; the size of the uptake cancels."""
    return energy_share_frac(
        carb_g_per_min=jeukendrup_carb_g_per_min(oxygen_l_per_min=1.0, respiratory_ratio=respiratory_ratio),
        fat_g_per_min=breath_fat_g_per_min(oxygen_l_per_min=1.0, respiratory_ratio=respiratory_ratio),
    )


@experiment
def measured_over_rapoport_frac(*, respiratory_ratio: float, intensity_frac: float) -> float:
    return breath_share_frac(respiratory_ratio=respiratory_ratio) - rapoport_share_frac(
        intensity_frac=intensity_frac
    )


@experiment
def no_carb_peronnet_ratio() -> float:
    """Respiratory ratio of fat alone."""
    return _zero(
        lambda ratio: peronnet_carb_g_per_min(oxygen_l_per_min=1.0, respiratory_ratio=ratio), 0.6, 1.1
    )


@experiment
def no_carb_jeukendrup_ratio() -> float:
    return _zero(
        lambda ratio: jeukendrup_carb_g_per_min(oxygen_l_per_min=1.0, respiratory_ratio=ratio), 0.6, 1.1
    )


@experiment
def no_carb_jeukendrup_low_ratio() -> float:
    return _zero(
        lambda ratio: jeukendrup_low_carb_g_per_min(oxygen_l_per_min=1.0, respiratory_ratio=ratio), 0.6, 1.1
    )


@experiment
def no_fat_ratio() -> float:
    """Respiratory ratio of carbohydrate alone."""
    return _zero(lambda ratio: breath_fat_g_per_min(oxygen_l_per_min=1.0, respiratory_ratio=ratio), 0.6, 1.1)


@experiment
def fat_at_g_per_min(*, intensity_frac: float, max_oxygen_l_per_min: float, offset_frac: float) -> float:
    """Fat burnt at an intensity where the share of carbohydrate stands so far over fasted cyclists'."""
    oxygen_ml_per_min = 1000 * max_oxygen_l_per_min * intensity_frac
    return fat_burn_g_per_min(
        power_w_per_kg=_oxygen_w_per_kg(oxygen_ml_per_min / WHOLE_BODY_KG, 0.90),
        body_mass_kg=WHOLE_BODY_KG,
        carb_share_frac=rapoport_share_frac(intensity_frac=intensity_frac) + offset_frac,
    )


# A reference run: 70 kg, 12 km/h, 1 kcal/kg/km, 75 % of maximum, no feeding, liver 0.65 g/min, 14 kg of legs

RUNNER_KG = 70.0
RUN_M_PER_S = 12 / 3.6
RUN_W_PER_KG = 4184 / 1000 * RUN_M_PER_S
LIVER_G_PER_MIN = 0.65
LEG_FRAC = 0.2


@experiment
def reference_carb_g_per_min(*, intensity_frac: float) -> float:
    return carb_burn_g_per_min(
        power_w_per_kg=RUN_W_PER_KG,
        body_mass_kg=RUNNER_KG,
        carb_share_frac=rapoport_share_frac(intensity_frac=intensity_frac),
        carb_kcal_per_g=4.0,
    )


@experiment
def reference_muscle_g_per_min(*, intensity_frac: float) -> float:
    return reference_carb_g_per_min(intensity_frac=intensity_frac) - LIVER_G_PER_MIN


@experiment
def reference_fat_g_per_min(*, intensity_frac: float) -> float:
    return fat_burn_g_per_min(
        power_w_per_kg=RUN_W_PER_KG,
        body_mass_kg=RUNNER_KG,
        carb_share_frac=rapoport_share_frac(intensity_frac=intensity_frac),
    )


@experiment
def reference_floor_min(
    *, intensity_frac: float, start_mmol_per_kg: float, floor_mmol_per_kg: float
) -> float:
    usable_g = muscle_glycogen_g(
        body_mass_kg=RUNNER_KG, muscle_frac=LEG_FRAC, wet_mmol_per_kg=start_mmol_per_kg - floor_mmol_per_kg
    )
    return usable_g / reference_muscle_g_per_min(intensity_frac=intensity_frac)


# Stores


@experiment
def wet_glycogen_g_per_kg(*, dry_mmol_per_kg: float, wet_dry_ratio: float) -> float:
    wet = wet_glycogen_mmol_per_kg(dry_mmol_per_kg=dry_mmol_per_kg, wet_dry_ratio=wet_dry_ratio)
    return glycogen_g(glucosyl_mmol=wet)


@experiment
def dry_store_g(
    *, body_mass_kg: float, muscle_frac: float, dry_mmol_per_kg: float, wet_dry_ratio: float
) -> float:
    """Glycogen of a body from a store as biopsies print it."""
    wet = wet_glycogen_mmol_per_kg(dry_mmol_per_kg=dry_mmol_per_kg, wet_dry_ratio=wet_dry_ratio)
    return muscle_glycogen_g(body_mass_kg=body_mass_kg, muscle_frac=muscle_frac, wet_mmol_per_kg=wet)


@experiment
def loaded_ratio(*, loaded_dry_mmol_per_kg: float, baseline_dry_mmol_per_kg: float) -> float:
    """Grams after loading over grams before; the water of the muscle cancels."""
    stores = [
        dry_store_g(body_mass_kg=70.0, muscle_frac=0.384, dry_mmol_per_kg=dry, wet_dry_ratio=4.4)
        for dry in (loaded_dry_mmol_per_kg, baseline_dry_mmol_per_kg)
    ]
    return stores[0] / stores[1]


@experiment
def fed_day_mmol_per_kg(*, start_mmol_per_kg: float, carb_g_per_kg_per_day: float) -> float:
    """Wet store of muscle a day later, filled at the rate that so much eating gives."""
    dry_rate = refill_mmol_per_kg_per_h(carb_g_per_kg_per_h=carb_g_per_kg_per_day / 24)
    return start_mmol_per_kg + 24 * wet_glycogen_mmol_per_kg(dry_mmol_per_kg=dry_rate, wet_dry_ratio=4.4)


@experiment
def liver_release_g_per_min(
    *, liver_l: float, start_mmol_per_l: float, end_mmol_per_l: float, duration_min: float
) -> float:
    spent = liver_glycogen_g(liver_l=liver_l, liver_mmol_per_l=start_mmol_per_l - end_mmol_per_l)
    return spent / duration_min
