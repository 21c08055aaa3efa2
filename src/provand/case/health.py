"""Health answers, in a file of their own, bound to one athlete; never inside a case, a plan or a pack."""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import Field

from provand.case.fields import text
from provand.record import Record

Reply = Literal["yes", "no", "prefer not to say"]


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
    by: str = text("name of the athlete, who alone may answer; another name is a hold", default="")
    on: date | None = Field(default=None, description="the day of the answer")


class Health(Record):
    """The answers of one athlete, bound by `athlete` and `born`: they count for no other person."""

    format: Literal["provand.health/1"] = Field(default="provand.health/1", description="format of this file")
    athlete: str = text("name of the athlete, as in the case")
    born: date | None = Field(default=None, description="birth date, as in the case")
    example: bool = Field(
        default=False, description="true for an invented example: counts only for the invented athlete"
    )
    answers: tuple[Answer, ...] = Field(default=(), description="one answer for each question")
    medicines: tuple[Medicine, ...] = Field(default=(), description="every medicine taken now, by name")
