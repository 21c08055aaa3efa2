"""What is carried: measured on the PDF, legible, and short."""

from __future__ import annotations

import io
import re
from typing import Any

import pdfplumber
import pytest
from paper import page_words
from plans import a_case, a_course, a_plan, a_stop, a_take, elapsed_s, some_stops
from pypdf import PdfReader

from provand.finding import CannotWork
from provand.pack.letters import balanced_lines, width_of
from provand.pack.wrist import (
    COLUMNS_MM,
    LEAST_PT,
    MOST_LINES,
    PT_PER_MM,
    RULES_MM,
    card_sides,
    entries,
    sheet_data,
    short_name,
    strip_data,
    strip_sheet,
)
from provand.plan.document import DrinkingLine, IfThen, Plan, Stop
from provand.planner.if_then import EMERGENCY, EMERGENCY_SHORT, IF_THEN


def mm(points: float) -> float:
    return points / PT_PER_MM


def boxes(data: bytes) -> list[tuple[float, float]]:
    with pdfplumber.open(io.BytesIO(data)) as document:
        shapes = [shape for page in document.pages for shape in (*page.rects, *page.curves)]
        return [(round(mm(s["width"]), 2), round(mm(s["height"]), 2)) for s in shapes]


def text_of(data: bytes) -> str:
    return " ".join(" ".join(words.split()) for words in page_words(data))


def gels_at(*minutes: float) -> tuple[Stop, ...]:
    case = a_case()
    stops = []
    for minute in minutes:
        at_m = next(float(x) for x in range(0, 21_000, 10) if elapsed_s(x, 6720.0) >= 60 * minute)
        stops.append(a_stop(at_m, a_take("gel", case), case=case))
    return tuple(stops)


def test_strip_card_and_bar_have_their_size_on_paper() -> None:
    found = boxes(strip_sheet(a_plan(), "a4"))
    assert (240.0, 28.0) in found
    assert (100.0, 70.0) in found
    assert (100.0, 2.0) in found


@pytest.mark.parametrize(("paper", "size"), [("a4", (841.89, 595.28)), ("letter", (792, 612))])
def test_the_sheet_lies_on_its_side_and_holds_the_strip(paper: Any, size: tuple[float, float]) -> None:
    data = strip_sheet(a_plan(), paper)
    page = PdfReader(io.BytesIO(data)).pages[0].mediabox
    assert (float(page.width), float(page.height)) == pytest.approx(size, abs=0.01)
    with pdfplumber.open(io.BytesIO(data)) as document:
        strip = next(s for s in document.pages[0].rects if round(mm(s["width"])) == 240)
        assert strip["x0"] >= 10 * PT_PER_MM
        assert strip["x1"] <= size[0] - 10 * PT_PER_MM


def test_the_sheet_says_for_whom_how_to_print_and_what_the_marks_mean() -> None:
    told = text_of(strip_sheet(a_plan(), "a4"))
    assert "Print in actual size" in told
    assert "100 mm: measure it" in told
    assert "Made for Tove Askerby by Ines Halloway" in told
    assert "with caffeine" in told
    assert told.count(a_plan().code) >= 3


def test_strip_and_card_name_their_runner_and_carry_the_code() -> None:
    data = sheet_data(a_plan(), "a4")
    assert (data["card_name"], data["tab_name"]) == ("Tove Askerby", "Tove Askerby")
    told = text_of(strip_sheet(a_plan(), "a4"))
    assert told.count("Tove Askerby") >= 3, "on the strip, on the card, and at the foot"
    assert told.count(a_plan().code) >= 3


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert strip_sheet(a_plan(), "a4") == strip_sheet(a_plan(), "a4")


def test_no_letter_on_the_strip_or_card_is_smaller_than_nine_points() -> None:
    with pdfplumber.open(io.BytesIO(strip_sheet(a_plan(), "a4"))) as document:
        page = document.pages[0]
        pieces = [s for s in page.rects if round(mm(s["width"])) in (240, 100) and mm(s["height"]) > 20]
        assert len(pieces) == 2
        for piece in pieces:
            inside = [
                c for c in page.chars
                if piece["x0"] < c["x0"] < piece["x1"] and piece["top"] < c["top"] < piece["bottom"]
            ]  # fmt: skip
            assert len(inside) > 100
            assert min(max(c["size"], c["width"]) for c in inside if c["upright"]) >= LEAST_PT - 0.01
            assert all(c["x1"] <= piece["x1"] and c["bottom"] <= piece["bottom"] + 0.5 for c in inside)


