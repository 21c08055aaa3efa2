"""The strip turned down the page says the same as the one that lies."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plans import a_case, a_plan, a_stop, a_take

from provand.pack.letters import width_of
from provand.pack.shapes import Drawing, Group, Path, Words
from provand.pack.strip import course_strip
from provand.pack.svg import written
from provand.pack.turned import PER_KM, POLE_X, TOP, turned_strip


def words_of(drawing: Drawing) -> list[str]:
    return [shape.text for shape in drawing.all_shapes() if isinstance(shape, Words)]


def groups(drawing: Drawing) -> list[Group]:
    return [s for s in drawing.all_shapes() if isinstance(s, Group) and s.key]


def test_it_runs_from_the_top_at_one_scale() -> None:
    plan = a_plan()
    for group, stop in zip(groups(turned_strip(plan)), plan.race.stops, strict=True):
        elbow = group.shapes[0]
        assert isinstance(elbow, Path)
        assert elbow.lines[0][0][1] == pytest.approx(TOP + PER_KM * stop.at_m / 1000)


def test_its_flags_speak_as_those_of_the_lying_strip_do() -> None:
    plan = a_plan()
    assert [g.label for g in groups(turned_strip(plan))] == [g.label for g in groups(course_strip(plan))]


@given(st.sets(st.integers(100, 20_900), min_size=1, max_size=25), st.booleans())
def test_flags_push_down_and_never_meet(places: set[int], struck: bool) -> None:
    case = a_case()
    takes = (a_take("gel-caffeine", case), a_take("water", case, amount="mouthful", got_from="station"))
    stops = tuple(a_stop(float(at_m), *takes, case=case, station="Kiln Top") for at_m in sorted(places))
    drawing = turned_strip(a_plan(case, stops=stops, time_struck=struck))
    poles = [group.shapes[1] for group in groups(drawing)]
    spans = [(pole.lines[0][0][1], pole.lines[0][1][1]) for pole in poles if isinstance(pole, Path)]
    assert all(earlier[1] + 8 <= later[0] + 1e-9 for earlier, later in pairwise(spans))
    least = [TOP + PER_KM * stop.at_m / 1000 - 9 for stop in stops]
    assert all(top >= own - 1e-9 for (top, _), own in zip(spans, least, strict=True))
    assert spans[-1][1] < drawing.height


@pytest.mark.parametrize("width", [320, 328, 420, 608])
def test_no_word_leaves_the_drawing(width: int) -> None:
    drawing = turned_strip(a_plan(), width)
    for shape in drawing.all_shapes():
        if isinstance(shape, Words):
            wide = width_of(shape.text, "condensed-bold", 14)
            start = shape.x - {"start": 0, "middle": wide / 2, "end": wide}[shape.anchor]
            assert start >= -8
            assert start + wide <= drawing.width + 8 or shape.x < POLE_X


def test_fluid_always_stays_and_one_other_row_may_be_chosen() -> None:
    alone = words_of(turned_strip(a_plan()))
    assert [text for text in alone if re.search(r", (g|ml)$", text)] == ["Fluid, ml"]
    chosen = words_of(turned_strip(a_plan(), store="store.gut_g"))
    assert "Gut, g" in chosen
    assert "Muscle, g" not in chosen


def test_a_wide_window_has_all_rows_and_their_ends_apart() -> None:
    drawing = turned_strip(a_plan(), 608)
    assert {"Muscle, g", "Liver, g", "Gut, g", "Fluid, ml"} <= set(words_of(drawing))
    values = [
        s for s in drawing.all_shapes() if isinstance(s, Words) and s.role == "value" and s.anchor == "end"
    ]
    ends = sorted((value.x, value.text) for value in values)
    for (one, _), (other, text) in pairwise(ends):
        assert other - width_of(text, "condensed-bold", 14) > one


def test_withheld_fluid_has_no_column_and_no_ceiling() -> None:
    told = " ".join(words_of(turned_strip(a_plan(withheld=("fluid",)))))
    assert "luid" not in told
    assert "ceiling" not in told


def test_with_times_struck_no_clock_is_left() -> None:
    assert not re.search(r"\d:\d\d", " ".join(words_of(turned_strip(a_plan(time_struck=True)))))


def test_it_is_written_by_the_same_writer() -> None:
    text = written(turned_strip(a_plan()), "classes")
    assert "style" not in text
    assert text == written(turned_strip(a_plan()), "classes")
