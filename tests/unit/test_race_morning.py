"""Race morning as a ladder, told as stories of invented athletes: own start, hotel, tablet, delay, night."""

from __future__ import annotations

import re
import tomllib
from datetime import UTC, date, datetime, timedelta
from functools import cache
from itertools import pairwise
from typing import Any

import pytest
from starter_case import SRC, STARTER_TEXT, TODAY

from provand.case.case import Case
from provand.case.door import case_of, in_folder
from provand.finding import BadInput
from provand.pack.dates import race_calendar
from provand.plan.document import Plan
from provand.plan.draw_up import draw_up
from provand.plan.withheld import WEIGHTS
from provand.safety.screening import Screening

STARTS_AT = re.compile(r"gun = \S+")
TABLET = """
[[morning.tablets]]
at = "5:00"
no_food_before = "3 h"
no_food_after = "45 min"
fixed_by = "pharmacist"
"""
DRINK_TICK = """
[[wishes.overrides]]
what = "drink_before.dose_ml_per_kg"
value = "4 ml/kg"
by = "Robin Example"
on = 2026-11-20
why = "as rehearsed"
"""
CLEAR = Screening(outcome="clear", sodium_line_mmol_per_l=140.0)
MINOR = Screening(outcome="clear", sodium_line_mmol_per_l=140.0, minor=True)
PORTIONS = Screening(outcome="note", sodium_line_mmol_per_l=140.0, withheld=("grams",))


def case_at(
    start: str, *, morning: str = "", tail: str = "", race: str = "", offset: str = "0 min", **more: Any
) -> Case:
    """Return the starter case with its own start at a clock time, and what is typed of its morning."""
    day = more.get("day", "2026-12-06")
    text = STARTS_AT.sub(f"gun = {day}T{start}:00", STARTER_TEXT, count=1)
    text = text.replace('own_offset = "2 min to 6 min"', f'own_offset = "{offset}"')
    text = text.replace('zone = "Europe/Dublin"', f'zone = "{more.get("zone", "Europe/Dublin")}"')
    text = text.replace("\n[course] ", f"\n{race}\n[course] ")
    text += (f"\n[morning]\n{morning}\n" if morning else "") + tail
    return case_of(tomllib.loads(text), beside=in_folder(SRC / "case"), as_of=TODAY)


@cache
def drawn(start: str, *, screening: Screening = CLEAR, **more: Any) -> Plan:
    return draw_up(case_at(start, **more), screening, as_of=TODAY)


def rungs(plan: Plan) -> dict[str, str]:
    """Return the clock time of each rung by its title, in order."""
    return {line.title: f"{line.at:%H:%M}" for line in plan.morning}


def says(plan: Plan, title: str) -> str:
    return next(line.says for line in plan.morning if line.title == title)


def told(plan: Plan) -> set[str]:
    """Return what was found of the morning, but that nobody has chosen the breakfast yet."""
    found = {finding.code for finding in plan.findings if finding.code.startswith("morning.")}
    return found - {"morning.breakfast_open"}


def moments(plan: Plan) -> list[datetime]:
    return [line.at.astimezone(UTC) for line in plan.morning if line.at is not None]


