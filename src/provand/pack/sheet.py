"""The plan on paper: first what to do, in the athlete's words; then why, figure by figure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any
from zoneinfo import ZoneInfo

from provand.figure import Figure, Range
from provand.finding import Finding, Level, find
from provand.pack.letterhead import is_left_out, letterhead, own_words
from provand.pack.letters import has_unprintable, lines_of, printable
from provand.pack.rulers import ELAPSED
from provand.pack.shapes import Drawing, Words
from provand.pack.strip import WIDTH, course_strip
from provand.pack.svg import written
from provand.pack.tongue import in_order, listed, said, say
from provand.pack.typeset import TYPST_PAPER, Paper, pdf
from provand.pack.voice import (
    day,
    drinking_words,
    if_then_words,
    is_rehearsed,
    km,
    no_weights,
    short_day,
    span,
    stop_from,
    stop_marks,
    stop_pieces,
    title_of,
    told,
    wall_clock,
    whole_span,
)
from provand.pack.withheld import hides
from provand.phrase import to_say
from provand.plan.document import Line, Plan, Stop
from provand.plan.withheld import WEIGHTS, speaks_of
from provand.planner.if_then import EMERGENCY
from provand.protocol.firing import Fired
from provand.units import clock, shown, shown_unit

FOOT_PT = 7.5
FOOT_WIDTH_PT = 415.0
DRAFT = to_say("draft")
DRAFT_WORDS = to_say("Draft, not issued: hand nothing of it out.")
INVENTED = to_say("Invented example: no real person, no real race.")
LEGEND_X, FOOT_ROW = 16.0, 17.0
"""Where the words under a strip that stands alone begin, and how far apart their rows are."""
NO_ADVICE = to_say("Food and drink for sport; no medical advice. Rehearse it first.")
MARK_WORDS = (
    "read: read in the source; read2: read in another text that quotes it; pkg: read in a package; computed: "
    "computed by us from read figures; memory: known, not read; estimate: our estimate; practice: common "
    "practice, no source."
)
KEY_FIGURES = {
    "race.finish_s": "Finish",
    "race.target_carb_g_per_h": "Carbohydrate, target",
    "race.carb_g_per_h": "Carbohydrate, planned",
    "race.carb_g_per_race": "Carbohydrate, planned",
    "demand.carb_use_g_per_h": "Carbohydrate, use",
    "race.planned_fluid_ml_per_race": "Fluid, planned",
    "sweat.goal_ml_per_h": "Sweat, at goal pace",
    "race.sodium_mg_per_race": "Sodium, planned",
    "race.caffeine_mg_per_race": "Caffeine, planned",
    "caffeine.peak_mg": "Caffeine, most in the body",
    "load.dose_g_per_kg_per_day": "Loading",
    "load.usual_g_per_kg_per_day": "Usual day",
    "load.carb_g_per_day": "Loading",
    "store.muscle_g": "Muscle store, at the finish",
    "store.liver_g": "Liver store, at the finish",
    "store.gut_g": "Still in the gut, at the finish",
    "body.water_change_ml": "Body water, change",
    "heat.wbgt_c": "Heat load (WBGT)",
    "ceiling.fluid_so_far_ml": "Fluid, ceiling",
    "ceiling.caffeine_once_mg": "Caffeine at once, ceiling",
    "ceiling.one_sugar_g_per_h": "One sugar, ceiling",
    "athlete.body_mass_kg": "Body mass",
}
"""What a practitioner looks at first, in this order."""
_LONG = {"carb": "carbohydrate", "conc": "concentration", "temp": "temperature", "pct": "percent"}


def own_start(plan: Plan) -> tuple[datetime, datetime]:
    """Return the earliest and latest moment of the athlete's own start, in the zone of the race."""
    zone = ZoneInfo(plan.case.race.zone)
    gun = plan.case.race.gun
    gun = gun.replace(tzinfo=zone) if gun.tzinfo is None else gun
    offset = plan.case.race.own_offset_s
    utc = gun.astimezone(ZoneInfo("UTC"))
    return tuple((utc + timedelta(seconds=s)).astimezone(zone) for s in (offset.low, offset.high))  # type: ignore[return-value]  # two of them


def own_start_words(plan: Plan, joint: str) -> str:
    """Return the own start by the clock: one time, or two joined where they print apart."""
    first, last = map(wall_clock, own_start(plan))
    return first if first == last else in_order(f"{first}{joint}{last}")


def own_start_said(plan: Plan) -> str:
    """Return the own start by the clock as a sentence holds it: `06:31 to 06:34`."""
    first, last = map(wall_clock, own_start(plan))
    return first if first == last else say("{first} to {last}", first=first, last=last)


