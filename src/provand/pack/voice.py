"""The words that athletes read: times, places, what to take; and what must not be said to whom."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime
from fractions import Fraction
from typing import NamedTuple

from provand.case.case import Case
from provand.case.intake import Source
from provand.figure import Range
from provand.finding import CannotWork, find
from provand.pack.letters import printable
from provand.pack.tongue import in_digits, in_order, named, said, say, spoken
from provand.phrase import Phrase, rounded_number, to_say, trimmed_number
from provand.plan.document import IfThen, Line, Plan, Stop, Take
from provand.plan.withheld import WEIGHTS
from provand.planner.if_then import IfThenLine
from provand.units import clock

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

_TEXTURE_MARK = {
    "gel": "gel", "chew": "chew", "solid": "solid", "drink": "drink",
    "water": "water", "powder": "flask", "capsule": "capsule",
}  # fmt: skip
MARK_WORDS = {
    "gel": to_say("gel"),
    "water": to_say("water"),
    "drink": to_say("sports drink"),
    "chew": to_say("chews"),
    "solid": to_say("solid food"),
    "flask": to_say("your own bottle"),
    "capsule": to_say("capsule"),
    "caffeine": to_say("with caffeine"),
    "rinse": to_say("rinse and spit"),
}
_POURED = {
    "cup": to_say("cup of {name}"),
    "half": to_say("half a cup of {name}"),
    "mouthful": to_say("mouthful of {name}"),
    "rinse": to_say("rinse with {name}, spit out"),
}
_WATER = {
    "cup": to_say("cup of water"),
    "half": to_say("half a cup of water"),
    "mouthful": to_say("mouthful of water"),
    "rinse": to_say("rinse with water, spit out"),
}


def day(on: date) -> str:
    """Return a day in words: `Sunday 6 December 2026`."""
    if spoken().locale:
        return day_of(on, "full")
    return f"{DAYS[on.weekday()]} {on.day} {MONTHS[on.month - 1]} {on.year}"


def short_day(on: date) -> str:
    """Return a day without its year: `Sun 6 Dec`."""
    if spoken().locale:
        return day_of(on, "MMMEd")
    return f"{DAYS[on.weekday()][:3]} {on.day} {MONTHS[on.month - 1][:3]}"


def day_of(on: date, pattern: str) -> str:
    """Return a day as the language spoken writes it; `full`, or the parts it is to hold."""
    from babel.dates import format_date, format_skeleton  # noqa: PLC0415 - only another language needs it

    locale, is_full = spoken().locale, pattern == "full"
    words = format_date(on, "full", locale) if is_full else format_skeleton(pattern, on, locale=locale)
    return words.replace("\u202f", "\u00a0")


def wall_clock(at: datetime) -> str:
    """Return a clock time in 24 hours: `06:45`."""
    return f"{at.hour:02d}:{at.minute:02d}"


def span(low_s: float, high_s: float) -> str:
    """Return two durations as `1:46–2:04`, or one where both print the same."""
    first, last = clock(low_s), clock(high_s)
    return first if first == last else in_order(f"{first}–{last}")


def km(at_m: float) -> str:
    """Return a place in kilometres with one decimal: `4.6`."""
    return in_digits(rounded_number(at_m / 1000, 1))


def whole(value: float) -> str:
    """Return a number without decimals, thousands by comma: `1,100`."""
    return in_digits(rounded_number(value))


def whole_span(value: Range) -> str:
    """Return a range without decimals: `160–280`, or one number where both print the same."""
    first, last = whole(value.low), whole(value.high)
    return first if first == last else f"{first}–{last}"


_PARTS = {
    Fraction(0): "",
    **{Fraction(n, 8): sign for n, sign in enumerate("⅛¼⅜½⅝¾⅞", 1)},
    **{Fraction(n, 3): sign for n, sign in enumerate("⅓⅔", 1)},
}


def _count(pieces: float) -> str:
    """Return how many: `2`, `½`, `1⅛`; of what is neither thirds nor eighths up to three decimals."""
    exact = Fraction(pieces).limit_denominator(24)
    whole_part, rest = divmod(exact, 1)
    if rest not in _PARTS or abs(pieces - exact) > 1e-6:
        return in_digits(trimmed_number(pieces, 3))
    return f"{whole_part or ''}{_PARTS[rest]}" or "0"


_GOT_FROM: dict[Source, str] = {
    "pocket": to_say("pocket"),
    "bag": to_say("bag drop"),
    "station": to_say("station"),
    "crew": to_say("crew"),
    "table": to_say("table"),
}


def take_words(take: Take, case: Case) -> str:
    """Return what is taken, in the athlete's words: `2 × gel`, `3 × chews`, `half a cup of water`."""
    name = take_name(take)
    if take.texture == "water" and take.amount in _WATER:
        return say(_WATER[take.amount])
    if take.amount in _POURED:
        return say(_POURED[take.amount], name=name)
    item = case.item(take.item)
    parts = item.divides_into if item is not None else 1
    if take.texture == "chew" and parts > 1:
        pieces = take.portion_frac * parts
        piece = say("1 piece of {name}", name=name)
        return piece if pieces == 1 else say("{count} × {name}", count=_count(pieces), name=name)
    if take.portion_frac < 1:
        return say("{part} {name}", part=_count(take.portion_frac), name=name)
    count = _count(take.portion_frac)
    return name if take.portion_frac == 1 else say("{count} × {name}", count=count, name=name)


def take_name(take: Take) -> str:
    """Return what a thing is called: ours in the language spoken, another's as it was typed."""
    return say("water") if take.texture == "water" else printable(named(take.name), "items")


CAFFEINE = re.compile(r"caff?ein|koffein|caf[eé][ií]n|ك[اأ]في+ن", re.IGNORECASE)
"""How a name tells its caffeine, in every language that we have."""


