"""What lies between two plans: causes as typed, what moved with its reasons, and what must not be told."""

from __future__ import annotations

import re
import tomllib
from datetime import date, timedelta
from functools import cache
from typing import Any

import pytest
from plans import a_case, a_plan, a_stop, a_take
from starter_case import SRC

from provand.case.case import Override, Pocket, Stock
from provand.case.course import Served
from provand.case.door import case_of, in_folder, read_health
from provand.finding import BadInput
from provand.pack.voice import no_weights
from provand.plan.causes import causes_between, paths_of
from provand.plan.difference import HELD, Difference, difference
from provand.plan.document import Plan, ProtocolUse, read_plan
from provand.plan.draw_up import draw_up
from provand.record import canonical
from provand.safety.screening import Screening, screen

DAY = date(2026, 11, 25)
DEMOS = ("warm-hills", "club-runner", "first-timer", "treated-pressure")


@cache
def drawn(*edits: tuple[str, str], demo: str = "warm-hills", withheld: tuple[str, ...] = ()) -> Plan:
    """Return the plan of an invented demo case, its text edited and further parts withheld."""
    folder = SRC / "demo" / demo
    text = (folder / "case.toml").read_text("utf-8")
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new, 1)
    case = case_of(tomllib.loads(text), beside=in_folder(folder), as_of=DAY)
    screening, _ = screen(case, read_health(folder / "case.toml", of=case), as_of=DAY)
    return draw_up(case, with_less(screening, *withheld), as_of=DAY)


def with_less(screening: Screening, *parts: Any) -> Screening:
    return screening.model_copy(update={"withheld": (*screening.withheld, *parts)})


WARMER = ('"17 to 22 C, likely 20 C"', '"24 to 28 C"')
LATER = ("gun = 2026-12-06T06:30:00", "gun = 2026-12-06T08:00:00")
FASTER = ('goal = "1:52"', 'goal = "1:49"')
BANNED = ("[wishes]", '[wishes]\nbanned = ["gel-25-caffeine"]')


def told(found: Difference) -> str:
    return "\n".join(found.for_practitioner())


def all_words(found: Difference) -> str:
    return canonical(found).decode() + "\n".join((*found.lines(), *found.for_holder()))


# The same plan.


@pytest.mark.parametrize("demo", DEMOS)
def test_a_plan_read_back_is_the_same_plan_with_the_same_code(demo: str) -> None:
    plan = drawn(demo=demo)
    again = read_plan(canonical(plan), "plan.json")
    assert again == plan
    assert again.code == plan.code
    assert difference(plan, again).is_empty


def test_nothing_between_a_plan_and_itself_and_it_says_so() -> None:
    found = difference(a_plan(), a_plan())
    assert found.is_empty
    assert found.lines() == ("Nothing changed: it is the same plan.",)
    assert found.for_holder() == ("Nothing changes for you.",)


def test_where_nothing_that_is_shown_differs_it_does_not_claim_the_same_plan() -> None:
    plan = a_plan()
    other = plan.model_copy(update={"race": plan.race.model_copy(update={"closed_from_m": 18_701.0})})
    assert difference(plan, other).lines() == (
        "Nothing that is shown has changed, though the two are not the same to the byte.",
    )


# Causes.


def test_a_cause_is_told_as_typed() -> None:
    found = difference(drawn(), drawn(WARMER))
    assert [cause.says for cause in found.causes] == [
        "air temperature: 17 to 22 C, likely 20 C -> 24 to 28 C."
    ]


def test_a_number_typed_in_another_unit_is_told_though_it_moves_nothing() -> None:
    found = difference(drawn(), drawn(('wind = "2 to 5 m/s"', 'wind = "7.2 to 18 km/h"')))
    assert [cause.says for cause in found.causes] == ["wind as forecast: 2 to 5 m/s -> 7.2 to 18 km/h."]
    assert found.effects == ()


def test_what_stands_on_one_side_alone_is_told_as_there_or_taken_out() -> None:
    case = a_case()
    course = case.course.model_copy(update={"stations": case.course.stations[:-1]})
    fewer = a_case(course=course)
    out = causes_between(a_plan(case), a_plan(fewer), ())
    back = causes_between(a_plan(fewer), a_plan(case), ())
    assert [cause.says for cause in out] == ["station Ferry Lane: 17,300 m, water, 200 ml -> taken out."]
    assert [cause.says for cause in back] == ["station Ferry Lane: not there -> 17,300 m, water, 200 ml."]


