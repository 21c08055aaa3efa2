"""Letters, replies and releases beside the answers of the invented athlete."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from answered import ANSWERED_ON, AS_OF, BY_ID, answer, case_of, health_of, medicine, said_yes, screened

from provand.case.case import Case
from provand.case.health import Answer, ClinicianReply, HandRelease, Health, Letter
from provand.safety.flags import flags

CLINICIAN, PRACTITIONER = "Dr Invented", "Pia Practitioner"
HOLDING = [flag.id for flag in flags() if flag.holds and flag.id != "under_18"]
BY_HAND = [flag_id for flag_id in HOLDING if "hand" in BY_ID[flag_id].lifted_by]
NEVER_BY_HAND = [flag_id for flag_id in HOLDING if flag_id not in BY_HAND]


def days(count: int) -> date:
    """Return a day counted from the day of the answers."""
    return ANSWERED_ON + timedelta(days=count)


def letter(*about: str, on: date = ANSWERED_ON) -> Letter:
    return Letter(about=about, to=CLINICIAN, by=PRACTITIONER, on=on)


def reply(*about: str, **changed: Any) -> ClinicianReply:
    said: dict[str, Any] = {"says": "cleared", "by": CLINICIAN, "on": days(2), "kept_by": PRACTITIONER}
    return ClinicianReply(about=about, **(said | changed))


def release(about: str, **changed: Any) -> HandRelease:
    said: dict[str, Any] = {
        "by": PRACTITIONER,
        "role": "practitioner",
        "on": days(2),
        "why": "seen and judged",
    }
    return HandRelease(about=about, **(said | changed))


def with_records(health: Health, **records: Any) -> Health:
    return health.model_copy(update=records)


def cleared(flag_id: str, **changed: Any) -> tuple[Health, Case]:
    """Return answers with a "yes" that a letter and a reply followed."""
    health, case = yes_to(flag_id)
    sent = letter(flag_id)
    return with_records(health, letters=(sent,), replies=(reply(flag_id, **changed),)), case


def yes_to(flag_id: str) -> tuple[Health, Case]:
    """Return a "yes" with all that must go with it; a changed medicine is listed by name."""
    if flag_id != "medicine_changed":
        return said_yes(BY_ID[flag_id])
    changed = [medicine("ibuprofen", since=days(-10))]
    return health_of(answer(flag_id, "yes"), answer("anti_inflammatory", "yes"), medicines=changed), case_of()


def also(health: Health, *answers: Answer) -> Health:
    return health.model_copy(update={"answers": (*health.answers, *answers)})


def codes_of(health: Health, case: Case | None = None, as_of: date = AS_OF) -> tuple[str, set[str]]:
    screening, codes = screened(health, case, as_of)
    return screening.outcome, codes
