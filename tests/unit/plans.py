"""A plan of an invented athlete, made by hand, so that hand-outs can be tested without a solver."""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from provand.case.case import Athlete, Case, Practitioner, Race, Rehearsed, Weather
from provand.case.course import Course, Served, Station
from provand.case.intake import Amount, Intake, Source
from provand.figure import Figure, Range, Series, Trace
from provand.finding import Finding
from provand.larder.item import Item
from provand.larder.label import Label
from provand.plan.document import (
    CeilingUse,
    Cleared,
    DrinkingLine,
    Goal,
    IfThen,
    Line,
    Plan,
    ProtocolUse,
    RaceSchedule,
    SourceShown,
    Stop,
    Take,
    cleared_after,
)
from provand.planner.if_then import IF_THEN
from provand.protocol.firing import Fired
from provand.record import canonical, code

ZONE = "Australia/Adelaide"
FINISH_S = (6360.0, 6720.0, 7440.0)
LENGTH_M = 21_097.5
STATIONS = (("Millrace", 4600.0), ("Tollgate", 9100.0), ("Kiln Top", 13_400.0), ("Ferry Lane", 17_300.0))


def height_m(x_m: float) -> float:
    """The height of an invented hilly course at a place."""
    km = x_m / 1000
    hills = ((3.2, 30, 1.1), (6.8, 75, 1.0), (13.2, 135, 1.3), (18.8, 28, 0.7))
    return (
        50 + 4 * math.sin(1.7 * km) + sum(h * math.exp(-(((km - at) / wide) ** 2)) for at, h, wide in hills)
    )


def a_course(length_m: float = LENGTH_M, stations: tuple[tuple[str, float], ...] = STATIONS) -> Course:
    x_m = (*(100.0 * step for step in range(math.ceil(length_m / 100))), length_m)
    serves = (Served(item="water"), Served(item="sports-drink"))
    return Course(
        x_m=x_m,
        elevation_m=tuple(round(height_m(x), 2) for x in x_m),
        measured_m=length_m,
        read_from="an invented course",
        stations=tuple(
            Station(name=name, at_m=at_m, serves=serves[: 1 + index % 2])
            for index, (name, at_m) in enumerate(stations)
        ),
    )


def some_items() -> tuple[Item, ...]:
    def item(item_id: str, name: str, texture: Any, label: Label, **more: Any) -> Item:
        return Item(id=item_id, name=name, texture=texture, label=label, free_from=("gluten", "milk"), **more)

    gel = Label(
        convention="EU",
        basis="pack",
        pack_g=40,
        carb_g=25,
        glucose_g=15,
        fructose_g=10,
        salt_g=0.1,
        caffeine_mg=0,
    )
    return (
        item("gel", "lemon gel", "gel", gel, with_water=True),
        item(
            "gel-caffeine",
            "gel with caffeine",
            "gel",
            gel.model_copy(update={"caffeine_mg": 50}),
            with_water=True,
        ),
        item(
            "chews",
            "orange chews",
            "chew",
            Label(convention="EU", basis="pack", pack_g=50, carb_g=40, caffeine_mg=0),
            divides_into=8,
        ),
        item(
            "water",
            "water",
            "water",
            Label(convention="EU", basis="100 ml", pack_ml=100, carb_g=0, caffeine_mg=0),
        ),
        item(
            "sports-drink",
            "sports drink",
            "drink",
            Label(convention="EU", basis="100 ml", pack_ml=100, carb_g=6, glucose_g=6, caffeine_mg=0),
        ),
    )


