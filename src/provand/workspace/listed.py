"""Lists of athletes and of one athlete's races, read with the same few queries however many there are."""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from typing import NamedTuple

from django.db.models import OuterRef, Subquery

from provand.workspace import access
from provand.workspace.access import Seen
from provand.workspace.models import Athlete, Desk

AT_ONCE = 20
"""Athletes on one page."""


class RaceLine(NamedTuple):
    """One race file in a list: what it is called, its day, where it stands."""

    desk: uuid.UUID | None
    name: str
    day: date | None
    state: str
    code: str = ""


class AthleteLine(NamedTuple):
    """One athlete in a list, with the race that comes next."""

    pk: int
    name: str
    born: date | None
    following: RaceLine | None


class Listed(NamedTuple):
    """One page of athletes, in the order of their names."""

    lines: tuple[AthleteLine, ...]
    begun: tuple[RaceLine, ...]
    page: int
    pages: int
    in_all: int


def athletes_listed(seen: Seen, *, page: int, on: date) -> Listed:
    """Return a page of the athletes seen, with the next race of each; and race files of nobody yet."""
    rows = seen.athletes().order_by("name_key", "pk")
    count = rows.count()
    pages = max(1, -(-count // AT_ONCE))
    page = min(max(page, 1), pages)
    shown = list(rows[(page - 1) * AT_ONCE : page * AT_ONCE])
    races = _races_of(seen, shown)
    lines = tuple(AthleteLine(one.pk, one.name, one.born, _following(races[one.pk], on)) for one in shown)
    nobodys = seen.desks().filter(athlete=None, put_away=False).order_by("-changed_at")
    begun = tuple(
        RaceLine(desk.pk, desk.title or "a new athlete", desk.race_day, "being typed")
        for desk in nobodys[:AT_ONCE]
    )
    return Listed(lines, begun, page, pages, count)


def races_of(seen: Seen, athlete: Athlete) -> tuple[RaceLine, ...]:
    """Return the race files of an athlete and the races that came from files, the latest day first."""
    return tuple(
        sorted(_races_of(seen, [athlete])[athlete.pk], key=lambda one: one.day or date.max, reverse=True)
    )


def _following(races: Iterable[RaceLine], on: date) -> RaceLine | None:
    ahead = [race for race in races if race.day is None or race.day >= on]
    return min(ahead, key=lambda race: race.day or date.max, default=None)


def _races_of(seen: Seen, athletes: Iterable[Athlete]) -> dict[int, list[RaceLine]]:
    found: dict[int, list[RaceLine]] = defaultdict(list)
    athletes = list(athletes)
    states = _states(seen, athletes)
    desks = seen.desks().filter(athlete__in=athletes, put_away=False).order_by("pk")
    seen_races = set()
    for desk in desks.defer("typed", "standing__text", "standing__typed"):
        assert desk.athlete_id is not None
        state, code = states.get(desk.race_id or 0, ("no plan issued", ""))
        if desk.standing is None:
            state = "being typed"
        seen_races.add(desk.race_id)
        name = desk.race.name if desk.race else _name_in(desk)
        found[desk.athlete_id].append(RaceLine(desk.pk, name, desk.race_day, state, code))
    newest = access.case_versions().filter(race=OuterRef("pk")).order_by("-id").values("race_day")[:1]
    for race in seen.races().filter(athlete__in=athletes).annotate(day=Subquery(newest)):
        if race.pk not in seen_races:
            state, code = states.get(race.pk, ("no plan issued", ""))
            found[race.athlete_id].append(RaceLine(None, race.name, race.day, state, code))
    return found


def _name_in(desk: Desk) -> str:
    """Return what is typed of the race's name, after the athlete's."""
    return desk.title.partition(", ")[2] or "a race without a name yet"


def _states(seen: Seen, athletes: Iterable[Athlete]) -> dict[int, tuple[str, str]]:
    """Return for each race with an issue where its last one stands, and its code."""
    last = seen.issues().filter(race__athlete__in=athletes, superseded_by=None)
    rows = last.values_list("race_id", "n", "plan__code", "withdrawal__id")
    return {
        race: ("withdrawn" if withdrawn else f"number {n} issued", code) for race, n, code, withdrawn in rows
    }
