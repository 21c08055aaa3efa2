"""The page of screening: each question with what was last answered, what it all comes to, and new entries."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from typing import Any, NamedTuple

from provand.case.case import Case
from provand.case.door import health_of
from provand.case.health import FORMAT, Answer, Health, Medicine
from provand.case.records import check_records
from provand.finding import BadInput, Finding, Level
from provand.safety.asking import letters_due, questions_due
from provand.safety.flags import Flag, FollowUp, Outcome, flags
from provand.safety.medicines import match
from provand.safety.review import Review
from provand.safety.screening import Screening, review_of
from provand.workspace.days import day_readings

WORDS: dict[Outcome, str] = {
    "clear": "Clear: a plan can be made.",
    "note": "A plan can be made; it carries a sentence from the answers.",
    "withheld": "A plan can be made without some of its parts.",
    "hold": "On hold: nothing personal is issued until this is mended.",
    "refer": "On hold, and a letter to a clinician: nothing personal is issued until the reply is here.",
}
LISTS = (("letters", "about"), ("replies", "about"), ("replies", "limits"))
DAYS = ("on", "since", "stopped", "until")
GRAVE = (Level.HOLD, Level.REFER)


class Question(NamedTuple):
    """One question, what was answered last, and what is asked after a yes.

    `is_due` where no answer of it counts now, as race week asks again; `skipped` where another answer makes
    it needless; `settles` are the questions that its own answer may make needless.
    """

    id: str
    asks: str
    why: str
    answer: Answer | None
    is_due: bool
    skipped: bool = False
    settles: tuple[str, ...] = ()
    follow_up: tuple[Question, ...] = ()


class Reason(NamedTuple):
    """One reason of the outcome: where it comes from, in words, and whether it holds."""

    about: str
    says: str
    holds: bool


def called(abouts: Iterable[str]) -> str:
    """Return what a letter, a reply or a release is about, in the words of the questions."""
    titles = {flag.id: flag.title for flag in flags()}
    return ", ".join(titles.get(about, about) for about in abouts)


class Screened(NamedTuple):
    """What the page of screening shows."""

    questions: tuple[Question, ...]
    medicines: tuple[Medicine, ...]
    outcome: Outcome
    says: str
    withheld: tuple[str, ...]
    reasons: tuple[Reason, ...]
    unanswered: int
    letters_due: tuple[str, ...] = ()

    @property
    def liftable(self) -> tuple[tuple[str, str], ...]:
        """What a letter, a reply or a release may be about, each with what it is called."""
        called = {flag.id: flag.title for flag in flags()} | {one.name: one.name for one in self.medicines}
        return tuple((about, called[about]) for about in dict.fromkeys(self._abouts()) if about in called)

    def _abouts(self) -> list[str]:
        return [one.about for one in self.reasons]


def screened(case: Case, health: Health | None, *, as_of: date) -> Screened:
    """Return the questions with their answers, and what they come to on a day."""
    review = review_of(case, health, as_of=as_of)
    answers = health.answers if health else ()
    due = {one.id for one in questions_due(review)}
    asked = tuple(_question(flag, review, answers, due) for flag in flags())
    missing = sum(one.answer is None and not one.skipped for one in asked)
    return Screened(
        questions=asked,
        medicines=health.medicines if health else (),
        outcome=review.outcome(),
        says=WORDS[review.outcome()],
        withheld=review.withheld(),
        reasons=_reasons(review.reasons(), missing),
        unanswered=missing,
        letters_due=tuple(one.id for one in letters_due(review)) if answers else (),
    )


def _question(flag: Flag, review: Review, answers: Sequence[Answer], due: Collection[str]) -> Question:
    answer = _last(flag.id, answers)
    steps = flag.follow_up if _said_yes(flag.id, answers) else ()
    return Question(
        id=flag.id,
        asks=flag.asks_again if answer is not None and flag.asks_again else flag.asks,
        why=flag.why,
        answer=answer,
        is_due=flag.id in due,
        skipped=answer is None and not review.is_asked(flag),
        settles=tuple(one.id for one in flags() if one.asked_after == flag.id),
        follow_up=tuple(_step(step, answers, due) for step in steps),
    )


def _step(step: FollowUp, answers: Sequence[Answer], due: Collection[str]) -> Question:
    return Question(step.id, step.asks, "", _last(step.id, answers), step.id in due)


def state_for(screening: Screening, *, practitioner: bool) -> str:
    """Return the outcome in a word; an assistant reads no more than whether it holds."""
    if not practitioner:
        return "" if screening.may_issue else "on hold: ask the practitioner"
    return {"hold": "on hold", "refer": "on hold, referred"}.get(screening.outcome, screening.outcome)


def _last(question: str, answers: Sequence[Answer]) -> Answer | None:
    given = [answer for answer in answers if answer.question == question]
    return max(given, key=lambda one: one.on or date.min, default=None)


def _said_yes(question: str, answers: Sequence[Answer]) -> bool:
    return any(answer.question == question and answer.reply == "yes" for answer in answers)


def _reasons(found: Sequence[Finding], missing: int) -> tuple[Reason, ...]:
    """Return the reasons in words; what is merely not asked yet stands once, as a count."""
    asks = {flag.id: flag.title for flag in flags()}
    told = [
        Reason(one.about, _line(one, asks.get(one.about, one.about)), one.level in GRAVE)
        for one in found
        if one.code not in ("screening.unanswered", "screening.no_answers")
    ]
    if missing:
        words = "1 question has" if missing == 1 else f"{missing} questions have"
        told.append(Reason("", f"{words} no answer yet. Every question is asked of everyone.", holds=True))
    return tuple(told)


def _line(finding: Finding, name: str) -> str:
    says = (
        finding.sentence if name.casefold() in finding.sentence.casefold() else f"{name}: {finding.sentence}"
    )
    return f"{says[:1].upper()}{says[1:]} {finding.next_step}".strip()


# New entries.


def near_name(name: str) -> str | None:
    """Return what a medicine's name may be a misspelling of, `""` where nothing is near; None where known."""
    found = match(name)
    return None if found.known else found.near


def entry(case: Case, kept: Health | None, kind: str, typed: Mapping[str, str]) -> Health:
    """Return a health file with one new entry, read by the door from what was typed.

    BadInput tells what is wrong with it, `about` ending in the key; also where it contradicts what is kept.
    """
    bound = {"format": FORMAT, "athlete": case.athlete.name, "born": case.athlete.born}
    new = health_of({**bound, kind: [_plain(kind, typed)]}, name="entry", of=case)
    if kept is not None:
        both = kept.model_copy(update={kind: (*getattr(kept, kind), *getattr(new, kind))})
        last = f"{kind}[{len(getattr(both, kind))}]"
        faults = [fault for fault in check_records(both) if fault.about.startswith(last)]
        if faults:
            raise BadInput(*faults)
    return new


def _plain(kind: str, typed: Mapping[str, str]) -> dict[str, Any]:
    """Return typed texts as the plain data of a health file; what is empty is left out."""
    return {key: _value(kind, key, text.strip()) for key, text in typed.items() if text.strip()}


def _value(kind: str, key: str, text: str) -> Any:
    if (kind, key) in LISTS:
        return [word.strip() for word in text.split(",") if word.strip()]
    if key in DAYS:
        meant = day_readings(text)
        return meant[0] if len(meant) == 1 else text
    if key == "portions_only":
        return text == "yes"
    if key in ("value", "cut_off"):
        try:
            return float(text.replace(",", "."))
        except ValueError:
            return text
    return text
