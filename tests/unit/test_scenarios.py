"""What to do if things go otherwise: planned beforehand, cleared, never doubled, in short plain words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache

import pytest
from stands import standing
from starter_case import DEMOS, SRC, STARTER_TEXT

from provand.phrase import Phrase, text_of
from provand.plan.document import Stop, cleared_after
from provand.plan.scenarios import NoScenario, Scenario, Scenarios, scenarios
from provand.plan.standing import Standing
from provand.planner.if_then import IF_THEN

HILLS = SRC / "demo" / "warm-hills" / "case.toml"
CLUB = SRC / "demo" / "club-runner" / "case.toml"


@cache
def hills() -> tuple[Standing, Scenarios]:
    made = standing(HILLS)
    return made, scenarios(made)


@cache
def starter() -> tuple[Standing, Scenarios]:
    made = standing()
    return made, scenarios(made)


def of(made: Scenarios, scenario_id: str) -> Scenario:
    return next(one for one in made.scenarios if one.id == scenario_id)


def left_out(made: Scenarios, scenario_id: str) -> NoScenario:
    return next(one for one in made.without if one.id == scenario_id)


def eaten(stops: Sequence[Stop]) -> list[tuple[float, str, float]]:
    return [
        (stop.at_m, take.item, take.portion_frac)
        for stop in stops
        for take in stop.takes
        if take.texture != "water"
    ]


def test_all_five_are_there_or_said_to_be_left_out() -> None:
    for made in (hills()[1], starter()[1]):
        ids = [one.id for one in (*made.scenarios, *made.without)]
        assert sorted(ids) == ["empty", "hotter", "late", "lost", "sick"]
        assert all(one.check == () for one in made.scenarios)


def test_what_was_eaten_before_it_happens_stays_as_it_was() -> None:
    for plan, made in ((one.plan, made) for one, made in (hills(), starter())):
        for one in made.scenarios:
            before = [row for row in eaten(plan.race.stops) if row[0] < one.from_m]
            assert [row for row in eaten(one.stops) if row[0] < one.from_m] == before


def test_a_lost_gel_is_one_fewer_and_the_rest_is_taken_as_planned() -> None:
    made, found = starter()
    lost = of(found, "lost")
    assert lost.from_m == 8000
    assert eaten(lost.stops) == eaten(made.plan.race.stops)[:2]
    assert text_of(lost.says) == "Lost your gel? Leave it. Go on as planned. Never two at once."


def test_an_empty_station_moves_its_gel_to_the_next_one_once() -> None:
    made, found = hills()
    empty = of(found, "empty")
    assert empty.title.text == "Nothing is left at Tollgate"
    assert "Take your caffeine gel at Packing shed." in text_of(empty.says)
    assert not any(
        take.got_from == "station" and take.item and stop.station == "Tollgate"
        for stop in empty.stops
        for take in stop.takes
    )
    assert len(eaten(empty.stops)) == len(eaten(made.plan.race.stops))
    assert len({at_m for at_m, _, _ in eaten(empty.stops)}) == len(eaten(empty.stops))


def test_a_start_an_hour_late_keeps_the_schedule_and_moves_the_clock() -> None:
    made, found = starter()
    late = of(found, "late")
    assert late.as_in_hand
    assert [line.title for line in late.before] == ["While you wait", "Your usual coffee", "Last toilet"]
    assert eaten(late.stops) == eaten(made.plan.race.stops)


def test_a_hotter_day_says_slower_first_and_never_says_to_drink_more() -> None:
    made, found = starter()
    hot = of(found, "hotter")
    assert text_of(hot.says).startswith("Much hotter? Start slower. Let thirst lead.")
    assert hot.drinking == made.plan.race.drinking
    assert hot.stops[-1].slow_s > made.plan.race.stops[-1].slow_s
    for one in found.scenarios:
        assert not re.search(
            r"drink more|drink (?:a|half|one|two)\b", text_of([*one.says, *one.also]).lower()
        )


def test_a_day_too_hot_to_run_for_a_time_is_left_out_and_sends_to_the_doctor() -> None:
    hot = STARTER_TEXT.replace('air_temp = "6 to 10 C"', 'air_temp = "24 to 27 C"')
    assert hot != STARTER_TEXT
    found = left_out(scenarios(standing(text=hot)), "hotter")
    assert text_of(found.says) == "Much hotter? Ask the event's doctor before you start."
    assert [one.code for one in found.why] == ["heat.too_hot"]


def test_feeling_sick_is_the_fixed_line_a_rest_and_half_of_each_dose() -> None:
    made, found = starter()
    sick = of(found, "sick")
    assert text_of(sick.says) == f"{IF_THEN[0].when} {IF_THEN[0].then}"
    planned = {row[0]: row[2] for row in eaten(made.plan.race.stops)}
    after = [row for row in eaten(sick.stops) if row[0] >= sick.from_m]
    assert after
    assert all(row[2] == planned[row[0]] / 2 for row in after)


def test_without_anything_carried_or_any_station_that_counts_it_is_said() -> None:
    found = scenarios(standing(CLUB))
    assert [one.code for one in left_out(found, "lost").why] == ["otherwise.nothing_carried"]
    assert "race food" not in text_of(of(found, "late").says)


def test_words_hold_no_weight_no_volume_and_are_short_sentences() -> None:
    for path in (*DEMOS[:2], HILLS):
        for one in scenarios(standing(path)).scenarios:
            text = text_of([*one.says, *one.also])
            assert not re.search(r"\d\s*(?:g|kg|mg|ml|l|kcal)\b", text)
            assert all(len(sentence.text.split()) <= 12 for sentence in (*one.says, *one.also))


def test_a_template_holds_the_whole_sentence_and_facts_only_names_and_numbers() -> None:
    for _, made in (hills(), starter()):
        phrases: list[Phrase] = [p for one in made.scenarios for p in (one.title, *one.says, *one.also)]
        assert all(one.template[0].isupper() for one in phrases)
        assert all(len(str(fact).split()) <= 3 for one in phrases for fact in one.facts.values())


@pytest.mark.parametrize("part", ["caffeine", "fluid", "grams"])
def test_a_withheld_part_is_neither_told_nor_added(part: str) -> None:
    found = scenarios(standing(HILLS, withheld=(part,)))
    text = text_of([p for one in found.scenarios for p in (*one.says, *one.also)])
    if part == "fluid":
        assert not re.search(r"water|sip|cup", text.lower())
    if part == "caffeine":
        assert not any(t.with_caffeine for one in found.scenarios for s in one.stops for t in s.takes)
        assert "coffee" not in text.lower()
    assert found.scenarios


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert scenarios(standing()).as_bytes == starter()[1].as_bytes


def test_a_line_about_thirst_that_passes_no_more_gives_way_to_the_one_planned_anew() -> None:
    made, _ = starter()
    assert made.plan.race.drinking.amount == "half"
    more = made.plan.race.drinking.model_copy(update={"amount": "cup"})
    race = made.plan.race.model_copy(update={"drinking": more})
    too_much = made._replace(cleared=cleared_after(made.plan.model_copy(update={"race": race}), ()))
    tried = too_much.as_given(made.plan.race.intakes)
    assert tried.drinking is not None
    assert tried.drinking.amount == "half"


def test_a_line_about_thirst_that_passes_stays_though_more_would_pass() -> None:
    made, _ = starter()
    less = made.plan.race.drinking.model_copy(update={"amount": "mouthful"})
    race = made.plan.race.model_copy(update={"drinking": less})
    sips = made._replace(cleared=cleared_after(made.plan.model_copy(update={"race": race}), ()))
    assert sips.as_given(made.plan.race.intakes).drinking == less


BOTTLE = """[[items]]
id = "own-bottle"
name = "bottle"
texture = "drink"
divides_into = 4
pocket = "240 ml"

