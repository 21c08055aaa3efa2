"""A case: an athlete, a race, a course, the weather, the items at hand, the wishes."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Literal, Self
from zoneinfo import ZoneInfo

from pydantic import Field, model_validator

from provand.case.course import Course
from provand.case.crew import Crew, CrewPoint, place_m
from provand.case.fields import number, optional, several, text
from provand.case.intake import Intake
from provand.case.menu import MenuWishes
from provand.case.morning import After, DatedMorning, Morning, dated
from provand.figure import Range
from provand.language import ENGLISH, Tag
from provand.larder.food import Larder
from provand.larder.item import Allergen, Diet, Item
from provand.record import Coded, Record

FORMAT = "provand.case/1"
MAX_FILE_NAME = 255


class Practitioner(Record):
    """Who makes the plan."""

    name: str = text("name printed on everything handed out")
    contact: str = text("how to reach them", default="")
    letterhead: tuple[str, ...] = Field(
        default=(),
        description="up to three lines for the head of each sheet: practice, address, register",
        exclude_if=lambda lines: not lines,
    )
    colour: str = Field(
        default="",
        description="colour of that head, as #97164e; dark enough to be read on white",
        max_length=7,
        exclude_if=lambda colour: not colour,
    )
    says: str = Field(
        default="",
        description="a few own sentences, printed apart from what is computed; no amounts, no drinking",
        max_length=300,
        exclude_if=lambda says: not says,
    )


class Result(Record):
    """A race already run."""

    distance_m: float = number("official distance", 800, 1_000_000)
    finish_s: float = number("finish time", 120, 86_400)
    on: date = Field(description="the day of the race")


class SweatTest(Record):
    """A weighed run: masses nude, voided and towelled; what was drunk, eaten and passed."""

    on: date = Field(description="the day of the test")
    mass_before_kg: float = number("body mass before", 25, 250)
    mass_after_kg: float = number("body mass after", 25, 250)
    drunk_ml: float = number("fluid drunk", 0, 5000)
    eaten_g: float = number("mass of food and gels eaten", 0, 1000, default=0.0)
    urine_ml: float = number("urine passed, measured", 0, 3000)
    kit_gain_kg: float = number("wet kit less dry kit, when weighed in kit", 0, 3, default=0.0)
    duration_s: float = number("duration, half an hour at least", 1800, 30_000)
    speed_m_per_s: float = number("mean speed", 1, 7)
    air_temp_c: float = number("air temperature", -20, 48)
    humidity_frac: float = number("relative humidity", 0.01, 1)
    wind_m_per_s: float = number("wind", 0, 20, default=1.0)
    sun: Literal["clear", "part", "overcast"] = Field(
        default="overcast", description="sky: clear, part or overcast"
    )


class Rehearsed(Record):
    """An item taken in training and kept down."""

    item: str = text("id of the item", longest=40)
    rate_g_per_h: float | None = optional("highest carbohydrate rate at which it was kept down", 0, 150)


class Pocket(Record):
    """Room to carry."""

    name: str = text("name of the pocket, belt or hand", longest=40)
    room_ml: float = number("room in it", 10, 5000)
    carried_by: str = text("who carries it", default="athlete", longest=40)


class Stock(Record):
    """What is at hand of an item for the race."""

    item: str = text("id of the item", longest=40)
    packs_count: float = number("packs at hand", 0, 200)


class Athlete(Record):
    """The athlete, in numbers and refusals; health answers stand elsewhere."""

    name: str = text("name, as printed on the plan")
    born: date | None = Field(default=None, description="birth date; without it nothing personal is issued")
    sex: Literal["female", "male"] | None = Field(
        default=None, description="female or male, where an equation needs it"
    )
    body_mass_kg: float = number("body mass", 25, 250)
    body_mass_on: date = Field(description="the day the mass was measured")
    height_m: float = number("height", 1.2, 2.4)
    results: tuple[Result, ...] = several("races of the last two years")
    sweat_tests: tuple[SweatTest, ...] = several("sweat tests, or none")
    usual_carb_g_per_day: float | None = optional("usual carbohydrate", 0, 1500)
    caffeine_habit_mg_per_day: float | None = optional("usual caffeine", 0, 2000)
    breakfast_caffeine_mg: float = number("caffeine drunk on race morning as usual", 0, 600, default=0.0)
    allergens: tuple[Allergen, ...] = several("allergens to exclude")
    excluded: tuple[str, ...] = several("ingredients to exclude, as words looked for in labels")
    diet: Diet = Field(default="any", description="any, vegetarian or vegan")
    pockets: tuple[Pocket, ...] = several("pockets, with their room")
    rehearsed: tuple[Rehearsed, ...] = several("items rehearsed")
    stock: tuple[Stock, ...] = several(
        "items of which only so much can be carried; of others there is enough"
    )
    refused: tuple[str, ...] = several("ids of items the athlete will not take")
    first_race: bool = Field(default=False, description="true for a first race of this length")
    training_km_per_week: float | None = optional("usual training distance", 0, 300)
    walks: bool = Field(default=False, description="true when walking is planned for much of the course")
    language: Tag = Field(
        default=ENGLISH,
        exclude_if=lambda tag: tag == ENGLISH,
        description="language of what is handed out: en-GB, en-US, es, de, fr or ar",
    )

    @property
    def leaves_out(self) -> bool:
        """Whether anything that others eat must not be served to this athlete."""
        return bool(self.allergens or self.excluded) or self.diet != "any"


class Forbidden(Record):
    """A window in which nothing may be eaten or drunk: a fast, a clinic, sleep, a flight."""

    start: datetime = Field(description="from, local time of the race")
    end: datetime = Field(description="until, local time of the race")
    why: str = text("reason")
    rinse_allowed: bool = Field(default=False, description="true when a mouth rinse is allowed")


class Taken(Record):
    """Something eaten or drunk before the start that no plan foresaw: it counts, and is not planned again."""

    item: str = text("id of the item, where it is one", default="", longest=40)
    portion_frac: float = number("how many packs, or which part of one", 0.05, 20, default=1.0)
    caffeine_mg: float | None = optional("caffeine in it; of an item, its own when left out", 0, 1000)
    fluid_ml: float | None = optional("fluid in it; of an item, its own when left out", 0, 3000)
    at: datetime | None = Field(
        default=None, description="clock time; without one it counts as taken at the start"
    )

    @model_validator(mode="after")
    def _something(self) -> Self:
        if not self.item and self.caffeine_mg is None and self.fluid_ml is None:
            raise ValueError("what was taken needs an item, caffeine or fluid")
        return self


class Race(Record):
    """The race as this athlete runs it."""

    name: str = text("name of the race")
    gun: datetime = Field(description="the gun, as local time of the race")
    zone: str = text("IANA time zone of the race, such as Europe/Dublin", longest=60)
    own_offset_s: Range = number("own start line after the gun", 0, 14_400, default=Range.exact(0.0))
    distance_m: float = number("official distance", 3000, 200_000)
    goal_s: float | None = optional("goal time", 600, 172_800)
    finish_s: Range | None = optional("early to slow finish, around the goal", 600, 172_800)
    cutoff_s: float | None = optional("time limit", 600, 172_800)
    last_toilet_min: float = number("minutes before the start of the last toilet", 0, 180, default=20.0)
    pre_start_drink_ml: float = number(
        "fluid drunk between the last toilet and the start", 0, 1000, default=0.0
    )
    forbidden: tuple[Forbidden, ...] = several("windows in which nothing is taken")
    delay_s: float | None = optional(
        "how much later the start is than first given; loading and breakfast stay where they were", 0, 86_400
    )
    taken: tuple[Taken, ...] = several("eaten or drunk before a start that was delayed")
    medics_phone: str = Field(
        default="",
        description="telephone number of the event's medics, as the event gives it; else left to write in",
        max_length=24,
        exclude_if=lambda phone: not phone,
    )

    @property
    def own_start(self) -> datetime:
        """The middle of the own start, as an aware moment."""
        return self.gun + timedelta(seconds=self.own_offset_s.mid)

    @property
    def first_start(self) -> datetime:
        """The middle of the own start as it was before any delay, in the zone of the race."""
        zone = ZoneInfo(self.zone)
        start = self.own_start if self.gun.tzinfo else self.own_start.replace(tzinfo=zone)
        return (start.astimezone(UTC) - timedelta(seconds=self.delay_s or 0.0)).astimezone(zone)


class Weather(Record):
    """A forecast, as ranges over the hours of the race."""

    air_temp_c: Range = number("air temperature", -20, 48)
    humidity_frac: Range = number("relative humidity", 0.01, 1)
    wind_m_per_s: Range = number("wind as forecast, 10 m above the ground", 0, 25)
    pressure_hpa: float = number("air pressure", 600, 1100, default=1013.0)
    sun: Literal["clear", "part", "overcast"] = Field(description="sky: clear, part or overcast")
    seen_on: date = Field(description="the day of the forecast")


class Override(Record):
    """A target set by hand: who, when, why. Ceilings and flags cannot be overridden."""

    what: str = text("figure it replaces, such as race.target_carb_g_per_h", longest=80)
    value: str = text("the value, as typed")
    by: str = text("name")
    on: date = Field(description="day")
    why: str = text("reason", longest=400)


class Wishes(Record):
    """What the person wants of the schedule."""

    caffeine_mg: float | None = optional("caffeine wished for in the race", 0, 200)
    protocol: str = text(
        "whose rule leads where several apply: position-stands, common-practice, or the name of a protocol "
        "file of your own beside the case",
        default="position-stands",
        longest=MAX_FILE_NAME,
    )
    rehearsed_only: bool = Field(
        default=True, description="only rehearsed items; false by the practitioner's hand alone"
    )
    pinned: tuple[Intake, ...] = several("intakes that stay where they are")
    banned: tuple[str, ...] = several("ids of items not to plan")
    overrides: tuple[Override, ...] = several("targets set by hand, with name, day and reason")
    anchor: tuple[Intake, ...] = several(
        "intakes of an earlier schedule, to stay near; written by a change, and one whose item, station or "
        "place is gone is left out"
    )
    schedule: Literal["solve", "as given"] = Field(
        default="solve",
        description="how the schedule is made, solve or as given: given and pinned intakes are all of it",
    )
    given: tuple[Intake, ...] = several(
        "the whole schedule where it is taken as given, pinned intakes first; written by a change by hand"
    )


class Origin(Record):
    """Where a number of the case comes from: the text as typed, a file, an assumption."""

    kind: Literal["typed", "file", "assumed", "learned"]
    text: str
    on: date | None = None


class Case(Coded):
    """Everything a plan is computed from, but the health answers."""

    format: Literal["provand.case/1"] = Field(default="provand.case/1", description="format of this file")
    invented: bool = Field(default=False, description="true for an invented example: stamped on every page")
    practitioner: Practitioner = Field(description="who makes the plan")
    athlete: Athlete = Field(description="the athlete")
    race: Race = Field(description="the race")
    course: Course = Field(description="the course")
    weather: Weather = Field(description="the forecast")
    items: tuple[Item, ...] = several("items at hand; those of the starter shelf need not be repeated")
    wishes: Wishes = Field(default_factory=Wishes, description="wishes")
    menu: MenuWishes | None = Field(
        default=None, description="the menu before the race", exclude_if=lambda menu: menu is None
    )
    morning: Morning | None = Field(
        default=None, description="race morning", exclude_if=lambda morning: morning is None
    )
    after: After | None = Field(
        default=None, description="after the race", exclude_if=lambda after: after is None
    )
    crew: Crew | None = Field(
        default=None, description="a crew along the course", exclude_if=lambda crew: crew is None
    )
    origins: dict[str, Origin] = Field(
        default_factory=dict, description="where each number comes from, by path"
    )

    @model_validator(mode="after")
    def _items_once(self) -> Self:
        ids = [item.id for item in self.items]
        doubled = sorted({i for i in ids if ids.count(i) > 1})
        if doubled:
            raise ValueError(f"items stand twice: {', '.join(doubled)}")
        return self

    def item(self, item_id: str) -> Item | None:
        """Return the item of that id, or None."""
        return next((item for item in self.items if item.id == item_id), None)

    @property
    def larder(self) -> Larder:
        """The foods that its menu may be laid of: own ones, and those that every larder has."""
        return Larder(() if self.menu is None else self.menu.own_foods)

    @property
    def dated_morning(self) -> DatedMorning | None:
        """Race morning with its clock times as moments before the own start, as it was before any delay."""
        return None if self.morning is None else dated(self.morning, self.race.first_start)

    @property
    def crew_points(self) -> tuple[CrewPoint, ...]:
        """Where a crew stands, in the order of the course."""
        points = () if self.crew is None else self.crew.points
        return tuple(sorted(points, key=lambda point: point.at_m))

    def handed_at(self, at_m: float) -> tuple[str, ...]:
        """Return the ids of what a crew may hand over at a place."""
        here = (point for point in self.crew_points if abs(self.crew_place_m(point) - at_m) < 1.0)
        return next((point.serves for point in here), ())

    def crew_place_m(self, point: CrewPoint) -> float:
        """Return where a crew hands over: at the station beside it, where there is one."""
        return place_m(point, self.course.stations)

    @property
    def next_session_h(self) -> float | None:
        """Hours from the finish to the next hard session; None where nobody says."""
        return None if self.after is None else self.after.next_session_h