def test_what_is_new_is_told_once_with_all_that_is_in_it() -> None:
    case = a_case()
    athlete = case.athlete.model_copy(update={"pockets": (Pocket(name="belt", room_ml=120.0),)})
    found = causes_between(a_plan(case), a_plan(a_case(athlete=athlete)), ())
    assert [cause.says for cause in found] == ["pocket belt: not there -> 120 ml, athlete."]


def test_of_two_servings_of_one_item_the_one_that_changed_is_told() -> None:
    case = a_case()
    first, *others = case.course.stations
    cups = (Served(item="water", cup_ml=150.0), Served(item="water", cup_ml=200.0))
    plans = []
    for serves in (cups, (cups[0], Served(item="water", cup_ml=250.0)), (Served(cup_ml=180.0), cups[1])):
        stations = (first.model_copy(update={"serves": serves}), *others)
        plans.append(a_plan(a_case(course=case.course.model_copy(update={"stations": stations}))))
    told = [[cause.says for cause in causes_between(plans[0], plan, ())] for plan in plans]
    assert told[0] == []
    assert told[1] == ["station Millrace, serving water, size of the cup: 200 ml -> 250 ml."]
    assert told[2] == ["station Millrace, serving water, size of the cup: 150 ml -> 180 ml."]


def test_an_item_of_which_a_pack_is_lost_is_the_reason_that_one_is_taken_out() -> None:
    case = a_case()
    gel = a_take("gel", case)
    athlete = case.athlete.model_copy(update={"stock": (Stock(item="gel", packs_count=1),)})
    old = a_plan(case, stops=tuple(a_stop(m, gel, case=case) for m in (4600.0, 9100.0)))
    found = difference(old, a_plan(a_case(athlete=athlete), stops=(a_stop(4600.0, gel, case=case),)))
    assert "Lemon gel 2 at km 9.1" in told(found)
    assert [e.reasons for e in found.effects if e.kind == "intake"] == [("athlete.stock.gel",)]
    assert "Reason" not in found.for_holder()[0]


def test_another_edition_of_a_protocol_is_a_cause() -> None:
    use = ProtocolUse(id="position-stands", title="Position stands", edition="2027", code="XXXX-XXXX")
    found = difference(a_plan(), a_plan(protocols=(use,)))
    assert found.causes[0].says == (
        "protocol position-stands: edition 2026, P36Z-SYW4 -> edition 2027, XXXX-XXXX."
    )


def test_screening_is_a_cause_in_neutral_words_alone() -> None:
    found = difference(a_plan(), a_plan(withheld=("sodium",)))
    assert [cause.says for cause in found.causes] == ["What safety asks of the plan has changed."]
    assert "The new plan says nothing about salt." in found.lines()


def test_every_given_figure_leads_to_a_path_of_the_case() -> None:
    plans = [drawn(demo=demo) for demo in DEMOS]
    for plan in plans:
        lost = [figure.id for figure in plan.figures if figure.how == "given" and not paths_of(figure, plan)]
        assert not lost


# What the athlete does differently.


def test_a_gel_that_moves_is_told_with_number_places_and_times() -> None:
    lines = difference(drawn(), drawn(FASTER)).lines()
    assert lines[0] == "Given differently: goal time: 1:52 -> 1:49."
    assert lines[1] == "Hill gel 1 moved from km 4.8 (0:25) to km 4.4 (0:22). Reason: goal time."


def test_where_a_place_stays_and_its_time_does_not_the_times_are_told_in_one_line() -> None:
    found = difference(drawn(), drawn(FASTER))
    assert [e.says for e in found.effects if e.kind == "times"] == [
        "The places stay, the times change: km 14.6 1:17 -> 1:14."
    ]


def test_an_item_banned_is_taken_out_and_the_ban_is_the_reason() -> None:
    lines = difference(drawn(), drawn(BANNED)).for_holder()
    out = next(line for line in lines if "taken out" in line)
    assert out == "Caffeine gel at Tollgate, km 14.6 (1:17) is taken out. Reason: items left out by hand."