def has_unsaid_caffeine(stop: Stop) -> bool:
    """Return whether something taken there holds caffeine and its name, as it is said, does not tell."""
    return any(take.with_caffeine and not CAFFEINE.search(take_name(take)) for take in stop.takes)


def is_fluid(take: Take) -> bool:
    """Return whether the thing is drunk: its words stand in italics."""
    return take.texture in ("water", "drink")


def mark_of_texture(texture: str) -> str:
    """Return the name of the mark of something by its texture."""
    return _TEXTURE_MARK.get(texture, "solid")


def marks_of(take: Take) -> tuple[str, ...]:
    """Return the names of the marks before the words, caffeine last."""
    if take.amount == "rinse":
        first = "rinse"
    elif is_fluid(take) and take.got_from in ("pocket", "bag"):
        first = "flask"
    else:
        first = mark_of_texture(take.texture)
    return (first, "caffeine") if take.with_caffeine else (first,)


class Piece(NamedTuple):
    """Part of a line of words: the text, and whether it is about fluid."""

    text: str
    fluid: bool


def stop_pieces(stop: Stop, case: Case) -> tuple[Piece, ...]:
    """Return everything taken at a stop, in order, fluid last."""
    takes = sorted(stop.takes, key=is_fluid)
    return tuple(Piece(take_words(take, case), is_fluid(take)) for take in takes)


def stop_words(stop: Stop, case: Case) -> str:
    """Return everything taken at a stop in one line: `gel + mouthful of water`."""
    return " + ".join(piece.text for piece in stop_pieces(stop, case))


def stop_marks(stop: Stop) -> tuple[str, ...]:
    """Return the marks of everything taken at a stop, in the order of its words."""
    return tuple(mark for take in sorted(stop.takes, key=is_fluid) for mark in marks_of(take))


def stop_from(stop: Stop) -> str:
    """Return where it comes from: `pocket, then Millrace`."""
    places = []
    for take in sorted(stop.takes, key=is_fluid):
        place = stop.station if take.got_from == "station" else ""
        words = printable(place, "course.stations") or say(_GOT_FROM[take.got_from])
        if words not in places:
            places.append(words)
    told = places[0]
    for more in places[1:]:
        told = say("{place}, then {more}", place=told, more=more)
    return told


def is_rehearsed(stop: Stop) -> bool:
    """Return whether all that is taken at a stop was rehearsed."""
    return all(take.rehearsed for take in stop.takes)


def kinds_of_mark(plan: Plan) -> tuple[str, ...]:
    """Return the marks that a plan uses, each once, in the order of the legend."""
    used = {mark for stop in plan.race.stops for mark in stop_marks(stop)}
    return tuple(mark for mark in MARK_WORDS if mark in used)


FLUID = re.compile(
    r"\b(?:drink\w*|drank|water|sip\w*|thirst\w*|fluids?|cups?|glass(?:es)?|bottles?|flasks?|juice|tea|coffee|cola|milk|"
    r"ml|litres?|mouthfuls?|hydrat\w*)\b",
    re.IGNORECASE,
)
"""Words that make a sentence one about fluid."""
FLUID_ELSEWHERE = re.compile(
    r"\b(?:agua|bebidas?|beber|bid[oó]n\w*|vasos?|tragos?|sorbos?|sed|zumos?|jugos?|leche|caf[eé]|caldo|"
    r"\w*wasser|trink\w*|\w*getränk\w*|becher\w*|flaschen?|schluck\w*|durst\w*|\w*saft|milch|tee|kaffee|"
    r"eau|boissons?|boire|gobelets?|verres?|gorgées?|bidons?|soif|jus|lait|thé)\b"
    r"|ماء|شرب|مشروب|كوب|كأس|رشفة|عطش|عصير|حليب|شاي|قهوة|زجاجة|قارورة",
    re.IGNORECASE,
)
"""The same in the other languages, for names that people type; rather once too often."""


def sentences(text: str) -> list[tuple[str, bool]]:
    """Return a text sentence by sentence, each with whether it is about fluid."""
    return [(part, bool(FLUID.search(part))) for part in re.split(r"(?<=[.!?])\s+", text.strip()) if part]


def told(text: str, words: Iterable[Phrase]) -> list[tuple[str, bool]]:
    """Return a text of the plan in the language spoken, by sentences, each with whether it is about fluid.

    `words` are the sentences as they were put together; without them the text is said as a whole.
    """
    listed = list(words)
    if not listed:
        return sentences(printable(named(text), "plan")) if text else []
    return [(printable(said(one), "plan"), bool(FLUID.search(one.text))) for one in listed]


def title_of(line: Line) -> str:
    """Return the title of a line of the plan in the language spoken."""
    return printable(" ".join(map(said, line.titled)) if line.titled else named(line.title), "plan")


def drinking_words(plan: Plan) -> str:
    """Return the line about thirst in the language spoken."""
    line = plan.race.drinking
    words = " ".join(map(said, line.words)) if line.words else named(line.sentence)
    return printable(words, "race.drinking")


def if_then_words(line: IfThen) -> IfThenLine:
    """Return an if-then line in the language spoken."""
    if line.words:
        return IfThenLine(*(printable(said(one), "race.if_then") for one in line.words))
    return IfThenLine(
        *(printable(named(text), "race.if_then") for text in (line.when, line.then, line.short))
    )


def no_weights(texts: Iterable[str], about: str) -> None:
    """Raise CannotWork where a text tells a weight or an energy to someone who is to see none."""
    for text in texts:
        if found := WEIGHTS.search(text):
            raise CannotWork(find("pack.weight_told", about, word=found[0].strip()))
