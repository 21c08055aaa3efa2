"""One function for each verb that writes: one transaction, one audit row that says who did what and when.

No sentence of an audit row names an answer about health.
"""

from __future__ import annotations

import uuid
from collections.abc import Collection, Sequence
from datetime import date
from pathlib import Path
from typing import NamedTuple

from provand.case.case import Case
from provand.case.door import Beside
from provand.case.files import MAX_TOML_BYTES, read_bytes, text_in
from provand.case.health import Health
from provand.case.replace import replace
from provand.finding import BadInput, Finding, OnHold, find
from provand.pack.made import Later, Made, made
from provand.pack.pieces import DEFAULT, Piece
from provand.pack.write import File, not_approved, safety_file
from provand.plan.difference import difference
from provand.plan.document import Cleared, read_plan
from provand.plan.review import clear
from provand.protocol.own import Protocols
from provand.record import canonical
from provand.safety.screening import Screening, binds, screen
from provand.workspace import access
from provand.workspace.copies import (
    cancelled,
    files_of,
    give,
    keep_files,
    still_held,
    with_calendar,
)
from provand.workspace.healths import all_kept
from provand.workspace.languages import tongue_for
from provand.workspace.ledger import Ledger
from provand.workspace.models import Audit, Handout, Issue, PlanText, Withdrawal
from provand.workspace.noted import case_of, digests, keep_entries
from provand.workspace.placing import in_place
from provand.workspace.records import Act, Issued, Noted, Recipient, Snapshot, Undone, Withdrawn
from provand.workspace.snapshots import athlete_of, kept, origin, put_back, race_of, standing
from provand.workspace.trail import trail
from provand.workspace.undoing import version_to_undo

ATHLETE = "athlete"
BOM = b"\xef\xbb\xbf"
NEWS = "New information came in after it was issued."
"""Why a plan is withdrawn when screening becomes stricter: it says nothing of what came in."""


def case_changed(
    ledger: Ledger, *, path: Path, before: Snapshot, after: Snapshot, sentence: str, by: str
) -> None:
    """Keep a change of the case in the file `path`: what stood there before, and what stands there now.

    `sentence` says the change in words; it names no answer about health.
    """
    with ledger.writing():
        audit = trail("changed a case", f"{path.name}: {sentence}", by=by)
        kept(audit, after, sentence=sentence, after=origin(standing(audit, before)))


def case_undone(ledger: Ledger, *, path: Path, by: str) -> Undone:
    """Put the text before the last change back into a case's file, and keep that it stands again.

    BadInput where nothing is kept to go back to, where a hand wrote the file since, or where an issue, a
    health answer, a reply, a release or an incident came since; then file and ledger stay as they are.
    """
    was = read_bytes(path, most=MAX_TOML_BYTES)
    done: list[bytes] = []
    try:
        with ledger.writing():
            version = version_to_undo(path, text_in(was, path.name))
            former = version.after
            assert former is not None
            audit = trail("undid a change", f"{path.name}: taken back: {version.sentence}", by=by)
            put_back(audit, former)
            text = _as_the_file_was(former.typed, was)
            replace(path, text, was=was)
            done.append(text)
            return Undone(sentence=version.sentence, kept_at=former.audit.at, typed=former.typed)
    except BaseException:
        for text in done:
            replace(path, was, was=text)
        raise


def _as_the_file_was(typed: str, was: bytes) -> bytes:
    """Return a text with the line ends and the byte-order mark of a file."""
    text = typed.replace("\r\n", "\n")
    text = text.replace("\n", "\r\n") if b"\r\n" in was else text
    return (BOM if was.startswith(BOM) else b"") + text.encode("utf-8")


# Health.


def health_noted(ledger: Ledger, *, case: Case, health: Health, by: str, as_of: date) -> Noted:
    """Keep health entries, and withdraw at once every plan of the athlete that may no longer stand.

    Each issue that counts, of a race still to come, is screened again with its own case and with all entries
    that were ever kept of the athlete; where that is stricter than what it was issued under, it is withdrawn
    with a reason that gives nothing away.
    """
    if not binds(health, case):
        raise BadInput(find("health.other_person", theirs=health.athlete, name=case.athlete.name))
    with ledger.writing():
        audit = trail("noted health entries", f"{case.athlete.name}: health entries noted", by=by)
        athlete = athlete_of(audit, case)
        new = keep_entries(audit, athlete, health)
        every = all_kept(athlete, health)
        gone = []
        for issue in access.current_issues(athlete):
            if issue.case.race_day < as_of:
                continue
            screening, _ = screen(case_of(issue.case), every, as_of=as_of)
            if screening.stricter_than(Screening.model_validate_json(issue.screening)):
                gone.append(_withdrawn(audit, issue, NEWS))
        return Noted(new=new, not_in_file=len(digests(every) - digests(health)), withdrawn=tuple(gone))