class TestStarts:
    """Backwards from the own start, whenever it is."""

    def test_a_start_at_seven(self) -> None:
        plan = drawn("07:00")
        assert rungs(plan) == {
            "Wake up": "03:45",
            "Breakfast": "04:00",
            "Drink with it": "04:00",
            "Your usual coffee": "04:00",
            "Last toilet": "06:35",
        }
        assert not told(plan)

    def test_a_start_at_one_has_a_meal_and_a_snack_and_nobody_is_woken(self) -> None:
        plan = drawn("13:00")
        assert list(rungs(plan).items()) == [
            ("Meal", "09:00"),
            ("Drink with it", "09:00"),
            ("Your usual coffee", "09:00"),
            ("Top-up", "11:30"),
            ("Last toilet", "12:35"),
        ]

    def test_on_the_day_of_an_evening_start_no_meal_is_skipped(self) -> None:
        plan = drawn("19:00")
        eaten = {"Usual breakfast": "08:00", "Lunch": "11:30", "Meal": "15:00", "Top-up": "17:30"}
        assert {title: at for title, at in rungs(plan).items() if title in eaten} == eaten

    @pytest.mark.parametrize("hour", range(11, 24))
    def test_no_gap_of_a_day_before_a_late_start_is_too_long(self, hour: int) -> None:
        plan = drawn(f"{hour}:00")
        food = [
            line.at
            for line in plan.morning
            if line.at and line.title not in ("Drink with it", "Your usual coffee", "Last toilet")
        ]
        gaps = [(b - a).total_seconds() / 3600 for a, b in pairwise(food)]
        assert max(gaps) <= 5 + 5 / 60

    def test_a_start_after_midnight_belongs_to_the_evening(self) -> None:
        plan = drawn("00:30")
        meal = next(line for line in plan.morning if line.title == "Meal")
        assert meal.at is not None
        assert (meal.at.day, meal.at.hour, meal.at.minute) == (5, 20, 30)
        assert "Wake up" not in rungs(plan)
        assert moments(plan) == sorted(moments(plan))

    def test_who_starts_at_five_is_not_woken_before_three_and_eats_little(self) -> None:
        plan = drawn("05:00")
        assert rungs(plan)["Wake up"] == "03:00"
        assert rungs(plan)["Small breakfast"] == "03:15"
        assert "morning.small" in told(plan)
        assert not re.search(r"\d+ g\b", says(plan, "Small breakfast"))
        assert says(plan, "Drink with it") == "As thirst asks."

    def test_unless_they_say_that_they_will_be(self) -> None:
        plan = drawn("05:00", morning='wake_from = "1:30"')
        assert rungs(plan)["Breakfast"] == "02:00"
        assert rungs(plan)["Wake up"] == "01:45"
        assert told(plan) == {"morning.early_wake"}

    def test_a_later_wave_moves_clock_times_and_no_elapsed_ones(self) -> None:
        first, later = drawn("09:00"), drawn("09:00", offset="28 min to 32 min")
        assert rungs(first)["Breakfast"] == "06:00"
        assert rungs(later)["Breakfast"] == "06:30"
        assert rungs(later)["Last toilet"] == "09:05"
        assert first.race.intakes == later.race.intakes

    def test_a_night_shift_ends_in_sleep_before_the_race(self) -> None:
        plan = drawn("19:00", morning='wake_from = "14:00"\ncoffee_at = "9:00"')
        assert list(rungs(plan)) == [
            "Wake up", "Your usual coffee", "Meal", "Drink with it", "Top-up", "Last toilet",
        ]  # fmt: skip
        assert rungs(plan)["Wake up"] == "14:45"
        assert rungs(plan)["Meal"] == "15:00"


class TestHotel:
    """Breakfast that is served late."""

    def test_breakfast_waits_where_the_start_leaves_time(self) -> None:
        plan = drawn("09:00", morning='breakfast_from = "6:30"')
        assert rungs(plan)["Breakfast"] == "06:30"
        assert told(plan) == {"morning.moved"}
        assert plan.figure("breakfast.before_moved_h").value.mid == 2.5  # type: ignore[union-attr]
        habit = plan.figure("breakfast.M2_carb_g")
        assert habit is not None
        assert habit.value.mid == pytest.approx(2.5 * 63.5)

    def test_else_it_is_own_food_at_its_own_time(self) -> None:
        plan = drawn("08:00", morning='breakfast_from = "6:30"\nkitchen = "none"\nbreakfast = "rice cakes"')
        assert rungs(plan)["Breakfast"] == "05:00"
        assert told(plan) == {"morning.not_served"}
        words = says(plan, "Breakfast")
        assert words.startswith("Rice cakes, as rehearsed.")
        assert "Your own food: breakfast is served from 06:30. Choose what needs no kitchen." in words

    def test_one_that_opens_after_the_start_is_not_taken_for_that_of_yesterday(self) -> None:
        plan = drawn("06:30", morning='breakfast_from = "7:00"')
        assert "Your own food" in says(plan, "Breakfast")


