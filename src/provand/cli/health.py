"""`screen`, `letter`, `reply`, `release`, `assent`: entries added to a health file, and what they come to."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any, TypeVar, get_args

from provand.case.case import Case
from provand.case.door import health_of, read_case
from provand.case.files import read_toml
from provand.case.health import Answer, Assent, ClinicianReply, HandRelease, Health, Letter, Medicine
from provand.case.health_file import Entry, HealthFile
from provand.case.records import same_name
from provand.case.walk import Walk, near
from provand.cli import say
from provand.cli.dialog import Dialog
from provand.cli.ledger import tell_noted
from provand.finding import BadInput, CannotWork, Finding, OnHold, as_data, find
from provand.pack.letter import letter as letter_pdf
from provand.pack.letter import person_of, race_ahead
from provand.pack.typeset import Paper
from provand.record import Record
from provand.safety.asking import LetterAbout, letter_about, letters_due
from provand.safety.flags import Outcome, flags
from provand.safety.lifting import key_of
from provand.safety.review import Review
from provand.safety.screening import binds, review_of, screen
from provand.workspace.actions import health_noted
from provand.workspace.ledger import open_ledger

FEW = 3
KINDS = (
    "answers", "medicines", "letters", "replies", "releases", "assents", "scores", "sodium_tests", "portions",
)  # fmt: skip


def _open(path: Path, as_of: date) -> HealthFile:
    case = read_case(path, as_of=as_of, past=True)
    return HealthFile(path, case)


# Screen.


def screen_here(
    path: Path,
    *,
    everything: bool,
    by: str | None,
    on: date,
    as_of: date,
    ledger: Path | None,
    as_json: bool,
) -> None:
    """Ask at the terminal; whatever was answered is saved and noted, however the asking ends."""
    file = _open(path, as_of)
    before = file.health
    dialog = Dialog(file, as_of=as_of, to=sys.stderr if as_json else sys.stdout)
    try:
        dialog.run(by=by, on=on, everything=everything)
    finally:
        if file.health != before:
            _note(file, ledger, as_of, as_json=as_json)
    _end(_told(file, as_of, added=dialog.added, as_json=as_json))


def screen_from(path: Path, source: Path, *, as_of: date, ledger: Path | None, as_json: bool) -> None:
    """Add the entries of another health file; nothing of it where anything in it is wrong."""
    file = _open(path, as_of)
    theirs = _health_in(source, file.case, as_of)
    entries = [Entry(kind, record) for kind in KINDS for record in getattr(theirs, kind)]
    fresh = [entry for entry in entries if entry.record not in getattr(file.health, entry.kind)]
    file.add(fresh)
    _note(file, ledger, as_of, as_json=as_json)
    _end(_told(file, as_of, added=len(fresh), as_json=as_json))


def _health_in(source: Path, case: Case, as_of: date) -> Health:
    """Return the health file that answers come from; BadInput tells all that is wrong with it at once."""
    theirs = health_of(read_toml(source), name=source.name, of=case)
    wrong: list[Finding] = []
    if not binds(theirs, case):
        wrong.append(find("health.other_person", source.name, theirs=theirs.athlete, name=case.athlete.name))
    if theirs.example and not case.invented:
        wrong.append(find("health.example", source.name))
    known = {flag.id for flag in flags()} | {step.id for flag in flags() for step in flag.follow_up}
    for at, answer in enumerate(theirs.answers, 1):
        if answer.question not in known:
            help_ = near(answer.question, known)
            wrong.append(find("cli.unknown_name", f"answers[{at}].question", kind="question", near=help_))
        wrong += _signed(f"answers[{at}]", answer, case, as_of)
    for at, medicine in enumerate(theirs.medicines, 1):
        wrong += _signed(f"medicines[{at}]", medicine, case, as_of)
    for kind in KINDS[2:]:
        for at, record in enumerate(getattr(theirs, kind), 1):
            wrong += _not_ahead(f"{kind}[{at}].on", record.on, as_of)
    if wrong:
        raise BadInput(*wrong)
    return theirs


def _signed(about: str, entry: Answer | Medicine, case: Case, as_of: date) -> list[Finding]:
    """Return what keeps an entry from counting: no name, no day, another's name, a day to come."""
    wrong = []
    if not entry.by.strip():
        wrong.append(find("entry.missing", f"{about}.by", key="by", doc="name of the athlete, who answers."))
    elif not same_name(entry.by, case.athlete.name):
        name = case.athlete.name
        wrong.append(find("health.answered_by_another", f"{about}.by", by=entry.by, name=name))
    if entry.on is None:
        wrong.append(find("entry.missing", f"{about}.on", key="on", doc="the day of the answer."))
    return wrong + (_not_ahead(f"{about}.on", entry.on, as_of) if entry.on else [])


