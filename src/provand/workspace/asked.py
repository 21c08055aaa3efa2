"""What people ask of the ledger: what somebody held on a day, and whose a code is."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from datetime import date, datetime

from provand.finding import BadInput, Finding, find
from provand.pack.write import File
from provand.record import SYMBOLS
from provand.workspace import access
from provand.workspace.copies import files_of
from provand.workspace.ledger import Ledger
from provand.workspace.models import Audit, Holder, Issue
from provand.workspace.records import Act, Held, Holding, Standing, Whose
from provand.workspace.times import end_of

LOOK_ALIKE = str.maketrans("OIL", "011")
"""Letters that no code has, and what is meant by them."""
CODE_LETTERS = 8
ALIKE = 0.74
"""Of 1: two letters of eight may differ for a code to be suggested."""


def whose(ledger: Ledger, typed: str) -> Whose:
    """Return every issue of a code, the last one first; case, hyphens and spaces do not count.

    BadInput for a code that is not in the ledger, with those that are spelt nearly so; none is taken for it.
    """
    with ledger.reading():
        code = read_code(typed)
        found = access.issues().filter(plan__code=code).order_by("-id")
        if not found:
            raise BadInput(_no_code(typed, code))
        return Whose(read_as=code, issues=tuple(standing_of(issue) for issue in found))


def read_code(typed: str) -> str:
    """Return a code as it would be printed: O, I and L are read as 0 and 1, which alone are in codes."""
    letters = "".join(letter for letter in typed.upper() if letter.isalnum()).translate(LOOK_ALIKE)
    return f"{letters[:4]}-{letters[4:]}"


def _no_code(typed: str, code: str) -> Finding:
    letters = code.replace("-", "")
    known = {one.replace("-", ""): one for one in access.plan_texts().values_list("code", flat=True)}
    near = [known[one] for one in difflib.get_close_matches(letters, known, n=3, cutoff=ALIKE)]
    strange = sorted(set(letters) - set(SYMBOLS))
    told = [f"Was {' or '.join(near)} meant?"] if near else []
    if len(letters) != CODE_LETTERS:
        told.append(f"A code has {CODE_LETTERS} letters and digits; here are {len(letters)}.")
    if strange:
        told.append(f"No code has {', '.join(strange)}.")
    return find("ledger.no_code", typed, near=" ".join(told) or "Look at the page again.")


def _act(audit: Audit) -> Act:
    return Act(by=audit.by, at=audit.at)


def standing_of(issue: Issue) -> Standing:
    """Return an issue with what became of it."""
    later = issue.superseded_by if hasattr(issue, "superseded_by") else None
    withdrawal = issue.withdrawal if hasattr(issue, "withdrawal") else None
    given = access.holders().filter(issue=issue).order_by("id")
    return Standing(
        n=issue.n,
        code=issue.plan.code,
        athlete=issue.race.athlete.name,
        born=issue.race.athlete.born,
        race=issue.race.name,
        race_day=issue.case.race_day,
        issued=_act(issue.audit),
        superseded_by_n=later.n if later else None,
        superseded_by_code=later.plan.code if later else "",
        superseded=_act(later.audit) if later else None,
        withdrawn=_act(withdrawal.audit) if withdrawal else None,
        why=withdrawal.why if withdrawal else "",
        holders=tuple(dict.fromkeys(f"{one.person} ({one.role})" for one in given)),
    )


def held(ledger: Ledger, person: str, *, on: date, born: date | None = None) -> Held:
    """Return what a person had been given by the end of a day, in local time, the newest first.

    `born` tells athletes of one name apart. BadInput for a name that nobody has, with those spelt nearly so,
    and where several athletes have it.
    """
    until = end_of(on)
    with ledger.reading():
        key = access.key_of(person)
        own = [one for one in access.holders().filter(person_key=key) if _is_meant(one, born)]
        planned = [one for one in access.athletes().filter(name_key=key) if born in (None, one.born)]
        if not own and not planned:
            raise BadInput(_no_person(person))
        births = {one.born for one in planned}
        if len(births) > 1:
            raise BadInput(find("ledger.two_of_a_name", person, count=len(births), births=_days(births)))
        keys = {one.pk for one in own}
        theirs = access.holders().filter(race__athlete__in=planned).exclude(pk__in=keys)
        return Held(
            person=own[0].person if own else planned[0].name,
            on=on,
            until=until,
            own=_holdings(own, until),
            others=_holdings(theirs, until),
        )


def _is_meant(holder: Holder, born: date | None) -> bool:
    return born is None or holder.role.casefold() != "athlete" or holder.race.athlete.born == born


def _days(births: Iterable[date | None]) -> str:
    return ", ".join(sorted(birth.isoformat() if birth else "on a day not known" for birth in births))


def _no_person(person: str) -> Finding:
    same = [one.born for one in access.athletes().filter(name_key=access.key_of(person))]
    if same:
        return find("ledger.no_person", person, near=f"Athletes of this name were born {_days(same)}.")
    known = {one.person_key: one.person for one in access.holders()}
    known |= {one.name_key: one.name for one in access.athletes()}
    near = [known[one] for one in difflib.get_close_matches(access.key_of(person), known, n=3)]
    told = f"Was {' or '.join(near)} meant?" if near else "Look at the spelling."
    return find("ledger.no_person", person, near=told)


def _holdings(holders: Iterable[Holder], until: datetime) -> tuple[Holding, ...]:
    given = sorted((one for one in holders if one.audit.at < until), key=lambda one: -one.pk)
    return tuple(_holding(one, until) for one in given)


def _holding(holder: Holder, until: datetime) -> Holding:
    issue = access.issues().get(pk=holder.issue_id) if holder.issue_id else None
    standing = standing_of(issue) if issue else None
    files = list(holder.pieces.all())
    return Holding(
        key=holder.pk,
        person=holder.person,
        role=holder.role,
        given=_act(holder.audit),
        race=holder.race.name,
        athlete=holder.race.athlete.name,
        pieces=tuple(dict.fromkeys(file.piece for file in files)),
        files=tuple(file.name for file in files),
        standing=standing,
        counted_then=standing is None or _counted(standing, until),
    )


def _counted(standing: Standing, until: datetime) -> bool:
    """Whether an issue counted at a moment: nothing had come after it, nor taken it back."""
    ended = [act.at for act in (standing.superseded, standing.withdrawn) if act is not None]
    return all(at >= until for at in ended)


def copies(ledger: Ledger, holdings: Iterable[Holding]) -> dict[str, tuple[File, ...]]:
    """Return the files of holdings to the byte, by the name of a folder for each issue."""
    found: dict[str, dict[str, File]] = {}
    with ledger.reading():
        for holding in holdings:
            files = files_of(access.holders().get(pk=holding.key).pieces.all())
            named = f"{holding.standing.n}-{holding.standing.code}" if holding.standing else "safety-page"
            found.setdefault(named, {}).update({file.name: file for file in files})
    return {named: tuple(files.values()) for named, files in found.items()}
