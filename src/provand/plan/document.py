"""The plan: an immutable document in which every figure explains itself, and the one way to clear it."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, Literal, Self

from pydantic import Field, ValidationError, model_validator

from provand.case.case import Case
from provand.case.intake import Amount, Intake, Source
from provand.case.menu import MealName
from provand.figure import Figure, Range, Series
from provand.finding import BadInput, Finding, Level, OnHold, catalogue, find
from provand.larder.food import Kitchen
from provand.larder.shopping import ShoppingLine
from provand.phrase import Phrase, text_of
from provand.protocol.firing import Fired
from provand.record import Coded, Record

FORMAT = "provand.plan/1"
Mode = Literal["rate", "small", "rinse", "none"]
"""How the race is fuelled: by a rate; by small amounts or rinses under 75 min; rinses alone; nothing."""


class Take(Record):
    """One thing taken at a stop."""

    item: str
    name: str
    texture: str
    portion_frac: float
    amount: Amount
    got_from: Source
    with_caffeine: bool = False
    rehearsed: bool = True


class Stop(Record):
    """A place where something is taken: all that happens there, and what has been had so far."""

    at_m: float
    early_s: float
    goal_s: float
    slow_s: float
    station: str = ""
    takes: tuple[Take, ...]
    carb_so_far_g: Range | None = None
    fluid_so_far_ml: Range | None = None
    pinned: bool = False


def _unless_empty() -> Any:
    """Return the default of what is kept only where there is some: a plan without it is as it was."""
    return Field(default=(), exclude_if=lambda kept: not kept)


def _same_text(text: str, words: tuple[Phrase, ...]) -> None:
    if words and text != text_of(words):
        raise ValueError("the text is not what its words say")


class DrinkingLine(Record):
    """The one line about thirst, and what was counted for it at every station it covers.

    `words` are the sentence as it was put together.
    """

    amount: Literal["cup", "half", "mouthful", "none"]
    poured_ml: float = Field(json_schema_extra={"bounds": [0, 1000]})
    first_station: str = ""
    sentence: str
    words: tuple[Phrase, ...] = _unless_empty()

    @model_validator(mode="after")
    def _says_its_words(self) -> Self:
        _same_text(self.sentence, self.words)
        return self


class IfThen(Record):
    """One line: if this happens, then do that; `short` is the whole line for the strip.

    `words` are the three as they were put together; a line without facts needs none.
    """

    when: str
    then: str
    short: str
    words: tuple[Phrase, ...] = Field(default=(), exclude_if=lambda kept: not kept, max_length=3)

    @model_validator(mode="after")
    def _says_its_words(self) -> Self:
        if self.words and [one.text for one in self.words] != [self.when, self.then, self.short]:
            raise ValueError("the line is not what its words say")
        return self

    @classmethod
    def of(cls, when: Phrase, then: Phrase, short: Phrase) -> Self:
        """Return the line of its sentences."""
        return cls(when=when.text, then=then.text, short=short.text, words=(when, then, short))


class Goal(Record):
    """One goal of the schedule, in order: its name, the value reached, its unit."""

    name: str
    value: int
    unit: str


class RaceSchedule(Record):
    """What is taken where, in order; the drinking line; which goals were reached, with proof."""

    mode: Mode
    intakes: tuple[Intake, ...]
    stops: tuple[Stop, ...]
    drinking: DrinkingLine
    closed_from_m: float
    rinses_m: tuple[float, ...] = ()
    goals: tuple[Goal, ...] = ()
    proven: bool = False


class Line(Record):
    """One dated line of the days and hours around the race: when, what to do, which figures it rests on.

    `titled` is the title as it was put together, where it holds facts; `words` are the sentences of `says`.
    """

    at: datetime | None = None
    until: datetime | None = None
    title: str
    says: str
    figures: tuple[str, ...] = ()
    titled: tuple[Phrase, ...] = _unless_empty()
    words: tuple[Phrase, ...] = _unless_empty()

    @model_validator(mode="after")
    def _says_its_words(self) -> Self:
        _same_text(self.title, self.titled)
        _same_text(self.says, self.words)
        return self

    @classmethod
    def of(
        cls,
        title: str | Phrase,
        *words: Phrase,
        at: datetime | None = None,
        until: datetime | None = None,
        figures: tuple[str, ...] = (),
    ) -> Self:
        """Return a line of a title and sentences; a title that is a text is said as it stands."""
        titled = (title,) if isinstance(title, Phrase) else ()
        return cls(
            at=at, until=until, title=str(title), says=text_of(words), figures=figures, titled=titled,
            words=words,
        )  # fmt: skip

    def saying(self, *words: Phrase, figures: tuple[str, ...] | None = None) -> Self:
        """Return the line with other sentences, and other figures if any are given."""
        kept = self.figures if figures is None else figures
        return self.model_copy(update={"says": text_of(words), "words": words, "figures": kept})


class StandIn(Record):
    """What may stand in for an item when it is lost, or which stations have only water: a sentence.

    `what` is the item or the stations as the athlete calls them; `item` and `instead` are ids, empty for
    stations and where nothing is known to be safe.
    """

    what: str
    item: str = ""
    instead: tuple[str, ...] = ()
    says: str
    words: tuple[Phrase, ...] = _unless_empty()

    @model_validator(mode="after")
    def _says_its_words(self) -> Self:
        _same_text(self.says, self.words)
        return self

    @classmethod
    def of(cls, what: str, *words: Phrase, item: str = "", instead: tuple[str, ...] = ()) -> Self:
        """Return a stand-in of its sentences."""
        return cls(what=what, item=item, instead=instead, says=text_of(words), words=words)


class MenuFood(Record):
    """A food on a meal: household portions in words, what they weigh and hold."""

    food: str
    name: str
    portions_count: float
    says: str
    mass_g: float
    carb_g: Range
    pinned: bool = False


class MenuMeal(Record):
    """A meal of the menu, with its carbohydrate and what that comes to since its 24 hours began."""

    on: date
    meal: MealName
    at: datetime
    kitchen: Kitchen
    block: int
    foods: tuple[MenuFood, ...]
    carb_g: Range
    so_far_g: Range


class MenuBlock(Record):
    """24 hours of the menu, with the figures that add them up."""

    start: datetime
    end: datetime
    figures: tuple[str, ...]


class MenuPlan(Record):
    """The menu as it is laid: each 24 hours, each meal, and what is to be bought for it."""

    target: str
    blocks: tuple[MenuBlock, ...]
    meals: tuple[MenuMeal, ...]
    shopping: tuple[ShoppingLine, ...]


class CeilingUse(Record):
    """A ceiling that bound this plan: always there, never none."""

    on: Literal["fluid", "caffeine at once", "caffeine in 24 hours", "one sugar"]
    kind: Literal["so far", "single", "day", "rate"]
    figure: str


class ProtocolUse(Record):
    """A protocol by id, edition and the code of its text."""

    id: str
    title: str
    edition: str
    code: str


class SourceShown(Record):
    """A source of this plan, with everything that rests on it."""

    key: str
    cite: str
    doi: str = ""


class Plan(Coded):
    """The controlled document. It carries no day, no number and no program version."""

    format: Literal["provand.plan/1"] = "provand.plan/1"
    case: Case
    case_code: str
    protocols: tuple[ProtocolUse, ...]
    rules: tuple[Fired, ...]
    figures: tuple[Figure, ...]
    ceilings: tuple[CeilingUse, ...]
    series: tuple[Series, ...]
    race: RaceSchedule
    loading: tuple[Line, ...]
    menu: MenuPlan | None = Field(default=None, exclude_if=lambda menu: menu is None)
    morning: tuple[Line, ...]
    recovery: tuple[Line, ...]
    if_then: tuple[IfThen, ...]
    stand_ins: tuple[StandIn, ...] = ()
    withheld: tuple[str, ...] = ()
    time_struck: bool = False
    basis: str
    rests_on: tuple[Phrase, ...] = _unless_empty()
    findings: tuple[Finding, ...]
    sources: tuple[SourceShown, ...]

    @model_validator(mode="after")
    def _rests_on_its_basis(self) -> Self:
        if self.rests_on and self.basis != ", ".join(one.text for one in self.rests_on):
            raise ValueError("the basis is not what its parts say")
        return self

    def figure(self, figure_id: str) -> Figure | None:
        """Return the figure of that id, or None."""
        return next((figure for figure in self.figures if figure.id == figure_id), None)

    def series_of(self, figure_id: str) -> Series | None:
        """Return the series of that figure, or None."""
        return next((series for series in self.series if series.of == figure_id), None)


def plan_of(data: bytes) -> Plan:
    """Return the plan in its canonical bytes, which are those of its code."""
    plan = Plan.model_validate_json(data)
    plan.__dict__["as_bytes"] = data
    return plan


def read_plan(data: bytes, name: str) -> Plan:
    """Return the plan in the bytes of a plan file, whose code is then the same as when it was written.

    Raises BadInput where they are no plan, of another format, or hold a remark that is not known here.
    """
    try:
        plan = Plan.model_validate_json(data)
        unknown = [f.code for f in plan.findings if f.code not in catalogue()]
        _ = [finding.line() for finding in plan.findings if not unknown]
    except ValidationError as error:
        where = ".".join(str(part) for part in error.errors()[0]["loc"]) or "its first line"
        raise BadInput(find("plan.no_plan_file", name, where=where)) from None
    except KeyError as error:
        raise BadInput(find("plan.no_plan_file", name, where=f"findings, {error}")) from None
    if unknown:
        raise BadInput(find("plan.no_plan_file", name, where=f"findings, {unknown[0]}"))
    return plan


_STOPS = {Level.HOLD, Level.REFER, Level.BREACH, Level.FAULT}


class Cleared:
    """A plan that may be handed out; only `provand.plan.review.clear` makes one."""

    __slots__ = ("plan",)
    plan: Plan

    def __init__(self) -> None:
        raise TypeError("only provand.plan.review.clear makes a cleared plan")


def cleared_after(plan: Plan, gate: tuple[Finding, ...]) -> Cleared:
    """Return the plan as cleared, or raise OnHold with every finding that stands in the way.

    `gate` are the findings of safety's gate on this very plan. Only `provand.plan.review.clear`, which asks
    the gate itself, calls this in the program; a house test holds that.
    """
    standing = [finding for finding in (*plan.findings, *gate) if finding.level in _STOPS]
    if standing:
        raise OnHold(*standing)
    cleared = object.__new__(Cleared)
    object.__setattr__(cleared, "plan", plan)
    return cleared
