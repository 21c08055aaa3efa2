"""The plan as plain text: a message that fits, and text that is read well."""

from __future__ import annotations

import re

import pytest
from plans import a_case, a_course, a_plan, a_stop, a_take, cleared, some_lines

from provand.finding import CannotWork
from provand.pack.message import MOST_LETTERS, message, read_out, spoken_time
from provand.pack.write import pack_files
from provand.plan.document import Plan
from provand.plan.withheld import WEIGHTS
from provand.planner.if_then import EMERGENCY_SHORT


def told(plan: Plan, **more: bool) -> list[str]:
    return message(plan, **more).decode("utf-8").splitlines()


def heard(plan: Plan, **more: bool) -> str:
    return read_out(plan, **more).decode("utf-8")


def with_gels(count: int, *, every_m: float) -> Plan:
    """A plan with many gels at places that keep no rhythm."""
    case = a_case()
    gel, sip = a_take("gel", case), a_take("water", case, amount="mouthful", got_from="station")
    stops = tuple(
        a_stop(
            every_m * (n + 1) + 170.0 * (n % 3), gel, sip, case=case, station=f"Long Station Name {n}", had=n
        )
        for n in range(count)
    )
    return a_plan(case, stops=stops)


def test_a_message_holds_start_intakes_rules_maker_and_code() -> None:
    plan = a_plan()
    lines = told(plan)
    assert lines[0] == "Quernbeck Half Marathon, Sun 6 Dec, own start 07:34–07:38"
    assert lines[1].split(" ", 1)[1] == "lemon gel + mouthful of water"
    assert EMERGENCY_SHORT in lines
    assert lines[-2].startswith(
        f"For Tove Askerby, by Ines Halloway. Only code {plan.code} counts. No medical advice."
    )
    assert sum(bool(re.match(r"\d:\d\d ", line)) for line in lines) == len(plan.race.stops)


def test_a_short_plan_keeps_its_places() -> None:
    plan = a_plan()
    lines = told(
        plan.model_copy(update={"race": plan.race.model_copy(update={"stops": plan.race.stops[:2]})})
    )
    assert lines[1].endswith("lemon gel + mouthful of water, Millrace")


@pytest.mark.parametrize("count", [0, 3, 5, 7, 10, 14, 20])
def test_no_message_is_longer_than_it_may_be_and_none_holds_a_part_of_the_intakes(count: int) -> None:
    plan = with_gels(count, every_m=900.0)
    lines = told(plan)
    assert len("\n".join(lines)) < MOST_LETTERS
    taken = sum("lemon gel" in line for line in lines)
    assert taken == (count if count <= 7 else 0)
    if count and not taken:
        assert (
            lines[1] == "There is more to take than a message holds. Take the card that has the code below."
        )
        assert EMERGENCY_SHORT in lines
    assert f"Only code {plan.code} counts." in "\n".join(lines)


def test_long_names_are_cut_with_a_mark_and_nothing_else_is() -> None:
    case = a_case()
    long = "A" + "b" * 119
    named = case.model_copy(
        update={
            "race": case.race.model_copy(update={"name": long}),
            "athlete": case.athlete.model_copy(update={"name": long}),
            "practitioner": case.practitioner.model_copy(update={"name": long}),
        }
    )
    text = "\n".join(told(a_plan(named)))
    assert len(text) < MOST_LETTERS
    assert text.count("b…") == 3
    assert EMERGENCY_SHORT in text


def test_with_times_struck_places_lead_in_both_texts() -> None:
    plan = a_plan(time_struck=True)
    assert told(plan)[1].startswith("4.6 km lemon gel")
    assert "minute" not in heard(plan).split("Your rules")[0]
    assert "at kilometre 4.6, Millrace: lemon gel" in heard(plan)


def test_what_is_read_out_has_the_stops_in_order_and_no_sign_that_is_read_badly() -> None:
    plan = a_plan()
    text = heard(plan)
    found = re.findall(r"^Number (\d) of 5, after (.*), at kilometre ([\d.]+)", text, re.MULTILINE)
    assert [int(number) for number, _, _ in found] == [1, 2, 3, 4, 5]
    kms = [float(at) for _, _, at in found]
    assert kms == sorted(kms)
    assert "Tollgate: half a cup of sports drink." in text
    assert "3 pieces of orange chews" in text
    assert not re.search(r"[×½¼¾–+]", text)
    assert re.findall(r"\d+:\d\d", text) == ["07:34", "07:38"], "clock times alone have a colon"
    assert plan.race.drinking.sentence in text


def test_a_code_is_read_letter_by_letter() -> None:
    plan = a_plan()
    spelled = re.search(r"counts: (.*)\.", heard(plan))
    assert spelled is not None
    assert spelled[1].replace(", ", "-").replace(" ", "") == plan.code


@pytest.mark.parametrize(
    ("elapsed_s", "said"),
    [
        (60, "1 minute"),
        (1380, "23 minutes"),
        (3600, "1 hour"),
        (4200, "1 hour 10 minutes"),
        (7229, "2 hours"),
    ],
)
def test_times_are_said_as_a_voice_says_them(elapsed_s: float, said: str) -> None:
    assert spoken_time(elapsed_s) == said


def test_a_race_without_intakes_says_so_in_both() -> None:
    plan = a_plan(stops=())
    assert "Nothing to take in this race." in told(plan)
    assert "Nothing to take in this race." in heard(plan)


def test_a_draft_says_so_and_carries_no_code() -> None:
    plan = a_plan()
    for text in ("\n".join(told(plan, draft=True)), heard(plan, draft=True)):
        assert "Draft, not issued" in text
        assert plan.code not in text
        assert "counts:" not in text


def test_with_weights_withheld_no_byte_of_a_text_tells_one() -> None:
    lines = some_lines(a_case())
    plain = tuple(line for line in lines["loading"] if not WEIGHTS.search(line.says))
    files = pack_files(cleared(a_plan(withheld=("grams",), loading=plain)), pieces=("text",))
    assert {file.name for file in files} == {"message.txt", "read-out.txt"}
    for file in files:
        assert not WEIGHTS.search(file.data.decode("utf-8"))


def test_a_weight_in_the_name_of_an_item_stops_the_writing() -> None:
    case = a_case()
    take = a_take("gel", case).model_copy(update={"name": "gel 40 g"})
    plan = a_plan(case, stops=(a_stop(4600.0, take, case=case),))
    for write in (message, read_out):
        with pytest.raises(CannotWork, match="40 g"):
            write(plan)


def test_the_same_plan_gives_the_same_bytes_and_a_station_of_another_course_changes_them() -> None:
    assert message(a_plan()) == message(a_plan())
    assert read_out(a_plan()) == read_out(a_plan())
    other = a_plan(a_case(course=a_course(stations=(("Elsewhere", 4600.0),))))
    assert message(other) != message(a_plan()), "another case has another code"