def _withdrawn(audit: Audit, issue: Issue, why: str) -> Withdrawn:
    Withdrawal.objects.create(audit=audit, issue=issue, why=why)
    return Withdrawn(
        n=issue.n,
        code=issue.plan.code,
        athlete=issue.race.athlete.name,
        race=issue.race.name,
        why=why,
        act=Act(by=audit.by, at=audit.at),
        tell=still_held(issue.race, before_n=issue.n + 1),
    )


# Issuing.


def issue(
    ledger: Ledger,
    *,
    snapshot: Snapshot,
    health: Health | None,
    protocols: Protocols,
    to: Sequence[Recipient],
    out: Path | None,
    by: str,
    as_of: date,
    pieces: Collection[Piece] = DEFAULT,
    ready: Made | None = None,
    beside: Beside | None = None,
) -> Issued:
    """Issue the plan of a case: keep it with its number and its holders, and write its pieces into `out`.

    Without `out` the files are kept in the ledger alone, to be taken from there. `ready` is what was made
    of the same case, protocols, day and pieces beforehand; it is cleared anew here. `beside` reads the files
    that the case names: with it, the page for the phone holds every later start.

    The health entries are noted first. The same plan as the one that counts is not issued again: its holders
    become more. Raises OnHold where screening or the gate holds it, BadInput for people who cannot be given
    it; whatever fails, neither rows nor files of this issue are left.
    """
    case = snapshot.case
    refuse_beforehand(ledger, case, to, as_of=as_of)
    noted = Noted(new=0, not_in_file=0)
    if health is not None and binds(health, case):
        noted = health_noted(ledger, case=case, health=health, by=by, as_of=as_of)
    screening, reasons = _screened(ledger, case, health, as_of)
    if not screening.may_issue:
        raise OnHold(*reasons, *_unseen(noted))
    if ready is not None and ready.screening != screening:
        raise BadInput(find("ledger.changed_meanwhile", case.athlete.name))
    if ready is None:
        ready = made(
            case,
            screening,
            protocols=protocols,
            as_of=as_of,
            pieces=pieces,
            later=None if beside is None else Later(snapshot.typed, beside),
            is_approved=True,
        )
    cleared = clear(ready.plan, case, screening)
    act = uuid.uuid4().hex
    with in_place(ledger.path, act) as folder, ledger.writing():
        if _screened_now(case, health, as_of)[0] != screening:
            raise BadInput(find("ledger.changed_meanwhile", case.athlete.name))
        drawn = _Drawn(snapshot, screening, cleared, as_of)
        kept_issue = _kept_issue(drawn, to=to, by=by, act=act)
        files = _kept_files(kept_issue, cleared, ready.files, pieces)
        given = [give(kept_issue.audit, one, kept_issue.issue.race, kept_issue.issue, files) for one in to]
        if out is not None:
            folder.put(files_of(files), out)
        return _issued(kept_issue, to, given, files, out, noted=noted, cleared=cleared)


def refuse_beforehand(ledger: Ledger, case: Case, to: Sequence[Recipient], *, as_of: date) -> None:
    """Refuse what no plan need be drawn up for: another athlete, a race that is over, a language."""
    _refuse_wrong_person(to, case)
    _refuse_past(case, as_of)
    with ledger.reading():
        tongue = tongue_for(case)
    if not tongue.is_approved:
        raise OnHold(not_approved(tongue))


class _Drawn(NamedTuple):
    snapshot: Snapshot
    screening: Screening
    cleared: Cleared
    as_of: date


class _KeptIssue(NamedTuple):
    audit: Audit
    issue: Issue
    former: Issue | None
    unchanged: bool


def _refuse_wrong_person(to: Sequence[Recipient], case: Case) -> None:
    wrong = [
        find("ledger.other_athlete", one.person, name=case.athlete.name)
        for one in to
        if access.key_of(one.role) == ATHLETE
        and access.key_of(one.person) != access.key_of(case.athlete.name)
    ]
    if wrong:
        raise BadInput(*wrong)


