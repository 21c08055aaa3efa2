"""Whatever series of changes a case goes through, no ceiling is passed, and a refusal changes nothing."""

from __future__ import annotations

import math
import tomllib
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

import tomlkit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from provand.case.change import Change, change_of
from provand.case.door import in_folder, read_health
from provand.case.typed import plain, text_of
from provand.finding import BadInput, Level
from provand.plan.changing import BY_HAND, Next, next_of
from provand.plan.document import Plan
from provand.safety.counting import max_caffeine_mg
from provand.safety.cups import served_as, station_of
from provand.safety.screening import screen
from provand.safety.taken import earlier_caffeine

CASE = Path(__file__).resolve().parents[2] / "src" / "provand" / "case" / "starter.toml"
TEXT = (
    CASE.read_text("utf-8")
    .replace('[[athlete.rehearsed]]\nitem = "sports-drink"', "")
    .replace(
        "[[athlete.rehearsed]]", '[[athlete.rehearsed]]\nitem = "gel-25-caffeine"\n\n[[athlete.rehearsed]]', 1
    )
)
DAY = date(2026, 11, 25)
HEALTH = read_health(CASE)
ITEMS = ("gel-25", "gel-25-caffeine", "cola", "water", "gel-40", "sports-drink")
PLACES = ("Mill", "Bridge", "Gate", "4 km", "8,5 km", "12.3 km", "17 km", "20.9 km")

items, places = st.sampled_from(ITEMS), st.sampled_from(PLACES)
changes = st.one_of(
    st.builds(
        lambda low, wide: {"kind": "forecast", "air_temp": f"{low} to {low + wide} C", "seen_on": DAY},
        st.integers(-5, 24),
        st.integers(0, 6),
    ),
    st.builds(lambda m: {"kind": "wave", "own_offset": f"{m} min"}, st.integers(0, 60)),
    st.builds(
        lambda s, i: {"kind": "station serves", "station": s, "serves": list(i)},
        st.sampled_from(PLACES[:3]),
        st.sets(st.sampled_from(("water", "sports-drink", "cola"))),
    ),
    st.builds(
        lambda m, e, c: {"kind": "delay", "delay": f"{m} min", "eaten": [e], "caffeine": f"{c} mg"},
        st.integers(1, 120),
        st.sampled_from(("nothing", "gel-25", "2 gel-25-caffeine")),
        st.sampled_from((0, 40, 80, 200, 350)),
    ),
    st.builds(lambda i: {"kind": "missing", "item": i}, items),
    st.builds(lambda i, p: {"kind": "pin", "item": i, "at": p}, items, places),
    st.builds(lambda i, p, q: {"kind": "move", "item": i, "at": p, "to": q}, items, places, places),
    st.builds(lambda i, p, o: {"kind": "swap", "item": i, "at": p, "other": o}, items, places, items),
    st.builds(lambda i: {"kind": "ban", "item": i}, items),
    st.builds(
        lambda v: {"kind": "edit", "path": "wishes.caffeine", "typed": f"{v} mg"},
        st.sampled_from((0, 75, 200)),
    ),
    st.builds(lambda a: {"kind": "solve", "afresh": a}, st.booleans()),
)


def after(change: Change, text: str) -> Next | None:
    """Return what comes of a change, or None where it is refused; the text given stays as it is."""
    document = tomlkit.parse(text)
    try:
        made = next_of(
            change,
            document,
            partial(screen, health=HEALTH, as_of=DAY),
            beside=in_folder(CASE.parent),
            as_of=DAY,
        )
    except BadInput:
        return None
    finally:
        assert document.as_string() == text
    assert tomllib.loads(text_of(made.typed)) == plain(made.typed)
    return made


def most_caffeine_mg(plan: Plan, window_h: float) -> float:
    """Return the most caffeine of any window that ends with a planned dose, counted from the case anew."""
    items = {item.id: item for item in plan.case.items}
    doses = [(dose.elapsed_s, dose.caffeine_mg) for dose in earlier_caffeine(plan.case)]
    planned = []
    for one in plan.race.intakes:
        stop = next(stop for stop in plan.race.stops if stop.at_m == one.at_m)
        cup = served_as(items[one.item], station_of(one, plan.case.course.stations), items, ())
        planned.append((stop.early_s, max_caffeine_mg(one, items[one.item], cup)))
    planned = [(at_s, mg) for at_s, mg in planned if mg > 0]
    return max(
        (
            math.fsum(mg for at_s, mg in [*doses, *planned] if 0 <= last_s - at_s <= 3600 * window_h)
            for last_s, _ in planned
        ),
        default=0.0,
    )


@settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(changes, min_size=2, max_size=5))
def test_no_series_of_changes_lets_a_ceiling_be_passed(series: list[dict[str, Any]]) -> None:
    text = TEXT
    for fields in series:
        change = change_of(fields)
        made = after(change, text)
        if made is None:
            continue
        text = text_of(made.typed)
        if made.after is None:
            assert made.error is not None
            broken = [one for one in made.error.findings if one.level is Level.BREACH]
            solved = made.case.wishes.schedule == "solve" and not made.case.wishes.pinned
            assert not (broken and solved), (series, broken)
            assert not (broken and change.kind in BY_HAND), (series, broken)
            continue
        fluid = made.after.series_of("race.fluid_so_far_ml")
        ceiling = made.after.figure("ceiling.fluid_ml_per_race")
        assert fluid is not None
        assert ceiling is not None
        assert fluid.high[-1] <= ceiling.value.mid + 1e-6
        assert most_caffeine_mg(made.after, 2) <= 200 + 1e-6
        assert most_caffeine_mg(made.after, 24) <= 400 + 1e-6
        lost = {one.item: one.packs_count for one in made.case.athlete.stock}
        for item_id, packs in lost.items():
            carried = [
                one.portion_frac
                for one in made.after.race.intakes
                if one.item == item_id and one.got_from == "pocket"
            ]
            assert sum(carried) <= packs + 1e-6
