"""A crew as a source: planned from where it stands and may help, never from elsewhere; and its sheet."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
from paper import pages, said
from stands import standing
from starter_case import STARTER_TEXT, TODAY

from provand.case.change import CrewCannotReach, Move, Pin, apply, change_of
from provand.case.crew import Crew, CrewPoint
from provand.case.scene import Scene
from provand.finding import BadInput
from provand.pack.crew import crew_data, crew_sheet
from provand.plan.document import Plan
from provand.plan.standing import Standing
from provand.workspace.change_forms import OF_A_CREW, what_happened

CREW = """
[[crew.points]]
name = "Weir"
at = "3 km"
way = "on foot; no parking"
allowed = true

[[crew.points]]
name = "Bridge end"
at = "10.02 km"
hands = ["gel-25", "house-gel"]
allowed = true
"""


@cache
def stands(changes: tuple[tuple[str, str], ...] = (), withheld: tuple[str, ...] = ()) -> Standing:
    text = STARTER_TEXT.replace("[weather] ", f"{CREW}\n[weather] ", 1)
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return standing(text=text, withheld=withheld)


def from_crew(plan: Plan) -> list[tuple[float, str]]:
    return [(s.at_m, t.item) for s in plan.race.stops for t in s.takes if t.got_from == "crew"]


def point(plan: Plan, name: str) -> dict[str, Any]:
    return next(one for one in crew_data(plan, "a4")["points"] if one["name"] == name)


def test_what_a_crew_may_hand_over_comes_from_it_where_it_stands_and_from_pockets_elsewhere() -> None:
    plan = stands().plan
    assert from_crew(plan) == [(10_000.0, "gel-25")], "at the station beside the crew, rehearsed items alone"
    pockets = [
        s.at_m for s in plan.race.stops for t in s.takes if (t.item, t.got_from) == ("gel-25", "pocket")
    ]
    assert pockets == [5000.0, 15_000.0]


@pytest.mark.parametrize("allowed", ["allowed = false", "", "allowed = true\nout_of_reach = true"])
def test_where_help_is_not_known_to_be_allowed_or_nobody_gets_there_nothing_is_planned(allowed: str) -> None:
    changed = stands((('"house-gel"]\nallowed = true', f'"house-gel"]\n{allowed}'),))
    assert from_crew(changed.plan) == []
    assert crew_data(changed.plan, "a4")["bring"] == ""
    assert point(changed.plan, "Bridge end")["hand"] == []
    assert (
        "cheer" in point(changed.plan, "Bridge end")["note"]
        or "Nobody gets there" in str(allowed)
        or ("Nobody gets there" in point(changed.plan, "Bridge end")["note"])
    )


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("refused = []", 'refused = ["gel-25"]'),
        ("excluded = []", 'excluded = ["maltodextrin"]'),
        ("allergens = []", 'allergens = ["fructose"]'),
    ],
)
def test_what_the_athlete_must_not_have_is_not_handed_over_whatever_the_case_says(old: str, new: str) -> None:
    plan = stands(((old, new),)).plan
    assert from_crew(plan) == []
    assert point(plan, "Bridge end")["hand"] == []


def test_a_place_that_the_crew_cannot_reach_hands_over_nothing_and_nothing_is_doubled() -> None:
    before = stands()
    tried = before.solved(CrewCannotReach(point="bridge END"))
    assert tried.cleared is not None
    after = tried.cleared.plan
    assert from_crew(after) == []
    for stop in after.race.stops:
        assert sum(take.texture != "water" for take in stop.takes) <= 1
    row = point(after, "Bridge end")
    assert (row["hand"], row["times"]) == ([], ["", "", ""])
    assert row["note"] == "Nobody gets there. Go on to the next place."


def test_the_change_is_told_in_words_and_refused_twice_or_for_another_place() -> None:
    case = stands().case
    made = CrewCannotReach(point="Bridge end").made(Scene(case, stands().plan.race.intakes))
    assert made.sentence == "The crew cannot reach Bridge end: nothing is handed over there."
    with pytest.raises(BadInput, match="Did you mean 'Bridge end'"):
        apply(change_of({"kind": "crew cannot reach", "point": "Bridgeend"}), stands().typed, case)
    gone = stands((('"house-gel"]\nallowed = true', '"house-gel"]\nallowed = true\nout_of_reach = true'),))
    with pytest.raises(BadInput, match="already"):
        apply(CrewCannotReach(point="Bridge end"), gone.typed, gone.case)


def test_what_is_pinned_from_a_crew_that_does_not_get_there_is_refused_and_the_change_unpins_it() -> None:
    pin = '[[wishes.pinned]]\nitem = "gel-25"\nat = "10 km"\ngot_from = "crew"\n'
    text = STARTER_TEXT.replace("[weather] ", f"{CREW}\n[weather] ", 1) + f"\n{pin}"
    pinned = standing(text=text)
    assert from_crew(pinned.plan) == [(10_000.0, "gel-25")]
    tried = pinned.as_given(
        [one.model_copy(update={"at_m": 11_000.0}) for one in pinned.plan.race.intakes[2:3]]
    )
    assert [finding.code for finding in tried.why] == ["planner.no_crew"]
    changed = apply(CrewCannotReach(point="Bridge end"), pinned.typed, pinned.case)
    assert "pinned no more" in changed.sentence
    assert not changed.typed["wishes"]["pinned"]
    after = pinned.solved(CrewCannotReach(point="Bridge end"))
    assert after.cleared is not None
    assert from_crew(after.cleared.plan) == []


def test_by_hand_a_thing_at_the_crew_s_place_comes_from_the_crew_and_elsewhere_from_a_pocket() -> None:
    scene = Scene(stands().case, stands().plan.race.intakes)
    pinned = Pin(item="gel-25", at="Bridge end").made(scene)
    assert [(one.at_m, one.got_from) for one in pinned.given if one.item == "gel-25"][1] == (10_000.0, "crew")
    moved = Move(item="gel-25", at="Bridge end", to="11 km").made(scene)
    assert (11_000.0, "pocket") in [(one.at_m, one.got_from) for one in moved.given]


def test_the_workspace_asks_which_place_where_a_case_names_a_crew() -> None:
    (form,) = [f for f in what_happened(stands().case, today=TODAY) if f.kind == OF_A_CREW]
    assert form.title == "Crew cannot reach"
    assert [choice for choice, _ in form.fields[0].choices] == ["Weir", "Bridge end"]


class TestSheet:
    def test_each_place_says_how_to_get_there_what_to_hand_over_and_what_comes_next(self) -> None:
        plan = stands().plan
        data = crew_data(plan, "a4")
        assert [one["name"] for one in data["points"]] == ["Weir", "Bridge end", "Finish"]
        assert data["bring"] == "Bring for the runner: 1 × gel."
        weir, bridge = data["points"][:2]
        assert (weir["way"], weir["hand"]) == ("on foot; no parking", [])
        assert weir["note"] == "Nothing is handed over here."
        assert weir["next"] == "Before the next place the runner eats: gel (Mill)."
        assert [one["text"] for one in bridge["hand"]] == ["gel"]
        assert bridge["next"] == "Before the finish the runner eats: gel (Gate)."
        assert len({*bridge["times"]}) == 3

    def test_many_places_stand_on_one_sheet_with_the_danger_signs(self) -> None:
        case = stands().case
        points = tuple(
            CrewPoint(name=f"Lane {n}", at_m=2000.0 * n, way="by the lane; park in the yard", hands=())
            for n in range(1, 8)
        )
        plan = stands().plan.model_copy(
            update={"case": case.model_copy(update={"crew": Crew(points=points)})}
        )
        data = crew_sheet(plan, "a4")
        assert pages(data) == 1
        assert "Stop at once and get help if" in said(data)

    def test_no_drink_has_a_time_and_no_weight_stands_on_it_for_anybody(self) -> None:
        plan = stands(withheld=("grams",)).plan
        told = " ".join(str(one["next"]) for one in crew_data(plan, "a4")["points"])
        assert "water" not in told
        assert "gel" in told

    def test_caffeine_beyond_the_plan_and_what_was_never_tried_is_never_given(self) -> None:
        never = crew_data(stands().plan, "a4")["never"]["says"]
        for line in (
            "Coffee, cola or energy drinks, unless they are on it.",
            "Food that the runner never tried in training.",
        ):
            assert line in never
