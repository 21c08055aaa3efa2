"""What the records of a health file cannot be together, whatever the day."""

from __future__ import annotations

from collections.abc import Iterator

from provand.case.health import ClinicianReply, Health
from provand.finding import Finding, find


def same_name(one: str, other: str) -> bool:
    """True when two names differ in case and spaces at most."""
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()


def check_records(health: Health) -> Iterator[Finding]:
    """Yield a fault for each record that contradicts itself or another one."""
    for at, medicine in enumerate(health.medicines, 1):
        if medicine.since and medicine.stopped and medicine.stopped < medicine.since:
            stopped, since = medicine.stopped.isoformat(), medicine.since.isoformat()
            yield find("health.stopped_before", f"medicines[{at}].stopped", stopped=stopped, since=since)
    for at, reply in enumerate(health.replies, 1):
        yield from _reply(reply, health, f"replies[{at}]")
    for at, assent in enumerate(health.assents, 1):
        if assent.who == "guardian" and same_name(assent.by, health.athlete):
            yield find("health.guardian_is_athlete", f"assents[{at}].by")


def _reply(reply: ClinicianReply, health: Health, about: str) -> Iterator[Finding]:
    on = reply.on.isoformat()
    if reply.says == "cleared with limits" and not reply.limits:
        yield find("health.limits_missing", f"{about}.limits")
    if reply.says != "cleared with limits" and reply.limits:
        yield find("health.limits_extra", f"{about}.limits", says=reply.says)
    if reply.until is not None and reply.until < reply.on:
        yield find("health.until_before", f"{about}.until", until=reply.until.isoformat(), on=on)
    for question in reply.about:
        sent = [letter.on for letter in health.letters if question in letter.about]
        if sent and reply.on < min(sent):
            first = min(sent).isoformat()
            yield find("health.reply_before_letter", f"{about}.on", on=on, question=question, sent=first)
