"""The one alert that a watch repeats: near enough with its error told, or none; never for what is drunk."""

from __future__ import annotations

import pytest
from plans import a_case, a_plan, a_stop, a_take, cleared, some_lines

from provand.finding import CannotWork
from provand.pack.message import MOST_LETTERS, message
from provand.pack.pieces import HELD, Making, sheets_of
from provand.pack.voice import FLUID
from provand.pack.watch import MAX_ERROR_S, alert_of, has_alert, watch_card
from provand.pack.write import pack_files
from provand.plan.document import Plan, Stop
from provand.plan.withheld import WEIGHTS

EVEN_M = (4000.0, 8300.0, 12_100.0, 16_000.0)


def gels_at(*places_m: float, item: str = "gel", name: str = "") -> Plan:
    case = a_case()
    gel = a_take(item, case)
    gel = gel.model_copy(update={"name": name}) if name else gel
    sip = a_take("water", case, amount="mouthful", got_from="station")
    stops = tuple(
        a_stop(at_m, gel, sip, case=case, station="Millrace", had=n) for n, at_m in enumerate(places_m)
    )
    return a_plan(case, stops=stops)


def card(plan: Plan) -> list[str]:
    return watch_card(plan).decode("utf-8").splitlines()


def test_the_error_told_is_the_worst_over_all_its_rings() -> None:
    alert = alert_of(gels_at(*EVEN_M))
    assert alert is not None
    apart_s = [stop.goal_s - ring_s for stop, ring_s in zip(alert.stops, alert.rings_s, strict=True)]
    assert alert.early_s == max(0.0, *apart_s)
    assert alert.late_s == max(0.0, *(-one for one in apart_s))
    ends_s = [
        max(abs(stop.early_s - ring_s), abs(stop.slow_s - ring_s))
        for stop, ring_s in zip(alert.stops, alert.rings_s, strict=True)
    ]
    assert alert.off_s == pytest.approx(max(ends_s))
    assert 0 < max(alert.early_s, alert.late_s) <= MAX_ERROR_S


def test_no_other_whole_minutes_come_nearer() -> None:
    alert = alert_of(gels_at(*EVEN_M))
    assert alert is not None
    goals_s = [stop.goal_s for stop in alert.stops]
    worst_s = min(
        max(abs(goal_s - 60 * (first + n * every)) for n, goal_s in enumerate(goals_s))
        for first in range(1, 120)
        for every in range(1, 120)
    )
    assert max(alert.early_s, alert.late_s) == pytest.approx(worst_s)


def test_the_card_tells_rings_error_and_end() -> None:
    plan = gels_at(*EVEN_M)
    alert = alert_of(plan)
    assert alert is not None
    lines = card(plan)
    assert f"First ring: {alert.first_min} min after your own start." in lines
    assert f"Then every {alert.every_min} min." in lines
    assert sum(line.startswith("Ring ") for line in lines) == 4
    assert any("at worst" in line for line in lines)
    assert any(line.startswith("Rings in all: 4. Switch it off after the last one") for line in lines)
    assert f"Only the copy with the code {plan.code} counts." in lines
    assert any("Made for Tove Askerby by Ines Halloway" in line for line in lines)


def test_where_no_interval_comes_near_there_is_none_and_no_file() -> None:
    plan = gels_at(3000.0, 5000.0, 16_000.0)
    assert alert_of(plan) is None
    assert "watch.txt" not in {sheet.name for sheet in sheets_of(Making(plan), HELD)}
    assert "Watch:" not in message(plan).decode("utf-8")


@pytest.mark.parametrize("places_m", [(), (9100.0,)])
def test_one_place_alone_is_no_rhythm(places_m: tuple[float, ...]) -> None:
    assert alert_of(gels_at(*places_m)) is None


def test_where_times_are_struck_nothing_rings() -> None:
    plan = gels_at(*EVEN_M)
    assert has_alert(plan)
    assert not has_alert(plan.model_copy(update={"time_struck": True}))


def test_what_holds_caffeine_has_no_ring() -> None:
    assert alert_of(gels_at(*EVEN_M, item="gel-caffeine")) is None
    case = a_case()
    gel, strong = a_take("gel", case), a_take("gel-caffeine", case)
    stops = tuple(
        a_stop(at_m, take, case=case) for at_m, take in zip(EVEN_M, (gel, gel, gel, strong), strict=True)
    )
    plan = a_plan(case, stops=stops)
    alert = alert_of(plan)
    assert alert is not None
    assert len(alert.stops) == 3
    rings = [line for line in card(plan) if line.startswith("Ring ")]
    assert not any("caffeine" in line for line in rings)
    assert "What holds caffeine has no ring. It is on the strip." in card(plan)


def test_nothing_that_is_drunk_or_spat_out_has_a_ring() -> None:
    case = a_case()
    cup = a_take("sports-drink", case, amount="half", got_from="station")
    rinse = a_take("sports-drink", case, amount="rinse", got_from="station")
    for take in (cup, rinse):
        stops = tuple(a_stop(at_m, take, case=case, station="Millrace") for at_m in EVEN_M)
        assert alert_of(a_plan(case, stops=stops)) is None


@pytest.mark.parametrize("name", ["", "cola gel", "gel in a glass"])
def test_no_line_of_the_alert_names_fluid(name: str) -> None:
    lines = card(gels_at(*EVEN_M, name=name))
    told = lines[: next(n for n, line in enumerate(lines) if line.startswith("Made for"))]
    assert not FLUID.search(" ".join(told))
    (in_message,) = (
        line
        for line in message(gels_at(*EVEN_M[:2])).decode("utf-8").splitlines()
        if line.startswith("Watch:")
    )
    assert not FLUID.search(in_message)


def test_no_ring_comes_after_the_place_from_which_nothing_is_eaten() -> None:
    plan = gels_at(*EVEN_M)
    alert = alert_of(plan)
    assert alert is not None
    closed = plan.model_copy(update={"race": plan.race.model_copy(update={"closed_from_m": 15_900.0})})
    assert alert_of(closed) is None


def test_the_message_gives_the_alert_up_before_the_places() -> None:
    roomy, full = gels_at(*EVEN_M[:2]), gels_at(*EVEN_M, name="lemon gel of a long name, half sweet")
    assert "Watch:" in message(roomy).decode("utf-8")
    text = message(full).decode("utf-8")
    assert "Watch:" not in text
    assert len(text) <= MOST_LETTERS


def test_with_weights_withheld_no_byte_tells_one_and_one_in_a_name_stops_the_writing() -> None:
    plain = tuple(line for line in some_lines(a_case())["loading"] if not WEIGHTS.search(line.says))
    plan = gels_at(*EVEN_M).model_copy(
        update={"withheld": ("grams",), "loading": plain, "basis": "what Tove Askerby told us"}
    )
    (file,) = pack_files(cleared(plan), pieces=("watch",))
    assert not WEIGHTS.search(file.data.decode("utf-8"))
    with pytest.raises(CannotWork, match="40 g"):
        watch_card(gels_at(*EVEN_M, name="gel 40 g"))


def test_a_draft_says_so_and_carries_no_code_and_bytes_repeat() -> None:
    plan = gels_at(*EVEN_M)
    draft = watch_card(plan, draft=True).decode("utf-8")
    assert "Draft, not issued" in draft
    assert plan.code not in draft
    assert watch_card(plan) == watch_card(gels_at(*EVEN_M))


def test_stops_are_those_of_the_plan() -> None:
    plan = gels_at(*EVEN_M)
    alert = alert_of(plan)
    assert alert is not None
    kept: tuple[Stop, ...] = alert.stops
    assert kept == plan.race.stops
