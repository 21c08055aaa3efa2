"""A delayed start and lost items: what was taken counts everywhere, and is never planned again."""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import partial
from typing import Any

import pytest
import tomlkit
from changing import SCHEDULE, change, read, refused
from starter_case import SRC, STARTER_TEXT, TODAY

from provand.case.case import Case
from provand.case.change import change_of
from provand.case.door import in_folder, read_health
from provand.finding import Level
from provand.larder.shelf import shelf
from provand.plan.changing import Next, next_of
from provand.safety.screening import screen
from provand.safety.taken import earlier_caffeine, fluid_before_ml, glucose_waiting_g

RATED = '[[athlete.rehearsed]]\nitem = "gel-25-caffeine"'
ANSWERED: dict[str, Any] = {"eaten": ["nothing"], "caffeine": "none"}


def follow(text: str, kind: str, **fields: Any) -> Next:
    health = read_health(SRC / "case" / "starter.toml")
    return next_of(
        change_of({"kind": kind, **fields}),
        tomlkit.parse(text),
        partial(screen, health=health, as_of=TODAY),
        beside=in_folder(SRC / "case"),
        as_of=TODAY,
    )


def test_a_delay_shifts_the_gun_and_leaves_clock_windows_and_elapsed_times() -> None:
    window = '[[race.forbidden]]\nstart = 2026-12-06T06:00:00\nend = 2026-12-06T07:10:00\nwhy = "a fast"\n'
    before = STARTER_TEXT.replace("\n[course] ", f"\n{window}\n[course] ")
    case, sentence, text = change("delay", delay="40 min", text=before, **ANSWERED)
    assert sentence == "The start is 40 min later: the gun is at 09:40. Taken before it: nothing."
    assert case.race.gun == datetime(2026, 12, 6, 9, 40, tzinfo=UTC)
    assert case.race.own_offset_s == read(tomlkit.parse(before)).race.own_offset_s
    assert case.race.forbidden[0].end == datetime(2026, 12, 6, 7, 10, tzinfo=UTC)
    assert case.wishes.anchor == SCHEDULE
    assert "gun = 2026-12-06T09:40:00 " in text
    again, _, _ = change("delay", delay="20 min", text=text, **ANSWERED)
    assert again.race.gun == datetime(2026, 12, 6, 10, 0, tzinfo=UTC)
    assert again.race.delay_s == 3600


def test_a_delay_over_the_change_of_clocks_is_true_time() -> None:
    night = STARTER_TEXT.replace("2026-12-06T09:00:00", "2026-10-25T00:30:00")
    night = night.replace("Europe/Dublin", "Europe/Berlin").replace("on = 2026-09-06", "on = 2026-08-06")
    night = night.replace("2026-11-24", "2026-10-09").replace("2026-11-15", "2026-10-01")
    night = night.replace("2026-10-10", "2026-10-01").replace("seen_on = 2026-11-01", "seen_on = 2026-10-01")
    early, day = read(tomlkit.parse(night), as_of=date(2026, 10, 10)), date(2026, 10, 10)
    from changing import apply  # noqa: PLC0415

    delay = change_of({"kind": "delay", "delay": "2:00:00", **ANSWERED})
    late = read(apply(delay, tomlkit.parse(night), early).typed, as_of=day)
    assert (late.race.gun - early.race.gun).total_seconds() == 7200


def taken(**fields: Any) -> Case:
    answers = {"eaten": ["2 gel-25-caffeine"], "caffeine": "80 mg", **fields}
    return change("delay", delay="60 min", **answers)[0]


def test_what_was_taken_counts_in_caffeine_fluid_glucose_and_stock() -> None:
    case = taken()
    gel = next(item for item in shelf() if item.id == "gel-25-caffeine").holds
    assert gel.caffeine_mg is not None
    assert sum(dose.caffeine_mg for dose in earlier_caffeine(case)) == 80 + 2 * gel.caffeine_mg.high
    assert all(dose.elapsed_s == 0 for dose in earlier_caffeine(case))
    assert fluid_before_ml(case) > 0
    assert glucose_waiting_g(case, rate_g_per_h=60) > 0
    assert case.athlete.breakfast_caffeine_mg == 0
    assert case.athlete.stock == ()
    eaten = taken(eaten=["gel-25"]).athlete.stock
    assert [(one.item, one.packs_count) for one in eaten] == [("gel-25", 1)]
    assert taken(eaten=["gel-25"], spare=True).athlete.stock == ()


def test_a_time_takes_it_out_of_the_fluid_since_the_toilet_and_lets_glucose_leave() -> None:
    case = taken(at="09:05")
    assert fluid_before_ml(case) == 0
    assert {dose.elapsed_s for dose in earlier_caffeine(case)} == {-3420.0}
    assert glucose_waiting_g(case, rate_g_per_h=60) < glucose_waiting_g(taken(), rate_g_per_h=60)