def _refuse_past(case: Case, as_of: date) -> None:
    day = case.race.gun.date()
    if day < as_of:
        raise BadInput(find("race.past", "race.gun", day=day.isoformat(), as_of=as_of.isoformat()))


def _screened(
    ledger: Ledger, case: Case, health: Health | None, as_of: date
) -> tuple[Screening, tuple[Finding, ...]]:
    with ledger.reading():
        return _screened_now(case, health, as_of)


def _screened_now(case: Case, health: Health | None, as_of: date) -> tuple[Screening, tuple[Finding, ...]]:
    """Screen with every entry that was ever kept of the athlete, from whichever file."""
    athlete = access.athlete(case.athlete.name, case.athlete.born)
    every = all_kept(athlete, health) if athlete and health and binds(health, case) else health
    return screen(case, every, as_of=as_of)


def _unseen(noted: Noted) -> list[Finding]:
    return [find("ledger.not_in_file", count=noted.not_in_file)] if noted.not_in_file else []


def _kept_issue(drawn: _Drawn, *, to: Sequence[Recipient], by: str, act: str) -> _KeptIssue:
    """Keep the plan as the next issue of its race; where nothing changed, the one that counts stays."""
    plan, case = drawn.cleared.plan, drawn.snapshot.case
    code, text = plan.code, plan.as_bytes.decode("utf-8")
    race = access.race_of(case)
    former = access.last_issue(race) if race else None
    unchanged = former is not None and former.plan.code == code and not hasattr(former, "withdrawal")
    n = former.n + (not unchanged) if former else 1
    names = ", ".join(f"{one.person} ({one.role})" for one in to)
    says = f"{case.athlete.name}, {case.race.name}: number {n}, {code}, given to {names}"
    audit = trail("handed out again" if unchanged else "issued", says, by=by, act=act)
    text_kept = access.plan_texts().filter(code=code).first()
    if text_kept is not None and text_kept.text != text:
        raise BadInput(find("ledger.code_stands", code))
    if unchanged and former is not None:
        return _KeptIssue(audit, former, former, unchanged=True)
    practitioner, holders = _difference(former, drawn.cleared)
    made = Issue.objects.create(
        audit=audit,
        race=race_of(audit, case),
        n=n,
        plan=text_kept or PlanText.objects.create(audit=audit, code=code, format=plan.format, text=text),
        case=standing(audit, drawn.snapshot),
        screening=canonical(drawn.screening).decode("utf-8"),
        as_of=drawn.as_of,
        supersedes=former,
        difference="\n".join(practitioner),
        for_holders="\n".join(holders),
    )
    return _KeptIssue(audit, made, former, unchanged=False)