class TestTablet:
    """Fixed by others: the morning moves round it."""

    def test_the_ladder_goes_round_the_time_without_food(self) -> None:
        plan = drawn("08:00", morning='travel = "20 min"', tail=TABLET)
        assert rungs(plan)["Your tablet"] == "05:00"
        assert rungs(plan)["Wake up"] == "05:00"
        assert rungs(plan)["Breakfast"] == "05:45"
        assert rungs(plan)["Your usual coffee"] == "05:45"
        assert "morning.moved" in told(plan)
        assert says(plan, "Your tablet") == (
            "At this time, as your pharmacist fixed it; nothing here moves it. No food from 02:00 to 05:45."
        )

    @pytest.mark.parametrize("start", ["06:30", "07:00", "07:30", "08:00", "09:00", "13:00", "19:00"])
    def test_nothing_is_eaten_or_drunk_with_coffee_in_it(self, start: str) -> None:
        plan = drawn(start, morning='wake_from = "3:00"', tail=TABLET)
        first, last = (datetime(2026, 12, 6, *at, tzinfo=UTC) for at in ((2, 0), (5, 45)))
        free = ("Your tablet", "Wake up", "Last toilet", "Leave")
        for line in plan.morning:
            if line.title not in free and line.at is not None:
                assert not first <= line.at < last, line

    def test_where_no_whole_breakfast_fits_it_is_a_small_one_and_none_where_nothing_does(self) -> None:
        small = drawn("07:00", morning='wake_from = "3:00"', tail=TABLET)
        assert rungs(small)["Small breakfast"] == "05:45"
        assert "morning.small" in told(small)
        none = drawn("06:30", morning='wake_from = "3:00"', tail=TABLET)
        assert "morning.no_meal" in told(none)
        assert "Breakfast" not in rungs(none)
        assert "Drink with it" not in rungs(none)

    def test_one_that_runs_into_the_race_stops_the_plan_until_somebody_is_asked(self) -> None:
        with pytest.raises(BadInput, match="04:00 to 07:45, runs into the race"):
            drawn("07:30", tail="\n[morning]\n" + TABLET.replace("5:00", "7:00"))
        with pytest.raises(BadInput, match="runs into the race"):
            drawn("07:30", tail="\n[morning]\n" + TABLET.replace("5:00", "8:30"))

    def test_one_without_a_time_without_food_may_fall_anywhere(self) -> None:
        easy = TABLET.replace("3 h", "0 min").replace("45 min", "0 min").replace("5:00", "6:00")
        plan = drawn("07:30", tail="\n[morning]\n" + easy)
        assert says(plan, "Your tablet").endswith("nothing here moves it.")
        assert not told(plan)

    def test_no_calendar_that_others_may_see_tells_of_it(self) -> None:
        plan = drawn("08:00", morning='travel = "20 min"', tail=TABLET)
        text = race_calendar(plan).decode()
        assert "ablet" not in text
        assert "SUMMARY:Breakfast" in text
        assert "offee" not in text

    def test_waking_rings_at_its_time_and_not_before(self) -> None:
        text = race_calendar(drawn("09:00")).decode()
        wake = text.split("SUMMARY:Wake up")[1].split("END:VEVENT")[0]
        assert "TRIGGER:P0D" in wake