def finish(plan: Plan) -> Range | None:
    """Return early, goal and slow finish in seconds, or None where the plan has no times."""
    series = plan.series_of(ELAPSED)
    if series is not None:
        return Range(low=series.low[-1], mid=series.mid[-1], high=series.high[-1])
    return plan.case.race.finish_s


def foot(plan: Plan) -> str:
    """Return what stands at the foot of every sheet: for whom, by whom, on what information."""
    who, maker = (
        printable(plan.case.athlete.name, "athlete.name"),
        printable(plan.case.practitioner.name, "practitioner.name"),
    )
    race, on = printable(plan.case.race.name, "race.name"), day(plan.case.race.gun.date())
    made = say(
        "Made for {athlete} by {maker}, for the {race}, {day}.", athlete=who, maker=maker, race=race, day=on
    )
    return f"{made} {basis_words(plan)} {say(NO_ADVICE)}"


def foot_lines(text: str) -> int:
    """Return how many lines the foot of an upright sheet takes, with the sentence about the code."""
    return len(
        lines_of(
            f"{text} {say('Only the copy with the code {code} counts.', code='XXXX-XXXX')}",
            "sans",
            FOOT_PT,
            FOOT_WIDTH_PT,
        )
    )


def basis_words(plan: Plan) -> str:
    """Return on what information the plan rests, as a sentence."""
    told = plan.basis
    if plan.rests_on:
        told = listed(map(said, plan.rests_on))
    return say("From {what}.", what=printable(told, "basis").rstrip("."))


def common(plan: Plan, title: str, paper: Paper, *, draft: bool = False) -> dict[str, Any]:
    """Return the data that every sheet of a plan needs; a draft carries no code, so that none can count."""
    who, race = printable(plan.case.athlete.name, "athlete.name"), printable(plan.case.race.name, "race.name")
    return {
        "title": say("{piece}: {athlete}, {race}", piece=title, athlete=who, race=race),
        "made_by": printable(plan.case.practitioner.name, "practitioner.name"),
        "paper": TYPST_PAPER[paper],
        "foot": foot(plan),
        "foot_lines": foot_lines(foot(plan)),
        "code": say(DRAFT) if draft else plan.code,
        "draft": draft,
        "invented": plan.case.invented,
        "struck": plan.time_struck,
        "letterhead": letterhead(plan.case.practitioner),
        "own": own_words(plan),
    }


def _fact(label: str, value: str, note: str = "", *, share: int = 2, large: bool = False) -> dict[str, Any]:
    return {"label": label, "value": value, "note": note, "share": share, "large": large}


def head(plan: Plan, code: str) -> list[list[dict[str, Any]]]:
    """Return the two rows of the box at the head of the first page."""
    case, first = plan.case, own_start(plan)[0]
    start = own_start_words(plan, "–")
    gun = "" if wall_clock(case.race.gun) == start else f"; gun {wall_clock(case.race.gun)}"
    where = f"{short_day(first.date())} {first.year}, {case.race.zone}{gun}"
    names = [
        _fact("Athlete", printable(case.athlete.name, "athlete.name"), share=4),
        _fact("Race", printable(case.race.name, "race.name"), f"{km(case.course.length_m)} km", share=5),
        _fact("Code", code),
    ]
    facts = [_fact("Your own start", start, where, share=6, large=True)]
    times = finish(plan)
    if times is not None and not plan.time_struck:
        facts.append(_fact("Finish", clock(times.mid), span(times.low, times.high), share=3, large=True))
    seen = f"forecast of {short_day(case.weather.seen_on)}"
    return [
        names,
        [*facts, _fact("Weather", f"{whole_span(case.weather.air_temp_c)} °C", seen, share=3, large=True)],
    ]


def _stop_row(stop: Stop, plan: Plan) -> dict[str, Any]:
    pieces = stop_pieces(stop, plan.case)
    take = [
        {"text": f"+ {piece.text}" if place else piece.text, "fluid": piece.fluid}
        for place, piece in enumerate(pieces)
    ]
    return {
        "goal": clock(stop.goal_s),
        "around": span(stop.early_s, stop.slow_s),
        "km": km(stop.at_m),
        "marks": stop_marks(stop),
        "take": take,
        "state": "" if is_rehearsed(stop) else say("not rehearsed"),
        "from": stop_from(stop),
    }


def _finish_row(plan: Plan) -> dict[str, str]:
    times = finish(plan)
    goal, around = ("", "") if times is None else (clock(times.mid), span(times.low, times.high))
    return {"goal": goal, "around": around, "km": km(plan.case.course.length_m)}


def _line(entry: Line) -> dict[str, Any]:
    at = wall_clock(entry.at) if entry.at else ""
    says = told(entry.says, entry.words)
    if entry.at and entry.until:
        until = say("Until {day}, {at}.", day=short_day(entry.until.date()), at=wall_clock(entry.until))
        says = [(until, False), *says]
    return {"at": at, "title": title_of(entry), "says": _italic(says)}


