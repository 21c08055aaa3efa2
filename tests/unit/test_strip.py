"""The course strip: everything stands over its place, and nothing over anything else."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plans import FINISH_S, LENGTH_M, a_case, a_course, a_plan, a_stop, a_take, elapsed_s
from shapely import LineString, Point

from provand.pack.flags import LANE_PX, MOST_LANES
from provand.pack.hatch import hatched, simpler
from provand.pack.rows import CEILING
from provand.pack.rulers import ELAPSED
from provand.pack.scale import Ground, nice_step
from provand.pack.shapes import Box, Disc, Drawing, Group, Mark, Path, Words
from provand.pack.strip import LEFT, RIGHT, WIDTH, course_strip, flags_of
from provand.plan.document import Plan


def words_of(drawing: Drawing) -> list[str]:
    return [shape.text for shape in drawing.all_shapes() if isinstance(shape, Words)]


def of_role(drawing: Drawing, role: str) -> list[Path]:
    return [shape for shape in drawing.all_shapes() if isinstance(shape, Path) and shape.role == role]


def row(drawing: Drawing, name: str) -> Group:
    return next(s for s in drawing.all_shapes() if isinstance(s, Group) and s.label.startswith(name))


def without(plan: Plan, *series: str) -> Plan:
    return plan.model_copy(update={"series": tuple(s for s in plan.series if s.of not in series)})


def test_stations_stand_to_scale() -> None:
    drawing = course_strip(a_plan())
    squares = [s for s in drawing.all_shapes() if isinstance(s, Box) and s.role == "station"]
    places = [station.at_m for station in a_case().course.stations]
    assert [square.x + 3 for square in squares] == pytest.approx(
        [LEFT + (RIGHT - LEFT) * at_m / LENGTH_M for at_m in places]
    )


def test_the_scale_bar_alternates_whole_kilometres() -> None:
    blocks = [s for s in course_strip(a_plan()).all_shapes() if isinstance(s, Box) and s.role == "scale-ink"]
    one_km = (RIGHT - LEFT) / (LENGTH_M / 1000)
    assert [round((b.x - LEFT) / one_km, 6) for b in blocks] == list(range(1, 22, 2))
    assert blocks[0].width == pytest.approx(one_km)
    assert blocks[-1].x + blocks[-1].width == pytest.approx(RIGHT)


def test_a_pole_stands_on_the_hill_at_its_place() -> None:
    plan = a_plan()
    drawing = course_strip(plan)
    outline = LineString(of_role(drawing, "outline")[0].lines[0])
    for pole, stop in zip(of_role(drawing, "pole"), plan.race.stops, strict=True):
        (x, y), _ = pole.lines[0]
        assert x == pytest.approx(LEFT + (RIGHT - LEFT) * stop.at_m / LENGTH_M)
        assert outline.distance(Point(x, y)) < 0.5


@st.composite
def schedules(draw: st.DrawFn) -> Plan:
    case = a_case()
    places = sorted(draw(st.sets(st.integers(0, 20_900), min_size=1, max_size=24)))
    kinds = (
        (a_take("gel", case),),
        (a_take("gel-caffeine", case), a_take("water", case, amount="mouthful", got_from="station")),
        (a_take("chews", case, portion=0.375),),
        (a_take("sports-drink", case, amount="half", got_from="station"),),
    )
    stops = tuple(
        a_stop(float(at_m), *draw(st.sampled_from(kinds)), case=case, pinned=draw(st.booleans()))
        for at_m in places
    )
    return a_plan(case, stops=stops, time_struck=draw(st.booleans()))


@given(schedules())
def test_no_flag_covers_another_and_no_pole_crosses_a_word(plan: Plan) -> None:
    flags = flags_of(plan, {"chews": 1})
    boxes = [flag.box(0) for flag in flags]
    for index, box in enumerate(boxes):
        assert box.x + box.width <= WIDTH + 1e-6
        for other in boxes[index + 1 :]:
            assert not box.meets(other)
    for pole in flags:
        top, foot = -(pole.lane + 1) * LANE_PX, 0
        for flag, box in zip(flags, boxes, strict=True):
            crosses = box.x < pole.x < box.x + box.width and top < box.y + box.height and foot > box.y
            assert flag is pole or not crosses


@given(schedules())
def test_every_stop_stands_in_one_of_at_most_four_lanes(plan: Plan) -> None:
    flags = flags_of(plan, {})
    assert [index for flag in flags for index in flag.stops] == list(range(len(plan.race.stops)))
    assert max(flag.lane for flag in flags) < MOST_LANES


def test_neighbours_without_room_merge_into_one_flag_that_counts_them() -> None:
    case = a_case()
    stops = tuple(a_stop(9000.0 + 60 * i, a_take("gel", case), case=case) for i in range(9))
    merged = [flag for flag in flags_of(a_plan(case, stops=stops), {}) if len(flag.stops) > 1]
    assert merged
    assert merged[0].text == f"{len(merged[0].stops)} items"
    assert "–" in merged[0].time


def test_states_have_a_shape_each() -> None:
    drawing = course_strip(a_plan())
    groups = {s.key: s for s in drawing.shapes if isinstance(s, Group) and s.key}
    signs = {key: group.shapes[-1] for key, group in groups.items()}
    assert isinstance(signs["stop-0"], Disc) and signs["stop-0"].role == "sign"
    assert isinstance(signs["stop-1"], Disc) and signs["stop-1"].role == "ring"
    assert isinstance(signs["stop-3"], Box)
    assert {"not rehearsed", "pinned"} <= set(words_of(drawing))


def test_water_alone_stands_in_italics() -> None:
    words = {s.text: s.role for s in course_strip(a_plan()).all_shapes() if isinstance(s, Words)}
    assert words["+ mouthful of water"] == "water"
    assert words["lemon gel"] == "item"


def test_rows_without_series_are_absent_and_the_rest_closes_up() -> None:
    plan = a_plan()
    whole, walker = (
        course_strip(plan),
        course_strip(without(plan, "store.muscle_g", "store.liver_g", "store.gut_g")),
    )
    assert {"Muscle store", "Liver store", "In the gut"} <= set(words_of(whole))
    assert not {"Muscle store", "Liver store", "In the gut"} & set(words_of(walker))
    assert walker.height < whole.height - 140


def test_a_row_that_is_nought_throughout_is_left_out() -> None:
    plan = a_plan()
    gut = plan.series_of("store.gut_g")
    assert gut is not None
    nought = gut.model_copy(update={end: (0.0,) * len(gut.x_m) for end in ("low", "mid", "high")})
    series = tuple(nought if s is gut else s for s in plan.series)
    assert "In the gut" not in words_of(course_strip(plan.model_copy(update={"series": series})))


@pytest.mark.parametrize(
    ("part", "hidden"), [("fluid", {"Fluid drunk"}), ("grams", {"Muscle store", "Liver store", "In the gut"})]
)
def test_a_withheld_part_has_no_row_though_its_series_is_there(part: str, hidden: set[str]) -> None:
    shown = set(words_of(course_strip(a_plan(withheld=(part,)))))
    assert not hidden & shown
    assert not {text for text in shown if part == "fluid" and "ceiling" in text}


def test_with_times_struck_no_clock_stands_on_the_strip_and_places_lead() -> None:
    drawing = course_strip(a_plan(time_struck=True))
    told = " ".join(
        [*words_of(drawing), drawing.says, *(s.label for s in drawing.all_shapes() if isinstance(s, Group))]
    )
    assert not re.search(r"\d:\d\d", told)
    assert "km 4.6" in words_of(drawing)
    assert "early" not in words_of(drawing)


def test_the_hatch_of_the_ceiling_stays_above_it() -> None:
    drawing = course_strip(a_plan())
    fluid = row(drawing, "Fluid drunk")
    edge = next(s for s in fluid.shapes if isinstance(s, Path) and s.role == "ceiling").lines[0]
    line = LineString(edge)
    hatch = next(s for s in fluid.shapes if isinstance(s, Path) and s.role == "no").lines
    assert len(hatch) > 50
    for stroke in hatch:
        for x, y in stroke:
            ceiling_y = line.intersection(LineString([(x, -1e4), (x, 1e4)])).centroid.y
            assert y <= ceiling_y + 0.3


def test_the_ceiling_is_drawn_at_its_low_end() -> None:
    plan = a_plan()
    series = plan.series_of(CEILING)
    assert series is not None
    drawing = course_strip(plan)
    assert f"ceiling {series.low[-1]:,.0f}" in words_of(drawing)
    fluid = row(drawing, "Fluid drunk")
    ticks = {s.text: s.y - 4 for s in fluid.shapes if isinstance(s, Words) and s.role == "tick"}
    px_per_ml = (ticks["0"] - ticks["1,000"]) / 1000
    line = next(s for s in fluid.shapes if isinstance(s, Path) and s.role == "ceiling").lines[0]
    assert ticks["0"] - line[-1][1] == pytest.approx(series.low[-1] * px_per_ml, abs=0.5)


def test_end_values_stand_beside_their_range_without_touching() -> None:
    for name in ("Muscle store", "Liver store", "In the gut", "Fluid drunk"):
        ends = sorted(
            s.y for s in row(course_strip(a_plan()), name).shapes if isinstance(s, Words) and s.x > RIGHT
        )
        assert all(later - earlier >= 13.9 for earlier, later in pairwise(ends))


def test_ruler_figures_stand_where_the_runner_is_then() -> None:
    drawing = course_strip(a_plan())
    at = next(
        s.x
        for s in drawing.all_shapes()
        if isinstance(s, Words) and s.role == "tick-strong" and s.text == "0:40"
    )
    place_m = (at - LEFT) / (RIGHT - LEFT) * LENGTH_M
    assert elapsed_s(place_m, FINISH_S[1]) == pytest.approx(2400, abs=5)


def test_lines_of_equal_minutes_join_the_three_rulers() -> None:
    drawing = course_strip(a_plan())
    lines = of_role(drawing, "equal")[0].lines
    assert len(lines) == 11
    assert all(later[0] < earlier[0] for line in lines for earlier, later in pairwise(line)), "slow is behind"


def test_without_times_there_are_no_rulers() -> None:
    assert "goal" not in words_of(course_strip(without(a_plan(), ELAPSED)))


def test_the_closed_zone_is_hatched_from_its_place_to_the_finish() -> None:
    drawing = course_strip(a_plan())
    bar = next(p.lines[0] for p in of_role(drawing, "no-edge") if max(x for x, _ in p.lines[0]) == RIGHT)
    assert min(x for x, _ in bar) == pytest.approx(LEFT + (RIGHT - LEFT) * 18_700 / LENGTH_M)


def test_cautions_put_their_number_beside_what_they_are_about() -> None:
    drawing = course_strip(a_plan(), {"chews": 2, CEILING: 1})
    figures = [s.text for s in drawing.all_shapes() if isinstance(s, Words) and s.role == "lozenge-figure"]
    assert sorted(figures) == ["1", "2"]


def test_a_flat_course_is_drawn_flat() -> None:
    course = a_course().model_copy(update={"elevation_m": tuple(50 + 0.01 * (i % 300) for i in range(212))})
    ground = Ground(course, 0, 976, 0, 132)
    ys = [y for _, y in ground.profile()]
    assert max(ys) - min(ys) < 132 * 3 / 80


@pytest.mark.parametrize("length_m", [3000.0, 10_000.0, 42_195.0, 100_000.0, 200_000.0])
def test_scale_figures_never_touch(length_m: float) -> None:
    case = a_case(course=a_course(length_m, stations=()))
    drawing = course_strip(without(a_plan(case, stops=()), ELAPSED))
    figures = sorted(
        s.x for s in drawing.shapes if isinstance(s, Words) and s.y == 14 and s.anchor == "middle"
    )
    assert len(figures) >= 3
    assert all(later - earlier >= 24 for earlier, later in pairwise(figures))


def test_a_station_among_crowded_ones_keeps_to_its_room() -> None:
    names = tuple((f"A long station name {index}", 600.0 * index) for index in range(1, 34))
    drawing = course_strip(a_plan(a_case(course=a_course(stations=names)), stops=()))
    assert not [
        s for s in drawing.all_shapes() if isinstance(s, Words) and s.text.startswith("A long station")
    ]


def test_the_strip_says_in_words_what_it_shows() -> None:
    says = course_strip(a_plan()).says
    assert says.index("4.6 km at 0:22: lemon gel + mouthful of water") < says.index("9.1 km at 0:44")


@given(
    st.lists(
        st.tuples(st.floats(0, 976), st.floats(0, 132)), min_size=2, max_size=200, unique_by=lambda p: p[0]
    )
)
def test_a_simpler_line_moves_no_point_farther_than_a_fifth_of_a_pixel(
    points: list[tuple[float, float]],
) -> None:
    line = LineString(simpler(sorted(points)))
    assert all(line.distance(Point(point)) <= 0.2 + 1e-9 for point in points)


@pytest.mark.parametrize("kind", ["diagonal", "upright", "level", "dots"])
def test_a_hatch_stays_inside_its_shape_and_comes_in_one_order(kind: str) -> None:
    corners = ((0.0, 40.0), (50.0, 3.0), (100.0, 35.0), (100.0, 60.0), (0.0, 60.0))
    lines = hatched(kind, corners)  # type: ignore[arg-type]  # one of the four
    assert len(lines) > 5
    assert list(lines) == sorted(lines)
    assert all(0 <= x <= 100.2 and 3 <= y <= 60 for line in lines for x, y in line)
    assert hatched(kind, tuple(reversed(corners))) == lines  # type: ignore[arg-type]


@pytest.mark.parametrize("kind", ["diagonal", "upright", "level", "dots", "plain"])
def test_a_shape_without_area_has_no_hatch(kind: str) -> None:
    assert hatched(kind, ((0.0, 5.0), (50.0, 5.0), (80.0, 5.0), (0.0, 5.0))) == ()  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("span", "most", "step"), [(132, 4, 50), (1.0, 4, 0.25), (1100, 3, 500), (0, 3, 1), (9, 2, 5)]
)
def test_axis_steps_are_round(span: float, most: int, step: float) -> None:
    assert nice_step(span, most) == pytest.approx(step)


def test_what_a_station_serves_is_marked() -> None:
    marks = [s.name for s in course_strip(a_plan()).shapes if isinstance(s, Mark)]
    assert marks == ["water", "water", "drink", "water", "water", "drink"]