class TestBreakfastThatNobodyChose:
    """No dose is ticked: the athlete is not given the rules' spans to choose from."""

    def test_the_sheet_says_to_ask_and_the_practitioner_is_told_between_what(self) -> None:
        plan = drawn("09:00")
        assert (
            says(plan, "Breakfast") == "Food you know, low in fat and fibre. How much is not chosen yet: ask."
        )
        (found,) = (one for one in plan.findings if one.code == "morning.breakfast_open")
        mass_kg = plan.case.athlete.body_mass_kg
        assert found.facts["low"] == f"{1 * mass_kg:.0f}", "1 g/kg: see the rule's source"
        assert found.facts["high"] == f"{4 * mass_kg:.0f}", "4 g/kg: the same"


class TestWindows:
    """A fast, a clinic, a flight."""

    FAST = "[[race.forbidden]]\nstart = 2026-12-06T05:40:00\nend = 2026-12-06T07:10:00\nwhy = 'dawn'\n"

    def test_breakfast_comes_before_a_fast_where_that_is_nearer(self) -> None:
        plan = drawn("09:00", race=self.FAST)
        assert rungs(plan)["Breakfast"] == "05:20"
        assert rungs(plan)["Wake up"] == "05:05"
        assert "morning.moved" in told(plan)

    def test_a_window_until_the_start_leaves_no_word_of_a_sip(self) -> None:
        whole = self.FAST.replace("05:40", "04:00").replace("07:10", "09:30")
        plan = drawn("09:00", race=whole)
        assert says(plan, "Last toilet") == ""
        assert "morning.no_meal" in told(plan)
        assert list(rungs(plan)) == ["Last toilet"]


class TestTheWay:
    """Leaving, bag drop, warm-up, pen."""

    WAY = (
        'travel = "40 min"\nbag_drop_closes = "8:20"\nwarm_up = "15 min"\n'
        'pen_opens = "8:30"\npen_closes = "8:50"'
    )

    def test_each_has_its_rung(self) -> None:
        found = rungs(drawn("09:00", morning=self.WAY))
        assert [(title, at) for title, at in found.items() if at > "06:00"] == [
            ("Leave", "07:15"),
            ("Bag drop", "08:10"),
            ("Warm-up", "08:20"),
            ("Last toilet", "08:35"),
            ("Into your pen", "08:45"),
        ]

    def test_breakfast_is_before_leaving_or_taken_along(self) -> None:
        far = drawn("09:00", morning='travel = "2 h"')
        assert rungs(far)["Leave"] == "06:20"
        assert rungs(far)["Breakfast"] == "06:00"
        farther = drawn("09:00", morning='travel = "3 h"')
        assert rungs(farther)["Leave"] == "05:20"
        assert rungs(farther)["Breakfast"] == "05:00"
        farthest = drawn("09:00", morning='travel = "5 h"\nwake_from = "3:00"')
        assert "morning.on_the_way" in told(farthest)
        assert says(farthest, "Breakfast").endswith("Take it along.")

    def test_a_snack_after_the_bag_drop_stays_out_of_the_bag(self) -> None:
        plan = drawn("13:00", morning='bag_drop_closes = "11:00"')
        assert "morning.bag_first" in told(plan)
        assert "Keep it out of the bag" in says(plan, "Top-up")

    def test_a_pen_that_closes_before_the_last_toilet_is_told(self) -> None:
        plan = drawn("09:00", morning='pen_closes = "8:30"')
        assert "morning.toilet_in_pen" in told(plan)

    def test_the_rungs_are_in_true_order(self) -> None:
        for plan in (drawn("09:00", morning=self.WAY), drawn("19:00"), drawn("00:30")):
            assert moments(plan) == sorted(moments(plan))


