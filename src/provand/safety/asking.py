"""What is to be asked next, in which words and why; and what a clinician is to be written to about."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from provand.record import Record
from provand.safety.answers import Said
from provand.safety.flags import Flag, LetterAsks, flags
from provand.safety.review import Review

WITHOUT_ROW = (
    "Does it call for limits on caffeine, salt, sugar or fluid in a long race, or against taking part?",
)


class Question(Record):
    """A question to put to the athlete. `is_grave` where a "yes" holds everything until it is lifted."""

    id: str
    asks: str
    why: str
    is_grave: bool


class LetterAbout(Record):
    """One thing that a letter is about: the id by which a reply names it, and what is asked."""

    id: str
    asks: LetterAsks


def questions_due(review: Review, *, everything: bool = False) -> tuple[Question, ...]:
    """Return the questions without an answer that counts, and those that race week asks again, in order.

    With `everything`, all that can be asked now and were not answered on the day of the review.
    """
    return tuple(_due(review, everything=everything))


def _due(review: Review, *, everything: bool) -> Iterator[Question]:
    contradicted = {one.about for one in review.found if one.code == "screening.contradiction"}
    for flag in flags():
        asked = review.replies.get(flag.id)
        if not review.is_asked(flag):
            continue
        again = asked is not None and (review.race_week_asks(flag) or flag.id in contradicted)
        if again or _lacks(asked, review, everything=everything):
            yield Question(id=flag.id, asks=_words(flag, asked), why=flag.why, is_grave=flag.holds)
        if asked is None or asked.reply != "yes":
            continue
        for step in flag.follow_up:
            if _lacks(review.replies.get(step.id), review, everything=everything):
                yield Question(id=step.id, asks=step.asks, why=flag.why, is_grave=False)


def _lacks(asked: Said | None, review: Review, *, everything: bool) -> bool:
    """True where no answer counts, or all is asked again and none is of this day."""
    return asked is None or bool(asked.faults) or (everything and asked.asked_on != review.as_of)


def _words(flag: Flag, asked: Said | None) -> str:
    answered = asked is not None and asked.asked_on is not None
    return flag.asks_again if answered and flag.asks_again else flag.asks


def medicines_due(review: Review) -> tuple[str, ...]:
    """Return the medicines whose entry is too old, unsigned or else does not count: are they still taken?"""
    return tuple(one.name for one in review.medicines if one.is_taken and one.faults)


def names_due(review: Review) -> bool:
    """True where a "yes" has no medicine listed that goes with it."""
    return any(one.code == "screening.medicine_missing" for one in review.found)


def letter_about(review: Review, about: str) -> LetterAbout | None:
    """Return what a letter about a question or a listed medicine asks; None for what is neither."""
    for flag in flags():
        if flag.id == about:
            generic = LetterAsks(about="a question on health that was left open", asks=WITHOUT_ROW)
            return LetterAbout(id=flag.id, asks=flag.letter or generic)
    for one in review.medicines:
        if one.name.casefold() == about.casefold():
            return LetterAbout(
                id=one.name, asks=LetterAsks(about=f"the medicine {one.name}", asks=WITHOUT_ROW)
            )
    return None


def letters_due(review: Review) -> tuple[LetterAbout, ...]:
    """Return what a clinician is to be written to about and was not since the newest fact, in order."""
    wanted = [(hold.about[0], hold.since) for hold in review.held if "reply" in hold.lifted_by]
    wanted += [
        (one.flag.id, date.min) for one in review.acting if one.flag.letter and one.flag.outcome == "withheld"
    ]
    found: dict[str, LetterAbout] = {}
    for name, since in wanted:
        sent = [letter.on for letter in review.lifting.sent((name,))]
        about = letter_about(review, name)
        if about is not None and not any(on >= since for on in sent):
            found.setdefault(name, about)
    return tuple(found.values())