def test_an_effect_without_a_traced_cause_gives_no_reason() -> None:
    found = difference(drawn(), drawn(BANNED))
    planned = next(e for e in found.effects if e.about == "race.carb_g_per_race")
    assert planned.before != planned.after
    assert planned.reasons == ()
    assert "Reason" not in next(line for line in found.lines() if line.startswith("carbohydrate planned:"))


def schedules(old: tuple[Any, ...], new: tuple[Any, ...], **changes: Any) -> Difference:
    return difference(a_plan(stops=old), a_plan(stops=new, **changes))


def test_half_instead_of_a_whole_one_is_told() -> None:
    case = a_case()
    whole, half = a_take("gel", case), a_take("gel", case, portion=0.5)
    found = schedules((a_stop(4600.0, whole, case=case),), (a_stop(4600.0, half, case=case),))
    assert "Lemon gel at km 4.6 (0:22): half instead of a whole one." in told(found)


def test_one_item_instead_of_another_at_a_place_is_one_line() -> None:
    case = a_case()
    gel, chews = a_take("gel", case), a_take("chews", case)
    found = schedules((a_stop(4600.0, gel, case=case),), (a_stop(4600.0, chews, case=case),))
    assert [e.says for e in found.effects if e.kind == "intake"] == [
        "At km 4.6 (0:22): orange chews instead of lemon gel."
    ]


def test_intakes_are_paired_with_the_nearest_of_their_kind() -> None:
    case = a_case()
    gel = a_take("gel", case)
    at = {m: a_stop(m, gel, case=case) for m in (3000.0, 8000.0, 8400.0, 15_000.0)}
    found = schedules((at[3000.0], at[8000.0]), (at[3000.0], at[8400.0], at[15_000.0]))
    says = [e.says for e in found.effects if e.kind == "intake"]
    assert [re.sub(r" \(.*?\)", "", line) for line in says] == [
        "Lemon gel 2 moved from km 8.0 to km 8.4.",
        "Lemon gel 3 is added at km 15.0.",
    ]


def test_a_struck_goal_time_leads_and_no_time_stands_beside_it() -> None:
    for old, new in ((drawn(), drawn(LATER)), (drawn(LATER), drawn())):
        found = difference(old, new)
        assert found.effects[0].kind == "goal time"
        assert found.effects[0].reasons == ("race.gun",)
        moves = [e.says for e in found.effects if e.kind == "intake"]
        assert moves
        assert not [line for line in moves if re.search(r"\d:\d\d", line)]


def test_a_later_gun_moves_the_clock_of_morning_and_loading() -> None:
    lines = difference(drawn(), drawn(LATER)).for_holder()
    assert "Breakfast: 03:30 -> 05:00. Reason: the gun." in lines
    assert "24 hours of carbohydrate: 2026-12-04 06:30 -> 2026-12-04 08:00. Reason: the gun." in lines


def test_the_drinking_line_is_told_new_and_old() -> None:
    plan = a_plan()
    line = plan.race.drinking.model_copy(update={"sentence": "Thirsty? Drink: a cup of water."})
    found = difference(plan, a_plan(race=plan.race.model_copy(update={"drinking": line})))
    assert 'now reads: "Thirsty? Drink: a cup of water." Before: "Thirsty? Drink: half a cup' in told(found)


def test_what_the_athlete_does_comes_before_figures_and_small_figures_are_counted() -> None:
    found = difference(drawn(), drawn(FASTER))
    kinds = [effect.kind for effect in found.effects]
    assert kinds == sorted(kinds, key=lambda kind: (kind not in HELD, kind == "figure"))
    small = [effect for effect in found.effects if effect.small]
    assert found.lines()[-1] == f"And {len(small)} more figures moved."
    assert not [e for e in small if any(e.says in line for line in found.lines())]


# What must not be told.