def a_case(**changes: Any) -> Case:
    zone = ZoneInfo(ZONE)
    case = Case(
        invented=True,
        practitioner=Practitioner(name="Ines Halloway", contact="ring 000 000 000"),
        athlete=Athlete(
            name="Tove Askerby",
            born=date(1991, 4, 2),
            sex="female",
            body_mass_kg=63.5,
            body_mass_on=date(2026, 11, 15),
            height_m=1.68,
            rehearsed=(Rehearsed(item="gel", rate_g_per_h=45.0),),
        ),
        race=Race(
            name="Quernbeck Half Marathon",
            gun=datetime(2026, 12, 6, 7, 30, tzinfo=zone),
            zone=ZONE,
            own_offset_s=Range.of(240, 480),
            distance_m=LENGTH_M,
            goal_s=FINISH_S[1],
            finish_s=Range(low=FINISH_S[0], mid=FINISH_S[1], high=FINISH_S[2]),
        ),
        course=a_course(),
        weather=Weather(
            air_temp_c=Range.of(18, 24),
            humidity_frac=Range.of(0.4, 0.6),
            wind_m_per_s=Range.of(1, 4),
            sun="part",
            seen_on=date(2026, 11, 24),
        ),
        items=some_items(),
    )
    return case.model_copy(update=changes)


def elapsed_s(x_m: float, finish_s: float, length_m: float = LENGTH_M) -> float:
    """Elapsed time at a place: slower uphill, slower late, exact at the finish."""

    def raw(x: float) -> float:
        return x * (1 + 0.00001 * x) + 14 * (height_m(x) - height_m(0))

    return finish_s * raw(x_m) / raw(length_m)


def a_take(
    item: str, case: Case, *, amount: Amount = "whole", got_from: Source = "pocket", portion: float = 1.0
) -> Take:
    found = case.item(item)
    assert found is not None
    return Take(
        item=item,
        name=found.name,
        texture=found.texture,
        portion_frac=portion,
        amount=amount,
        got_from=got_from,
        with_caffeine=bool(found.label.caffeine_mg),
        rehearsed=item != "chews",
    )


def a_stop(
    at_m: float, *takes: Take, case: Case, station: str = "", pinned: bool = False, had: int = 0
) -> Stop:
    length_m = case.course.length_m
    early_s, goal_s, slow_s = (round(elapsed_s(at_m, finish_s, length_m), 1) for finish_s in FINISH_S)
    return Stop(
        at_m=at_m,
        early_s=early_s,
        goal_s=goal_s,
        slow_s=slow_s,
        station=station,
        takes=takes,
        carb_so_far_g=Range.of(20.0 * (had + 1), 24.0 * (had + 1)),
        fluid_so_far_ml=Range.of(40.0 * had, 70.0 * had),
        pinned=pinned,
    )


def some_stops(case: Case) -> tuple[Stop, ...]:
    gel, caffeine = a_take("gel", case), a_take("gel-caffeine", case)
    chews = a_take("chews", case, portion=0.375)
    sip = a_take("water", case, amount="mouthful", got_from="station")
    drink = a_take("sports-drink", case, amount="half", got_from="station")
    return (
        a_stop(4600.0, gel, sip, case=case, station="Millrace", had=0),
        a_stop(7900.0, chews, case=case, had=1),
        a_stop(9100.0, drink, case=case, station="Tollgate", had=2),
        a_stop(13_400.0, caffeine, sip, case=case, station="Kiln Top", pinned=True, had=3),
        a_stop(17_300.0, drink, case=case, station="Ferry Lane", had=4),
    )