def _not_ahead(about: str, on: date, as_of: date) -> list[Finding]:
    if on <= as_of:
        return []
    return [find("entry.future", about, day=on.isoformat(), as_of=as_of.isoformat())]


# Letters.


def letter(
    path: Path,
    to: str,
    out: Path,
    *,
    about: str | None,
    paper: str,
    kept_by: str | None,
    as_of: date,
    ledger: Path | None,
    as_json: bool,
) -> None:
    """Make the letter, record that it was sent, then put the file in its place: all of it or nothing."""
    file = _open(path, as_of)
    case = file.case
    review = review_of(case, file.health, as_of=as_of)
    asked = _asked(review, about)
    if out.exists():
        raise BadInput(find("file.exists", str(out)))
    held = {name for hold in review.held for name in hold.about}
    data = letter_pdf(
        case.practitioner,
        person_of(case),
        race_ahead(case),
        [one.asks for one in asked],
        to=to,
        on=as_of,
        held=any(one.id in held for one in asked),
        paper=_paper(paper),
    )
    typed = {
        "about": [one.id for one in asked],
        "to": to,
        "by": kept_by or case.practitioner.name,
        "on": as_of,
    }
    sent = _record(Letter, typed)
    with _aside(out) as fresh:
        fresh.write_bytes(data)
        file.add([Entry("letters", sent)])
        fresh.rename(out)
    _note(file, ledger, as_of, as_json=as_json)
    _told(file, as_of, added=1, as_json=as_json, files=(out,))


def _asked(review: Review, about: str | None) -> tuple[LetterAbout, ...]:
    """Return what a letter is about: what was named, or all that needs one now."""
    if about is None:
        due = letters_due(review)
        if not due:
            raise BadInput(find("health.no_letter_due", "--about"))
        return due
    named = {name: letter_about(review, name) for name in _names(about)}
    _refuse_unknown(review, [name for name, one in named.items() if one is None])
    return tuple(one for one in named.values() if one is not None)


def _paper(paper: str) -> Paper:
    if paper not in get_args(Paper):
        near_ = "Allowed: " + ", ".join(get_args(Paper)) + "."
        raise BadInput(find("cli.unknown_name", paper, kind="paper", near=near_))
    return "letter" if paper == "letter" else "a4"


@contextmanager
def _aside(out: Path) -> Iterator[Path]:
    """Give a path beside `out`, gone afterwards; CannotWork where the disk refuses."""
    try:
        with tempfile.TemporaryDirectory(dir=out.parent, prefix=f".{out.name}-") as folder:
            yield Path(folder) / out.name
    except OSError as error:
        raise CannotWork(find("pack.disk", str(out), why=error.strerror or "unknown")) from error


# Replies, releases, consents.


def reply(
    path: Path,
    given: Mapping[str, str | None],
    *,
    until: date | None,
    on: date,
    as_of: date,
    ledger: Path | None,
    as_json: bool,
) -> None:
    """Record a clinician's reply; refused where it is dated ahead or before its letter, or lacks one."""
    file = _open(path, as_of)
    review = review_of(file.case, file.health, as_of=as_of)
    about = _known(review, str(given["about"]))
    typed: dict[str, Any] = {
        "about": list(about),
        "says": given["says"],
        "limits": list(_names(given["limits"] or "")),
        "by": given["by"],
        "on": on,
        "kept_by": given["kept_by"] or file.case.practitioner.name,
    }
    kept = _record(ClinicianReply, typed | ({"until": until} if until else {}))
    wrong = _not_ahead("--on", on, as_of)
    refers = {flag.id for flag in flags() if flag.outcome == "refer"}
    wrong += [
        find("health.no_letter", "--about", question=one)
        for one in about
        if one in refers and kept.says != "not cleared" and not review.lifting.sent((one,))
    ]
    if wrong:
        raise BadInput(*wrong)
    _add(file, [Entry("replies", kept)], as_of, ledger, as_json=as_json)


def release(
    path: Path,
    given: Mapping[str, str],
    *,
    on: date,
    as_of: date,
    ledger: Path | None,
    as_json: bool,
) -> None:
    """Record a release that lifts a hold; one that lifts nothing is refused, and said why."""
    file = _open(path, as_of)
    review = review_of(file.case, file.health, as_of=as_of)
    named = _known(review, given["about"])
    kept = [_record(HandRelease, {**given, "about": about, "on": on}) for about in named]
    wrong = _not_ahead("--on", on, as_of)
    held = {key_of(name) for hold in review.held for name in hold.about}
    wrong += [
        find("health.nothing_held", "--about", question=one) for one in named if key_of(one) not in held
    ]
    if wrong:
        raise BadInput(*wrong)
    entries = [Entry("releases", one) for one in kept]
    after = review_of(file.case, file.would_be(entries), as_of=as_of)
    refused = [
        one
        for one in after.told
        if one.code in ("screening.assistant", "screening.release_void") and one not in review.told
    ]
    if refused:
        raise BadInput(*(find("health.release_refused", one.about, says=one.sentence) for one in refused))
    _add(file, entries, as_of, ledger, as_json=as_json)