class TestClockChange:
    """The night in which clocks change: true hours, and a word."""

    @pytest.mark.parametrize(
        ("day", "which", "wake"), [("2027-10-31", "back", "05:45"), ("2027-03-28", "forward", "05:45")]
    )
    def test_the_hours_are_true_ones(self, day: str, which: str, wake: str) -> None:
        plan = drawn("09:00", day=day, zone="Europe/Berlin")
        assert rungs(plan)["Wake up"] == wake
        said = next(f for f in plan.findings if f.code == "morning.clocks")
        assert said.facts["which"] == which
        early = drawn("05:00", day=day, zone="Europe/Berlin", morning='wake_from = "0:30"')
        start = datetime.fromisoformat(f"{day}T05:00:00+01:00")
        start -= timedelta(hours=1) if which == "forward" else timedelta()
        breakfast = next(line.at for line in early.morning if line.title == "Breakfast")
        assert breakfast is not None
        assert start - breakfast == timedelta(hours=3)

    def test_a_time_that_is_shown_twice_says_which(self) -> None:
        plan = drawn("05:00", day="2027-10-31", zone="Europe/Berlin", morning='wake_from = "1:00"')
        assert rungs(plan)["Breakfast"] == "02:00"
        assert "the second is meant" in says(plan, "Breakfast")


class TestDelay:
    """What was taken is asked, and never planned again."""

    TAKEN = '[[race.taken]]\nitem = "gel-25"\nat = 2026-12-06T08:40:00\n'
    COFFEE = '[[race.taken]]\ncaffeine = "80 mg"\nat = 2026-12-06T06:30:00\n'

    @staticmethod
    def late(minutes: int, taken: str = "") -> Plan:
        start = (datetime(2026, 12, 6, 9) + timedelta(minutes=minutes)).strftime("%H:%M")
        return drawn(start, race=f'delay = "{minutes} min"\n{taken}')

    @pytest.mark.parametrize("minutes", [30, 60, 120])
    def test_breakfast_stays_and_is_not_eaten_again(self, minutes: int) -> None:
        plan = self.late(minutes)
        assert rungs(plan)["Breakfast"] == "06:00"
        assert [line.title for line in plan.morning].count("Breakfast") == 1
        assert "Eat again" not in rungs(plan)

    @pytest.mark.parametrize(
        ("minutes", "at", "words"),
        [
            (30, "09:00", "Breakfast still carries you."),
            (60, "09:00", "A small snack you know"),
            (120, "09:30", "A small snack you know"),
        ],
    )
    def test_the_wait_has_a_snack_that_is_not_carried(self, minutes: int, at: str, words: str) -> None:
        plan = self.late(minutes)
        assert rungs(plan)["While you wait"] == at
        assert words in says(plan, "While you wait")
        assert says(plan, "While you wait").endswith("What you carry is for the race.")

    @pytest.mark.parametrize("minutes", [30, 60, 120])
    def test_who_has_eaten_has_eaten(self, minutes: int) -> None:
        said = says(self.late(minutes, self.TAKEN), "While you wait")
        assert (
            said == "You have eaten since breakfast: nothing more is planned. What you carry is for the race."
        )

    @pytest.mark.parametrize(("minutes", "at"), [(30, "09:00"), (60, "09:00"), (120, "10:00")])
    def test_coffee_is_timed_anew_only_where_none_was_had(self, minutes: int, at: str) -> None:
        assert rungs(self.late(minutes))["Your usual coffee"] == at
        assert "Only if you have not had it today." in says(self.late(minutes), "Your usual coffee")
        assert "Your usual coffee" not in rungs(self.late(minutes, self.COFFEE))

    def test_after_a_long_wait_a_small_meal_comes_again(self) -> None:
        plan = self.late(240)
        assert rungs(plan)["Eat again"] == "10:00"
        assert rungs(plan)["While you wait"] == "11:30"

    def test_the_pen_moves_with_the_start_and_the_bag_is_gone(self) -> None:
        morning = 'pen_closes = "8:50"\nbag_drop_closes = "8:20"'
        plan = drawn("10:00", race='delay = "60 min"', morning=morning)
        assert rungs(plan)["Into your pen"] == "09:45"
        assert "closes at 09:50" in says(plan, "Into your pen")
        assert rungs(plan)["Bag drop"] == "08:10"