def _difference(former: Issue | None, cleared: Cleared) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what lies between two issues, for the practitioner and for those who hold the former."""
    if former is None:
        return (), ()
    try:
        found = difference(read_plan(former.plan.text.encode("utf-8"), former.plan.code), cleared.plan)
    except BadInput as error:
        why = (find("ledger.not_compared", former.plan.code).line(),)
        return (*why, *(finding.line() for finding in error.findings)), why
    return found.for_practitioner(), found.for_holder()


def _kept_files(
    kept_issue: _KeptIssue, cleared: Cleared, made: Sequence[File], pieces: Collection[Piece]
) -> list[Handout]:
    """Return the files of the pieces: those that stand already to the byte, the others kept now."""
    issue, audit = kept_issue.issue, kept_issue.audit
    standing_files = [one for one in access.handouts().filter(issue=issue) if one.piece in pieces]
    have = {one.name for one in standing_files}
    wanted = with_calendar(made, cleared, pieces, issue.race, issue.n)
    new = [file for file in wanted if file.name not in have]
    return [*standing_files, *keep_files(audit, new, issue.race, issue)]


def _issued(
    kept_issue: _KeptIssue,
    to: Sequence[Recipient],
    given: Sequence[bool],
    files: Sequence[Handout],
    out: Path | None,
    *,
    noted: Noted,
    cleared: Cleared,
) -> Issued:
    issue = kept_issue.issue
    former = None if kept_issue.unchanged else kept_issue.former
    return Issued(
        n=issue.n,
        code=issue.plan.code,
        athlete=issue.race.athlete.name,
        race=issue.race.name,
        unchanged=kept_issue.unchanged,
        given=tuple(one for one, new in zip(to, given, strict=True) if new),
        held_already=tuple(one for one, new in zip(to, given, strict=True) if not new),
        pieces=tuple(dict.fromkeys(file.piece for file in files)),
        files=tuple(out / file.name for file in files) if out else (),
        former_n=former.n if former else None,
        former_code=former.plan.code if former else "",
        difference=() if kept_issue.unchanged else tuple(issue.difference.splitlines()),
        for_holders=() if kept_issue.unchanged else tuple(issue.for_holders.splitlines()),
        tell=still_held(issue.race, before_n=issue.n),
        noted=noted,
        findings=(*cleared.plan.findings, *_unseen(noted), *_on_another_day(issue, former)),
    )


def _on_another_day(issue: Issue, former: Issue | None) -> list[Finding]:
    if former is None or former.case.race_day == issue.case.race_day:
        return []
    before, now = former.case.race_day.isoformat(), issue.case.race_day.isoformat()
    return [find("ledger.other_day", issue.race.name, before=before, now=now)]


def safety_page_given(
    ledger: Ledger, *, case: Case, to: Sequence[Recipient], out: Path | None, by: str
) -> tuple[Path, ...]:
    """Hand out the safety page alone, which needs no plan; keep who was given it."""
    _refuse_wrong_person(to, case)
    with ledger.reading():
        page = safety_file(case, tongue=tongue_for(case))
    act = uuid.uuid4().hex
    with in_place(ledger.path, act) as folder, ledger.writing():
        names = ", ".join(f"{one.person} ({one.role})" for one in to)
        says = f"{case.athlete.name}, {case.race.name}: safety page, given to {names}"
        audit = trail("handed out the safety page", says, by=by, act=act)
        race = race_of(audit, case)
        files = keep_files(audit, [page], race, None)
        for one in to:
            give(audit, one, race, None, files)
        if out is not None:
            folder.put([page], out)
    return (out / page.name,) if out else ()


# Withdrawing.


def withdraw(ledger: Ledger, *, code: str, why: str, by: str) -> Withdrawn:
    """Mark the issue of a code withdrawn; it stands at once, whatever becomes of files.

    BadInput where no issue has the code, or where it no longer counts.
    """
    with ledger.writing():
        issue = _last_of(code)
        _refuse_superseded(issue)
        if hasattr(issue, "withdrawal"):
            raise BadInput(find("ledger.withdrawn_already", code, n=issue.n))
        says = f"{issue.race.athlete.name}, {issue.race.name}: number {issue.n}, {code}, withdrawn"
        return _withdrawn(trail("withdrew", says, by=by), issue, why)


def _safety_of(case: Case) -> File:
    return safety_file(case, tongue=tongue_for(case))


def taken_back(ledger: Ledger, *, code: str, out: Path | None, by: str) -> tuple[Path, ...]:
    """Write what goes with a withdrawal into `out`: the calendar that cancels, and the safety page.

    Both are kept; asked again, the very bytes come again. BadInput where the issue is not withdrawn.
    """
    act = uuid.uuid4().hex
    with in_place(ledger.path, act) as folder, ledger.writing():
        issue = _last_of(code)
        _refuse_superseded(issue)
        if not hasattr(issue, "withdrawal"):
            raise BadInput(find("ledger.not_withdrawn", code, n=issue.n))
        wanted = [*cancelled(issue, issue.withdrawal.audit.at), _safety_of(case_of(issue.case))]
        names = [file.name for file in wanted]
        files = [one for one in access.handouts().filter(issue=issue) if one.name in names]
        have = {one.name for one in files}
        says = (
            f"{issue.race.athlete.name}, {issue.race.name}: number {issue.n}, {code}, cancelled calendar made"
        )
        audit = trail("made the cancelled calendar", says, by=by, act=act)
        files += keep_files(audit, [file for file in wanted if file.name not in have], issue.race, issue)
        if out is not None:
            folder.put(files_of(files), out)
    return tuple(out / file.name for file in files) if out else ()


def _refuse_superseded(issue: Issue) -> None:
    if hasattr(issue, "superseded_by"):
        later = issue.superseded_by
        code, later_code = issue.plan.code, later.plan.code
        raise BadInput(find("ledger.superseded", code, n=issue.n, later=later.n, later_code=later_code))


def _last_of(code: str) -> Issue:
    found = access.issues().filter(plan__code=code).order_by("id").last()
    if found is None:
        raise BadInput(find("ledger.no_code", code, near=""))
    return found
