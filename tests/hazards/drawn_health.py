"""Invented health answers by chance: flags, medicines, faults, and what comes in late."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random
from typing import Any, NamedTuple

from drawn_case import AS_OF

from provand.safety.flags import Flag, flags
from provand.safety.medicines import medicine_classes

ISSUABLE = [flag for flag in flags() if flag.outcome in ("note", "withheld")]
STRICT = [flag for flag in flags() if flag.outcome in ("hold", "refer")]
UNKNOWN_MEDICINES = ("canaryzolam 5 mg", "blue pill canarix")


class DrawnHealth(NamedTuple):
    """Answers as typed, the same with what comes in after issue, and the words that must never travel."""

    typed: dict[str, Any] | None
    late: dict[str, Any] | None
    secrets: tuple[str, ...]
    raised: tuple[str, ...]
    spoilt: str


def drawn_health(
    draw: Random, name: str, born: date | None, *, excludes: bool, race_in_days: int
) -> DrawnHealth:
    """Draw answers of this athlete, with a canary in everything that is said in words."""
    raised = drawn_flags(draw, excludes=excludes)
    on = AS_OF - timedelta(days=draw.choice([0, 1, 5] if race_in_days <= 7 else [0, 1, 5, 20, 60]))
    answers: list[dict[str, Any]] = []
    medicines: list[dict[str, Any]] = []
    for flag in flags():
        said = "yes" if flag in raised else "no"
        detail = f"canarydetail {flag.id} said in confidence" if draw.random() < 0.5 else ""
        answers.append({"question": flag.id, "reply": said, "by": name, "on": on, "detail": detail})
        for step in flag.follow_up if flag in raised else ():
            answers.append({"question": step.id, "reply": step.must_be, "by": name, "on": on, "detail": ""})
        if flag in raised and flag.by_medicine:
            medicines.append(medicine_for(draw, flag, name, on))
    if medicines:
        for answer in answers:
            if answer["question"] == "medicines":
                answer["reply"] = "yes"
    typed: dict[str, Any] = {
        "format": "provand.health/2", "athlete": name, "answers": answers, "medicines": medicines,
    }  # fmt: skip
    typed |= {"born": born} if born else {}
    spoilt = spoil(draw, typed)
    late = None
    if draw.random() < 0.3 and typed:
        flag = draw.choice(STRICT)
        entry = {"question": flag.id, "reply": "yes", "by": name, "on": AS_OF, "detail": "canarydetail late"}
        late = typed | {"answers": [*typed["answers"], entry]}
    secrets = {"canarydetail", *(medicine["name"] for medicine in medicines)}
    return DrawnHealth(
        typed if spoilt != "no file" else None,
        late,
        tuple(sorted(secrets)),
        tuple(f.id for f in raised),
        spoilt,
    )


def drawn_flags(draw: Random, *, excludes: bool) -> list[Flag]:
    """Draw which questions are answered with yes; most such answers still let a plan be issued."""
    kind = draw.random()
    count = 0 if kind < 0.4 else 1 if kind < 0.75 else 2
    from_ = ISSUABLE if draw.random() < 0.75 else [*ISSUABLE, *STRICT]
    raised = draw.sample(from_, count)
    exclusion = [flag for flag in flags() if flag.exclusions]
    raised = [flag for flag in raised if not flag.exclusions]
    return [*raised, *exclusion] if excludes else raised


def medicine_for(draw: Random, flag: Flag, name: str, on: date) -> dict[str, Any]:
    """Draw a medicine that bears out a yes, by a name of its class, as on a packet."""
    classes = [group for group in medicine_classes() if flag.id in group.flags]
    substance = draw.choice(draw.choice(classes).substances)
    return {"name": f"{substance} 50 mg tablets", "since": date(2023, 1, 5), "by": name, "on": on}


def spoil(draw: Random, typed: dict[str, Any]) -> str:
    """Spoil the answers in one way, sometimes, and return which: each of them must come to a hold."""
    ways = (
        "unsigned",
        "old",
        "not said",
        "left out",
        "another",
        "ahead",
        "unknown medicine",
        "born",
        "no file",
    )
    way = draw.choice(ways) if draw.random() < 0.15 else ""
    one = draw.choice(typed["answers"])
    if way == "unsigned":
        one["by"] = ""
    elif way == "old":
        one["on"] = AS_OF - timedelta(days=90)
    elif way == "not said":
        one["reply"] = "prefer not to say"
    elif way == "left out":
        typed["answers"].remove(one)
    elif way == "another":
        one["by"] = "Somebody Else"
    elif way == "ahead":
        one["on"] = AS_OF + timedelta(days=1)
    elif way == "unknown medicine":
        entry = {"name": draw.choice(UNKNOWN_MEDICINES), "by": typed["athlete"], "on": AS_OF}
        typed["medicines"].append(entry)
    elif way == "born":
        typed["born"] = date(1950, 1, 1)
    return way