class TestWhoIsNotDosed:
    """Minors, and who reads no weights; caffeine that is not planned."""

    @pytest.mark.parametrize("screening", [MINOR, PORTIONS], ids=["minor", "portions"])
    def test_no_amount_by_body_mass_is_told(self, screening: Screening) -> None:
        plan = drawn("09:00", screening=screening, morning='breakfast = "80 g of oats"')
        lines = [*plan.morning, *plan.recovery]
        assert says(plan, "Drink with it") == "As thirst asks."
        assert not any(
            re.search(r"\d\s*(ml|g|mg)\b", line.says) for line in lines if line.title != "Breakfast"
        )
        assert not [f.id for f in plan.figures if f.id.startswith("drink_before.F")]
        assert says(plan, "Breakfast").endswith("Your usual meal, with more starch, low in fat and fibre.")

    def test_a_breakfast_typed_in_grams_is_not_told_to_who_reads_none(self) -> None:
        plan = drawn("09:00", screening=PORTIONS, morning='breakfast = "80 g of oats"')
        assert not any(
            WEIGHTS.search(f"{line.title} {line.says}") for line in (*plan.morning, *plan.recovery)
        )
        assert plan.case.morning is not None
        assert plan.case.morning.breakfast == ""

    def test_a_practitioner_may_tick_a_minors_drink(self) -> None:
        plan = drawn("09:00", screening=MINOR, tail=DRINK_TICK)
        assert says(plan, "Drink with it") == "254 ml, slowly: chosen by your practitioner."
        hidden = drawn("09:00", screening=PORTIONS, tail=DRINK_TICK)
        assert says(hidden, "Drink with it") == "As thirst asks."
        assert "target.override_unused" in {finding.code for finding in hidden.findings}

    def test_no_more_than_was_ever_published_can_be_ticked(self) -> None:
        with pytest.raises(BadInput, match="drink_before"):
            drawn("09:00", tail=DRINK_TICK.replace("4 ml/kg", "11 ml/kg"))

    def test_withheld_caffeine_and_more_than_the_ceiling_have_no_rung(self) -> None:
        held = Screening(outcome="note", sodium_line_mmol_per_l=140.0, withheld=("caffeine",))
        plan = drawn("09:00", screening=held, morning='coffee_at = "6:30"\nbreakfast = "toast and coffee"')
        assert "Your usual coffee" not in rungs(plan)
        assert not any("offee" in line.says for line in plan.morning)
        assert plan.case.morning is not None
        assert plan.case.morning.coffee_at is None
        limited = CLEAR.model_copy(update={"caffeine_day_most_mg": 60.0})
        assert "Your usual coffee" not in rungs(drawn("09:00", screening=limited))

    def test_withheld_fluid_leaves_no_word_of_a_drink(self) -> None:
        held = Screening(outcome="note", sodium_line_mmol_per_l=140.0, withheld=("fluid",))
        plan = drawn("09:00", screening=held)
        assert "Drink with it" not in rungs(plan)
        assert says(plan, "Last toilet") == ""

    def test_a_drink_after_the_last_toilet_is_not_planned(self) -> None:
        plan = draw_up(
            case_at("09:00").model_copy(
                update={
                    "race": case_at("09:00").race.model_copy(update={"last_toilet_min": 180.0}),
                }
            ),
            CLEAR,
            as_of=TODAY,
        )
        assert says(plan, "Drink with it").startswith("As thirst asks: what you drink after the last toilet")

    def test_an_excluded_word_in_the_breakfast_is_told(self) -> None:
        case = case_at("09:00", morning='breakfast = "toast with peanut butter"')
        athlete = case.athlete.model_copy(update={"allergens": ("peanut",)})
        plan = draw_up(case.model_copy(update={"athlete": athlete}), CLEAR, as_of=TODAY)
        assert "morning.breakfast_excluded" in told(plan)