@pytest.mark.parametrize("turned", [False, True], ids=["newly withheld", "no longer withheld"])
@pytest.mark.parametrize(
    ("part", "words"),
    [
        ("caffeine", r"caffein|coffee|\b(?:75|80) ?mg"),
        ("fluid", r"\d ?ml|cup|mouthful|sweat|water"),
        ("sodium", r"sodium|\d ?mg\b.*sodium"),
        ("loading", r"load\.|635|24 hours of carbohydrate"),
    ],
)
def test_a_part_withheld_on_one_side_is_told_of_neither(part: str, words: str, turned: bool) -> None:
    plans = [drawn(WARMER), drawn(withheld=(part,))]
    found = difference(*reversed(plans)) if turned else difference(*plans)
    says = "says nothing about" if not turned else "speaks of"
    stated = [line for line in found.lines() if line.startswith("The new plan ")]
    assert len(stated) == 1
    assert says in stated[0]
    rest = all_words(found).replace(stated[0], "").replace(f"withheld.{part}", "")
    assert not re.search(words, rest, re.IGNORECASE)


def test_the_item_that_a_withheld_part_takes_out_is_still_told_by_its_kind() -> None:
    found = difference(drawn(), drawn(withheld=("caffeine",)))
    assert "The gel at Tollgate, km 14.6 (1:17) is taken out." in told(found)


@pytest.mark.parametrize("other", [WARMER, LATER, FASTER, BANNED], ids=["warmer", "later", "faster", "ban"])
def test_whoever_counts_in_portions_reads_no_weight(other: tuple[str, str]) -> None:
    plans = [drawn(), drawn(other, withheld=("grams",))]
    for old, new in (plans, plans[::-1]):
        found = difference(old, new)
        lines = found.for_holder()
        assert len(lines) > 1
        no_weights(lines, "difference")
        assert not [line for line in lines if "%" in line or "weight" in line.lower()]
        with pytest.raises(Exception, match="weight"):
            no_weights(found.for_practitioner(), "difference")


def test_what_is_the_athletes_own_is_no_reason_for_others_to_read() -> None:
    case = a_case()
    heavier = a_case(athlete=case.athlete.model_copy(update={"body_mass_kg": 70.0}))
    override = Override(what="race.target_carb_g_per_h", value="40 g/h", by="Ines", on=DAY, why="SECRET")
    named = a_case(wishes=case.wishes.model_copy(update={"overrides": (override,)}))
    for other in (heavier, named):
        found = difference(a_plan(case), a_plan(other))
        assert all(cause.own for cause in found.causes)
        assert "body mass" not in "".join(found.for_holder())
        assert "SECRET" not in all_words(found)


# Who and what may be compared.


def test_plans_of_two_athletes_or_two_races_are_refused() -> None:
    case = a_case()
    athlete = case.athlete.model_copy(update={"name": "Somebody Else", "born": date(1980, 1, 1)})
    race = case.race.model_copy(update={"name": "Elsewhere 10", "gun": case.race.gun + timedelta(days=7)})
    for other, code in (
        (a_case(athlete=athlete), "plan.two_athletes"),
        (a_case(race=race), "plan.two_races"),
    ):
        with pytest.raises(BadInput) as refused:
            difference(a_plan(case), a_plan(other))
        assert [finding.code for finding in refused.value.findings] == [code]


def test_a_name_put_right_is_no_other_athlete() -> None:
    case = a_case()
    renamed = a_case(athlete=case.athlete.model_copy(update={"name": "Tove Askerbye"}))
    found = difference(a_plan(case), a_plan(renamed))
    assert found.causes[0].before == "Tove Askerby"


@pytest.mark.parametrize("data", [b"", b"{}", b"[1]", b"\xff", b'{"format": "provand.plan/9"}'], ids=str)
def test_what_is_no_plan_file_is_refused_with_its_place(data: bytes) -> None:
    with pytest.raises(BadInput) as refused:
        read_plan(data, "old.json")
    assert [finding.code for finding in refused.value.findings] == ["plan.no_plan_file"]
    assert "old.json" in str(refused.value)


def test_a_plan_file_with_a_remark_that_is_not_known_is_refused() -> None:
    text = canonical(drawn()).decode()
    for spoilt in (text.replace("plan.stores_low", "plan.no_such"), text.replace('"km":14', '"kn":14')):
        assert spoilt != text
        with pytest.raises(BadInput):
            read_plan(spoilt.encode(), "old.json")