def _italic(sentences: Iterable[tuple[str, bool]]) -> list[dict[str, Any]]:
    """Return sentences for a template; those of fluid stand in italics."""
    return [{"text": sentence, "fluid": fluid} for sentence, fluid in sentences]


def _days(lines: Iterable[Line], undated: str) -> list[dict[str, Any]]:
    """Return lines under their days, in order; those without a moment stand last, under their own name."""
    listed = list(lines)
    dated = sorted((entry for entry in listed if entry.at), key=_moment)
    days = [
        (day(on), list(entries)) for on, entries in groupby(dated, key=lambda entry: _moment(entry).date())
    ]
    days.append((undated, [entry for entry in listed if not entry.at]))
    return [{"name": name, "lines": [_line(entry) for entry in entries]} for name, entries in days if entries]


def _moment(entry: Line) -> datetime:
    assert entry.at is not None
    return entry.at


def cautions(plan: Plan) -> tuple[Finding, ...]:
    """Return what must be known beside the plan: notes, warnings, parts withheld; gravest first."""
    shown_levels = (Level.WARN, Level.WITHHELD, Level.NOTE)
    found = [finding for finding in plan.findings if finding.level in shown_levels] + _signs_left_out(plan)
    if is_left_out(plan):
        found.append(find("letterhead.left_out", "practitioner.says"))
    if "grams" in plan.withheld:
        found = [finding for finding in found if not WEIGHTS.search(finding.line())]
    return tuple(sorted(found, key=lambda finding: shown_levels.index(finding.level)))


def begun(sentence: str) -> str:
    """Return a sentence with a capital, unless it begins with a name such as course.gpx."""
    first = sentence.split(" ", 1)[0]
    return sentence[:1].upper() + sentence[1:] if first.isalpha() else sentence


def _signs_left_out(plan: Plan) -> list[Finding]:
    case = plan.case
    names = {
        "athlete.name": case.athlete.name,
        "race.name": case.race.name,
        "practitioner.name": case.practitioner.name,
    }
    names |= {item.id: item.name for item in case.items} | {s.name: s.name for s in case.course.stations}
    return [
        find("pack.sign_left_out", about, text=printable(name, about))
        for about, name in names.items()
        if has_unprintable(name)
    ]


def caution_numbers(plan: Plan) -> dict[str, int]:
    """Return the numbers of the cautions by what they are about, the first where one thing has several."""
    numbers: dict[str, int] = {}
    for number, finding in enumerate(cautions(plan), 1):
        numbers.setdefault(finding.about, number)
    return numbers


def figure_name(figure_id: str) -> str:
    """Return the name of a figure for readers: its id less group and unit."""
    words = figure_id.rsplit(".", 1)[-1]
    unit = re.search(r"_(?:[a-z0-9]+)(?:_per_[a-z0-9]+)*$", words)
    name = words[: unit.start()] if unit else words
    return " ".join(_LONG.get(word, word) for word in name.split("_"))


def unit_words(figure: Figure) -> str:
    """Return unit and denominator in words: `g per hour`; `ml, whole race`."""
    if figure.unit == "s":
        return "h:min:s"
    unit = shown_unit(figure.unit.split("/")[0])
    per = figure.denominator.replace("per c", "per °C")
    if per == "one value":
        return unit
    return f"{unit}, {per}".strip(", ") if per == "whole race" else f"{unit} {per}".strip()


def _signed(number: str) -> str:
    return number.replace("-", "−", 1) if number.startswith("-") else number


def _is_chosen(plan: Plan) -> bool:
    """Return whether a loading dose was ticked; without a tick the middle of the band is no target."""
    dose = plan.figure("load.dose_g_per_kg_per_day")
    return dose is not None and dose.how == "chosen"


def _made_by(figure: Figure, plan: Plan) -> str:
    """Return what made a figure; of words that speak of a withheld part only the kind is left."""
    if figure.by == figure.how or speaks_of(figure.by, plan.withheld):
        return figure.how
    return f"{figure.how}: {figure.by}"


def figure_row(figure: Figure, plan: Plan) -> dict[str, Any]:
    value, unit = figure.value, figure.unit
    number, low, high = (_signed(shown(end, unit)) for end in (value.mid, value.low, value.high))
    ends = "" if value.is_single else f"{low} to {high}"
    if value.means == "band" and figure.id.startswith("load.") and not _is_chosen(plan):
        number, ends = ends, "a band: nothing in it is chosen yet"
    ceiling = next((ceiling for ceiling in plan.ceilings if ceiling.figure == figure.id), None)
    if ceiling is not None:
        so_far = ceiling.kind == "so far"
        number = f"≤ {high if so_far else low}"
        ends = "at the finish; less before" if so_far else "never above"
    return {
        "id": figure.id,
        "name": figure_name(figure.id),
        "value": number,
        "range": ends,
        "unit": unit_words(figure),
        "by": printable(_made_by(figure, plan), figure.id),
        "source": " ".join(part for part in (figure.source, figure.at) if part),
        "mark": figure.mark or "",
        "caveats": [caveat.sentence for caveat in figure.caveats],
    }