def test_a_column_says_when_what_and_where() -> None:
    strip = strip_data(a_plan())
    assert strip is not None
    assert [column["when"] for column in strip["columns"]] == ["0:22", "0:39", "0:44", "1:15", "1:29"]
    assert " ".join(strip["columns"][0]["lines"]) == "lemon gel + mouthful of water Millrace"
    assert strip["columns"][1]["lines"][-1] == "km 7.9"


def test_every_line_of_the_strip_fits_its_room() -> None:
    strip = strip_data(a_plan())
    assert strip is not None
    for column in strip["columns"]:
        room_pt = (strip["column_mm"] - 2) * PT_PER_MM
        assert all(width_of(line, "condensed-bold", strip["words_pt"]) <= room_pt for line in column["lines"])
    rules = [width_of(line, "condensed-bold", strip["rules_pt"]) for line in strip["rules"]]
    assert max(rules) <= RULES_MM * PT_PER_MM
    assert strip["column_mm"] * len(strip["columns"]) <= COLUMNS_MM + 1e-9


def test_the_bean_of_caffeine_is_never_dropped_and_never_alone() -> None:
    for plan in (a_plan(), a_plan(time_struck=True)):
        strip = strip_data(plan)
        columns = strip["columns"] if strip else []
        rows = [row for side in card_sides(plan) for row in side["rows"]]
        for line in [*columns, *rows]:
            told = " ".join(line.get("lines", line.get("words", ())))
            assert ("caffeine" in told) == ("caffeine" in line["marks"])
            assert line["marks"][0] != "caffeine"


def test_equal_gels_in_a_rhythm_become_one_line_when_there_are_more_than_five() -> None:
    plan = a_plan(stops=gels_at(13, 35, 57, 79, 91.4, 95))
    steady = a_plan(stops=gels_at(13, 31, 49, 67, 85, 95 + 8))
    assert len(entries(plan)) == 6, "91 and 95 minutes keep no rhythm with the rest"
    (line,) = entries(steady)
    assert (line.when, line.words) == ("0:13–1:43", "lemon gel every 18 min")


def test_five_lines_are_never_merged() -> None:
    assert len(entries(a_plan(stops=gels_at(13, 31, 49, 67, 85)))) == 5


def test_gels_from_a_station_are_not_merged_away_from_it() -> None:
    stops = tuple(
        stop.model_copy(update={"station": "Millrace"}) for stop in gels_at(13, 31, 49, 67, 85, 103)
    )
    assert len(entries(a_plan(stops=stops))) == 6


def test_more_than_seven_lines_leave_the_strip_to_the_card() -> None:
    case = a_case(course=a_course(stations=()))
    kinds = (a_take("gel", case), a_take("chews", case, portion=0.375))
    stops = tuple(a_stop(2000.0 * i, kinds[i % 2], case=case) for i in range(1, 10))
    plan = a_plan(case, stops=stops)
    assert strip_data(plan) is None
    sides = card_sides(plan)
    assert len(sides) == 2
    assert [len(side["rows"]) for side in sides] == [MOST_LINES, 2]
    assert sides[-1]["rules"]
    told = text_of(strip_sheet(plan, "a4"))
    assert "No wrist strip:" in told
    assert "2 sides" in told


def test_rules_too_long_for_the_strip_leave_it_to_the_card() -> None:
    lines = tuple(
        IfThen(when="If so?", then="Then do.", short="If this and that happens? " + "Do this. " * 12)
        for _ in range(2)
    )
    assert strip_data(a_plan(if_then=lines)) is None


def test_an_item_too_long_for_a_column_leaves_it_to_the_card() -> None:
    case = a_case()
    items = tuple(i.model_copy(update={"name": "Unusuallylongwordedorangechews"}) for i in case.items)
    assert strip_data(a_plan(case.model_copy(update={"items": items}))) is None


