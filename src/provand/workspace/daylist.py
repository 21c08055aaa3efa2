"""The day's list: who races when, how far each race file is, what is due, what is on hold.

A line is worked out from the case, the health entries and what was issued, and kept beside the race file
with the key of all that it rests on, so that a full day opens as quickly as an empty one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from datetime import date, datetime, timedelta
from typing import Any, Literal, NamedTuple
from uuid import UUID
from zoneinfo import ZoneInfo

from provand.case.ageing import MASS_LASTS_DAYS
from provand.case.case import Case
from provand.case.health import Health
from provand.finding import Finding
from provand.protocol.rules import value
from provand.record import Record, canonical
from provand.safety.screening import screen
from provand.units import clock
from provand.workspace import access
from provand.workspace.access import Seen
from provand.workspace.healths import health_of
from provand.workspace.models import Desk, Issue
from provand.workspace.noted import case_of
from provand.workspace.notes import open_incidents

State = Literal["done", "due", "later", "hold"]
CHECKS_DAYS = (7, 3, 1)
"""Days before the race on which the forecast is looked at again (the trade's habit; no source)."""
ISSUE_DAYS = 14
"""Ours: from so many days before the race a plan that nobody holds is due."""
LOOKS_BACK_DAYS, LOOKS_AHEAD_DAYS = 7, 35
PAGE, MOST_CALLS = 12, 8
"""Lines on a page, and so many that are due, or held, are told at once."""
DUE, DUE_PRIVATELY, HELD = "due", "private", "held"
HEAVY = ("typed", "standing__text", "standing__typed")
"""Texts of a race file that a list does not show; they are read where a line is worked out anew."""


class Stop(Record):
    """A stage of the work on a race, and how far it is."""

    name: str
    state: State


class Due(Record):
    """Something to do now; `part` names the page that it is done on."""

    says: str
    part: Literal["file", "screening", "plan", "issue"]


class Line(Record):
    """One race on the day's list: what anybody may know who sees the athlete."""

    athlete: str
    race: str
    race_day: date
    own_start: str = ""
    goal: str = ""
    stops: tuple[Stop, ...] = ()
    due: tuple[Due, ...] = ()
    held: bool = False
    code: str = ""


class Private(Record):
    """What only a practitioner may know of it: why it is on hold, which letter is out, which answers age."""

    reasons: tuple[str, ...] = ()
    due: tuple[Due, ...] = ()


class Shown(NamedTuple):
    """A line as a page shows it to one person."""

    desk: Desk
    line: Line
    private: Private

    @property
    def things(self) -> tuple[Due, ...]:
        """What is due, by anybody and by a practitioner."""
        return (*self.line.due, *self.private.due)


class Called(NamedTuple):
    """The first of the lines that call for something, and how many there are in all."""

    lines: list[Shown]
    in_all: int

    @property
    def more(self) -> int:
        """How many stand further down the list."""
        return self.in_all - len(self.lines)


class Day(NamedTuple):
    """The day as one person sees it: a page of the coming races, what is due and who is held among all."""

    lines: list[Shown]
    in_all: int
    due: Called
    held: Called


def day_of(seen: Seen, *, today: date, page: int = 1) -> Day:
    """Return the day's list; a line is worked out anew where anything it rests on has come since."""
    first, last = today - timedelta(days=LOOKS_BACK_DAYS), today + timedelta(days=LOOKS_AHEAD_DAYS)
    marked = seen.desks_between(first, last)
    stale = [one.pk for one in marked if one.line_key != _key(one, today)]
    worked_out = {desk.pk: _work_out(desk, today) for desk in access.with_marks(access.desks(stale))}
    calls = {one.pk: worked_out.get(one.pk, one.line_calls).split() for one in marked}
    wanted = (DUE, DUE_PRIVATELY) if seen.user.is_practitioner else (DUE,)
    due = [key for key, said in calls.items() if set(said) & set(wanted)]
    held = [key for key, said in calls.items() if HELD in said]
    here = [one.pk for one in marked[(page - 1) * PAGE : page * PAGE]]
    lines = _shown({*here, *due[:MOST_CALLS], *held[:MOST_CALLS]}, seen)
    return Day(
        [lines[key] for key in here],
        len(marked),
        Called([lines[key] for key in due[:MOST_CALLS]], len(due)),
        Called([lines[key] for key in held[:MOST_CALLS]], len(held)),
    )


def lines_ahead(seen: Seen, *, today: date) -> list[Shown]:
    """Return the lines of every race seen from today on, as far as the day's list looks ahead, in order."""
    marked = seen.desks_between(today, today + timedelta(days=LOOKS_AHEAD_DAYS))
    stale = [one.pk for one in marked if one.line_key != _key(one, today)]
    for desk in access.with_marks(access.desks(stale)):
        _work_out(desk, today)
    lines = _shown([one.pk for one in marked], seen)
    return [lines[one.pk] for one in marked]


def _shown(keys: Collection[UUID], seen: Seen) -> dict[UUID, Shown]:
    """Return the kept lines of race files, by their keys."""
    found = {}
    for desk in access.desks(keys).defer(*HEAVY):
        private = Private.model_validate_json(desk.line_private or "{}")
        known = private if seen.user.is_practitioner else Private()
        found[desk.pk] = Shown(desk, Line.model_validate_json(desk.line), known)
    return found


def _key(desk: Any, today: date) -> str:
    """Return what a line rests on: the day, the race file, and the last row of each kind."""
    marks = (getattr(desk, name) or 0 for name in access.MARKS)
    return "/".join([today.isoformat(), str(desk.revision), str(desk.standing_id), *map(str, marks)])


def _work_out(desk: Desk, today: date) -> str:
    """Work a line out and keep it, and return what it calls for; a copy leaves no audit row."""
    line, private = line_of(desk, today=today)
    calls = {DUE: line.due, DUE_PRIVATELY: private.due, HELD: line.held}
    said = " ".join(name for name, is_so in calls.items() if is_so)
    Desk.objects.filter(pk=desk.pk).update(
        line=canonical(line).decode("utf-8"),
        line_private=canonical(private).decode("utf-8"),
        line_key=_key(desk, today),
        line_calls=said,
    )
    return said


def line_of(desk: Desk, *, today: date) -> tuple[Line, Private]:
    """Return the line of a race file on a day."""
    athlete, _, race = desk.title.partition(", ")
    day = desk.race_day or today
    if desk.standing is None:
        first = Due(says="the race file is not complete", part="file")
        stops = (Stop(name="race file", state="due"), *(Stop(name=n, state="later") for n in STAGES[1:]))
        return Line(athlete=athlete, race=race, race_day=day, stops=stops, due=(first,)), Private()
    case, health = case_of(desk.standing), health_of(desk.athlete)
    screening, reasons = screen(case, health, as_of=today)
    issue = _current(desk)
    held = not screening.may_issue
    due = (*_incidents(desk), *_due(case, issue, today, held=held))
    return (
        Line(
            athlete=case.athlete.name,
            race=case.race.name,
            race_day=case.race.gun.date(),
            own_start=f"{_own_start(case):%H:%M}",
            goal=clock(case.race.goal_s) if case.race.goal_s else "",
            stops=tuple(_stops(case, issue, today, held=held)),
            due=due,
            held=held,
            code=issue.plan.code if issue else "",
        ),
        Private(
            reasons=tuple(_sentence(one) for one in reasons) if held else (),
            due=tuple(_private_due(health, case)),
        ),
    )


STAGES = ("race file", "screening", "issued", *(f"forecast, {days} d" for days in CHECKS_DAYS), "race")


def _stops(case: Case, issue: Issue | None, today: date, *, held: bool) -> Iterator[Stop]:
    days = (case.race.gun.date() - today).days
    yield Stop(name=STAGES[0], state="done")
    yield Stop(name=STAGES[1], state="hold" if held else "done")
    near = "due" if days <= ISSUE_DAYS and not held else "later"
    yield Stop(name=STAGES[2], state="done" if issue else near)
    for before, name in zip(CHECKS_DAYS, STAGES[3:-1], strict=True):
        yield Stop(name=name, state=_forecast(case, today, before))
    yield Stop(name=STAGES[-1], state="done" if days < 0 else "later")


def _forecast(case: Case, today: date, before_days: int) -> State:
    day = case.race.gun.date() - timedelta(days=before_days)
    if case.weather.seen_on >= day:
        return "done"
    return "due" if day <= today <= case.race.gun.date() else "later"


def _due(case: Case, issue: Issue | None, today: date, *, held: bool) -> Iterator[Due]:
    race_day = case.race.gun.date()
    if race_day < today:
        return
    checks = [days for days in CHECKS_DAYS if _forecast(case, today, days) == "due"]
    if checks:
        seen = case.weather.seen_on
        yield Due(says=f"check the forecast, {min(checks)} d; the last is of {seen:%-d %b}", part="plan")
    if issue is None and not held and (race_day - today).days <= ISSUE_DAYS:
        yield Due(says="nobody holds a plan yet", part="issue")
    if (race_day - case.athlete.body_mass_on).days > MASS_LASTS_DAYS:
        yield Due(says=f"ask the body mass again; it is of {case.athlete.body_mass_on:%-d %b}", part="file")


def _incidents(desk: Desk) -> Iterator[Due]:
    if desk.athlete is not None and open_incidents(desk.athlete):
        yield Due(says="an incident waits for an answer", part="issue")


def _private_due(health: Health | None, case: Case) -> Iterator[Due]:
    """Yield which letters are out without an answer, and whether the answers last until the race."""
    if health is None:
        yield Due(says="nothing is asked yet", part="screening")
        return
    for letter in health.letters:
        open_about = [
            about
            for about in letter.about
            if not any(about in reply.about and reply.on >= letter.on for reply in health.replies)
        ]
        if open_about:
            sent = f"{letter.on:%-d %b} to {letter.to}"
            yield Due(says=f"no answer yet to the letter of {sent}", part="screening")
    days = [answer.on for answer in health.answers if answer.on]
    if days:
        lasts = timedelta(weeks=value("answers.age").low)
        if min(_latest(health)) + lasts < case.race.gun.date():
            yield Due(says="some answers will be too old on race day", part="screening")


def _latest(health: Health) -> Sequence[date]:
    """Return the day of the last answer to each question."""
    last: dict[str, date] = {}
    for answer in health.answers:
        if answer.on:
            last[answer.question] = max(answer.on, last.get(answer.question, answer.on))
    return list(last.values())


def _current(desk: Desk) -> Issue | None:
    last = access.last_issue(desk.race) if desk.race else None
    return None if last is None or hasattr(last, "withdrawal") else last


def _own_start(case: Case) -> datetime:
    return case.race.own_start.astimezone(ZoneInfo(case.race.zone))


def _sentence(finding: Finding) -> str:
    return f"{finding.sentence} {finding.next_step}".strip()
