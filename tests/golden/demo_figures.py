"""The figures of the demo plans that a person would notice, frozen; run this file to freeze them anew."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

from provand.case.door import read_case, read_health
from provand.pack.voice import stop_words
from provand.plan.draw_up import draw_up
from provand.safety.screening import screen

DAY = date(2026, 11, 25)
FROZEN = Path(__file__).with_name("demo-plans.json")
DEMO = Path(__file__).resolve().parents[2] / "src" / "provand" / "demo"
NAMES = ("warm-hills", "club-runner", "first-timer", "treated-pressure")
WATCHED = (
    *("race.finish_s", "race.target_carb_g_per_h", "race.carb_g_per_race", "race.planned_fluid_ml_per_race"),
    *("ceiling.fluid_ml_per_race", "sweat.goal_ml_per_h", "demand.energy_kcal_per_race"),
    *("demand.carb_use_g_per_h", "store.muscle_g", "store.gut_g", "load.carb_g_per_day", "heat.wbgt_c"),
)


def figures(name: str) -> dict[str, Any]:
    """Return what is watched of one demo plan: stops, the line about thirst, figures to six digits."""
    path = DEMO / name / "case.toml"
    case = read_case(path, as_of=DAY)
    plan = draw_up(case, screen(case, read_health(path, of=case), as_of=DAY)[0], as_of=DAY)
    watched = {figure.id: figure.value for figure in plan.figures if figure.id in WATCHED}
    return {
        "stops": [f"{stop.at_m:.0f} m: {stop_words(stop, plan.case)}" for stop in plan.race.stops],
        "thirst": plan.race.drinking.sentence,
        "figures": {
            name: [float(f"{end:.6g}") for end in (value.low, value.mid, value.high)]
            for name, value in sorted(watched.items())
        },
    }


if __name__ == "__main__":
    text = json.dumps({name: figures(name) for name in NAMES}, indent=1)
    FROZEN.write_text(text + "\n", "utf-8")