def test_the_usual_coffee_is_not_counted_twice() -> None:
    half = taken(eaten=["nothing"], caffeine="30 mg")
    assert sum(dose.caffeine_mg for dose in earlier_caffeine(half)) == 80
    more = taken(eaten=["nothing"], caffeine="130 mg")
    assert sum(dose.caffeine_mg for dose in earlier_caffeine(more)) == 130


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"delay": "40 min"}, "a delay asks first what was eaten"),
        ({"delay": "40 min", "eaten": ["nothing"]}, "a delay asks first what was eaten"),
        ({"delay": "40 min", "caffeine": "none"}, "a delay asks first what was eaten"),
        ({"delay": "-40 min", **ANSWERED}, "outside what is allowed"),
        ({"delay": "0 min", **ANSWERED}, "outside what is allowed"),
        ({"delay": "40", **ANSWERED}, "more than one reading"),
        ({"delay": "40 kg", **ANSWERED}, "cannot be read in s"),
        ({"delay": "NaN min", **ANSWERED}, "cannot be read in s"),
        ({"delay": "40 min", "eaten": ["gel-52"], "caffeine": "none"}, "Did you mean 'gel-25'?"),
        ({"delay": "40 min", "eaten": ["-1 gel-25"], "caffeine": "none"}, "outside what is allowed"),
        ({"delay": "40 min", "eaten": ["nothing"], "caffeine": "80"}, "80 mg or 80 g"),
        ({"delay": "40 min", "eaten": ["nothing"], "caffeine": "80 ml"}, "cannot be read in mg"),
        ({"delay": "40 min", **ANSWERED, "at": "quarter past"}, "is no clock time"),
        ({"delay": "40 min", "eaten": ["gel-25"], "caffeine": "none", "at": "11:00"}, "after the own start"),
    ],
    ids=str,
)
def test_a_delay_without_answer_or_sense_is_refused(fields: dict[str, Any], says: str) -> None:
    assert says in refused("delay", **fields)


def test_a_lost_gel_is_not_carried_any_more() -> None:
    case, sentence, text = change("missing", item="gel-25")
    assert sentence == "1 of gel (gel-25) is lost, 1 left."
    assert [(one.item, one.packs_count) for one in case.athlete.stock] == [("gel-25", 1)]
    case, sentence, _ = change("missing", item="gel-25", text=text)
    assert case.athlete.stock[0].packs_count == 0
    assert "only 2 of gel (gel-25)" in refused("missing", item="gel-25", packs="3")
    assert "Carried: gel-25." in refused("missing", item="gel-40")
    assert "Did you mean 'gel-25'?" in refused("missing", item="gel-52")
    assert "athlete.stock: '0'" in refused("missing", item="gel-25", packs="0")


@pytest.fixture(scope="module")
def lost() -> Next:
    made = follow(STARTER_TEXT, "ban", item="cola")
    assert made.after is not None
    first = next(one.item for one in made.after.race.intakes if one.got_from == "pocket")
    return follow(STARTER_TEXT, "missing", item=first)


def test_of_a_schedule_with_one_gel_lost_one_line_changes(lost: Next) -> None:
    assert lost.before is not None
    assert lost.after is not None
    item = lost.case.athlete.stock[0]
    before, after = (
        {one.at_m for one in plan.race.intakes if one.item == item.item} for plan in (lost.before, lost.after)
    )
    assert after < before
    assert len(after) == item.packs_count == len(before) - 1
    assert "planner.at_hand" in {finding.code for finding in lost.after.findings}


def test_a_delay_keeps_breakfast_and_offers_a_snack_that_is_not_carried() -> None:
    made = follow(STARTER_TEXT, "delay", delay="60 min", eaten=["gel-25"], caffeine="80 mg", at="08:40")
    assert made.before is not None
    assert made.after is not None

    def morning(plan: Any) -> dict[str, Any]:
        return {line.title: line.at for line in plan.morning}

    was, now = morning(made.before), morning(made.after)
    assert now["Breakfast"] == was["Breakfast"]
    assert (now["Last toilet"] - was["Last toilet"]).total_seconds() == 3600
    assert now["While you wait"] >= was["Last toilet"]
    assert [line.at for line in made.before.loading] == [line.at for line in made.after.loading]
    figure = made.after.figure("caffeine.morning_mg")
    assert figure is not None
    assert figure.value.mid == 80


def test_too_much_taken_since_the_toilet_is_told_and_changes_nothing() -> None:
    drink = ["8 sports-drink"]
    with pytest.raises(Exception, match="Say when it was taken"):
        follow(STARTER_TEXT, "delay", delay="60 min", eaten=drink, caffeine="none")
    made = follow(STARTER_TEXT, "delay", delay="60 min", eaten=drink, caffeine="none", at="08:30")
    assert made.after is not None


@pytest.mark.parametrize(("at", "told"), [("08:30", False), ("09:05", True)])
def test_what_was_drunk_in_the_wait_is_told_where_a_second_toilet_takes_it_out_of_the_count(
    at: str, told: bool
) -> None:
    """The first start is at 09:02, its toilet at 08:37; the start is put off to 10:02."""
    made = follow(STARTER_TEXT, "delay", delay="60 min", eaten=["2 sports-drink"], caffeine="none", at=at)
    assert made.after is not None
    warned = [finding.line() for finding in made.after.findings if finding.code == "plan.toilet_again"]
    assert bool(warned) is told
    assert all("25 min before the new start" in line for line in warned)
    typed = tomlkit.dumps(made.typed).replace('last_toilet = "25 min"', 'last_toilet = "85 min"')
    assert (fluid_before_ml(read(tomlkit.parse(typed))) > 0) is told


def test_caffeine_taken_leaves_less_for_the_race() -> None:
    head, wishes = STARTER_TEXT.split("[wishes]")
    head = head.replace('[[athlete.rehearsed]]\nitem = "sports-drink"', RATED)
    wish = f"{head}[wishes]{wishes.replace('0 mg', '75 mg', 1)}"
    calm = follow(wish, "delay", delay="60 min", **ANSWERED)
    full = follow(wish, "delay", delay="60 min", eaten=["nothing"], caffeine="190 mg")
    assert calm.after is not None
    assert full.after is not None

    def caffeine_mg(plan: Any) -> float:
        figure = plan.figure("race.caffeine_mg_per_race")
        return float(figure.value.mid) if figure else 0.0

    assert caffeine_mg(calm.after) > 0
    assert caffeine_mg(full.after) == 0
    assert not [finding for finding in full.after.findings if finding.level is Level.BREACH]