class TestAfter:
    """0 to 30 minutes, two hours, evening: a hurry only before another hard session."""

    REHYDRATE = DRINK_TICK.replace("drink_before.dose_ml_per_kg", "recovery.fluid_l_per_kg").replace(
        "4 ml/kg", "1.5 l/kg"
    )

    @staticmethod
    def words(plan: Plan) -> dict[str, str]:
        return {line.title: line.says for line in plan.recovery}

    def test_nobody_has_to_drink_or_hurry(self) -> None:
        said = self.words(drawn("09:00"))
        assert list(said) == ["First half hour", "Within two hours", "That evening", "That day"]
        assert said["First half hour"] == (
            "Something small to eat, if you feel like it. Drink as thirst asks; meals and water do the rest."
        )
        assert "16 to 40 g of protein" in said["Within two hours"]
        assert "nothing has to be made up" in said["That evening"]

    def test_who_finishes_in_the_evening_has_a_bed_and_no_evening(self) -> None:
        assert "Before bed" in self.words(drawn("19:00"))

    def test_a_near_session_has_its_amount_and_a_far_one_none(self) -> None:
        near = drawn("09:00", tail='\n[after]\nnext_session = "6 h"\n')
        assert "64 to 76 g of carbohydrate an hour for four hours" in self.words(near)["First half hour"]
        far = drawn("09:00", tail='\n[after]\nnext_session = "20 h"\n')
        assert self.words(far) == self.words(drawn("09:00"))

    def test_a_near_session_is_told_without_amounts_to_who_has_none(self) -> None:
        for screening in (MINOR, PORTIONS):
            plan = drawn("09:00", screening=screening, tail='\n[after]\nnext_session = "3 h"\n')
            said = self.words(plan)["First half hour"]
            assert said.startswith("The next session is near: eat soon, and a little again every hour.")
            assert not re.search(r"\d", said)

    def test_a_ticked_amount_to_drink_says_when_it_does_not_count(self) -> None:
        said = self.words(drawn("09:00", tail=self.REHYDRATE))["First half hour"]
        assert " meal" not in said
        assert "if you feel like it. 1.5 litres for each kg lost" in said
        assert said.endswith("Only as thirst asks if you lost no weight, your head aches or you feel sick.")

    def test_it_is_not_told_where_the_next_session_is_far_or_who_has_no_amounts(self) -> None:
        far = drawn("09:00", tail=self.REHYDRATE + '\n[after]\nnext_session = "20 h"\n')
        minor = drawn("09:00", screening=MINOR, tail=self.REHYDRATE)
        portions = drawn("09:00", screening=PORTIONS, tail=self.REHYDRATE)
        for plan in (far, minor, portions):
            assert "litres" not in self.words(plan)["First half hour"]
            assert "target.override_unused" in {finding.code for finding in plan.findings}


class TestTicked:
    """What a practitioner ticked is told as that number, and not as the band round it."""

    @staticmethod
    def ticked(what: str, value: str) -> Plan:
        return drawn(
            "09:00", tail=DRINK_TICK.replace("drink_before.dose_ml_per_kg", what).replace("4 ml/kg", value)
        )

    def test_breakfast(self) -> None:
        plan = self.ticked("breakfast.dose_g_per_kg", "2 g/kg")
        assert says(plan, "Breakfast").startswith("127 g of carbohydrate")

    def test_a_whole_day_of_loading(self) -> None:
        plan = self.ticked("load.dose_g_per_kg_per_day", "9 g/kg/day")
        assert "572 g of carbohydrate in these 24 hours" in plan.loading[-2].says

    def test_fluid_after_the_race(self) -> None:
        plan = self.ticked("recovery.fluid_l_per_kg", "1.25 l/kg")
        assert ". 1.25 litres for each kg lost" in plan.recovery[0].says


def test_a_plan_is_the_same_to_the_byte_when_it_is_made_again() -> None:
    case = case_at("08:00", morning='travel = "20 min"', tail=TABLET)
    assert (
        draw_up(case, CLEAR, as_of=TODAY).as_bytes == draw_up(case, CLEAR, as_of=date(2026, 11, 25)).as_bytes
    )
