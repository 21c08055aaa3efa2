"""Health answers, in a file of their own, bound to one athlete; never inside a case, a plan or a pack."""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import Field

from provand.case.fields import number, several, text
from provand.record import Record

FORMAT = "provand.health/2"

Reply = Literal["yes", "no", "prefer not to say"]
Part = Literal["caffeine", "sodium", "fluid", "grams", "fructose", "loading"]
"""What of a plan can be withheld; `grams` is every weight and energy."""
Says = Literal["cleared", "cleared with limits", "not cleared", "none"]
"""What a clinician replied; `none` is noted when no reply came."""


class Answer(Record):
    """One answer to one question: what was said, by whom, on what day."""

    question: str = text("id of the question", longest=60)
    reply: Reply = Field(description="yes, no, or prefer not to say")
    by: str = text("name of the athlete, who alone may answer; another name is a hold", default="")
    on: date | None = Field(default=None, description="the day of the answer")
    detail: str = text("what was said, in the person's words", default="", longest=2000)


class Medicine(Record):
    """A medicine as the person names it."""

    name: str = text("name as on the packet", longest=120)
    since: date | None = Field(default=None, description="the day it was started or last changed")
    stopped: date | None = Field(default=None, description="the day it was stopped, if it was")
    by: str = text("name of the athlete, who alone may answer; another name is a hold", default="")
    on: date | None = Field(default=None, description="the day of the answer")


class Letter(Record):
    """A letter to a clinician: what it asked about, to whom, by whom, on what day."""

    about: tuple[str, ...] = Field(min_length=1, description="ids of the questions it asks about")
    to: str = text("the clinician it was sent to")
    by: str = text("who sent it")
    on: date = Field(description="the day it was sent")


class ClinicianReply(Record):
    """What a clinician replied about some questions; it counts for those alone."""

    about: tuple[str, ...] = Field(min_length=1, description="ids of the questions it answers")
    says: Says = Field(description="cleared, cleared with limits, not cleared, or none where no reply came")
    limits: tuple[Part, ...] = several("parts to withhold, where it cleared with limits")
    by: str = text("the clinician who replied; where none came, who was asked")
    on: date = Field(description="the day of the reply; where none came, the day on which that was noted")
    kept_by: str = text("who recorded it")
    until: date | None = Field(
        default=None, description="the last day on which it counts; without it, 12 weeks"
    )


class HandRelease(Record):
    """A hold lifted by hand: by whom, on what day, why. An assistant's lifts nothing."""

    about: str = text("id of the question, or name of the medicine, that holds")
    by: str = text("name of the person who lifts the hold")
    role: Literal["practitioner", "assistant"] = Field(description="practitioner or assistant")
    on: date = Field(description="the day")
    why: str = text("reason", longest=400)


class Assent(Record):
    """A consent to be planned for: a guardian's and the athlete's own under 18, the athlete's own after."""

    who: Literal["guardian", "athlete"] = Field(description="guardian or athlete")
    by: str = text("name of the person who consents")
    on: date = Field(description="the day")


class Score(Record):
    """A questionnaire's score and its own cut-off, as typed in; no questionnaire is shipped."""

    questionnaire: str = text("name of the questionnaire")
    value: float = number("the score, as the questionnaire counts", -1000, 1000)
    cut_off: float = number("its cut-off: at or over it counts as over", -1000, 1000)
    by: str = text("who scored it")
    on: date = Field(description="the day it was filled in")


class SodiumTest(Record):
    """Sodium in blood, from a laboratory."""

    serum_sodium_mmol_per_l: float = number("sodium in serum or plasma", 100, 180)
    by: str = text("who gave the value: laboratory or clinician")
    on: date = Field(description="the day the blood was taken")


class PortionsChoice(Record):
    """A choice to see portions only: no weight, no energy. Anybody may make it."""

    portions_only: bool = Field(description="true for portions only")
    by: str = text("who chose")
    on: date = Field(description="the day")


class Health(Record):
    """The answers of one athlete, bound by `athlete` and `born`: they count for no other person.

    Entries are added and never rewritten: a later one corrects an earlier one, and both stay legible.
    """

    format: Literal["provand.health/2"] = Field(default="provand.health/2", description="format of this file")
    athlete: str = text("name of the athlete, as in the case")
    born: date | None = Field(default=None, description="birth date, as in the case")
    example: bool = Field(
        default=False, description="true for an invented example: counts only for the invented athlete"
    )
    answers: tuple[Answer, ...] = Field(default=(), description="one answer for each question")
    medicines: tuple[Medicine, ...] = Field(default=(), description="every medicine taken now, by name")
    letters: tuple[Letter, ...] = several("letters sent to clinicians")
    replies: tuple[ClinicianReply, ...] = several("what clinicians replied")
    releases: tuple[HandRelease, ...] = several("holds lifted by hand")
    assents: tuple[Assent, ...] = several("consents")
    scores: tuple[Score, ...] = several("scores of questionnaires")
    sodium_tests: tuple[SodiumTest, ...] = several("sodium in blood")
    portions: tuple[PortionsChoice, ...] = several("choices of portions only")