def test_a_time_too_wide_for_a_column_leaves_it_to_the_card() -> None:
    """Seven columns, one of them headed by a rhythm of many hours: its time alone fills the column."""
    case = a_case(course=a_course(stations=()))
    kinds = (a_take("gel", case), a_take("chews", case, portion=0.375))
    runs = [0, 0, 0, 1, 0, 1, 0, 1, 0]
    stops = tuple(a_stop(2000.0 * (i + 1), kinds[kind], case=case) for i, kind in enumerate(runs))
    late = tuple(stop.model_copy(update={"goal_s": 1e5 + 1500 * i}) for i, stop in enumerate(stops))
    plan = a_plan(case, stops=late)
    assert len(entries(plan)) == MOST_LINES
    assert strip_data(plan) is None
    assert "No wrist strip:" in text_of(strip_sheet(plan, "a4"))


def test_at_most_five_rules_with_drinking_first_and_emergency_last() -> None:
    strip = strip_data(a_plan())
    assert strip is not None
    told = " ".join(strip["rules"])
    order = ["Thirsty? Drink: half a cup", "Feel sick?", "Lost one", "Throwing up"]
    assert [told.index(text) for text in order] == sorted(told.index(text) for text in order)


def test_every_fixed_rule_has_its_fewest_words_and_says_the_same_thing_first() -> None:
    pairs = [(EMERGENCY, EMERGENCY_SHORT), *((line.when, line.short) for line in IF_THEN)]
    for words, short in pairs:
        assert short.split()[0] == words.split()[0]
        assert len(short) < 80


def test_the_card_has_the_rules_in_full_unless_fewer_words_save_a_side() -> None:
    stops = some_stops(a_case())
    plans = [a_plan(stops=stops[:count]) for count in (3, 4, 5)]
    sides = [card_sides(plan) for plan in plans]
    assert [len(one) for one in sides] == [1, 1, 1]
    assert [EMERGENCY in " ".join(one[-1]["rules"]) for one in sides] == [True, True, False]


def test_nothing_on_a_race_piece_is_in_grams() -> None:
    drinking = DrinkingLine(amount="half", poured_ml=75, sentence="Eat 20 g now.")
    race = a_plan().race.model_copy(update={"drinking": drinking})
    with pytest.raises(CannotWork, match="20 g"):
        strip_sheet(a_plan(race=race), "a4")


def test_with_times_struck_places_lead_and_no_time_is_left() -> None:
    told = text_of(strip_sheet(a_plan(time_struck=True), "a4"))
    assert "4.6 km" in told
    assert not re.search(r"\b\d:\d\d\b", told)


def test_a_race_with_nothing_to_take_has_the_rules_alone() -> None:
    told = text_of(strip_sheet(a_plan(stops=()), "a4"))
    assert "Nothing to take in this race." in told
    assert "Thirsty? Drink" in told


def test_rules_stay_whole_on_one_side() -> None:
    def plan(stops: tuple[Stop, ...]) -> Plan:
        return a_plan(stops=stops)

    for count in range(1, 16):
        one = some_stops(a_case())[0]
        sides = card_sides(
            plan(tuple(one.model_copy(update={"at_m": 1000.0 * i}) for i in range(1, count + 1)))
        )
        assert [bool(side["rules"]) for side in sides] == [False] * (len(sides) - 1) + [True]
        assert sum(len(side["rows"]) for side in sides) == count


def test_a_long_name_keeps_initials_and_the_last_word() -> None:
    assert short_name("Tove Askerby", 9, 25) == "Tove Askerby"
    assert short_name("Maximiliane Theodora von Hohenlohe", 9, 25) == "M. T. Hohenlohe"
    assert short_name("Bartholomewsonandfatherslimitedetc", 9, 25).endswith("…")


def test_lines_are_even_and_no_more_than_they_need_be() -> None:
    text = "Thirsty? Drink: half a cup. Not thirsty? Run past."
    room = width_of(text, "condensed-bold", 10) - 5
    assert balanced_lines(text, "condensed-bold", 10, room) == (
        "Thirsty? Drink: half a cup.",
        "Not thirsty? Run past.",
    )
    assert balanced_lines(text, "condensed-bold", 10, room + 10) == (text,)