def _figures(case: Case, stops: tuple[Stop, ...]) -> Trace:
    trace = Trace()
    mass = trace.given("athlete.body_mass_kg", case.athlete.body_mass_kg, 'typed "140 lb"')
    time = trace.given(
        "race.finish_s",
        Range(low=FINISH_S[0], mid=FINISH_S[1], high=FINISH_S[2]),
        'typed "1:46 to 2:04, likely 1:52"',
    )
    dose = trace.add(
        "load.dose_g_per_kg_per_day", Range.of(7, 12, 8, means="band"),
        how="rule", by="position-stands/L2", source="burke2011", at="table 1", mark="read2",
    )  # fmt: skip
    trace.add(
        "load.carb_g_per_day", Range.of(444, 762, 508, means="band"),
        how="equation", by="per_mass_g_per_day", inputs=(dose, mass), mark="computed",
    )  # fmt: skip
    rate = trace.add(
        "race.target_carb_g_per_h", Range.of(30, 60, 38, means="band"),
        how="rule", by="position-stands/D3", source="burke2011", at="table 1", mark="read2",
    )  # fmt: skip
    trace.add(
        "race.carb_g_per_race", Range.of(64, 77, 71), how="sum", by="sum of the items", inputs=(rate, time)
    )
    fluid = trace.add(
        "race.fluid_so_far_ml", Range.of(160, 280, 220), how="sum", by="sum of the cups", inputs=(time,)
    )
    ceiling = trace.add(
        "ceiling.fluid_so_far_ml", Range.of(1100, 1500, 1280),
        how="chosen", by="own loss, least case", source="sawka2007", at="p. 380", mark="read",
        inputs=(mass, time),
    )  # fmt: skip
    trace.add(
        "ceiling.sodium_line_ml",
        Range.of(900, 1500, 1200),
        how="chosen",
        by="serum sodium line",
        inputs=(ceiling,),
    )
    trace.add("race.sodium_mg_per_race", Range.of(190, 235), how="sum", by="labels", inputs=(fluid,))
    trace.add("race.caffeine_mg_per_race", 50, how="sum", by="labels", inputs=(fluid,))
    trace.add(
        "race.elapsed_s",
        Range(low=FINISH_S[0], mid=FINISH_S[1], high=FINISH_S[2]),
        how="chosen",
        by="pace table",
        inputs=(time,),
    )
    for name, low, high in (("muscle", 146, 288), ("liver", 26, 68), ("gut", 0, 22)):
        trace.add(
            f"store.{name}_g",
            Range.of(low, high),
            how="simulated",
            by="400 members, seed 7",
            mark="estimate",
            inputs=(rate, mass),
        )
    return trace


def _series(case: Case, stops: tuple[Stop, ...]) -> tuple[Series, ...]:
    length_m = case.course.length_m
    places = sorted({*(index * length_m / 150 for index in range(151)), *(stop.at_m for stop in stops)})
    shares = [x / length_m for x in places]

    def series(
        of: str, low: list[float], mid: list[float], high: list[float], x_m: list[float] = places
    ) -> Series:
        return Series(of=of, x_m=tuple(x_m), low=tuple(low), mid=tuple(mid), high=tuple(high))

    def falling(of: str, first: float, last: float, doubt: float) -> Series:
        mids = [first + (last - first) * share for share in shares]
        return series(of, [m * (1 - doubt) for m in mids], mids, [m * (1 + doubt) for m in mids])

    step_x, fluid, gut, level, waiting = [0.0], [0.0], [0.0], 0.0, 0.0
    for stop in (*stops, None):
        at = stop.at_m if stop else length_m
        left = max(0.0, waiting - (at - step_x[-1]) / 250)
        step_x.append(at)
        fluid.append(level)
        gut.append(left)
        if stop:
            level += 55 if any(take.texture in ("water", "drink") for take in stop.takes) else 0
            waiting = left + 14
            step_x.append(at)
            fluid.append(level)
            gut.append(waiting)
    loss = [1100 * share**1.1 for share in shares]
    return (
        falling("store.muscle_g", 450, 206, 0.2),
        falling("store.liver_g", 95, 47, 0.35),
        series("store.gut_g", [0.6 * g for g in gut], gut, [1.5 * g for g in gut], step_x),
        series("race.fluid_so_far_ml", [0.73 * f for f in fluid], fluid, [1.27 * f for f in fluid], step_x),
        series("ceiling.fluid_so_far_ml", loss, [1.16 * x for x in loss], [1.36 * x for x in loss]),
        series(
            "race.elapsed_s", *([elapsed_s(x, finish_s, length_m) for x in places] for finish_s in FINISH_S)
        ),
    )


