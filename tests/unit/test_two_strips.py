"""Two versions on one strip: one row an item, was and is told by shape, withheld parts unseen."""

from __future__ import annotations

from itertools import pairwise

import plans as made

from provand.pack.shapes import Disc, Group, Mark, Words
from provand.pack.two_strips import numbers_of, two_strips
from provand.pack.two_turned import LINE_PX, two_turned
from provand.plan.document import Plan
from provand.plan.moves import pairs_between


def moved(plan: Plan) -> Plan:
    """Return the plan with its first stop 800 m on, the second swapped, and the last out."""
    first, second, *rest = plan.race.stops
    take = second.takes[0].model_copy(update={"item": "other-gel", "name": "other gel"})
    stops = (
        first.model_copy(update={"at_m": first.at_m + 800}),
        second.model_copy(update={"takes": (take, *second.takes[1:])}),
        *rest[:-1],
    )
    return plan.model_copy(update={"race": plan.race.model_copy(update={"stops": stops})})


def words(old: Plan, new: Plan) -> list[str]:
    drawing = two_strips(old, new, was="version 1", now="version 2")
    return [shape.text for shape in drawing.all_shapes() if isinstance(shape, Words)]


def turned_words(old: Plan, new: Plan) -> list[str]:
    drawing = two_turned(old, new, was="version 1", now="version 2")
    return [shape.text for shape in drawing.all_shapes() if isinstance(shape, Words)]


def test_each_line_has_a_row_and_each_difference_a_number() -> None:
    old, new = made.a_plan(), moved(made.a_plan())
    pairs = pairs_between(old, new, ())
    drawing = two_strips(old, new, was="version 1", now="version 2")
    rows = [
        one
        for one in drawing.shapes
        if isinstance(one, Group) and any(isinstance(s, Mark) for s in one.shapes)
    ]
    assert len(rows) == len(pairs)
    assert sorted(filter(None, numbers_of(pairs))) == [1, 2, 3]
    assert {"1", "2", "3", "kept", "out"} <= set(words(old, new))


def test_what_was_moved_has_an_open_ring_where_it_was() -> None:
    old, new = made.a_plan(), moved(made.a_plan())
    rings = [
        one
        for one in two_strips(old, new, was="version 1", now="version 2").all_shapes()
        if isinstance(one, Disc) and one.role == "was-ring"
    ]
    assert len(rings) == 2, "the moved one, and the sign below"


def test_the_same_plan_twice_has_no_number() -> None:
    plan = made.a_plan()
    assert set(numbers_of(pairs_between(plan, plan, ()))) == {0}
    assert "new" not in words(plan, plan)


def test_fluid_withheld_in_either_has_no_row() -> None:
    plan = made.a_plan()
    withheld = plan.model_copy(update={"withheld": ("fluid",)})
    assert "Fluid drunk" in words(plan, plan)
    for pair in ((plan, withheld), (withheld, plan)):
        assert "Fluid drunk" not in words(*pair)


def test_with_times_struck_in_either_places_stand_for_times() -> None:
    plan = made.a_plan()
    struck = plan.model_copy(update={"time_struck": True})
    assert not [text for text in words(plan, struck) if ":" in text and text[0].isdigit()]


def test_turned_down_the_page_each_line_and_each_number_is_there_too() -> None:
    old, new = made.a_plan(), moved(made.a_plan())
    pairs = pairs_between(old, new, ())
    drawing = two_turned(old, new, was="version 1", now="version 2")
    flags = [one for one in drawing.shapes if isinstance(one, Group) and "at the finish" not in one.label]
    assert len(flags) == len(pairs)
    said = [shape.text for shape in drawing.all_shapes() if isinstance(shape, Words)]
    assert {"1", "2", "3", "moved", "out"} <= set(said)
    assert drawing.width == 328
    assert all(shape.x <= 328 for shape in drawing.all_shapes() if isinstance(shape, Words | Disc | Mark))


def test_turned_flags_never_lie_over_each_other() -> None:
    old, new = made.a_plan(), moved(made.a_plan())
    drawing = two_turned(old, new, was="version 1", now="version 2")
    times = [shape.y for shape in drawing.all_shapes() if isinstance(shape, Words) and shape.role == "time"]
    assert times == sorted(times)
    assert all(after - before >= 2 * LINE_PX for before, after in pairwise(times))


def test_turned_what_is_withheld_in_either_is_unseen() -> None:
    plan = made.a_plan()
    withheld = plan.model_copy(update={"withheld": ("fluid",)})
    struck = plan.model_copy(update={"time_struck": True})
    assert "Fluid, ml" in turned_words(plan, plan)
    for pair in ((plan, withheld), (withheld, plan)):
        assert "Fluid, ml" not in turned_words(*pair)
    for pair in ((plan, struck), (struck, plan)):
        assert not [text for text in turned_words(*pair) if ":" in text and text[0].isdigit()]


def test_words_of_a_line_that_goes_back_a_little_do_not_meet() -> None:
    old = made.a_plan()
    first, *rest = old.race.stops
    back = first.model_copy(update={"at_m": first.at_m - 200})
    new = old.model_copy(update={"race": old.race.model_copy(update={"stops": (back, *rest)})})
    drawing = two_strips(old, new, was="version 1", now="version 2")
    row = next(one for one in drawing.shapes if isinstance(one, Group) and "moved" in one.label)
    now = next(one for one in row.shapes if isinstance(one, Words) and one.role.startswith("change"))
    was = next(one for one in row.shapes if isinstance(one, Words) and one.role == "note")
    mark = next(one for one in row.shapes if isinstance(one, Mark))
    assert (now.anchor, was.anchor) == ("end", "start")
    assert now.x <= mark.x
    assert was.x >= mark.x + mark.size
