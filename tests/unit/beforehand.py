"""Scenarios of an invented plan, made by hand, so that their sheet can be tested without a solver."""

from __future__ import annotations

from provand.pack.pieces import Making
from provand.plan import scenario_words as words
from provand.plan.document import Plan
from provand.plan.scenarios import NoScenario, Scenario, Scenarios


def making(plan: Plan) -> Making:
    """Return what every piece of a plan can be made from."""
    return Making(plan, scenarios=some_scenarios(plan))


def some_scenarios(plan: Plan) -> Scenarios:
    """Return one of each sentence that a scenario may say."""
    stops, drinking = plan.race.stops, plan.race.drinking
    last = stops[-1:]
    taken = [take for stop in last for take in stop.takes]

    def one(scenario_id: str, title: words.Phrase, says: words.Sentences, *also: words.Phrase) -> Scenario:
        return Scenario.model_validate(
            {
                "id": scenario_id, "title": title, "says": says, "also": also, "stops": stops,
                "drinking": drinking, "as_in_hand": scenario_id in ("late", "hotter"), "from_m": 8000.0,
            }
        )  # fmt: skip

    return Scenarios(
        plan=plan.code,
        scenarios=(
            one("lost", words.lost_title("gel", km="8"), words.lost_says("gel", (), ()), words.MISSED),
            one("lost", words.lost_title("gel", km="8"), words.lost_says("gel", last, taken), words.MISSED),
            one(
                "empty",
                words.empty_title("Mill"),
                words.empty_says("Mill", "Weir", stops[0], (), (), thirst=True),
            ),
            one(
                "late",
                words.late_title(60),
                words.late_says(60, carries=True, hotter=True, in_hand=False),
                words.CLOCKS,
            ),
            one("hotter", words.hotter_title(5), words.hotter_says(in_hand=True), words.NO_MORE),
            one("sick", words.sick_title(km="10"), words.SICK, words.SMALL_SIPS),
        ),
        without=(NoScenario(id="hotter", title=words.hotter_title(5), says=words.TOO_HOT, why=()),),
    )