def some_lines(case: Case) -> dict[str, tuple[Line, ...]]:
    start = case.race.gun + timedelta(minutes=6)
    return {
        "loading": (
            Line(
                at=start - timedelta(hours=48),
                until=start - timedelta(hours=24),
                title="First day",
                says="Rice, bread, fruit and juice: 508 g of carbohydrate. Five meals, from the morning on.",
            ),
            Line(
                at=start - timedelta(hours=24),
                until=start,
                title="Second day",
                says="The same again, with less fibre and less fat. Early evening meal.",
            ),
            Line(title="Keep it easy on the gut", says="White bread, rice and pasta; little fat."),
        ),
        "morning": (
            Line(at=start - timedelta(minutes=200), title="Wake up", says=""),
            Line(
                at=start - timedelta(minutes=180),
                title="Breakfast",
                says="Porridge, 1 banana, 2 slices of toast with honey. 1 glass of water or tea.",
            ),
            Line(at=start - timedelta(minutes=90), title="Leave the house", says="Sip when you are thirsty."),
            Line(at=start - timedelta(minutes=20), title="Last toilet", says="The queue takes 10 minutes."),
            Line(at=start - timedelta(minutes=10), title="Drink", says="A cup of water if you are thirsty."),
            Line(at=start - timedelta(minutes=6), title="The gun", says="You cross the line later."),
        ),
        "recovery": (
            Line(title="First half hour", says="Sit down in the shade. Eat what you fancy."),
            Line(title="Evening", says="A normal meal. Drink when you are thirsty. No more than that."),
        ),
    }  # fmt: skip


def a_plan(
    case: Case | None = None,
    *,
    stops: tuple[Stop, ...] | None = None,
    findings: tuple[Finding, ...] = (),
    **changes: Any,
) -> Plan:
    """Return the invented plan; `changes` replace its fields."""
    case = case or a_case()
    stops = some_stops(case) if stops is None else stops
    trace = _figures(case, stops)
    figures: tuple[Figure, ...] = trace.figures
    lines = some_lines(case)
    weighed = "" if "grams" in changes.get("withheld", ()) else "body mass of 2026-11-15, 1 sweat test, "
    schedule = RaceSchedule(
        mode="rate",
        intakes=tuple(Intake(item=take.item, at_m=stop.at_m) for stop in stops for take in stop.takes),
        stops=stops,
        drinking=DrinkingLine(
            amount="half", poured_ml=75, first_station="Tollgate",
            sentence="Thirsty? Drink: half a cup, from Tollgate on. Not thirsty? Run past.",
        ),
        closed_from_m=18_700.0,
        goals=(Goal(name="carbohydrate", value=0, unit="g"),),
        proven=True,
    )  # fmt: skip
    plan = Plan(
        case=case,
        case_code=code(canonical(case)),
        protocols=(
            ProtocolUse(id="position-stands", title="Position stands", edition="2026", code="P36Z-SYW4"),
        ),
        rules=(
            Fired(
                id="D3", protocol="position-stands", gives="race.carb", band="30 to 60 g/h",
                source="burke2011", mark="read2", used=True, why="the race is 1:46 to 2:04",
            ),
            Fired(
                id="D7", protocol="common-practice", gives="race.carb", band="45 to 75 g/h",
                source="practice", mark="practice", used=False, why="the lower rule leads",
            ),
        ),
        figures=figures,
        ceilings=(CeilingUse(on="fluid", kind="so far", figure="ceiling.fluid_so_far_ml"),),
        series=_series(case, stops),
        race=schedule,
        loading=lines["loading"],
        morning=lines["morning"],
        recovery=lines["recovery"],
        if_then=tuple(IfThen(**line._asdict()) for line in IF_THEN),
        basis=f"what Tove Askerby told us, {weighed}forecast of 2026-11-24",
        findings=findings,
        sources=(
            SourceShown(
                key="burke2011", doi="10.1080/02640414.2011.585473",
                cite="Burke LM and others. Carbohydrates for training. J Sports Sci 2011; 29: S17.",
            ),
        ),
    )  # fmt: skip
    return plan.model_copy(update=changes)


def cleared(plan: Plan | None = None) -> Cleared:
    return cleared_after(plan or a_plan(), ())