def assent(
    path: Path, given: Mapping[str, str], *, on: date, as_of: date, ledger: Path | None, as_json: bool
) -> None:
    """Record a consent, each in the own name."""
    file = _open(path, as_of)
    kept = _record(Assent, {**given, "on": on})
    wrong = _not_ahead("--on", on, as_of)
    name = file.case.athlete.name
    if kept.who == "athlete" and not same_name(kept.by, name):
        wrong.append(find("health.answered_by_another", "--by", by=kept.by, name=name))
    if wrong:
        raise BadInput(*wrong)
    _add(file, [Entry("assents", kept)], as_of, ledger, as_json=as_json)


# What all of them do.


R = TypeVar("R", bound=Record)


def _record(cls: type[R], typed: Mapping[str, Any]) -> R:
    """Return the record that options describe; every fault at once, each by its option."""
    walk = Walk()
    made = walk.record(cls, typed, "")
    if walk.faults or made is None:
        raise BadInput(*(one.model_copy(update={"about": _option(one.about)}) for one in walk.faults))
    return made


def _option(about: str) -> str:
    return "--" + about.split("[", maxsplit=1)[0].replace("_", "-") if about else about


def _names(text: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name.strip() for name in text.split(",") if name.strip()))


def _known(review: Review, about: str) -> tuple[str, ...]:
    """Return the ids and medicines that an option names; BadInput for what is neither."""
    named = {name: letter_about(review, name) for name in _names(about)}
    _refuse_unknown(review, [name for name, one in named.items() if one is None])
    if not named:
        raise BadInput(find("entry.missing", "--about", key="about", doc="ids of questions."))
    return tuple(one.id for one in named.values() if one is not None)


def _refuse_unknown(review: Review, names: Iterable[str]) -> None:
    known = [flag.id for flag in flags()] + [one.name for one in review.medicines]
    wrong = [
        find("cli.unknown_name", name, kind="question or medicine", near=near(name, known)) for name in names
    ]
    if wrong:
        raise BadInput(*wrong)


def _add(
    file: HealthFile, entries: Sequence[Entry], as_of: date, ledger: Path | None, *, as_json: bool
) -> None:
    file.add(entries)
    _note(file, ledger, as_of, as_json=as_json)
    _told(file, as_of, added=len(entries), as_json=as_json)


def _note(file: HealthFile, ledger: Path | None, as_of: date, *, as_json: bool) -> None:
    """Tell the ledger, which withdraws what may no longer stand; the health file is written by then."""
    with open_ledger(ledger) as opened:
        noted = health_noted(
            opened, case=file.case, health=file.health, by=file.case.practitioner.name, as_of=as_of
        )
    if not as_json:
        tell_noted(noted)


def _told(file: HealthFile, as_of: date, *, added: int, as_json: bool, files: Iterable[Path] = ()) -> Outcome:
    """Say what was kept and where, the outcome and its reasons; return the outcome."""
    screening, reasons = screen(file.case, file.health, as_of=as_of)
    if as_json:
        written = [str(path) for path in files]
        say.data(
            {
                "health": str(file.path),
                "added": added,
                "outcome": screening.outcome,
                "findings": as_data(reasons),
                "files": written,
            }
        )
    else:
        print(
            f"{file.path}: {added} {'entry' if added == 1 else 'entries'} added; "
            f"screening: {screening.outcome}"
        )
        _reasons(reasons)
        for path in files:
            print(f"  {path}")
    return screening.outcome


def _end(outcome: Outcome) -> None:
    """End with the status of a hold where the outcome is one."""
    if outcome in ("hold", "refer"):
        raise SystemExit(OnHold.status)


def _reasons(reasons: Iterable[Finding]) -> None:
    """Print the reasons; where many questions are open, those in one line."""
    told = list(reasons)
    unasked = [one for one in told if one.code == "screening.unanswered"]
    if len(unasked) > FEW:
        told = [one for one in told if one not in unasked]
        print(f"  {'hold':8} {len(unasked)} questions have no answer: {', '.join(o.about for o in unasked)}.")
    say.findings(told)