[items.label]
convention = "EU"
basis = "100 ml"
pack = "240 ml"
carb = "18 g"
glucose = "11 g"
fructose = "7 g"
fibre = "0 g"
sodium = "50 mg"
caffeine = "0 mg"
seen_on = 2026-11-01

"""


def test_a_begun_bottle_that_is_lost_gives_no_more_and_what_was_drunk_stays() -> None:
    text = STARTER_TEXT.replace('[[items]]\nid = "house-gel"', f'{BOTTLE}[[items]]\nid = "house-gel"', 1)
    text = text.replace('item = "gel-25"  ', 'item = "own-bottle"  ', 1)
    text = text.replace('air_temp = "6 to 10 C"', 'air_temp = "16 to 19 C"', 1)
    made = standing(text=text)
    planned = eaten(made.plan.race.stops)
    assert {item for _, item, _ in planned} == {"own-bottle"}
    lost = of(scenarios(made), "lost")
    assert eaten(lost.stops) == [row for row in planned if row[0] < lost.from_m]
    assert len(eaten(lost.stops)) < len(planned)
    assert text_of(lost.says) == "Lost your bottle? Leave it. Go on without it."


def test_nothing_is_taken_that_the_plan_does_not_carry() -> None:
    made, found = hills()

    def packs(stops: Sequence[Stop]) -> dict[str, float]:
        count: dict[str, float] = {}
        for stop in stops:
            for take in stop.takes:
                if take.got_from == "pocket":
                    count[take.item] = count.get(take.item, 0.0) + take.portion_frac
        return count

    carried = packs(made.plan.race.stops)
    for one in found.scenarios:
        assert all(count <= carried.get(item, 0.0) for item, count in packs(one.stops).items())