def key_figures(plan: Plan) -> list[dict[str, Any]]:
    """Return the rows of the figures that a practitioner looks at first."""
    seen = {figure.id: figure for figure in plan.figures if not hides(plan, figure.id)}
    return [
        figure_row(seen[figure_id], plan) | {"name": name}
        for figure_id, name in KEY_FIGURES.items()
        if figure_id in seen
    ]


def _rule(rule: Fired) -> dict[str, Any]:
    words = rule.model_dump(include={"id", "protocol", "gives", "band", "source", "mark", "why", "override"})
    return {"used": rule.used, **{key: printable(text or "", rule.id) for key, text in words.items()}}


def _why(plan: Plan) -> dict[str, Any]:
    """Return figures, rules and sources; none of them for someone who is to see no weights."""
    if "grams" in plan.withheld:
        return {"key": [], "rules": [], "sources": []}
    return {
        "key": key_figures(plan),
        "rules": [_rule(rule) for rule in plan.rules if not hides(plan, rule.gives)],
        "sources": [
            {"key": source.key, "cite": f"{source.cite} doi {source.doi}" if source.doi else source.cite}
            for source in plan.sources
        ],
    }


def _notes(plan: Plan) -> list[str]:
    """Return what stands under the table of stops."""
    if not plan.race.stops:
        return []
    closed = f"Eat nothing after {km(plan.race.closed_from_m)} km: it comes too late to help."
    return [closed] if plan.time_struck else ["Times count from your own start, not from the gun.", closed]


def plan_data(plan: Plan, paper: Paper, *, draft: bool = False) -> dict[str, Any]:
    """Return everything that the sheet prints."""
    data = common(plan, "Race plan", paper, draft=draft)
    data |= {
        "head": head(plan, data["code"]),
        "stops": [_stop_row(stop, plan) for stop in plan.race.stops],
        "finish": _finish_row(plan),
        "notes": _notes(plan),
        "drinking": drinking_words(plan),
        "days": _days(plan.loading, "All these days"),
        "morning": _days(plan.morning, "Race morning"),
        "if_then": [if_then_words(entry)._asdict() for entry in plan.if_then],
        "emergency": say(EMERGENCY),
        "stand_ins": _italic(part for one in plan.stand_ins for part in told(one.says, one.words)),
        "after": [_line(entry) for entry in plan.recovery],
        "contact": printable(plan.case.practitioner.contact, "practitioner.contact"),
        "cautions": [
            {"number": number, "says": begun(finding.sentence), "next": finding.next_step}
            for number, finding in enumerate(cautions(plan), 1)
        ],
        **_why(plan),
        "protocols": [
            printable(f"{protocol.title}, edition {protocol.edition}, code {protocol.code}", protocol.id)
            for protocol in plan.protocols
        ],
        "mark_words": MARK_WORDS,
        "basis": basis_words(plan),
        "no_advice": NO_ADVICE,
    }
    return data


def texts(data: Any) -> Iterable[str]:
    """Yield every text inside plain data."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for value in data.values():
            yield from texts(value)
    elif isinstance(data, list | tuple):
        for value in data:
            yield from texts(value)


def strip_alone(plan: Plan, *, draft: bool = False) -> Drawing:
    """Return the course strip as a picture of its own, with the foot of every sheet and the code under it."""
    strip = course_strip(plan, caution_numbers(plan))
    counts = DRAFT_WORDS if draft else f"Only the copy with the code {plan.code} counts."
    marked = [INVENTED] if plan.case.invented else []
    rows = [*lines_of(foot(plan), "condensed", 12, WIDTH - 2 * LEGEND_X), *marked, counts]
    words = [
        Words("note" if row is not counts else "name", LEGEND_X, strip.height + FOOT_ROW * (n + 0.5), row)
        for n, row in enumerate(rows)
    ]
    return replace(strip, height=strip.height + FOOT_ROW * (len(rows) + 0.5), shapes=(*strip.shapes, *words))


def plan_sheet(plan: Plan, paper: Paper, *, draft: bool = False) -> bytes:
    """Return the plan as a PDF on that paper; a draft says so on every sheet."""
    strip = course_strip(plan, caution_numbers(plan))
    data = plan_data(plan, paper, draft=draft) | {"strip": strip.says}
    if "grams" in plan.withheld:
        no_weights(texts(data), "plan.pdf")
    return pdf("plan.typ", data, pictures={"strip.svg": written(strip, "print")})
